/* fil-render-rows.h: a frame's rows as counts, from the top, in colour if asked
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"
#include "fil-render-kernels.h"

G_BEGIN_DECLS

#define FIL_RENDER_N_ROWS 4   /* a row, its neighbours, and one to spare */

/**
 * FilRenderRows:
 *
 * Hands out single rows of one frame between two columns. Rows are unpacked
 * when first asked for and kept while their neighbours are needed, so that a
 * pass from the top down reads each pixel once.
 */
typedef struct
{
  const FilFrame         *frame;
  const FilRenderKernels *kernels;
  int                     x_begin, x_end;
  FilPattern              pattern;   /* from the top left of the picture */

  /*< private >*/
  uint16_t               *raw[FIL_RENDER_N_ROWS];   /* pixel x_begin at [1] */
  int                     raw_y[FIL_RENDER_N_ROWS]; /* −1: none */
  uint16_t               *rgb[3];
  int                     rgb_y;
  gsize                   room;
  FilFrame               *decoded;   /* the compressed frame that whole holds */
  uint16_t               *whole;
} FilRenderRows;

gboolean        fil_render_rows_begin    (FilRenderRows          *rows,
                                          FilFrame               *frame,
                                          const FilRenderKernels *kernels,
                                          int                     x_begin,
                                          int                     x_end,
                                          GError                **error);
const uint16_t *fil_render_rows_get_raw  (FilRenderRows          *rows,
                                          int                     y,
                                          GError                **error);
gboolean        fil_render_rows_get_rgb  (FilRenderRows          *rows,
                                          int                     y,
                                          const uint16_t         *rgb[3],
                                          GError                **error);
void            fil_render_rows_clear    (FilRenderRows          *rows);

G_END_DECLS
