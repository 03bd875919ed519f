/* fil-light.h: how much sunlight a pixel gets, an estimate
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-optics.h"

G_BEGIN_DECLS

/* What is assumed where the rig doesn't tell: see fil-light.c. */
#define FIL_LIGHT_SKY        0.75
#define FIL_LIGHT_OBJECTIVE  0.90
#define FIL_LIGHT_PEAK       0.90
#define FIL_LIGHT_QUANTUM    0.60

double fil_light_wedge_reflectance  (double           index);
double fil_light_element_density    (const FilElement *element);
double fil_light_path_density       (const FilRig    *rig,
                                     guint            n_elements);
double fil_light_sun_irradiance     (double           wavelength_nm);
double fil_light_mean_to_centre     (double           wavelength_nm);
double fil_light_electrons_per_ms   (const FilRig    *rig,
                                     guint            n_elements,
                                     const FilOptics *optics);

G_END_DECLS
