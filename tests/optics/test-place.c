/* test-place.c: how the picture lies on the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include "fil-disc.h"
#include "fil-place.h"

#define DEG (G_PI / 180.0)

static const FilOptics optics = { .plate_scale_arcsec_per_px = 0.25 };

static FilPlace
turned (double   position_angle_deg,
        gboolean mirrored)
{
  FilPlace place;

  fil_place_init (&place, &optics, mirrored, 1936, 1096);
  place.position_angle_deg = position_angle_deg;

  return place;
}

static void
test_nominal (void)
{
  FilSun sun = { .p_deg = 26.2 };

  for (int mirrored = 0; mirrored < 2; mirrored++)
    {
      FilPlace place = turned (0, mirrored == 1);
      FilWcs wcs, nominal;

      g_assert_false (place.oriented);
      g_assert_false (place.placed);
      g_assert_true (isnan (place.plate_scale_error) && isnan (place.position_angle_error_deg) &&
                     isnan (place.centre_error_px));
      fil_wcs_from_place (&place, &sun, &wcs);
      fil_wcs_nominal (&optics, &sun, 1936, 1096, mirrored == 1, &nominal);
      for (int i = 0; i < 2; i++)
        {
          g_assert_cmpfloat_with_epsilon (wcs.crpix[i], nominal.crpix[i], 1e-12);
          g_assert_cmpfloat_with_epsilon (wcs.crval_arcsec[i], nominal.crval_arcsec[i], 1e-12);
          g_assert_cmpfloat_with_epsilon (wcs.cdelt_arcsec[i], nominal.cdelt_arcsec[i], 1e-12);
          for (int j = 0; j < 2; j++)
            g_assert_cmpfloat_with_epsilon (wcs.pc[i][j], nominal.pc[i][j], 1e-12);
        }
      g_assert_false (wcs.measured);
    }
}

/* Where 100″ of solar north and solar west stand on the picture for P = 0: by
 * hand, for a camera turned so that its up is celestial N, E, S, W. Unmirrored,
 * east lies to the left of north; mirrored, to the right. */
static void
test_quarters (void)
{
  static const struct
  {
    double   angle_deg;
    gboolean mirrored;
    int      north_right, north_up, west_right, west_up;
  } cases[] = {
    { 0, FALSE, 0, 1, 1, 0 },
    { 90, FALSE, 1, 0, 0, -1 },    /* up is east, so north is on the right */
    { 180, FALSE, 0, -1, -1, 0 },
    { 270, FALSE, -1, 0, 0, 1 },
    { 0, TRUE, 0, 1, -1, 0 },
    { 90, TRUE, -1, 0, 0, -1 },
    { 180, TRUE, 0, -1, 1, 0 },
    { 270, TRUE, 1, 0, 0, 1 },
  };
  FilSun sun = { .p_deg = 0 };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilPlace place = turned (cases[i].angle_deg, cases[i].mirrored);
      double x, y;
      FilWcs wcs;

      fil_wcs_from_place (&place, &sun, &wcs);
      g_assert_true (fil_wcs_to_pixel (&wcs, 0, 100, &x, &y));
      g_assert_cmpfloat_with_epsilon (x, 968.5 + 400 * cases[i].north_right, 1e-3);
      g_assert_cmpfloat_with_epsilon (y, 548.5 + 400 * cases[i].north_up, 1e-3);
      g_assert_true (fil_wcs_to_pixel (&wcs, 100, 0, &x, &y));
      g_assert_cmpfloat_with_epsilon (x, 968.5 + 400 * cases[i].west_right, 1e-3);
      g_assert_cmpfloat_with_epsilon (y, 548.5 + 400 * cases[i].west_up, 1e-3);
    }
}

/* The axis leans by P from celestial north: where the camera is turned by P as
 * well, it stands upright. */
static void
test_axis (void)
{
  FilSun sun = { .p_deg = -21.5 };

  for (int mirrored = 0; mirrored < 2; mirrored++)
    {
      FilPlace place = turned (-21.5, mirrored == 1);
      double x, y;
      FilWcs wcs;

      place.oriented = TRUE;
      fil_wcs_from_place (&place, &sun, &wcs);
      g_assert_true (wcs.measured);
      g_assert_true (fil_wcs_to_pixel (&wcs, 0, 100, &x, &y));
      g_assert_cmpfloat_with_epsilon (x, 968.5, 1e-9);
      g_assert_cmpfloat_with_epsilon (y, 948.5, 1e-3);
    }
}

static void
test_mirrors (void)
{
  g_assert_false (fil_place_is_mirrored (0, FALSE, FALSE));
  g_assert_true (fil_place_is_mirrored (1, FALSE, FALSE));
  g_assert_false (fil_place_is_mirrored (1, TRUE, FALSE));
  g_assert_false (fil_place_is_mirrored (1, FALSE, TRUE));
  g_assert_true (fil_place_is_mirrored (1, TRUE, TRUE));
  g_assert_false (fil_place_is_mirrored (2, TRUE, TRUE));
  g_assert_true (fil_place_is_mirrored (2, TRUE, FALSE));
}

static void
test_spot (void)
{
  FilSun sun = { .p_deg = 24.0, .b0_deg = 6.9, .distance_au = 1.004 };

  for (int turn = 0; turn < 8; turn++)
    {
      FilPlace place = turned (37 + 90 * (turn / 2), turn % 2 == 1);
      double x_arcsec, y_arcsec, mu, x, y;
      FilWcs wcs;

      g_assert_true (fil_place_put_spot (&place, &sun, 1200.25, 33.5, 14.0, -52.0, 2.5));
      g_assert_true (place.placed);
      g_assert_cmpfloat (place.centre_error_px, ==, 2.5);
      fil_wcs_from_place (&place, &sun, &wcs);
      g_assert_true (fil_disc_to_angle (&sun, 14.0, -52.0, &x_arcsec, &y_arcsec, &mu));
      g_assert_true (fil_wcs_to_pixel (&wcs, x_arcsec, y_arcsec, &x, &y));
      g_assert_cmpfloat_with_epsilon (x, 1200.25, 1e-9);
      g_assert_cmpfloat_with_epsilon (y, 33.5, 1e-9);
    }
}

static void
test_spot_refused (void)
{
  FilSun sun = { .b0_deg = 6.9, .distance_au = 1.004 };
  FilPlace place = turned (0, FALSE), no_scale;

  g_assert_false (fil_place_put_spot (&place, &sun, 10, 10, 14.0, 120.0, 1));
  g_assert_false (place.placed);
  g_assert_cmpfloat (place.centre_x, ==, 968.5);

  fil_place_init (&no_scale, NULL, FALSE, 100, 100);
  g_assert_true (isnan (no_scale.plate_scale_arcsec_per_px));
  g_assert_false (fil_place_put_spot (&no_scale, &sun, 10, 10, 14.0, 12.0, 1));
  g_assert_false (no_scale.placed);
}

static void
test_to_disc_and_back (void)
{
  FilSun sun = { .p_deg = -12.0, .b0_deg = -3.0, .distance_au = 0.99 };
  FilPlace place = turned (222, TRUE);
  double latitude, longitude, mu, x = 7, y = 7;

  place.centre_x = -900;
  place.centre_y = 2500;
  g_assert_true (fil_place_from_disc (&place, &sun, -23.0, 31.0, &x, &y));
  g_assert_true (fil_place_to_disc (&place, &sun, x, y, &latitude, &longitude, &mu));
  g_assert_cmpfloat_with_epsilon (latitude, -23.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (longitude, 31.0, 1e-6);

  x = y = 7;
  g_assert_false (fil_place_from_disc (&place, &sun, -23.0, 131.0, &x, &y));
  g_assert_cmpfloat (x, ==, 7);
  g_assert_false (fil_place_to_disc (&place, &sun, -900 + 4000, 2500, &latitude, &longitude,
                                     &mu));
}

/* At the disc's centre the angle's error does nothing, and 4 px are 1″, which
 * is asin (1″/959″) of the sphere; 400 px to the right an error of 1° in angle
 * moves by 1.75″, one of 1 % in scale by 1″ outward. */
static void
test_errors (void)
{
  FilSun sun = { .distance_au = 1.0 };
  FilPlace place = turned (0, FALSE);
  FilPlaceErrors errors = { .x_arcsec = 7 };

  g_assert_false (fil_place_get_errors (&place, &sun, 968.5, 548.5, &errors));
  g_assert_cmpfloat (errors.x_arcsec, ==, 7);

  place.placed = place.oriented = TRUE;
  place.centre_error_px = 4;
  place.position_angle_error_deg = 1.0;
  place.plate_scale_error = 0.0025;
  g_assert_true (fil_place_get_errors (&place, &sun, 968.5, 548.5, &errors));
  g_assert_cmpfloat_with_epsilon (errors.x_arcsec, 1.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (errors.y_arcsec, 1.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (errors.latitude_deg, asin (1 / 959.23) / DEG, 1e-3);
  g_assert_cmpfloat_with_epsilon (errors.longitude_deg, asin (1 / 959.23) / DEG, 1e-3);

  g_assert_true (fil_place_get_errors (&place, &sun, 968.5 + 400, 548.5, &errors));
  g_assert_cmpfloat_with_epsilon (errors.x_arcsec, sqrt (1 + 1), 1e-3);
  g_assert_cmpfloat_with_epsilon (errors.y_arcsec, hypot (1, 100 * sin (1 * DEG)), 1e-3);

  /* 3000 px are 750″; the limb is nearer than 300″. */
  place.centre_error_px = 1200;
  g_assert_true (fil_place_get_errors (&place, &sun, 968.5 + 3000, 548.5, &errors));
  g_assert_true (isfinite (errors.x_arcsec));
  g_assert_true (isnan (errors.latitude_deg) && isnan (errors.longitude_deg));
}

/* "--print": places, their matrices, and where points of the Sun come to lie,
 * for place-check.py. */
static void
print_for_check (void)
{
  const gint64 utc_s = G_GINT64_CONSTANT (1786550400);   /* 2026-08-12 16:00 */
  g_autoptr (GRand) random = g_rand_new_with_seed (5);
  FilSun sun;

  if (!fil_sun_compute (utc_s * 1000000000, NAN, NAN, NAN, &sun, NULL))
    g_assert_not_reached ();

  for (int turn = 0; turn < 16; turn++)
    {
      double angle_deg = 90 * (turn / 2 % 4) + (turn < 8 ? 0 : g_rand_double_range (random, 0, 90));
      FilPlace place = turned (angle_deg, turn % 2 == 1);
      FilWcs wcs;

      place.centre_x = g_rand_double_range (random, -3000, 5000);
      place.centre_y = g_rand_double_range (random, -3000, 5000);
      fil_wcs_from_place (&place, &sun, &wcs);
      printf ("place %" G_GINT64_FORMAT " %.17g %.17g %d\n", utc_s, sun.p_deg, angle_deg,
              place.mirrored);
      printf ("wcs %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", wcs.crpix[0], wcs.crpix[1],
              wcs.cdelt_arcsec[0], wcs.cdelt_arcsec[1], wcs.pc[0][0], wcs.pc[0][1], wcs.pc[1][0],
              wcs.pc[1][1]);
      for (int i = 0; i < 20; i++)
        {
          double latitude = g_rand_double_range (random, -60, 60);
          double longitude = g_rand_double_range (random, -75, 75), x_arcsec, y_arcsec, mu, x, y;

          if (!fil_disc_to_angle (&sun, latitude, longitude, &x_arcsec, &y_arcsec, &mu) ||
              !fil_wcs_to_pixel (&wcs, x_arcsec, y_arcsec, &x, &y))
            g_assert_not_reached ();
          printf ("at %.17g %.17g %.17g %.17g\n", latitude, longitude, x, y);
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

  g_test_add_func ("/place/nominal", test_nominal);
  g_test_add_func ("/place/quarters", test_quarters);
  g_test_add_func ("/place/axis", test_axis);
  g_test_add_func ("/place/mirrors", test_mirrors);
  g_test_add_func ("/place/spot", test_spot);
  g_test_add_func ("/place/spot-refused", test_spot_refused);
  g_test_add_func ("/place/to-disc-and-back", test_to_disc_and_back);
  g_test_add_func ("/place/errors", test_errors);

  return g_test_run ();
}
