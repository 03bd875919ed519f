/* fil-limb-judge.c: whether what was fitted is the limb
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * No arrow is better than a wild one: what doesn't look like the Sun's edge in
 * every respect is refused. */

#include <math.h>

#include "fil-limb-private.h"
#include "fil-sort.h"

#define MIN_POINTS       12
#define MIN_SHARE        0.35   /* of the stations on the arc: clouds may hide the rest */
#define MIN_ARC_SHARE    0.15   /* of the frame's shorter side, in pixels along the limb */
#define MIN_ARC_PX       10.0

/* Scatter along the radius: a pixel, and a hundredth of the arc or the radius;
 * air that bends the limb by a hundredth of the radius would be 10″. */
#define MAX_RMS_PX       1.0
#define MAX_RMS_SHARE    0.01

/* Blur at most: 0.02 of the radius are 20″, many times the worst air and as
 * much as a focuser a centimetre off makes at f/20. Clouds fade over minutes
 * of arc. More than 0.03 of the frame's shorter side can't be told from a
 * slope. A small picture's pixels blur as well. */
#define MAX_BLUR_SHARE   0.02
#define MAX_BLUR_OF_SIDE 0.03
#define MAX_BLUR_PX      2.0

/* The rig's plate scale may be wrong (a Barlow's distance), and the curvature
 * with it; a straight shade is off by 1. */
#define MAX_CURVATURE_OFF 0.30
#define DOUBTS           4.0    /* σ, themselves found from few bends */
/* Beyond, a straight shade would pass for a limb: (1 − 0.30) / 4. */
#define MAX_CURVATURE_ERROR 0.17

/* Beside the disc it is dark, on it there is light. */
#define MAX_OUTSIDE      0.50   /* of the light at the limb */
#define MIN_DARK_SHARE   0.90   /* of the frame beyond the circle */
#define MIN_LIGHT_SHARE  0.60   /* of the frame within it; clouds and spots are dark */
#define MIN_BEYOND       12     /* samples */

/* Darkening, of what the limb's would be, where the radius tells nothing. */
#define MIN_DARKENING    0.4
#define MAX_DARKENING    3.0

/* Of the radius: beyond, the arrow would turn by ten degrees. */
#define MAX_ERROR        0.17
#define MAX_RADIUS_ERROR 0.05
#define MIN_ARC_FOR_RADIUS (60.0 / 180.0 * M_PI)

/* Whether the frame is dark beyond the circle, and light within it. */
static gboolean
has_dark_side (const FilLimbTrail   *trail,
               const FilLimbFit     *fit,
               const FilLimbPicture *picture,
               const FilLimbLight   *light)
{
  double room = 4.0 * picture->step + 3.0 * (trail->blur_px + fit->rms);
  double most = light->black + MAX_OUTSIDE * trail->inside;
  double least = light->black + trail->outside + 0.2 * (trail->inside - trail->outside);
  double near2 = pow (MAX (fit->radius - room, 0.0), 2.0), far2 = pow (fit->radius + room, 2.0);
  int beyond = 0, dark = 0, within = 0, lit = 0;

  for (int j = 0; j < picture->height; j += 2)
    {
      const float *row = picture->values + (gsize) j * (gsize) picture->width;
      double dy = (j + 0.5) * picture->step - 0.5 - fit->y;

      for (int i = j / 2 % 2; i < picture->width; i += 2)
        {
          double dx = (i + 0.5) * picture->step - 0.5 - fit->x, r2 = dx * dx + dy * dy;

          beyond += r2 > far2;
          dark += r2 > far2 && (double) row[i] < most;
          within += r2 < near2;
          lit += r2 < near2 && (double) row[i] > least;
        }
    }

  return beyond >= MIN_BEYOND && dark >= MIN_DARK_SHARE * beyond && within >= MIN_BEYOND &&
         lit >= MIN_LIGHT_SHARE * within;
}

static gboolean
is_inside (const FilLimbPicture *picture,
           double                x,
           double                y)
{
  return x >= 0.0 && y >= 0.0 && x < picture->width * picture->step &&
         y < picture->height * picture->step;
}

/* Light at @depth along the radius inward over that near the limb: the middle
 * one of all points, or NaN where most see no such depth. */
static double
find_rise (const FilLimbTrail   *trail,
           const FilLimbPicture *picture,
           const FilLimbLight   *light,
           double                near,
           double                depth)
{
  double rises[FIL_LIMB_MAX_POINTS];
  int n = 0;

  for (int i = 0; i < trail->n_points; i++)
    {
      const FilLimbPoint *point = &trail->points[i];
      double x = point->x - depth * point->nx, y = point->y - depth * point->ny;

      if (is_inside (picture, x, y))
        rises[n++] = (fil_limb_picture_at (picture, x, y) - light->black) /
                     (fil_limb_picture_at (picture, point->x - near * point->nx,
                                           point->y - near * point->ny) - light->black);
    }
  fil_sort_doubles (rises, (gsize) n);

  return 2 * n > trail->n_points ? rises[n / 2] : NAN;
}

static double
mu_at (double depth,
       double radius)
{
  double r = MIN (fabs (1.0 - depth / radius), 1.0);

  return sqrt (1.0 - r * r);
}

/* A nearly straight edge may be a roof's, and a round one of any radius that
 * of a field stop; but the disc darkens towards its limb, a shade doesn't. */
static gboolean
darkens (const FilLimbTrail   *trail,
         const FilLimbFit     *fit,
         const FilLimbPicture *picture,
         const FilLimbLight   *light)
{
  double near = 2.5 * trail->blur_px + 2.0 * picture->step;
  double side = MIN (picture->width, picture->height) * picture->step;

  for (double depth = MIN (0.6 * side, 0.9 * fit->radius); depth > 3.0 * near; depth *= 0.7)
    {
      double rise = find_rise (trail, picture, light, near, depth);
      double wanted = fil_limb_profile_light (mu_at (depth, fit->radius)) /
                      fil_limb_profile_light (mu_at (near, fit->radius));

      if (isfinite (rise))
        return wanted > 1.05 && rise - 1.0 >= MIN_DARKENING * (wanted - 1.0) &&
               rise - 1.0 <= MAX_DARKENING * (wanted - 1.0);
    }

  return FALSE;
}

static gboolean
has_shape (const FilLimbTrail *trail,
           const FilLimbFit   *fit,
           double              side)
{
  double length = MIN (fit->radius * fit->arc_rad, fit->radius);
  double blur = MIN (MAX_BLUR_SHARE * fit->radius, MAX_BLUR_OF_SIDE * side);

  return fit->rms <= MAX_RMS_PX + MAX_RMS_SHARE * length &&
         trail->psf_px <= hypot (MAX_BLUR_PX, blur) &&
         fabs (fit->curvature_off) <= MAX_CURVATURE_OFF + DOUBTS * fit->curvature_error;
}

static gboolean
is_sure (const FilLimbFit *fit,
         gboolean          fit_radius)
{
  return fit->major <= MAX_ERROR * fit->radius &&
         (!fit_radius || (fit->radius_error <= MAX_RADIUS_ERROR * fit->radius &&
                          fit->half_arc >= MIN_ARC_FOR_RADIUS));
}

/**
 * fil_limb_judge:
 * @picture: a reduced one
 *
 * Returns: %FIL_LIMB_SEEN, or why not
 */
FilLimbReason
fil_limb_judge (const FilLimbTrail   *trail,
                const FilLimbFit     *fit,
                const FilLimbPicture *picture,
                const FilLimbLight   *light,
                gboolean              fit_radius)
{
  double side = MIN (picture->width, picture->height) * picture->step;

  if (fit->n_kept < MIN_POINTS || fit->n_kept < MIN_SHARE * trail->n_stations)
    return FIL_LIMB_NOT_A_CIRCLE;
  if (!has_shape (trail, fit, side) || trail->outside > MAX_OUTSIDE * trail->inside ||
      !has_dark_side (trail, fit, picture, light))
    return FIL_LIMB_NOT_A_CIRCLE;
  if (fit->radius * fit->arc_rad < MAX (MIN_ARC_PX, MIN_ARC_SHARE * side) ||
      !is_sure (fit, fit_radius))
    return FIL_LIMB_UNSURE;
  if ((fit_radius || fit->curvature_error > MAX_CURVATURE_ERROR) &&
      !darkens (trail, fit, picture, light))
    return FIL_LIMB_UNSURE;

  return FIL_LIMB_SEEN;
}
