/* fil-sim-stage.c: what all frames of a run share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-sim-dust.h"
#include "fil-sim-math.h"
#include "fil-sim-parallel.h"
#include "fil-sim-random.h"
#include "fil-sim-stage.h"

/* Outer scale of the turbulence near the ground (common practice, no source). */
#define OUTER_SCALE_M 20.0

/* What colour filters pass in the green (from memory). */
#define RED_RESPONSE   0.35f
#define GREEN_RESPONSE 1.00f
#define BLUE_RESPONSE  0.45f

/* Samples beyond the view that motion usually asks for: tiles begin there. */
#define USUAL_MARGIN_X 70
#define USUAL_MARGIN_Y 40

/* Cycles a pixel up to which two samples a pixel do: what lies beyond half a
 * cycle a sample passes with less than 4 % of its contrast at this cut-off
 * (diffraction's transfer function at 5/6 is 0.08, and a pixel's own takes half
 * of it), and four samples would take four times as long. */
#define MOST_HALVED 1.2

#define HOT_PIXEL_SHARE 1e-5   /* from memory */

/* Share of the light that passes the filter of the pixel at (x, y). */
static float
colour_response (FilPattern pattern,
                 int        x,
                 int        y)
{
  FilPattern here = fil_pattern_shifted (pattern, x & 1, y & 1);

  switch (here)
    {
    case FIL_PATTERN_RGGB:
      return RED_RESPONSE;
    case FIL_PATTERN_BGGR:
      return BLUE_RESPONSE;
    case FIL_PATTERN_GRBG:
    case FIL_PATTERN_GBRG:
      return GREEN_RESPONSE;
    case FIL_PATTERN_NONE:
    default:
      return 1.0f;
    }
}

static void
make_flat (FilSimStage *stage)
{
  const FilSimView *view = &stage->view;
  FilPattern pattern = view->format->pattern;
  int padded = (view->width + 15) / 16 * 16;

  if (pattern == FIL_PATTERN_NONE && !stage->settings.dust)
    return;

  stage->flat_pitch = padded;
  stage->flat = g_new (float, (gsize) padded * (gsize) view->height);
  for (int y = 0; y < view->height; y++)
    for (int x = 0; x < padded; x++)
      stage->flat[(gsize) y * (gsize) padded + (gsize) x] = colour_response (pattern, x, y);
  if (stage->settings.dust)
    fil_sim_dust_darken (stage->settings.seed, &stage->optics, stage->settings.width,
                         stage->settings.height, view->x, view->y, padded, view->height,
                         stage->flat);
}

static void
make_hot_pixels (FilSimStage *stage)
{
  const FilSimView *view = &stage->view;
  FilSimRandom random = fil_sim_random_init (stage->settings.seed, FIL_SIM_STREAM_SENSOR, 0);
  double area = (double) stage->settings.width * stage->settings.height;
  int n = (int) (HOT_PIXEL_SHARE * area + 0.5);

  stage->hot_pixels = g_array_new (FALSE, FALSE, sizeof (FilSimHotPixel));
  for (int i = 0; i < n && stage->settings.noise; i++)
    {
      FilSimHotPixel hot = {
        (int) (fil_sim_random_uniform (&random) * stage->settings.width) - view->x,
        (int) (fil_sim_random_uniform (&random) * stage->settings.height) - view->y,
        (float) exp (fil_sim_random_range (&random, log (1e4), log (1e6))),
      };

      if (hot.x >= 0 && hot.x < view->width && hot.y >= 0 && hot.y < view->height)
        g_array_append_val (stage->hot_pixels, hot);
    }
}

static void
make_noise (FilSimStage *stage)
{
  FilSimRandom random = fil_sim_random_init (stage->settings.seed, FIL_SIM_STREAM_NOISE, 0);
  const int n = FIL_SIM_NOISE_LENGTH + FIL_SIM_NOISE_REACH;

  stage->noise = g_new (float, n);
  for (int i = 0; i < n; i += 2)
    fil_sim_random_normal_pair (&random, &stage->noise[i], &stage->noise[i + 1]);
}

/* Returns: whether best focus lies differently over the field */
gboolean
fil_sim_stage_is_gradual (const FilSimSettings *settings)
{
  return settings->tilt_x_um != 0.0 || settings->tilt_y_um != 0.0 || settings->curvature_um != 0.0;
}

/* Tiles wide enough for the blur to come: their guard is an eighth. */
static int
choose_tile (const FilSimStage *stage)
{
  const FilSimSettings *settings = &stage->settings;
  const FilSimOptics *optics = &stage->optics;
  double sample_um = optics->pixel_um / stage->oversampling;
  double defocus_um = fabs (settings->defocus_um) + fabs (settings->tilt_x_um) +
                      fabs (settings->tilt_y_um) + fabs (settings->curvature_um);
  double airy = optics->wavelength_m * 1e6 * optics->focal_ratio / sample_um;   /* λN, samples */
  double seeing = 0.98 * optics->wavelength_m / (settings->r0_mm * 1e-3) / FIL_SIM_ARCSEC_RAD /
                  stage->step_arcsec;
  double reach = 4.0 * airy + seeing + 0.7 * defocus_um / optics->focal_ratio / sample_um;

  /* Where blur changes over the field, small tiles follow it better; far out of
   * focus there is no detail that could wrap round. */
  if (fil_sim_stage_is_gradual (settings))
    return fil_sim_scene_shows_limb (stage->scene) ? 512 : 256;
  /* Light that wraps round matters most where half a tile is dark sky. */
  if (fil_sim_scene_shows_limb (stage->scene) || reach > 64.0)
    return 1024;

  return reach > 32.0 ? 512 : 256;
}

static void
make_scene (int      index,
            gpointer user_data)
{
  FilSimStage *stage = user_data;

  if (index == 0)
    stage->scene = fil_sim_scene_new (&stage->optics, stage->settings.seed, stage->settings.target,
                                      stage->settings.width, stage->settings.height,
                                      stage->oversampling);
  else if (index == 1)
    stage->air = fil_sim_air_new (stage->settings.seed, stage->optics.aperture_m,
                                  stage->optics.wavelength_m, OUTER_SCALE_M);
  else
    make_noise (stage);
}

/**
 * fil_sim_stage_new:
 * @settings: width, height and bits filled in
 * @view: within that sensor
 *
 * Draws the Sun, the air and the sensor of a run; some tenths of a second.
 *
 * Returns: (transfer full)
 */
FilSimStage *
fil_sim_stage_new (const FilSimSettings *settings,
                   const FilSimOptics   *optics,
                   const FilSimView     *view)
{
  FilSimStage *stage = g_new0 (FilSimStage, 1);

  stage->settings = *settings;
  stage->optics = *optics;
  stage->view = *view;
  /* Beyond half a cycle a pixel the optics show more than pixels can hold. */
  stage->oversampling = optics->cutoff_cycles_per_px > MOST_HALVED ? 4 :
                        optics->cutoff_cycles_per_px > 0.48 ? 2 : 1;
  stage->step_arcsec = optics->plate_scale_arcsec_per_px / stage->oversampling;

  fil_sim_parallel (3, make_scene, stage);
  stage->tiles = fil_sim_tiles_new (stage->scene, choose_tile (stage),
                                    fil_sim_stage_is_gradual (settings),
                                    optics->cutoff_cycles_per_px / stage->oversampling,
                                    stage->oversampling * view->x - USUAL_MARGIN_X,
                                    stage->oversampling * view->y - USUAL_MARGIN_Y);
  fil_sim_tiles_prepare (stage->tiles, stage->oversampling * view->x - USUAL_MARGIN_X,
                         stage->oversampling * view->y - USUAL_MARGIN_Y,
                         stage->oversampling * view->width + 2 * USUAL_MARGIN_X,
                         stage->oversampling * view->height + 2 * USUAL_MARGIN_Y);
  stage->mean_light = fil_sim_stage_estimate_mean (settings, optics, view->format->pattern);
  make_flat (stage);
  make_hot_pixels (stage);

  return stage;
}

/**
 * fil_sim_stage_estimate_mean:
 * @pattern: colour filters
 *
 * Cheap; needs no stage.
 *
 * Returns: mean of the still picture relative to the disc's centre, through
 *   the colour filters
 */
double
fil_sim_stage_estimate_mean (const FilSimSettings *settings,
                             const FilSimOptics   *optics,
                             FilPattern            pattern)
{
  double mean = fil_sim_scene_estimate_mean (optics, settings->seed, settings->target,
                                             settings->width, settings->height);

  if (pattern != FIL_PATTERN_NONE)
    mean *= 0.25 * (double) (RED_RESPONSE + 2.0f * GREEN_RESPONSE + BLUE_RESPONSE);

  return mean;
}

void
fil_sim_stage_free (FilSimStage *stage)
{
  if (stage == NULL)
    return;

  fil_sim_tiles_free (stage->tiles);
  fil_sim_scene_free (stage->scene);
  fil_sim_air_free (stage->air);
  g_free (stage->flat);
  g_free (stage->noise);
  g_array_unref (stage->hot_pixels);
  g_free (stage);
}
