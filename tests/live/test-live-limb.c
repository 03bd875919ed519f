/* test-live-limb.c: the limb in what comes from the simulated Sun
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The simulated Sun stands at 1 au (semidiameter 959.23″, IAU 2015 resolution
 * B3); the limb's target is 12° north of west; the demo rig mirrors, so that
 * west is to the left: the disc's centre lies to the right of the picture. */

#include <math.h>

#include "live-bench.h"

#define SCALE  (206264.80624709636 * 2.9e-6 / 2.04)   /* demo rig: 2.9 µm, 2040 mm */
#define RADIUS (959.23 / SCALE)
#define WIDTH  640
#define HEIGHT 480
#define SIZE   "width=640,height=480,fps=20,r0_mm=60"

static void
open_sun (Bench      *bench,
          const char *settings)
{
  g_autofree char *name = g_strdup_printf ("sim:%s,%s", SIZE, settings);
  g_autoptr (GError) error = NULL;

  fil_live_open (bench->live, name, bench->rig, NULL, &error);
  g_assert_no_error (error);
  bench_start (bench, NULL);
}

static FilLimb
get_limb (Bench *bench)
{
  FilLiveReading reading;

  fil_live_get_reading (bench->live, &reading);

  return reading.limb;
}

static gboolean
sees_limb (Bench *bench)
{
  return get_limb (bench).seen;
}

static gboolean
sees_no_limb (Bench *bench)
{
  return !get_limb (bench).seen;
}

static gboolean
tells_reason (Bench *bench)
{
  return get_limb (bench).reason != FIL_LIMB_SEEN;
}

static double
get_miss (Bench *bench)
{
  FilLimb limb = get_limb (bench);
  FilFrame *frame = fil_live_dup_frame (bench->live);
  double x, y;

  g_assert_true (limb.seen && frame != NULL && frame->truth.known);
  x = 0.5 * (WIDTH + 1) + RADIUS * cos (12.0 / 180.0 * G_PI) + frame->truth.shift_x_px;
  y = 0.5 * (HEIGHT + 1) - RADIUS * sin (12.0 / 180.0 * G_PI) + frame->truth.shift_y_px;
  fil_frame_unref (frame);

  return hypot (limb.centre_x - x, limb.centre_y - y);
}

/* Not before it is wished, and no longer than that. */
static void
test_wished (Bench        *bench,
             gconstpointer data)
{
  FilLimb limb;

  open_sun (bench, "target=limb,seed=3");
  bench_wait_for (bench, bench_is_measured);
  bench_turn_for_ms (bench, 300);
  limb = get_limb (bench);
  g_assert_false (limb.seen);
  g_assert_cmpint (limb.n_points, ==, 0);

  fil_live_set_limb_wanted (bench->live, RADIUS, FALSE);
  bench_wait_for (bench, sees_limb);
  bench_turn_for_ms (bench, 800);
  limb = get_limb (bench);
  g_test_message ("off by %.2f px, error %.2f px, arc %.1f°", get_miss (bench), limb.error_px,
                  limb.arc_deg);
  g_assert_cmpfloat (get_miss (bench), <, 0.02 * RADIUS);
  g_assert_cmpfloat (limb.error_px, >, 0.0);
  g_assert_cmpfloat (limb.error_px, <, 0.02 * RADIUS);
  g_assert_cmpfloat (limb.radius_px, ==, RADIUS);

  fil_live_set_limb_wanted (bench->live, 0.0, FALSE);
  bench_wait_for (bench, sees_no_limb);
}

/* With the drive off the centre goes west, 15 arcsec a second and less: to the
 * left here, 40 to 60 px a second. */
static void
test_drift (Bench        *bench,
            gconstpointer data)
{
  double begin_x, begin_y, moved_x, seconds;
  gint64 begin_us;
  FilLimb limb;

  open_sun (bench, "target=limb,drive=off,seed=5");
  fil_live_set_limb_wanted (bench->live, RADIUS, FALSE);
  bench_wait_for (bench, sees_limb);
  limb = get_limb (bench);
  begin_x = limb.centre_x;
  begin_y = limb.centre_y;
  begin_us = g_get_monotonic_time ();
  bench_turn_for_ms (bench, 2500);

  limb = get_limb (bench);
  seconds = (double) (g_get_monotonic_time () - begin_us) / G_USEC_PER_SEC;
  g_assert_true (limb.seen);
  moved_x = limb.centre_x - begin_x;
  g_test_message ("moved by %.1f, %.1f px in %.1f s; off by %.1f px, error %.1f px", moved_x,
                  limb.centre_y - begin_y, seconds, get_miss (bench), limb.error_px);
  g_assert_cmpfloat (moved_x, <, -20.0 * seconds);
  g_assert_cmpfloat (moved_x, >, -70.0 * seconds);
  g_assert_cmpfloat (get_miss (bench), <, 0.02 * RADIUS);
}

/* Clouds may hide it; what is seen is never wild. */
static void
test_clouds (Bench        *bench,
             gconstpointer data)
{
  guint seen = 0;

  open_sun (bench, "target=limb,clouds=0.8,seed=2");
  fil_live_set_limb_wanted (bench->live, RADIUS, FALSE);
  for (int i = 0; i < 12; i++)
    {
      bench_turn_for_ms (bench, 200);
      if (!get_limb (bench).seen)
        continue;
      seen++;
      g_assert_cmpfloat (get_miss (bench), <, 0.02 * RADIUS);
    }
  g_test_message ("seen %u times of 12", seen);
}

static void
test_quiet (Bench        *bench,
            gconstpointer data)
{
  open_sun (bench, "target=quiet,seed=2");
  fil_live_set_limb_wanted (bench->live, RADIUS, FALSE);
  bench_wait_for (bench, tells_reason);
  for (int i = 0; i < 5; i++)
    {
      bench_turn_for_ms (bench, 200);
      g_assert_false (get_limb (bench).seen);
    }
  g_assert_cmpint (get_limb (bench).reason, ==, FIL_LIMB_FEATURELESS);
}

/* A recording has no time for it; afterwards it goes on. */
static void
test_recording (Bench        *bench,
                gconstpointer data)
{
  open_sun (bench, "target=limb,seed=3");
  fil_live_set_limb_wanted (bench->live, RADIUS, FALSE);
  bench_wait_for (bench, sees_limb);
  bench_record (bench, 0);
  bench_wait_for (bench, sees_no_limb);
  bench_wait_for (bench, bench_has_recorded_some);
  g_assert_false (get_limb (bench).seen);
  fil_live_finish_recording (bench->live);
  bench_wait_for (bench, bench_is_recorded);
  bench_wait_for (bench, sees_limb);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  bench_add ("/live/limb/wished", test_wished);
  bench_add ("/live/limb/drift", test_drift);
  bench_add ("/live/limb/clouds", test_clouds);
  bench_add ("/live/limb/quiet", test_quiet);
  bench_add ("/live/limb/recording", test_recording);

  return g_test_run ();
}
