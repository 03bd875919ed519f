/* fil-sim-noise.h: smooth noise at any point
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

float fil_sim_noise      (uint32_t seed,
                          float    x,
                          float    y);
float fil_sim_noise_ring (uint32_t seed,
                          float    turns,
                          int      n_around,
                          float    y);
