/* fil-histogram-graph.h: how bright the pixels are
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_HISTOGRAM_BINS 256

#define FIL_TYPE_HISTOGRAM_GRAPH (fil_histogram_graph_get_type ())
G_DECLARE_FINAL_TYPE (FilHistogramGraph, fil_histogram_graph, FIL, HISTOGRAM_GRAPH, GtkWidget)

void fil_histogram_graph_set_counts      (FilHistogramGraph *self,
                                          const guint32     *counts);
void fil_histogram_graph_set_logarithmic (FilHistogramGraph *self,
                                          gboolean           logarithmic);
void fil_histogram_graph_set_stretch     (FilHistogramGraph *self,
                                          double             black,
                                          double             white);

G_END_DECLS
