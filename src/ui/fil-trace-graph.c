/* fil-trace-graph.c: sharpness in time, with its crest and the mark
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Dots are single frames, the thin line their running median, the thick line
 * the crest (what the air allows), the dashed one the high-water mark. The
 * axis moves rarely: a scale that breathes with every frame can't be read. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-plot.h"
#include "fil-trace-graph.h"

#define LEFT_PX   44.0
#define RIGHT_PX  14.0
#define TOP_PX    22.0
#define BOTTOM_PX 26.0
#define MEDIAN_OF 9

struct _FilTraceGraph
{
  GtkWidget  parent_instance;

  GArray    *dots;           /* of FilLiveDot, oldest first */
  double     seconds_shown;
  double     low, high;      /* the axis, percent contrast */
  gboolean   whole;          /* of a clip: from its start, not up to now */
};

typedef struct
{
  double x0, y0, width, height;  /* the plotting area */
  gint64 newest_ns;
} Frame;

G_DEFINE_FINAL_TYPE (FilTraceGraph, fil_trace_graph, GTK_TYPE_WIDGET)

static const FilLiveDot *
dot_at (FilTraceGraph *self,
        guint          i)
{
  return &g_array_index (self->dots, FilLiveDot, i);
}

static double
x_of (FilTraceGraph *self,
      const Frame   *frame,
      gint64         time_ns)
{
  double ago_s = (double) (frame->newest_ns - time_ns) / 1e9;

  return frame->x0 + frame->width * (1.0 - ago_s / self->seconds_shown);
}

static double
y_of (FilTraceGraph *self,
      const Frame   *frame,
      double         value)
{
  double share = (value - self->low) / (self->high - self->low);

  return frame->y0 + frame->height * (1.0 - CLAMP (share, -0.02, 1.02));
}

/* Widens the axis at once when something leaves it, and narrows it only when
 * half of it stands empty. */
static void
update_axis (FilTraceGraph *self)
{
  double top = 0.0, step;

  for (guint i = 0; i < self->dots->len; i++)
    {
      const FilLiveDot *dot = dot_at (self, i);

      if (isfinite (dot->sharpness))
        top = MAX (top, dot->sharpness);
      if (isfinite (dot->mark))
        top = MAX (top, dot->mark);
    }

  if (top <= 0.0 || (top <= self->high && top > 0.45 * self->high))
    return;

  step = fil_plot_step (top * 1.15, 5);
  self->low = 0.0;
  self->high = step * ceil (top * 1.15 / step);
}

static void
draw_grid (FilTraceGraph *self,
           cairo_t       *cr,
           const Frame   *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double step = fil_plot_step (self->high - self->low, frame->height < 90.0 ? 3 : 5);
  g_autofree char *oldest = NULL, *newest = NULL;

  cairo_set_line_width (cr, 1.0);
  for (double value = self->low; value <= self->high + step * 0.01; value += step)
    {
      double y = floor (y_of (self, frame, value)) + 0.5;
      g_autofree char *text = g_strdup_printf ("%.*f", step < 1.0 ? (step < 0.1 ? 2 : 1) : 0,
                                               value);

      fil_plot_set_color (cr, widget, "grid_color");
      cairo_move_to (cr, frame->x0, y);
      cairo_rel_line_to (cr, frame->width, 0.0);
      cairo_stroke (cr);
      fil_plot_set_color (cr, widget, "quiet_fg");
      fil_plot_text (cr, widget, text, frame->x0 - 8.0, y, 1.0, FALSE);
    }

  oldest = self->whole ? g_strdup (_("0 s"))
                       : g_strdup_printf (_("−%.0f s"), self->seconds_shown);
  newest = self->whole ? g_strdup_printf (_("%.1f s"), self->seconds_shown)
                       : g_strdup (_("now"));
  fil_plot_text (cr, widget, oldest, frame->x0, frame->y0 + frame->height + 14.0, 0.0, FALSE);
  fil_plot_text (cr, widget, newest, frame->x0 + frame->width,
                 frame->y0 + frame->height + 14.0, 1.0, FALSE);
}

static void
draw_dots (FilTraceGraph *self,
           cairo_t       *cr,
           const Frame   *frame)
{
  double size = round (2.6 * fil_plot_line_scale (GTK_WIDGET (self)));

  /* Whole pixels, filled one by one: a path of thousands of rectangles that
   * overlap takes longer than the picture beneath. */
  fil_plot_set_color (cr, GTK_WIDGET (self), "dot_color");
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_NONE);
  for (guint i = 0; i < self->dots->len; i++)
    {
      const FilLiveDot *dot = dot_at (self, i);
      double x = x_of (self, frame, dot->time_ns);

      if (!isfinite (dot->sharpness) || x < frame->x0)
        continue;
      cairo_rectangle (cr, round (x - size / 2.0),
                       round (y_of (self, frame, dot->sharpness) - size / 2.0), size, size);
      cairo_fill (cr);
    }
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_DEFAULT);
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return (x > y) - (x < y);
}

static double
median_around (FilTraceGraph *self,
               guint          i)
{
  double values[MEDIAN_OF];
  guint n = 0;

  for (guint j = i + 1 >= MEDIAN_OF ? i + 1 - MEDIAN_OF : 0; j <= i; j++)
    if (isfinite (dot_at (self, j)->sharpness) &&
        dot_at (self, j)->segment == dot_at (self, i)->segment)
      values[n++] = dot_at (self, j)->sharpness;
  if (n == 0)
    return NAN;

  qsort (values, n, sizeof *values, compare_doubles);

  return values[n / 2];
}

/* A line breaks where a new segment begins and where there is no value. Points
 * that lie closer than a pixel's width are passed over. */
static void
draw_line (FilTraceGraph *self,
           cairo_t       *cr,
           const Frame   *frame,
           gboolean       crest)
{
  gboolean down = FALSE;
  guint segment = 0;
  double last_x = -1.0;

  fil_plot_set_color (cr, GTK_WIDGET (self), crest ? "crest_color" : "trace_color");
  cairo_set_line_width (cr, (crest ? 2.6 : 1.6) * fil_plot_line_scale (GTK_WIDGET (self)));
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);

  for (guint i = 0; i < self->dots->len; i++)
    {
      const FilLiveDot *dot = dot_at (self, i);
      double x = x_of (self, frame, dot->time_ns);
      double value;

      if (x < frame->x0 || (down && dot->segment == segment && x - last_x < 1.0))
        continue;
      value = crest ? dot->crest : median_around (self, i);
      if (!isfinite (value) || dot->segment != segment)
        down = FALSE;
      if (!isfinite (value))
        continue;
      if (down)
        cairo_line_to (cr, x, y_of (self, frame, value));
      else
        cairo_move_to (cr, x, y_of (self, frame, value));
      down = TRUE;
      segment = dot->segment;
      last_x = x;
    }
  cairo_stroke (cr);
}

static void
draw_mark (FilTraceGraph *self,
           cairo_t       *cr,
           const Frame   *frame)
{
  static const double dashes[] = { 7.0, 5.0 };
  double mark = self->dots->len > 0 ? dot_at (self, self->dots->len - 1)->mark : NAN;
  g_autofree char *text = NULL;
  double y;

  if (!isfinite (mark))
    return;

  y = floor (y_of (self, frame, mark)) + 0.5;
  fil_plot_set_color (cr, GTK_WIDGET (self), "crest_color");
  cairo_set_line_width (cr, 1.5 * fil_plot_line_scale (GTK_WIDGET (self)));
  cairo_set_dash (cr, dashes, 2, 0.0);
  cairo_move_to (cr, frame->x0, y);
  cairo_rel_line_to (cr, frame->width, 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);

  text = g_strdup_printf (_("high-water mark %.2f"), mark);
  fil_plot_text (cr, GTK_WIDGET (self), text, frame->x0 + frame->width,
                 y - 10.0 * fil_plot_text_scale (GTK_WIDGET (self)), 1.0, TRUE);
}

static void
fil_trace_graph_snapshot (GtkWidget   *widget,
                          GtkSnapshot *snapshot)
{
  FilTraceGraph *self = FIL_TRACE_GRAPH (widget);
  double scale = fil_plot_text_scale (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  Frame frame = { LEFT_PX * scale, TOP_PX, 0, 0, 0 };
  cairo_t *cr;

  frame.width = width - frame.x0 - RIGHT_PX;
  frame.height = height - TOP_PX - BOTTOM_PX;
  if (frame.width < 20.0 || frame.height < 20.0)
    return;
  if (self->dots->len > 0)
    frame.newest_ns = dot_at (self, self->dots->len - 1)->time_ns;

  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  draw_grid (self, cr, &frame);
  draw_dots (self, cr, &frame);
  draw_line (self, cr, &frame, FALSE);
  draw_line (self, cr, &frame, TRUE);
  draw_mark (self, cr, &frame);
  cairo_destroy (cr);
}

static void
fil_trace_graph_finalize (GObject *object)
{
  g_array_unref (FIL_TRACE_GRAPH (object)->dots);

  G_OBJECT_CLASS (fil_trace_graph_parent_class)->finalize (object);
}

static void
fil_trace_graph_class_init (FilTraceGraphClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_trace_graph_finalize;
  GTK_WIDGET_CLASS (klass)->snapshot = fil_trace_graph_snapshot;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "tracegraph");
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_trace_graph_init (FilTraceGraph *self)
{
  self->dots = g_array_new (FALSE, FALSE, sizeof (FilLiveDot));
  self->seconds_shown = 60.0;
  self->low = 0.0;
  self->high = 5.0;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Sharpness in time"), -1);
}

/**
 * fil_trace_graph_set_dots:
 * @dots: (array length=n_dots): oldest first; copied
 * @seconds_shown: width of the graph, > 0
 */
void
fil_trace_graph_set_dots (FilTraceGraph    *self,
                          const FilLiveDot *dots,
                          guint             n_dots,
                          double            seconds_shown)
{
  g_return_if_fail (FIL_IS_TRACE_GRAPH (self) && seconds_shown > 0.0);

  g_array_set_size (self->dots, 0);
  g_array_append_vals (self->dots, dots, n_dots);
  self->seconds_shown = seconds_shown;
  update_axis (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* @whole: the dots are a whole clip, counted from its start */
void
fil_trace_graph_set_whole (FilTraceGraph *self,
                           gboolean       whole)
{
  g_return_if_fail (FIL_IS_TRACE_GRAPH (self));

  self->whole = whole;
}

void
fil_trace_graph_clear (FilTraceGraph *self)
{
  g_return_if_fail (FIL_IS_TRACE_GRAPH (self));

  g_array_set_size (self->dots, 0);
  self->high = 5.0;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
