/* drift-scene.h: a made-up texture that moves through the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-drift.h"

G_BEGIN_DECLS

enum { SCENE_WIDTH = 192, SCENE_HEIGHT = 144 };

/**
 * SceneOptions:
 * @contrast: rms of the texture
 * @fixed: rms of a pattern that stays where it is; shadows and bright pixels
 * @noise: rms of each pixel's noise
 * @light: mean, counts
 * @n_waves: plane waves that make the texture; 0: 40
 */
typedef struct
{
  double  contrast, fixed, noise, light;
  guint32 seed;
  int     n_waves;
} SceneOptions;

typedef struct _Scene Scene;

Scene    *scene_new   (const SceneOptions *options);
void      scene_free  (Scene              *scene);
/* The texture moved by x to the right, y up; @dim: its light, 0 to 1. */
FilFrame *scene_frame (Scene              *scene,
                       double              x,
                       double              y,
                       double              dim);

double    scene_gauss (GRand              *rand);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Scene, scene_free)

G_END_DECLS
