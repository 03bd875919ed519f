/* fil-sim-ring.h: frames rendered beforehand, handed out without a copy
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"
#include "fil-sim-moment.h"
#include "fil-sim-stage.h"

G_BEGIN_DECLS

/* Reference-counted: frames that are still held keep it. Read-only once it
 * is rendered. */
typedef struct _FilSimRing FilSimRing;

guint       fil_sim_ring_choose_length (const FilSimStage  *stage);
FilSimRing *fil_sim_ring_render        (const FilSimStage  *stage,
                                        const FilSimMoment *moments,
                                        guint               n_frames,
                                        const int          *stopping);
void        fil_sim_ring_unref         (FilSimRing         *ring);
guint       fil_sim_ring_get_length    (const FilSimRing   *ring);
FilFrame   *fil_sim_ring_make_frame    (FilSimRing         *ring,
                                        guint               index);
void        fil_sim_frame_describe     (FilFrame           *frame,
                                        const FilSimView   *view,
                                        const FilSimMoment *moment);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimRing, fil_sim_ring_unref)

G_END_DECLS
