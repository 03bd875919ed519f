/* test-wcs.c: nominal coordinates, and pixels to angles and back
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>

#include "fil-wcs.h"

#define DEG (G_PI / 180.0)

/* Thompson 2006, A&A 449, 791: HPLN-TAN, HPLT-TAN. 1024 × 1024, reference
 * pixel 512.5, reference angles (100″, −200″), 0.5″ a pixel, turned by 20°;
 * corners by wcslib 7.12, in arcseconds. */
static const FilWcs example = {
  .crpix = { 512.5, 512.5 },
  .crval_arcsec = { 100, -200 },
  .cdelt_arcsec = { 0.5, 0.5 },
  .pc = { { 0.93969262078590838, -0.34202014332566873 },
          { 0.34202014332566873, 0.93969262078590838 } },
};

static void
test_example (void)
{
  static const struct { double x, y, longitude, latitude; } corners[] = {
    { 1, 1, -52.855016, -527.797619 },
    { 1024, 1, 427.798153, -352.854263 },
    { 1, 1024, -227.797682, -47.145232 },
    { 1024, 1024, 252.854544, 127.797728 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (corners); i++)
    {
      double longitude, latitude, x, y;

      fil_wcs_to_angle (&example, corners[i].x, corners[i].y, &longitude, &latitude);
      g_assert_cmpfloat_with_epsilon (longitude, corners[i].longitude, 1e-6);
      g_assert_cmpfloat_with_epsilon (latitude, corners[i].latitude, 1e-6);
      g_assert_true (fil_wcs_to_pixel (&example, longitude, latitude, &x, &y));
      g_assert_cmpfloat_with_epsilon (x, corners[i].x, 1e-6);
      g_assert_cmpfloat_with_epsilon (y, corners[i].y, 1e-6);
    }
}

static FilWcs
nominal (double   p_deg,
         gboolean mirrored)
{
  FilOptics optics = { .plate_scale_arcsec_per_px = 0.25 };
  FilSun sun = { .p_deg = p_deg };
  FilWcs wcs;

  fil_wcs_nominal (&optics, &sun, 1936, 1096, mirrored, &wcs);

  return wcs;
}

static void
assert_at (const FilWcs *wcs,
           double        right_px,
           double        up_px,
           double        longitude,
           double        latitude)
{
  double got_longitude, got_latitude;

  fil_wcs_to_angle (wcs, 968.5 + right_px, 548.5 + up_px, &got_longitude, &got_latitude);
  g_assert_cmpfloat_with_epsilon (got_longitude, longitude, 1e-4);
  g_assert_cmpfloat_with_epsilon (got_latitude, latitude, 1e-4);
}

/* With the axis upright solar west is on the right, or on the left when the
 * picture is mirrored. With P = +90° the Sun's north pole points to celestial
 * east: to the left, or to the right when mirrored. */
static void
test_nominal (void)
{
  FilWcs plain = nominal (0, FALSE);
  FilWcs mirrored = nominal (0, TRUE);
  FilWcs east = nominal (90, FALSE);
  FilWcs east_mirrored = nominal (90, TRUE);
  FilWcs tilted = nominal (26, FALSE);

  g_assert_false (plain.measured);
  assert_at (&plain, 0, 0, 0, 0);
  assert_at (&plain, 100, 0, 25, 0);
  assert_at (&plain, 0, 100, 0, 25);
  assert_at (&mirrored, 100, 0, -25, 0);
  assert_at (&mirrored, 0, 100, 0, 25);
  assert_at (&east, -100, 0, 0, 25);
  assert_at (&east, 0, 100, 25, 0);
  assert_at (&east_mirrored, 100, 0, 0, 25);
  assert_at (&east_mirrored, 0, 100, 25, 0);
  /* Solar north is 26° east of up: up and to the left. */
  assert_at (&tilted, -100 * sin (26 * DEG), 100 * cos (26 * DEG), 0, 25);
}

static void
test_no_way_back (void)
{
  FilWcs flat = example;
  FilWcs unknown = nominal (0, FALSE);
  double x = 7, y = 7;

  flat.pc[0][0] = flat.pc[0][1] = 0;
  unknown.cdelt_arcsec[0] = NAN;
  g_assert_false (fil_wcs_to_pixel (&flat, 0, 0, &x, &y));
  g_assert_false (fil_wcs_to_pixel (&unknown, 0, 0, &x, &y));
  g_assert_false (fil_wcs_to_pixel (&example, 90 * 3600 + 200, 0, &x, &y));
  g_assert_cmpfloat (x, ==, 7);
  g_assert_cmpfloat (y, ==, 7);
}

/* "--print": cards of a nominal frame and some of its angles, for wcs-check.py,
 * which reads them with wcslib. */
static void
print_for_check (void)
{
  for (int i = 0; i < 4; i++)
    {
      FilWcs wcs = nominal (i < 2 ? 26.2 : -13.7, i % 2 == 1);

      printf ("wcs %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", wcs.crpix[0], wcs.crpix[1],
              wcs.cdelt_arcsec[0], wcs.cdelt_arcsec[1], wcs.pc[0][0], wcs.pc[0][1], wcs.pc[1][0],
              wcs.pc[1][1]);
      for (int k = 0; k < 9; k++)
        {
          double x = 1 + 967.5 * (k % 3), y = 1 + 547.5 * (int) (k / 3);
          double longitude, latitude;

          fil_wcs_to_angle (&wcs, x, y, &longitude, &latitude);
          printf ("at %.17g %.17g %.17g %.17g\n", x, y, longitude, latitude);
        }
      printf ("p %.17g %d\n", i < 2 ? 26.2 : -13.7, i % 2);
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

  g_test_add_func ("/wcs/example", test_example);
  g_test_add_func ("/wcs/nominal", test_nominal);
  g_test_add_func ("/wcs/no-way-back", test_no_way_back);

  return g_test_run ();
}
