/* test-render-bayer.c: colours of Bayer pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "render-help.h"

static const char *const formats[] = { "RGGB", "GRBG", "GBRG", "BA81" };
static const char *const letters[] = { "RGGB", "GRBG", "GBRG", "BGGR" };
static int pattern;   /* of the frame under test */

#define RED   40u
#define GREEN 120u
#define BLUE  200u

/* The colour that pixel (x, y) sees, from the pattern's own letters. */
static char
letter_at (int x,
           int y)
{
  return letters[pattern][2 * (y & 1) + (x & 1)];
}

static guint
flat_colour (int x,
             int y)
{
  return letter_at (x, y) == 'R' ? RED : letter_at (x, y) == 'G' ? GREEN : BLUE;
}

/* A patch of one colour has it everywhere, at the edges too. */
static void
check_flat (FilRegion region,
            int       width,
            int       height)
{
  const uint32_t colour = 0xff000000u | RED << 16 | GREEN << 8 | BLUE;
  g_autoptr (FilFrame) frame = make_frame (formats[pattern], 31, 17, FALSE, flat_colour);
  FilLook look = plain_look ();
  g_autofree uint32_t *pixels = draw (frame, region, &look, width, height);

  for (int i = 0; i < width * height; i++)
    g_assert_cmphex (pixels[i], ==, colour);
}

static void
test_flat (void)
{
  for (pattern = 0; pattern < 4; pattern++)
    {
      check_flat ((FilRegion) { 0, 0, 31, 17 }, 31, 17);
      check_flat ((FilRegion) { 0, 0, 31, 17 }, 13, 5);
      check_flat ((FilRegion) { 0, 0, 31, 17 }, 62, 51);
      for (int x = 0; x < 3; x++)
        for (int y = 0; y < 3; y++)
          {
            check_flat ((FilRegion) { x, y, 9, 7 }, 9, 7);
            check_flat ((FilRegion) { x + 0.4, y + 0.7, 9, 7 }, 4, 3);
          }
    }
}

static guint
slope (int x,
       int y)
{
  return (guint) (10 + 3 * x + 5 * y);
}

/* Interpolation between neighbours is exact on a slope. */
static void
test_slope (void)
{
  for (pattern = 0; pattern < 4; pattern++)
    {
      g_autoptr (FilFrame) frame = make_frame (formats[pattern], 30, 20, FALSE, slope);
      FilLook look = plain_look ();
      g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 3, 1, 20, 15 }, &look, 20, 15);

      for (int y = 0; y < 15; y++)
        for (int x = 0; x < 20; x++)
          g_assert_cmphex (pixels[20 * y + x], ==, grey (slope (3 + x, 1 + y)));
    }
}

static guint
lone_red (int x,
          int y)
{
  return letter_at (x, y) == 'R' && x / 2 == 4 && y / 2 == 3 ? 200 : 0;
}

/* One red pixel lights its eight neighbours by a half and a quarter, red only. */
static void
test_spread (void)
{
  for (pattern = 0; pattern < 4; pattern++)
    {
      g_autoptr (FilFrame) frame = make_frame (formats[pattern], 20, 14, FALSE, lone_red);
      FilLook look = plain_look ();
      g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 0, 0, 20, 14 }, &look, 20, 14);

      for (int y = 1; y < 13; y++)
        for (int x = 1; x < 19; x++)
          {
            guint expected = 4 * lone_red (x, y);

            for (int k = -1; k <= 1; k += 2)
              {
                expected += 2 * (lone_red (x + k, y) + lone_red (x, y + k));
                expected += lone_red (x + k, y - 1) + lone_red (x + k, y + 1);
              }
            g_assert_cmphex (pixels[20 * y + x], ==, 0xff000000u | (expected / 4) << 16);
          }
    }
}

/* Rows that lie upside down in memory: there the pattern begins at the bottom. */
static void
test_bottom_up (void)
{
  for (int height = 16; height <= 17; height++)
    for (int in_memory = 0; in_memory < 4; in_memory++)
      {
        g_autoptr (FilFrame) frame = NULL;
        g_autofree uint32_t *pixels = NULL;
        FilLook look = plain_look ();

        /* What the letters are from the top. */
        pattern = height % 2 ? in_memory : in_memory ^ 2;
        frame = make_frame (formats[in_memory], 31, height, TRUE, flat_colour);
        pixels = draw (frame, (FilRegion) { 1, 1, 20, 13 }, &look, 20, 13);
        for (int i = 0; i < 20 * 13; i++)
          g_assert_cmphex (pixels[i], ==, 0xff000000u | RED << 16 | GREEN << 8 | BLUE);
      }
}

static void
test_mosaic (void)
{
  FilLook look = plain_look ();
  g_autoptr (FilFrame) frame = NULL;
  g_autofree uint32_t *pixels = NULL;

  pattern = 1;
  look.mosaic = TRUE;
  frame = make_frame (formats[1], 12, 9, FALSE, flat_colour);
  pixels = draw (frame, (FilRegion) { 0, 0, 12, 9 }, &look, 12, 9);
  for (int y = 0; y < 9; y++)
    for (int x = 0; x < 12; x++)
      g_assert_cmphex (pixels[12 * y + x], ==, grey (flat_colour (x, y)));
}

static void
test_tiny (void)
{
  static const int sizes[][2] = { { 1, 1 }, { 1, 5 }, { 5, 1 }, { 2, 2 }, { 2, 1 }, { 3, 2 } };

  for (pattern = 0; pattern < 4; pattern++)
    for (gsize i = 0; i < G_N_ELEMENTS (sizes); i++)
      {
        g_autoptr (FilFrame) frame = make_frame (formats[pattern], sizes[i][0], sizes[i][1],
                                                 FALSE, flat_colour);
        FilRegion region = { 0, 0, sizes[i][0], sizes[i][1] };
        FilLook look = plain_look ();
        g_autofree uint32_t *pixels = draw (frame, region, &look, 6, 7);

        for (int k = 0; k < 42; k++)
          g_assert_cmphex (pixels[k] >> 24, ==, 0xff);
      }
}

static guint
one_full (int x,
          int y)
{
  return x == 7 && y == 4 ? 255 : 90;
}

/* A full pixel is one of the sensor's own: its interpolated neighbours aren't. */
static void
test_paint (void)
{
  FilLook look = { .white = 255, .full = 255, .paint_full = TRUE };

  for (pattern = 0; pattern < 4; pattern++)
    {
      g_autoptr (FilFrame) frame = make_frame (formats[pattern], 20, 14, FALSE, one_full);
      g_autofree uint32_t *pixels = draw (frame, (FilRegion) { 0, 0, 20, 14 }, &look, 20, 14);

      for (int i = 0; i < 20 * 14; i++)
        g_assert_true ((pixels[i] == FIL_PAINT_FULL) == (i == 4 * 20 + 7));
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/render/bayer/flat", test_flat);
  g_test_add_func ("/render/bayer/slope", test_slope);
  g_test_add_func ("/render/bayer/spread", test_spread);
  g_test_add_func ("/render/bayer/bottom-up", test_bottom_up);
  g_test_add_func ("/render/bayer/mosaic", test_mosaic);
  g_test_add_func ("/render/bayer/tiny", test_tiny);
  g_test_add_func ("/render/bayer/paint", test_paint);

  return g_test_run ();
}
