/* fil-render-kernels.h: one row at a time, from counts to shown pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

#include "fil-cpu.h"
#include "fil-render-look.h"

G_BEGIN_DECLS

/**
 * FilRenderKernels:
 * @set: sum[i] = weight × row[i]
 * @add: sum[i] += weight × row[i]
 * @largest: held[i] = max (held[i], row[i])
 * @smallest: held[i] = min (held[i], row[i])
 * @debayer: colours of a row between its neighbours; the three rows may be
 *   read from −1 to n. @odd: the row's first pixel is green; @blue: its other
 *   colour is blue
 * @gather: out[i] = Σ over k of weights[k × n + i] × sum[first[i] + k]
 * @shade: grey pixels 0xFFvvvvvv of the values
 * @shade_rgb: colour pixels of three rows of values
 *
 * Each works on one row without locks or memory of its own. No pointer may
 * overlap another. Vector versions give the very same results as the scalar
 * ones: same order of sums, nothing contracted.
 */
typedef struct
{
  void (*set)       (const uint16_t  *row,
                     float            weight,
                     float           *sum,
                     int              n);
  void (*add)       (const uint16_t  *row,
                     float            weight,
                     float           *sum,
                     int              n);
  void (*largest)   (const uint16_t  *row,
                     uint16_t        *held,
                     int              n);
  void (*smallest)  (const uint16_t  *row,
                     uint16_t        *held,
                     int              n);
  void (*debayer)   (const uint16_t  *above,
                     const uint16_t  *row,
                     const uint16_t  *below,
                     gboolean         odd,
                     gboolean         blue,
                     uint16_t *const  rgb[3],
                     int              n);
  void (*gather)    (const float     *sum,
                     const int32_t   *first,
                     const float     *weights,
                     int              n_taps,
                     float           *out,
                     int              n);
  void (*shade)     (const float     *values,
                     const FilShades *shades,
                     uint32_t        *pixels,
                     int              n);
  void (*shade_rgb) (const float     *const rgb[3],
                     const FilShades *shades,
                     uint32_t        *pixels,
                     int              n);
} FilRenderKernels;

const FilRenderKernels *fil_render_kernels_for (FilCpuLevel level);

G_END_DECLS
