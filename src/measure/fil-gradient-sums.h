/* fil-gradient-sums.h: what the gradient kernels add up
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-figure-private.h"

G_BEGIN_DECLS

/* Sums over the interior pixels of a row or a band; they fit 64 bits for bands
 * of 100000 pixels' width. */
typedef struct
{
  guint64 brenner;     /* squares of c(x+1) − c(x−1) */
  guint64 tenengrad;   /* Gx² + Gy² */
  guint64 laplacian_squares;
} FilGradientSums;

#if FIL_CPU_HAVE_CLONES
/* Counts up to this fit the narrow kernels. */
#define FIL_GRADIENT_NARROW_LARGEST 8191

uint16_t fil_gradient_or_bits_avx2   (const uint16_t      *row,
                                      int                  width);

/* All rows of @band and x from 1 to width − 2; the rows below and above the band
 * must be there. Width: at least a vector and two. */
void     fil_gradient_narrow_avx2    (const FilFigureBand *band,
                                      int                  width,
                                      uint16_t             bits,
                                      FilGradientSums     *sums);
void     fil_gradient_split_avx2     (const FilFigureBand *band,
                                      int                  width,
                                      FilGradientSums     *sums);
void     fil_gradient_narrow_avx512  (const FilFigureBand *band,
                                      int                  width,
                                      uint16_t             bits,
                                      FilGradientSums     *sums);
void     fil_gradient_split_avx512   (const FilFigureBand *band,
                                      int                  width,
                                      FilGradientSums     *sums);
#endif

G_END_DECLS
