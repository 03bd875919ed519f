/* test-optics.c: the light path's numbers against closed formulas and tables
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-optics.h"

/* Relative; tables give three to four digits. */
static void
assert_near (double      got,
             double      expected,
             double      tolerance,
             const char *source)
{
  g_test_message ("%.6g, expected %.6g: %s", got, expected, source);
  g_assert_cmpfloat (fabs (got - expected), <=, fabs (expected) * tolerance);
}

static FilOptics
compute (const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = fil_rig_parse (text, -1, "test.rig", &error);
  FilOptics optics;

  g_assert_no_error (error);
  fil_optics_compute (rig, &optics);

  return optics;
}

/* A lens and a camera, at 540 nm. */
static FilOptics
compute_lens (double aperture_mm,
              double focal_length_mm,
              double pixel_um)
{
  char aperture[32], focal[32], pixel[32];
  g_autofree char *text = g_strdup_printf (
    "[element 1]\nkind=objective\ntype=lens\naperture_mm=%s\nfocal_length_mm=%s\n"
    "[element 2]\nkind=bandpass\ncentre_nm=540\nwidth_nm=10\n"
    "[element 3]\nkind=camera\npixel_um=%s\ncolumns=1000\nrows=500\n",
    g_ascii_dtostr (aperture, sizeof aperture, aperture_mm),
    g_ascii_dtostr (focal, sizeof focal, focal_length_mm),
    g_ascii_dtostr (pixel, sizeof pixel, pixel_um));

  return compute (text);
}

static void
test_resolution (void)
{
  static const struct { double aperture_mm, rayleigh_arcsec; } rows[] = {
    { 60, 2.264 }, { 100, 1.359 }, { 150, 0.906 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    assert_near (compute_lens (rows[i].aperture_mm, 1000, 2.4).rayleigh_arcsec,
                 rows[i].rayleigh_arcsec, 1e-3,
                 "1.21967 λ/D at 540 nm, first zero of J1 over π (scipy.special.jn_zeros (1, 1))");

  assert_near (compute_lens (100, 1000, 2.4).dawes_arcsec, 1.160, 1e-3,
               "116 arcsec / D in mm, common practice, no source");
  assert_near (compute_lens (100, 1000, 2.4).cutoff_arcsec, 1.114, 1e-3, "λ/D: 0.8978 cycles/″");
}

static void
test_focus (void)
{
  FilOptics ten = compute_lens (100, 1000, 2.7);

  assert_near (ten.airy_diameter_um, 13.17, 1e-3, "2.4393 λN, N = 10");
  assert_near (ten.depth_of_focus_um, 108.0, 1e-9, "2λN², N = 10");
  assert_near (compute_lens (100, 2000, 2.7).depth_of_focus_um, 432.0, 1e-9, "2λN², N = 20");
  assert_near (ten.samples_per_cutoff, 2.0, 1e-9, "critical pixel λN/2 = 2.700 µm at N = 10");
}

static void
test_sampling (void)
{
  static const struct { double pixel_um, ratio; } critical[] = {
    { 2.4, 8.89 }, { 2.9, 10.74 }, { 3.76, 13.93 }, { 5.86, 21.70 },
  };
  FilOptics optics = compute_lens (100, 1000, 2.4);

  assert_near (optics.plate_scale_arcsec_per_px, 0.4950, 1e-3, "206.265 p / f, 2.4 µm, 1000 mm");
  assert_near (optics.field_width_arcsec, 495.04, 1e-4, "the same, 1000 px");
  assert_near (optics.field_height_arcsec, 247.52, 1e-4, "the same, 500 px");
  /* 725.27 km an arcsecond: 149597870.7 km / 206264.806 */
  assert_near (optics.km_per_px, 0.49504 * 725.27, 1e-4, "IAU 2012 B2: the astronomical unit");
  assert_near (optics.sun_diameter_mm, 1000.0 / 107.47, 1e-3,
               "f/107.47 with 959.63″; the IAU's 959.23″ is 4e-4 less");

  for (guint i = 0; i < G_N_ELEMENTS (critical); i++)
    assert_near (compute_lens (100, 100 * critical[i].ratio, critical[i].pixel_um)
                   .samples_per_cutoff, 2.0, 1e-3, "λN/2 is the critical pixel");
}

static void
test_demo (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  FilOptics optics;

  fil_optics_compute (rig, &optics);

  g_assert_cmpfloat (optics.wavelength_nm, ==, 540);
  g_assert_cmpfloat (optics.bandwidth_nm, ==, 10);
  g_assert_cmpfloat (optics.magnification, ==, 2);
  g_assert_cmpfloat (optics.focal_length_mm, ==, 2040);
  g_assert_cmpfloat (optics.focal_ratio, ==, 20);
  g_assert_cmpint (optics.reflections, ==, 1);
  g_assert_cmpfloat (optics.obstruction_ratio, ==, 0);
  assert_near (optics.plate_scale_arcsec_per_px, 206.26480624709636 * 2.9 / 2040, 1e-9, "closed formula");
  assert_near (optics.samples_per_cutoff, 0.54 * 20 / 2.9, 1e-9, "closed formula");
  assert_near (optics.cutoff_cycles_per_px, 2.9 / (0.54 * 20), 1e-9, "closed formula");
  assert_near (optics.depth_of_focus_um, 432, 1e-9, "2λN²");
  assert_near (optics.focuser_depth_of_focus_um, 108, 1e-9, "÷ magnification²");
  assert_near (optics.density, 2.0 - log10 (0.0526), 1e-3,
               "5.26 % at 45°, n = 1.5168, Fresnel; and the density filter");
}

/* One step after the other, by hand, with the measured solar spectrum in
 * place of the black body. */
static void
test_electrons (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  FilOptics optics;
  double photons_m2_s_nm = 1.85 / (6.626e-34 * 2.998e8 / 540e-9);
  double area_m2 = G_PI / 4 * 0.102 * 0.102;
  double sun_arcsec2 = G_PI * 959.23 * 959.23;
  double electrons;

  fil_optics_compute (rig, &optics);
  electrons = photons_m2_s_nm * 10 * area_m2 * optics.plate_scale_arcsec_per_px *
              optics.plate_scale_arcsec_per_px / sun_arcsec2 / 0.8002 * 0.0526 * 0.01 *
              (0.75 * 0.9 * 0.9 * 0.6) * 1e-3;
  assert_near (optics.electrons_per_ms, electrons, 0.05,
               "1.85 W/m²/nm outside the atmosphere at 540 nm (from memory); mean over centre "
               "0.8002 at 541.76 nm (Neckel & Labs 1994, Sol. Phys. 153, 91, Table I)");
}

static void
test_unknown_is_nan (void)
{
  FilOptics optics = compute ("[element 1]\nkind=objective\ntype=mirror\naperture_mm=200\n"
                              "focal_length_mm=1e308\nobstruction_mm=50\n"
                              "[element 2]\nkind=amplifier\n"
                              "[element 3]\nkind=camera\n");

  g_assert_cmpfloat (optics.wavelength_nm, ==, 550);
  g_assert_cmpfloat (optics.obstruction_ratio, ==, 0.25);
  g_assert_true (isnan (optics.magnification));
  g_assert_true (isnan (optics.focal_length_mm));
  g_assert_true (isnan (optics.plate_scale_arcsec_per_px));
  g_assert_true (isnan (optics.electrons_per_ms));
  g_assert_true (isfinite (optics.rayleigh_arcsec));

  optics = compute ("[element 1]\nkind=objective\naperture_mm=1e-300\nfocal_length_mm=1e308\n"
                    "[element 2]\nkind=amplifier\nfactor=1e300\n"
                    "[element 3]\nkind=camera\npixel_um=1e-300\n");
  g_assert_true (isnan (optics.focal_length_mm));
  g_assert_true (isnan (optics.depth_of_focus_um));
}

/* What stands behind the camera gets no light, and counts for nothing. */
static void
test_order (void)
{
  FilOptics optics = compute ("[element 1]\nkind=objective\naperture_mm=100\nfocal_length_mm=1000\n"
                              "[element 2]\nkind=diagonal\n"
                              "[element 3]\nkind=wedge\nreflectance_percent=5\n"
                              "[element 4]\nkind=reducer\nfactor=0.5\n"
                              "[element 5]\nkind=camera\npixel_um=5\n"
                              "[element 6]\nkind=diagonal\n"
                              "[element 7]\nkind=amplifier\nfactor=3\n"
                              "[element 8]\nkind=density\ndensity=3\n");

  g_assert_cmpint (optics.reflections, ==, 2);
  g_assert_cmpfloat (optics.focal_length_mm, ==, 500);
  assert_near (optics.density, 1.30103, 1e-5, "log10 (20)");
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/optics/resolution", test_resolution);
  g_test_add_func ("/optics/focus", test_focus);
  g_test_add_func ("/optics/sampling", test_sampling);
  g_test_add_func ("/optics/demo", test_demo);
  g_test_add_func ("/optics/electrons", test_electrons);
  g_test_add_func ("/optics/unknown-is-nan", test_unknown_is_nan);
  g_test_add_func ("/optics/order", test_order);

  return g_test_run ();
}
