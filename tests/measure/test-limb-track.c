/* test-limb-track.c: the disc's centre over several looks
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-limb-track.h"

#define SECOND G_GINT64_CONSTANT (1000000000)

static FilLimb
look_at (double x,
         double y,
         double error)
{
  return (FilLimb) { .seen = TRUE, .centre_x = x, .centre_y = y, .radius_px = 1000.0, .error_px = error,
                     .error_across_px = 0.5 * error, .arc_deg = 20.0, .n_points = 300 };
}

/* Normal, by twelve even ones; the seed is the test's. */
static double
normal (GRand *random)
{
  double sum = -6.0;

  for (int i = 0; i < 12; i++)
    sum += g_rand_double (random);

  return sum;
}

/* Five looks a second with an error of 4 px: the mean is nearer than each. */
static void
test_steady (void)
{
  g_autoptr (FilLimbTrack) track = fil_limb_track_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (3);
  double squares = 0.0;
  FilLimb steady;

  for (int i = 0; i < 200; i++)
    {
      FilLimb look = look_at (-500.0 + 4.0 * normal (random), 300.0, 4.0);
      guint n = fil_limb_track_add (track, &look, i * SECOND / 5, &steady);

      g_assert_true (steady.seen);
      g_assert_cmpint (steady.n_points, ==, 300);
      if (i < 20)
        continue;
      g_assert_cmpuint (n, >=, 10);
      squares += (steady.centre_x + 500.0) * (steady.centre_x + 500.0) / 180.0;
      g_assert_cmpfloat (steady.error_px, <, 3.2);
      g_assert_cmpfloat (steady.error_px, >, 0.8);
    }
  g_test_message ("scatter of the steadied centre %.2f px", sqrt (squares));
  g_assert_cmpfloat (sqrt (squares), <, 2.2);
}

/* An even drift of 50 px/s isn't followed a second late. */
static void
test_drift (void)
{
  g_autoptr (FilLimbTrack) track = fil_limb_track_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (4);
  double squares = 0.0;
  FilLimb steady;

  for (int i = 0; i < 100; i++)
    {
      double x = 50.0 * i / 5.0;
      FilLimb look = look_at (x + normal (random), 300.0 + normal (random), 4.0);

      fil_limb_track_add (track, &look, i * SECOND / 5, &steady);
      if (i >= 10)
        squares += (steady.centre_x - x) * (steady.centre_x - x) / 90.0;
    }
  g_test_message ("behind an even drift by %.2f px", sqrt (squares));
  g_assert_cmpfloat (sqrt (squares), <, 1.5);
}

static void
test_jump (void)
{
  g_autoptr (FilLimbTrack) track = fil_limb_track_new ();
  FilLimb here = look_at (100.0, 100.0, 2.0), there = look_at (400.0, 100.0, 2.0), steady;

  for (int i = 0; i < 8; i++)
    fil_limb_track_add (track, &here, i * SECOND / 5, &steady);
  g_assert_cmpuint (fil_limb_track_add (track, &there, 8 * SECOND / 5, &steady), ==, 1);
  g_assert_cmpfloat (steady.centre_x, ==, 400.0);
  g_assert_cmpfloat (steady.error_px, ==, 2.0);
}

static void
test_unseen (void)
{
  g_autoptr (FilLimbTrack) track = fil_limb_track_new ();
  FilLimb look = look_at (100.0, 100.0, 2.0), none = { .reason = FIL_LIMB_DARK }, steady;

  fil_limb_track_add (track, &none, 0, &steady);
  g_assert_false (steady.seen);
  g_assert_cmpint (steady.reason, ==, FIL_LIMB_DARK);

  fil_limb_track_add (track, &look, SECOND, &steady);
  fil_limb_track_add (track, &none, SECOND + SECOND / 2, &steady);
  g_assert_true (steady.seen);
  g_assert_cmpfloat (steady.centre_x, ==, 100.0);
  fil_limb_track_add (track, &none, SECOND + SECOND * 7 / 10, &steady);
  g_assert_false (steady.seen);
  g_assert_cmpint (steady.reason, ==, FIL_LIMB_DARK);
}

/* A replay that begins again, and a reset. */
static void
test_begins_again (void)
{
  g_autoptr (FilLimbTrack) track = fil_limb_track_new ();
  FilLimb look = look_at (100.0, 100.0, 2.0), steady;

  g_assert_cmpuint (fil_limb_track_add (track, &look, 10 * SECOND, &steady), ==, 1);
  g_assert_cmpuint (fil_limb_track_add (track, &look, 10 * SECOND + 1, &steady), ==, 2);
  g_assert_cmpuint (fil_limb_track_add (track, &look, 3 * SECOND, &steady), ==, 1);
  g_assert_cmpuint (fil_limb_track_add (track, &look, 20 * SECOND, &steady), ==, 1);
  fil_limb_track_reset (track);
  g_assert_cmpuint (fil_limb_track_add (track, &look, 20 * SECOND + 1, &steady), ==, 1);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/limb-track/steady", test_steady);
  g_test_add_func ("/limb-track/drift", test_drift);
  g_test_add_func ("/limb-track/jump", test_jump);
  g_test_add_func ("/limb-track/unseen", test_unseen);
  g_test_add_func ("/limb-track/begins-again", test_begins_again);

  return g_test_run ();
}
