/* fil-light-shapes.h: what each kind of element looks like in section
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-light-drawing.h"

G_BEGIN_DECLS

void fil_light_shapes_draw_beam    (cairo_t               *cr,
                                    GtkWidget             *widget,
                                    const FilLightDrawing *drawing);
void fil_light_shapes_draw_sun     (cairo_t               *cr,
                                    GtkWidget             *widget,
                                    const FilDrawnElement *sky,
                                    double                 axis_y);
void fil_light_shapes_draw_element (cairo_t               *cr,
                                    GtkWidget             *widget,
                                    const FilDrawnElement *drawn,
                                    const FilElement      *element,
                                    double                 axis_y);

G_END_DECLS
