/* fil-figures.h: what one frame's pixels tell, in one pass over its rows
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-figure-list.h"
#include "fil-frame.h"

G_BEGIN_DECLS

/* meson.build lists the figures and their values. */
#define FIL_FIGURE_INDEX(name, NAME) FIL_FIGURE_INDEX_##NAME,
#define FIL_FIGURE_BIT(name, NAME)   FIL_FIGURES_##NAME = 1 << FIL_FIGURE_INDEX_##NAME,
#define FIL_FIGURE_FIELD(name)       double name;

enum
{
  FIL_FIGURE_LIST (FIL_FIGURE_INDEX)
  FIL_N_FIGURES
};

/**
 * FilFiguresSet:
 * @FIL_FIGURES_BASIC: mean, sd, min, max, full_fraction, empty_fraction
 * @FIL_FIGURES_HISTOGRAM: the pixels of each count
 * @FIL_FIGURES_GRADIENTS: brenner, tenengrad, laplacian_variance
 * @FIL_FIGURES_MFGS: mfgs, the dearest one
 */
typedef enum
{
  FIL_FIGURE_LIST (FIL_FIGURE_BIT)
  FIL_FIGURES_ALL = (1 << FIL_N_FIGURES) - 1
} FilFiguresSet;

/**
 * FilFigures:
 * @mean: counts
 * @sd: counts, of the population
 * @full_fraction: share of pixels at or above the full count, 0 to 1; NaN
 *   where that isn't known
 * @empty_fraction: share of pixels at 0, 0 to 1
 * @brenner: mean of (c(x+2,y) − c(x,y))², counts²
 * @tenengrad: mean of Gx² + Gy², 3×3 Sobel kernels with weights 1 2 1, counts²
 * @laplacian_variance: of the population of c(x−1,y) + c(x+1,y) + c(x,y−1) +
 *   c(x,y+1) − 4c(x,y), counts²
 * @mfgs: 2·G·Gm / (G² + Gm²), 0 to 1, where G is the sum of |Δx| + |Δy| and
 *   Gm the same after a 3×3 median; NaN for a flat picture
 *
 * Raw counts c(x,y), x to the right, y upward, interior pixels only, no
 * padding but for the median's replicated edge. NaN: not asked for, or the
 * picture is too small.
 *
 * Sources: Pertuz, Puig & Garcia 2013, Pattern Recognition 46, 1415 (from
 * memory); Deng et al. 2015, Solar Physics 290, 1479 (from memory).
 */
typedef struct
{
  FIL_FIGURE_VALUES (FIL_FIGURE_FIELD)
} FilFigures;

#undef FIL_FIGURE_INDEX
#undef FIL_FIGURE_BIT
#undef FIL_FIGURE_FIELD

/* One value's name, as in JSON, and where it lies in FilFigures. */
typedef struct
{
  const char *key;
  gsize       offset;
} FilFigureValue;

/* Scratch memory and the histogram; one a thread. */
typedef struct _FilFigureMeter FilFigureMeter;

FilFigureMeter       *fil_figure_meter_new           (void);
void                  fil_figure_meter_free          (FilFigureMeter  *meter);
void                  fil_figure_meter_set_full      (FilFigureMeter  *meter,
                                                      double           full_count);
gboolean              fil_figure_meter_measure       (FilFigureMeter  *meter,
                                                      const FilFrame  *frame,
                                                      const FilRect   *rect,
                                                      FilFiguresSet    set,
                                                      FilFigures      *figures,
                                                      GError         **error);
const guint32        *fil_figure_meter_get_histogram (FilFigureMeter  *meter,
                                                      guint           *n_bins);
void                  fil_figures_measure_double     (const double    *pixels,
                                                      int              width,
                                                      int              height,
                                                      double           full_count,
                                                      FilFigures      *figures);
const FilFigureValue *fil_figures_list_values        (guint           *n_values);
double                fil_figures_get                (const FilFigures     *figures,
                                                      const FilFigureValue *value);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilFigureMeter, fil_figure_meter_free)

G_END_DECLS
