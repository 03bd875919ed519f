/* fil-sim-noise.c: smooth noise at any point
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Value noise: a fixed number at each lattice point, blended between them.
 * Used for shapes (spots, clouds, dust), not where a spectrum matters. */

#include "fil-sim-math.h"
#include "fil-sim-noise.h"
#include "fil-sim-random.h"

static float
fade (float t)
{
  return t * t * t * (t * (t * 6.0f - 15.0f) + 10.0f);
}

static float
blend (uint32_t seed,
       int32_t  x0,
       int32_t  x1,
       int32_t  y,
       float    fx,
       float    fy)
{
  float a = fil_sim_hash (seed, x0, y), b = fil_sim_hash (seed, x1, y);
  float c = fil_sim_hash (seed, x0, y + 1), d = fil_sim_hash (seed, x1, y + 1);
  float low = a + fx * (b - a), high = c + fx * (d - c);

  return 2.0f * (low + fy * (high - low)) - 1.0f;
}

/* Returns: -1 to 1, mean 0; features are about one unit wide */
float
fil_sim_noise (uint32_t seed,
               float    x,
               float    y)
{
  float ix = floorf (x), iy = floorf (y);

  return blend (seed, (int32_t) ix, (int32_t) ix + 1, (int32_t) iy,
                fade (x - ix), fade (y - iy));
}

/* As fil_sim_noise(), with @n_around cells round a circle; @turns counts
 * whole turns. */
float
fil_sim_noise_ring (uint32_t seed,
                    float    turns,
                    int      n_around,
                    float    y)
{
  float x = (turns - floorf (turns)) * (float) n_around;
  int32_t x0 = (int32_t) x;
  float iy = floorf (y), fx = fade (x - (float) x0);

  x0 %= n_around;

  return blend (seed, x0, (x0 + 1) % n_around, (int32_t) iy, fx, fade (y - iy));
}
