/* fil-picture-view.c: which part of the picture is seen, and how large
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-picture-view.h"

/* Whole numbers from 1:1 up, so that all pixels are shown equally large. */
static const double ladder[] = { 1, 2, 3, 4, 6, 8, 12, 16, 24, FIL_VIEW_LARGEST_ZOOM };

void
fil_view_init (FilView *view)
{
  *view = (FilView) { .zoom = 1.0, .fit = TRUE };
}

static gboolean
is_empty (const FilView *view)
{
  return view->picture_width <= 0 || view->picture_height <= 0 ||
         view->width <= 0 || view->height <= 0;
}

/* Screen pixels a picture pixel at which all of it is in view. */
double
fil_view_get_fit_zoom (const FilView *view)
{
  if (is_empty (view))
    return 1.0;

  return MIN (MIN ((double) view->width / view->picture_width,
                   (double) view->height / view->picture_height),
              FIL_VIEW_LARGEST_ZOOM);
}

/* A small picture in a large window may still be seen at 1:1. */
static double
smallest_zoom (const FilView *view)
{
  return MIN (fil_view_get_fit_zoom (view), 1.0);
}

/* Along one axis: no margin where the picture is larger than the widget, the
 * picture in the middle where it is smaller. */
static double
keep_inside (double centre,
             double zoom,
             int    shown,
             int    extent)
{
  double half = shown / (2.0 * zoom);

  if (2.0 * half >= extent)
    return extent / 2.0;

  return CLAMP (centre, half, extent - half);
}

static void
settle (FilView *view)
{
  if (is_empty (view))
    return;

  if (view->fit)
    view->zoom = fil_view_get_fit_zoom (view);
  view->zoom = CLAMP (view->zoom, smallest_zoom (view), FIL_VIEW_LARGEST_ZOOM);
  view->x = keep_inside (view->x, view->zoom, view->width, view->picture_width);
  view->y = keep_inside (view->y, view->zoom, view->height, view->picture_height);
}

/* A picture of another size is shown whole. */
void
fil_view_set_picture (FilView *view,
                      int      width,
                      int      height)
{
  if (view->picture_width == width && view->picture_height == height)
    return;

  view->picture_width = width;
  view->picture_height = height;
  view->fit = TRUE;
  settle (view);
}

void
fil_view_set_size (FilView *view,
                   int      width,
                   int      height)
{
  view->width = width;
  view->height = height;
  settle (view);
}

/**
 * fil_view_get_step:
 * @steps: so many steps in (above 0) or out (below 0)
 *
 * The ladder of zooms: 1, 2, 3, 4, 6 … 32; below 1 each half of the one two
 * steps up; at its foot the whole picture.
 *
 * Returns: screen pixels a picture pixel
 */
double
fil_view_get_step (const FilView *view,
                   int            steps)
{
  double zoom = view->zoom;
  const double tiny = 1.0 + 1e-9;

  for (; steps > 0; steps--)
    {
      gsize i = 0;

      if (zoom * tiny < 1.0)
        {
          zoom = pow (2.0, (floor (2.0 * log2 (zoom) + 1e-6) + 1.0) / 2.0);
          continue;
        }
      while (i + 1 < G_N_ELEMENTS (ladder) && ladder[i] <= zoom * tiny)
        i++;
      zoom = ladder[i];
    }
  for (; steps < 0; steps++)
    {
      gsize i = G_N_ELEMENTS (ladder);

      while (i > 0 && ladder[i - 1] * tiny >= zoom)
        i--;
      zoom = i > 0 ? ladder[i - 1]
                   : pow (2.0, (ceil (2.0 * log2 (zoom) - 1e-6) - 1.0) / 2.0);
    }

  return CLAMP (zoom, smallest_zoom (view), FIL_VIEW_LARGEST_ZOOM);
}

void
fil_view_set_fit (FilView *view)
{
  view->fit = TRUE;
  settle (view);
}

/* Where the picture's top left corner lies, on whole screen pixels so that
 * picture pixels are equally large. */
void
fil_view_get_origin (const FilView *view,
                     double        *left,
                     double        *top)
{
  *left = round (view->width / 2.0 - view->x * view->zoom);
  *top = round (view->height / 2.0 - view->y * view->zoom);
}

void
fil_view_to_picture (const FilView *view,
                     double         at_x,
                     double         at_y,
                     double        *x,
                     double        *y)
{
  double left, top;

  fil_view_get_origin (view, &left, &top);
  *x = (at_x - left) / view->zoom;
  *y = (at_y - top) / view->zoom;
}

/**
 * fil_view_zoom_about:
 * @zoom: screen pixels a picture pixel; brought into the limits
 * @at_x: the place in the widget under which the picture stays
 */
void
fil_view_zoom_about (FilView *view,
                     double   zoom,
                     double   at_x,
                     double   at_y)
{
  double x, y;

  g_return_if_fail (isfinite (zoom) && zoom > 0.0);

  if (is_empty (view))
    return;

  fil_view_to_picture (view, at_x, at_y, &x, &y);
  view->zoom = CLAMP (zoom, smallest_zoom (view), FIL_VIEW_LARGEST_ZOOM);
  view->fit = fabs (view->zoom / fil_view_get_fit_zoom (view) - 1.0) < 1e-6;
  view->x = x + (view->width / 2.0 - at_x) / view->zoom;
  view->y = y + (view->height / 2.0 - at_y) / view->zoom;
  settle (view);
}

/* @x, @y: picture pixels */
void
fil_view_centre_on (FilView *view,
                    double   x,
                    double   y)
{
  view->x = x;
  view->y = y;
  settle (view);
}

/* @dx: the picture moves so many screen pixels to the right */
void
fil_view_pan (FilView *view,
              double   dx,
              double   dy)
{
  fil_view_centre_on (view, view->x - dx / view->zoom, view->y - dy / view->zoom);
}

/**
 * fil_view_get_shown:
 * @shown: (out): the part of the widget that the picture covers, screen pixels
 * @region: (out): the part of the picture that is seen there
 *
 * Returns: %FALSE where nothing is seen; both are untouched then
 */
gboolean
fil_view_get_shown (const FilView *view,
                    FilRect       *shown,
                    FilRegion     *region)
{
  double left, top, right, bottom;

  if (is_empty (view))
    return FALSE;

  fil_view_get_origin (view, &left, &top);
  /* Half a pixel of the screen isn't one: its middle lies beyond the picture. */
  right = MIN (left + floor (view->picture_width * view->zoom + 0.499), view->width);
  bottom = MIN (top + floor (view->picture_height * view->zoom + 0.499), view->height);
  shown->x = (int) MAX (left, 0.0);
  shown->y = (int) MAX (top, 0.0);
  shown->width = MAX ((int) right - shown->x, 1);
  shown->height = MAX ((int) bottom - shown->y, 1);

  *region = (FilRegion) {
    (shown->x - left) / view->zoom, (shown->y - top) / view->zoom,
    shown->width / view->zoom, shown->height / view->zoom,
  };

  return TRUE;
}
