/* fil-render-kernels-private.h: the scalar rows, where vector ones end
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-render-kernels.h"

G_BEGIN_DECLS

#if FIL_CPU_HAVE_CLONES
extern const FilRenderKernels fil_render_kernels_avx2;
#endif

void fil_render_scalar_set         (const uint16_t  *row,
                                    float            weight,
                                    float           *sum,
                                    int              n);
void fil_render_scalar_add         (const uint16_t  *row,
                                    float            weight,
                                    float           *sum,
                                    int              n);
void fil_render_scalar_largest     (const uint16_t  *row,
                                    uint16_t        *held,
                                    int              n);
void fil_render_scalar_smallest    (const uint16_t  *row,
                                    uint16_t        *held,
                                    int              n);
void fil_render_scalar_debayer     (const uint16_t  *above,
                                    const uint16_t  *row,
                                    const uint16_t  *below,
                                    gboolean         odd,
                                    gboolean         blue,
                                    uint16_t *const  rgb[3],
                                    int              n);
void fil_render_scalar_gather      (const float     *sum,
                                    const int32_t   *first,
                                    const float     *weights,
                                    int              n_taps,
                                    float           *out,
                                    int              n);
void fil_render_scalar_gather_from (const float     *sum,
                                    const int32_t   *first,
                                    const float     *weights,
                                    int              n_taps,
                                    float           *out,
                                    int              n,
                                    int              start);
void fil_render_scalar_shade       (const float     *values,
                                    const FilShades *shades,
                                    uint32_t        *pixels,
                                    int              n);
void fil_render_scalar_shade_rgb   (const float     *const rgb[3],
                                    const FilShades *shades,
                                    uint32_t        *pixels,
                                    int              n);

G_END_DECLS
