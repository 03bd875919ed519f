/* fil-v4l2-stamp.h: a driver's frame numbers and stamps, made sense of
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <linux/videodev2.h>

#include "fil-frame.h"

G_BEGIN_DECLS

/* Belongs to one thread; zeroed before the first frame. */
typedef struct
{
  gboolean begun;
  guint32  last;      /* the driver's number of the last frame */
  guint64  sequence;  /* the same without its wrap */
} FilV4l2Count;

guint64 fil_v4l2_count_next (FilV4l2Count             *count,
                             guint32                   number,
                             guint64                  *missed);
void    fil_v4l2_stamp      (const struct v4l2_buffer *buffer,
                             gint64                    now_ns,
                             double                    exposure_ms,
                             FilFrame                 *frame);

G_END_DECLS
