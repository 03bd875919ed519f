/* test-live.c: the running instrument, with a camera that does as it is told
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-clip.h"
#include "live-bench.h"

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

  bench_open_camera (bench, FALSE, FALSE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_IDLE);
  bench_start (bench, NULL);
  bench_wait_for (bench, bench_is_measured);

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

  bench_open_camera (bench, FALSE, TRUE);
  fake_source_set_fps (bench->camera, 0.0);
  bench_start (bench, NULL);
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

  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  bench_record (bench, 30);
  bench_wait_for (bench, bench_is_recorded);
  g_assert_null (fil_live_get_recording_error (bench->live));
  fil_live_get_recording (bench->live, &status);
  g_assert_cmpuint (status.frames, ==, 30);
  g_assert_cmpuint (bench_count_frames_in_clip (bench), ==, 30);
  g_assert_cmpuint (bench->recordings, >=, 2);
  g_assert_true (bench_is_running (bench));
}

/* A source that waits loses nothing, from its very first frame on. */
static void
test_records_from_the_first_frame (Bench        *bench,
                                   gconstpointer data)
{
  g_autoptr (FilClip) clip = NULL;
  const FilClipRow *rows;

  bench_open_camera (bench, FALSE, TRUE);
  fake_source_set_fps (bench->camera, 0.0);
  bench_record (bench, 500);
  bench_start (bench, NULL);
  bench_wait_for (bench, bench_is_recorded);
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

  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  bench_record (bench, 0);
  g_assert_false (fil_live_record (bench->live, &options, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_RECORDING);
  g_clear_error (&error);
  bench_wait_for (bench, bench_has_recorded_some);
  g_assert_true (fil_live_end_recording (bench->live, &status, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (bench_count_frames_in_clip (bench), ==, status.frames);
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
  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fil_live_close (bench->live);
  g_assert_false (fil_live_is_recording (bench->live));
  g_assert_cmpuint (bench_count_frames_in_clip (bench), >=, 5);
  g_assert_null (fil_live_get_recording_error (bench->live));
}

static void
test_stalls (Bench        *bench,
             gconstpointer data)
{
  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_STALLED, FIL_SOURCE_ERROR_STALLED,
                    "no frame came for 5 s");
  bench_wait_for (bench, bench_is_stalled);
  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "no frame came for 5 s"));
  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "cable"));
  bench_assert_kept (bench, "no frame came for 5 s");
  g_assert_nonnull (fil_live_get_pass (bench->live));

  /* It comes back by itself. */
  fake_source_tell (bench->camera, FIL_SOURCE_STREAMING, 0, NULL);
  bench_wait_for (bench, bench_is_running);
  g_assert_null (fil_live_get_message (bench->live));
}

static void
test_unplugged (Bench        *bench,
                gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_LOST, FIL_SOURCE_ERROR_UNPLUGGED,
                    "the camera was unplugged");
  bench_wait_for (bench, bench_is_unplugged);
  bench_assert_kept (bench, "the camera was unplugged");
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
}

static void
test_fails (Bench        *bench,
            gconstpointer data)
{
  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  fake_source_tell (bench->camera, FIL_SOURCE_LOST, FIL_SOURCE_ERROR_PROTOCOL, "nonsense");
  bench_wait_for (bench, bench_is_failed);
  g_assert_true (g_str_has_prefix (fil_live_get_message (bench->live), "nonsense"));
}

static void
test_ends (Bench        *bench,
           gconstpointer data)
{
  bench_open_camera (bench, FALSE, TRUE);
  bench_start (bench, NULL);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fake_source_tell (bench->camera, FIL_SOURCE_ENDED, 0, NULL);
  bench_wait_for (bench, bench_is_ended);
  bench_assert_kept (bench, "end");
}

static void
test_refused_mode_goes_on (Bench        *bench,
                           gconstpointer data)
{
  FilSourceMode mode = { .width = 7, .height = 7 };
  g_autoptr (GError) error = NULL;

  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  g_assert_false (fil_live_set_mode (bench->live, &mode, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
  bench_wait_for (bench, bench_is_running);
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
  bench_open_camera (bench, FALSE, FALSE);
  g_signal_connect (bench->live, "control-changed", G_CALLBACK (note_control), &noted_control);
  bench_start (bench, NULL);
  g_assert_true (fil_live_set_control (bench->live, 42, g_variant_new_int64 (1), NULL));
  bench_wait_for (bench, is_control_noted);
}

static void
test_snapshot (Bench        *bench,
               gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  bench_open_camera (bench, FALSE, FALSE);
  g_assert_false (fil_live_snapshot (bench->live, bench->path, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_FRAME);
  g_clear_error (&error);
  bench_start (bench, NULL);
  g_assert_true (fil_live_snapshot (bench->live, bench->path, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (bench_count_frames_in_clip (bench), ==, 1);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  bench_add ("/live/nothing-open", test_nothing_open);
  bench_add ("/live/runs", test_runs);
  bench_add ("/live/newest-wins", test_newest_wins);
  bench_add ("/live/records", test_records);
  bench_add ("/live/records-from-the-first-frame", test_records_from_the_first_frame);
  bench_add ("/live/end-recording", test_end_recording);
  bench_add ("/live/close-while-recording", test_close_while_recording);
  bench_add ("/live/stalls", test_stalls);
  bench_add ("/live/unplugged", test_unplugged);
  bench_add ("/live/fails", test_fails);
  bench_add ("/live/ends", test_ends);
  bench_add ("/live/refused-mode-goes-on", test_refused_mode_goes_on);
  bench_add ("/live/controls", test_controls);
  bench_add ("/live/snapshot", test_snapshot);

  return g_test_run ();
}
