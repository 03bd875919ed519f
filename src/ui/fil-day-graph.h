/* fil-day-graph.h: the Sun's altitude over one day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-day.h"

G_BEGIN_DECLS

#define FIL_TYPE_DAY_GRAPH (fil_day_graph_get_type ())
G_DECLARE_FINAL_TYPE (FilDayGraph, fil_day_graph, FIL, DAY_GRAPH, GtkWidget)

void  fil_day_graph_set_day   (FilDayGraph  *self,
                               const FilDay *day,
                               GTimeZone    *zone);
void  fil_day_graph_set_limit (FilDayGraph  *self,
                               double        altitude_deg);
guint fil_day_graph_get_spans (FilDayGraph  *self,
                               FilDaySpan    spans[FIL_DAY_MAX_SPANS]);
void  fil_day_graph_set_now   (FilDayGraph  *self,
                               gint64        utc_ns,
                               double        altitude_deg);
char *fil_day_graph_dup_clock (FilDayGraph  *self,
                               gint64        utc_ns);

G_END_DECLS
