/* fil-sharpness-private.h: the steps from a patch to its spectrum
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-cpu.h"
#include "fil-sharpness.h"

G_BEGIN_DECLS

/* A row's sum of counts and of x · counts; exact. */
typedef struct
{
  guint64 counts, weighted;
} FilRowMoments;

/**
 * FilPlane:
 *
 * The plane through a patch, by least squares: level at the middle of the
 * patch and slopes, counts and counts/px.
 */
typedef struct
{
  double level, slope_x, slope_y;
} FilPlane;

/**
 * FilWindowRow:
 * @row: counts
 * @pivot: a whole number near the patch's mean, taken off exactly
 * @level: of the plane in the middle of this row, less the pivot
 * @weight: the window's value of this row
 */
typedef struct
{
  const uint16_t *row;
  float           level, weight;
} FilWindowRow;

FilRowMoments fil_sharpness_row_moments (const uint16_t     *row,
                                         int                 width,
                                         FilCpuLevel         level);
void          fil_sharpness_window_pair (const FilWindowRow  pair[2],
                                         int                 width,
                                         int                 pivot,
                                         float               slope,
                                         const float        *window,
                                         const float        *tilted_window,
                                         float              *out,
                                         FilCpuLevel         level);
void          fil_sharpness_part_pair   (const float        *pair,
                                         int                 width,
                                         float              *even,
                                         float              *odd,
                                         FilCpuLevel         level);
double        fil_sharpness_power       (const float        *bins,
                                         int                 n,
                                         FilCpuLevel         level);

G_END_DECLS
