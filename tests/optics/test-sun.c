/* test-sun.c: the Sun's place and turn against almanacs and reference libraries
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-sun.h"

#define TT_MINUS_UTC_2013_S 67.184   /* 32.184 s + 35 leap seconds */

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
compute (gint64 utc_ns,
         double latitude_deg,
         double longitude_deg,
         double height_m)
{
  g_autoptr (GError) error = NULL;
  FilSun sun;

  g_assert_true (fil_sun_compute (utc_ns, latitude_deg, longitude_deg, height_m, &sun, &error));
  g_assert_no_error (error);

  return sun;
}

static void
assert_within (const char *what,
               double      got,
               double      expected,
               double      tolerance)
{
  g_test_message ("%s: %.7g, expected %.7g ± %g", what, got, expected, tolerance);
  g_assert_cmpfloat (fabs (got - expected), <=, tolerance);
}

/* Angles that may stand on either side of 0/360. */
static void
assert_angle (const char *what,
              double      got_deg,
              double      expected_deg,
              double      tolerance_deg)
{
  assert_within (what, remainder (got_deg - expected_deg, 360.0), 0.0, tolerance_deg);
}

/* Meeus, Astronomical Algorithms, 2nd ed. 1998, example 29.a: 1992 October 13
 * at 0h UT; and pages 165 to 169, 191 for 0h TD, with the Astronomical
 * Almanac 1992, C16, for the apparent place. */
static void
test_meeus (void)
{
  FilSun sun = compute (parse_utc ("1992-10-13 00:00"), NAN, NAN, NAN);

  assert_within ("P", sun.p_deg, 26.27, 0.005);
  assert_within ("B0", sun.b0_deg, 5.99, 0.005);
  assert_within ("L0", sun.l0_deg, 238.63, 0.02);
  /* Page 191, compared at 0h UT as in sunpy's test. */
  assert_within ("R", sun.distance_au, 0.997608, 5e-7);

  /* 0h TD is 59.184 s earlier. Example 25.b (from memory): R = 0.99760853. */
  sun = compute (parse_utc ("1992-10-13 00:00") - G_GINT64_CONSTANT (59184000000), NAN, NAN, NAN);
  assert_within ("R", sun.distance_au, 0.99760853, 2e-8);
  assert_within ("RA", sun.ra_deg, (13 + 13 / 60.0 + 30.75 / 3600) * 15, 0.005 * 15 / 3600);
  assert_within ("Dec", sun.dec_deg, -(7 + 47 / 60.0 + 1.7 / 3600), 0.05 / 3600);
}

/* 2013, the first of each month, 0h TT: the Astronomical Almanac 2013, C8 to
 * C13, and JPL HORIZONS, both as transcribed in sunpy 4.1.2, tests/test_sun.py
 * and test_ephemeris.py. The almanac's L0 contains the aberration of 20.496″
 * and the light time to the Sun's centre, ours and HORIZONS' not the first and
 * the time to its surface. NaN: not in the source. */
static void
test_months (void)
{
  static const struct { double p, b0, l0, r, r_tolerance, horizons_b0, horizons_l0; } months[] = {
    { NAN, -3.03, 326.98, 0.9832947, 5e-7, -3.034687, 326.989970 },
    { NAN, NAN, 278.78, NAN, NAN, -6.031910, 278.789894 },
    { NAN, -7.22, 270.07, 0.9908173, 5e-7, -7.219984, 270.072186 },
    { -26.15, -6.54, 221.44, 0.9992311, 5e-8, -6.543092, 221.440599 },
    { NAN, NAN, 185.30, NAN, NAN, -4.168016, 185.306476 },
    { NAN, -0.66, 135.30, 1.0140013, 5e-7, -0.663804, 135.303097 },
    { NAN, NAN, 98.22, NAN, NAN, 2.873030, 98.221806 },
    { NAN, NAN, 48.03, NAN, NAN, 5.784693, 48.035951 },
    { NAN, 7.19, 358.28, 1.0092561, 5e-7, 7.194559, 358.289921 },
    { NAN, NAN, 322.22, NAN, NAN, 6.719875, 322.226009 },
    { NAN, NAN, 273.31, NAN, NAN, 4.378979, 273.315206 },
    { 16.05, 0.88, 237.83, 0.9861362, 5e-8, 0.881068, 237.836959 },
  };
  double to_surface_deg = 14.1844 * FIL_SUN_RADIUS_KM / 299792.458 / 86400;

  for (guint i = 0; i < G_N_ELEMENTS (months); i++)
    {
      g_autofree char *day = g_strdup_printf ("2013-%02u-01 00:00", i + 1);
      gint64 utc_ns = parse_utc (day) - (gint64) (TT_MINUS_UTC_2013_S * 1e9);
      FilSun sun = compute (utc_ns, NAN, NAN, NAN);
      double almanac_l0 = sun.l0_deg - 20.496 / 3600 / sun.distance_au + to_surface_deg;

      g_test_message ("%s", day);
      assert_angle ("L0, almanac", almanac_l0, months[i].l0, 0.005);
      assert_angle ("L0, HORIZONS", sun.l0_deg, months[i].horizons_l0, 5e-6);
      assert_within ("B0, HORIZONS", sun.b0_deg, months[i].horizons_b0, 5e-6);
      if (!isnan (months[i].p))
        assert_within ("P", sun.p_deg, months[i].p, 0.01);
      if (!isnan (months[i].b0))
        assert_within ("B0", sun.b0_deg, months[i].b0, 0.005);
      if (!isnan (months[i].r))
        assert_within ("R", sun.distance_au, months[i].r, months[i].r_tolerance);
    }
}

/* The same source, C12: apparent place, 2013 June 17 at 0h TT. */
static void
test_almanac_place (void)
{
  FilSun sun = compute (parse_utc ("2013-06-17 00:00") - (gint64) (TT_MINUS_UTC_2013_S * 1e9), NAN,
                        NAN, NAN);

  assert_within ("RA", sun.ra_deg, (5 + 42 / 60.0 + 28.88 / 3600) * 15, 0.005 * 15 / 3600);
  assert_within ("Dec", sun.dec_deg, 23 + 22 / 60.0 + 27.8 / 3600, 0.05 / 3600);
}

/* Beginnings of rotations: the Astronomical Almanac 2013, C4, in TT, to a
 * hundredth of a day; and Meeus, ch. 29: rotation 1699 at JDE 2444480.7230. */
static void
test_rotations (void)
{
  double aberration = 20.496 / 3600 / 360;
  gint64 second = 1000000000;
  gint64 april = parse_utc ("2013-04-17 00:00") + (gint64) (0.78 * 86400 - 67.184) * second;
  gint64 december = parse_utc ("2013-12-19 00:00") + (gint64) (0.05 * 86400 - 67.184) * second;
  /* JD 2440587.5 is 1970-01-01; TT − UTC was 51.184 s in 1980. */
  gint64 in_1980 = (gint64) ((2444480.7230 - 2440587.5) * 86400 - 51.184) * second;

  assert_within ("2136", compute (april, NAN, NAN, NAN).carrington_rotation, 2136 - aberration,
                 2e-4);
  assert_within ("2145", compute (december, NAN, NAN, NAN).carrington_rotation, 2145 - aberration,
                 2e-4);
  /* Meeus' epoch of rotation differs by 0.01° to 0.02° from the IAU's. */
  assert_within ("1699", compute (in_1980, NAN, NAN, NAN).carrington_rotation, 1699, 1e-4);
}

/* sunpy 4.1.2, astropy 5.2.1, pyerfa 2.0.0.1 (Debian 12); made by
 * sun-golden.py. Angles in degrees, R in au, semidiameter in arcseconds. */
static const struct
{
  const char *utc;
  double latitude, longitude, height_m;
  double ra, dec, r, sd, altitude, azimuth, q, p, b0, l0, rotation;
} golden[] = {
  { "2013-06-21 12:00", 51.4779, 0.0, 47, 90.30039, 23.43527, 1.016224, 943.92, 61.9541, 179.1186,
    -0.598, -6.9091, 1.7913, 223.9622, 2138.37788 },
  { "2014-09-23 09:30", 28.7597, -17.8806, 2360, 180.26250, -0.11389, 1.003504, 955.88, 31.3743, 109.7160,
    -55.614, 25.2392, 7.0252, 285.0146, 2155.20829 },
  { "2017-08-21 17:30", 31.9583, -111.5967, 2096, 150.98082, 11.87485, 1.011546, 948.28, 55.9968, 119.4158,
    -49.044, 18.2033, 6.9282, 290.5480, 2194.19292 },
  { "2020-12-21 19:00", 40.015, -105.2705, 1650, 270.41446, -23.43658, 0.983690, 975.14, 26.5460, 180.1207,
    0.101, 6.8633, -1.7931, 54.5739, 2238.84841 },
  { "2019-12-22 02:00", -33.8688, 151.2093, 40, 269.89249, -23.43597, 0.983712, 975.11, 79.4660, 351.6411,
    172.440, 7.0851, -1.7364, 201.4657, 2225.44037 },
  { "2016-05-09 06:00", 24.6046, 73.6742, 740, 46.59273, 17.47901, 1.009646, 950.07, 73.9457, 113.3764,
    -61.042, -22.3334, -3.2767, 10.3647, 2176.97121 },
  { "2021-03-20 05:00", 35.6762, 139.6503, 40, 359.82427, -0.07610, 0.995852, 963.23, 43.0157, 227.7679,
    36.975, -25.1732, -7.0425, 330.0792, 2242.08311 },
  { "2018-06-21 22:30", 69.6496, 18.956, 100, 90.53636, 23.43438, 1.016261, 943.88, 3.1265, 356.3112,
    1.397, -6.8101, 1.8107, 237.1945, 2205.34113 },
  { "2020-03-20 17:00", -0.2, -78.5, 2818, 0.50046, 0.21691, 0.996075, 963.01, 84.6648, 85.5220,
    -94.477, -25.2641, -7.0190, 101.0493, 2228.71931 },
  { "2022-07-04 07:15", -33.9344, 18.4777, 18, 103.39287, 22.86703, 1.016715, 943.46, 13.5123, 49.9523,
    -136.425, -1.2236, 3.2033, 230.1049, 2259.36082 },
};

static void
test_golden (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (golden); i++)
    {
      FilSun sun = compute (parse_utc (golden[i].utc), golden[i].latitude, golden[i].longitude,
                            golden[i].height_m);
      /* Near the zenith azimuth and parallactic angle swing fast. */
      double stretch = 1.0 / cos (golden[i].altitude * G_PI / 180);

      g_test_message ("%s", golden[i].utc);
      assert_angle ("RA", sun.ra_deg, golden[i].ra, 0.0005);
      assert_within ("Dec", sun.dec_deg, golden[i].dec, 0.0005);
      assert_within ("R", sun.distance_au, golden[i].r, 1e-6);
      assert_within ("SD", sun.semidiameter_arcsec, golden[i].sd, 0.01);
      assert_within ("altitude", sun.altitude_deg, golden[i].altitude, 0.002);
      assert_angle ("azimuth", sun.azimuth_deg, golden[i].azimuth, 0.002 * stretch);
      assert_angle ("q", sun.parallactic_angle_deg, golden[i].q, 0.01 * stretch);
      assert_within ("P", sun.p_deg, golden[i].p, 0.001);
      assert_within ("B0", sun.b0_deg, golden[i].b0, 0.001);
      assert_angle ("L0", sun.l0_deg, golden[i].l0, 0.001);
      assert_within ("rotation", sun.carrington_rotation, golden[i].rotation, 1e-5);
    }
}

/* Meeus, ch. 16: Bennett's formula gives 28.754′ at an apparent 30′, that is a
 * true altitude of 1.246′, at 1010 hPa (25 m above the standard sea level) and
 * 10 °C, to 0.07′; the corrected one is within 0.015′ of the truth. Higher up,
 * eraRefco() is an outside reference: 0.065° at 13.5°. */
static void
test_refraction (void)
{
  gint64 utc_ns = parse_utc ("2013-03-20 06:00");
  FilSun sun;
  double longitude = 0.0;

  /* Walk round the equator to the place where the Sun stands at that altitude. */
  for (int i = 0; i < 20; i++)
    {
      sun = compute (utc_ns, 0.0, longitude, 27.0);
      longitude += 1.246 / 60 - sun.altitude_deg;
    }
  assert_within ("altitude", sun.altitude_deg * 60, 1.246, 0.001);
  assert_within ("refraction", sun.refraction_deg * 60, 28.754, 0.085);

  for (int i = 0; i < 20; i++)
    {
      sun = compute (utc_ns, 0.0, longitude, 27.0);
      longitude += 13.5 - sun.altitude_deg;
    }
  assert_within ("refraction", sun.refraction_deg, 0.065, 0.002);

  for (int i = 0; i < 20; i++)
    {
      sun = compute (utc_ns, 0.0, longitude, 27.0);
      longitude += 45.0 - sun.altitude_deg;
    }
  /* 58.3″ tan z for yellow light at 1013 hPa and 10 °C (common practice, no
   * source). */
  assert_within ("refraction", sun.refraction_deg * 3600, 58.2, 1.0);
  assert_within ("airmass", sun.airmass, 1.413, 0.002);
}

static void
test_below_horizon (void)
{
  FilSun sun = compute (parse_utc ("2013-12-21 00:00"), 51.5, 0.0, 0.0);

  g_assert_cmpfloat (sun.altitude_deg, <, -50);
  g_assert_true (isnan (sun.airmass));
  g_assert_true (isnan (sun.refraction_deg));
}

/* 15″ a second on the average of a year; the difference is the daily change
 * of the equation of time: +30 s in late December, −21 s in mid September
 * (common practice, no source). */
static void
test_rate (void)
{
  assert_within ("rate", compute (parse_utc ("2013-12-22 12:00"), NAN, NAN, NAN)
                           .hour_angle_rate_arcsec_per_s, 15 * (1 - 30.0 / 86400), 0.0005);
  assert_within ("rate", compute (parse_utc ("2013-09-16 12:00"), NAN, NAN, NAN)
                           .hour_angle_rate_arcsec_per_s, 15 * (1 + 21.4 / 86400), 0.0005);
}

static void
test_no_site (void)
{
  FilSun sun = compute (parse_utc ("2013-12-21 12:00"), NAN, 0.0, 0.0);

  g_assert_true (isnan (sun.altitude_deg));
  g_assert_true (isnan (sun.azimuth_deg));
  g_assert_true (isnan (sun.parallactic_angle_deg));
  g_assert_true (isnan (sun.airmass));
  g_assert_true (isfinite (sun.p_deg));
}

static void
test_limits (void)
{
  static const struct { gint64 utc_s; double latitude, longitude, height_m; int code; } cases[] = {
    { G_GINT64_CONSTANT (-2208988801), 0, 0, 0, FIL_SUN_ERROR_TIME },
    { G_GINT64_CONSTANT (4102444800), 0, 0, 0, FIL_SUN_ERROR_TIME },
    { G_MININT64 / 1000000000, 0, 0, 0, FIL_SUN_ERROR_TIME },
    { G_MAXINT64 / 1000000000, 0, 0, 0, FIL_SUN_ERROR_TIME },
    { 0, 90.1, 0, 0, FIL_SUN_ERROR_SITE },
    { 0, 0, -361, 0, FIL_SUN_ERROR_SITE },
    { 0, 0, 0, 1e9, FIL_SUN_ERROR_SITE },
    { G_GINT64_CONSTANT (-2208988800), 90, 360, 0, -1 },
    { G_GINT64_CONSTANT (4102444799), -90, -360, 0, -1 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      FilSun sun = { .p_deg = 777 };
      gboolean done = fil_sun_compute (cases[i].utc_s * 1000000000, cases[i].latitude,
                                       cases[i].longitude, cases[i].height_m, &sun, &error);

      g_assert_cmpint (done, ==, cases[i].code < 0);
      if (done)
        g_assert_true (isfinite (sun.altitude_deg) && isfinite (sun.l0_deg));
      else
        {
          g_assert_error (error, FIL_SUN_ERROR, cases[i].code);
          g_assert_cmpfloat (sun.p_deg, ==, 777);
        }
    }
}

/* Against the difference of two parallactic angles a minute apart. */
static void
test_field_rotation (void)
{
  static const double places[][2] = { { 47, 8 }, { -33.9, 18.5 }, { 69.6, 19 }, { 0.5, -78 } };
  const gint64 noon_ns = G_GINT64_CONSTANT (1782000000) * 1000000000;   /* 2026-06-21T00:00 */

  for (guint i = 0; i < 4 * 24; i++)
    {
      double latitude = places[i / 24][0], longitude = places[i / 24][1];
      gint64 t_ns = noon_ns + (i % 24) * G_GINT64_CONSTANT (3600000000000);
      FilSun before, now, after;
      double turned;

      g_assert_true (fil_sun_compute (t_ns - 30 * G_GINT64_CONSTANT (1000000000), latitude,
                                      longitude, 0, &before, NULL));
      g_assert_true (fil_sun_compute (t_ns, latitude, longitude, 0, &now, NULL));
      g_assert_true (fil_sun_compute (t_ns + 30 * G_GINT64_CONSTANT (1000000000), latitude,
                                      longitude, 0, &after, NULL));
      turned = remainder (after.parallactic_angle_deg - before.parallactic_angle_deg, 360.0);
      g_assert_cmpfloat_with_epsilon (fil_sun_field_rotation_deg_per_min (&now, latitude), turned,
                                      0.002 + 0.01 * fabs (turned));
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sun/meeus", test_meeus);
  g_test_add_func ("/sun/months", test_months);
  g_test_add_func ("/sun/almanac-place", test_almanac_place);
  g_test_add_func ("/sun/rotations", test_rotations);
  g_test_add_func ("/sun/golden", test_golden);
  g_test_add_func ("/sun/refraction", test_refraction);
  g_test_add_func ("/sun/below-horizon", test_below_horizon);
  g_test_add_func ("/sun/rate", test_rate);
  g_test_add_func ("/sun/field-rotation", test_field_rotation);
  g_test_add_func ("/sun/no-site", test_no_site);
  g_test_add_func ("/sun/limits", test_limits);

  return g_test_run ();
}
