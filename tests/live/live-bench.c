/* live-bench.c: a running instrument on the bench, and what to wait for
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gstdio.h>

#include "fil-clip.h"
#include "fil-gate.h"
#include "live-bench.h"

#define PATIENCE_S 60

static void
count_up (FilLive *live,
          guint   *counter)
{
  (*counter)++;
}

void
bench_open_camera (Bench    *bench,
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

/* Turns the main loop until @condition holds. */
void
bench_wait_for (Bench     *bench,
                Condition  condition)
{
  guint waker = g_timeout_add (5, wake, NULL);
  gint64 end_us = g_get_monotonic_time () + PATIENCE_S * G_USEC_PER_SEC;

  while (!condition (bench) && g_get_monotonic_time () < end_us)
    fil_live_iterate (bench->live, TRUE);
  g_assert_true (condition (bench));
  g_source_remove (waker);
}

void
bench_turn_for_ms (Bench *bench,
                   guint  ms)
{
  guint waker = g_timeout_add (5, wake, NULL);
  gint64 end_us = g_get_monotonic_time () + ms * 1000;

  while (g_get_monotonic_time () < end_us)
    fil_live_iterate (bench->live, TRUE);
  g_source_remove (waker);
}

gboolean
bench_is_running (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_RUNNING;
}

gboolean
bench_is_measured (Bench *bench)
{
  FilLiveReading reading;

  fil_live_get_reading (bench->live, &reading);

  return isfinite (reading.figures.mean) && isfinite (reading.fps) &&
         isfinite (reading.sharpness.percent);
}

gboolean
bench_has_recorded_some (Bench *bench)
{
  FilRecorderStatus status;

  fil_live_get_recording (bench->live, &status);

  return status.frames >= 5;
}

gboolean
bench_is_recorded (Bench *bench)
{
  return !fil_live_is_recording (bench->live);
}

gboolean
bench_is_stalled (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_STALLED;
}

gboolean
bench_is_unplugged (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_UNPLUGGED;
}

gboolean
bench_is_failed (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_FAILED;
}

gboolean
bench_is_ended (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_ENDED;
}

gboolean
bench_is_alarmed (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_ALARM;
}

gboolean
bench_is_closed (Bench *bench)
{
  return fil_live_get_state (bench->live) == FIL_LIVE_GATE_CLOSED;
}

FilGatePass *
bench_make_pass (FilRig *rig)
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

void
bench_start (Bench       *bench,
             FilGatePass *pass)
{
  g_autoptr (GError) error = NULL;

  fil_live_start (bench->live, pass, &error);
  g_assert_no_error (error);
  bench_wait_for (bench, bench_is_running);
}

void
bench_start_live_camera (Bench *bench)
{
  g_autoptr (FilGatePass) pass = bench_make_pass (bench->rig);

  bench_open_camera (bench, TRUE, FALSE);
  bench_start (bench, pass);
}

void
bench_record (Bench   *bench,
              guint64  max_frames)
{
  FilRecorderOptions options = { .path = bench->path, .max_frames = max_frames };
  g_autoptr (GError) error = NULL;

  fil_live_record (bench->live, &options, &error);
  g_assert_no_error (error);
  g_assert_true (fil_live_is_recording (bench->live));
}

guint64
bench_count_frames_in_clip (Bench *bench)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = fil_clip_open (bench->path, &error);

  g_assert_no_error (error);
  g_assert_true (fil_clip_is_complete (clip));

  return fil_clip_get_n_frames (clip);
}

/* The clip in hand ends whole, and its error tells @reason. */
void
bench_assert_kept (Bench      *bench,
                   const char *reason)
{
  FilRecorderStatus status;
  g_autofree char *kept = NULL;

  bench_wait_for (bench, bench_is_recorded);
  fil_live_get_recording (bench->live, &status);
  g_assert_cmpuint (status.frames, >=, 5);
  g_assert_cmpuint (bench_count_frames_in_clip (bench), ==, status.frames);
  kept = g_strdup_printf ("%" G_GUINT64_FORMAT " frames kept: ", status.frames);
  g_assert_true (g_str_has_prefix (fil_live_get_recording_error (bench->live), kept));
  g_assert_nonnull (strstr (fil_live_get_recording_error (bench->live), reason));
}

/* Adds a test that has a bench of its own. */
void
bench_add (const char *path,
           void      (*test) (Bench *, gconstpointer))
{
  g_test_add (path, Bench, NULL, set_up, test, tear_down);
}
