/* fil-limb-track.h: the disc's centre over the last looks at the limb
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-limb.h"

G_BEGIN_DECLS

/* Belongs to one thread at a time. */
typedef struct _FilLimbTrack FilLimbTrack;

FilLimbTrack *fil_limb_track_new   (void);
void          fil_limb_track_free  (FilLimbTrack  *track);
void          fil_limb_track_reset (FilLimbTrack  *track);
guint         fil_limb_track_add   (FilLimbTrack  *track,
                                    const FilLimb *limb,
                                    gint64         time_ns,
                                    FilLimb       *steady);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilLimbTrack, fil_limb_track_free)

G_END_DECLS
