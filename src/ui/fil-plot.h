/* fil-plot.h: colours and round numbers for drawn graphs
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void   fil_plot_set_color       (cairo_t    *cr,
                                 GtkWidget  *widget,
                                 const char *color_name);
double fil_plot_text_scale      (GtkWidget  *widget);
double fil_plot_line_scale      (GtkWidget  *widget);
double fil_plot_text            (cairo_t    *cr,
                                 GtkWidget  *widget,
                                 const char *text,
                                 double      x,
                                 double      y,
                                 double      x_align,
                                 gboolean    bold);
void   fil_plot_round_rectangle (cairo_t    *cr,
                                 double      x,
                                 double      y,
                                 double      width,
                                 double      height,
                                 double      radius);
double fil_plot_step            (double      span,
                                 int         most);

G_END_DECLS
