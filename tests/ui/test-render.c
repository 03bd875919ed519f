/* test-render.c: sharp pixels, averages, regions and painted pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-cpu.h"
#include "fil-frame-error.h"
#include "render-help.h"

static guint
ramp (int x,
      int y)
{
  return (guint) (7 * x + 31 * y) % 251;
}

static guint
rough (int x,
       int y)
{
  return ((guint) x * 2654435761u ^ (guint) y * 2246822519u) >> 7 & 0xfff;
}

static void
test_one_to_one (void)
{
  static const char *const formats[] = { "GREY", "Y12 " };

  for (int i = 0; i < 4; i++)
    {
      g_autoptr (FilFrame) frame = make_frame (formats[i / 2], 37, 23, i % 2, ramp);
      FilLook look = plain_look ();
      g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 0, 0, 37, 23 }, &look, 37, 23);

      for (int y = 0; y < 23; y++)
        for (int x = 0; x < 37; x++)
          g_assert_cmphex (pixels[y * 37 + x], ==, grey (ramp (x, y)));
    }
}

/* Three times as large: each pixel a square of nine, none mixed. */
static void
test_magnified (void)
{
  g_autoptr (FilFrame) frame = make_frame ("GREY", 20, 12, FALSE, ramp);
  FilLook look = plain_look ();
  g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 5, 2, 9, 7 }, &look, 27, 21);

  for (int y = 0; y < 21; y++)
    for (int x = 0; x < 27; x++)
      g_assert_cmphex (pixels[y * 27 + x], ==, grey (ramp (5 + x / 3, 2 + y / 3)));
}

/* Uneven magnification: only shades that the picture has, at the place that
 * the shown pixel's middle falls on. */
static void
test_magnified_unevenly (void)
{
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", 20, 12, FALSE, ramp);
  FilRegion region = { 2.3, 1.7, 13.37, 8.9 };
  FilLook look = plain_look ();
  g_autofree uint32_t *pixels = draw (frame, region, &look, 41, 29);

  for (int y = 0; y < 29; y++)
    for (int x = 0; x < 41; x++)
      {
        int at_x = (int) floor (region.x + (x + 0.5) * region.width / 41);
        int at_y = (int) floor (region.y + (y + 0.5) * region.height / 29);

        g_assert_cmphex (pixels[y * 41 + x], ==, grey (ramp (at_x, at_y)));
      }
}

static guint
fours (int x,
       int y)
{
  return (guint) (4 * ((x * 5 + y * 3) % 60));
}

/* Half the size: means of 2 × 2 pixels, exact since they are whole numbers. */
static void
test_half (void)
{
  g_autoptr (FilFrame) frame = make_frame ("GREY", 34, 18, FALSE, fours);
  FilLook look = plain_look ();
  g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 0, 0, 34, 18 }, &look, 17, 9);

  for (int y = 0; y < 9; y++)
    for (int x = 0; x < 17; x++)
      {
        guint sum = fours (2 * x, 2 * y) + fours (2 * x + 1, 2 * y) +
                    fours (2 * x, 2 * y + 1) + fours (2 * x + 1, 2 * y + 1);

        g_assert_cmphex (pixels[y * 17 + x], ==, grey (sum / 4));
      }
}

/* The mean over a rectangle of any edges, in double precision, straight from
 * the definition. NaN: outside the picture. */
static double
area_mean (PixelValue value,
           int        width,
           int        height,
           double     x1,
           double     y1,
           double     x2,
           double     y2)
{
  double sum = 0.0, area = 0.0;

  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        double across = MIN (x2, x + 1.0) - MAX (x1, (double) x);
        double down = MIN (y2, y + 1.0) - MAX (y1, (double) y);

        if (across <= 0.0 || down <= 0.0)
          continue;
        sum += across * down * value (x, y);
        area += across * down;
      }

  return area > 1e-9 ? sum / area : (double) NAN;
}

static void
check_box (FilRegion region,
           int       width,
           int       height)
{
  const int columns = 61, rows = 47;
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", columns, rows, FALSE, rough);
  FilLook look = { .black = 0.0, .white = 4095.0 };
  g_autofree uint32_t *pixels = draw (frame, region, &look, width, height);
  double step_x = region.width / width, step_y = region.height / height;

  g_assert_true (step_x > 1.0 && step_y > 1.0);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        double mean = area_mean (rough, columns, rows, region.x + x * step_x,
                                 region.y + y * step_y, region.x + (x + 1) * step_x,
                                 region.y + (y + 1) * step_y);
        uint32_t pixel = pixels[y * width + x];

        if (isnan (mean))
          {
            g_assert_cmphex (pixel, ==, 0);
            continue;
          }
        g_assert_cmphex (pixel, ==, grey (pixel & 0xff));
        /* Half a shade for rounding, and what the table's steps add. */
        g_assert_cmpfloat_with_epsilon (mean / 4095.0 * 255.0, pixel & 0xff, 0.52);
      }
}

static void
test_box (void)
{
  check_box ((FilRegion) { 0, 0, 61, 47 }, 30, 20);
  check_box ((FilRegion) { 0, 0, 61, 47 }, 60, 46);
  check_box ((FilRegion) { 0, 0, 61, 47 }, 1, 1);
  check_box ((FilRegion) { 0, 0, 61, 47 }, 13, 2);
  check_box ((FilRegion) { 3.21, 7.77, 40.4, 31.3 }, 33, 17);
  /* Partly and wholly outside. */
  check_box ((FilRegion) { -11.3, -5.2, 90.0, 70.0 }, 31, 23);
  check_box ((FilRegion) { 50.5, 40.25, 60.0, 60.0 }, 19, 21);
  check_box ((FilRegion) { 200.0, 10.0, 60.0, 60.0 }, 19, 21);
  check_box ((FilRegion) { -500.0, -500.0, 400.0, 400.0 }, 19, 21);
  check_box ((FilRegion) { -1e6, -1e6, 2e6, 2e6 }, 9, 9);
}

static void
test_magnified_outside (void)
{
  g_autoptr (FilFrame) frame = make_frame ("GREY", 6, 5, FALSE, ramp);
  FilLook look = plain_look ();
  g_autofree uint32_t *pixels = draw (frame, (FilRegion) { -2, -3, 10, 11 }, &look, 40, 44);

  for (int y = 0; y < 44; y++)
    for (int x = 0; x < 40; x++)
      {
        int at_x = x / 4 - 2, at_y = y / 4 - 3;
        gboolean inside = at_x >= 0 && at_x < 6 && at_y >= 0 && at_y < 5;

        g_assert_cmphex (pixels[y * 40 + x], ==, inside ? grey (ramp (at_x, at_y)) : 0);
      }
}

/* A single full pixel at (20, 11). */
static guint
one_full (int x,
          int y)
{
  return x == 20 && y == 11 ? 4095 : 900;
}

static guint
one_empty (int x,
           int y)
{
  return x == 20 && y == 11 ? 0 : 900;
}

/* Whatever the zoom, just those shown pixels are painted that hold it. */
static void
check_paint (PixelValue value,
             FilLook    look,
             uint32_t   paint)
{
  static const double zooms[] = { 0.02, 0.11, 0.25, 0.48, 0.5, 0.73, 0.99, 1.0, 1.5, 2, 7 };
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", 61, 47, FALSE, value);

  for (gsize i = 0; i < G_N_ELEMENTS (zooms); i++)
    {
      int width = (int) MAX (ceil (61 * zooms[i]), 1), height = (int) MAX (ceil (47 * zooms[i]), 1);
      g_autofree uint32_t *pixels = NULL;
      int painted = 0;

      pixels = draw (frame, (FilRegion) { 0, 0, 61, 47 }, &look, width, height);
      for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
          {
            gboolean holds = x * 61.0 / width < 21 - 1e-6 && (x + 1) * 61.0 / width > 20 + 1e-6 &&
                             y * 47.0 / height < 12 - 1e-6 && (y + 1) * 47.0 / height > 11 + 1e-6;

            if (width > 61)
              holds = (int) ((x + 0.5) * 61.0 / width) == 20 &&
                      (int) ((y + 0.5) * 47.0 / height) == 11;
            g_assert_true ((pixels[y * width + x] == paint) == holds);
            painted += holds;
          }
      g_assert_cmpint (painted, >=, 1);
    }
}

static void
test_paint (void)
{
  check_paint (one_full, (FilLook) { .white = 4095, .full = 4095, .paint_full = TRUE },
               FIL_PAINT_FULL);
  check_paint (one_empty, (FilLook) { .white = 4095, .full = 4095, .paint_empty = TRUE },
               FIL_PAINT_EMPTY);
  check_paint (one_empty, (FilLook) { .white = 4095, .full = 4095, .paint_full = TRUE,
                                      .paint_empty = TRUE }, FIL_PAINT_EMPTY);
}

static void
test_paint_off (void)
{
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", 61, 47, FALSE, one_full);
  const FilLook looks[] = {
    { .white = 4095, .full = 4095, .paint_full = FALSE },
    { .white = 4095, .full = 0, .paint_full = TRUE },
    { .white = 4095, .full = 4096, .paint_full = TRUE },
    { .white = 4095, .full = 4095, .paint_empty = TRUE },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (looks); i++)
    {
      g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 0, 0, 61, 47 }, &looks[i], 61, 47);

      g_assert_cmphex (pixels[11 * 61 + 20], ==, grey (255));
    }
}

/* The clones give the very same pixels. */
static void
test_clones (void)
{
  static const char *const formats[] = { "Y12 ", "RG12", "GREY" };
  const FilLook look = { .black = 300, .white = 3500, .curve = FIL_CURVE_ROOT, .full = 4000,
                         .paint_full = TRUE, .paint_empty = TRUE };
  FilCpuLevel best = fil_cpu_get_level ();

  if (best == FIL_CPU_SCALAR)
    {
      g_test_message ("this processor has none");
      return;
    }

  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    for (int size = 1; size < 90; size += 4)
      {
        g_autoptr (FilFrame) frame = make_frame (formats[i], 83, 61, i == 1, rough);
        FilRegion region = { -2.2, 1.4, 70.3, 66.6 };
        g_autofree uint32_t *fast = NULL, *plain = NULL;

        fast = draw (frame, region, &look, size, 91 - size);
        fil_cpu_set_level (FIL_CPU_SCALAR);
        plain = draw (frame, region, &look, size, 91 - size);
        fil_cpu_set_level (best);
        g_assert_cmpmem (fast, (gsize) (size * (91 - size)) * 4, plain,
                         (gsize) (size * (91 - size)) * 4);
      }
}

/* A renderer that goes from frame to frame keeps nothing of the one before. */
static void
test_reuse (void)
{
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  g_autoptr (FilFrame) large = make_frame ("Y12 ", 61, 47, FALSE, rough);
  g_autoptr (FilFrame) small = make_frame ("RG12", 9, 5, TRUE, ramp);
  FilFrame *const frames[] = { large, small, large };
  FilLook look = { .white = 4095 };

  for (int i = 0; i < 6; i++)
    {
      FilFrame *frame = frames[i % 3];
      FilRegion region = { 0, 0, frame->width, frame->height };
      g_autofree uint32_t *fresh = draw (frame, region, &look, 40, 30);
      uint32_t kept[40 * 30];

      g_assert_true (fil_renderer_draw (renderer, frame, &region, &look, kept, 40, 30, 40, NULL));
      g_assert_cmpmem (fresh, sizeof kept, kept, sizeof kept);
    }
}

static void
test_row_gap (void)
{
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  g_autoptr (FilFrame) frame = make_frame ("GREY", 8, 6, FALSE, ramp);
  FilRegion region = { 0, 0, 8, 6 };
  FilLook look = plain_look ();
  uint32_t pixels[6 * 11];

  memset (pixels, 0x77, sizeof pixels);
  g_assert_true (fil_renderer_draw (renderer, frame, &region, &look, pixels, 8, 6, 11, NULL));
  for (int y = 0; y < 6; y++)
    for (int x = 0; x < 11; x++)
      g_assert_cmphex (pixels[11 * y + x], ==, x < 8 ? grey (ramp (x, y)) : 0x77777777);
}

static void
test_unreadable (void)
{
  g_autoptr (FilRenderer) renderer = fil_renderer_new ();
  g_autoptr (FilFrame) frame = make_frame ("Y12 ", 8, 6, FALSE, ramp);
  g_autoptr (FilFrame) jpeg = fil_frame_new (NULL, NULL);
  g_autoptr (GError) error = NULL;
  const guint8 junk[] = { 0xff, 0xd8, 1, 2, 3 };
  FilRegion region = { 0, 0, 8, 6 };
  FilLook look = plain_look ();
  uint32_t pixels[48];

  frame->size = 20;
  g_assert_false (fil_renderer_draw (renderer, frame, &region, &look, pixels, 8, 6, 8, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_SIZE);
  g_clear_error (&error);
  g_assert_false (fil_renderer_stretch (renderer, frame, &look, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_SIZE);
  g_clear_error (&error);

  jpeg->format = fil_pixel_format_from_name ("MJPG");
  jpeg->width = 8;
  jpeg->height = 6;
  jpeg->data = junk;
  jpeg->size = sizeof junk;
  g_assert_false (fil_renderer_draw (renderer, jpeg, &region, &look, pixels, 8, 6, 8, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/render/one-to-one", test_one_to_one);
  g_test_add_func ("/render/magnified", test_magnified);
  g_test_add_func ("/render/magnified-unevenly", test_magnified_unevenly);
  g_test_add_func ("/render/magnified-outside", test_magnified_outside);
  g_test_add_func ("/render/half", test_half);
  g_test_add_func ("/render/box", test_box);
  g_test_add_func ("/render/paint", test_paint);
  g_test_add_func ("/render/paint-off", test_paint_off);
  g_test_add_func ("/render/clones", test_clones);
  g_test_add_func ("/render/reuse", test_reuse);
  g_test_add_func ("/render/row-gap", test_row_gap);
  g_test_add_func ("/render/unreadable", test_unreadable);

  return g_test_run ();
}
