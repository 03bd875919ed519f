/* fil-sim-dust.h: shadows of dust before the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-optics.h"

G_BEGIN_DECLS

/**
 * FilSimMote:
 *
 * One speck: where its shadow lies on the whole sensor, and what it is like.
 */
typedef struct
{
  double x_px, y_px;          /* from the sensor's top left */
  double distance_mm;         /* from the sensor */
  double diameter_px;         /* of the shadow */
  double depth;               /* share of the light it takes, 0 to 1 */
} FilSimMote;

#define FIL_SIM_N_MOTES 9

void fil_sim_dust_list   (guint64             seed,
                          const FilSimOptics *optics,
                          int                 sensor_width,
                          int                 sensor_height,
                          FilSimMote          motes[FIL_SIM_N_MOTES]);
void fil_sim_dust_darken (guint64             seed,
                          const FilSimOptics *optics,
                          int                 sensor_width,
                          int                 sensor_height,
                          int                 x0,
                          int                 y0,
                          int                 width,
                          int                 height,
                          float              *flat);

G_END_DECLS
