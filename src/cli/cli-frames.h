/* cli-frames.h: frames of any FITS cube, as a camera would deliver them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip.h"

G_BEGIN_DECLS

/* Reads one clip; zeroed at first. */
typedef struct
{
  FilClip *clip;
  double  *numbers;       /* of a frame that doesn't fit 16 bits */
  double   offset;        /* count = (value − offset) × factor */
  double   factor;        /* 0: not chosen yet */
} FilCliFrames;

void      fil_cli_frames_clear (FilCliFrames *self);
FilFrame *fil_cli_frames_read  (FilCliFrames *self,
                                guint64       index,
                                GError      **error);

G_END_DECLS
