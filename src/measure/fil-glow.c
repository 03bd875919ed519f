/* fil-glow.c: the light of the sky, which leads to the Sun
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Beside the Sun the sky is the brighter the nearer one comes, so the mean of
 * a frame, divided by its exposure, leads there, although nothing is to be
 * seen in it. How bright it is at last is decades above how it begins: the
 * exposure has to follow, up while it is dark, and down before anything is
 * full. */

#include <math.h>
#include <string.h>

#include "fil-glow.h"

#define NS 1000000000.0

#define RISE_S         3.0     /* over which a rise is told */
#define SMOOTH_S       0.4     /* the newest light is a mean over this time */
#define N_KEPT         256     /* at twelve a second more than enough for RISE_S */
#define STEADY         1.06    /* a rise by less is none */

/* The least mean that can be told from darkness: half a count of a 12-bit
 * sensor. The mean of a whole frame is known far better than that; the black
 * level isn't. */
#define LEAST_SHARE    0.0001
#define WELL_LIT       0.6     /* of full, for the brightest thousandth */
#define TOO_BRIGHT     0.85    /* comes down at once */
#define TOO_DARK       0.30    /* goes up, by and by */
#define FULL_SHARE     1e-4    /* full pixels that are more than hot ones */
#define UP_AT_MOST     2.0
#define UP_EVERY_S     0.5
#define SETTLE_S       0.15    /* frames on their way still have the old exposure */

typedef struct
{
  double time_s;
  double signal;
} Point;

struct _FilGlow
{
  double shortest_ms, longest_ms;
  double gain;
  Point  points[N_KEPT];     /* oldest first */
  guint  n_points;
  double smooth;             /* running mean of the signal, NaN: none */
  double changed_s;          /* when the exposure was last asked to change */
};

FilGlow *
fil_glow_new (void)
{
  FilGlow *glow = g_new0 (FilGlow, 1);

  fil_glow_set_limits (glow, 0.01, 100.0);
  fil_glow_reset (glow);

  return glow;
}

void
fil_glow_free (FilGlow *glow)
{
  g_free (glow);
}

/* Forgets what was seen; the limits stay. */
void
fil_glow_reset (FilGlow *glow)
{
  g_return_if_fail (glow != NULL);

  glow->n_points = 0;
  glow->smooth = NAN;
  glow->gain = NAN;
  glow->changed_s = -G_MAXDOUBLE;
}

/**
 * fil_glow_set_limits:
 * @shortest_ms: above 0
 * @longest_ms: not below @shortest_ms
 *
 * Within which exposures may be asked for.
 */
void
fil_glow_set_limits (FilGlow *glow,
                     double   shortest_ms,
                     double   longest_ms)
{
  g_return_if_fail (glow != NULL);
  g_return_if_fail (shortest_ms > 0.0 && longest_ms >= shortest_ms);

  glow->shortest_ms = shortest_ms;
  glow->longest_ms = longest_ms;
}

static void
keep (FilGlow *glow,
      double   time_s,
      double   signal)
{
  double dt = glow->n_points > 0 ? time_s - glow->points[glow->n_points - 1].time_s : 0.0;
  double weight = isfinite (glow->smooth) ? -expm1 (-MAX (dt, 0.0) / SMOOTH_S) : 1.0;

  glow->smooth = isfinite (glow->smooth) ? glow->smooth + weight * (signal - glow->smooth)
                                         : signal;
  while (glow->n_points > 0 &&
         (glow->n_points == N_KEPT || glow->points[0].time_s < time_s - 2.0 * RISE_S))
    memmove (glow->points, glow->points + 1, sizeof (Point) * --glow->n_points);
  glow->points[glow->n_points++] = (Point) { time_s, glow->smooth };
}

/* What was kept last, RISE_S ago; what is younger where there is nothing so
 * old, but not much younger. */
static double
find_rise (const FilGlow *glow)
{
  const Point *newest = &glow->points[glow->n_points - 1], *then = &glow->points[0];

  for (guint i = 0; i < glow->n_points && glow->points[i].time_s <= newest->time_s - RISE_S; i++)
    then = &glow->points[i];
  if (newest->time_s - then->time_s < 0.5 * RISE_S || !(then->signal > 0.0))
    return NAN;

  return newest->signal / then->signal;
}

/* Two bounds, the more careful one counts: by the brightest thousandth, and by
 * the share of full pixels, which don't tell how far above full they are. */
static double
choose_exposure (FilGlow             *glow,
                 double               time_s,
                 const FilGlowSample *sample)
{
  double share = sample->bright / sample->full, wanted = NAN;

  if (time_s - glow->changed_s < SETTLE_S)
    return NAN;

  if (sample->full_fraction > 0.02)
    wanted = sample->exposure_ms * 0.25;
  else if (share > TOO_BRIGHT || sample->full_fraction > FULL_SHARE)
    wanted = sample->exposure_ms * 0.5;
  else if (share < TOO_DARK && time_s - glow->changed_s >= UP_EVERY_S)
    wanted = sample->exposure_ms * CLAMP (WELL_LIT / MAX (share, 1e-6), 1.0, UP_AT_MOST);
  if (!isfinite (wanted))
    return NAN;

  wanted = CLAMP (wanted, glow->shortest_ms, glow->longest_ms);
  if (fabs (wanted / sample->exposure_ms - 1.0) < 0.02)
    return NAN;
  glow->changed_s = time_s;

  return wanted;
}

/**
 * fil_glow_place:
 * @signal: shares of full a millisecond
 *
 * Returns: where it lies between the least and the most that this camera can
 *   tell, 0 to 1, by its logarithm
 */
double
fil_glow_place (const FilGlow *glow,
                double         signal)
{
  double least = LEAST_SHARE / glow->longest_ms, most = WELL_LIT / glow->shortest_ms;

  if (!(signal > least))
    return 0.0;

  return MIN (log (signal / least) / log (most / least), 1.0);
}

/**
 * fil_glow_add:
 * @reading: (out)
 *
 * One frame more. Frames whose gain differs from the last one's begin anew:
 * drivers don't tell what a step of it means.
 */
void
fil_glow_add (FilGlow             *glow,
              const FilGlowSample *sample,
              FilGlowReading      *reading)
{
  double time_s = (double) sample->time_ns / NS;

  g_return_if_fail (glow != NULL && sample != NULL && reading != NULL);
  g_return_if_fail (sample->full > 0.0 && sample->exposure_ms > 0.0);

  if (isfinite (glow->gain) && isfinite (sample->gain) && glow->gain != sample->gain)
    fil_glow_reset (glow);
  glow->gain = sample->gain;

  keep (glow, time_s, MAX (sample->mean, 0.0) / sample->full / sample->exposure_ms);
  *reading = (FilGlowReading) {
    .signal = glow->smooth,
    .bright = MAX (sample->bright, 0.0) / sample->full / sample->exposure_ms,
    .place = fil_glow_place (glow, glow->smooth),
    .rise = find_rise (glow),
    .wanted_ms = choose_exposure (glow, time_s, sample),
  };
  if (isfinite (reading->rise))
    reading->direction = reading->rise > STEADY ? 1 : reading->rise < 1.0 / STEADY ? -1 : 0;
}
