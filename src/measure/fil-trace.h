/* fil-trace.h: sharpness in time, its crest and the high-water mark
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef struct
{
  gint64 time_ns;        /* as the frame's */
  double sharpness;      /* percent; NaN: none, the frame is passed over */
  double mean;           /* counts */
  double exposure_ms;    /* NaN: unknown */
  double gain;
} FilTracePoint;

typedef struct
{
  double   now;             /* median of the last few frames, percent contrast; NaN: nothing yet */
  double   crest;           /* 90th percentile of at least the last second; NaN: not yet */
  double   mark;            /* high-water mark: the highest crest of this segment, fading; NaN: none */
  gint64   mark_time_ns;
  double   percent_of_mark; /* crest over mark, 0 to 100; NaN: no mark yet */
  int      direction;       /* -1 falling, 0 steady, +1 rising */
  guint    segment;         /* counts up when a jump starts a new one */
} FilTraceReading;

/* Belongs to one thread. */
typedef struct _FilTrace FilTrace;

FilTrace *fil_trace_new      (void);
void      fil_trace_free     (FilTrace            *trace);
void      fil_trace_add      (FilTrace            *trace,
                              const FilTracePoint *point);
void      fil_trace_new_segment (FilTrace         *trace);
void      fil_trace_get      (const FilTrace      *trace,
                              FilTraceReading     *reading);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilTrace, fil_trace_free)

G_END_DECLS
