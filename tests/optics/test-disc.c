/* test-disc.c: places on the Sun against sunpy, and there and back
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include "fil-disc.h"

#define DEG (G_PI / 180.0)

static const struct
{
  const char *when;
  double      latitude, longitude;   /* heliographic, Stonyhurst */
  double      x, y, mu;              /* arcsec */
  double      carrington;
} golden[] = {
  /* sunpy 4.1.2 and astropy 5.2.1, by tests/optics/disc-golden.py */
  { "2009-12-09 06:09", -41.597673, 104.474975, 704.5678, -646.5550, -0.1894260, 76.9367 },
  { "1997-05-29 21:29", -64.598372, 11.267837, 79.4688, -850.0396, 0.4311956, 268.1498 },
  { "2021-07-08 03:54", -56.164775, 75.347023, 508.4409, -790.8425, 0.0832990, 31.8988 },
  { "2004-08-24 01:29", 44.256294, 1.331980, 15.8552, 576.3172, 0.7942269, 288.9110 },
  { "2013-12-27 20:22", 20.351815, 159.861967, 313.5167, 300.0184, -0.8955834, 43.9509 },
  { "2004-11-22 04:21", -46.717217, 69.172698, 623.0409, -715.4423, 0.2144063, 247.6688 },
  { "2009-05-25 06:37", -17.682941, 9.930674, 156.2767, -265.9813, 0.9454515, 77.6417 },
  { "2001-09-27 14:23", -1.890757, -25.461835, -412.9800, -135.1468, 0.8910139, 231.9371 },
  { "1998-01-22 01:20", 25.063154, -158.772539, -318.3463, 334.9630, -0.8804597, 207.1090 },
  { "2003-02-04 20:51", -20.722497, -2.240895, -35.7465, -244.1070, 0.9673195, 200.7752 },
  { "2024-06-08 05:01", 61.579748, -77.332543, -439.0321, 831.1178, 0.1033809, 209.8115 },
  { "2026-05-31 16:43", -55.729213, 52.477229, 423.2350, -778.8876, 0.3495650, 163.9415 },
  { "2016-08-09 06:36", -24.445767, -132.417409, -633.9929, -323.9580, -0.6586421, 100.3038 },
  { "2012-02-09 22:18", 1.237061, 76.283681, 945.3304, 47.1959, 0.2285845, 28.2290 },
  { "2000-03-16 22:23", -44.905024, 68.373435, 635.7568, -645.1305, 0.3424118, 156.3653 },
  { "2023-10-08 19:07", 39.985877, -23.764152, -297.4718, 540.8712, 0.7658704, 233.5951 },
  { "2021-04-03 14:38", 67.312625, 41.782902, 246.7422, 911.0533, 0.1785064, 181.9206 },
  { "2010-02-09 14:52", 36.327958, -18.298685, -246.7120, 659.2623, 0.6897336, 212.8579 },
  { "1997-07-01 19:48", 1.353798, -12.649111, -207.4636, -25.5941, 0.9751453, 168.3749 },
  { "2022-07-09 05:33", 6.307456, -77.215975, -915.4995, 90.0501, 0.2222638, 87.6505 },
  { "2020-10-18 05:05", -17.434033, 150.827686, 445.9578, -207.8468, -0.8595654, 336.6675 },
  { "2006-09-02 03:47", 61.134604, 39.704689, 293.8254, 783.3773, 0.4747884, 292.0094 },
  { "1997-07-10 17:55", 61.855740, -34.803694, -254.5404, 806.6899, 0.4429832, 28.1448 },
  { "2025-08-25 13:17", 52.847710, 31.073195, 296.6565, 692.3685, 0.6083092, 224.2274 },
};

static gint64
parse_utc (const char *text)
{
  g_autoptr (GTimeZone) utc = g_time_zone_new_utc ();
  g_autofree char *iso = g_strdup_printf ("%.10sT%s:00", text, text + 11);
  g_autoptr (GDateTime) time = g_date_time_new_from_iso8601 (iso, utc);

  g_assert_nonnull (time);

  return g_date_time_to_unix (time) * 1000000000;
}

static FilSun
sun_at (const char *when)
{
  g_autoptr (GError) error = NULL;
  FilSun sun;

  g_assert_true (fil_sun_compute (parse_utc (when), NAN, NAN, NAN, &sun, &error));
  g_assert_no_error (error);

  return sun;
}

/* Our own ephemeris has its part in this: B0 within 0.001° is 0.016″. */
static void
test_golden (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (golden); i++)
    {
      FilSun sun = sun_at (golden[i].when);
      double x, y, mu, latitude, longitude;
      gboolean seen = fil_disc_to_angle (&sun, golden[i].latitude, golden[i].longitude, &x, &y,
                                         &mu);

      g_test_message ("%s: off by %.4f″, %.4f″", golden[i].when, x - golden[i].x,
                      y - golden[i].y);
      g_assert_cmpfloat_with_epsilon (x, golden[i].x, 0.01);
      g_assert_cmpfloat_with_epsilon (y, golden[i].y, 0.01);
      g_assert_cmpfloat_with_epsilon (mu, golden[i].mu, 1e-5);
      g_assert_true (seen == (golden[i].mu > 0.0));
      g_assert_cmpfloat (fabs (remainder (fil_disc_carrington_deg (&sun, golden[i].longitude) -
                                          golden[i].carrington, 360.0)), <=, 0.005);

      if (!seen)
        continue;
      g_assert_true (fil_disc_from_angle (&sun, golden[i].x, golden[i].y, &latitude, &longitude,
                                          &mu));
      g_assert_cmpfloat_with_epsilon (latitude, golden[i].latitude, 1e-3);
      g_assert_cmpfloat_with_epsilon (longitude, golden[i].longitude, 1e-3);
      g_assert_cmpfloat_with_epsilon (mu, golden[i].mu, 1e-5);
    }
}

/* The apparent limb: sin (rho) = R/D, and the line of sight grazes there. */
static void
test_limb (void)
{
  FilSun sun = sun_at ("2026-01-03 12:00");
  double rho = sun.semidiameter_arcsec;

  for (int angle = 0; angle < 360; angle += 15)
    {
      double x = sin (angle * DEG), y = cos (angle * DEG);
      double latitude, longitude, mu, back_x, back_y;

      g_assert_true (fil_disc_from_angle (&sun, (rho - 1e-3) * x, (rho - 1e-3) * y, &latitude,
                                          &longitude, &mu));
      g_assert_cmpfloat (mu, <, 0.002);
      g_assert_true (fil_disc_to_angle (&sun, latitude, longitude, &back_x, &back_y, &mu));
      g_assert_cmpfloat_with_epsilon (hypot (back_x, back_y), rho - 1e-3, 1e-4);

      g_assert_false (fil_disc_from_angle (&sun, (rho + 0.02) * x, (rho + 0.02) * y, &latitude,
                                           &longitude, &mu));
      g_assert_true (isnan (latitude) && isnan (longitude) && isnan (mu));
    }
}

/* The horizon of the Earth on the Sun is 90° less the semidiameter away from
 * the middle. */
static void
test_horizon (void)
{
  FilSun sun = { .distance_au = 1.0, .b0_deg = 0.0 };
  double horizon_deg = acos (FIL_SUN_RADIUS_KM / FIL_AU_KM) / DEG, x, y, mu;

  g_assert_cmpfloat_with_epsilon (horizon_deg, 90.0 - 959.23 / 3600, 1e-4);
  g_assert_true (fil_disc_to_angle (&sun, 0.0, horizon_deg - 1e-4, &x, &y, &mu));
  g_assert_cmpfloat_with_epsilon (x, 959.23, 0.01);
  g_assert_false (fil_disc_to_angle (&sun, 0.0, horizon_deg + 1e-4, &x, &y, &mu));
  g_assert_cmpfloat_with_epsilon (x, 959.23, 0.01);
}

static void
test_round_trip (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (7);

  for (int i = 0; i < 20000; i++)
    {
      FilSun sun = {
        .distance_au = g_rand_double_range (random, 0.98, 1.02),
        .b0_deg = g_rand_double_range (random, -7.3, 7.3),
      };
      double latitude = asin (g_rand_double_range (random, -1, 1)) / DEG;
      double longitude = g_rand_double_range (random, -180, 180);
      double x, y, mu, back_latitude, back_longitude, back_mu;

      if (!fil_disc_to_angle (&sun, latitude, longitude, &x, &y, &mu) || mu < 0.01)
        continue;
      g_assert_true (fil_disc_from_angle (&sun, x, y, &back_latitude, &back_longitude, &back_mu));
      g_assert_cmpfloat_with_epsilon (back_latitude, latitude, 1e-6);
      g_assert_cmpfloat_with_epsilon (remainder (back_longitude - longitude, 360.0) *
                                      cos (latitude * DEG), 0.0, 1e-6);
      g_assert_cmpfloat_with_epsilon (back_mu, mu, 1e-8);
    }
}

static void
test_longitudes (void)
{
  FilSun sun = { .l0_deg = 350.0 };

  g_assert_cmpfloat_with_epsilon (fil_disc_carrington_deg (&sun, 20.0), 10.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (fil_disc_carrington_deg (&sun, -20.0), 330.0, 1e-9);
  g_assert_cmpfloat (fil_disc_carrington_deg (&sun, 10.0), ==, 0.0);
  g_assert_cmpfloat_with_epsilon (fil_disc_stonyhurst_deg (&sun, 10.0), 20.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (fil_disc_stonyhurst_deg (&sun, 170.0), -180.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (fil_disc_stonyhurst_deg (&sun, 169.0), 179.0, 1e-9);
  /* Rounding must not give 360. */
  sun.l0_deg = 0.0;
  g_assert_cmpfloat (fil_disc_carrington_deg (&sun, -1e-15), <, 360.0);
}

static void
test_nothing (void)
{
  FilSun sun = { .distance_au = 1.0 };
  double latitude, longitude, mu;

  g_assert_false (fil_disc_from_angle (&sun, NAN, 0.0, &latitude, &longitude, &mu));
  g_assert_false (fil_disc_from_angle (&sun, 0.0, INFINITY, &latitude, &longitude, &mu));
  /* The other way round the sky. */
  g_assert_false (fil_disc_from_angle (&sun, 180 * 3600, 0.0, &latitude, &longitude, &mu));
  g_assert_true (fil_disc_from_angle (&sun, 0.0, 0.0, &latitude, &longitude, &mu));
  g_assert_cmpfloat (mu, ==, 1.0);
}

/* "--print": seeded dates and places with what we make of them, for
 * disc-check.py. */
static void
print_for_check (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (11);

  for (int day = 0; day < 8; day++)
    {
      gint64 utc_s = G_GINT64_CONSTANT (946684800) + 86400 * g_rand_int_range (random, 0, 9800) +
                     60 * g_rand_int_range (random, 0, 1440);
      FilSun sun;

      if (!fil_sun_compute (utc_s * 1000000000, NAN, NAN, NAN, &sun, NULL))
        g_assert_not_reached ();
      printf ("sun %" G_GINT64_FORMAT " %.17g %.17g\n", utc_s, sun.b0_deg, sun.distance_au);
      for (int i = 0; i < 250; i++)
        {
          double latitude = asin (g_rand_double_range (random, -1, 1)) / DEG;
          double longitude = g_rand_double_range (random, -180, 180), x, y, mu;

          fil_disc_to_angle (&sun, latitude, longitude, &x, &y, &mu);
          printf ("to %.17g %.17g %.17g %.17g %.17g\n", latitude, longitude, x, y, mu);
        }
      for (int i = 0; i < 250; i++)
        {
          double angle = g_rand_double_range (random, 0, 360) * DEG;
          double radius = 0.998 * sun.semidiameter_arcsec * sqrt (g_rand_double (random));
          double x = radius * sin (angle), y = radius * cos (angle), latitude, longitude, mu;

          fil_disc_from_angle (&sun, x, y, &latitude, &longitude, &mu);
          printf ("from %.17g %.17g %.17g %.17g %.17g\n", latitude, longitude, x, y, mu);
        }
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

  g_test_add_func ("/disc/golden", test_golden);
  g_test_add_func ("/disc/limb", test_limb);
  g_test_add_func ("/disc/horizon", test_horizon);
  g_test_add_func ("/disc/round-trip", test_round_trip);
  g_test_add_func ("/disc/longitudes", test_longitudes);
  g_test_add_func ("/disc/nothing", test_nothing);

  return g_test_run ();
}
