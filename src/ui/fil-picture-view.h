/* fil-picture-view.h: which part of the picture is seen, and how large
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-render.h"

G_BEGIN_DECLS

#define FIL_VIEW_LARGEST_ZOOM 32.0

/**
 * FilView:
 * @picture_width: picture pixels; 0: no picture
 * @width: of the widget, in pixels of the screen
 * @zoom: screen pixels a picture pixel
 * @x: the picture's place that lies in the middle of the widget, picture pixels
 * @fit: the whole picture is kept in view, whatever the widget's size
 *
 * Geometry only. Places in the widget are in pixels of the screen (device
 * pixels), from its top left.
 */
typedef struct
{
  int      picture_width, picture_height;
  int      width, height;
  double   zoom;
  double   x, y;
  gboolean fit;
} FilView;

void     fil_view_init         (FilView       *view);
void     fil_view_set_picture  (FilView       *view,
                                int            width,
                                int            height);
void     fil_view_set_size     (FilView       *view,
                                int            width,
                                int            height);
double   fil_view_get_fit_zoom (const FilView *view);
double   fil_view_get_step     (const FilView *view,
                                int            steps);
void     fil_view_set_fit      (FilView       *view);
void     fil_view_zoom_about   (FilView       *view,
                                double         zoom,
                                double         at_x,
                                double         at_y);
void     fil_view_centre_on    (FilView       *view,
                                double         x,
                                double         y);
void     fil_view_pan          (FilView       *view,
                                double         dx,
                                double         dy);
void     fil_view_get_origin   (const FilView *view,
                                double        *left,
                                double        *top);
void     fil_view_to_picture   (const FilView *view,
                                double         at_x,
                                double         at_y,
                                double        *x,
                                double        *y);
gboolean fil_view_get_shown    (const FilView *view,
                                FilRect       *shown,
                                FilRegion     *region);

G_END_DECLS
