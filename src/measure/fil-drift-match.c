/* fil-drift-match.c: a picture beside its reference, in a window that moves along
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-drift-private.h"

#define RADIUS_SHARE 0.125   /* of the window's shorter side: where a match is sought */
#define LEAST_RADIUS 4.0

int
fil_drift_room_x (const FilDriftTracker *tracker)
{
  return tracker->small.width - tracker->width;
}

int
fil_drift_room_y (const FilDriftTracker *tracker)
{
  return tracker->small.height - tracker->height;
}

/* How far a window can go along a direction, as a vector. */
void
fil_drift_find_way (const FilDriftTracker *tracker,
                    double                 vx,
                    double                 vy,
                    double                *x,
                    double                *y)
{
  double speed = hypot (vx, vy), length;

  *x = *y = 0.0;
  if (!(speed > 0.0))
    return;

  length = MIN (fil_drift_room_x (tracker) / MAX (fabs (vx / speed), 1e-9),
                fil_drift_room_y (tracker) / MAX (fabs (vy / speed), 1e-9));
  *x = vx / speed * length;
  *y = vy / speed * length;
}

/* A window at the beginning (@place −0.5) or the end (0.5) of the way. */
void
fil_drift_refer (FilDriftTracker   *tracker,
                 FilDriftReference *reference,
                 const float       *pixels,
                 double             x,
                 double             y,
                 double             vx,
                 double             vy,
                 double             place)
{
  double way_x, way_y;

  fil_drift_find_way (tracker, vx, vy, &way_x, &way_y);
  reference->set = TRUE;
  reference->x = x;
  reference->y = y;
  reference->sum_x = reference->sum_y = 0.0;
  reference->n_sums = 0;
  reference->column = CLAMP ((int) lround (0.5 * fil_drift_room_x (tracker) + place * way_x), 0,
                             fil_drift_room_x (tracker));
  reference->row = CLAMP ((int) lround (0.5 * fil_drift_room_y (tracker) + place * way_y), 0,
                          fil_drift_room_y (tracker));
  fil_shift_meter_transform (tracker->meter,
                             pixels + (gsize) reference->row * (gsize) tracker->small.width +
                               reference->column,
                             tracker->small.width, reference->spectrum);
}

/* Where the window has to lie for the picture to be at @x, @y: beyond the
 * borders by how much? */
double
fil_drift_place_window (const FilDriftTracker   *tracker,
                        const FilDriftReference *reference,
                        double                   x,
                        double                   y,
                        int                     *column,
                        int                     *row)
{
  double wanted_x = reference->column + x - reference->x;
  double wanted_y = reference->row + y - reference->y;

  *column = (int) lround (CLAMP (wanted_x, 0.0, fil_drift_room_x (tracker)));
  *row = (int) lround (CLAMP (wanted_y, 0.0, fil_drift_room_y (tracker)));

  return MAX (fabs (wanted_x - *column), fabs (wanted_y - *row));
}

/* What doesn't move must stay out of the circle in which the match is sought. */
static double
choose_radius (const FilDriftTracker *tracker,
               double                 travel)
{
  double radius = MAX (RADIUS_SHARE * MIN (tracker->width, tracker->height), LEAST_RADIUS);

  return tracker->moving ? MAX (MIN (radius, 0.7 * travel), LEAST_RADIUS) : radius;
}

/* How far a picture has moved, by one reference; the place foretold goes in. */
void
fil_drift_compare (FilDriftTracker         *tracker,
                   const FilDriftReference *reference,
                   const float             *pixels,
                   double                  *x,
                   double                  *y,
                   double                  *certainty)
{
  int column, row;
  double moved_x, moved_y, beyond;
  FilShift shift;

  beyond = fil_drift_place_window (tracker, reference, *x, *y, &column, &row);
  moved_x = column - reference->column;
  moved_y = row - reference->row;
  *certainty = 0.0;
  if (beyond > MIN (tracker->width, tracker->height) / 3)
    return;

  fil_shift_meter_transform (tracker->meter,
                             pixels + (gsize) row * (gsize) tracker->small.width + column,
                             tracker->small.width, tracker->spectrum);
  fil_shift_meter_clear (tracker->meter);
  fil_shift_meter_add (tracker->meter, reference->spectrum, tracker->spectrum);
  fil_shift_meter_find (tracker->meter, *x - reference->x - moved_x, *y - reference->y - moved_y,
                        choose_radius (tracker, hypot (*x - reference->x, *y - reference->y)),
                        &shift);
  *x = reference->x + moved_x + shift.x;
  *y = reference->y + moved_y + shift.y;
  *certainty = shift.certainty;
}

gsize
fil_drift_n_pixels (const FilDriftTracker *tracker)
{
  return (gsize) tracker->small.width * (gsize) tracker->small.height;
}

void
fil_drift_add_fixed (FilDriftTracker *tracker,
                     const float     *pixels)
{
  const gsize n = fil_drift_n_pixels (tracker);

  for (gsize i = 0; i < n; i++)
    tracker->fixed[i] += pixels[i];
  tracker->n_fixed++;
}

/* The picture less what all have in common: the Sun went by, what stayed is the
 * instrument's own. Valid until the next call. */
const float *
fil_drift_take_fixed_off (FilDriftTracker *tracker,
                          const float     *pixels)
{
  const gsize n = fil_drift_n_pixels (tracker);
  float share;

  if (tracker->n_fixed == 0)
    return pixels;

  share = 1.0f / (float) tracker->n_fixed;
  for (gsize i = 0; i < n; i++)
    tracker->moving_part[i] = pixels[i] - share * tracker->fixed[i];

  return tracker->moving_part;
}
