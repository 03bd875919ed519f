/* fil-sim-clouds.h: clouds before the Sun
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

float fil_sim_clouds_get_transparency (uint32_t seed,
                                       double   amount,
                                       double   time_s,
                                       double   x_arcsec,
                                       double   y_arcsec);
