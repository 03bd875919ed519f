/* fil-limb-trail.c: the limb's place to a part of a pixel, along a circle
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-limb-private.h"
#include "fil-sort.h"

/* The profile's slope is taken by the derivative of a Gaussian: narrower ones
 * follow noise, wider ones blur more than the air does. */
#define FILTER_SIGMA 1.5   /* samples */
#define FILTER_TAPS  4

#define N_LINES      5     /* side by side, a sample apart, that make one profile */
#define SIDE         5     /* samples from the edge to what is called inside and outside */
#define MIN_LOSS     0.40  /* as for the candidates, with some room for noise */

/* The outermost fall that has this share of the steepest one is the limb: a
 * spot near it may have a steeper rim, and nothing falls beyond the limb. */
#define OUTERMOST    0.5

#define MEAN_INSIDE  4     /* samples of the mean slope that are kept */
#define MEAN_OUTSIDE 24

/* One radial profile, and its slope, fall being positive. */
typedef struct
{
  int    half;                           /* the slope runs from −half to half */
  double light[2 * FIL_LIMB_HALF + 1];   /* from −half − FILTER_TAPS */
  double fall[2 * FIL_LIMB_HALF + 1];    /* from −half */
} Profile;

typedef struct
{
  double sums[MEAN_INSIDE + MEAN_OUTSIDE + 1];
  double shares[MEAN_INSIDE + MEAN_OUTSIDE + 1];
} MeanFall;

static double
wrap_angle (double angle)
{
  return remainder (angle, 2.0 * M_PI);
}

/* The arc on which edges lie: its middle, and how far it reaches on either
 * side, both from the middle. */
static void
find_arc (const FilLimbCircle *circle,
          const FilLimbEdge   *edges,
          int                  n_edges,
          double              *middle,
          double              *low,
          double              *high)
{
  double sx = 0.0, sy = 0.0, room;

  for (int pass = 0; pass < 2; pass++)
    {
      *middle = atan2 (sy, sx);
      *low = *high = 0.0;
      for (int i = 0; i < n_edges; i++)
        {
          double dx = (double) edges[i].x - circle->x, dy = (double) edges[i].y - circle->y;
          double r = hypot (dx, dy), angle;

          if (r <= 0.0 || fabs (r - circle->radius) > circle->tolerance ||
              dx * (double) edges[i].nx + dy * (double) edges[i].ny < 0.8 * r)
            continue;
          sx += pass == 0 ? dx / r : 0.0;
          sy += pass == 0 ? dy / r : 0.0;
          angle = wrap_angle (atan2 (dy, dx) - *middle);
          *low = MIN (*low, angle);
          *high = MAX (*high, angle);
        }
    }

  room = 0.05 * (*high - *low);
  *low = MAX (*low - room, -M_PI);
  *high = MIN (*high + room, M_PI);
  if (*high - *low > 1.8 * M_PI)
    {
      *low = -M_PI;
      *high = M_PI;
    }
}

static void
take_profile (Profile              *profile,
              const FilLimbPicture *picture,
              const FilLimbCircle  *circle,
              double                angle)
{
  double nx = cos (angle), ny = sin (angle), step = picture->step;
  int reach = profile->half + FILTER_TAPS;

  memset (profile->light, 0, sizeof profile->light);
  for (int line = 0; line < N_LINES; line++)
    {
      /* Turned a little about the centre, so that the limb isn't bent. */
      double turn = (line - N_LINES / 2) * step / circle->radius, norm = sqrt (1.0 + turn * turn);
      double dx = (nx - turn * ny) / norm, dy = (ny + turn * nx) / norm;

      for (int k = -reach; k <= reach; k++)
        {
          double r = circle->radius + k * step;

          profile->light[k + reach] += fil_limb_picture_at (picture, circle->x + r * dx,
                                                            circle->y + r * dy) / N_LINES;
        }
    }
}

static void
take_slope (Profile      *profile,
            const double *taps)
{
  for (int k = 0; k <= 2 * profile->half; k++)
    {
      const double *light = profile->light + k + FILTER_TAPS;
      double sum = 0.0;

      for (int j = 1; j <= FILTER_TAPS; j++)
        sum += taps[j] * (light[-j] - light[j]);
      profile->fall[k] = sum;
    }
}

/* Returns: where the slope has its outermost high maximum, samples from the
 * circle, or NaN */
static double
find_fall (const Profile *profile)
{
  const double *fall = profile->fall;
  int last = 2 * profile->half;
  double steepest = 0.0;

  for (int k = 0; k <= last; k++)
    steepest = MAX (steepest, fall[k]);
  for (int k = last - 1; k > 0; k--)
    if (fall[k] >= OUTERMOST * steepest && fall[k] > fall[k + 1] && fall[k] >= fall[k - 1])
      {
        double bend = fall[k - 1] + fall[k + 1] - 2.0 * fall[k];

        return k - profile->half + 0.5 * (fall[k - 1] - fall[k + 1]) / bend;
      }

  return NAN;
}

static double
light_at (const Profile *profile,
          double         place)
{
  int reach = profile->half + FILTER_TAPS;
  double u = CLAMP (place + reach, 0.0, 2 * reach - 0.001);
  int k = (int) u;

  return profile->light[k] + (u - k) * (profile->light[k + 1] - profile->light[k]);
}

static void
add_to_mean (MeanFall      *mean,
             const Profile *profile,
             double         place,
             double         step)
{
  for (int m = -MEAN_INSIDE; m <= MEAN_OUTSIDE; m++)
    {
      double u = place + m + profile->half;
      int k = (int) floor (u);

      if (k < 0 || k + 1 > 2 * profile->half)
        continue;
      mean->sums[m + MEAN_INSIDE] += (profile->fall[k] + (u - k) * (profile->fall[k + 1] - profile->fall[k])) / step;
      mean->shares[m + MEAN_INSIDE] += 1.0;
    }
}

/* Samples from the steepest place of the mean slope outward to half of it. */
static double
find_half_width (const MeanFall *mean)
{
  double before = 1.0, top;

  if (mean->shares[MEAN_INSIDE] <= 0.0)
    return NAN;
  top = mean->sums[MEAN_INSIDE] / mean->shares[MEAN_INSIDE];
  for (int m = 1; m <= MEAN_OUTSIDE && mean->shares[m + MEAN_INSIDE] > 0.0; m++)
    {
      double here = mean->sums[m + MEAN_INSIDE] / mean->shares[m + MEAN_INSIDE] / top;

      if (here <= 0.5)
        return m - (0.5 - here) / (before - here);
      before = here;
    }

  return MEAN_OUTSIDE;
}

static gboolean
is_in_frame (const FilLimbPicture *picture,
             double                x,
             double                y)
{
  double room = 2.0 * picture->step;

  return x >= room && y >= room && x <= picture->width * picture->step - 1 - room &&
         y <= picture->height * picture->step - 1 - room;
}

static void
look_at_station (FilLimbTrail         *trail,
                 const FilLimbPicture *picture,
                 const FilLimbLight   *light,
                 const FilLimbCircle  *circle,
                 const double         *taps,
                 double                angle,
                 Profile              *profile,
                 MeanFall             *mean)
{
  double nx = cos (angle), ny = sin (angle), r, place, inside, outside;

  if (!is_in_frame (picture, circle->x + circle->radius * nx, circle->y + circle->radius * ny))
    return;
  trail->n_stations++;
  take_profile (profile, picture, circle, angle);
  take_slope (profile, taps);
  place = find_fall (profile);
  if (!isfinite (place))
    return;

  r = circle->radius + place * picture->step;
  inside = light_at (profile, place - SIDE) - light->black;
  outside = light_at (profile, place + SIDE) - light->black;
  if (!is_in_frame (picture, circle->x + r * nx, circle->y + r * ny) ||
      inside - outside < MIN_LOSS * inside || inside - outside < 2.0 * light->noise)
    return;

  add_to_mean (mean, profile, place, inside - outside);
  trail->points[trail->n_points++] = (FilLimbPoint) {
    .angle = wrap_angle (angle - trail->middle_rad),
    .x = circle->x + r * nx,
    .y = circle->y + r * ny,
    .nx = nx,
    .ny = ny,
    .inside = inside,
    .outside = outside,
    .weight = 1.0,
  };
}

static void
take_levels (FilLimbTrail *trail)
{
  double inside[FIL_LIMB_MAX_POINTS], outside[FIL_LIMB_MAX_POINTS];
  int n = trail->n_points;

  for (int i = 0; i < n; i++)
    {
      inside[i] = trail->points[i].inside;
      outside[i] = trail->points[i].outside;
    }
  fil_sort_doubles (inside, (gsize) n);
  fil_sort_doubles (outside, (gsize) n);
  trail->inside = n > 0 ? inside[3 * n / 4] : 0.0;
  trail->outside = n > 0 ? outside[n / 2] : 0.0;
}

/* What the blur takes inward is given back. */
static void
take_off_bias (FilLimbTrail         *trail,
               const FilLimbPicture *picture,
               double                radius,
               const MeanFall       *mean)
{
  double half_width = find_half_width (mean) * picture->step, own = FILTER_SIGMA * picture->step;

  if (!isfinite (half_width))
    return;
  trail->blur_px = fil_limb_profile_blur (half_width, radius);
  trail->psf_px = sqrt (MAX (trail->blur_px * trail->blur_px - own * own, 0.0));
  trail->bias_px = fil_limb_profile_bias (trail->blur_px, radius);
  for (int i = 0; i < trail->n_points; i++)
    {
      trail->points[i].x += trail->bias_px * trail->points[i].nx;
      trail->points[i].y += trail->bias_px * trail->points[i].ny;
    }
}

static void
make_taps (double *taps)
{
  double norm = 0.0;

  for (int j = 1; j <= FILTER_TAPS; j++)
    {
      taps[j] = j * exp (-0.5 * j * j / (FILTER_SIGMA * FILTER_SIGMA));
      norm += 2.0 * j * taps[j];
    }
  for (int j = 1; j <= FILTER_TAPS; j++)
    taps[j] /= norm;
}

/**
 * fil_limb_trail_follow:
 * @trail: (out)
 * @circle: to search along, as far as its tolerance
 * @edges: what the circle was found by: the arc where they lie is searched
 *
 * Finds where light falls steepest on radial profiles, then corrects for what
 * blur and the disc's darkening make of it.
 */
void
fil_limb_trail_follow (FilLimbTrail         *trail,
                       const FilLimbPicture *picture,
                       const FilLimbLight   *light,
                       const FilLimbCircle  *circle,
                       const FilLimbEdge    *edges,
                       int                   n_edges)
{
  double low, high, taps[FILTER_TAPS + 1];
  MeanFall mean = { { 0 }, { 0 } };
  Profile profile;
  int n;

  memset (trail, 0, sizeof *trail);
  make_taps (taps);
  find_arc (circle, edges, n_edges, &trail->middle_rad, &low, &high);
  n = (int) CLAMP ((high - low) * circle->radius / (2.0 * picture->step), 1.0, FIL_LIMB_MAX_POINTS);
  trail->step_rad = (high - low) / n;
  profile.half = CLAMP ((int) ceil (circle->tolerance / picture->step) + 6, 8,
                        FIL_LIMB_HALF - FILTER_TAPS);

  for (int i = 0; i < n; i++)
    look_at_station (trail, picture, light, circle, taps,
                     trail->middle_rad + low + (i + 0.5) * trail->step_rad, &profile, &mean);
  take_levels (trail);
  take_off_bias (trail, picture, circle->radius, &mean);
}
