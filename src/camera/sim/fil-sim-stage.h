/* fil-sim-stage.h: what all frames of a run share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"
#include "fil-sim-air.h"
#include "fil-sim-blur.h"
#include "fil-sim-optics.h"
#include "fil-sim-scene.h"
#include "fil-sim-settings.h"

G_BEGIN_DECLS

/**
 * FilSimView:
 *
 * The part of the sensor that is read out, and how.
 */
typedef struct
{
  const FilPixelFormat *format;
  int                   x, y, width, height;   /* pixels, from the sensor's top left */
} FilSimView;

/* A pixel that counts by itself. */
typedef struct
{
  int   x, y;            /* in the view */
  float electrons_per_s;
} FilSimHotPixel;

/**
 * FilSimStage:
 * @flat: share of the light that each pixel of the view takes, rows padded to
 *   @flat_pitch; %NULL: all of it
 * @noise: standard normal deviates, read from any place
 * @mean_light: of the still picture, relative to the disc's centre, through
 *   the colour filters
 *
 * Made once a run; read-only from then on, from any thread.
 */
typedef struct
{
  FilSimSettings  settings;
  FilSimOptics    optics;
  FilSimView      view;
  int             oversampling;      /* scene samples a pixel */
  double          step_arcsec;       /* of a scene sample */
  FilSimScene    *scene;
  FilSimTiles    *tiles;
  FilSimAir      *air;
  float          *flat;
  int             flat_pitch;
  GArray         *hot_pixels;        /* of FilSimHotPixel */
  float          *noise;
  double          mean_light;
} FilSimStage;

#define FIL_SIM_NOISE_LENGTH (1 << 18)
#define FIL_SIM_NOISE_REACH  16384     /* a row may begin at any of the first NOISE_LENGTH */

FilSimStage *fil_sim_stage_new  (const FilSimSettings *settings,
                                 const FilSimOptics   *optics,
                                 const FilSimView     *view);
void         fil_sim_stage_free (FilSimStage          *stage);
gboolean     fil_sim_stage_is_gradual (const FilSimSettings *settings);
double       fil_sim_stage_estimate_mean (const FilSimSettings *settings,
                                 const FilSimOptics   *optics,
                                 FilPattern            pattern);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimStage, fil_sim_stage_free)

G_END_DECLS
