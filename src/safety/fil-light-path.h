/* fil-light-path.h: where along a rig the sunlight is weakened
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_FILM_VISUAL_DENSITY   5.0   /* below it a front filter is for cameras only */
#define FIL_WEDGE_VISUAL_DENSITY  3.0   /* the same for what stands behind a wedge */

/**
 * FilLightPath:
 *
 * Indices are −1 where there is no such element in a place where it works: a
 * front filter before the objective, a wedge behind it and before the camera.
 */
typedef struct
{
  int      objective, camera, front_filter, wedge;
  int      end;               /* the camera's index; without one, the number of elements */
  double   front_density;     /* of all front filters; NaN: not told */
  double   behind_density;    /* of the density filters behind the wedge */
  gboolean density_behind;    /* there is one at all */
  gboolean polariser;         /* between objective and camera */
  int      late_filter;       /* first filter of any sort behind the objective */
  gboolean camera_only;       /* too little density for an eye at an eyepiece */
} FilLightPath;

void fil_light_path_follow (const FilRig *rig,
                            FilLightPath *path);

G_END_DECLS
