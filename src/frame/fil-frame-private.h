/* fil-frame-private.h: what unpacking and packing share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* One decoded row of a compressed picture: @bytes is the whole row. */
typedef void (*FilJpegRow) (int           memory_row,
                            const guint8 *bytes,
                            gpointer      user_data);

gboolean fil_jpeg_decode        (const FilFrame *frame,
                                 int             first_row,
                                 int             n_rows,
                                 FilJpegRow      row,
                                 gpointer        user_data,
                                 GError        **error);
void     fil_frame_unpack_row   (const FilFrame *frame,
                                 int             memory_row,
                                 int             x,
                                 int             n,
                                 uint16_t       *pixels);

/* A row of the picture, counted from the top, as it lies in memory; the
 * same the other way round. */
static inline int
fil_frame_memory_row (const FilFrame *frame,
                      int             y)
{
  return frame->bottom_up ? frame->height - 1 - y : y;
}

/* BT.601 weights, rounded to the nearest count. */
static inline guint8
fil_luma_601 (guint8 red,
              guint8 green,
              guint8 blue)
{
  return (guint8) ((299u * red + 587u * green + 114u * blue + 500u) / 1000u);
}

G_END_DECLS
