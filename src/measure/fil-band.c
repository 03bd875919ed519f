/* fil-band.c: which bins of a patch's transform lie in the band
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-band.h"

#define BAND_FROM    0.15   /* of the cut-off */
#define BAND_TO      0.6
#define BAND_LARGEST 0.4    /* cycles/px: beyond it aliases of the pixel grid lie */
#define NOISE_SHARE  0.1    /* bins beyond the cut-off that the floor needs, at least */

/* A bin that lies on a limit belongs inside, whatever the last bit says. */
#define ROUNDING 1e-12

/* The first m from 0 at which |f| reaches @limit, or passes it; height / 2 + 1
 * if none does. */
static int
find_first (const FilBand *band,
            double         fx,
            double         limit,
            gboolean       beyond)
{
  double edge = beyond ? limit * (1.0 + ROUNDING) : limit * (1.0 - ROUNDING);
  int from = 0, to = band->height / 2 + 1;

  while (from < to)
    {
      int m = (from + to) / 2;

      if (hypot (fx, (double) m / band->height) < edge)
        from = m + 1;
      else
        to = m;
    }

  return from;
}

/* How many rows of the full transform the run of m holds. */
static gint64
count_rows (const FilBand *band,
            int            from,
            int            to)
{
  if (from >= to)
    return 0;

  return 2 * (gint64) (to - from) - (from == 0) - (2 * (to - 1) == band->height);
}

static void
add_column (FilBand *band,
            int      k,
            double   low,
            double   high)
{
  FilBandColumn *column = &band->columns[k];
  double fx = (double) k / band->width;
  int end = band->height / 2 + 1, beyond = find_first (band, fx, band->cutoff, TRUE);
  gint64 weight = fil_band_column_weight (band, k);

  column->lower = find_first (band, fx, low, FALSE);
  column->upper = find_first (band, fx, 0.5 * (low + high), TRUE);
  column->upper_end = find_first (band, fx, high, TRUE);
  if (high < low)   /* a cut-off far beyond the pixels: nothing in between */
    column->upper = column->upper_end = column->lower;
  /* A sensor's rows and columns live on the axes. */
  column->noise = k == 0 ? end : MAX (beyond, 1);

  band->n_lower += weight * count_rows (band, column->lower, column->upper);
  band->n_upper += weight * count_rows (band, column->upper, column->upper_end);
  band->n_noise += weight * count_rows (band, column->noise, end);
  band->n_beyond += weight * count_rows (band, beyond, end);
}

/**
 * fil_band_init:
 * @band: (out): zeroed, or cleared before
 * @cutoff: the optical cut-off on the sensor, cycles/px, above 0
 *
 * The band is 0.15 to 0.6 of the cut-off, at most 0.4 cycles/px; its halves
 * meet in the middle.
 */
void
fil_band_init (FilBand *band,
               int      width,
               int      height,
               double   cutoff)
{
  double low = BAND_FROM * cutoff, high = MIN (BAND_TO * cutoff, BAND_LARGEST);

  *band = (FilBand) { .width = width, .height = height, .cutoff = cutoff };
  band->n_columns = width / 2 + 1;
  band->columns = g_new0 (FilBandColumn, band->n_columns);
  for (int k = 0; k < band->n_columns; k++)
    add_column (band, k, low, high);
}

void
fil_band_clear (FilBand *band)
{
  g_free (band->columns);
  *band = (FilBand) { 0 };
}

/* Whether too few bins lie beyond the cut-off to tell the noise from them. */
gboolean
fil_band_needs_immerkaer (const FilBand *band)
{
  return (double) band->n_beyond < NOISE_SHARE * band->width * (double) band->height;
}

/**
 * fil_band_finish:
 * @power: of the windowed patch's unnormalised transform
 * @noise_variance: counts², by Immerkær's estimator; unused unless
 *   fil_band_needs_immerkaer()
 * @signal: the patch's mean less the black level, counts
 * @sharpness: (out)
 *
 * White noise of variance σ² has σ² Σw² in every bin; the Hann window's Σw²
 * is ⅜ of the pixels in each direction.
 */
void
fil_band_finish (const FilBand      *band,
                 const FilBandPower *power,
                 double              noise_variance,
                 double              signal,
                 FilSharpness       *sharpness)
{
  double n_pixels = band->width * (double) band->height;
  double window = n_pixels * 9.0 / 64.0, scale = 1.0 / (n_pixels * window);
  double floor = fil_band_needs_immerkaer (band) ? noise_variance * window
                                                 : power->noise / (double) band->n_noise;
  double lower = power->lower - floor * (double) band->n_lower;
  double upper = power->upper - floor * (double) band->n_upper;
  double noise = floor * (double) (band->n_lower + band->n_upper);

  *sharpness = (FilSharpness) { NAN, NAN, NAN, NAN };
  if (!(signal > 0.0) || band->n_lower + band->n_upper == 0)
    return;

  sharpness->percent = 100.0 * sqrt (MAX (lower + upper, 0.0) * scale) / signal;
  sharpness->coarse_percent = 100.0 * sqrt (MAX (lower, 0.0) * scale) / signal;
  sharpness->noise_percent = 100.0 * sqrt (noise * scale) / signal;
  if (lower > 0.0)
    sharpness->fine = MAX (upper, 0.0) / lower;
}
