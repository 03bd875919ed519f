/* fil-trace-graph.h: sharpness in time, with its crest and the mark
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_TRACE_GRAPH (fil_trace_graph_get_type ())
G_DECLARE_FINAL_TYPE (FilTraceGraph, fil_trace_graph, FIL, TRACE_GRAPH, GtkWidget)

void       fil_trace_graph_set_dots (FilTraceGraph    *self,
                                     const FilLiveDot *dots,
                                     guint             n_dots,
                                     double            seconds_shown);
void       fil_trace_graph_set_whole (FilTraceGraph   *self,
                                     gboolean          whole);
void       fil_trace_graph_clear    (FilTraceGraph    *self);

G_END_DECLS
