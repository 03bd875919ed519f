/* test-figures.c: figures of the whole picture against published definitions
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-cpu.h"
#include "fil-figures.h"
#include "fil-frame-error.h"

/* A 16-bit frame whose rows lie bottom up, as in a FITS array, with @padding
 * counts after each. */
static FilFrame *
make_frame (int       width,
            int       height,
            int       padding,
            uint16_t *pixels)
{
  FilFrame *frame = fil_frame_new (NULL, NULL);

  frame->format = fil_pixel_format_from_name ("Y16");
  frame->width = width;
  frame->height = height;
  frame->stride = 2 * (gsize) (width + padding);
  frame->size = frame->stride * (gsize) height;
  frame->data = (const guint8 *) pixels;
  frame->bottom_up = TRUE;

  return frame;
}

static FilFigures
measure (const FilFrame *frame,
         FilFiguresSet   set,
         double          full)
{
  g_autoptr (FilFigureMeter) meter = fil_figure_meter_new ();
  g_autoptr (GError) error = NULL;
  FilFigures figures;

  fil_figure_meter_set_full (meter, full);
  fil_figure_meter_measure (meter, frame, NULL, set, &figures, &error);
  g_assert_no_error (error);

  return figures;
}

static void
assert_near (double got,
             double expected,
             double relative)
{
  g_assert_cmpfloat (fabs (got - expected), <=, relative * fabs (expected));
}

/* I = ((7x + 13y + 9 (xy mod 5)) mod 64) + 100, 16 × 16. OpenCV 4.6.0 and
 * numpy 1.24, by tests/measure/reference_figures.py; the sums of Brenner's
 * squares and MFGS' gradient sums are whole numbers. */
static void
test_sixteen (void)
{
  uint16_t pixels[256];
  g_autoptr (FilFrame) frame = NULL;
  double as_double[256];

  for (int y = 0; y < 16; y++)
    for (int x = 0; x < 16; x++)
      pixels[16 * y + x] = (uint16_t) ((7 * x + 13 * y + 9 * (x * y % 5)) % 64 + 100);
  for (int i = 0; i < 256; i++)
    as_double[i] = pixels[i];
  frame = make_frame (16, 16, 0, pixels);

  for (int pass = 0; pass < 3; pass++)
    {
      FilFigures f;

      fil_cpu_set_level (pass == 0 ? FIL_CPU_SCALAR : FIL_CPU_AVX2);
      if (pass < 2)
        f = measure (frame, FIL_FIGURES_ALL, 163);
      else
        fil_figures_measure_double (as_double, 16, 16, 163, &f);

      assert_near (f.mean, 33448.0 / 256.0, 1e-14);
      assert_near (f.sd, sqrt (331.2880859), 1e-10);
      assert_near (f.laplacian_variance, 6916.630987, 1e-10);
      assert_near (f.tenengrad, 7312.061224, 1e-10);
      assert_near (f.brenner, 149192.0 / (14.0 * 16.0), 1e-14);
      assert_near (f.mfgs, 2.0 * 9498.0 * 2958.0 / (9498.0 * 9498.0 + 2958.0 * 2958.0), 1e-14);
      assert_near (f.mfgs, 0.567796727, 1e-9);
      g_assert_cmpfloat (f.min, ==, 100);
      g_assert_cmpfloat (f.max, ==, 163);
      g_assert_cmpfloat (f.empty_fraction, ==, 0);
      assert_near (f.full_fraction, 6.0 / 256.0, 1e-14);
    }
}

/* A sinusoid's differences are sinusoids: Brenner 2A² sin² 2πf, Tenengrad
 * 32A² sin² 2πf, Laplacian 8A² sin⁴ πf. Whole periods inside. */
static void
test_sinusoid (void)
{
  enum { WIDTH = 82, HEIGHT = 12 };
  g_autofree double *pixels = g_new (double, WIDTH * HEIGHT);
  FilFigures f;

  for (int i = 0; i < WIDTH * HEIGHT; i++)
    pixels[i] = 100.0 + 10.0 * sin (2.0 * G_PI * (i % WIDTH) / 8.0);
  fil_figures_measure_double (pixels, WIDTH, HEIGHT, NAN, &f);

  assert_near (f.brenner, 100.0, 1e-12);
  assert_near (f.tenengrad, 1600.0, 1e-12);
  assert_near (f.laplacian_variance, 17.157288, 1e-7);
  assert_near (f.laplacian_variance, 800.0 * pow (sin (G_PI / 8.0), 4.0), 1e-11);
  g_assert_true (isnan (f.full_fraction));
}

static double
gauss (GRand *rand)
{
  double u = g_rand_double_range (rand, 1e-12, 1.0), v = g_rand_double (rand);

  return sqrt (-2.0 * log (u)) * cos (2.0 * G_PI * v);
}

/* White noise: sums of squared kernel weights, 2, 24 and 20 times σ². The
 * noise of the figures themselves stays within four of its own deviations:
 * relative sd about √(2·k/n) with k near 3 for the overlap of kernels. */
static void
test_noise (void)
{
  enum { WIDTH = 1000, HEIGHT = 700 };
  const double sd = 50.0, variance = sd * sd + 1.0 / 12.0;   /* rounding adds 1/12 */
  g_autoptr (GRand) rand = g_rand_new_with_seed (11);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = make_frame (WIDTH, HEIGHT, 0, pixels);
  double tolerance = 4.0 * sqrt (2.0 * 3.0 / (WIDTH * HEIGHT));
  FilFigures f;

  for (int i = 0; i < WIDTH * HEIGHT; i++)
    pixels[i] = (uint16_t) floor (2000.0 + sd * gauss (rand) + 0.5);
  f = measure (frame, FIL_FIGURES_ALL, NAN);

  assert_near (f.sd, sqrt (variance), tolerance);
  assert_near (f.brenner, 2.0 * variance, tolerance);
  assert_near (f.tenengrad, 24.0 * variance, tolerance);
  assert_near (f.laplacian_variance, 20.0 * variance, tolerance);
  assert_near (f.mfgs, 0.43, 0.01);   /* OpenCV 4.6.0, pure noise, 4 Mpx: about 0.43 */
}

static void
assert_identical (const FilFigures *a,
                  const FilFigures *b)
{
  guint n;
  const FilFigureValue *values = fil_figures_list_values (&n);

  for (guint i = 0; i < n; i++)
    {
      double x = fil_figures_get (a, &values[i]), y = fil_figures_get (b, &values[i]);

      if (!(isnan (x) && isnan (y)) && x != y)
        g_error ("%s: %.17g and %.17g", values[i].key, x, y);
    }
}

/* Exactly equal: plain and vector code, with and without the histogram. */
static void
compare_levels (const FilFrame *frame,
                double          full)
{
  FilFigures scalar, vector, lean;

  fil_cpu_set_level (FIL_CPU_SCALAR);
  scalar = measure (frame, FIL_FIGURES_ALL, full);
  lean = measure (frame, FIL_FIGURES_ALL & ~FIL_FIGURES_HISTOGRAM, full);
  assert_identical (&scalar, &lean);
  for (FilCpuLevel level = FIL_CPU_AVX2; level <= FIL_CPU_AVX512; level++)
    {
      if (fil_cpu_set_level (level) < level)   /* this processor's best is compared already */
        break;
      vector = measure (frame, FIL_FIGURES_ALL, full);
      assert_identical (&scalar, &vector);
      lean = measure (frame, FIL_FIGURES_ALL & ~FIL_FIGURES_HISTOGRAM, full);
      assert_identical (&scalar, &lean);
    }
}

static void
fill (uint16_t *pixels,
      gsize     n,
      int       bits,
      GRand    *rand)
{
  for (gsize i = 0; i < n; i++)
    pixels[i] = (uint16_t) (g_rand_int (rand) & ((1u << bits) - 1));
}

static void
test_levels_agree (void)
{
  static const int depths[] = { 1, 8, 12, 13, 14, 16 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (3);

  for (int width = 1; width <= 70; width++)
    for (gsize d = 0; d < G_N_ELEMENTS (depths); d++)
      {
        int height = 1 + (width + (int) d) % 19, padding = width % 4;
        gsize n = (gsize) ((width + padding) * height);
        g_autofree uint16_t *pixels = g_new (uint16_t, n);
        g_autoptr (FilFrame) frame = make_frame (width, height, padding, pixels);

        fill (pixels, n, depths[d], rand);
        compare_levels (frame, (1 << depths[d]) - 1);
        compare_levels (frame, 0);
        compare_levels (frame, 70000);
      }
}

/* Every sum at its largest: stripes and boards of 0 and the highest count. */
static void
test_extremes (void)
{
  static const uint16_t tops[] = { 255, 4095, 8191, 8192, 16383, 65535 };
  enum { WIDTH = 10007, HEIGHT = 19 };   /* three bands of rows, the last one short */
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = make_frame (WIDTH, HEIGHT, 0, pixels);

  for (gsize t = 0; t < G_N_ELEMENTS (tops); t++)
    for (int pattern = 0; pattern < 6; pattern++)
      {
        for (int y = 0; y < HEIGHT; y++)
          for (int x = 0; x < WIDTH; x++)
            {
              const gboolean on[] = { TRUE, (x + y) & 1, x / 2 & 1, y / 2 & 1,
                                      (x / 2 + y / 2) & 1, x / 3 & 1 };

              pixels[y * WIDTH + x] = on[pattern] ? tops[t] : 0;
            }
        compare_levels (frame, tops[t]);
      }
}

/* Rows of different depth take different kernels side by side. */
static void
test_mixed_depths (void)
{
  enum { WIDTH = 53, HEIGHT = 40 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (4);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = make_frame (WIDTH, HEIGHT, 0, pixels);

  for (int y = 0; y < HEIGHT; y++)
    fill (pixels + y * WIDTH, WIDTH, g_rand_int_range (rand, 1, 17), rand);
  compare_levels (frame, 4095);
}

/* Whatever the format, the figures are those of the unpacked counts; they
 * don't depend on which way up the rows lie in memory. */
static void
test_formats (void)
{
  static const char *const names[] = { "GREY", "Y12 ", "Y16-BE", "Y12P", "pRAA", "YUYV", "RGB3" };
  enum { WIDTH = 51, HEIGHT = 23 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (6);
  static const FilRect rect = { 5, 3, 40, 17 };

  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autoptr (FilFrame) frame =
        fil_frame_new_alloc (fil_pixel_format_from_name (names[i]), WIDTH, HEIGHT);
      g_autofree uint16_t *counts = g_new (uint16_t, rect.width * rect.height);
      g_autoptr (FilFrame) plain = make_frame (rect.width, rect.height, 0, counts);
      g_autoptr (FilFigureMeter) meter = fil_figure_meter_new ();
      FilFigures a, b;

      for (gsize k = 0; k < frame->size; k++)
        ((guint8 *) frame->data)[k] = (guint8) g_rand_int (rand);
      frame->bottom_up = i % 2;
      g_assert_true (fil_frame_unpack (frame, &rect, counts, NULL));
      plain->bottom_up = FALSE;
      b = measure (plain, FIL_FIGURES_ALL, 200);
      fil_figure_meter_set_full (meter, 200);
      g_assert_true (fil_figure_meter_measure (meter, frame, &rect, FIL_FIGURES_ALL, &a, NULL));
      assert_identical (&a, &b);
    }
}

static void
test_histogram (void)
{
  enum { WIDTH = 61, HEIGHT = 33 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (8);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = make_frame (WIDTH, HEIGHT, 0, pixels);
  g_autoptr (FilFigureMeter) meter = fil_figure_meter_new ();

  /* A large picture first: nothing of it may stay. */
  for (int bits = 16; bits >= 1; bits -= 5)
    {
      FilFigures figures;
      guint n_bins;
      const guint32 *histogram;
      g_autofree guint32 *expected = g_new0 (guint32, 65536);

      fill (pixels, WIDTH * HEIGHT, bits, rand);
      for (int i = 0; i < WIDTH * HEIGHT; i++)
        expected[pixels[i]]++;
      g_assert_true (fil_figure_meter_measure (meter, frame, NULL, FIL_FIGURES_HISTOGRAM,
                                               &figures, NULL));
      histogram = fil_figure_meter_get_histogram (meter, &n_bins);
      g_assert_cmpuint (n_bins, ==, 1u << bits);
      g_assert_cmpmem (histogram, n_bins * 4, expected, n_bins * 4);
      g_assert_true (isnan (figures.mean) && isnan (figures.brenner));
    }
}

/* More pixels of one count than a 16-bit tally holds, wherever it stands. */
static void
test_flat (void)
{
  enum { WIDTH = 1003, HEIGHT = 701 };
  static const uint16_t counts[] = { 0, 3, 4095, 40000, 65535 };
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = make_frame (WIDTH, HEIGHT, 0, pixels);
  g_autoptr (FilFigureMeter) meter = fil_figure_meter_new ();

  for (gsize i = 0; i < G_N_ELEMENTS (counts); i++)
    for (int spread = 0; spread < 4; spread++)
      {
        FilFigures f;
        guint n_bins, n_odd = 0;
        const guint32 *histogram;

        /* Alone; among some far ones; among many, never next to itself; alone
         * and among many in turn, some rows each. */
        for (int k = 0; k < WIDTH * HEIGHT; k++)
          {
            gboolean many = spread == 2 || (spread == 3 && k / (WIDTH * 90) % 2 == 1);
            gboolean odd = spread == 1 ? k % 3 == 1 : many && k % 5 != 0;

            pixels[k] = odd ? (uint16_t) (20000 + k * (gint64) 7919 % 16001) : counts[i];
            n_odd += odd;
          }
        g_assert_true (fil_figure_meter_measure (meter, frame, NULL, FIL_FIGURES_HISTOGRAM, &f,
                                                 NULL));
        histogram = fil_figure_meter_get_histogram (meter, &n_bins);
        g_assert_cmpuint (n_bins, >, counts[i]);
        g_assert_cmpuint (histogram[counts[i]], ==, WIDTH * HEIGHT - n_odd);
        compare_levels (frame, 4095);
      }
}

static void
test_too_small (void)
{
  uint16_t pixels[8] = { 7, 7, 9, 9, 0, 65535, 1, 1 };
  g_autoptr (FilFrame) narrow = make_frame (2, 4, 0, pixels);
  g_autoptr (FilFrame) flat = make_frame (4, 2, 0, pixels);
  FilFigures f = measure (narrow, FIL_FIGURES_ALL, 65535);

  g_assert_true (isnan (f.brenner) && isnan (f.tenengrad) && isnan (f.laplacian_variance));
  g_assert_cmpfloat (f.full_fraction, ==, 0.125);
  f = measure (flat, FIL_FIGURES_ALL, 65535);
  g_assert_true (isnan (f.tenengrad) && isnan (f.laplacian_variance));
  assert_near (f.brenner, (4.0 + 4.0 + 1.0 + 65534.0 * 65534.0) / 4.0, 1e-14);
}

/* Pixels that are no numbers are left out, of gradients too. */
static void
test_blank_pixels (void)
{
  enum { WIDTH = 20, HEIGHT = 10 };
  double pixels[WIDTH * HEIGHT];
  FilFigures f;

  for (int i = 0; i < WIDTH * HEIGHT; i++)
    pixels[i] = -1e9 + 3.0 * (i % WIDTH);   /* a slope: every difference is known */
  pixels[47] = NAN;
  pixels[108] = INFINITY;
  fil_figures_measure_double (pixels, WIDTH, HEIGHT, NAN, &f);
  assert_near (f.brenner, 36.0, 1e-12);
  assert_near (f.tenengrad, 64.0 * 9.0, 1e-12);
  g_assert_cmpfloat (f.laplacian_variance, ==, 0.0);
  g_assert_true (isfinite (f.mean) && isfinite (f.sd) && isfinite (f.mfgs));

  for (int i = 0; i < WIDTH * HEIGHT; i++)
    pixels[i] = NAN;
  fil_figures_measure_double (pixels, WIDTH, HEIGHT, 1.0, &f);
  g_assert_true (isnan (f.mean) && isnan (f.max) && isnan (f.full_fraction) && isnan (f.mfgs));
}

static void
test_refusals (void)
{
  uint16_t pixels[64] = { 0 };
  g_autoptr (FilFrame) frame = make_frame (8, 8, 0, pixels);
  g_autoptr (FilFigureMeter) meter = fil_figure_meter_new ();
  g_autoptr (GError) error = NULL;
  FilFigures f = { .mean = 17.0 };

  g_assert_false (fil_figure_meter_measure (meter, frame, &(FilRect) { 4, 4, 5, 5 },
                                            FIL_FIGURES_ALL, &f, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT);
  g_assert_cmpfloat (f.mean, ==, 17.0);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/figures/sixteen", test_sixteen);
  g_test_add_func ("/figures/sinusoid", test_sinusoid);
  g_test_add_func ("/figures/noise", test_noise);
  g_test_add_func ("/figures/levels-agree", test_levels_agree);
  g_test_add_func ("/figures/extremes", test_extremes);
  g_test_add_func ("/figures/mixed-depths", test_mixed_depths);
  g_test_add_func ("/figures/formats", test_formats);
  g_test_add_func ("/figures/histogram", test_histogram);
  g_test_add_func ("/figures/flat", test_flat);
  g_test_add_func ("/figures/too-small", test_too_small);
  g_test_add_func ("/figures/blank-pixels", test_blank_pixels);
  g_test_add_func ("/figures/refusals", test_refusals);

  return g_test_run ();
}
