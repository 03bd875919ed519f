/* fil-sim-air.h: the moving air in front of the telescope
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

#include "fil-sim-transfer.h"

G_BEGIN_DECLS

/**
 * FilSimAirPlace:
 *
 * How far the wind has carried each layer over the telescope, metres, and
 * how strong the turbulence is: (aperture/r0)^(5/6).
 */
typedef struct
{
  double ground_x, ground_y;
  double high_x, high_y;
  double strength;
} FilSimAirPlace;

/* Made once, then read by any thread. */
typedef struct _FilSimAir FilSimAir;

FilSimAir *fil_sim_air_new       (guint64                 seed,
                                  double                  aperture_m,
                                  double                  wavelength_m,
                                  double                  outer_scale_m);
void       fil_sim_air_free      (FilSimAir              *air);
void       fil_sim_air_get_common_tilt (const FilSimAir      *air,
                                        const FilSimAirPlace *place,
                                        double               *tilt_x_arcsec,
                                        double               *tilt_y_arcsec);
void       fil_sim_air_get_local_tilt  (const FilSimAir      *air,
                                        const FilSimAirPlace *place,
                                        double                x_arcsec,
                                        double                y_arcsec,
                                        double               *tilt_x_arcsec,
                                        double               *tilt_y_arcsec);
void       fil_sim_air_get_phase (const FilSimAir        *air,
                                  const FilSimAirPlace   *place,
                                  const FilSimPupilPoint *points,
                                  int                     n_points,
                                  float                  *phase_rad);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimAir, fil_sim_air_free)

G_END_DECLS
