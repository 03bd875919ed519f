/* fil-clip-info-copy.h: a header's facts, kept
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"

G_BEGIN_DECLS

FilClipInfo *fil_clip_info_copy (const FilClipInfo *info);
void         fil_clip_info_cut  (FilClipInfo       *info,
                                 const FilRect     *cut);
void         fil_clip_info_free (FilClipInfo       *info);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilClipInfo, fil_clip_info_free)

G_END_DECLS
