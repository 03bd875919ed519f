/* fil-sim-clouds.c: clouds before the Sun
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A shape drawn from noise of several sizes that the wind carries past; it
 * also changes slowly by itself. Invented, not measured. */

#include "fil-sim-clouds.h"
#include "fil-sim-math.h"
#include "fil-sim-noise.h"

#define SPEED_ARCSEC_S 450.0
#define SIZE_ARCSEC    3200.0
#define THICKNESS      2.6f     /* optical depth of a thick cloud */

/**
 * fil_sim_clouds_get_transparency:
 * @amount: 0: clear sky, 1: overcast
 *
 * Returns: share of the light that comes through, 0 to 1
 */
float
fil_sim_clouds_get_transparency (uint32_t seed,
                                 double   amount,
                                 double   time_s,
                                 double   x_arcsec,
                                 double   y_arcsec)
{
  float x = (float) ((x_arcsec + time_s * SPEED_ARCSEC_S) / SIZE_ARCSEC);
  float y = (float) ((y_arcsec + 0.3 * time_s * SPEED_ARCSEC_S) / SIZE_ARCSEC);
  float shape = 0.0f, size = 0.62f;

  if (amount <= 0.0)
    return 1.0f;

  for (int i = 0; i < 5; i++)
    {
      shape += size * fil_sim_noise (seed + (uint32_t) i, x, y);
      x = 2.1f * x + 5.3f;
      y = 2.1f * y + 1.7f;
      size *= 0.5f;
    }
  shape += (float) (1.5 * amount - 0.75);

  return shape <= 0.0f ? 1.0f : expf (-THICKNESS * shape);
}
