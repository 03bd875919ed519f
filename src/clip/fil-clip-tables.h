/* fil-clip-tables.h: the FRAMES and LIGHTPATH tables
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-cards.h"
#include "fil-clip-info.h"

G_BEGIN_DECLS

GBytes *fil_clip_frames_header (const FilClipInfo *info,
                                gint64             utc_begin_ns);
GBytes *fil_clip_light_path    (const FilRig      *rig);
void    fil_clip_set_sums      (FilCards          *cards,
                                guint32            data_sum);

G_END_DECLS
