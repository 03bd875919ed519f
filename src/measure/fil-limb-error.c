/* fil-limb-error.c: how far off the fitted centre may be
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Air bends the limb: neighbouring points err alike, and the slowest bends
 * along the arc turn it as a whole, which moves the centre along the tangent
 * and leaves no residual behind. On a long arc the residuals tell how far the
 * likeness reaches, and the errors follow from that. But the slowest bends are
 * the strongest, so residuals are taken apart into slower and faster ones
 * (Legendre polynomials along a short arc, waves around a whole disc), and the
 * strength of those that can be seen tells that of the ones which cannot. */

#include <math.h>

#include "fil-limb-private.h"
#include "fil-limb-solve.h"

#define N_BENDS     8      /* polynomials 0 to 7 */
#define FIRST_BEND  3      /* 0 and 1 are the centre, 2 the curvature */
#define N_WAVES     4      /* around the disc: 1 is the centre */

/* The strength of bends falls with their number a little faster than that of
 * tilts along a line in Kolmogorov's air while they are longer than the
 * aperture, f^(−2/3), and much slower than when they are shorter, f^(−11/3)
 * (Tatarskii's spectrum of the angle of arrival; from memory). With 1 the
 * errors told are those found on the simulated Sun, within a third. */
#define BEND_POWER  1.0

/* Half of an arc, from which on the slope is the centre alone. */
#define LONG_ARC    (0.5 * M_PI)

/* So much of the circle tells waves around it from each other. Below, likeness
 * alone tells less than half of the error: found on bent discs. */
#define WHOLE_DISC  (1.5 * M_PI)
#define LIKENESS_FACTOR 2.0

/* The correction for blur rests on one wavelength and a Gaussian: in the blue
 * it lacks 0.8 of itself, in the red 0.4. */
#define BIAS_DOUBT  0.5

/* A likeness below this share of the scatter is none. */
#define MIN_LIKENESS 0.05

static void
legendre (double  t,
          double *p)
{
  p[0] = 1.0;
  p[1] = t;
  for (int k = 1; k + 1 < N_BENDS; k++)
    p[k + 1] = ((2 * k + 1) * t * p[k] - k * p[k - 1]) / (k + 1);
}

static void
find_ends (const FilLimbTrail *trail,
           double             *middle,
           double             *half)
{
  double low = G_MAXDOUBLE, high = -G_MAXDOUBLE;

  for (int i = 0; i < trail->n_points; i++)
    if (trail->points[i].weight > 0.0)
      {
        low = MIN (low, trail->points[i].angle);
        high = MAX (high, trail->points[i].angle);
      }
  *middle = 0.5 * (low + high);
  *half = MAX (0.5 * (high - low), 1e-9);
}

/* Strength of the bends, per polynomial of norm 1, brought to number 1. */
static gboolean
find_bends (const FilLimbTrail *trail,
            double              middle,
            double              half,
            double             *strength,
            double             *curvature)
{
  FilLimbNormal normal = { .n = N_BENDS };
  double bends[FIL_LIMB_MAX_UNKNOWNS];

  for (int i = 0; i < trail->n_points; i++)
    {
      double row[N_BENDS];

      if (trail->points[i].weight <= 0.0)
        continue;
      legendre ((trail->points[i].angle - middle) / half, row);
      fil_limb_normal_add (&normal, row, trail->points[i].residual, 1.0);
    }
  if (!fil_limb_normal_factor (&normal))
    return FALSE;
  fil_limb_normal_solve (&normal, normal.b, bends);

  *strength = 0.0;
  for (int k = FIRST_BEND; k < N_BENDS; k++)
    *strength += bends[k] * bends[k] / (2 * k + 1) * pow (k, BEND_POWER) / (N_BENDS - FIRST_BEND);
  *curvature = bends[2];

  return TRUE;
}

static void
set_short_arc (const FilLimbTrail *trail,
               FilLimbFit         *fit)
{
  double middle, half, strength, bend, doubt = BIAS_DOUBT * trail->bias_px, sagitta;

  find_ends (trail, &middle, &half);
  if (!find_bends (trail, middle, half, &strength, &bend))
    {
      fit->major = fit->minor = NAN;
      return;
    }

  /* Residuals of a centre that is off along the tangent: off · sin (angle). */
  fit->major = sqrt (3.0 * strength) / sin (half);
  fit->minor = sqrt (2.0 * strength + doubt * doubt);
  fit->direction = trail->middle_rad + middle + 0.5 * M_PI;
  if (fit->minor > fit->major)
    {
      double worst = fit->minor;

      fit->minor = fit->major;
      fit->major = worst;
      fit->direction += 0.5 * M_PI;
    }

  /* t² = (2 P2 + P0) / 3 */
  sagitta = fit->radius * (1.0 - cos (half));
  fit->curvature_off = -bend / (2.0 / 3.0 * sagitta);
  fit->curvature_error = sqrt (5.0 * strength * pow (2.0, -BEND_POWER)) / (2.0 / 3.0 * sagitta);
}

/* How alike residuals are from station to station, 0 the same one. */
static int
find_likeness (const FilLimbTrail *trail,
               double             *likeness)
{
  int n = trail->n_points, lags = MAX (MIN (n / 4, 60), 1);

  for (int lag = 0; lag < lags; lag++)
    {
      double sum = 0.0;
      int pairs = 0;

      for (int i = 0; i + lag < n; i++)
        {
          const FilLimbPoint *a = &trail->points[i], *b = &trail->points[i + lag];

          if (a->weight <= 0.0 || b->weight <= 0.0)
            continue;
          sum += a->residual * b->residual;
          pairs++;
        }
      likeness[lag] = pairs > 0 ? sum / pairs : 0.0;
      if (lag > 0 && likeness[lag] < MIN_LIKENESS * likeness[0])
        return lag;
    }

  return lags;
}

/* Σ over pairs of points of what each does to the solution times their
 * likeness: the errors of least squares whose errors hang together. */
static void
find_covariance (const FilLimbTrail  *trail,
                 const FilLimbFit    *fit,
                 const FilLimbNormal *normal,
                 double               covariance[3][3])
{
  double likeness[64], effects[FIL_LIMB_MAX_POINTS][3];
  int lags = find_likeness (trail, likeness);

  for (int i = 0; i < trail->n_points; i++)
    {
      const FilLimbPoint *point = &trail->points[i];
      double r = point->residual + fit->radius, solution[FIL_LIMB_MAX_UNKNOWNS] = { 0 };
      double row[3] = { (point->x - fit->x) / r, (point->y - fit->y) / r, 1.0 };

      if (point->weight > 0.0)
        fil_limb_normal_solve (normal, row, solution);
      for (int k = 0; k < 3; k++)
        effects[i][k] = solution[k];
    }

  for (int i = 0; i < trail->n_points; i++)
    for (int j = MAX (i - lags + 1, 0); j < MIN (i + lags, trail->n_points); j++)
      for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
          covariance[k][l] += effects[i][k] * effects[j][l] * likeness[ABS (i - j)];
}

/* Returns: the scatter of the wave that is the centre, NaN: can't be told */
static double
find_wave (const FilLimbTrail *trail)
{
  FilLimbNormal normal = { .n = 2 * N_WAVES + 1 };
  double waves[FIL_LIMB_MAX_UNKNOWNS], strength = 0.0;

  for (int i = 0; i < trail->n_points; i++)
    {
      double row[2 * N_WAVES + 1] = { 1.0 };

      for (int k = 1; k <= N_WAVES; k++)
        {
          row[2 * k - 1] = cos (k * trail->points[i].angle);
          row[2 * k] = sin (k * trail->points[i].angle);
        }
      if (trail->points[i].weight > 0.0)
        fil_limb_normal_add (&normal, row, trail->points[i].residual, 1.0);
    }
  if (!fil_limb_normal_factor (&normal))
    return NAN;
  fil_limb_normal_solve (&normal, normal.b, waves);

  for (int k = 2; k <= N_WAVES; k++)
    strength += (waves[2 * k - 1] * waves[2 * k - 1] + waves[2 * k] * waves[2 * k]) * pow (k, BEND_POWER);

  return sqrt (strength / (2 * (N_WAVES - 1)));
}

static void
widen (const FilLimbTrail *trail,
       FilLimbFit         *fit)
{
  double wave = fit->arc_rad >= WHOLE_DISC ? find_wave (trail) : NAN;

  if (isfinite (wave))
    {
      fit->major = MAX (fit->major, wave);
      fit->minor = MAX (fit->minor, wave);
      return;
    }
  fit->major *= LIKENESS_FACTOR;
  fit->minor *= LIKENESS_FACTOR;
}

static void
set_long_arc (const FilLimbTrail *trail,
              gboolean            fit_radius,
              FilLimbFit         *fit)
{
  FilLimbNormal normal = { .n = fit_radius ? 3 : 2 };
  double covariance[3][3] = { { 0 } }, half_sum, half_gap, mean = 0.0, doubt = BIAS_DOUBT * trail->bias_px;

  for (int i = 0; i < trail->n_points; i++)
    {
      const FilLimbPoint *point = &trail->points[i];
      double r = point->residual + fit->radius;
      double row[3] = { (point->x - fit->x) / r, (point->y - fit->y) / r, 1.0 };

      if (point->weight <= 0.0)
        continue;
      fil_limb_normal_add (&normal, row, 0.0, 1.0);
      mean += point->residual / fit->n_kept;
    }
  if (!fil_limb_normal_factor (&normal))
    {
      fit->major = fit->minor = NAN;
      return;
    }

  find_covariance (trail, fit, &normal, covariance);
  half_sum = 0.5 * (covariance[0][0] + covariance[1][1]);
  half_gap = hypot (0.5 * (covariance[0][0] - covariance[1][1]), covariance[0][1]);
  fit->major = sqrt (MAX (half_sum + half_gap, 0.0));
  fit->minor = sqrt (MAX (half_sum - half_gap, 0.0));
  fit->direction = 0.5 * atan2 (2.0 * covariance[0][1], covariance[0][0] - covariance[1][1]);
  widen (trail, fit);
  fit->radius_error = fit_radius ? sqrt (MAX (covariance[2][2], 0.0) + doubt * doubt) : 0.0;
  /* Nothing but a wrong radius leaves all points on one side. */
  fit->curvature_off = -mean / fit->radius;
  fit->curvature_error = fit->rms / fit->radius;
}

void
fil_limb_fit_errors (const FilLimbTrail *trail,
                     gboolean            fit_radius,
                     FilLimbFit         *fit)
{
  if (fit->half_arc < LONG_ARC && !fit_radius)
    set_short_arc (trail, fit);
  else
    set_long_arc (trail, fit_radius, fit);
}
