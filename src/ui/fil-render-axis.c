/* fil-render-axis.c: which picture pixels make up each shown one, along one axis
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-render-axis.h"

/* Overlaps narrower than this share of a picture pixel are rounding. */
#define SLIVER 1e-6

typedef struct
{
  int    first, last;   /* last < first: outside the picture */
  double from, to;      /* picture pixels */
} Span;

/* What shown pixel @i covers, cut to the picture. */
static Span
span_of (double start,
         double step,
         int    i,
         int    n_source)
{
  Span span = { 0, -1, 0.0, 0.0 };

  if (step <= 1.0)
    {
      double at = floor (start + (i + 0.5) * step);

      if (at >= 0.0 && at < n_source)
        span = (Span) { (int) at, (int) at, at, at + 1.0 };
      return span;
    }

  span.from = MAX (start + i * step, 0.0);
  span.to = MIN (start + (i + 1) * step, (double) n_source);
  if (span.to - span.from < SLIVER)
    return span;

  span.first = (int) floor (span.from + SLIVER);
  span.last = (int) ceil (span.to - SLIVER) - 1;
  span.last = MAX (span.last, span.first);

  return span;
}

static void
make_room (FilRenderAxis *axis,
           gsize          n,
           int            n_taps)
{
  gsize n_weights = n * (gsize) n_taps;

  if (n > axis->room_first)
    {
      axis->first = g_renew (int32_t, axis->first, n);
      axis->count = g_renew (int32_t, axis->count, n);
      axis->room_first = n;
    }
  if (n_weights > axis->room_weights)
    {
      axis->weights = g_renew (float, axis->weights, n_weights);
      axis->room_weights = n_weights;
    }
  if (n_weights > 0)
    memset (axis->weights, 0, n_weights * sizeof *axis->weights);
}

static void
set_weights (FilRenderAxis *axis,
             const Span    *span,
             int            i)
{
  gsize n = (gsize) (axis->end - axis->begin);
  double total = span->to - span->from;

  axis->first[i] = span->first - axis->source_begin;
  axis->count[i] = span->last - span->first + 1;
  for (int k = 0; k < axis->count[i]; k++)
    {
      double from = MAX (span->from, (double) (span->first + k));
      double to = MIN (span->to, (double) (span->first + k + 1));

      axis->weights[(gsize) k * n + (gsize) i] = (float) (MAX (to - from, 0.0) / total);
    }
}

/**
 * fil_render_axis_set:
 * @axis: zeroed, or set before
 * @start: where the first shown pixel begins, picture pixels; may be outside
 * @length: picture pixels that are shown, > 0
 * @n_shown: into so many shown pixels, >= 0
 * @n_source: the picture's extent in pixels, > 0
 *
 * Nearest neighbour where a shown pixel is no larger than a picture pixel,
 * else the average over its area; over the part inside, at the picture's edge.
 */
void
fil_render_axis_set (FilRenderAxis *axis,
                     double         start,
                     double         length,
                     int            n_shown,
                     int            n_source)
{
  double step = length / MAX (n_shown, 1);

  axis->begin = axis->end = 0;
  axis->source_begin = axis->source_end = 0;
  axis->n_taps = 1;
  for (int i = 0; i < n_shown; i++)
    {
      Span span = span_of (start, step, i, n_source);

      if (span.last < span.first)
        continue;
      if (axis->end == 0)
        {
          axis->begin = i;
          axis->source_begin = span.first;
        }
      axis->end = i + 1;
      axis->source_end = span.last + 1;
      axis->n_taps = MAX (axis->n_taps, span.last - span.first + 1);
    }

  make_room (axis, (gsize) (axis->end - axis->begin), axis->n_taps);
  for (int i = axis->begin; i < axis->end; i++)
    {
      Span span = span_of (start, step, i, n_source);

      set_weights (axis, &span, i - axis->begin);
    }
}

void
fil_render_axis_clear (FilRenderAxis *axis)
{
  g_clear_pointer (&axis->first, g_free);
  g_clear_pointer (&axis->count, g_free);
  g_clear_pointer (&axis->weights, g_free);
  *axis = (FilRenderAxis) { 0 };
}
