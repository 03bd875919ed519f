/* test-estimates.c: what follows from rig, Sun and air, against sources and closed formulas
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-achromat.h"
#include "fil-numbers.h"

#define ARCSEC_PER_RAD 206264.80624709636
#define BAND "[element 2]\nkind=bandpass\ncentre_nm=540\nwidth_nm=10\n"

static void
assert_near (double      value,
             double      expected,
             double      tolerance,
             const char *source)
{
  if (!(fabs (value - expected) <= fabs (expected) * tolerance))
    g_test_message ("%.9g is not %.9g: %s", value, expected, source);
  g_assert_cmpfloat (fabs (value - expected), <=, fabs (expected) * tolerance);
}

static FilRig *
parse (const char *text)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_parse (text, -1, "test.rig", &error);

  g_assert_no_error (error);

  return rig;
}

static FilEstimates
compute (const char   *text,
         const FilSun *sun,
         const FilAir *air)
{
  g_autoptr (FilRig) rig = parse (text);
  FilEstimates estimates;

  fil_estimates_compute (rig, sun, air, &estimates);

  return estimates;
}

static void
append_number (GString    *text,
               const char *key,
               double      value)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append_printf (text, "%s=%s\n", key, g_ascii_dtostr (digits, sizeof digits, value));
}

/* A lens, an amplifier, a camera; behind 10 nm of green, or all colours. */
static FilEstimates
compute_lens (double   aperture_mm,
              double   focal_length_mm,
              double   magnification,
              double   pixel_um,
              int      columns,
              int      rows,
              gboolean green)
{
  g_autoptr (GString) text = g_string_new ("[element 1]\nkind=objective\ntype=lens\n");

  append_number (text, "aperture_mm", aperture_mm);
  append_number (text, "focal_length_mm", focal_length_mm);
  if (green)
    g_string_append (text, BAND);
  g_string_append_printf (text, "[element %d]\nkind=amplifier\n", green ? 3 : 2);
  append_number (text, "factor", magnification);
  g_string_append_printf (text, "[element %d]\nkind=camera\ncolumns=%d\nrows=%d\n",
                          green ? 4 : 3, columns, rows);
  append_number (text, "pixel_um", pixel_um);

  return compute (text->str, NULL, NULL);
}

/* Fraunhofer's lines: d 587.5618, F 486.1327, C 656.2725, g 435.8343 nm. */
static void
test_achromat (void)
{
  static const char *source =
    "thin doublet of BK7 and F2, Sellmeier's formula with the catalogue's coefficients, f(F) = "
    "f(C); recomputed by tests/optics/estimates-check.py, numpy 1.24";
  double d = fil_achromat_focus (587.5618), f = fil_achromat_focus (486.1327);
  double c = fil_achromat_focus (656.2725), g = fil_achromat_focus (435.8343);

  assert_near (d, 1.0, 1e-12, "that is the unit");
  assert_near (f, c, 1e-12, "that makes it an achromat");
  assert_near (1.0 / (f - d), 2002, 1e-3, source);
  assert_near (1.0 / (g - d), 449, 1e-3, source);
  assert_near (1.0 / fil_achromat_spread (486.1327, 656.2725), 1758, 1e-3, source);
  /* The shortest focus lies at 556 nm: bands that end there have it at their end. */
  assert_near (fil_achromat_spread (486.1327, 556.5), f - fil_achromat_focus (556.5), 1e-9, source);
  assert_near (fil_achromat_spread (556.5, 656.2725), c - fil_achromat_focus (556.5), 1e-4, source);
  assert_near (fil_achromat_spread (620, 640),
               fil_achromat_focus (640) - fil_achromat_focus (620), 1e-12,
               "longer is longer beyond the green");
  g_assert_true (isnan (fil_achromat_focus (300)));
  g_assert_true (isnan (fil_achromat_focus (2400)));
  g_assert_true (isnan (fil_achromat_focus (NAN)));
  g_assert_true (isnan (fil_achromat_spread (300, 500)));
  g_assert_true (isnan (fil_achromat_spread (600, 500)));
}

static void
test_colours (void)
{
  FilEstimates one = compute_lens (100, 1000, 1, 2.9, 1936, 1096, TRUE);
  FilEstimates two = compute_lens (100, 1000, 2, 2.9, 1936, 1096, TRUE);
  FilEstimates none = compute_lens (100, 1000, 1, 2.9, 1936, 1096, FALSE);

  g_assert_cmpfloat (one.band_low_nm, ==, 535);
  g_assert_cmpfloat (one.band_high_nm, ==, 545);
  g_assert_cmpfloat (none.band_low_nm, ==, 400);
  g_assert_cmpfloat (none.band_high_nm, ==, 700);
  assert_near (one.secondary_spectrum_um, 1e6 * fil_achromat_spread (535, 545), 1e-12,
               "f = 1000 mm");
  assert_near (two.secondary_spectrum_um, 4 * one.secondary_spectrum_um, 1e-12,
               "lengths along the axis grow with the square of the magnification");
  assert_near (two.secondary_spectrum_share_of_depth, one.secondary_spectrum_share_of_depth, 1e-12,
               "and so does the depth of focus");
  assert_near (one.secondary_spectrum_share_of_depth, one.secondary_spectrum_um / 216, 1e-12,
               "half of it over 2λN² = 108 µm");
}

static void
test_sag (void)
{
  /* A corner 4.653 mm off: half diagonal of 2864 × 1432 pixels of 2.9 µm. */
  FilEstimates one = compute_lens (100, 1000, 1, 2.9, 2870, 1435, TRUE);
  FilEstimates two = compute_lens (100, 1000, 2, 2.9, 2870, 1435, TRUE);

  assert_near (one.field_sag_corner_um, 29, 0.02,
               "limb at prime focus of f = 1000 mm, h = 4.65 mm: h²/2R = 0.029 mm with R = f/2.7 "
               "(Seidel theory of the thin BK7/F2 doublet: medial −0.368 f)");
  assert_near (one.field_sag_corner_um,
               2.7 * pow (0.5 * 2.9e-3 * hypot (2870, 1435), 2) / 2.0, 1e-12, "2.7 H²/(2f)");
  assert_near (one.field_sag_share_of_depth, one.field_sag_corner_um / 108, 1e-12, "2λN²");
  assert_near (two.field_sag_corner_um, one.field_sag_corner_um, 1e-12,
               "M² (H/M)²: the same at the same chip's corner");
  assert_near (two.field_sag_share_of_depth, one.field_sag_share_of_depth / 4, 1e-12,
               "while the depth has grown by M²");
}

static void
test_heat (void)
{
  static const struct { double aperture_mm, watts; } rows[] = {
    { 60, 2.83 }, { 100, 7.85 }, { 150, 17.67 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      FilEstimates e = compute_lens (rows[i].aperture_mm, 10 * rows[i].aperture_mm, 3, 2.9, 1936,
                                     1096, TRUE);

      assert_near (e.aperture_w, rows[i].watts, 1e-3, "1000 W/m² times the aperture's area");
      assert_near (e.first_focus_heat_w_per_cm2, 11.5, 6e-3,
                   "(107.47/N)² suns at N = 10, whatever the aperture and the amplifier");
      assert_near (e.first_focus_heat_w_per_cm2, 0.1 * pow (107.47 / 10, 2), 1e-3, "the same");
      g_assert_true (isnan (e.behind_wedge_heat_w_per_cm2));
    }
}

static void
test_heat_behind (void)
{
  FilEstimates wedge = compute ("[element 1]\nkind=objective\ntype=lens\naperture_mm=100\n"
                                "focal_length_mm=1000\n[element 2]\nkind=wedge\n"
                                "[element 3]\nkind=density\ndensity=3\n"
                                "[element 4]\nkind=camera\n", NULL, NULL);
  FilEstimates film = compute ("[element 1]\nkind=front-filter\ndensity=5\n"
                               "[element 2]\nkind=objective\ntype=lens\naperture_mm=100\n"
                               "focal_length_mm=1000\n[element 3]\nkind=camera\n", NULL, NULL);
  FilEstimates unknown = compute ("[element 1]\nkind=front-filter\n"
                                  "[element 2]\nkind=objective\ntype=lens\naperture_mm=100\n"
                                  "focal_length_mm=1000\n[element 3]\nkind=camera\n", NULL, NULL);

  assert_near (wedge.first_focus_heat_w_per_cm2, 11.55, 1e-3, "the wedge isn't counted in");
  assert_near (wedge.behind_wedge_heat_w_per_cm2, 11.55 * 0.0526, 2e-3,
               "Fresnel at 45°, unpolarised, n = 1.5168: 5.26 %");
  assert_near (film.first_focus_heat_w_per_cm2, 11.55e-5, 1e-3, "a front filter of density 5");
  assert_near (film.aperture_w, 7.85e-5, 1e-3, "the same");
  g_assert_true (isnan (unknown.first_focus_heat_w_per_cm2));
}

/* An arcsecond a pixel, 2000 × 1000 of them, and a Sun of any size. */
static FilEstimates
compute_field (double semidiameter_arcsec)
{
  g_autoptr (GString) text = g_string_new ("[element 1]\nkind=objective\ntype=lens\n"
                                           "aperture_mm=100\n"
                                           "[element 2]\nkind=camera\ncolumns=2000\nrows=1000\n"
                                           "pixel_um=1\n");
  FilSun sun = { .distance_au = 1, .semidiameter_arcsec = semidiameter_arcsec,
                 .hour_angle_rate_arcsec_per_s = 15.0, .dec_deg = 60.0 };
  const char *end = strstr (text->str, "[element 2]");

  g_string_insert (text, end - text->str, "focal_length_mm=206.26480624709636\n");

  return compute (text->str, &sun, NULL);
}

static void
test_field (void)
{
  FilEstimates small = compute_field (1e5), wide = compute_field (1000), band = compute_field (500);
  FilEstimates whole = compute_field (400), corner = compute_field (1050);

  assert_near (small.field_width_share_of_sun, 0.01, 1e-12, "2000″ over 2e5″");
  assert_near (small.field_share_of_sun, 2e6 / (G_PI * 1e10), 1e-12, "a field inside of the disc");
  g_assert_cmpfloat_with_epsilon (small.sun_share_of_field, 1.0, 1e-12);
  assert_near (wide.field_share_of_sun, 2 * (0.5 * sqrt (0.75) + asin (0.5)) / G_PI, 1e-12,
               "a band of the circle between −r/2 and r/2: 2(h√(1−h²) + asin h)/π, h = 1/2");
  assert_near (band.field_share_of_sun, 1.0, 1e-12, "the disc just fits");
  assert_near (whole.sun_share_of_field, G_PI * 160000 / 2e6, 1e-12, "π r² over the field");
  /* A rectangle whose corners stick out: half sides 1000 and 500, r 1050. */
  assert_near (corner.field_share_of_sun,
               4 * (500 * sqrt (1050.0 * 1050 - 250000) +
                    0.5 * (1000 * sqrt (1050.0 * 1050 - 1e6) + 1050.0 * 1050 * asin (1000 / 1050.0)) -
                    0.5 * (500 * sqrt (1050.0 * 1050 - 250000) +
                           1050.0 * 1050 * asin (sqrt (1050.0 * 1050 - 250000) / 1050.0))) /
                 (G_PI * 1050 * 1050), 1e-9, "∫√(r² − x²), in arcseconds");
  assert_near (wide.drift_width_s, 2000 / 7.5, 1e-12, "15″ a second times cos 60°");
  assert_near (wide.drift_height_s, 1000 / 7.5, 1e-12, "the same");
}

static void
test_sampling (void)
{
  /* Critical pixel λN/2: 2.7 µm at f/10 and 540 nm. */
  FilEstimates critical = compute_lens (100, 1000, 1, 2.7, 100, 100, TRUE);
  FilEstimates under = compute_lens (100, 1000, 1, 2.8, 100, 100, TRUE);
  FilEstimates over = compute_lens (100, 1000, 1, 1.3, 100, 100, TRUE);

  g_assert_cmpint (critical.sampling, ==, FIL_SAMPLING_WELL);
  g_assert_cmpint (under.sampling, ==, FIL_SAMPLING_UNDER);
  g_assert_cmpint (over.sampling, ==, FIL_SAMPLING_OVER);
  g_assert_cmpstr (fil_sampling_to_key (over.sampling), ==, "over");
  g_assert_null (fil_sampling_to_key (FIL_SAMPLING_UNKNOWN));
  assert_near (under.well_magnification_min, 2.8 / 2.7, 1e-9, "p over λN/2");
  assert_near (under.well_magnification_max, 2 * 2.8 / 2.7, 1e-9, "p over λN/4");
  g_assert_cmpint (compute_lens (100, 1000, under.well_magnification_min, 2.8, 100, 100, TRUE)
                     .sampling, ==, FIL_SAMPLING_WELL);
  g_assert_cmpint (compute_lens (100, 1000, under.well_magnification_max, 2.8, 100, 100, TRUE)
                     .sampling, ==, FIL_SAMPLING_WELL);
}

static void
test_time (void)
{
  FilEstimates mean = compute_lens (102, 1020, 2, 2.9, 1936, 1096, TRUE);
  FilSun near = { .distance_au = 0.9833, .semidiameter_arcsec = 975.5, .b0_deg = -3.0,
                  .dec_deg = -23.0, .hour_angle_rate_arcsec_per_s = 15.0 };
  FilSun tilted = near;
  FilAir calm = { 80, 4 }, still = { 80, 0 };
  const char *lens = "[element 1]\nkind=objective\ntype=lens\naperture_mm=102\n"
                     "focal_length_mm=1020\n[element 2]\nkind=camera\npixel_um=2.9\n";
  FilEstimates winter = compute (lens, &near, &calm);

  assert_near (mean.rotation_arcsec_per_min, 0.16, 5e-3,
               "synodic drift of the disc's middle 0.16″ a minute, from 14.713° a day sidereal "
               "(Snodgrass & Ulrich 1990, ApJ 351, 309) less 0.9856° of the Earth");
  assert_near (mean.rotation_half_pixel_s, 0.5 * 0.293220 / 0.160343 * 60, 1e-4,
               "13.7274° a day of a sphere of 695700 km, seen from 1 au less that");
  assert_near (mean.freeze_exposure_ms, 0.25 * 50 / 5, 1e-12, "a quarter of r0 over the wind");
  assert_near (winter.freeze_exposure_ms, 5.0, 1e-12, "a quarter of 80 mm over 4 m/s");
  assert_near (mean.drift_width_s, 1936 * 0.293220 / 15, 1e-5, "15″ a second");
  assert_near (winter.now_km_per_px, winter.optics.km_per_px * 0.9833, 1e-12, "nearer, smaller");
  assert_near (winter.now_sun_diameter_mm, 2 * 1020 * tan (975.5 / ARCSEC_PER_RAD), 1e-12,
               "2 f tan");
  g_assert_true (isnan (compute (lens, &near, &still).freeze_exposure_ms));

  tilted.b0_deg = 7.25;
  assert_near (compute (lens, &tilted, NULL).rotation_arcsec_per_min,
               winter.rotation_arcsec_per_min * cos (7.25 * G_PI / 180) / cos (3.0 * G_PI / 180),
               5e-3, "at ±7.25° the middle lies off the equator");
}

static void
test_exposure (void)
{
  const char *text = "[element 1]\nkind=objective\ntype=lens\naperture_mm=102\n"
                     "focal_length_mm=1020\n[element 2]\nkind=density\ndensity=5\n"
                     "[element 3]\nkind=bandpass\ncentre_nm=540\nwidth_nm=10\n"
                     "[element 4]\nkind=camera\npixel_um=2.9\nfull_well_e=10000\n";
  FilEstimates e = compute (text, NULL, NULL);

  assert_near (e.exposure_estimate_ms * e.optics.electrons_per_ms, 7000, 1e-12,
               "70 % of the full well");
  g_assert_true (isnan (compute_lens (102, 1020, 2, 2.9, 100, 100, TRUE).exposure_estimate_ms));
}

/* common practice, no source */
static void
test_facts_of_the_trade (void)
{
  FilEstimates amplified = compute_lens (102, 1020, 4, 2.9, 1936, 1096, TRUE);
  FilEstimates white = compute_lens (102, 1020, 4, 2.9, 1936, 1096, FALSE);
  FilEstimates small = compute_lens (100, 1000, 1, 2.9, 1936, 1096, TRUE);
  FilEstimates large = compute_lens (100, 1000, 1, 6.0, 6000, 4000, TRUE);

  g_test_message ("a metre-class refractor with a ×4 amplifier works at over four metres");
  g_assert_cmpfloat (amplified.optics.focal_length_mm, >, 4000);
  g_test_message ("behind a narrow green filter its false colour lies within the depth of focus");
  g_assert_cmpfloat (amplified.secondary_spectrum_share_of_depth, <, 0.5);
  g_test_message ("without one it doesn't");
  g_assert_cmpfloat (white.secondary_spectrum_share_of_depth, >, 2);
  g_test_message ("field curvature matters little on a small chip and much on a large one");
  g_assert_cmpfloat (small.field_sag_share_of_depth, <, 0.2);
  g_assert_cmpfloat (large.field_sag_share_of_depth, >, 2);
}

static void
test_unknown_is_nan (void)
{
  FilEstimates mirror = compute ("[element 1]\nkind=objective\ntype=mirror\naperture_mm=200\n"
                                 "focal_length_mm=1000\n[element 2]\nkind=camera\npixel_um=3\n"
                                 "columns=100\nrows=100\n", NULL, NULL);
  FilEstimates untold = compute ("[element 1]\nkind=objective\n[element 2]\nkind=bandpass\n"
                                 "centre_nm=540\n[element 3]\nkind=camera\n", NULL, NULL);
  FilEstimates wild = compute ("[element 1]\nkind=objective\ntype=lens\naperture_mm=1e-300\n"
                               "focal_length_mm=1e308\n[element 2]\nkind=amplifier\nfactor=1e300\n"
                               "[element 3]\nkind=bandpass\ncentre_nm=1e300\nwidth_nm=1e308\n"
                               "[element 4]\nkind=camera\npixel_um=1e-300\ncolumns=100000\n"
                               "rows=100000\n", NULL, NULL);
  FilEstimates flat = compute ("[element 1]\nkind=objective\ntype=lens\naperture_mm=100\n"
                               "focal_length_mm=500\n[element 2]\nkind=camera\n"
                               "pixel_um=3\ncolumns=100\n", NULL, NULL);
  FilEstimates grouped = compute ("[element 1]\nkind=objective\ntype=lens\naperture_mm=100\n"
                                  "focal_length_mm=500\nrear_group=yes\n[element 2]\nkind=camera\n"
                                  "pixel_um=3\ncolumns=100\nrows=100\n", NULL, NULL);

  g_assert_true (isnan (mirror.secondary_spectrum_um) && isnan (mirror.field_sag_corner_um));
  g_assert_true (isfinite (mirror.first_focus_heat_w_per_cm2));
  g_assert_true (isnan (flat.field_sag_corner_um) && isfinite (flat.drift_width_s));
  g_assert_true (isnan (grouped.field_sag_corner_um) && isfinite (grouped.secondary_spectrum_um));
  g_assert_true (isnan (untold.band_low_nm) && isnan (untold.secondary_spectrum_um));
  g_assert_true (isnan (untold.aperture_w) && isnan (untold.rotation_half_pixel_s));
  g_assert_cmpint (untold.sampling, ==, FIL_SAMPLING_UNKNOWN);
  g_assert_true (isnan (wild.optics.focal_length_mm) && isnan (wild.secondary_spectrum_um) &&
                 isnan (wild.first_focus_heat_w_per_cm2) && isnan (wild.now_km_per_px));
}

static const FilNumber *
find (const GPtrArray *groups,
      const char      *key)
{
  for (guint i = 0; i < groups->len; i++)
    {
      const FilNumberGroup *group = g_ptr_array_index (groups, i);

      for (guint j = 0; j < group->items->len; j++)
        if (strcmp (((FilNumber *) g_ptr_array_index (group->items, j))->key, key) == 0)
          return g_ptr_array_index (group->items, j);
    }

  return NULL;
}

static guint
count (const GPtrArray *groups)
{
  guint n = 0;

  for (guint i = 0; i < groups->len; i++)
    n += ((FilNumberGroup *) g_ptr_array_index (groups, i))->items->len;

  return n;
}

static FilRig *
parse_draft (const char *text)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_parse_draft (text, -1, "draft.rig", &error);

  g_assert_no_error (error);

  return rig;
}

/* A rig that somebody is still putting together. */
static void
test_incomplete (void)
{
  g_autoptr (FilRig) empty = fil_rig_new_empty ("a start");
  g_autoptr (FilRig) lens = parse_draft ("[element 1]\nkind=objective\ntype=lens\n"
                                         "aperture_mm=100\nfocal_length_mm=1000\n"
                                         "[element 2]\nkind=amplifier\nfactor=2\n"
                                         "[element 3]\nkind=bandpass\ncentre_nm=540\n"
                                         "width_nm=10\n");
  g_autoptr (FilRig) camera = parse_draft ("[element 1]\nkind=wedge\n"
                                           "[element 2]\nkind=camera\npixel_um=3\n"
                                           "columns=100\nrows=100\nfull_well_e=1000\n");
  FilRig *rigs[] = { empty, lens, camera };
  FilEstimates e;

  for (guint i = 0; i < G_N_ELEMENTS (rigs); i++)
    {
      g_autoptr (GPtrArray) groups = fil_numbers_list (rigs[i], NULL, NULL);

      fil_estimates_compute (rigs[i], NULL, NULL, &e);
      g_assert_true (isnan (e.optics.plate_scale_arcsec_per_px) && isnan (e.drift_width_s) &&
                     isnan (e.exposure_estimate_ms) && isnan (e.optics.electrons_per_ms) &&
                     isnan (e.field_share_of_sun) && isnan (e.field_sag_corner_um));
      g_assert_cmpint (e.sampling, ==, FIL_SAMPLING_UNKNOWN);
      g_assert_cmpfloat (e.freeze_exposure_ms, ==, 2.5);
      g_assert_true (find (groups, "plate-scale")->unknown);
      g_assert_false (find (groups, "freeze-exposure")->unknown);
    }

  fil_estimates_compute (lens, NULL, NULL, &e);
  assert_near (e.optics.focal_length_mm, 2000, 1e-12, "an objective alone tells its focus");
  assert_near (e.first_focus_heat_w_per_cm2, 11.55, 1e-3, "and its heat");
  g_assert_true (isfinite (e.secondary_spectrum_share_of_depth));
}

/* In the C locale and its language. */
static void
test_texts (void)
{
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (FilRig) mirror = parse ("[element 1]\nkind=objective\ntype=mirror\n"
                                     "aperture_mm=200\nfocal_length_mm=1e308\n"
                                     "[element 2]\nkind=camera\npixel_um=1e-200\n");
  g_autoptr (GPtrArray) groups = fil_numbers_list (demo, NULL, NULL);
  g_autoptr (GPtrArray) other = fil_numbers_list (mirror, NULL, NULL);
  g_autofree char *notes = fil_number_dup_notes (find (groups, "freeze-exposure"));

  g_assert_cmpstr (find (groups, "plate-scale")->value, ==, "0.2932″ a pixel");
  g_assert_cmpstr (find (groups, "focal-ratio")->value, ==, "f/20.0");
  g_assert_cmpstr (find (groups, "drift-width")->value, ==, "38 s");
  g_assert_cmpstr (find (groups, "field")->value, ==, "9.46′ × 5.36′");
  g_assert_cmpstr (find (groups, "samples")->verdict, ==, "Well sampled");
  g_assert_true (find (groups, "field-sag")->estimate);
  g_assert_true (find (groups, "electrons")->estimate);
  g_assert_false (find (groups, "plate-scale")->estimate);
  g_assert_nonnull (strstr (find (groups, "electrons")->note, "sky lets 75 %"));
  g_assert_true (g_str_has_prefix (notes, "Estimate. "));
  g_assert_nonnull (strstr (notes, "r0 50 mm"));
  g_assert_cmpint (find (groups, "first-focus-heat")->level, ==, FIL_NUMBER_LOOK);
  g_assert_nonnull (strstr (find (groups, "first-focus-heat")->verdict, "cap"));
  g_assert_nonnull (find (groups, "behind-wedge-heat")->value);

  g_assert_null (find (other, "secondary-spectrum")->value);
  g_assert_null (find (other, "behind-wedge-heat")->value);
  g_assert_cmpstr (find (other, "focal-length")->value, ==, "1e+308 mm");
  g_assert_cmpstr (find (other, "field")->value, ==, "unknown");
  g_assert_cmpuint (count (groups), ==, count (other));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/estimates/achromat", test_achromat);
  g_test_add_func ("/estimates/colours", test_colours);
  g_test_add_func ("/estimates/sag", test_sag);
  g_test_add_func ("/estimates/heat", test_heat);
  g_test_add_func ("/estimates/heat-behind", test_heat_behind);
  g_test_add_func ("/estimates/field", test_field);
  g_test_add_func ("/estimates/sampling", test_sampling);
  g_test_add_func ("/estimates/time", test_time);
  g_test_add_func ("/estimates/exposure", test_exposure);
  g_test_add_func ("/estimates/facts-of-the-trade", test_facts_of_the_trade);
  g_test_add_func ("/estimates/unknown-is-nan", test_unknown_is_nan);
  g_test_add_func ("/estimates/incomplete", test_incomplete);
  g_test_add_func ("/estimates/texts", test_texts);

  return g_test_run ();
}
