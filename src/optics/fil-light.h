/* fil-light.h: how much sunlight a pixel gets, an estimate
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-optics.h"

G_BEGIN_DECLS

double fil_light_wedge_reflectance  (double           index);
double fil_light_path_density       (const FilRig    *rig,
                                     guint            n_elements);
double fil_light_sun_irradiance     (double           wavelength_nm);
double fil_light_mean_to_centre     (double           wavelength_nm);
double fil_light_electrons_per_ms   (const FilRig    *rig,
                                     guint            n_elements,
                                     const FilOptics *optics);

G_END_DECLS
