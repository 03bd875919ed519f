/* fil-rect.h: a rectangle of whole pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilRect:
 * @x: left edge, pixels from the left of the picture
 * @y: top edge, pixels from the *top* of the picture, as on the screen
 * @width: pixels; 0 stands for "not given"
 * @height: pixels
 */
typedef struct
{
  int x, y;
  int width, height;
} FilRect;

gboolean fil_rect_parse     (const char    *text,
                             FilRect       *rect,
                             GError       **error);
gboolean fil_rect_is_inside (const FilRect *rect,
                             int            width,
                             int            height);

G_END_DECLS
