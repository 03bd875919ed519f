/* fil-live-info.h: what a clip's header says of the running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"
#include "fil-live.h"

G_BEGIN_DECLS

void fil_live_fill_info (FilLive                  *self,
                         const FilRecorderOptions *options,
                         FilPlace                 *place,
                         FilClipInfo              *info);

G_END_DECLS
