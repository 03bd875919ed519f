/* fil-band.h: which bins of a patch's transform lie in the band
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sharpness.h"

G_BEGIN_DECLS

/**
 * FilBandColumn:
 *
 * One column of bins, fx = k / width. Along it |f| grows with m = |l|, fy =
 * m / height, so each part is one run of m: the lower half-band from @lower
 * up to before @upper, the upper one from there up to before @upper_end, the
 * noise from @noise to the end.
 */
typedef struct
{
  int lower, upper, upper_end, noise;
} FilBandColumn;

/**
 * FilBand:
 * @n_columns: k from 0 to width / 2
 * @n_lower: bins of both signs of fx and fy; as the others
 * @n_noise: bins beyond the cut-off, the axes left out
 * @n_beyond: bins beyond the cut-off, with the axes
 */
typedef struct
{
  int            width, height;
  double         cutoff;
  int            n_columns;
  FilBandColumn *columns;
  gint64         n_lower, n_upper, n_noise, n_beyond;
} FilBand;

/* What a transform's bins hold: sums of |F|² over both signs. */
typedef struct
{
  double lower, upper, noise;
} FilBandPower;

void     fil_band_init             (FilBand            *band,
                                    int                 width,
                                    int                 height,
                                    double              cutoff);
void     fil_band_clear            (FilBand            *band);
gboolean fil_band_needs_immerkaer  (const FilBand      *band);
void     fil_band_finish           (const FilBand      *band,
                                    const FilBandPower *power,
                                    double              noise_variance,
                                    double              signal,
                                    FilSharpness       *sharpness);

/* How many columns of the full transform column @k stands for. */
static inline int
fil_band_column_weight (const FilBand *band,
                        int            k)
{
  return k == 0 || 2 * k == band->width ? 1 : 2;
}

G_END_DECLS
