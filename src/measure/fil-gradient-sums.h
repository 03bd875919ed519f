/* fil-gradient-sums.h: what the gradient kernels add up
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-figure-private.h"

G_BEGIN_DECLS

/* Sums over one row's interior pixels; they fit 64 bits for 100000 pixels. */
typedef struct
{
  guint64 brenner;     /* squares of c(x+1) − c(x−1) */
  guint64 tenengrad;   /* Gx² + Gy² */
  guint64 laplacian_squares;
} FilGradientSums;

/* The high and the low byte of every count of one row, as 16-bit numbers. */
typedef struct
{
  const gint16 *high, *low;
} FilSplitRow;

#if FIL_CPU_HAVE_CLONES
/* Vector kernels: x from 1 to width − 2, width at least FIL_GRADIENT_LEAST_WIDTH. */
#define FIL_GRADIENT_LEAST_WIDTH 18

/* Counts up to this fit the narrow kernel. */
#define FIL_GRADIENT_NARROW_LARGEST 8191

uint16_t fil_gradient_or_bits_avx2 (const uint16_t      *row,
                                    int                  width);
void     fil_gradient_split_avx2   (const uint16_t      *row,
                                    int                  width,
                                    gint16              *high,
                                    gint16              *low);
void     fil_gradient_narrow_avx2  (const FilFigureRows *rows,
                                    int                  width,
                                    uint16_t             bits,
                                    FilGradientSums     *sums);
void     fil_gradient_split_row_avx2 (const FilSplitRow *below,
                                    const FilSplitRow   *here,
                                    const FilSplitRow   *above,
                                    int                  width,
                                    FilGradientSums     *sums);
#endif

G_END_DECLS
