/* fil-limb-fit.c: the circle through the limb's points
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-limb-private.h"
#include "fil-limb-solve.h"
#include "fil-sort.h"

#define MIN_POINTS   8
#define N_ROUNDS     14
#define HUBER_ROUNDS 5       /* at first nobody is thrown out */

/* Huber 1964, Annals of Mathematical Statistics 35, 73, and Tukey's biweight,
 * both with the limits that keep 95 % of the efficiency for normal errors
 * (from memory: Holland & Welsch 1977, Communications in Statistics 6, 813). */
#define HUBER_LIMIT  1.345
#define TUKEY_LIMIT  4.685

#define MIN_SCALE_PX 0.02    /* a made-up picture may have no noise at all */

static void
take_residuals (FilLimbTrail     *trail,
                const FilLimbFit *fit)
{
  for (int i = 0; i < trail->n_points; i++)
    {
      FilLimbPoint *point = &trail->points[i];

      point->residual = hypot (point->x - fit->x, point->y - fit->y) - fit->radius;
    }
}

/* 1.4826 times the median: σ where errors are normal. */
static double
find_scale (const FilLimbTrail *trail)
{
  double off[FIL_LIMB_MAX_POINTS];

  for (int i = 0; i < trail->n_points; i++)
    off[i] = fabs (trail->points[i].residual);
  fil_sort_doubles (off, (gsize) trail->n_points);

  return MAX (1.4826 * off[trail->n_points / 2], MIN_SCALE_PX);
}

static void
weigh (FilLimbTrail *trail,
       double        scale,
       gboolean      gently)
{
  for (int i = 0; i < trail->n_points; i++)
    {
      double u = fabs (trail->points[i].residual) / scale, t = u / TUKEY_LIMIT;

      if (gently)
        trail->points[i].weight = u <= HUBER_LIMIT ? 1.0 : HUBER_LIMIT / u;
      else
        trail->points[i].weight = t >= 1.0 ? 0.0 : (1.0 - t * t) * (1.0 - t * t);
    }
}

/* One step of Gauss and Newton. */
static gboolean
improve (const FilLimbTrail *trail,
         gboolean            fit_radius,
         FilLimbFit         *fit)
{
  FilLimbNormal normal = { .n = fit_radius ? 3 : 2 };
  double change[FIL_LIMB_MAX_UNKNOWNS];

  for (int i = 0; i < trail->n_points; i++)
    {
      const FilLimbPoint *point = &trail->points[i];
      double r = point->residual + fit->radius;
      double row[3] = { (point->x - fit->x) / r, (point->y - fit->y) / r, 1.0 };

      if (point->weight > 0.0 && r > 0.0)
        fil_limb_normal_add (&normal, row, point->residual, point->weight);
    }
  if (!fil_limb_normal_factor (&normal))
    return FALSE;
  fil_limb_normal_solve (&normal, normal.b, change);
  fit->x += change[0];
  fit->y += change[1];
  if (fit_radius)
    fit->radius += change[2];

  return isfinite (fit->x) && isfinite (fit->y) && fit->radius > 0.0;
}

static void
sum_up (const FilLimbTrail *trail,
        FilLimbFit         *fit)
{
  double squares = 0.0, low = G_MAXDOUBLE, high = -G_MAXDOUBLE;

  fit->n_kept = 0;
  for (int i = 0; i < trail->n_points; i++)
    {
      const FilLimbPoint *point = &trail->points[i];

      if (point->weight <= 0.0)
        continue;
      fit->n_kept++;
      squares += point->residual * point->residual;
      low = MIN (low, point->angle);
      high = MAX (high, point->angle);
    }
  fit->rms = fit->n_kept > 0 ? sqrt (squares / fit->n_kept) : 0.0;
  fit->arc_rad = fit->n_kept * trail->step_rad;
  fit->half_arc = fit->n_kept > 0 ? 0.5 * (high - low + trail->step_rad) : 0.0;
}

/**
 * fil_limb_fit_circle:
 * @trail: its points get residuals and weights
 * @start: where to begin, and the radius
 * @fit: (out)
 *
 * Robust least squares of the distances along the radius.
 *
 * Returns: whether there was enough to fit
 */
gboolean
fil_limb_fit_circle (FilLimbTrail        *trail,
                     const FilLimbCircle *start,
                     gboolean             fit_radius,
                     FilLimbFit          *fit)
{
  *fit = (FilLimbFit) { .x = start->x, .y = start->y, .radius = start->radius };
  if (trail->n_points < MIN_POINTS)
    return FALSE;

  for (int i = 0; i < N_ROUNDS; i++)
    {
      take_residuals (trail, fit);
      weigh (trail, find_scale (trail), i < HUBER_ROUNDS);
      if (!improve (trail, fit_radius, fit))
        return FALSE;
    }
  take_residuals (trail, fit);
  sum_up (trail, fit);
  if (fit->n_kept < MIN_POINTS)
    return FALSE;
  fil_limb_fit_errors (trail, fit_radius, fit);

  return isfinite (fit->major) && isfinite (fit->minor);
}
