/* fil-sim-scene.h: the Sun as no instrument sees it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-optics.h"
#include "fil-sim-settings.h"

G_BEGIN_DECLS

/* Made once, then read by any thread. */
typedef struct _FilSimScene FilSimScene;

FilSimScene *fil_sim_scene_new       (const FilSimOptics *optics,
                                      guint64             seed,
                                      FilSimTarget        target,
                                      int                 width,
                                      int                 height,
                                      int                 oversampling);
void         fil_sim_scene_free      (FilSimScene        *scene);
void         fil_sim_scene_draw      (const FilSimScene  *scene,
                                      int                 x0,
                                      int                 y0,
                                      int                 size,
                                      float              *light);
gboolean     fil_sim_scene_shows_limb (const FilSimScene *scene);
double       fil_sim_scene_estimate_mean (const FilSimOptics *optics,
                                      guint64             seed,
                                      FilSimTarget        target,
                                      int                 width,
                                      int                 height);
double       fil_sim_scene_limb_darkening (double         wavelength_nm,
                                      double              mu);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimScene, fil_sim_scene_free)

G_END_DECLS
