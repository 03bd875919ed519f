/* test-depth.c: what the pixels give away about their depth, and what not
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-depth.h"

enum { N = 60000 };

/* Normal noise from two uniform numbers (Box and Muller 1958). */
static double
gauss (GRand *rand)
{
  double u = g_rand_double_range (rand, 1e-12, 1.0), v = g_rand_double (rand);

  return sqrt (-2.0 * log (u)) * cos (2.0 * G_PI * v);
}

/* A sensor of @bits: a ramp from 2 % to @top of full with photon-like noise,
 * cut at 2^bits − 1, then shifted left. */
static void
expose (uint16_t *pixels,
        int       bits,
        int       shift,
        double    top)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);
  double full = (1 << bits) - 1;

  for (int i = 0; i < N; i++)
    {
      double mean = full * (0.02 + (top - 0.02) * i / N);
      double count = floor (mean + gauss (rand) * (1.0 + 0.02 * full * sqrt (mean / full)) + 0.5);

      pixels[i] = (uint16_t) ((int) CLAMP (count, 0, full) << shift);
    }
}

static FilDepth
probe_pixels (const char     *format,
              const uint16_t *pixels,
              gsize           n)
{
  g_autoptr (FilDepthProbe) probe =
    fil_depth_probe_new (fil_pixel_format_from_name (format));

  fil_depth_probe_add (probe, pixels, n / 2);
  fil_depth_probe_add (probe, pixels + n / 2, n - n / 2);

  return fil_depth_probe_get (probe);
}

typedef struct
{
  const char *path;
  const char *format;
  int         bits, shift;   /* of the sensor */
  double      top;           /* brightest exposure over full */
  FilDepth    expected;
} Case;

static const Case cases[] = {
  /* The sensor's ceiling is reached: it is seen. */
  { "/depth/10-in-16/full", "Y16", 10, 0, 1.2, { 10, 0, 1023, TRUE } },
  { "/depth/12-in-16/full", "Y16", 12, 0, 1.2, { 12, 0, 4095, TRUE } },
  { "/depth/14-in-16/full", "Y16", 14, 0, 1.2, { 14, 0, 16383, TRUE } },
  { "/depth/12-high/full", "Y16", 12, 4, 1.2, { 12, 4, 65520, TRUE } },
  { "/depth/10-high/full", "RG16", 10, 6, 1.2, { 10, 6, 65472, TRUE } },
  { "/depth/8-high/full", "Y16", 8, 8, 1.2, { 8, 8, 65280, TRUE } },
  { "/depth/12-nominal/full", "Y12", 12, 0, 1.2, { 12, 0, 4095, TRUE } },
  { "/depth/8-nominal/full", "GREY", 8, 0, 1.2, { 8, 0, 255, TRUE } },
  { "/depth/10-in-12-shifted/full", "Y12", 10, 2, 1.2, { 10, 2, 4092, TRUE } },
  { "/depth/12-in-14-high/full", "Y16", 12, 2, 1.2, { 12, 2, 16380, TRUE } },
  /* It isn't: only constant low bits may be claimed. */
  { "/depth/12-in-16/dim", "Y16", 12, 0, 0.5, { 16, 0, 65535, FALSE } },
  { "/depth/8-in-16/dark", "Y16", 8, 0, 0.3, { 16, 0, 65535, FALSE } },
  { "/depth/12-high/dim", "Y16", 12, 4, 0.5, { 12, 4, 65520, TRUE } },
  { "/depth/12-nominal/dim", "Y12", 12, 0, 0.5, { 12, 0, 4095, FALSE } },
  { "/depth/16/dim", "Y16", 16, 0, 0.5, { 16, 0, 65535, FALSE } },
  /* The name promised 12 bits, the driver puts them high. */
  { "/depth/12-high-named-12", "Y12", 12, 4, 0.9, { 12, 4, 65520, TRUE } },
};

static void
assert_depth (FilDepth got,
              FilDepth expected)
{
  g_assert_cmpint (got.bits, ==, expected.bits);
  g_assert_cmpint (got.shift, ==, expected.shift);
  g_assert_cmpuint (got.full, ==, expected.full);
  g_assert_cmpint (got.learnt, ==, expected.learnt);
}

static void
test_case (gconstpointer data)
{
  const Case *c = data;
  g_autofree uint16_t *pixels = g_new (uint16_t, N);

  expose (pixels, c->bits, c->shift, c->top);
  assert_depth (probe_pixels (c->format, pixels, N), c->expected);
}

static const FilDepth nominal_16 = { 16, 0, 65535, FALSE };

/* Flat, black, two-valued and tiny pictures show nothing. */
static void
test_dull (void)
{
  g_autofree uint16_t *pixels = g_new0 (uint16_t, N);

  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
  assert_depth (probe_pixels ("Y16", pixels, 0), nominal_16);
  for (int i = 0; i < N; i++)
    pixels[i] = 255;
  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
  for (int i = 0; i < N; i++)
    pixels[i] = 4096;
  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
  for (int i = 0; i < N; i++)
    pixels[i] = i % 7 == 0 ? 4095 : 16;
  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
  expose (pixels, 12, 4, 1.2);
  assert_depth (probe_pixels ("Y16", pixels, 900), nominal_16);
}

/* The tail of the noise ends by chance at 2ⁿ − 1: no pile, no claim. */
static void
test_tail_is_no_pile (void)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, N);
  g_autoptr (GRand) rand = g_rand_new_with_seed (9);

  for (int i = 0; i < N; i++)
    pixels[i] = (uint16_t) MIN (230 + gauss (rand) * 6.0, 254);
  pixels[17] = 255;
  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
  /* A hot pixel or two at the ceiling of another depth. */
  pixels[18] = pixels[19] = 4095;
  assert_depth (probe_pixels ("Y16", pixels, N), nominal_16);
}

/* As the kernel's test driver fills 16-bit grey: the value in the high byte,
 * zero below, but 0xffff for white (v4l2-tpg). Eight bars and text. */
static void
test_high_byte_with_white (void)
{
  static const guint8 bars[] = { 255, 16, 41, 81, 106, 145, 170, 210, 235 };
  g_autofree uint16_t *pixels = g_new (uint16_t, N);

  for (int i = 0; i < N; i++)
    {
      guint8 bar = bars[i % G_N_ELEMENTS (bars)];

      pixels[i] = (uint16_t) (bar << 8 | (bar == 255 ? 255 : 0));
    }
  assert_depth (probe_pixels ("Y16", pixels, N), (FilDepth) { 8, 8, 65535, TRUE });
}

static void
test_luma_ends_at_235 (void)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, N);

  expose (pixels, 8, 0, 1.2);
  for (int i = 0; i < N; i++)
    pixels[i] = MIN (pixels[i], 235);
  assert_depth (probe_pixels ("YUYV", pixels, N), (FilDepth) { 8, 0, 235, TRUE });
  assert_depth (probe_pixels ("NV12", pixels, N), (FilDepth) { 8, 0, 235, TRUE });
  assert_depth (probe_pixels ("GREY", pixels, N), (FilDepth) { 8, 0, 255, FALSE });
  pixels[5] = 250;
  assert_depth (probe_pixels ("YUYV", pixels, N), (FilDepth) { 8, 0, 255, FALSE });
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_test_add_data_func (cases[i].path, &cases[i], test_case);
  g_test_add_func ("/depth/dull", test_dull);
  g_test_add_func ("/depth/tail-is-no-pile", test_tail_is_no_pile);
  g_test_add_func ("/depth/high-byte-with-white", test_high_byte_with_white);
  g_test_add_func ("/depth/luma-ends-at-235", test_luma_ends_at_235);

  return g_test_run ();
}
