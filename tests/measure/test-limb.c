/* test-limb.c: the limb in frames of any format, and what is refused
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How near the centre comes is checked by reference_limb.py and limb_sim.py. */

#include <math.h>
#include <string.h>

#include "fil-limb.h"

#define WIDTH  480
#define HEIGHT 360
#define RADIUS 900.0
#define BLACK  20.0

/* FITS pixels; the limb crosses the frame from the lower left to the right. */
#define CENTRE_X (-420.3)
#define CENTRE_Y (-330.7)

/* How far rows are bent to and fro, pixels. */
static double bend_px = 0.0;

/* Neckel & Labs 1994, Solar Physics 153, 91, Table I, 541.76 nm. */
static double
darkening (double mu)
{
  static const double a[] = { 0.26073, 1.27428, -1.30352, 1.47085, -0.96618, 0.26384 };
  double sum = 0.0;

  for (int i = 5; i >= 0; i--)
    sum = sum * mu + a[i];

  return sum;
}

/* Share of full light at a pixel, 4 × 4 places of it; @row from the top. */
static double
look (int column,
      int row)
{
  double sum = 0.0;

  for (int k = 0; k < 16; k++)
    {
      double x = column + 1 + (k % 4 - 1.5) / 4.0 - CENTRE_X + bend_px * sin (row / 6.0);
      double y = HEIGHT - row + (k / 4 - 1.5) / 4.0 - CENTRE_Y;
      double mu2 = 1.0 - (x * x + y * y) / (RADIUS * RADIUS);

      sum += mu2 > 0.0 ? darkening (sqrt (mu2)) / 16.0 : 0.0;
    }

  return sum;
}

static double
get_filter (const FilPixelFormat *format,
            int                   column,
            int                   row)
{
  static const double filters[4] = { 0.55, 1.0, 1.0, 0.3 };

  return format->kind == FIL_KIND_BAYER ? filters[2 * (row % 2) + column % 2] : 1.0;
}

static void
store (guint8               *row,
       const FilPixelFormat *format,
       int                   column,
       double                light)
{
  guint count = (guint) lrint (BLACK + light * (0.8 * (1 << format->bits) - BLACK));

  if (format->packing == FIL_PACKING_8)
    row[column] = (guint8) count;
  else if (format->packing == FIL_PACKING_YUYV)
    row[2 * column] = (guint8) count;
  else if (format->packing == FIL_PACKING_RGB24)
    row[3 * column] = row[3 * column + 1] = row[3 * column + 2] = (guint8) count;
  else if (format->packing == FIL_PACKING_16BE)
    {
      row[2 * column] = (guint8) (count >> 8);
      row[2 * column + 1] = count & 255;
    }
  else
    {
      row[2 * column] = count & 255;
      row[2 * column + 1] = (guint8) (count >> 8);
    }
}

static FilFrame *
make_frame (const char *format,
            gboolean    bottom_up)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name (format), WIDTH, HEIGHT);

  frame->bottom_up = bottom_up;
  for (int j = 0; j < HEIGHT; j++)
    for (int i = 0; i < WIDTH; i++)
      {
        gsize memory_row = (gsize) (bottom_up ? HEIGHT - 1 - j : j);

        store ((guint8 *) frame->data + memory_row * frame->stride, frame->format, i,
               look (i, j) * get_filter (frame->format, i, j));
      }

  return frame;
}

static void
test_format (gconstpointer data)
{
  const char *format = data;

  for (int bottom_up = 0; bottom_up < 2; bottom_up++)
    {
      g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
      g_autoptr (FilFrame) frame = make_frame (format, bottom_up);
      FilLimb limb;

      g_assert_true (fil_limb_finder_find (finder, frame, RADIUS, FALSE, BLACK, &limb));
      g_assert_true (limb.seen);
      g_assert_cmpint (limb.reason, ==, FIL_LIMB_SEEN);
      g_test_message ("%s: off by %.3f, %.3f; error %.3f", format, limb.centre_x - CENTRE_X,
                      limb.centre_y - CENTRE_Y, limb.error_px);
      g_assert_cmpfloat_with_epsilon (limb.centre_x, CENTRE_X, 0.4);
      g_assert_cmpfloat_with_epsilon (limb.centre_y, CENTRE_Y, 0.4);
      g_assert_cmpfloat (limb.radius_px, ==, RADIUS);
      g_assert_cmpfloat (limb.error_px, <, 1.0);
      g_assert_cmpfloat (limb.error_px, >=, limb.error_across_px);
      g_assert_cmpfloat (limb.arc_deg, >, 20.0);
      g_assert_cmpfloat (limb.arc_deg, <, 40.0);
      g_assert_cmpint (limb.n_points, >, 100);
    }
}

/* A bent limb: the arc's middle lies 38° or so up to the right of the centre,
 * so the tangent, along which the centre is worst known, runs at 128°. */
static void
test_direction (void)
{
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  g_autoptr (FilFrame) frame = NULL;
  double to_middle;
  FilLimb limb;

  bend_px = 1.5;
  frame = make_frame ("Y12", FALSE);
  bend_px = 0.0;
  g_assert_true (fil_limb_finder_find (finder, frame, RADIUS, FALSE, BLACK, &limb));
  to_middle = atan2 (HEIGHT / 2 - CENTRE_Y, WIDTH / 2 - CENTRE_X) * 180.0 / G_PI;
  g_test_message ("worst axis %.1f, towards the frame %.1f", limb.direction_deg, to_middle);
  g_assert_cmpfloat (limb.error_px, >, 1.5 * limb.error_across_px);
  g_assert_cmpfloat_with_epsilon (limb.direction_deg, to_middle + 90.0, 8.0);
}

/* A finder that has seen another frame, of another size, finds the same. */
static void
test_no_memory_of_frames (void)
{
  g_autoptr (FilLimbFinder) used = fil_limb_finder_new ();
  g_autoptr (FilLimbFinder) fresh = fil_limb_finder_new ();
  g_autoptr (FilFrame) frame = make_frame ("Y12", FALSE);
  g_autoptr (FilFrame) large = fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"), 1500, 900);
  FilLimb a, b;

  g_assert_false (fil_limb_finder_find (used, large, RADIUS, FALSE, 0.0, &a));
  g_assert_true (fil_limb_finder_find (used, frame, RADIUS, FALSE, BLACK, &a));
  g_assert_true (fil_limb_finder_find (fresh, frame, RADIUS, FALSE, BLACK, &b));
  g_assert_cmpfloat (a.centre_x, ==, b.centre_x);
  g_assert_cmpfloat (a.centre_y, ==, b.centre_y);
  g_assert_cmpfloat (a.error_px, ==, b.error_px);
}

static FilLimbReason
find_reason (FilFrame *frame)
{
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  FilLimb limb;

  memset (&limb, 0x55, sizeof limb);
  g_assert_false (fil_limb_finder_find (finder, frame, RADIUS, FALSE, 0.0, &limb));
  g_assert_false (limb.seen);
  g_assert_cmpfloat (limb.centre_x, ==, 0.0);
  g_assert_cmpint (limb.n_points, ==, 0);

  return (FilLimbReason) limb.reason;
}

static void
test_refused (void)
{
  g_autoptr (FilFrame) small = fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"), 20, 20);
  g_autoptr (FilFrame) thin = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), 4000, 24);
  g_autoptr (FilFrame) dark = fil_frame_new_alloc (fil_pixel_format_from_name ("Y12"), 300, 200);
  g_autoptr (FilFrame) full = fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"), 300, 200);
  g_autoptr (FilFrame) cut = make_frame ("Y12", FALSE);

  memset ((guint8 *) full->data, 255, full->size);
  cut->size -= 1000;
  g_assert_cmpint (find_reason (small), ==, FIL_LIMB_UNREADABLE);
  g_assert_cmpint (find_reason (cut), ==, FIL_LIMB_UNREADABLE);
  g_assert_cmpint (find_reason (thin), ==, FIL_LIMB_DARK);
  g_assert_cmpint (find_reason (dark), ==, FIL_LIMB_DARK);
  g_assert_cmpint (find_reason (full), ==, FIL_LIMB_FEATURELESS);
}

static void
test_broken_jpeg (void)
{
  static const guint8 bytes[200] = { 0xff, 0xd8, 0xff, 0xdb, 0x00, 0x43 };
  g_autoptr (FilFrame) frame = fil_frame_new (NULL, NULL);

  frame->format = fil_pixel_format_from_name ("MJPG");
  frame->width = WIDTH;
  frame->height = HEIGHT;
  frame->data = bytes;
  frame->size = sizeof bytes;
  g_assert_cmpint (find_reason (frame), ==, FIL_LIMB_UNREADABLE);
}

/* Half planes, circles, ramps, noise, in any size and any format: nothing
 * but finite numbers comes of it. The seed is the test's. */
static void
fill_at_random (FilFrame *frame,
                GRand    *random)
{
  double a = g_rand_double_range (random, -1.0, 1.0), b = g_rand_double_range (random, -1.0, 1.0);
  double c = g_rand_double_range (random, -1.0, 1.0), round = g_rand_double_range (random, 0.0, 2.0);
  double slope = pow (10.0, g_rand_double_range (random, -1.0, 3.0));
  double noise = pow (10.0, g_rand_double_range (random, -4.0, 0.0));

  for (int j = 0; j < frame->height; j++)
    for (int i = 0; i < frame->width; i++)
      {
        double x = 2.0 * i / frame->width - 1.0, y = 2.0 * j / frame->height - 1.0;
        double light = 0.5 + slope * (a * x + b * y + c - round * (x * x + y * y));

        light = CLAMP (light, 0.0, 1.0) + noise * g_rand_double (random);
        store ((guint8 *) frame->data + (gsize) j * frame->stride, frame->format, i,
               CLAMP (light, 0.0, 1.2));
      }
}

static void
test_anything (void)
{
  static const char *const formats[] = { "GREY", "Y12", "Y16", "RGGB" };
  g_autoptr (FilLimbFinder) finder = fil_limb_finder_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (11);
  int seen = 0;

  for (int i = 0; i < 300; i++)
    {
      int width = g_rand_int_range (random, 24, 400), height = g_rand_int_range (random, 24, 400);
      g_autoptr (FilFrame) frame =
        fil_frame_new_alloc (fil_pixel_format_from_name (formats[i % 4]), width, height);
      gboolean fit = g_rand_boolean (random);
      double radius = pow (10.0, g_rand_double_range (random, 1.1, 5.9));
      FilLimb limb;

      fill_at_random (frame, random);
      seen += fil_limb_finder_find (finder, frame, fit && i % 3 == 0 ? 0.0 : radius, fit, BLACK, &limb);
      g_assert_true (limb.seen == (limb.reason == FIL_LIMB_SEEN));
      g_assert_true (isfinite (limb.centre_x) && isfinite (limb.centre_y) && isfinite (limb.rms_px));
      g_assert_true (isfinite (limb.error_px) && isfinite (limb.error_across_px));
      g_assert_true (limb.arc_deg >= 0.0 && limb.arc_deg <= 360.0);
      if (limb.seen)
        g_assert_cmpfloat (limb.error_px, <, 0.2 * limb.radius_px);
    }
  g_test_message ("%d of 300 taken for the limb", seen);
  g_assert_cmpint (seen, <, 6);
}

static void
test_reasons_have_words (void)
{
  for (int i = 0; i < FIL_LIMB_N_REASONS; i++)
    {
      g_assert_cmpuint (strlen (fil_limb_reason_to_text ((FilLimbReason) i)), >, 10);
      for (int j = 0; j < i; j++)
        g_assert_cmpstr (fil_limb_reason_to_text ((FilLimbReason) i), !=,
                         fil_limb_reason_to_text ((FilLimbReason) j));
    }
}

int
main (int   argc,
      char *argv[])
{
  static const char *const formats[] = { "GREY", "Y12", "Y16", "Y16-BE", "RGGB", "GB12", "YUYV", "RGB3" };

  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_autofree char *path = g_strdup_printf ("/limb/format/%s", formats[i]);

      g_test_add_data_func (path, formats[i], test_format);
    }
  g_test_add_func ("/limb/direction", test_direction);
  g_test_add_func ("/limb/no-memory-of-frames", test_no_memory_of_frames);
  g_test_add_func ("/limb/refused", test_refused);
  g_test_add_func ("/limb/broken-jpeg", test_broken_jpeg);
  g_test_add_func ("/limb/anything", test_anything);
  g_test_add_func ("/limb/reasons-have-words", test_reasons_have_words);

  return g_test_run ();
}
