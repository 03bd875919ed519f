/* fil-drift-start.c: the first frames, until it is known what moves
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Near the first reference what moves and what doesn't can't be told apart:
 * frames are kept, the motion is found from pairs of them, and only then are
 * they followed. */

#include <math.h>
#include <string.h>

#include "fil-drift-private.h"

#define START_S      1.5
#define LEAST_START  6       /* frames */
#define MOST_START   160
#define START_PAIRS  12

void
fil_drift_clear_early (gpointer data)
{
  g_free (((FilDriftEarly *) data)->pixels);
}

FilDriftEarly *
fil_drift_get_early (const FilDriftTracker *tracker,
                     guint                  i)
{
  return &g_array_index (tracker->early, FilDriftEarly, i);
}

/* What moves in it. Valid until the next call. */
static const float *
part_of (FilDriftTracker     *tracker,
         const FilDriftEarly *early)
{
  return fil_drift_take_fixed_off (tracker, early->pixels);
}

static void
transform_middle (FilDriftTracker     *tracker,
                  const FilDriftEarly *early,
                  FilSpectrum         *spectrum)
{
  gsize corner = (gsize) (fil_drift_room_y (tracker) / 2) * (gsize) tracker->small.width +
                 (gsize) (fil_drift_room_x (tracker) / 2);

  fil_shift_meter_transform (tracker->meter, part_of (tracker, early) + corner,
                             tracker->small.width, spectrum);
}

/* The motion, from pairs of early frames that lie half of the start apart: all
 * are shifted by the same amount, once the fixed part is taken off. Returns:
 * %FALSE where nothing moves for certain */
static gboolean
find_motion (FilDriftTracker *tracker,
             double          *vx,
             double          *vy)
{
  const guint half = tracker->early->len / 2, n_pairs = MIN (half, START_PAIRS);
  double apart_s = 0.0;
  FilShift shift;

  fil_shift_meter_clear (tracker->meter);
  for (guint i = 0; i < n_pairs; i++)
    {
      const FilDriftEarly *a = fil_drift_get_early (tracker, i * half / n_pairs);
      const FilDriftEarly *b = fil_drift_get_early (tracker, i * half / n_pairs + half);

      transform_middle (tracker, a, tracker->next.spectrum);
      transform_middle (tracker, b, tracker->spectrum);
      fil_shift_meter_add (tracker->meter, tracker->next.spectrum, tracker->spectrum);
      apart_s += (b->time_s - a->time_s) / n_pairs;
    }
  fil_shift_meter_find (tracker->meter, 0.0, 0.0, 0.45 * MIN (tracker->width, tracker->height),
                        &shift);
  *vx = shift.x / apart_s;
  *vy = shift.y / apart_s;

  return apart_s > 0.0 && shift.certainty >= FIL_DRIFT_LEAST_CERTAINTY &&
         hypot (shift.x, shift.y) >= FIL_DRIFT_LEAST_STEP;
}

/* Frames near the first one are compared with the last, the others with the
 * first: what doesn't move stays away. */
static void
follow_early (FilDriftTracker *tracker,
              double           vx,
              double           vy)
{
  const guint n = tracker->early->len;
  const FilDriftEarly *first = fil_drift_get_early (tracker, 0);
  const FilDriftEarly *last = fil_drift_get_early (tracker, n - 1);
  double x = vx * (last->time_s - first->time_s), y = vy * (last->time_s - first->time_s);
  double certainty;
  FilDriftReference end = { .spectrum = fil_spectrum_new (tracker->meter) };

  fil_drift_refer (tracker, &tracker->reference, part_of (tracker, first), 0.0, 0.0, vx, vy, -0.5);
  fil_drift_compare (tracker, &tracker->reference, part_of (tracker, last), &x, &y, &certainty);
  fil_drift_refer (tracker, &end, part_of (tracker, last), x, y, vx, vy, 0.5);

  for (guint i = 0; i < n; i++)
    {
      const FilDriftEarly *early = fil_drift_get_early (tracker, i);
      double share = (early->time_s - first->time_s) / (last->time_s - first->time_s);
      gboolean near = tracker->moving && certainty >= FIL_DRIFT_LEAST_CERTAINTY && share < 0.5;
      double at_x = x * share, at_y = y * share, match;

      fil_drift_compare (tracker, near ? &end : &tracker->reference, part_of (tracker, early),
                         &at_x, &at_y, &match);
      fil_drift_add_point (tracker, early->time_s, early->level, at_x, at_y, match);
    }
  fil_spectrum_free (end.spectrum);
}

/* Whatever was kept so far is followed now. */
void
fil_drift_start (FilDriftTracker *tracker)
{
  double vx = 0.0, vy = 0.0;

  for (guint i = 0; i < tracker->early->len; i++)
    fil_drift_add_fixed (tracker, fil_drift_get_early (tracker, i)->pixels);
  tracker->moving = tracker->early->len >= 4 && find_motion (tracker, &vx, &vy);
  if (!tracker->moving)
    {
      vx = vy = 0.0;
      tracker->n_fixed = 0;   /* of a picture at rest nothing else would be left */
      memset (tracker->fixed, 0, fil_drift_n_pixels (tracker) * sizeof (float));
    }
  if (!tracker->moving && tracker->patient)
    {
      g_array_remove_range (tracker->early, 0, (tracker->early->len + 1) / 2);
      return;
    }
  if (tracker->early->len >= 2)
    follow_early (tracker, vx, vy);
  g_clear_pointer (&tracker->early, g_array_unref);
}

void
fil_drift_keep (FilDriftTracker *tracker,
                const float     *pixels,
                double           time_s,
                double           level)
{
  const gsize n = fil_drift_n_pixels (tracker);
  FilDriftEarly early = { g_memdup2 (pixels, n * sizeof (float)), time_s, level };
  guint kept;

  g_array_append_val (tracker->early, early);
  kept = tracker->early->len;
  if (kept >= MOST_START ||
      (kept >= LEAST_START && time_s - fil_drift_get_early (tracker, 0)->time_s >= START_S))
    fil_drift_start (tracker);
}
