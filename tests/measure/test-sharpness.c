/* test-sharpness.c: what moves the focus figure, and what must not
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The value itself is checked against numpy by reference_sharpness.py. */

#include <math.h>

#include "fil-frame-error.h"
#include "fil-sharpness.h"

enum { SIDE = 256, N = SIDE * SIDE };

static double
gauss (GRand *rand)
{
  double u = g_rand_double_range (rand, 1e-12, 1.0), v = g_rand_double (rand);

  return sqrt (-2.0 * log (u)) * cos (2.0 * G_PI * v);
}

/* A scene of 60 waves between 0.02 and 0.28 cycles/px, mean 1. @blur: each
 * wave falls by exp (−2 (π blur f)²), a Gaussian of that many px. */
static void
make_scene (double *scene,
            double  blur)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (31);

  for (int i = 0; i < N; i++)
    scene[i] = 1.0;
  for (int wave = 0; wave < 60; wave++)
    {
      double f = g_rand_double_range (rand, 0.02, 0.28);
      double angle = g_rand_double_range (rand, 0.0, G_PI);
      double phase = g_rand_double_range (rand, 0.0, 2.0 * G_PI);
      double fx = f * cos (angle), fy = f * sin (angle);
      double a = 0.01 * exp (-2.0 * pow (G_PI * blur * f, 2.0));

      for (int i = 0; i < N; i++)
        scene[i] += a * cos (2.0 * G_PI * (fx * (i % SIDE) + fy * (i / SIDE)) + phase);
    }
}

/* Counts = gain · signal, + glare + black, with photon-like and read noise. */
typedef struct
{
  double level, glare, black, noise;
} Exposure;

static FilSharpness
measure (const double   *scene,
         const Exposure *e,
         guint32         seed)
{
  g_autoptr (FilSharpnessMeter) meter = fil_sharpness_meter_new ();
  g_autoptr (FilFrame) frame =
    fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), SIDE, SIDE);
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  g_autoptr (GError) error = NULL;
  guint8 *bytes = (guint8 *) frame->data;
  FilSharpness s;

  for (int i = 0; i < N; i++)
    {
      double count = e->level * scene[i] + e->glare + e->black + e->noise * gauss (rand);
      guint whole = (guint) CLAMP (floor (count + 0.5), 0.0, 65535.0);

      bytes[2 * i] = whole & 255;
      bytes[2 * i + 1] = (guint8) (whole >> 8);
    }
  fil_sharpness_meter_set (meter, 0.5, e->black);
  fil_sharpness_meter_measure (meter, frame, NULL, &s, &error);
  g_assert_no_error (error);

  return s;
}

static void
assert_near (double got,
             double expected,
             double relative)
{
  g_assert_cmpfloat (fabs (got - expected), <=, relative * fabs (expected));
}

/* Gain and attenuation change nothing but the rounding to whole counts. */
static void
test_gain_and_attenuation (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness one;

  make_scene (scene, 0.0);
  one = measure (scene, &(Exposure) { 20000, 0, 0, 0 }, 1);
  g_assert_cmpfloat (one.percent, >, 3.0);
  for (double level = 2000; level <= 40000; level *= 2)
    {
      FilSharpness other = measure (scene, &(Exposure) { level, 0, 0, 0 }, 1);

      assert_near (other.percent, one.percent, 1e-4);
      assert_near (other.fine, one.fine, 1e-3);
    }
}

static void
test_black_level (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness one, other;

  make_scene (scene, 0.0);
  one = measure (scene, &(Exposure) { 20000, 0, 0, 0 }, 1);
  other = measure (scene, &(Exposure) { 20000, 0, 4000, 0 }, 1);
  assert_near (other.percent, one.percent, 1e-5);
}

/* Noise is taken off to within its scatter. In the band lie n = 0.265 · 65536
 * bins, its power there is r = 0.2 of the scene's. The product of scene and
 * noise scatters the power by 2 √(r / n), times 1.5 for what the Hann window
 * ties together in two directions: 1 %, half of it in sharpness. Four
 * deviations of one picture, and of twenty. */
static void
test_noise (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness clean, noisy;
  double sum = 0.0;

  make_scene (scene, 0.0);
  clean = measure (scene, &(Exposure) { 20000, 0, 0, 0 }, 1);
  for (guint32 seed = 1; seed <= 20; seed++)
    {
      noisy = measure (scene, &(Exposure) { 20000, 0, 0, 800 }, seed);
      assert_near (noisy.percent, clean.percent, 0.02);
      sum += noisy.percent;
    }
  assert_near (sum / 20.0, clean.percent, 0.0045);
  /* 800 counts over 20000, in the band's share of all bins */
  assert_near (noisy.noise_percent, 4.0 * sqrt (0.265), 0.03);
}

/* Glare adds light and no contrast: G more light divides by 1 + G. */
static void
test_glare (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness clear;

  make_scene (scene, 0.0);
  clear = measure (scene, &(Exposure) { 20000, 0, 0, 0 }, 1);
  for (double glare = 0.1; glare < 1.0; glare *= 2)
    {
      FilSharpness hazy = measure (scene, &(Exposure) { 20000, 20000 * glare, 0, 0 }, 1);

      assert_near (hazy.percent, clear.percent / (1.0 + glare), 1e-4);
      assert_near (hazy.fine, clear.fine, 1e-3);
    }
}

/* Every figure falls with blur, the fine one first. */
static void
test_blur (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness last = { 100.0, 100.0, 100.0, 0.0 }, first = last;

  for (int step = 0; step <= 6; step++)
    {
      FilSharpness now;

      make_scene (scene, 0.3 * step);
      now = measure (scene, &(Exposure) { 20000, 0, 0, 60 }, 9);
      g_assert_cmpfloat (now.percent, <, last.percent);
      g_assert_cmpfloat (now.fine, <, last.fine);
      g_assert_cmpfloat (now.coarse_percent, <, last.coarse_percent);
      if (step == 0)
        first = now;
      last = now;
    }
  g_assert_cmpfloat (last.fine / first.fine, <, last.percent / first.percent);
  g_assert_cmpfloat (last.percent / first.percent, <, last.coarse_percent / first.coarse_percent);
}

/* A slope across the patch is none of the contrast. */
static void
test_slope (void)
{
  g_autofree double *scene = g_new (double, N);
  FilSharpness flat, sloped;

  make_scene (scene, 0.0);
  flat = measure (scene, &(Exposure) { 10000, 0, 0, 0 }, 1);
  for (int i = 0; i < N; i++)
    scene[i] += 0.8 * ((i % SIDE) - 127.5) / 256.0 - 0.5 * (i / SIDE - 127.5) / 256.0;
  sloped = measure (scene, &(Exposure) { 10000, 0, 0, 0 }, 1);
  assert_near (sloped.percent, flat.percent, 2e-5);
}

static void
test_no_value (void)
{
  g_autofree double *scene = g_new0 (double, N);
  g_autoptr (FilSharpnessMeter) meter = fil_sharpness_meter_new ();
  g_autoptr (FilFrame) frame =
    fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"), 300, 300);
  g_autoptr (GError) error = NULL;
  FilSharpness s = measure (scene, &(Exposure) { 0, 0, 0, 0 }, 1);

  g_assert_true (isnan (s.percent) && isnan (s.fine));   /* black: no mean */
  for (int i = 0; i < N; i++)
    scene[i] = 1.0;
  s = measure (scene, &(Exposure) { 500, 0, 0, 0 }, 1);   /* flat */
  g_assert_cmpfloat (s.percent, ==, 0.0);
  g_assert_true (isnan (s.fine));

  g_assert_true (fil_sharpness_meter_measure (meter, frame, &(FilRect) { 0, 0, 127, 300 }, &s,
                                              &error));
  g_assert_true (isnan (s.percent));
  g_assert_false (fil_sharpness_meter_measure (meter, frame, &(FilRect) { 1, 0, 300, 300 }, &s,
                                               &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT);

  scene[77] = NAN;
  fil_sharpness_meter_measure_double (meter, scene, SIDE, SIDE, SIDE, &s);
  g_assert_true (isnan (s.percent));
}

static void
test_default_patch (void)
{
  static const struct
  {
    int     width, height;
    FilRect patch;
  } cases[] = {
    { 1920, 1080, { 704, 284, 512, 512 } }, { 1936, 1096, { 712, 292, 512, 512 } },
    { 640, 480, { 192, 112, 256, 256 } },   { 512, 512, { 0, 0, 512, 512 } },
    { 511, 600, { 127, 172, 256, 256 } },   { 128, 1000, { 0, 436, 128, 128 } },
    { 131, 131, { 1, 2, 128, 128 } },
  };
  FilRect patch = { 7, 7, 7, 7 };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_assert_true (fil_sharpness_default_patch (cases[i].width, cases[i].height, &patch));
      g_assert_cmpmem (&patch, sizeof patch, &cases[i].patch, sizeof patch);
    }
  g_assert_false (fil_sharpness_default_patch (127, 1000, &patch));
}

/* One meter, sizes and cut-offs in turn: nothing of the last one stays. */
static void
test_changing_sizes (void)
{
  g_autoptr (FilSharpnessMeter) one = fil_sharpness_meter_new ();
  g_autoptr (FilFrame) frame =
    fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"), 400, 300);
  g_autoptr (GRand) rand = g_rand_new_with_seed (3);

  for (gsize i = 0; i < frame->size; i++)
    ((guint8 *) frame->data)[i] = (guint8) g_rand_int_range (rand, 60, 180);
  for (int i = 0; i < 12; i++)
    {
      g_autoptr (FilSharpnessMeter) fresh = fil_sharpness_meter_new ();
      FilRect patch = { i, 2 * i, 128 + 7 * (i % 5), 128 + 9 * (i % 3) };
      FilSharpness a, b;

      fil_sharpness_meter_set (one, 0.2 + 0.05 * (i % 4), i);
      fil_sharpness_meter_set (fresh, 0.2 + 0.05 * (i % 4), i);
      g_assert_true (fil_sharpness_meter_measure (one, frame, &patch, &a, NULL));
      g_assert_true (fil_sharpness_meter_measure (fresh, frame, &patch, &b, NULL));
      g_assert_cmpfloat (a.percent, ==, b.percent);
      g_assert_cmpfloat (a.noise_percent, ==, b.noise_percent);
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sharpness/gain-and-attenuation", test_gain_and_attenuation);
  g_test_add_func ("/sharpness/black-level", test_black_level);
  g_test_add_func ("/sharpness/noise", test_noise);
  g_test_add_func ("/sharpness/glare", test_glare);
  g_test_add_func ("/sharpness/blur", test_blur);
  g_test_add_func ("/sharpness/slope", test_slope);
  g_test_add_func ("/sharpness/no-value", test_no_value);
  g_test_add_func ("/sharpness/default-patch", test_default_patch);
  g_test_add_func ("/sharpness/changing-sizes", test_changing_sizes);

  return g_test_run ();
}
