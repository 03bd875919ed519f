/* test-live-drift.c: the guided run, on the simulated Sun
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The simulated day and the scale of its demo rig are known: 2.9 µm at 2040 mm,
 * north up, mirrored. */

#include <math.h>

#include "fil-live-drift.h"
#include "live-bench.h"

#define PATIENCE_S 200   /* without a frame that was followed */
#define SIM  "sim:paced=no,fps=15,width=720,height=480,seed=3,r0_mm=60,target=quiet,"

typedef struct
{
  FilLive *live;
  guint    changes;
} Run;

static void
count_change (FilLive *live,
              Run     *run)
{
  run->changes++;
}

static void
open_sim (Run        *run,
          const char *name)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_new_demo ();

  run->live = fil_live_new ();
  run->changes = 0;
  g_signal_connect (run->live, "drift-changed", G_CALLBACK (count_change), run);
  fil_live_open (run->live, name, rig, NULL, &error);
  g_assert_no_error (error);
  fil_live_start (run->live, NULL, &error);
  g_assert_no_error (error);
  fil_rig_unref (rig);
}

static void
close_sim (Run *run)
{
  fil_live_close (run->live);
  g_clear_object (&run->live);
}

/* Patience ends where the run stands still, not where the machine is slow.
 *
 * Returns: the state that came, @state or one that ends a run */
static FilLiveDriftState
wait_for (Run               *run,
          FilLiveDriftState  state,
          FilLiveDrift      *drift)
{
  gint64 end_us = 0;
  double seconds = -1.0;

  do
    {
      fil_live_iterate (run->live, TRUE);
      fil_live_get_drift (run->live, drift);
      if (drift->seconds != seconds)
        end_us = g_get_monotonic_time () + PATIENCE_S * G_USEC_PER_SEC;
      seconds = drift->seconds;
    }
  while (drift->state != state && drift->state != FIL_LIVE_DRIFT_DONE &&
         drift->state != FIL_LIVE_DRIFT_FAILED && g_get_monotonic_time () < end_us);

  return drift->state;
}

static void
begin (Run    *run,
       double  seconds)
{
  g_autoptr (GError) error = NULL;

  fil_live_begin_drift_for (run->live, seconds, &error);
  g_assert_no_error (error);
}

static void
test_runs (void)
{
  const double scale = 2.9e-3 / 2040.0 * 180.0 / G_PI * 3600.0;
  FilLiveDrift drift;
  FilPlace place = { .oriented = TRUE, .mirrored = TRUE };
  Run run;

  open_sim (&run, SIM "drive=off");
  begin (&run, FIL_LIVE_DRIFT_S);
  g_assert_cmpint (wait_for (&run, FIL_LIVE_DRIFT_RUNNING, &drift), ==, FIL_LIVE_DRIFT_RUNNING);
  g_assert_cmpfloat (drift.seconds, <=, FIL_LIVE_DRIFT_S);
  g_assert_cmpint (wait_for (&run, FIL_LIVE_DRIFT_DONE, &drift), ==, FIL_LIVE_DRIFT_DONE);
  g_test_message ("scale off by %.2f %%, angle %.2f°, %.1f s, %u frames",
                  100.0 * (drift.drift.plate_scale_arcsec_per_px / scale - 1.0),
                  drift.drift.position_angle_deg, drift.drift.seconds, drift.drift.n_frames);
  g_assert_cmpfloat_with_epsilon (drift.drift.plate_scale_arcsec_per_px, scale, 0.01 * scale);
  g_assert_cmpfloat (fabs (remainder (drift.drift.position_angle_deg, 360.0)), <, 0.7);
  g_assert_cmpfloat_with_epsilon (drift.drift.seconds, FIL_LIVE_DRIFT_S, 3.0);
  g_assert_true (drift.drift.mirrored);
  g_assert_cmpuint (run.changes, >, 2);

  place.plate_scale_arcsec_per_px = scale;
  place.position_angle_error_deg = 0.3;
  g_assert_true (fil_drift_agrees (&drift.drift, &place, NULL, NULL));
  fil_live_cancel_drift (run.live);
  g_assert_false (fil_live_get_drift (run.live, &drift));
  close_sim (&run);
}

/* With the drive on nothing happens until the run is cancelled; what comes
 * from it later is dropped. */
static void
test_waits (void)
{
  FilLiveDrift drift;
  Run run;

  open_sim (&run, SIM "drive=on");
  begin (&run, 5.0);
  for (int i = 0; i < 100; i++)
    {
      fil_live_iterate (run.live, TRUE);
      g_assert_true (fil_live_get_drift (run.live, &drift));
      g_assert_cmpint (drift.state, ==, FIL_LIVE_DRIFT_WAITING);
    }
  fil_live_cancel_drift (run.live);
  for (int i = 0; i < 10; i++)
    fil_live_iterate (run.live, TRUE);
  g_assert_false (fil_live_get_drift (run.live, &drift));
  close_sim (&run);
}

static void
set_drive (Run      *run,
           gboolean  on)
{
  g_autoptr (GPtrArray) controls = fil_source_list_controls (fil_live_get_source (run->live));
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < controls->len; i++)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      if (control->type == FIL_CONTROL_BOOLEAN)
        fil_live_set_control (run->live, control->id, g_variant_new_boolean (on), &error);
      g_assert_no_error (error);
    }
}

/* Started again before the picture has crossed half of the field. */
static void
test_drive_again (void)
{
  FilLiveDrift drift;
  Run run;

  open_sim (&run, SIM "drive=off");
  begin (&run, 30.0);
  g_assert_cmpint (wait_for (&run, FIL_LIVE_DRIFT_RUNNING, &drift), ==, FIL_LIVE_DRIFT_RUNNING);
  while (drift.seconds < 1.0 && drift.state == FIL_LIVE_DRIFT_RUNNING)
    wait_for (&run, FIL_LIVE_DRIFT_RUNNING, &drift);
  set_drive (&run, TRUE);
  wait_for (&run, FIL_LIVE_DRIFT_DONE, &drift);
  g_test_message ("%s", drift.text);
  g_assert_cmpint (drift.state, ==, FIL_LIVE_DRIFT_FAILED);
  g_assert_cmpuint (strlen (drift.text), >, 10);
  close_sim (&run);
}

static void
test_stream_ends (void)
{
  g_autoptr (GError) error = NULL;
  FilLiveDrift drift;
  Run run;

  open_sim (&run, SIM "drive=off");
  begin (&run, 60.0);
  wait_for (&run, FIL_LIVE_DRIFT_RUNNING, &drift);
  fil_live_stop (run.live);
  fil_live_get_drift (run.live, &drift);
  g_assert_cmpint (drift.state, ==, FIL_LIVE_DRIFT_FAILED);
  g_assert_cmpuint (strlen (drift.text), >, 10);
  g_assert_false (fil_live_begin_drift (run.live, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_FRAME);
  g_clear_error (&error);
  fil_live_close (run.live);
  g_assert_false (fil_live_begin_drift (run.live, &error));
  g_assert_error (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_SOURCE);
  close_sim (&run);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/live-drift/runs", test_runs);
  g_test_add_func ("/live-drift/waits", test_waits);
  g_test_add_func ("/live-drift/drive-again", test_drive_again);
  g_test_add_func ("/live-drift/stream-ends", test_stream_ends);

  return g_test_run ();
}
