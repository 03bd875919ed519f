/* fil-sim-renderer.h: makes one frame
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"
#include "fil-sim-moment.h"
#include "fil-sim-stage.h"

G_BEGIN_DECLS

/* Belongs to one thread; several may share a stage. */
typedef struct _FilSimRenderer FilSimRenderer;

FilSimRenderer *fil_sim_renderer_new    (const FilSimStage  *stage);
void            fil_sim_renderer_free   (FilSimRenderer     *renderer);
void            fil_sim_renderer_render (FilSimRenderer     *renderer,
                                         const FilSimMoment *moment,
                                         guint8             *pixels,
                                         FilFrameTruth      *truth);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimRenderer, fil_sim_renderer_free)

G_END_DECLS
