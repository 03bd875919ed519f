/* fil-drift.h: plate scale and camera angle from the Sun's own motion
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-drift-tracker.h"
#include "fil-place.h"
#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_DRIFT_ERROR (fil_drift_error_quark ())

typedef enum
{
  FIL_DRIFT_ERROR_TIME,         /* when the frames were taken isn't known, or makes no sense */
  FIL_DRIFT_ERROR_SIZE,         /* too small, or not all alike */
  FIL_DRIFT_ERROR_FEW,          /* too few frames, or too short a time */
  FIL_DRIFT_ERROR_FEATURELESS,  /* nothing in the picture that could be followed */
  FIL_DRIFT_ERROR_CLOUD,        /* it was lost when the light faded */
  FIL_DRIFT_ERROR_STILL,        /* it doesn't move: the drive is on */
  FIL_DRIFT_ERROR_FAST,         /* it moves faster than the Sun does */
  FIL_DRIFT_ERROR_GUST,         /* it doesn't move evenly */
} FilDriftError;

GQuark fil_drift_error_quark (void);

/**
 * FilDrift:
 * @plate_scale_arcsec_per_px: > 0
 * @plate_scale_error: one standard deviation, arcsec a pixel, of the air
 * @position_angle_deg: on the sky, of the picture's up, from celestial north
 *   through east, 0 to 360
 * @position_angle_error_deg: one standard deviation
 * @speed_px_per_s: of the picture
 * @residual_px: rms distance of the frames from even motion
 * @seconds: of the clips together, without what was left out
 * @n_frames: that were followed
 * @mirrored: as given
 */
typedef struct
{
  double   plate_scale_arcsec_per_px;
  double   plate_scale_error;
  double   position_angle_deg;
  double   position_angle_error_deg;
  double   speed_px_per_s;
  double   residual_px;
  double   seconds;
  guint    n_frames;
  gboolean mirrored;
} FilDrift;

/* The points of one clip, in time order. */
typedef struct
{
  const FilDriftPoint *points;
  guint                n_points;
} FilDriftTrack;

/**
 * FilDriftTerms:
 * @skip_s: left out at the start of each clip, seconds
 * @rate_arcsec_per_s: of the Sun on the sky: its hour angle's rate times the
 *   cosine of its declination
 * @mirrored: the picture is a mirror image of the sky
 * @expected_scale_arcsec_per_px: the rig's; NaN: no rig is known
 */
typedef struct
{
  double   skip_s;
  double   rate_arcsec_per_s;
  gboolean mirrored;
  double   expected_scale_arcsec_per_px;
} FilDriftTerms;

gboolean fil_drift_solve         (const FilDriftTrack *tracks,
                                  guint                n_tracks,
                                  const FilDriftTerms *terms,
                                  FilDrift            *drift,
                                  GError             **error);
gboolean fil_drift_scale_differs (const FilDrift      *drift,
                                  double               rig_scale_arcsec_per_px);
gboolean fil_drift_agrees        (const FilDrift      *drift,
                                  const FilPlace      *place,
                                  double              *turned_deg,
                                  double              *scale_ratio);
char    *fil_drift_explain       (const FilDrift      *drift,
                                  const FilRig        *rig);

G_END_DECLS
