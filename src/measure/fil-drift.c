/* fil-drift.c: plate scale and camera angle from the Sun's own motion
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * With the drive stopped the picture moves towards celestial west, at the
 * rate of the Sun's hour angle times the cosine of its declination. Neglected:
 * differential refraction, which changes the rate by R = 58″ cot h: 0.03 % at
 * 60° altitude, 0.1 % at 30°; the curvature of the Sun's daily circle, below
 * a hundredth of a degree in half a minute. */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-drift-fit.h"

#define LEAST_FRAMES     16
#define LEAST_SECONDS    2.0
#define LEAST_MATCHED    0.7     /* share of the frames */
#define LEAST_KEPT       0.8     /* share of those that lie by the line */
#define CLOUD_LEVEL      0.8     /* a lost frame this much darker than the rest was clouded */
#define LEAST_SPEED_PX   0.75    /* px/s: less would be a Sun of a hundred pixels */
#define LEAST_OF_EXPECTED 0.2
#define MOST_OF_EXPECTED  5.0
#define LEAST_SIGMA      5.0     /* of the speed over its error */
#define REFRACTION_SHARE 0.001   /* see above */
#define DIFFERS_SIGMA    2.0
#define TURNED_SIGMA     3.0
#define LEAST_TURN_DEG   0.3     /* less is of no use to know */

G_DEFINE_QUARK (fil-drift-error-quark, fil_drift_error)

static gboolean
is_used (const FilDriftTrack *track,
         guint                i,
         double               skip_s)
{
  return track->points[i].time_s - track->points[0].time_s >= skip_s;
}

static gboolean
is_matched (const FilDriftPoint *point)
{
  return point->certainty >= FIL_DRIFT_LEAST_CERTAINTY;
}

/* Frames in all, matched ones, and the mean brightness of both kinds. */
typedef struct
{
  guint  n, n_matched;
  double level, lost_level;
} Count;

static Count
count_points (const FilDriftTrack *tracks,
              guint                n_tracks,
              double               skip_s)
{
  Count count = { 0 };

  for (guint k = 0; k < n_tracks; k++)
    for (guint i = 0; i < tracks[k].n_points; i++)
      if (is_used (&tracks[k], i, skip_s))
        {
          const FilDriftPoint *point = &tracks[k].points[i];

          count.n++;
          count.n_matched += is_matched (point) ? 1 : 0;
          *(is_matched (point) ? &count.level : &count.lost_level) += point->level;
        }
  count.level /= MAX (count.n_matched, 1);
  count.lost_level /= MAX (count.n - count.n_matched, 1);

  return count;
}

static gboolean
check_matches (const Count *count,
               GError     **error)
{
  guint n_lost = count->n - count->n_matched;

  if (count->n_matched >= LEAST_MATCHED * count->n)
    return TRUE;

  if (count->n_matched > 0.1 * count->n && count->lost_level < CLOUD_LEVEL * count->level)
    g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_CLOUD,
                 _("the light faded and the picture was lost in %u of %u frames: clouds?"),
                 n_lost, count->n);
  else if (count->n_matched > 0.1 * count->n)
    g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_CLOUD,
                 _("the picture was lost in %u of %u frames: haze, or nothing on the Sun to follow"),
                 n_lost, count->n);
  else
    g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_FEATURELESS,
                         _("there is nothing in the picture to follow: focus, and show a spot, "
                           "granules or the limb"));

  return FALSE;
}

static gboolean
check_amount (const Count       *count,
              const FilDriftFit *fit,
              GError           **error)
{
  if (count->n < LEAST_FRAMES)
    {
      g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_FEW,
                   _("%u frames are too few: at least %d are needed"), count->n, LEAST_FRAMES);
      return FALSE;
    }
  if (!check_matches (count, error))
    return FALSE;
  if (fit->seconds < LEAST_SECONDS)
    {
      g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_FEW,
                   _("%.1f s are too short: at least %.0f s are needed, and 20 s are better"),
                   fit->seconds, LEAST_SECONDS);
      return FALSE;
    }

  return TRUE;
}

/* @certain: the motion is even, so that its error means something */
static gboolean
check_speed (const FilDriftFit   *fit,
             const FilDriftTerms *terms,
             gboolean             certain,
             GError             **error)
{
  double expected = terms->rate_arcsec_per_s / terms->expected_scale_arcsec_per_px;
  double least = LEAST_SPEED_PX;

  if (isfinite (expected) && expected > 0.0)
    {
      least = LEAST_OF_EXPECTED * expected;
      if (fit->speed > MOST_OF_EXPECTED * expected)
        {
          g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_FAST,
                       _("the picture moved by %.1f px/s, where the rig makes it %.1f px/s with "
                         "the drive stopped: was the telescope being moved?"),
                       fit->speed, expected);
          return FALSE;
        }
    }
  if (fit->speed >= least && (!certain || fit->speed > LEAST_SIGMA * fit->speed_error))
    return TRUE;

  if (isfinite (expected) && expected > 0.0)
    g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_STILL,
                 _("the picture moved by %.2f px/s, where the rig makes it %.1f px/s with the "
                   "drive stopped: was the drive still on?"),
                 fit->speed, expected);
  else
    g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_STILL,
                 _("the picture moved by %.2f px/s, hardly at all: was the drive still on?"),
                 fit->speed);

  return FALSE;
}

static gboolean
check_evenness (const FilDriftFit *fit,
                GError           **error)
{
  FilDriftBreak found;

  fil_drift_fit_find_break (fit, &found);
  if (found.found)
    {
      g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_GUST,
                   _("the motion changed after %.1f s: a gust, or the drive was started or stopped"),
                   found.time_s);
      return FALSE;
    }
  if (fit->kept < LEAST_KEPT)
    {
      g_set_error (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_GUST,
                   _("the motion wasn’t even: %.0f %% of the frames lie far from it. Was there "
                     "wind, or a hand on the telescope?"),
                   100.0 * (1.0 - fit->kept));
      return FALSE;
    }
  if (!isfinite (fit->speed_error) || !isfinite (fit->side_error))
    {
      g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_FEW,
                           _("the frames are too few to tell an error"));
      return FALSE;
    }

  return TRUE;
}

/* The direction towards west, position angle 270°, is known in the picture;
 * angles on the sky run counter-clockwise there, mirrored clockwise. */
static double
find_angle_deg (const FilDriftFit *fit,
                gboolean           mirrored)
{
  double direction_deg = atan2 (fit->vy, fit->vx) * 180.0 / G_PI;
  double angle = fmod (mirrored ? 180.0 + direction_deg : 360.0 - direction_deg, 360.0);

  return angle < 0.0 ? angle + 360.0 : angle;
}

static void
fill_in (const FilDriftFit   *fit,
         const FilDriftTerms *terms,
         FilDrift            *drift)
{
  double scale = terms->rate_arcsec_per_s / fit->speed;

  *drift = (FilDrift) {
    .plate_scale_arcsec_per_px = scale,
    .plate_scale_error = scale * fit->speed_error / fit->speed,
    .position_angle_deg = find_angle_deg (fit, terms->mirrored),
    .position_angle_error_deg = fit->side_error / fit->speed * 180.0 / G_PI,
    .speed_px_per_s = fit->speed,
    .residual_px = fit->residual_px,
    .seconds = fit->seconds,
    .n_frames = fit->samples->len,
    .mirrored = terms->mirrored,
  };
}

/**
 * fil_drift_solve:
 * @tracks: a clip each, all of one camera that wasn't turned between them
 * @n_tracks: from 1
 * @terms: what is known beside them
 * @drift: (out): left alone on failure
 * @error: return location
 *
 * Any thread.
 *
 * Returns: %FALSE with %FIL_DRIFT_ERROR, the reason in plain words
 */
gboolean
fil_drift_solve (const FilDriftTrack *tracks,
                 guint                n_tracks,
                 const FilDriftTerms *terms,
                 FilDrift            *drift,
                 GError             **error)
{
  Count count;
  FilDriftFit fit;
  gboolean good;

  g_return_val_if_fail (tracks != NULL && n_tracks > 0, FALSE);
  g_return_val_if_fail (terms != NULL && terms->rate_arcsec_per_s > 0.0, FALSE);

  count = count_points (tracks, n_tracks, terms->skip_s);
  fil_drift_fit_init (&fit, tracks, n_tracks, terms->skip_s);
  good = check_amount (&count, &fit, error);
  if (good)
    {
      fil_drift_fit_run (&fit);
      good = check_speed (&fit, terms, FALSE, error) && check_evenness (&fit, error) &&
             check_speed (&fit, terms, TRUE, error);
    }
  if (good)
    fill_in (&fit, terms, drift);
  fil_drift_fit_clear (&fit);

  return good;
}

/**
 * fil_drift_scale_differs:
 * @rig_scale_arcsec_per_px: as the rig's numbers have it; NaN: unknown
 *
 * Returns: whether the measured scale differs from it by more than the air and
 *   the neglected refraction explain
 */
gboolean
fil_drift_scale_differs (const FilDrift *drift,
                         double          rig_scale_arcsec_per_px)
{
  double scale = drift->plate_scale_arcsec_per_px;
  double allowed = hypot (DIFFERS_SIGMA * drift->plate_scale_error, REFRACTION_SHARE * scale);

  return fabs (scale - rig_scale_arcsec_per_px) > allowed;
}

/**
 * fil_drift_agrees:
 * @drift: a new, perhaps shorter run
 * @place: measured before
 * @turned_deg: (out) (optional): how far the camera turned since, −180 to 180
 * @scale_ratio: (out) (optional): new scale over old
 *
 * Whether an angle measured before still holds: the two differ by no more than
 * three standard deviations, or by less than 0.3°.
 */
gboolean
fil_drift_agrees (const FilDrift *drift,
                  const FilPlace *place,
                  double         *turned_deg,
                  double         *scale_ratio)
{
  double turned, allowed;

  g_return_val_if_fail (drift != NULL && place != NULL, FALSE);

  turned = remainder (drift->position_angle_deg - place->position_angle_deg, 360.0);
  allowed = hypot (drift->position_angle_error_deg,
                   isfinite (place->position_angle_error_deg) ? place->position_angle_error_deg
                                                              : 0.0);
  if (turned_deg != NULL)
    *turned_deg = turned;
  if (scale_ratio != NULL)
    *scale_ratio = drift->plate_scale_arcsec_per_px / place->plate_scale_arcsec_per_px;

  return place->oriented && !drift->mirrored == !place->mirrored &&
         fabs (turned) <= MAX (TURNED_SIGMA * allowed, LEAST_TURN_DEG);
}
