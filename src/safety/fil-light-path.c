/* fil-light-path.c: where along a rig the sunlight is weakened
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-light-path.h"

static int
find_kind (const FilRig  *rig,
           FilElementKind kind,
           int            from,
           int            before)
{
  for (int i = from; i < before; i++)
    if (fil_rig_get_element (rig, (guint) i)->kind == kind)
      return i;

  return -1;
}

/* Adds up densities. An element that doesn't tell its own makes the sum
 * unknown, which counts as too little. */
static double
sum_density (const FilRig  *rig,
             FilElementKind kind,
             int            from,
             int            before)
{
  double density = 0.0;

  for (int i = find_kind (rig, kind, from, before); i >= 0;
       i = find_kind (rig, kind, i + 1, before))
    density += fil_rig_get_element (rig, (guint) i)->density;

  return density;
}

static gboolean
is_filter (FilElementKind kind)
{
  return kind == FIL_ELEMENT_FRONT_FILTER || kind == FIL_ELEMENT_DENSITY ||
         kind == FIL_ELEMENT_BANDPASS || kind == FIL_ELEMENT_BLOCKER;
}

/**
 * fil_light_path_follow:
 * @rig: any rig, also one without objective or camera
 * @path: (out caller-allocates): what was found
 *
 * What stands behind the camera counts for nothing, and a filter counts only
 * where it can work.
 */
void
fil_light_path_follow (const FilRig *rig,
                       FilLightPath *path)
{
  int n = (int) fil_rig_get_n_elements (rig);
  gboolean front_enough, wedge_enough;

  path->camera = find_kind (rig, FIL_ELEMENT_CAMERA, 0, n);
  n = path->end = path->camera >= 0 ? path->camera : n;
  path->objective = find_kind (rig, FIL_ELEMENT_OBJECTIVE, 0, n);
  path->front_filter = find_kind (rig, FIL_ELEMENT_FRONT_FILTER, 0, path->objective);
  path->front_density = sum_density (rig, FIL_ELEMENT_FRONT_FILTER, 0, path->objective);
  path->wedge = path->objective >= 0
                  ? find_kind (rig, FIL_ELEMENT_WEDGE, path->objective + 1, n) : -1;
  path->behind_density = path->wedge >= 0
                           ? sum_density (rig, FIL_ELEMENT_DENSITY, path->wedge + 1, n) : 0.0;
  path->density_behind = path->wedge >= 0 &&
                         find_kind (rig, FIL_ELEMENT_DENSITY, path->wedge + 1, n) >= 0;
  path->polariser = find_kind (rig, FIL_ELEMENT_POLARISER, 0, n) >= 0;

  path->late_filter = -1;
  for (int i = path->objective + 1; i < n && path->late_filter < 0; i++)
    if (is_filter (fil_rig_get_element (rig, (guint) i)->kind))
      path->late_filter = i;

  /* NaN compares false: what isn't told doesn't suffice. */
  front_enough = path->front_filter >= 0 && path->front_density >= FIL_FILM_VISUAL_DENSITY;
  wedge_enough = path->wedge >= 0 && path->behind_density >= FIL_WEDGE_VISUAL_DENSITY;
  path->camera_only = !front_enough && !wedge_enough;
}
