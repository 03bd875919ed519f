/* fil-sim-dust.c: shadows of dust before the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A speck at distance z before the sensor is seen through a cone of f/N: its
 * shadow is the pupil's shape, z/N across (less the speck), and takes the
 * ratio of the areas. */

#include <math.h>

#include "fil-sim-dust.h"
#include "fil-sim-math.h"
#include "fil-sim-random.h"

#define MAX_DEPTH 0.15

/* Fills @motes with what this seed's sensor carries: glass covers lie about
 * a millimetre from it, filters some more (common practice, no source). */
void
fil_sim_dust_list (guint64             seed,
                   const FilSimOptics *optics,
                   int                 sensor_width,
                   int                 sensor_height,
                   FilSimMote          motes[FIL_SIM_N_MOTES])
{
  FilSimRandom random = fil_sim_random_init (seed, FIL_SIM_STREAM_DUST, 0);

  for (int i = 0; i < FIL_SIM_N_MOTES; i++)
    {
      FilSimMote *mote = &motes[i];
      double speck_um = fil_sim_random_range (&random, 6.0, 24.0);
      double cone_um;

      mote->x_px = fil_sim_random_range (&random, 0.05, 0.95) * sensor_width;
      mote->y_px = fil_sim_random_range (&random, 0.05, 0.95) * sensor_height;
      mote->distance_mm = i % 3 == 2 ? fil_sim_random_range (&random, 3.0, 6.0)
                                     : fil_sim_random_range (&random, 0.8, 1.6);
      cone_um = mote->distance_mm * 1e3 / optics->focal_ratio;
      mote->diameter_px = MAX (cone_um, speck_um) / optics->pixel_um;
      mote->depth = MIN (speck_um * speck_um / (cone_um * cone_um), MAX_DEPTH);
    }
}

static void
darken_by (const FilSimMote *mote,
           double            obstruction,
           int               x0,
           int               y0,
           int               width,
           int               height,
           float            *flat)
{
  float radius = 0.5f * (float) mote->diameter_px;
  float soft = 1.0f + 0.06f * radius;
  int left = MAX ((int) (mote->x_px - (double) (radius + 3.0f * soft)) - x0, 0);
  int right = MIN ((int) (mote->x_px + (double) (radius + 3.0f * soft)) - x0, width - 1);
  int top = MAX ((int) (mote->y_px - (double) (radius + 3.0f * soft)) - y0, 0);
  int bottom = MIN ((int) (mote->y_px + (double) (radius + 3.0f * soft)) - y0, height - 1);

  for (int y = top; y <= bottom; y++)
    for (int x = left; x <= right; x++)
      {
        float r = hypotf ((float) (x + x0 - mote->x_px), (float) (y + y0 - mote->y_px));
        float dark = 1.0f - fil_sim_smoothstep (radius - soft, radius + soft, r);
        float hole = (float) obstruction * radius;
        /* The edge diffracts: a faint bright rim outside, a darker one inside. */
        float rim = (r - radius) / soft;

        if (hole > 0.5f)
          dark *= fil_sim_smoothstep (hole - soft, hole + soft, r);
        dark += 0.25f * rim * expf (-rim * rim) * -1.0f;
        flat[(gsize) y * (gsize) width + (gsize) x] *= 1.0f - (float) mote->depth * dark;
      }
}

/**
 * fil_sim_dust_darken:
 * @x0: first column of the part, from the sensor's left
 * @y0: first row, from its top
 * @flat: (inout): width × height shares, multiplied by what the dust leaves
 */
void
fil_sim_dust_darken (guint64             seed,
                     const FilSimOptics *optics,
                     int                 sensor_width,
                     int                 sensor_height,
                     int                 x0,
                     int                 y0,
                     int                 width,
                     int                 height,
                     float              *flat)
{
  FilSimMote motes[FIL_SIM_N_MOTES];

  fil_sim_dust_list (seed, optics, sensor_width, sensor_height, motes);
  for (int i = 0; i < FIL_SIM_N_MOTES; i++)
    darken_by (&motes[i], optics->obstruction_ratio, x0, y0, width, height, flat);
}
