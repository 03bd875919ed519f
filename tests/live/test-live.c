/* test-live.c: the running instrument, with a camera that does as it is told
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gstdio.h>

#include "fake-source.h"
#include "fil-clip.h"
#include "fil-gate.h"
#include "fil-live-private.h"

#define PATIENCE_S 60

typedef struct
{
  char    *folder, *path;
  FilLive *live;
  FakeSource *camera;
  FilRig  *rig;
  guint    frames, readings, passes, recordings;   /* signals that came */
} Bench;

static void
count_up (FilLive *live,
          guint   *counter)
{
  (*counter)++;
}

static void
open_camera (Bench    *bench,
             gboolean  live,
             gboolean  waits)
{
  g_autoptr (FilSource) source = fake_source_new (live, waits);
  g_autoptr (GError) error = NULL;

  bench->camera = FAKE_SOURCE (source);
  fil_live_open_source (bench->live, source, "fake", bench->rig, NULL, &error);
  g_assert_no_error (error);
}

static void
set_up (Bench        *bench,
        gconstpointer data)
{
  bench->folder = g_dir_make_tmp ("filigree-live-XXXXXX", NULL);
  bench->path = g_build_filename (bench->folder, "clip.fits", NULL);
  bench->live = fil_live_new ();
  bench->rig = fil_rig_new_demo ();
  g_signal_connect (bench->live, "frame", G_CALLBACK (count_up), &bench->frames);
  g_signal_connect (bench->live, "reading", G_CALLBACK (count_up), &bench->readings);
  g_signal_connect (bench->live, "pass-changed", G_CALLBACK (count_up), &bench->passes);
  g_signal_connect (bench->live, "recording-changed", G_CALLBACK (count_up),
                    &bench->recordings);
}

static void
tear_down (Bench        *bench,
           gconstpointer data)
{
  g_assert_finalize_object (bench->live);
  fil_rig_unref (bench->rig);
  g_remove (bench->path);
  g_assert_cmpint (g_rmdir (bench->folder), ==, 0);
  g_free (bench->folder);
  g_free (bench->path);
}

static gboolean
wake (gpointer data)
{
  return G_SOURCE_CONTINUE;
}

typedef gboolean (*Condition) (Bench *bench);

/* Turns the main loop until @condition holds. */
static void
wait_for (Bench     *bench,
          Condition  condition)
{
  guint waker = g_timeout_add (5, wake, NULL);
  gint64 end_us = g_get_monotonic_time () + PATIENCE_S * G_USEC_PER_SEC;

  while (!condition (bench) && g_get_monotonic_time () < end_us)
    fil_live_iterate (bench->live, TRUE);
  g_assert_true (condition (bench));
  g_source_remove (waker);
}

static void
turn_for_ms (Bench *bench,
             guint  ms)
{
  guint waker = g_timeout_add (5, wake, NULL);
  gint64 end_us = g_get_monotonic_time () + ms * 1000;

  while (g_get_monotonic_time () < end_us)
    fil_live_iterate (bench->live, TRUE);
  g_source_remove (waker);
}

static gboolean
is_running (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_RUNNING;
}

static gboolean
is_measured (Bench *bench)
{
  FilLiveReading reading;

  fil_live_get_reading (bench->live, &reading);

  return isfinite (reading.figures.mean) && isfinite (reading.fps) &&
         isfinite (reading.sharpness.percent);
}

static gboolean
has_recorded_some (Bench *bench)
{
  FilRecorderStatus status;

  fil_live_get_recording (bench->live, &status);

  return status.frames >= 5;
}

static gboolean
is_recorded (Bench *bench)
{
  return !fil_live_is_recording (bench->live);
}

static gboolean is_stalled (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_STALLED; }
static gboolean is_unplugged (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_UNPLUGGED; }
static gboolean is_failed (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_FAILED; }
static gboolean is_ended (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_ENDED; }
static gboolean is_alarmed (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_ALARM; }
static gboolean is_closed (Bench *bench) { return fil_live_get_state (bench->live) == FIL_LIVE_GATE_CLOSED; }

static FilGatePass *
make_pass (FilRig *rig)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGate) gate = fil_gate_new (rig, FAKE_IDENTITY, &error);
  FilGatePass *pass;

  g_assert_no_error (error);
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    fil_gate_tick (gate, i, TRUE);
  pass = fil_gate_confirm (gate, fil_gate_list_filters (gate)[0], &error);
  g_assert_no_error (error);

  return pass;
}

static void
start (Bench       *bench,
       FilGatePass *pass)
{
  g_autoptr (GError) error = NULL;

  fil_live_start (bench->live, pass, &error);
  g_assert_no_error (error);
  wait_for (bench, is_running);
}

static void
start_live_camera (Bench *bench)
{
  g_autoptr (FilGatePass) pass = make_pass (bench->rig);

  open_camera (bench, TRUE, FALSE);
  start (bench, pass);
}

static void
record (Bench   *bench,
        guint64  max_frames)
{
  FilRecorderOptions options = { .path = bench->path, .max_frames = max_frames };
  g_autoptr (GError) error = NULL;

  fil_live_record (bench->live, &options, &error);
  g_assert_no_error (error);
  g_assert_true (fil_live_is_recording (bench->live));
}

static guint64
frames_in_clip (Bench *bench)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = fil_clip_open (bench->path, &error);

  g_assert_no_error (error);
  g_assert_true (fil_clip_is_complete (clip));

  return fil_clip_get_n_frames (clip);
}

/* The clip in hand ends whole, and its error tells @reason. */
static void
assert_kept (Bench      *bench,
             const char *reason)
{
  FilRecorderStatus status;
  g_autofree char *kept = NULL;

  wait_for (bench, is_recorded);
  fil_live_get_recording (bench->live, &status);
  g_assert_cmpuint (status.frames, >=, 5);
  g_assert_cmpuint (frames_in_clip (bench), ==, status.frames);
  kept = g_strdup_printf ("%" G_GUINT64_FORMAT " frames kept: ", status.frames);
  g_assert_true (g_str_has_prefix (fil_live_get_recording_error (bench->live), kept));
  g_assert_nonnull (strstr (fil_live_get_recording_error (bench->live), reason));
}

static void
test_nothing_open (Bench        *bench,
                   gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  FilRecorderOptions options = { .path = bench->path };

  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_NO_SOURCE);
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_SOURCE);
  g_clear_error (&error);
  g_assert_false (fil_live_record (bench->live, &options, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_SOURCE);
  g_assert_null (fil_live_dup_frame (bench->live));
}

static void
test_runs (Bench        *bench,
           gconstpointer data)
{
  FilLiveReading reading;
  g_autofree FilLiveDot *dots = g_new (FilLiveDot, 100);
  guint64 in_bins = 0;
  FilRect patch;
  FilFrame *frame;

  open_camera (bench, FALSE, FALSE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_IDLE);
  start (bench, NULL);
  wait_for (bench, is_measured);

  fil_live_get_reading (bench->live, &reading);
  g_assert_cmpfloat_with_epsilon (reading.figures.mean, 1000.0, 5.0);
  g_assert_cmpfloat (reading.sharpness.percent, >, 0.5);
  g_assert_cmpfloat (reading.exposure_ms, ==, 5.0);
  for (int i = 0; i < 256; i++)
    in_bins += reading.histogram[i];
  g_assert_cmpuint (in_bins, ==, FAKE_WIDTH * FAKE_HEIGHT);
  g_assert_cmpuint (fil_live_get_dots (bench->live, dots, 100), >, 0);
  fil_live_get_patch (bench->live, &patch);
  g_assert_cmpint (patch.width, ==, 128);

  frame = fil_live_dup_frame (bench->live);
  g_assert_cmpint (frame->width, ==, FAKE_WIDTH);
  fil_frame_unref (frame);

  fil_live_stop (bench->live);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_IDLE);
  g_assert_null (fil_live_dup_frame (bench->live));
  g_assert_cmpuint (fake_source_get_held (bench->camera), ==, 0);
}

/* However fast frames come and however long nobody looks, few are held, and
 * one turn of the main loop tells of them once. */
static void
test_newest_wins (Bench        *bench,
                  gconstpointer data)
{
  guint before;

  open_camera (bench, FALSE, TRUE);
  fake_source_set_fps (bench->camera, 0.0);
  start (bench, NULL);
  for (int i = 0; i < 200; i++)
    {
      /* One in the mailbox, one being measured, one in the making; and one
       * that is just being displaced. */
      g_assert_cmpuint (fake_source_get_held (bench->camera), <=, 4);
      g_usleep (500);
    }

  before = bench->frames;
  fil_live_iterate (bench->live, FALSE);
  g_assert_cmpuint (bench->frames, <=, before + 1);
}

static void
test_records (Bench        *bench,
              gconstpointer data)
{
  FilRecorderStatus status;

  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  record (bench, 30);
  wait_for (bench, is_recorded);
  g_assert_null (fil_live_get_recording_error (bench->live));
  fil_live_get_recording (bench->live, &status);
  g_assert_cmpuint (status.frames, ==, 30);
  g_assert_cmpuint (frames_in_clip (bench), ==, 30);
  g_assert_cmpuint (bench->recordings, >=, 2);
  g_assert_true (is_running (bench));
}

/* A source that waits loses nothing, from its very first frame on. */
static void
test_records_from_the_first_frame (Bench        *bench,
                                   gconstpointer data)
{
  g_autoptr (FilClip) clip = NULL;
  const FilClipRow *rows;

  open_camera (bench, FALSE, TRUE);
  fake_source_set_fps (bench->camera, 0.0);
  record (bench, 500);
  start (bench, NULL);
  wait_for (bench, is_recorded);
  g_assert_null (fil_live_get_recording_error (bench->live));

  clip = fil_clip_open (bench->path, NULL);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 500);
  rows = fil_clip_get_rows (clip, NULL);
  for (int i = 0; i < 500; i++)
    {
      g_assert_cmpint (rows[i].sequence, ==, i);
      g_assert_true (isfinite (rows[i].sharpness));
    }
}

static void
test_end_recording (Bench        *bench,
                    gconstpointer data)
{
  FilRecorderOptions options = { .path = bench->path };
  FilRecorderStatus status;
  g_autoptr (GError) error = NULL;

  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  record (bench, 0);
  g_assert_false (fil_live_record (bench->live, &options, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_RECORDING);
  g_clear_error (&error);
  wait_for (bench, has_recorded_some);
  g_assert_true (fil_live_end_recording (bench->live, &status, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (frames_in_clip (bench), ==, status.frames);
  g_assert_false (fil_live_is_recording (bench->live));

  /* It is there now, and is not overwritten. */
  g_assert_false (fil_live_record (bench->live, &options, &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_EXISTS);
}

/* Closing the instrument closes the clip whole. */
static void
test_close_while_recording (Bench        *bench,
                            gconstpointer data)
{
  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  record (bench, 0);
  wait_for (bench, has_recorded_some);
  fil_live_close (bench->live);
  g_assert_false (fil_live_is_recording (bench->live));
  g_assert_cmpuint (frames_in_clip (bench), >=, 5);
  g_assert_null (fil_live_get_recording_error (bench->live));
}

static void
test_stalls (Bench        *bench,
             gconstpointer data)
{
  start_live_camera (bench);
  record (bench, 0);
  wait_for (bench, has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_STALLED, FIL_SOURCE_ERROR_STALLED,
                    "no frame came for 5 s");
  wait_for (bench, is_stalled);
  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "no frame came for 5 s"));
  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "cable"));
  assert_kept (bench, "no frame came for 5 s");
  g_assert_nonnull (fil_live_get_pass (bench->live));

  /* It comes back by itself. */
  fake_source_tell (bench->camera, FIL_SOURCE_STREAMING, 0, NULL);
  wait_for (bench, is_running);
  g_assert_null (fil_live_get_message (bench->live));
}

static void
test_unplugged (Bench        *bench,
                gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  start_live_camera (bench);
  record (bench, 0);
  wait_for (bench, has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_LOST, FIL_SOURCE_ERROR_UNPLUGGED,
                    "the camera was unplugged");
  wait_for (bench, is_unplugged);
  assert_kept (bench, "the camera was unplugged");
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
}

static void
test_fails (Bench        *bench,
            gconstpointer data)
{
  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  fake_source_tell (bench->camera, FIL_SOURCE_LOST, FIL_SOURCE_ERROR_PROTOCOL, "nonsense");
  wait_for (bench, is_failed);
  g_assert_true (g_str_has_prefix (fil_live_get_message (bench->live), "nonsense"));
}

static void
test_ends (Bench        *bench,
           gconstpointer data)
{
  open_camera (bench, FALSE, TRUE);
  start (bench, NULL);
  record (bench, 0);
  wait_for (bench, has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_ENDED, 0, NULL);
  wait_for (bench, is_ended);
  assert_kept (bench, "end");
}

static void
test_gate_closed (Bench        *bench,
                  gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  open_camera (bench, TRUE, FALSE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_GATE_CLOSED);
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_GATE_CLOSED);
  g_assert_false (fake_source_is_streaming (bench->camera));
}

/* The alarm has seen the clear disc for long enough. */
static gboolean
is_alarm_ready (Bench *bench)
{
  FilLiveReading reading;

  fil_live_get_reading (bench->live, &reading);

  return reading.alarm_ready;
}

/* All pixels full within one frame: the filter may be gone. */
static void
test_alarm (Bench        *bench,
            gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  start_live_camera (bench);
  record (bench, 0);
  wait_for (bench, is_alarm_ready);
  fake_source_set_level (bench->camera, 4200);
  wait_for (bench, is_alarmed);

  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "Cap the telescope"));
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_null (fil_live_get_pass (bench->live));
  assert_kept (bench, "alarm");
  g_assert_nonnull (strstr (fil_live_get_recording_error (bench->live), "full pixels"));
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
}

/* Nobody is blinded by a simulated Sun. */
static void
test_no_alarm_without_light (Bench        *bench,
                             gconstpointer data)
{
  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  wait_for (bench, is_measured);
  fake_source_set_level (bench->camera, 4200);
  turn_for_ms (bench, 800);
  g_assert_false (is_alarm_ready (bench));
  g_assert_true (is_running (bench));
}

/* A longer exposure explains a brighter picture. */
static void
test_no_alarm_after_a_setting (Bench        *bench,
                               gconstpointer data)
{
  start_live_camera (bench);
  wait_for (bench, is_alarm_ready);
  g_assert_true (fil_live_set_exposure_ms (bench->live, 50.0, NULL));
  fake_source_set_level (bench->camera, 4200);
  turn_for_ms (bench, 800);
  g_assert_true (is_running (bench));
}

static gint64 remaining_s;   /* what the shortened pass says; main thread only */

static gint64
get_remaining (const FilGatePass *pass)
{
  return remaining_s;
}

static gboolean
was_noticed (Bench *bench)
{
  return bench->passes == 2;
}

static void
test_deadline (Bench        *bench,
               gconstpointer data)
{
  remaining_s = 301;
  fil_live_shorten_pass (bench->live, get_remaining);
  start_live_camera (bench);
  turn_for_ms (bench, 500);
  g_assert_cmpuint (bench->passes, ==, 1);   /* it came */

  remaining_s = 300;
  wait_for (bench, was_noticed);
  turn_for_ms (bench, 500);
  g_assert_cmpuint (bench->passes, ==, 2);   /* said once */
  g_assert_true (is_running (bench));

  remaining_s = 0;
  wait_for (bench, is_closed);
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_cmpint (fil_live_get_pass_remaining_s (bench->live), ==, -1);
}

/* A running clip is finished, at most ten minutes longer. */
static void
test_deadline_while_recording (Bench        *bench,
                               gconstpointer data)
{
  remaining_s = 100;
  fil_live_shorten_pass (bench->live, get_remaining);
  start_live_camera (bench);
  record (bench, 0);
  wait_for (bench, has_recorded_some);

  remaining_s = -599;
  turn_for_ms (bench, 600);
  g_assert_true (is_running (bench));
  g_assert_true (fil_live_is_recording (bench->live));

  remaining_s = -600;
  wait_for (bench, is_closed);
  assert_kept (bench, "ran out");
}

/* A fresh pass moves the deadline; the clip goes on. */
static void
test_fresh_pass (Bench        *bench,
                 gconstpointer data)
{
  g_autoptr (FilGatePass) fresh = NULL;

  start_live_camera (bench);
  record (bench, 0);
  wait_for (bench, has_recorded_some);
  fresh = make_pass (bench->rig);
  g_assert_true (fil_live_start (bench->live, fresh, NULL));
  g_assert_true (fil_live_get_pass (bench->live) == fresh);
  g_assert_true (is_running (bench));
  g_assert_true (fil_live_is_recording (bench->live));
}

static void
test_another_rig (Bench        *bench,
                  gconstpointer data)
{
  g_autofree char *text = fil_rig_to_text (bench->rig);
  g_autofree char *changed = NULL;
  g_auto (GStrv) parts = g_strsplit (text, "density=2", 2);
  g_autoptr (FilRig) other = NULL;
  g_autoptr (GError) error = NULL;

  changed = g_strjoinv ("density=3", parts);
  other = fil_rig_parse (changed, -1, "other.rig", &error);
  g_assert_no_error (error);

  start_live_camera (bench);
  fil_live_set_rig (bench->live, bench->rig);
  g_assert_true (is_running (bench));
  fil_live_set_rig (bench->live, other);
  g_assert_true (is_closed (bench));
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_false (fake_source_is_streaming (bench->camera));
}

static void
test_refused_mode_goes_on (Bench        *bench,
                           gconstpointer data)
{
  FilSourceMode mode = { .width = 7, .height = 7 };
  g_autoptr (GError) error = NULL;

  open_camera (bench, FALSE, FALSE);
  start (bench, NULL);
  g_assert_false (fil_live_set_mode (bench->live, &mode, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
  wait_for (bench, is_running);
  fil_live_get_mode (bench->live, &mode);
  g_assert_cmpint (mode.width, ==, FAKE_WIDTH);
}

static void
note_control (FilLive *live,
              guint    id,
              guint   *noted)
{
  *noted = id;
}

static guint noted_control;

static gboolean
is_control_noted (Bench *bench)
{
  return noted_control == 42;
}

static void
test_controls (Bench        *bench,
               gconstpointer data)
{
  open_camera (bench, FALSE, FALSE);
  g_signal_connect (bench->live, "control-changed", G_CALLBACK (note_control), &noted_control);
  start (bench, NULL);
  g_assert_true (fil_live_set_control (bench->live, 42, g_variant_new_int64 (1), NULL));
  wait_for (bench, is_control_noted);
}

static void
test_snapshot (Bench        *bench,
               gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  open_camera (bench, FALSE, FALSE);
  g_assert_false (fil_live_snapshot (bench->live, bench->path, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_FRAME);
  g_clear_error (&error);
  start (bench, NULL);
  g_assert_true (fil_live_snapshot (bench->live, bench->path, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (frames_in_clip (bench), ==, 1);
}

static void
add (const char *path,
     void      (*test) (Bench *, gconstpointer))
{
  g_test_add (path, Bench, NULL, set_up, test, tear_down);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  add ("/live/nothing-open", test_nothing_open);
  add ("/live/runs", test_runs);
  add ("/live/newest-wins", test_newest_wins);
  add ("/live/records", test_records);
  add ("/live/records-from-the-first-frame", test_records_from_the_first_frame);
  add ("/live/end-recording", test_end_recording);
  add ("/live/close-while-recording", test_close_while_recording);
  add ("/live/stalls", test_stalls);
  add ("/live/unplugged", test_unplugged);
  add ("/live/fails", test_fails);
  add ("/live/ends", test_ends);
  add ("/live/gate-closed", test_gate_closed);
  add ("/live/alarm", test_alarm);
  add ("/live/no-alarm-without-light", test_no_alarm_without_light);
  add ("/live/no-alarm-after-a-setting", test_no_alarm_after_a_setting);
  add ("/live/deadline", test_deadline);
  add ("/live/deadline-while-recording", test_deadline_while_recording);
  add ("/live/fresh-pass", test_fresh_pass);
  add ("/live/another-rig", test_another_rig);
  add ("/live/refused-mode-goes-on", test_refused_mode_goes_on);
  add ("/live/controls", test_controls);
  add ("/live/snapshot", test_snapshot);

  return g_test_run ();
}
