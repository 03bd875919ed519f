/* fil-day-graph.c: the Sun's altitude over one day
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The curve from before sunrise to after sunset, in the
 * clock's own hours, with the stretch above a chosen altitude filled and named
 * by its two times. The axes change with the day only. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-day-graph.h"
#include "fil-plot.h"

#define LEFT_PX    40.0
#define RIGHT_PX   16.0
#define TOP_PX     30.0
#define BOTTOM_PX  30.0
#define ROOM_PX    24.0     /* for a word over the curve */
#define BOTTOM_DEG (-1.0)    /* so that sunrise and sunset lie within */
#define NS_PER_S   G_GINT64_CONSTANT (1000000000)
#define NS_PER_H   (3600 * NS_PER_S)

struct _FilDayGraph
{
  GtkWidget  parent_instance;

  FilDay     day;
  gboolean   has_day;
  GTimeZone *zone;
  double     limit_deg;
  FilDaySpan spans[FIL_DAY_MAX_SPANS];
  guint      n_spans;
  gint64     now_ns;              /* FIL_DAY_NEVER: not marked */
  double     now_deg;
  gint64     told_minute;         /* of now, in the words for screen readers */
};

/* The plotting area, and what it spans. */
typedef struct
{
  double x0, y0, width, height;
  gint64 from_ns, until_ns;
  double top_deg;
} Frame;

G_DEFINE_FINAL_TYPE (FilDayGraph, fil_day_graph, GTK_TYPE_WIDGET)

static double
x_of (const Frame *frame,
      gint64       utc_ns)
{
  return frame->x0 + frame->width * (double) (utc_ns - frame->from_ns) /
                       (double) (frame->until_ns - frame->from_ns);
}

static double
y_of (const Frame *frame,
      double       altitude_deg)
{
  return frame->y0 + frame->height * (frame->top_deg - altitude_deg) /
                       (frame->top_deg - BOTTOM_DEG);
}

/**
 * fil_day_graph_dup_clock:
 *
 * Returns: (transfer full): the clock's time, to the nearest minute; a dash
 *   for %FIL_DAY_NEVER
 */
char *
fil_day_graph_dup_clock (FilDayGraph *self,
                         gint64       utc_ns)
{
  g_autoptr (GDateTime) utc = NULL;
  g_autoptr (GDateTime) local = NULL;

  g_return_val_if_fail (FIL_IS_DAY_GRAPH (self), NULL);

  if (utc_ns == FIL_DAY_NEVER)
    return g_strdup ("–");

  utc = g_date_time_new_from_unix_utc ((utc_ns + 30 * NS_PER_S) / NS_PER_S);
  local = g_date_time_to_timezone (utc, self->zone);

  return g_date_time_format (local, "%H:%M");
}

/* Full hours of the clock, @from or just before it. */
static gint64
hour_before (FilDayGraph *self,
             gint64       utc_ns)
{
  g_autoptr (GDateTime) utc = g_date_time_new_from_unix_utc (utc_ns / NS_PER_S);
  g_autoptr (GDateTime) local = g_date_time_to_timezone (utc, self->zone);

  return utc_ns / NS_PER_S * NS_PER_S -
         (60 * g_date_time_get_minute (local) + g_date_time_get_second (local)) * NS_PER_S;
}

static void
set_frame (FilDayGraph *self,
           Frame       *frame)
{
  const FilDay *day = &self->day;
  double scale = fil_plot_text_scale (GTK_WIDGET (self)), top = 0.0;

  *frame = (Frame) { .x0 = LEFT_PX * scale, .y0 = TOP_PX * scale };
  frame->width = gtk_widget_get_width (GTK_WIDGET (self)) - frame->x0 - RIGHT_PX;
  frame->height = gtk_widget_get_height (GTK_WIDGET (self)) - frame->y0 - BOTTOM_PX * scale;

  frame->from_ns = day->start_ns;
  frame->until_ns = day->end_ns;
  if (day->rise_ns != FIL_DAY_NEVER && day->set_ns > day->rise_ns)
    {
      frame->from_ns = MAX (day->start_ns, hour_before (self, day->rise_ns - 3 * NS_PER_H / 2));
      frame->until_ns = MIN (day->end_ns, hour_before (self, day->set_ns + 5 * NS_PER_H / 2));
    }

  for (guint i = 0; i < FIL_DAY_N_SAMPLES; i++)
    top = MAX (top, day->samples[i].altitude_deg);
  /* The transit's words stand over the curve: there has to be room for them. */
  frame->top_deg = CLAMP (10.0 * ceil ((top + 4.0) / 10.0), 10.0, 90.0);
  while (frame->top_deg < 90.0 && y_of (frame, top) - frame->y0 < ROOM_PX * scale)
    frame->top_deg += 10.0;
}

static void
draw_altitudes (FilDayGraph *self,
                cairo_t     *cr,
                const Frame *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double step = frame->top_deg > 40.0 && frame->height < 260.0 ? 20.0 : 10.0;

  cairo_set_line_width (cr, 1.0);
  for (double altitude = 0.0; altitude <= frame->top_deg; altitude += step)
    {
      double y = floor (y_of (frame, altitude)) + 0.5;
      g_autofree char *text = g_strdup_printf ("%.0f°", altitude);

      fil_plot_set_color (cr, widget, altitude == 0.0 ? "quiet_fg" : "grid_color");
      cairo_move_to (cr, frame->x0, y);
      cairo_rel_line_to (cr, frame->width, 0.0);
      cairo_stroke (cr);
      fil_plot_set_color (cr, widget, "quiet_fg");
      fil_plot_text (cr, widget, text, frame->x0 - 8.0, y, 1.0, FALSE);
    }
}

static int
hours_between_marks (const Frame *frame,
                     double       scale)
{
  static const int steps[] = { 1, 2, 3, 4, 6 };
  double hour_px = frame->width * (double) NS_PER_H / (double) (frame->until_ns - frame->from_ns);

  for (guint i = 0; i < G_N_ELEMENTS (steps); i++)
    if (steps[i] * hour_px >= 62.0 * scale)
      return steps[i];

  return 12;
}

static void
draw_hours (FilDayGraph *self,
            cairo_t     *cr,
            const Frame *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double scale = fil_plot_text_scale (widget), base = frame->y0 + frame->height;
  int step = hours_between_marks (frame, scale);

  cairo_set_line_width (cr, 1.0);
  for (gint64 when = hour_before (self, frame->from_ns); when <= frame->until_ns;
       when += NS_PER_H)
    {
      double x = floor (x_of (frame, when)) + 0.5;
      g_autofree char *text = fil_day_graph_dup_clock (self, when);

      if (when < frame->from_ns || g_ascii_strtoull (text, NULL, 10) % step != 0)
        continue;
      fil_plot_set_color (cr, widget, "grid_color");
      cairo_move_to (cr, x, frame->y0);
      cairo_line_to (cr, x, base + 5.0);
      cairo_stroke (cr);
      fil_plot_set_color (cr, widget, "quiet_fg");
      fil_plot_text (cr, widget, text,
                     CLAMP (x, frame->x0, frame->x0 + frame->width - 8.0 * scale),
                     base + 17.0 * scale, 0.5, FALSE);
    }
}

/* The curve alone, or closed along the horizon. */
static void
trace_curve (FilDayGraph *self,
             cairo_t     *cr,
             const Frame *frame,
             gint64       from_ns,
             gint64       until_ns)
{
  const FilDaySample *samples = self->day.samples;
  gboolean begun = FALSE;

  for (guint i = 0; i < FIL_DAY_N_SAMPLES; i++)
    {
      double x = x_of (frame, samples[i].utc_ns), y = y_of (frame, samples[i].altitude_deg);

      if (samples[i].utc_ns < from_ns - NS_PER_H || samples[i].utc_ns > until_ns + NS_PER_H)
        continue;
      if (begun)
        cairo_line_to (cr, x, y);
      else
        cairo_move_to (cr, x, y);
      begun = TRUE;
    }
}

/* On a plate of the background's colour, since lines run anywhere. */
static void
draw_label (FilDayGraph *self,
            cairo_t     *cr,
            const char  *text,
            double       x,
            double       y,
            double       x_align,
            const char  *color)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double half = 9.0 * fil_plot_text_scale (widget), width;

  fil_plot_set_color (cr, widget, color);
  width = fil_plot_text (cr, widget, text, x, y, x_align, TRUE);
  fil_plot_set_color (cr, widget, "window_bg_color");
  cairo_rectangle (cr, x - x_align * width - 3.0, y - half, width + 6.0, 2.0 * half);
  cairo_fill (cr);
  fil_plot_set_color (cr, widget, color);
  fil_plot_text (cr, widget, text, x, y, x_align, TRUE);
}

/* Each stretch above the limit, filled down to the limit's line. */
static void
draw_spans (FilDayGraph *self,
            cairo_t     *cr,
            const Frame *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double limit_y = y_of (frame, self->limit_deg);

  for (guint i = 0; i < self->n_spans; i++)
    {
      double x0 = MAX (x_of (frame, self->spans[i].from_ns), frame->x0);
      double x1 = MIN (x_of (frame, self->spans[i].until_ns), frame->x0 + frame->width);

      if (x1 <= x0)
        continue;
      cairo_save (cr);
      cairo_rectangle (cr, x0, frame->y0, x1 - x0, limit_y - frame->y0);
      cairo_clip (cr);
      trace_curve (self, cr, frame, self->spans[i].from_ns, self->spans[i].until_ns);
      cairo_line_to (cr, frame->x0 + frame->width + 10.0, frame->y0 + frame->height + 400.0);
      cairo_line_to (cr, frame->x0 - 10.0, frame->y0 + frame->height + 400.0);
      cairo_close_path (cr);
      cairo_clip (cr);
      fil_plot_set_color (cr, widget, "accent_bg_color");
      cairo_paint_with_alpha (cr, 0.26);
      cairo_restore (cr);
    }
}

/* The times stand beside the stretch, over the limit's line, where the curve
 * isn't. */
static void
draw_limit (FilDayGraph *self,
            cairo_t     *cr,
            const Frame *frame)
{
  static const double dashes[] = { 7.0, 5.0 };
  GtkWidget *widget = GTK_WIDGET (self);
  double scale = fil_plot_text_scale (widget);
  double y = floor (y_of (frame, self->limit_deg)) + 0.5;

  if (self->limit_deg > frame->top_deg)
    return;

  fil_plot_set_color (cr, widget, "crest_color");
  cairo_set_line_width (cr, 1.5 * fil_plot_line_scale (widget));
  cairo_set_dash (cr, dashes, 2, 0.0);
  cairo_move_to (cr, frame->x0, y);
  cairo_rel_line_to (cr, frame->width, 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);

  for (guint i = 0; i < self->n_spans; i++)
    {
      g_autofree char *from = fil_day_graph_dup_clock (self, self->spans[i].from_ns);
      g_autofree char *until = fil_day_graph_dup_clock (self, self->spans[i].until_ns);

      if (self->spans[i].from_ns > self->day.start_ns)
        draw_label (self, cr, from, x_of (frame, self->spans[i].from_ns) - 10.0,
                    y - 12.0 * scale, 1.0, "crest_color");
      if (self->spans[i].until_ns < self->day.end_ns)
        draw_label (self, cr, until, x_of (frame, self->spans[i].until_ns) + 10.0,
                    y - 12.0 * scale, 0.0, "crest_color");
    }
}

static void
draw_curve (FilDayGraph *self,
            cairo_t     *cr,
            const Frame *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);

  cairo_save (cr);
  cairo_rectangle (cr, frame->x0, frame->y0 - 3.0, frame->width, frame->height + 3.0);
  cairo_clip (cr);
  fil_plot_set_color (cr, widget, "trace_color");
  cairo_set_line_width (cr, 2.6 * fil_plot_line_scale (widget));
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  trace_curve (self, cr, frame, frame->from_ns, frame->until_ns);
  cairo_stroke (cr);
  cairo_restore (cr);
}

static void
draw_dot (FilDayGraph *self,
          cairo_t     *cr,
          double       x,
          double       y,
          const char  *color,
          double       radius)
{
  radius *= fil_plot_line_scale (GTK_WIDGET (self));
  fil_plot_set_color (cr, GTK_WIDGET (self), "window_bg_color");
  cairo_arc (cr, x, y, radius + 2.0, 0.0, 2.0 * G_PI);
  cairo_fill (cr);
  fil_plot_set_color (cr, GTK_WIDGET (self), color);
  cairo_arc (cr, x, y, radius, 0.0, 2.0 * G_PI);
  cairo_fill (cr);
}

/* Sunrise and sunset stand on the horizon, outside of the curve; the transit
 * over its top. */
static void
draw_events (FilDayGraph *self,
             cairo_t     *cr,
             const Frame *frame)
{
  const FilDay *day = &self->day;
  double scale = fil_plot_text_scale (GTK_WIDGET (self)), base = y_of (frame, FIL_DAY_HORIZON_DEG);
  g_autofree char *rise = fil_day_graph_dup_clock (self, day->rise_ns);
  g_autofree char *set = fil_day_graph_dup_clock (self, day->set_ns);
  g_autofree char *noon = fil_day_graph_dup_clock (self, day->transit_ns);
  g_autofree char *top = g_strdup_printf ("%s · %.1f°", noon, day->transit_altitude_deg);

  if (day->rise_ns != FIL_DAY_NEVER)
    {
      draw_dot (self, cr, x_of (frame, day->rise_ns), base, "trace_color", 4.0);
      draw_label (self, cr, rise, x_of (frame, day->rise_ns) - 12.0,
                  y_of (frame, 0.0) - 12.0 * scale, 1.0, "trace_color");
    }
  if (day->set_ns != FIL_DAY_NEVER)
    {
      draw_dot (self, cr, x_of (frame, day->set_ns), base, "trace_color", 4.0);
      draw_label (self, cr, set, x_of (frame, day->set_ns) + 12.0,
                  y_of (frame, 0.0) - 12.0 * scale, 0.0, "trace_color");
    }
  if (day->transit_ns != FIL_DAY_NEVER && day->transit_altitude_deg > 0.0)
    {
      double x = x_of (frame, day->transit_ns), y = y_of (frame, day->transit_altitude_deg);

      draw_dot (self, cr, x, y, "trace_color", 4.0);
      /* Below the top where the plot ends above it. */
      draw_label (self, cr, top, x,
                  y - frame->y0 >= ROOM_PX * scale ? y - 17.0 * scale : y + 20.0 * scale, 0.5,
                  "trace_color");
    }
  if (day->kind == FIL_DAY_STAYS_DOWN)
    draw_label (self, cr, _("The Sun stays below the horizon on this day."),
                frame->x0 + frame->width / 2.0, frame->y0 + frame->height / 2.0, 0.5,
                "trace_color");
}

/* What the clock shows: it doesn't round up. */
static char *
dup_now (FilDayGraph *self)
{
  return fil_day_graph_dup_clock (self, self->now_ns / (60 * NS_PER_S) * (60 * NS_PER_S));
}

static void
draw_now (FilDayGraph *self,
          cairo_t     *cr,
          const Frame *frame)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double scale = fil_plot_text_scale (widget), x, half = 32.0 * scale;
  g_autofree char *clock = NULL, *text = NULL;

  if (self->now_ns < frame->from_ns || self->now_ns > frame->until_ns)
    return;

  x = x_of (frame, self->now_ns);
  clock = dup_now (self);
  text = g_strdup_printf (_("now %s"), clock);
  fil_plot_set_color (cr, widget, "crest_color");
  cairo_set_line_width (cr, 2.0 * fil_plot_line_scale (widget));
  cairo_move_to (cr, x, frame->y0);
  cairo_line_to (cr, x, frame->y0 + frame->height);
  cairo_stroke (cr);
  fil_plot_text (cr, widget, text, CLAMP (x, frame->x0 + half, frame->x0 + frame->width - half),
                 frame->y0 - 13.0 * scale, 0.5, TRUE);
  if (self->now_deg >= 0.0)
    draw_dot (self, cr, x, y_of (frame, self->now_deg), "crest_color", 6.0);
}

static void
fil_day_graph_snapshot (GtkWidget   *widget,
                        GtkSnapshot *snapshot)
{
  FilDayGraph *self = FIL_DAY_GRAPH (widget);
  Frame frame;
  cairo_t *cr;

  if (!self->has_day)
    return;
  set_frame (self, &frame);
  if (frame.width < 60.0 || frame.height < 40.0)
    return;

  cr = gtk_snapshot_append_cairo (snapshot,
                                  &GRAPHENE_RECT_INIT (0, 0, gtk_widget_get_width (widget),
                                                       gtk_widget_get_height (widget)));
  draw_altitudes (self, cr, &frame);
  draw_hours (self, cr, &frame);
  draw_spans (self, cr, &frame);
  draw_curve (self, cr, &frame);
  draw_now (self, cr, &frame);
  draw_limit (self, cr, &frame);
  draw_events (self, cr, &frame);
  cairo_destroy (cr);
}

/* The drawing in words; now changes them once a minute only. */
static void
tell (FilDayGraph *self)
{
  GString *words = g_string_new (NULL);
  const FilDay *day = &self->day;

  if (self->has_day)
    {
      g_autofree char *rise = fil_day_graph_dup_clock (self, day->rise_ns);
      g_autofree char *set = fil_day_graph_dup_clock (self, day->set_ns);
      g_autofree char *noon = fil_day_graph_dup_clock (self, day->transit_ns);

      g_string_append_printf (words, _("Sunrise %s, transit %s at %.1f°, sunset %s."), rise, noon,
                              day->transit_altitude_deg, set);
      for (guint i = 0; i < self->n_spans; i++)
        {
          g_autofree char *from = fil_day_graph_dup_clock (self, self->spans[i].from_ns);
          g_autofree char *until = fil_day_graph_dup_clock (self, self->spans[i].until_ns);

          g_string_append_printf (words, _(" Above %.0f° from %s to %s."), self->limit_deg, from,
                                  until);
        }
      if (self->n_spans == 0)
        g_string_append_printf (words, _(" Never above %.0f°."), self->limit_deg);
      if (self->now_ns != FIL_DAY_NEVER && isfinite (self->now_deg))
        {
          g_autofree char *now = dup_now (self);

          g_string_append_printf (words, _(" Now %s, altitude %.0f°."), now, self->now_deg);
        }
    }
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  words->str, -1);
  g_string_free (words, TRUE);
}

static void
update (FilDayGraph *self)
{
  self->n_spans = self->has_day ? fil_day_find_above (&self->day, self->limit_deg, self->spans)
                                : 0;
  self->told_minute = G_MAXINT64;   /* the next moment is told anew */
  tell (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
fil_day_graph_finalize (GObject *object)
{
  g_clear_pointer (&FIL_DAY_GRAPH (object)->zone, g_time_zone_unref);

  G_OBJECT_CLASS (fil_day_graph_parent_class)->finalize (object);
}

static void
fil_day_graph_class_init (FilDayGraphClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_day_graph_finalize;
  GTK_WIDGET_CLASS (klass)->snapshot = fil_day_graph_snapshot;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "daygraph");
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_day_graph_init (FilDayGraph *self)
{
  self->zone = g_time_zone_new_utc ();
  self->limit_deg = 30.0;
  self->now_ns = FIL_DAY_NEVER;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("The Sun’s altitude over the day"), -1);
}

/**
 * fil_day_graph_set_day:
 * @day: (nullable): copied; %NULL empties the graph
 * @zone: whose hours are shown
 */
void
fil_day_graph_set_day (FilDayGraph  *self,
                       const FilDay *day,
                       GTimeZone    *zone)
{
  g_return_if_fail (FIL_IS_DAY_GRAPH (self) && zone != NULL);

  g_time_zone_ref (zone);
  g_time_zone_unref (self->zone);
  self->zone = zone;
  self->has_day = day != NULL;
  if (day != NULL)
    self->day = *day;
  update (self);
}

/* @altitude_deg: finite; the hours above it are filled */
void
fil_day_graph_set_limit (FilDayGraph *self,
                         double       altitude_deg)
{
  g_return_if_fail (FIL_IS_DAY_GRAPH (self) && isfinite (altitude_deg));

  self->limit_deg = altitude_deg;
  update (self);
}

/* Returns: how many stretches above the limit there are in @spans */
guint
fil_day_graph_get_spans (FilDayGraph *self,
                         FilDaySpan   spans[FIL_DAY_MAX_SPANS])
{
  g_return_val_if_fail (FIL_IS_DAY_GRAPH (self) && spans != NULL, 0);

  for (guint i = 0; i < self->n_spans; i++)
    spans[i] = self->spans[i];

  return self->n_spans;
}

/* @utc_ns: %FIL_DAY_NEVER on another day than today */
void
fil_day_graph_set_now (FilDayGraph *self,
                       gint64       utc_ns,
                       double       altitude_deg)
{
  gint64 minute = utc_ns / (60 * NS_PER_S);

  g_return_if_fail (FIL_IS_DAY_GRAPH (self));

  self->now_ns = utc_ns;
  self->now_deg = altitude_deg;
  if (minute == self->told_minute)
    return;

  self->told_minute = minute;
  tell (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
