/* fil-plot.c: colours and round numbers for drawn graphs
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-plot.h"

/* Looks @color_name up in the style sheets, so that graphs follow the theme. */
void
fil_plot_set_color (cairo_t    *cr,
                    GtkWidget  *widget,
                    const char *color_name)
{
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  GdkRGBA color;

  if (!gtk_style_context_lookup_color (style, color_name, &color))
    gtk_style_context_get_color (style, &color);
  gdk_cairo_set_source_rgba (cr, &color);
}

static gboolean
is_daylight (GtkWidget *widget)
{
  GtkRoot *root = gtk_widget_get_root (widget);

  return root != NULL && gtk_widget_has_css_class (GTK_WIDGET (root), "daylight");
}

/* Type is half as large again in daylight. */
double
fil_plot_text_scale (GtkWidget *widget)
{
  return is_daylight (widget) ? 1.35 : 1.0;
}

double
fil_plot_line_scale (GtkWidget *widget)
{
  return is_daylight (widget) ? 1.6 : 1.0;
}

/**
 * fil_plot_text:
 * @x: where the text stands, @x_align of its width to the left of it
 * @y: its vertical middle
 *
 * Returns: its width
 */
double
fil_plot_text (cairo_t    *cr,
               GtkWidget  *widget,
               const char *text,
               double      x,
               double      y,
               double      x_align,
               gboolean    bold)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, text);
  g_autoptr (PangoFontDescription) font = NULL;
  int width, height;

  font = pango_font_description_copy (
    pango_context_get_font_description (gtk_widget_get_pango_context (widget)));
  pango_font_description_set_absolute_size (font, 12.5 * fil_plot_text_scale (widget) *
                                                    PANGO_SCALE);
  pango_font_description_set_weight (font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_MEDIUM);
  pango_layout_set_font_description (layout, font);
  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_move_to (cr, x - x_align * width, y - height / 2.0);
  pango_cairo_show_layout (cr, layout);

  return width;
}

/* A path; no rounder than its shorter side allows. */
void
fil_plot_round_rectangle (cairo_t *cr,
                          double   x,
                          double   y,
                          double   width,
                          double   height,
                          double   radius)
{
  double r = MIN (radius, MIN (width, height) / 2.0);

  cairo_new_sub_path (cr);
  cairo_arc (cr, x + width - r, y + r, r, -G_PI / 2.0, 0.0);
  cairo_arc (cr, x + width - r, y + height - r, r, 0.0, G_PI / 2.0);
  cairo_arc (cr, x + r, y + height - r, r, G_PI / 2.0, G_PI);
  cairo_arc (cr, x + r, y + r, r, G_PI, 1.5 * G_PI);
  cairo_close_path (cr);
}

/**
 * fil_plot_step:
 * @span: what the axis covers, > 0
 * @most: steps at the most
 *
 * Returns: 1, 2 or 5 times a power of ten, so that @span holds at most @most steps
 */
double
fil_plot_step (double span,
               int    most)
{
  double rough = span / most;
  double power = pow (10.0, floor (log10 (rough)));
  double lead = rough / power;

  if (lead <= 1.0)
    return power;
  if (lead <= 2.0)
    return 2.0 * power;
  if (lead <= 5.0)
    return 5.0 * power;

  return 10.0 * power;
}
