/* fil-sharpness.h: the running focus figure
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* Patches with a shorter side have no sharpness. */
#define FIL_SHARPNESS_LEAST_SIDE 128

/**
 * FilSharpness:
 * @percent: RMS contrast in the band, percent of the mean less the black level; >= 0
 * @fine: upper half-band power over lower half-band power, both less noise;
 *   >= 0, NaN where the lower half holds nothing but noise
 * @coarse_percent: as @percent, of the lower half-band alone
 * @noise_percent: the noise floor taken off, as an RMS contrast over the band
 *
 * NaN, all of it: the patch is below 128 px, or its mean is not above the
 * black level.
 */
typedef struct
{
  double percent;
  double fine;
  double coarse_percent;
  double noise_percent;
} FilSharpness;

/* Transform plans and scratch memory; one a thread. */
typedef struct _FilSharpnessMeter FilSharpnessMeter;

FilSharpnessMeter *fil_sharpness_meter_new     (void);
void               fil_sharpness_meter_free    (FilSharpnessMeter *meter);
void               fil_sharpness_meter_set     (FilSharpnessMeter *meter,
                                                double             cutoff_cycles_per_px,
                                                double             black_level);
gboolean           fil_sharpness_meter_measure (FilSharpnessMeter *meter,
                                                const FilFrame    *frame,
                                                const FilRect     *patch,
                                                FilSharpness      *sharpness,
                                                GError           **error);
void               fil_sharpness_meter_measure_double (FilSharpnessMeter *meter,
                                                const double      *pixels,
                                                int                width,
                                                int                height,
                                                int                stride,
                                                FilSharpness      *sharpness);
gboolean           fil_sharpness_default_patch (int                width,
                                                int                height,
                                                FilRect           *patch);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSharpnessMeter, fil_sharpness_meter_free)

G_END_DECLS
