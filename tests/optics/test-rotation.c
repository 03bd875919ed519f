/* test-rotation.c: how fast the Sun turns, by latitude
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "fil-disc.h"
#include "fil-rotation.h"

#define DEG (G_PI / 180.0)

/* 14.713, −2.396, −1.787 (Snodgrass & Ulrich 1990, as transcribed) calculated
 * by hand at four latitudes. */
static void
test_doppler (void)
{
  static const struct { double latitude, rate; } rows[] = {
    { 0, 14.713 }, { 15, 14.545 }, { 30, 14.002 }, { 45, 13.068 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    for (int sign = -1; sign <= 1; sign += 2)
      g_assert_cmpfloat_with_epsilon (
        fil_rotation_deg_per_day (FIL_ROTATION_DOPPLER, sign * rows[i].latitude), rows[i].rate,
        6e-4);
}

/* sunpy 4.1.2, diff_rot (2 day, latitude, 'howard'): its docstring has
 * 27.36432679° at 30°, 22.05449682° at 70°. */
static void
test_small_magnetic (void)
{
  g_assert_cmpfloat_with_epsilon (
    2 * fil_rotation_deg_per_day (FIL_ROTATION_SMALL_MAGNETIC, 30), 27.36432679, 1e-8);
  g_assert_cmpfloat_with_epsilon (
    2 * fil_rotation_deg_per_day (FIL_ROTATION_SMALL_MAGNETIC, -70), 22.05449682, 1e-8);
}

/* Doppler features go round about 3 % faster than magnetic ones at the
 * latitudes of spots; the two magnetic sets agree within 1 %. */
static void
test_tracers (void)
{
  for (int latitude = 0; latitude <= 35; latitude += 5)
    {
      double magnetic = fil_rotation_deg_per_day (FIL_ROTATION_MAGNETIC, latitude);
      double small = fil_rotation_deg_per_day (FIL_ROTATION_SMALL_MAGNETIC, latitude);
      double doppler = fil_rotation_deg_per_day (FIL_ROTATION_DOPPLER, latitude);

      g_assert_cmpfloat (doppler / magnetic, >, 1.02);
      g_assert_cmpfloat (doppler / magnetic, <, 1.04);
      g_assert_cmpfloat (fabs (small / magnetic - 1), <, 0.01);
    }
}

static FilSun
sun_at (gint64 utc_s)
{
  FilSun sun;

  if (!fil_sun_compute (utc_s * 1000000000, NAN, NAN, NAN, &sun, NULL))
    g_assert_not_reached ();

  return sun;
}

/* A feature at the disc's centre moves by 0.16″ a minute, seen from the Earth:
 * some 13.3°/day to 13.7°/day, at 16.8″ a degree. All tracers, all seasons. */
static void
test_centre_drift (void)
{
  double sum = 0;

  for (int month = 0; month < 12; month++)
    for (guint r = 0; r < FIL_N_ROTATIONS; r++)
      {
        gint64 begin_s = G_GINT64_CONSTANT (1767225600) + month * 2629746, end_s = begin_s + 3600;
        FilSun begin = sun_at (begin_s), end = sun_at (end_s);
        double carrington, x[2], y[2], mu;

        carrington = fil_disc_carrington_deg (&begin, 0);
        fil_disc_to_angle (&begin, begin.b0_deg, 0, &x[0], &y[0], &mu);
        carrington = fil_rotation_carry_deg ((FilRotation) r, begin.b0_deg, carrington, 1 / 24.0);
        fil_disc_to_angle (&end, begin.b0_deg, fil_disc_stonyhurst_deg (&end, carrington), &x[1],
                           &y[1], &mu);
        g_test_message ("%.4f″ a minute", (x[1] - x[0]) / 60);
        g_assert_cmpfloat_with_epsilon ((x[1] - x[0]) / 60, 0.16, 0.01);
        if ((FilRotation) r == FIL_ROTATION_DOPPLER)
          sum += (x[1] - x[0]) / 60;
      }
  g_assert_cmpfloat_with_epsilon (sum / 12, 0.16, 0.003);
}

static void
test_carry (void)
{
  double there = fil_rotation_carry_deg (FIL_ROTATION_MAGNETIC, 25, 359.9, 12);

  g_assert_cmpfloat (there, >=, 0);
  g_assert_cmpfloat (there, <, 360);
  g_assert_cmpfloat (fabs (remainder (fil_rotation_carry_deg (FIL_ROTATION_MAGNETIC, 25, there,
                                                              -12) - 359.9, 360)), <, 1e-9);
  g_assert_cmpfloat (fil_rotation_carry_deg (FIL_ROTATION_DOPPLER, 0, 0, 1), >, 0.5);
  g_assert_cmpfloat (fil_rotation_carry_deg (FIL_ROTATION_DOPPLER, 60, 0, 1), >, 350);
}

static void
test_keys (void)
{
  FilRotation rotation = FIL_ROTATION_DOPPLER;

  for (guint i = 0; i < FIL_N_ROTATIONS; i++)
    {
      g_assert_true (fil_rotation_from_key (fil_rotation_to_key ((FilRotation) i), &rotation));
      g_assert_cmpint (rotation, ==, (FilRotation) i);
      g_assert_cmpint (strlen (fil_rotation_to_text (rotation)), >, 0);
      g_assert_cmpint (strlen (fil_rotation_get_source (rotation)), >, 0);
    }
  g_assert_false (fil_rotation_from_key ("", &rotation));
  g_assert_false (fil_rotation_from_key ("Magnetic", &rotation));
}

/* "--print": places carried over time, for rotation-check.py. */
static void
print_for_check (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (3);

  for (int i = 0; i < 60; i++)
    {
      gint64 utc_s = G_GINT64_CONSTANT (946684800) + 3600 * g_rand_int_range (random, 0, 230000);
      double latitude = g_rand_double_range (random, -50, 50);
      double longitude = g_rand_double_range (random, -90, 90);
      int hours = g_rand_int_range (random, -240, 240);
      FilSun then = sun_at (utc_s), later = sun_at (utc_s + 3600 * hours);
      double carrington = fil_disc_carrington_deg (&then, longitude);

      carrington = fil_rotation_carry_deg (FIL_ROTATION_SMALL_MAGNETIC, latitude, carrington,
                                           hours / 24.0);
      printf ("%" G_GINT64_FORMAT " %.17g %.17g %d %.17g\n", utc_s, latitude, longitude, hours,
              fil_disc_stonyhurst_deg (&later, carrington));
    }
}

int
main (int   argc,
      char *argv[])
{
  if (argc == 2 && g_str_equal (argv[1], "--print"))
    {
      print_for_check ();
      return 0;
    }

  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/rotation/doppler", test_doppler);
  g_test_add_func ("/rotation/small-magnetic", test_small_magnetic);
  g_test_add_func ("/rotation/tracers", test_tracers);
  g_test_add_func ("/rotation/centre-drift", test_centre_drift);
  g_test_add_func ("/rotation/carry", test_carry);
  g_test_add_func ("/rotation/keys", test_keys);

  return g_test_run ();
}
