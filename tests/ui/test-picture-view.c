/* test-picture-view.c: geometry of the view, the patch and the scale bar
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-overlay.h"
#include "fil-picture-patch.h"
#include "fil-picture-view.h"

static FilView
view_of (int picture_width,
         int picture_height,
         int width,
         int height)
{
  FilView view;

  fil_view_init (&view);
  fil_view_set_picture (&view, picture_width, picture_height);
  fil_view_set_size (&view, width, height);

  return view;
}

static void
test_fit (void)
{
  FilView view = view_of (1936, 1096, 1280, 528);
  FilRect shown = { 0 };
  FilRegion region = { 0 };

  g_assert_cmpfloat (view.zoom, ==, 528.0 / 1096.0);
  g_assert_true (fil_view_get_shown (&view, &shown, &region));
  /* 1936 × 528 ÷ 1096 = 932.7 */
  g_assert_cmpint (shown.width, ==, 933);
  g_assert_cmpint (shown.height, ==, 528);
  g_assert_cmpint (shown.x, ==, 174);
  g_assert_cmpint (shown.y, ==, 0);
  g_assert_cmpfloat_with_epsilon (region.width, 1936, 1.0 / view.zoom);

  fil_view_set_size (&view, 640, 1000);
  g_assert_cmpfloat (view.zoom, ==, 640.0 / 1936.0);
}

/* What lies under the pointer stays there, to the rounding of one pixel of
 * the screen, unless the picture's edge would come into view. */
static void
test_zoom_about (void)
{
  static const double zooms[] = { 1, 2, 3, 7.7, 32, 4, 1.5 };
  FilView view = view_of (1936, 1096, 1280, 528);

  for (gsize i = 0; i < G_N_ELEMENTS (zooms); i++)
    {
      double x, y, after_x, after_y;

      fil_view_to_picture (&view, 700, 300, &x, &y);
      fil_view_zoom_about (&view, zooms[i], 700, 300);
      fil_view_to_picture (&view, 700, 300, &after_x, &after_y);
      g_assert_cmpfloat (view.zoom, ==, zooms[i]);
      g_assert_false (view.fit);
      g_assert_cmpfloat_with_epsilon (after_x, x, 0.51 / view.zoom + 1.0);
      g_assert_cmpfloat_with_epsilon (after_y, y, 0.51 / view.zoom + 1.0);
    }
}

static void
test_limits (void)
{
  FilView view = view_of (1936, 1096, 1280, 528);

  fil_view_zoom_about (&view, 1e9, 0, 0);
  g_assert_cmpfloat (view.zoom, ==, FIL_VIEW_LARGEST_ZOOM);
  fil_view_zoom_about (&view, 1e-9, 0, 0);
  g_assert_true (view.fit);
  g_assert_cmpfloat (view.zoom, ==, 528.0 / 1096.0);

  /* A picture smaller than the window can be had at 1:1. */
  view = view_of (320, 240, 1280, 528);
  g_assert_cmpfloat (view.zoom, ==, 2.2);
  fil_view_zoom_about (&view, 1e-9, 0, 0);
  g_assert_cmpfloat (view.zoom, ==, 1.0);
  g_assert_false (view.fit);
}

static void
test_pan_stops_at_edges (void)
{
  FilView view = view_of (1936, 1096, 1280, 528);
  FilRect shown;
  FilRegion region;

  fil_view_zoom_about (&view, 2.0, 640, 264);
  fil_view_pan (&view, 1e6, 1e6);
  g_assert_true (fil_view_get_shown (&view, &shown, &region));
  g_assert_cmpfloat (region.x, ==, 0);
  g_assert_cmpfloat (region.y, ==, 0);
  g_assert_cmpint (shown.width, ==, 1280);
  fil_view_pan (&view, -1e6, -1e6);
  g_assert_true (fil_view_get_shown (&view, &shown, &region));
  g_assert_cmpfloat (region.x + region.width, ==, 1936);
  g_assert_cmpfloat (region.y + region.height, ==, 1096);
  fil_view_pan (&view, 100, 40);
  fil_view_get_shown (&view, &shown, &region);
  g_assert_cmpfloat (region.x + region.width, ==, 1936 - 50);
  g_assert_cmpfloat (region.y + region.height, ==, 1096 - 20);
}

/* At whole zooms each picture pixel is as large as any other. */
static void
test_whole_pixels (void)
{
  FilView view = view_of (1936, 1096, 1281, 527);

  for (int zoom = 1; zoom <= 32; zoom++)
    for (int step = 0; step < 5; step++)
      {
        double left, top;

        fil_view_zoom_about (&view, zoom, 640.3, 200.7);
        fil_view_pan (&view, 0.37 * step, -1.9 * step);
        fil_view_get_origin (&view, &left, &top);
        g_assert_cmpfloat (left, ==, floor (left));
        g_assert_cmpfloat (top, ==, floor (top));
      }
}

static void
test_ladder (void)
{
  static const double expected[] = { 0.5, M_SQRT1_2, 1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 32 };
  FilView view = view_of (1936, 1096, 1280, 528);
  double fit = view.zoom;

  for (gsize i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      view.zoom = fil_view_get_step (&view, 1);
      g_assert_cmpfloat_with_epsilon (view.zoom, expected[i], 1e-9);
    }
  for (gsize i = G_N_ELEMENTS (expected) - 2; i-- > 0;)
    {
      view.zoom = fil_view_get_step (&view, -1);
      g_assert_cmpfloat_with_epsilon (view.zoom, expected[i], 1e-9);
    }
  view.zoom = fil_view_get_step (&view, -1);
  g_assert_cmpfloat (view.zoom, ==, fit);
  view.zoom = fil_view_get_step (&view, -1);
  g_assert_cmpfloat (view.zoom, ==, fit);
  view.zoom = 5.5;
  g_assert_cmpfloat (fil_view_get_step (&view, 1), ==, 6);
  g_assert_cmpfloat (fil_view_get_step (&view, -1), ==, 4);
  g_assert_cmpfloat (fil_view_get_step (&view, -3), ==, 2);
}

static void
test_nothing (void)
{
  FilView view;
  FilRect shown;
  FilRegion region;

  fil_view_init (&view);
  g_assert_false (fil_view_get_shown (&view, &shown, &region));
  fil_view_zoom_about (&view, 3, 1, 1);
  fil_view_pan (&view, 3, 1);
  fil_view_set_size (&view, 100, 0);
  fil_view_set_picture (&view, 10, 10);
  g_assert_false (fil_view_get_shown (&view, &shown, &region));
}

static void
assert_rect (FilRect got,
             int     x,
             int     y,
             int     width,
             int     height)
{
  g_assert_cmpint (got.x, ==, x);
  g_assert_cmpint (got.y, ==, y);
  g_assert_cmpint (got.width, ==, width);
  g_assert_cmpint (got.height, ==, height);
}

static void
test_patch_inside (void)
{
  assert_rect (fil_patch_keep_inside (&(FilRect) { 50, 60, 300, 200 }, 1936, 1096),
               50, 60, 300, 200);
  assert_rect (fil_patch_keep_inside (&(FilRect) { -50, 1000, 300, 200 }, 1936, 1096),
               0, 896, 300, 200);
  assert_rect (fil_patch_keep_inside (&(FilRect) { 5, 5, 10, 9999 }, 1936, 1096),
               5, 0, 128, 1096);
  /* A picture below 128 pixels: as large as it is. */
  assert_rect (fil_patch_keep_inside (&(FilRect) { 5, 5, 10, 10 }, 64, 48), 0, 0, 64, 48);
}

static void
test_patch_drag (void)
{
  const FilRect patch = { 500, 400, 300, 200 };
  const int w = 1936, h = 1096;

  assert_rect (fil_patch_drag (&patch, FIL_PATCH_ALL, 10.4, -20.6, w, h), 510, 379, 300, 200);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_ALL, -1e7, 1e7, w, h), 0, 896, 300, 200);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_LEFT, 30, 99, w, h), 530, 400, 270, 200);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_LEFT, 999, 0, w, h), 672, 400, 128, 200);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_LEFT, -999, 0, w, h), 0, 400, 800, 200);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_RIGHT | FIL_PATCH_BOTTOM, 9999, -9999, w, h),
               500, 400, 1436, 128);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_TOP, 7, -50, w, h), 500, 350, 300, 250);
  assert_rect (fil_patch_drag (&patch, FIL_PATCH_NOTHING, 7, -50, w, h), 500, 400, 300, 200);
}

static void
test_patch_hit (void)
{
  const graphene_rect_t drawn = GRAPHENE_RECT_INIT (100, 100, 200, 160);

  g_assert_cmpint (fil_patch_hit (&drawn, 200, 180), ==, FIL_PATCH_ALL);
  g_assert_cmpint (fil_patch_hit (&drawn, 103, 180), ==, FIL_PATCH_LEFT);
  g_assert_cmpint (fil_patch_hit (&drawn, 308, 180), ==, FIL_PATCH_RIGHT);
  g_assert_cmpint (fil_patch_hit (&drawn, 200, 92), ==, FIL_PATCH_TOP);
  g_assert_cmpint (fil_patch_hit (&drawn, 200, 259), ==, FIL_PATCH_BOTTOM);
  g_assert_cmpint (fil_patch_hit (&drawn, 95, 95), ==, FIL_PATCH_LEFT | FIL_PATCH_TOP);
  g_assert_cmpint (fil_patch_hit (&drawn, 305, 258), ==, FIL_PATCH_RIGHT | FIL_PATCH_BOTTOM);
  g_assert_cmpint (fil_patch_hit (&drawn, 85, 180), ==, FIL_PATCH_NOTHING);
  g_assert_cmpint (fil_patch_hit (&drawn, 200, 275), ==, FIL_PATCH_NOTHING);
}

typedef struct
{
  double      arcsec_per_px, km_per_px, longest_px;
  const char *text;   /* NULL: none */
  double      length;
} BarCase;

static void
test_scale_bar (void)
{
  /* 725.3 km an arcsecond: 149597870.7 km × tan 1″ */
  const BarCase cases[] = {
    { 0.2933, 212.7, 220, "1′ · 43 500 km", 60 / 0.2933 },
    { 0.2933, 212.7, 110, "30″ · 21 800 km", 30 / 0.2933 },
    { 0.2933, 212.7, 13.75, "2″ · 1450 km", 2 / 0.2933 },
    { 0.2933, 212.7, 1.0, "0.2″ · 145 km", 0.2 / 0.2933 },
    { 0.2933, NAN, 110, "30″", 30 / 0.2933 },
    { 10.0, 7253.0, 220, "30′ · 1 310 000 km", 180 },
    { NAN, 212.7, 110, "20 000 km", 20000 / 212.7 },
    { NAN, NAN, 110, NULL, 0 },
    { 0.2933, 212.7, 0.1, NULL, 0 },
    { 0.0, -3.0, 100, NULL, 0 },
    { 1.0, 700.0, NAN, NULL, 0 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const BarCase *c = &cases[i];
      g_auto (GStrv) words = NULL;
      g_autofree char *text = NULL;
      FilScaleBar bar = { 0 };

      g_assert_true (fil_scale_bar_choose (&bar, c->arcsec_per_px, c->km_per_px,
                                           c->longest_px) == (c->text != NULL));
      if (c->text == NULL)
        continue;
      words = g_strsplit (bar.text, "\342\200\257", -1);
      text = g_strjoinv (" ", words);
      g_assert_cmpstr (text, ==, c->text);
      g_assert_cmpfloat_with_epsilon (bar.length, c->length, 1e-9);
      g_assert_cmpfloat (bar.length, <=, c->longest_px);
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/picture/view/fit", test_fit);
  g_test_add_func ("/picture/view/zoom-about", test_zoom_about);
  g_test_add_func ("/picture/view/limits", test_limits);
  g_test_add_func ("/picture/view/pan-stops-at-edges", test_pan_stops_at_edges);
  g_test_add_func ("/picture/view/whole-pixels", test_whole_pixels);
  g_test_add_func ("/picture/view/ladder", test_ladder);
  g_test_add_func ("/picture/view/nothing", test_nothing);
  g_test_add_func ("/picture/patch/inside", test_patch_inside);
  g_test_add_func ("/picture/patch/drag", test_patch_drag);
  g_test_add_func ("/picture/patch/hit", test_patch_hit);
  g_test_add_func ("/picture/scale-bar", test_scale_bar);

  return g_test_run ();
}
