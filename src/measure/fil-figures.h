/* fil-figures.h: what one frame's pixels tell, in one pass over its rows
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_FIGURES_BASIC     = 1 << 0,  /* mean, sd, min, max, full, empty */
  FIL_FIGURES_HISTOGRAM = 1 << 1,
  FIL_FIGURES_GRADIENTS = 1 << 2,  /* Brenner, Tenengrad, variance of the Laplacian */
  FIL_FIGURES_MFGS      = 1 << 3,
} FilFiguresSet;

/**
 * FilFigures:
 *
 * Raw counts; gradients over interior pixels only; NaN: not asked for, or
 * the picture is too small. Definitions in docs/measures.md.
 */
typedef struct
{
  double   mean, sd, min, max;
  double   full_fraction, empty_fraction;  /* 0 to 1 */
  double   brenner, tenengrad, laplacian_variance;
  double   mfgs;
} FilFigures;

/* Scratch memory and the histogram; one a thread. */
typedef struct _FilFigureMeter FilFigureMeter;

FilFigureMeter *fil_figure_meter_new           (void);
void            fil_figure_meter_free          (FilFigureMeter  *meter);
void            fil_figure_meter_set_full      (FilFigureMeter  *meter,
                                                double           full_count);
gboolean        fil_figure_meter_measure       (FilFigureMeter  *meter,
                                                const FilFrame  *frame,
                                                const FilRect   *rect,
                                                FilFiguresSet    set,
                                                FilFigures      *figures,
                                                GError         **error);
const guint32  *fil_figure_meter_get_histogram (FilFigureMeter  *meter,
                                                guint           *n_bins);
void            fil_figures_measure_double     (const double    *pixels,
                                                int              width,
                                                int              height,
                                                double           full_count,
                                                FilFigures      *figures);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilFigureMeter, fil_figure_meter_free)

G_END_DECLS
