/* fil-drift-break.c: whether the picture moved evenly
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A drive that starts again bends the path; a gust or a nudge that shifts the
 * tube for good makes a step in it. Both are sought at every block of a clip,
 * as a third term beside place and velocity. */

#include <math.h>

#include "fil-drift-fit.h"

#define FEWEST_BLOCKS  8
#define LEAST_CHANGE   0.05    /* of the speed: a bend */
#define LEAST_STEP     0.01    /* of the way: a step */
#define LEAST_SIGMA    6.0     /* the air alone makes no such term */
#define LEAST_STEP_PX  2.0

typedef enum { BEND, STEP } Kind;

typedef struct
{
  const FilDriftBlock *blocks;
  guint                n;
} Run;

static double
third_term (Kind   kind,
            double time_s,
            double at_s)
{
  if (time_s <= at_s)
    return 0.0;

  return kind == BEND ? time_s - at_s : 1.0;
}

/* Takes a straight line off @values. */
static void
take_line_off (const Run *run,
               double    *values)
{
  double t = 0.0, v = 0.0, tt = 0.0, tv = 0.0;

  for (guint i = 0; i < run->n; i++)
    {
      t += run->blocks[i].time_s / run->n;
      v += values[i] / run->n;
    }
  for (guint i = 0; i < run->n; i++)
    {
      tt += (run->blocks[i].time_s - t) * (run->blocks[i].time_s - t);
      tv += (run->blocks[i].time_s - t) * (values[i] - v);
    }
  for (guint i = 0; i < run->n; i++)
    values[i] -= v + (tt > 0.0 ? tv / tt : 0.0) * (run->blocks[i].time_s - t);
}

/* The size of the term in @values, a straight line apart, over its error. */
static void
fit_term (const Run *run,
          Kind       kind,
          double     at_s,
          double    *values,
          double    *size,
          double    *sigma)
{
  g_autofree double *term = g_new (double, run->n);
  double square = 0.0, product = 0.0, rest = 0.0;

  for (guint i = 0; i < run->n; i++)
    term[i] = third_term (kind, run->blocks[i].time_s, at_s);
  take_line_off (run, term);
  take_line_off (run, values);
  for (guint i = 0; i < run->n; i++)
    {
      square += term[i] * term[i];
      product += term[i] * values[i];
    }
  *size = square > 0.0 ? product / square : 0.0;
  for (guint i = 0; i < run->n; i++)
    rest += (values[i] - *size * term[i]) * (values[i] - *size * term[i]);
  *sigma = sqrt (rest / (run->n - 3) / MAX (square, 1e-12));
}

static gboolean
is_large (const FilDriftFit *fit,
          Kind               kind,
          double             span_s,
          double             size,
          double             sigma)
{
  double least = kind == BEND ? LEAST_CHANGE * fit->speed
                              : MAX (LEAST_STEP * fit->speed * span_s, LEAST_STEP_PX);

  return fabs (size) > least && fabs (size) > LEAST_SIGMA * sigma;
}

/* Of all places where the term is large, the one that explains most. */
static void
search (const FilDriftFit *fit,
        const Run         *run,
        gboolean           along,
        FilDriftBreak     *found,
        double            *best)
{
  g_autofree double *values = g_new (double, run->n);
  double span_s = run->blocks[run->n - 1].time_s - run->blocks[0].time_s;

  for (Kind kind = BEND; kind <= STEP; kind++)
    for (guint k = 1; k + 3 < run->n; k++)
      {
        double at_s = 0.5 * (run->blocks[k].time_s + run->blocks[k + 1].time_s);
        double size, sigma;

        for (guint i = 0; i < run->n; i++)
          values[i] = along ? run->blocks[i].along : run->blocks[i].across;
        fit_term (run, kind, at_s, values, &size, &sigma);
        if (!is_large (fit, kind, span_s, size, sigma) || fabs (size) / MAX (sigma, 1e-9) <= *best)
          continue;
        *best = fabs (size) / MAX (sigma, 1e-9);
        *found = (FilDriftBreak) { TRUE, at_s };
      }
}

/* Looks for the clearest change of motion; a clip of few blocks shows none. */
void
fil_drift_fit_find_break (const FilDriftFit *fit,
                          FilDriftBreak     *found)
{
  const FilDriftBlock *blocks = (const FilDriftBlock *) (gconstpointer) fit->blocks->data;
  double best = 0.0;

  *found = (FilDriftBreak) { FALSE, NAN };
  for (guint first = 0, end; first < fit->blocks->len; first = end)
    {
      for (end = first; end < fit->blocks->len && blocks[end].track == blocks[first].track;)
        end++;
      if (end - first >= FEWEST_BLOCKS)
        {
          Run run = { blocks + first, end - first };

          search (fit, &run, TRUE, found, &best);
          search (fit, &run, FALSE, found, &best);
        }
    }
}
