/* fil-histogram-graph.c: how bright the pixels are
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n.h>

#include "fil-histogram-graph.h"
#include "fil-plot.h"

#define SIDE_PX   14.0
#define TOP_PX    12.0
#define BOTTOM_PX 26.0
#define ROOM_PX   16.0   /* right of the middle of a number */

struct _FilHistogramGraph
{
  GtkWidget parent_instance;

  guint32   counts[FIL_HISTOGRAM_BINS];
  gboolean  logarithmic;
  double    black, white;   /* what is shown as black and white, share of full */
};

G_DEFINE_FINAL_TYPE (FilHistogramGraph, fil_histogram_graph, GTK_TYPE_WIDGET)

/* The end bins may hold a third of all pixels (a full disc, an empty sky):
 * they don't set the scale, they just reach its top. */
static double
inner_top (FilHistogramGraph *self)
{
  guint32 top = 1;

  for (int i = 1; i < FIL_HISTOGRAM_BINS - 1; i++)
    top = MAX (top, self->counts[i]);

  return top;
}

static double
height_of (FilHistogramGraph *self,
           guint32            count,
           double             top)
{
  if (count == 0)
    return 0.0;
  if (self->logarithmic)
    return MIN (1.0, log1p (count) / log1p (top));

  return MIN (1.0, count / top);
}

static void
draw_scale (FilHistogramGraph *self,
            cairo_t           *cr,
            double             width,
            double             base)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double room_to = G_MAXDOUBLE;   /* the last label's words may need another's place */

  for (int percent = 100; percent >= 0; percent -= 25)
    {
      double x = SIDE_PX + width * percent / 100.0;
      g_autofree char *text = percent < 100 ? g_strdup_printf ("%d", percent)
                                            : g_strdup (/* xgettext:no-c-format */
                                                        _("100 % of full"));

      fil_plot_set_color (cr, widget, "grid_color");
      cairo_set_line_width (cr, 1.0);
      cairo_move_to (cr, floor (x) + 0.5, TOP_PX);
      cairo_line_to (cr, floor (x) + 0.5, base + 4.0);
      cairo_stroke (cr);
      fil_plot_set_color (cr, widget, "quiet_fg");
      if (percent == 100)
        room_to = x - fil_plot_text (cr, widget, text, x, base + 14.0, 1.0, FALSE);
      else if (x + ROOM_PX * fil_plot_text_scale (widget) < room_to)
        fil_plot_text (cr, widget, text, x, base + 14.0, percent == 0 ? 0.0 : 0.5, FALSE);
    }
}

static void
draw_bars (FilHistogramGraph *self,
           cairo_t           *cr,
           double             width,
           double             base)
{
  double top = inner_top (self), bar = width / FIL_HISTOGRAM_BINS;

  for (int i = 0; i < FIL_HISTOGRAM_BINS; i++)
    {
      double height = (base - TOP_PX) * height_of (self, self->counts[i], top);

      if (height <= 0.0)
        continue;
      /* The last bin holds the full pixels: the ones to act on. */
      fil_plot_set_color (cr, GTK_WIDGET (self),
                          i == FIL_HISTOGRAM_BINS - 1 ? "crest_color" : "bar_color");
      cairo_rectangle (cr, SIDE_PX + i * bar, base - MAX (height, 1.0), bar + 0.3,
                       MAX (height, 1.0));
      cairo_fill (cr);
    }
}

static void
draw_stretch (FilHistogramGraph *self,
              cairo_t           *cr,
              double             width,
              double             base)
{
  const double ends[] = { self->black, self->white };

  fil_plot_set_color (cr, GTK_WIDGET (self), "trace_color");
  cairo_set_line_width (cr, 2.0 * fil_plot_line_scale (GTK_WIDGET (self)));
  for (int i = 0; i < 2; i++)
    {
      double x = SIDE_PX + width * CLAMP (ends[i], 0.0, 1.0);

      cairo_move_to (cr, x, TOP_PX);
      cairo_line_to (cr, x, base);
      cairo_stroke (cr);
    }
}

static void
fil_histogram_graph_snapshot (GtkWidget   *widget,
                              GtkSnapshot *snapshot)
{
  FilHistogramGraph *self = FIL_HISTOGRAM_GRAPH (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  double inner = width - 2.0 * SIDE_PX, base = height - BOTTOM_PX;
  cairo_t *cr;

  if (inner < 20.0 || base < TOP_PX + 20.0)
    return;

  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  draw_scale (self, cr, inner, base);
  draw_bars (self, cr, inner, base);
  draw_stretch (self, cr, inner, base);
  cairo_destroy (cr);
}

static void
fil_histogram_graph_class_init (FilHistogramGraphClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = fil_histogram_graph_snapshot;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "histogramgraph");
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_histogram_graph_init (FilHistogramGraph *self)
{
  self->white = 1.0;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Histogram of the picture"), -1);
}

/* @counts: %FIL_HISTOGRAM_BINS of them, from empty to full; copied */
void
fil_histogram_graph_set_counts (FilHistogramGraph *self,
                                const guint32     *counts)
{
  g_return_if_fail (FIL_IS_HISTOGRAM_GRAPH (self) && counts != NULL);

  memcpy (self->counts, counts, sizeof self->counts);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
fil_histogram_graph_set_logarithmic (FilHistogramGraph *self,
                                     gboolean           logarithmic)
{
  g_return_if_fail (FIL_IS_HISTOGRAM_GRAPH (self));

  self->logarithmic = logarithmic;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* Where the shown picture turns black and white, as shares of full. */
void
fil_histogram_graph_set_stretch (FilHistogramGraph *self,
                                 double             black,
                                 double             white)
{
  g_return_if_fail (FIL_IS_HISTOGRAM_GRAPH (self));

  self->black = black;
  self->white = white;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
