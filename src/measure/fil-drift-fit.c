/* fil-drift-fit.c: a straight line in time through places in the picture
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Least squares with a biweight (Beaton & Tukey 1974, Technometrics 16, 147),
 * one velocity for all clips, a place of its own for each. The air moves
 * neighbouring frames together, so errors come from means over blocks of about
 * a second, not from single frames (batch means). */

#include <math.h>

#include "fil-drift-fit.h"
#include "fil-sort.h"

#define ROUNDS          12
#define BIWEIGHT        6.0    /* standard deviations beyond which a frame counts nothing */
#define LEAST_SPREAD_PX 0.05   /* of residuals: perfect pictures must not divide by nothing */
#define BLOCK_S         1.0
#define FEWEST_BLOCKS   12
#define MOST_BLOCKS     60

/* Sorts @values. Returns: NaN of none */
static double
take_median (double *values,
             guint   n)
{
  if (n == 0)
    return NAN;
  fil_sort_doubles (values, n);

  return 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

static FilDriftSample *
get_sample (const FilDriftFit *fit,
            guint              i)
{
  return &g_array_index (fit->samples, FilDriftSample, i);
}

static void
add_track (FilDriftFit         *fit,
           const FilDriftTrack *track,
           guint                number,
           double               skip_s)
{
  double first = NAN, last = NAN;

  for (guint i = 0; i < track->n_points; i++)
    {
      const FilDriftPoint *point = &track->points[i];
      FilDriftSample sample = { .time_s = point->time_s - track->points[0].time_s,
                                .x = point->x, .y = point->y, .track = number, .weight = 1.0 };

      if (sample.time_s < skip_s || point->certainty < FIL_DRIFT_LEAST_CERTAINTY)
        continue;
      if (isnan (first))
        first = sample.time_s;
      last = sample.time_s;
      g_array_append_val (fit->samples, sample);
    }
  if (isfinite (first))
    fit->seconds += last - first;
}

/**
 * fil_drift_fit_init:
 * @skip_s: left out at the start of each track
 *
 * Takes the points that were matched.
 */
void
fil_drift_fit_init (FilDriftFit         *fit,
                    const FilDriftTrack *tracks,
                    guint                n_tracks,
                    double               skip_s)
{
  *fit = (FilDriftFit) { .n_tracks = n_tracks };
  fit->samples = g_array_new (FALSE, FALSE, sizeof (FilDriftSample));
  fit->blocks = g_array_new (FALSE, FALSE, sizeof (FilDriftBlock));
  for (guint i = 0; i < n_tracks; i++)
    add_track (fit, &tracks[i], i, skip_s);
}

void
fil_drift_fit_clear (FilDriftFit *fit)
{
  g_clear_pointer (&fit->samples, g_array_unref);
  g_clear_pointer (&fit->blocks, g_array_unref);
}

/* A first velocity that single wild frames don't touch: the median over pairs
 * half of the frames apart. */
static void
guess_velocity (FilDriftFit *fit)
{
  const guint n = fit->samples->len;
  g_autofree double *vx = g_new (double, n);
  g_autofree double *vy = g_new (double, n);
  guint n_pairs = 0;

  for (guint track = 0, first = 0; track < fit->n_tracks; track++)
    {
      guint end = first;

      while (end < n && get_sample (fit, end)->track == track)
        end++;
      for (guint i = first, half = (end - first) / 2; half > 0 && i + half < end; i++)
        {
          const FilDriftSample *a = get_sample (fit, i), *b = get_sample (fit, i + half);

          vx[n_pairs] = (b->x - a->x) / (b->time_s - a->time_s);
          vy[n_pairs++] = (b->y - a->y) / (b->time_s - a->time_s);
        }
      first = end;
    }
  fit->vx = n_pairs > 0 ? take_median (vx, n_pairs) : 0.0;
  fit->vy = n_pairs > 0 ? take_median (vy, n_pairs) : 0.0;
}

/* Weighted means of a track. */
typedef struct
{
  double weight, time_s, x, y;
} Centre;

static Centre *
find_centres (const FilDriftFit *fit)
{
  Centre *centres = g_new0 (Centre, fit->n_tracks);

  for (guint i = 0; i < fit->samples->len; i++)
    {
      const FilDriftSample *s = get_sample (fit, i);
      Centre *c = &centres[s->track];

      c->weight += s->weight;
      c->time_s += s->weight * s->time_s;
      c->x += s->weight * s->x;
      c->y += s->weight * s->y;
    }
  for (guint i = 0; i < fit->n_tracks; i++)
    if (centres[i].weight > 0.0)
      {
        centres[i].time_s /= centres[i].weight;
        centres[i].x /= centres[i].weight;
        centres[i].y /= centres[i].weight;
      }

  return centres;
}

static void
fit_velocity (FilDriftFit *fit)
{
  g_autofree Centre *centres = find_centres (fit);
  double tt = 0.0, tx = 0.0, ty = 0.0;

  for (guint i = 0; i < fit->samples->len; i++)
    {
      const FilDriftSample *s = get_sample (fit, i);
      const Centre *c = &centres[s->track];
      double t = s->time_s - c->time_s;

      tt += s->weight * t * t;
      tx += s->weight * t * (s->x - c->x);
      ty += s->weight * t * (s->y - c->y);
    }
  if (tt > 0.0)
    {
      fit->vx = tx / tt;
      fit->vy = ty / tt;
    }
  fit->speed = hypot (fit->vx, fit->vy);
}

/* Of each track, the median distance from the motion: wild frames move a mean. */
static void
find_residuals (FilDriftFit *fit)
{
  const guint n = fit->samples->len;
  g_autofree double *x = g_new (double, n);
  g_autofree double *y = g_new (double, n);
  double ux = fit->speed > 0.0 ? fit->vx / fit->speed : 1.0;
  double uy = fit->speed > 0.0 ? fit->vy / fit->speed : 0.0;

  for (guint track = 0, first = 0; track < fit->n_tracks; track++)
    {
      guint end = first, m = 0;
      double middle_x, middle_y;

      for (; end < n && get_sample (fit, end)->track == track; end++)
        {
          const FilDriftSample *s = get_sample (fit, end);

          if (s->weight > 0.0)
            {
              x[m] = s->x - fit->vx * s->time_s;
              y[m++] = s->y - fit->vy * s->time_s;
            }
        }
      middle_x = m > 0 ? take_median (x, m) : 0.0;
      middle_y = m > 0 ? take_median (y, m) : 0.0;
      for (; first < end; first++)
        {
          FilDriftSample *s = get_sample (fit, first);
          double dx = s->x - fit->vx * s->time_s - middle_x;
          double dy = s->y - fit->vy * s->time_s - middle_y;

          s->along = dx * ux + dy * uy;
          s->across = dy * ux - dx * uy;
        }
    }
}

/* Of Rayleigh-distributed distances the median is 1.1774 standard deviations. */
static void
weigh (FilDriftFit *fit)
{
  const guint n = fit->samples->len;
  g_autofree double *distances = g_new (double, n);
  double spread;

  for (guint i = 0; i < n; i++)
    distances[i] = hypot (get_sample (fit, i)->along, get_sample (fit, i)->across);
  spread = MAX (take_median (distances, n) / 1.1774, LEAST_SPREAD_PX);

  for (guint i = 0; i < n; i++)
    {
      FilDriftSample *s = get_sample (fit, i);
      double u = hypot (s->along, s->across) / (BIWEIGHT * spread);

      s->weight = u < 1.0 ? (1.0 - u * u) * (1.0 - u * u) : 0.0;
    }
}

static void
sum_up (FilDriftFit *fit)
{
  double sum = 0.0;
  guint kept = 0;

  for (guint i = 0; i < fit->samples->len; i++)
    {
      const FilDriftSample *s = get_sample (fit, i);

      if (s->weight > 0.0)
        {
          sum += s->along * s->along + s->across * s->across;
          kept++;
        }
    }
  fit->residual_px = kept > 0 ? sqrt (sum / kept) : NAN;
  fit->kept = fit->samples->len > 0 ? (double) kept / fit->samples->len : 0.0;
}

static void
close_block (FilDriftFit   *fit,
             FilDriftBlock *block,
             double         weight)
{
  if (weight > 0.0)
    {
      block->time_s /= weight;
      block->along /= weight;
      block->across /= weight;
      g_array_append_val (fit->blocks, *block);
    }
}

static void
make_blocks (FilDriftFit *fit)
{
  double n_wanted = CLAMP (fit->seconds / BLOCK_S, FEWEST_BLOCKS, MOST_BLOCKS);
  double length_s = fit->seconds / n_wanted * (1.0 + 1e-9);
  FilDriftBlock block = { 0 };
  double weight = 0.0, first_s = 0.0;
  gint64 number = -1;

  for (guint i = 0; i < fit->samples->len; i++)
    {
      const FilDriftSample *s = get_sample (fit, i);
      gboolean fresh = i == 0 || s->track != block.track;
      gint64 here;

      if (fresh)
        first_s = s->time_s;
      here = length_s > 0.0 ? (gint64) ((s->time_s - first_s) / length_s) : 0;
      if (fresh || here != number)
        {
          close_block (fit, &block, weight);
          block = (FilDriftBlock) { .track = s->track };
          weight = 0.0;
          number = here;
        }
      weight += s->weight;
      block.time_s += s->weight * s->time_s;
      block.along += s->weight * s->along;
      block.across += s->weight * s->across;
    }
  close_block (fit, &block, weight);
}

/* How much neighbouring blocks have in common still, 0 to 0.7. A line through
 * n values takes about 2/n off their correlation. */
static double
correlate_blocks (const FilDriftFit *fit)
{
  const FilDriftBlock *b = (const FilDriftBlock *) (gconstpointer) fit->blocks->data;
  double square = 0.0, product = 0.0;

  for (guint i = 0; i < fit->blocks->len; i++)
    square += b[i].along * b[i].along + b[i].across * b[i].across;
  for (guint i = 1; i < fit->blocks->len; i++)
    if (b[i].track == b[i - 1].track)
      product += b[i].along * b[i - 1].along + b[i].across * b[i - 1].across;

  return square > 0.0 ? CLAMP (product / square + 2.0 / fit->blocks->len, 0.0, 0.7) : 0.0;
}

/* As if the line went through the blocks' means, each alike to its neighbours
 * by the correlation that is left; few blocks know their own spread badly
 * (Student). */
static void
find_errors (FilDriftFit *fit)
{
  const guint n = fit->blocks->len;
  g_autofree Centre *centres = g_new0 (Centre, fit->n_tracks);
  double tt = 0.0, along = 0.0, across = 0.0, freedom = -1.0, r, widen;

  for (guint i = 0; i < n; i++)
    {
      const FilDriftBlock *b = &g_array_index (fit->blocks, FilDriftBlock, i);
      Centre *c = &centres[b->track];

      c->weight += 1.0;
      c->time_s += (b->time_s - c->time_s) / c->weight;
      c->x += (b->along - c->x) / c->weight;
      c->y += (b->across - c->y) / c->weight;
    }
  for (guint i = 0; i < fit->n_tracks; i++)
    freedom += MAX (centres[i].weight - 1.0, 0.0);
  for (guint i = 0; i < n; i++)
    {
      const FilDriftBlock *b = &g_array_index (fit->blocks, FilDriftBlock, i);
      const Centre *c = &centres[b->track];

      tt += (b->time_s - c->time_s) * (b->time_s - c->time_s);
      along += (b->along - c->x) * (b->along - c->x);
      across += (b->across - c->y) * (b->across - c->y);
    }
  if (!(freedom > 2.0) || !(tt > 0.0))
    {
      fit->speed_error = fit->side_error = NAN;
      return;
    }
  r = correlate_blocks (fit);
  widen = (1.0 + r) / (1.0 - r) * freedom / (freedom - 2.0);
  fit->speed_error = sqrt (widen * along / freedom / tt);
  fit->side_error = sqrt (widen * across / freedom / tt);
}

/* Fits; fewer than three samples give nothing of use. */
void
fil_drift_fit_run (FilDriftFit *fit)
{
  guess_velocity (fit);
  fit->speed = hypot (fit->vx, fit->vy);
  find_residuals (fit);
  for (int i = 0; i < ROUNDS; i++)
    {
      weigh (fit);
      fit_velocity (fit);
      find_residuals (fit);
    }
  sum_up (fit);
  g_array_set_size (fit->blocks, 0);
  make_blocks (fit);
  find_errors (fit);
}
