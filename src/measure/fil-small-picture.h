/* fil-small-picture.h: a frame made smaller, for what needs no fine pixels
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* Makes frames of one size and format smaller; one a thread. */
typedef struct
{
  int       bin;                   /* pixels of a frame along a side of one here */
  int       width, height;         /* of the small picture */
  int       frame_width, frame_height;
  uint16_t *counts;                /* of the frame */
  guint32  *columns;               /* sums down a row of bins */
} FilSmallPicture;

gboolean fil_small_picture_init  (FilSmallPicture *self,
                                  const FilFrame  *frame,
                                  double           most_pixels,
                                  GError         **error);
void     fil_small_picture_clear (FilSmallPicture *self);
gboolean fil_small_picture_make  (FilSmallPicture *self,
                                  const FilFrame  *frame,
                                  float           *pixels,
                                  double          *level,
                                  GError         **error);

G_END_DECLS
