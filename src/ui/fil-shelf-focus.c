/* fil-shelf-focus.c: the running focus figure
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-pace.h"
#include "fil-shelf-focus.h"
#include "fil-trace-graph.h"

#define SECONDS_SHOWN 60.0
#define DOTS_MOST     4096

struct _FilShelfFocus
{
  GtkBox         parent_instance;

  FilLive       *live;
  gint64         shown_us;       /* when the reading was last shown */
  FilLiveDot    *dots;        /* scratch, DOTS_MOST of them */
  GtkLabel      *percent_label, *arrow_label, *mark_label, *sharpness_label;
  FilTraceGraph *graph;
};

G_DEFINE_FINAL_TYPE (FilShelfFocus, fil_shelf_focus, GTK_TYPE_BOX)

static char *
describe_mark (const FilTraceReading *trace,
               gint64                 now_ns)
{
  gint64 ago_s = (now_ns - trace->mark_time_ns) / G_GINT64_CONSTANT (1000000000);

  if (!isfinite (trace->mark))
    return g_strdup (_("waiting for a mark"));
  if (ago_s < 120)
    return g_strdup_printf (_("of the high-water mark, %d s ago"), (int) MAX (ago_s, 0));

  return g_strdup_printf (_("of the high-water mark, %d min ago"), (int) (ago_s / 60));
}

static char *
describe_sharpness (const FilLiveReading *reading)
{
  if (!isfinite (reading->trace.now))
    return g_strdup (_("no sharpness: the patch is too small or dark"));
  if (!isfinite (reading->sharpness.fine))
    return g_strdup_printf (_("sharpness %.2f %%"), reading->trace.now);

  return g_strdup_printf (_("sharpness %.2f %% · fine %.2f"), reading->trace.now,
                          reading->sharpness.fine);
}

static void
update_reading (FilShelfFocus *self)
{
  static const char *const arrows[] = { "↓", "", "↑" };
  g_autofree char *percent = NULL, *mark = NULL, *sharpness = NULL;
  FilLiveReading reading;
  gint64 newest_ns;
  guint n;

  if (!gtk_widget_get_mapped (GTK_WIDGET (self)) || !fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  n = fil_live_get_dots (self->live, self->dots, DOTS_MOST);
  newest_ns = n > 0 ? self->dots[n - 1].time_ns : reading.trace.mark_time_ns;

  if (isfinite (reading.trace.percent_of_mark))
    percent = g_strdup_printf ("%.0f", reading.trace.percent_of_mark);
  mark = describe_mark (&reading.trace, newest_ns);
  sharpness = describe_sharpness (&reading);

  gtk_label_set_text (self->percent_label, percent != NULL ? percent : "–");
  gtk_label_set_text (self->arrow_label, arrows[CLAMP (reading.trace.direction, -1, 1) + 1]);
  gtk_label_set_text (self->mark_label, mark);
  gtk_label_set_text (self->sharpness_label, sharpness);
  fil_trace_graph_set_dots (self->graph, self->dots, n, SECONDS_SHOWN);
}

static void
fil_shelf_focus_dispose (GObject *object)
{
  FilShelfFocus *self = FIL_SHELF_FOCUS (object);

  g_clear_object (&self->live);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_FOCUS);

  G_OBJECT_CLASS (fil_shelf_focus_parent_class)->dispose (object);
}

static void
fil_shelf_focus_finalize (GObject *object)
{
  g_free (FIL_SHELF_FOCUS (object)->dots);

  G_OBJECT_CLASS (fil_shelf_focus_parent_class)->finalize (object);
}

static void
fil_shelf_focus_class_init (FilShelfFocusClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_focus_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_shelf_focus_finalize;
  g_type_ensure (FIL_TYPE_TRACE_GRAPH);
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-focus.ui");
  gtk_widget_class_bind_template_child (widget_class, FilShelfFocus, percent_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfFocus, arrow_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfFocus, mark_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfFocus, sharpness_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfFocus, graph);
}

static void
fil_shelf_focus_init (FilShelfFocus *self)
{
  self->dots = g_new (FilLiveDot, DOTS_MOST);
  gtk_widget_init_template (GTK_WIDGET (self));
}

void
fil_shelf_focus_set_live (FilShelfFocus *self,
                          FilLive       *live)
{
  g_return_if_fail (FIL_IS_SHELF_FOCUS (self) && self->live == NULL);

  self->live = g_object_ref (live);
  g_signal_connect_object (live, "reading", G_CALLBACK (update_reading), self,
                           G_CONNECT_SWAPPED);
}
