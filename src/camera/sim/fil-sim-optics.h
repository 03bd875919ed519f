/* fil-sim-optics.h: the rig's optics as the simulated Sun needs them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

/**
 * FilSimOptics:
 *
 * All finite; what a rig doesn't tell is a usual value.
 */
typedef struct
{
  double   aperture_m;
  double   obstruction_ratio;
  double   wavelength_m;
  double   focal_ratio;              /* at the sensor */
  double   pixel_um;
  double   plate_scale_arcsec_per_px;
  double   cutoff_cycles_per_px;     /* p/(λN) */
  double   electrons_per_ms;         /* a pixel, disc centre */
  double   full_well_e;
  int      columns, rows;
  int      bits;
  gboolean mirrored;                 /* an odd number of reflections */
} FilSimOptics;

gboolean fil_sim_optics_init (FilSimOptics  *optics,
                              const FilRig  *rig,
                              GError       **error);

G_END_DECLS
