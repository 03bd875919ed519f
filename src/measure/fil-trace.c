/* fil-trace.c: sharpness in time, its crest and the high-water mark
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Frames whose mean leaps away are held aside. If the old level comes back
 * within a second, it was a bird or a torn frame, and they are forgotten; if
 * not, the scene has changed, and a new segment with a mark of its own begins
 * with them. The limits below are ours: common practice, no source. */

#include <math.h>
#include <string.h>

#include "fil-sort.h"
#include "fil-trace.h"

#define CREST_SPAN_NS    G_GINT64_CONSTANT (1000000000)
#define CREST_FRAMES     8      /* at slow rates the second is stretched to so many */
#define CREST_SHARE      0.9
#define CREST_SUPPORT    3      /* frames at or above the crest: one freak sets no mark */
#define NOW_FRAMES       5
#define JUMP             0.06   /* of the mean, against the median of the last second */
#define JUMP_FRAMES      3      /* before that a median says nothing */
#define HOLD_NS          (300 * G_GINT64_CONSTANT (1000000000))   /* a mark stands so long, */
#define FADE_S           300.0  /* then falls by 1/e in so many seconds */
#define ARROW_ON         0.03   /* change of the crest in a second that shows an arrow, */
#define ARROW_OFF        0.01   /* and below which it goes again */

/* An accepted frame, and the crest when it came. */
typedef struct
{
  FilTracePoint point;
  double        crest;
} Dot;

struct _FilTrace
{
  GArray       *dots;       /* of Dot, this segment's last second or little more */
  GArray       *suspects;   /* of FilTracePoint, not yet believed */
  GArray       *scratch;    /* of double */
  FilTracePoint last;       /* the newest frame of any kind */
  gboolean      have_last;
  double        now, crest, mark;
  gint64        mark_time_ns;
  int           direction;
  guint         segment;
};

FilTrace *
fil_trace_new (void)
{
  FilTrace *trace = g_new0 (FilTrace, 1);

  trace->dots = g_array_new (FALSE, FALSE, sizeof (Dot));
  trace->suspects = g_array_new (FALSE, FALSE, sizeof (FilTracePoint));
  trace->scratch = g_array_new (FALSE, FALSE, sizeof (double));
  trace->now = trace->crest = trace->mark = NAN;

  return trace;
}

void
fil_trace_free (FilTrace *trace)
{
  if (trace == NULL)
    return;

  g_array_unref (trace->dots);
  g_array_unref (trace->suspects);
  g_array_unref (trace->scratch);
  g_free (trace);
}

/**
 * fil_trace_new_segment:
 *
 * For changes that the numbers can't show: another patch, another content,
 * another source. Crest, mark and arrow begin anew.
 */
void
fil_trace_new_segment (FilTrace *trace)
{
  g_return_if_fail (trace != NULL);

  g_array_set_size (trace->dots, 0);
  g_array_set_size (trace->suspects, 0);
  trace->have_last = FALSE;
  trace->now = trace->crest = trace->mark = NAN;
  trace->mark_time_ns = 0;
  trace->direction = 0;
  trace->segment++;
}

/* The values of the last @n dots, sorted; @offset: of the value in Dot. */
static const double *
sort_values (FilTrace *trace,
             guint     n,
             gsize     offset)
{
  guint first = trace->dots->len - n;

  g_array_set_size (trace->scratch, n);
  for (guint i = 0; i < n; i++)
    {
      const Dot *dot = &g_array_index (trace->dots, Dot, first + i);

      g_array_index (trace->scratch, double, i) = G_STRUCT_MEMBER (double, dot, offset);
    }
  fil_sort_doubles ((double *) (gpointer) trace->scratch->data, n);

  return (const double *) (gconstpointer) trace->scratch->data;
}

static double
median (FilTrace *trace,
        guint     n,
        gsize     offset)
{
  const double *sorted = sort_values (trace, n, offset);

  return n % 2 == 1 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
}

/* Both unknown, or the same but for rounding on the way through a driver. */
static gboolean
is_same (double a,
         double b)
{
  if (isnan (a) || isnan (b))
    return isnan (a) && isnan (b);

  return fabs (a - b) <= 1e-6 * MAX (fabs (a), fabs (b));
}

static gboolean
is_near (double mean,
         double level)
{
  return fabs (mean - level) <= JUMP * fabs (level);
}

static gboolean
leaps (FilTrace            *trace,
       const FilTracePoint *point)
{
  guint n = trace->dots->len;

  return n >= JUMP_FRAMES &&
         !is_near (point->mean, median (trace, n, G_STRUCT_OFFSET (Dot, point.mean)));
}

static gint64
get_dot_time (const FilTrace *trace,
              guint           i)
{
  return g_array_index (trace->dots, Dot, i).point.time_ns;
}

/* Keeps the shortest run that spans the second and has frames enough. */
static void
forget_old_dots (FilTrace *trace)
{
  guint n = trace->dots->len, drop = 0;
  gint64 newest = get_dot_time (trace, n - 1);

  while (n - drop > CREST_FRAMES && newest - get_dot_time (trace, drop + 1) >= CREST_SPAN_NS)
    drop++;
  if (drop > 0)
    g_array_remove_range (trace->dots, 0, drop);
}

static double
find_crest (FilTrace *trace)
{
  guint n = trace->dots->len, rank;

  if (n < CREST_FRAMES || get_dot_time (trace, n - 1) - get_dot_time (trace, 0) < CREST_SPAN_NS)
    return NAN;

  rank = (guint) (CREST_SHARE * (n - 1) + 0.5);

  return sort_values (trace, n, G_STRUCT_OFFSET (Dot, point.sharpness))
    [MIN (rank, n - CREST_SUPPORT)];
}

/* The mark at @time_ns: as it was set for five minutes, then fading. */
static double
fade_mark (const FilTrace *trace,
           gint64          time_ns)
{
  gint64 age_ns = time_ns - trace->mark_time_ns;

  if (isnan (trace->mark) || age_ns <= HOLD_NS)
    return trace->mark;

  return trace->mark * exp (-1e-9 * (double) (age_ns - HOLD_NS) / FADE_S);
}

/* An arrow comes at a greater change than the one at which it goes. */
static int
find_direction (const FilTrace *trace)
{
  double before = g_array_index (trace->dots, Dot, 0).crest;
  double change = (trace->crest - before) / before;

  if (!isfinite (change))
    return 0;
  if (fabs (change) >= ARROW_ON)
    return change > 0.0 ? 1 : -1;
  if (fabs (change) < ARROW_OFF || (change > 0.0) != (trace->direction > 0))
    return 0;

  return trace->direction;
}

static void
accept (FilTrace            *trace,
        const FilTracePoint *point)
{
  Dot dot = { *point, NAN };
  double mark;

  g_array_append_val (trace->dots, dot);
  forget_old_dots (trace);
  trace->now = median (trace, MIN (trace->dots->len, NOW_FRAMES),
                       G_STRUCT_OFFSET (Dot, point.sharpness));
  trace->crest = find_crest (trace);
  g_array_index (trace->dots, Dot, trace->dots->len - 1).crest = trace->crest;
  trace->direction = find_direction (trace);

  mark = fade_mark (trace, point->time_ns);
  if (isfinite (trace->crest) && !(trace->crest <= mark))
    {
      trace->mark = trace->crest;
      trace->mark_time_ns = point->time_ns;
    }
}

/* The leap has lasted: what was held aside, and is at the new level, begins a
 * new segment. */
static void
believe_suspects (FilTrace *trace)
{
  g_autoptr (GArray) held = g_steal_pointer (&trace->suspects);
  double level = g_array_index (held, FilTracePoint, held->len - 1).mean;

  trace->suspects = g_array_new (FALSE, FALSE, sizeof (FilTracePoint));
  fil_trace_new_segment (trace);
  for (guint i = 0; i < held->len; i++)
    {
      const FilTracePoint *point = &g_array_index (held, FilTracePoint, i);

      if (is_near (point->mean, level))
        accept (trace, point);
    }
}

static void
hold_aside (FilTrace            *trace,
            const FilTracePoint *point)
{
  gint64 first;

  g_array_append_val (trace->suspects, *point);
  first = g_array_index (trace->suspects, FilTracePoint, 0).time_ns;
  if (trace->suspects->len >= CREST_FRAMES && point->time_ns - first >= CREST_SPAN_NS)
    believe_suspects (trace);
}

/**
 * fil_trace_add:
 * @point: the next frame; one whose time lies before the last one's, or whose
 *   exposure or gain is another, begins a new segment
 *
 * Frames without a sharpness are passed over.
 */
void
fil_trace_add (FilTrace            *trace,
               const FilTracePoint *point)
{
  g_return_if_fail (trace != NULL && point != NULL);

  if (!isfinite (point->sharpness) || !isfinite (point->mean))
    return;

  if (trace->have_last &&
      (point->time_ns < trace->last.time_ns ||
       !is_same (point->exposure_ms, trace->last.exposure_ms) ||
       !is_same (point->gain, trace->last.gain)))
    fil_trace_new_segment (trace);

  if (leaps (trace, point))
    hold_aside (trace, point);
  else
    {
      g_array_set_size (trace->suspects, 0);
      accept (trace, point);
    }

  trace->last = *point;
  trace->have_last = TRUE;
}

/**
 * fil_trace_get:
 * @reading: (out): as of the newest frame
 */
void
fil_trace_get (const FilTrace  *trace,
               FilTraceReading *reading)
{
  double mark;

  g_return_if_fail (trace != NULL && reading != NULL);

  mark = trace->have_last ? fade_mark (trace, trace->last.time_ns) : NAN;
  *reading = (FilTraceReading) {
    .now = trace->now,
    .crest = trace->crest,
    .mark = mark,
    .mark_time_ns = trace->mark_time_ns,
    .percent_of_mark = mark > 0.0 ? MIN (100.0 * trace->crest / mark, 100.0) : NAN,
    .direction = trace->direction,
    .segment = trace->segment,
  };
}
