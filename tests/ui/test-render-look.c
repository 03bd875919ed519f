/* test-render-look.c: curves, the table of shades, black and white by a histogram
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "render-help.h"

/* The shade of @count, the way the rows find it. */
static guint
shade_of (const FilShades *shades,
          double           count)
{
  double entry = (count - (double) shades->black) * (double) shades->scale + 0.5;

  return shades->table[(int) CLAMP (entry, 0.0, FIL_SHADES - 1.0)];
}

static void
test_curves (void)
{
  static const struct
  {
    FilCurve curve;
    double   at;      /* from black (0) to white (1) */
    double   expected;
  } cases[] = {
    { FIL_CURVE_LINEAR, 0.25, 0.25 },
    { FIL_CURVE_LINEAR, 0.5, 0.5 },
    { FIL_CURVE_ROOT, 0.25, 0.5 },
    { FIL_CURVE_ROOT, 0.01, 0.1 },
    /* asinh (5) / asinh (10) = ln (5 + √26) / ln (10 + √101) */
    { FIL_CURVE_ASINH, 0.5, 0.7712696 },
  };
  g_autofree FilShades *shades = g_new (FilShades, 1);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilLook look = { .black = 1000, .white = 3000, .curve = cases[i].curve };

      fil_shades_fill (shades, &look);
      g_assert_cmpfloat_with_epsilon (shade_of (shades, 1000 + 2000 * cases[i].at) / 255.0,
                                      cases[i].expected, 0.003);
    }
}

static void
test_ends_and_order (void)
{
  g_autofree FilShades *shades = g_new (FilShades, 1);

  for (int curve = 0; curve < FIL_N_CURVES; curve++)
    {
      FilLook look = { .black = 500, .white = 60000, .curve = (FilCurve) curve };
      guint before = 0;

      fil_shades_fill (shades, &look);
      g_assert_cmpuint (shade_of (shades, 0), ==, 0);
      g_assert_cmpuint (shade_of (shades, 500), ==, 0);
      g_assert_cmpuint (shade_of (shades, 60000), ==, 255);
      g_assert_cmpuint (shade_of (shades, 65535), ==, 255);
      for (int count = 0; count < 65536; count += 13)
        {
          guint shade = shade_of (shades, count);

          g_assert_cmpuint (shade, >=, before);
          before = shade;
        }
    }
}

/* White at or below black: a step. */
static void
test_step (void)
{
  g_autofree FilShades *shades = g_new (FilShades, 1);
  const double whites[] = { 700, 699, -5 };

  for (gsize i = 0; i < G_N_ELEMENTS (whites); i++)
    {
      fil_shades_fill (shades, &(FilLook) { .black = 700, .white = whites[i] });
      g_assert_cmpuint (shade_of (shades, 700), ==, 0);
      g_assert_cmpuint (shade_of (shades, 701), ==, 255);
    }
}

static void
test_names (void)
{
  for (int curve = 0; curve < FIL_N_CURVES; curve++)
    {
      FilCurve found = FIL_CURVE_LINEAR;

      g_assert_true (fil_curve_from_string (fil_curve_to_string ((FilCurve) curve), &found));
      g_assert_cmpint (found, ==, curve);
    }
  g_assert_false (fil_curve_from_string ("steep", &(FilCurve) { 0 }));
}

/* 1000 pixels in each of the counts 100 to 199: the 0.1 % and 99.9 % places
 * lie at 100.1 and 199.9, room is 5 % of the 99.8 between them. */
static void
test_stretch (void)
{
  g_autofree guint32 *histogram = g_new0 (guint32, 4096);
  FilLook look = { 0 };

  for (int i = 100; i < 200; i++)
    histogram[i] = 1000;
  g_assert_true (fil_look_stretch (&look, histogram, 4096, 1.0));
  g_assert_cmpfloat_with_epsilon (look.black, 100.1 - 4.99, 1e-9);
  g_assert_cmpfloat_with_epsilon (look.white, 199.9 + 4.99, 1e-9);
}

static void
test_stretch_folded (void)
{
  guint32 histogram[256] = { [128] = 1000 };
  FilLook look = { .curve = FIL_CURVE_ROOT };

  /* Bins of 16 counts; one bin is narrower than 1/128 of 4096, 32 counts. */
  g_assert_true (fil_look_stretch (&look, histogram, 256, 16.0));
  g_assert_cmpfloat_with_epsilon (look.white - look.black, 32.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (look.white + look.black, 2 * 2056.0, 1e-9);
  g_assert_cmpint (look.curve, ==, FIL_CURVE_ROOT);
}

static void
test_stretch_nothing (void)
{
  guint32 histogram[256] = { 0 };
  FilLook look = { .black = 3, .white = 5 };

  g_assert_false (fil_look_stretch (&look, histogram, 256, 16.0));
  g_assert_cmpfloat (look.black, ==, 3);
  g_assert_cmpfloat (look.white, ==, 5);

  /* All at the ceiling, or all at zero: inside the range. */
  histogram[255] = 9;
  g_assert_true (fil_look_stretch (&look, histogram, 256, 16.0));
  g_assert_cmpfloat (look.white, <=, 4096);
  g_assert_cmpfloat (look.black, <, look.white);
  histogram[255] = 0;
  histogram[0] = 9;
  g_assert_true (fil_look_stretch (&look, histogram, 256, 16.0));
  g_assert_cmpfloat (look.black, ==, 0);
  g_assert_cmpfloat (look.black, <, look.white);
}

static guint
two_levels (int x,
            int y)
{
  return (x + y) % 2 ? 1000 : 3000;
}

static void
test_stretch_frame (void)
{
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", 40, 600, FALSE, two_levels);
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  FilLook look;

  fil_look_init (&look, 4095);
  g_assert_true (fil_renderer_stretch (renderer, frame, &look, NULL));
  g_assert_cmpfloat (look.black, >, 800);
  g_assert_cmpfloat (look.black, <=, 1000);
  g_assert_cmpfloat (look.white, >=, 3000);
  g_assert_cmpfloat (look.white, <, 3200);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/render/look/curves", test_curves);
  g_test_add_func ("/render/look/ends-and-order", test_ends_and_order);
  g_test_add_func ("/render/look/step", test_step);
  g_test_add_func ("/render/look/names", test_names);
  g_test_add_func ("/render/look/stretch", test_stretch);
  g_test_add_func ("/render/look/stretch-folded", test_stretch_folded);
  g_test_add_func ("/render/look/stretch-nothing", test_stretch_nothing);
  g_test_add_func ("/render/look/stretch-frame", test_stretch_frame);

  return g_test_run ();
}
