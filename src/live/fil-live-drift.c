/* fil-live-drift.c: the guided run that measures scale and angle by the Sun's drift
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The main thread begins and ends a run; the measuring thread follows the
 * picture with whatever frames it gets, and solves at the end. A run is known
 * by its serial, so that what comes late from an old one is dropped. */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-live-private.h"
#include "fil-optics.h"

#define NS_PER_S      G_GINT64_CONSTANT (1000000000)
#define LOST_S        2.0     /* nothing matched for so long: the Sun has left the field */
#define LEAST_S       4.0     /* a run cut short by that is solved from here on */
#define CROSSED       0.5     /* of the field: so far must the picture have gone by then */
#define FIRST_YEAR_NS (G_GINT64_CONSTANT (1577836800) * NS_PER_S)   /* 2020 */

/* The main thread ------------------------------------------------------------ */

static gboolean
find_rate (FilLive *self,
           double  *rate_arcsec_per_s,
           GError **error)
{
  FilSourceInfo info;
  gint64 utc_ns;
  FilSun sun;

  fil_source_get_info (self->source, &info);
  utc_ns = info.sky_utc_ns != 0 ? info.sky_utc_ns : g_get_real_time () * 1000;
  if (utc_ns < FIRST_YEAR_NS && info.sky_utc_ns == 0)
    {
      g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_CLOCK,
                           _("The computer’s clock isn’t set, and the Sun’s motion depends on "
                             "the day: set it first"));
      return FALSE;
    }
  if (!fil_sun_compute (utc_ns, NAN, NAN, 0.0, &sun, error))
    return FALSE;

  *rate_arcsec_per_s = sun.hour_angle_rate_arcsec_per_s * cos (sun.dec_deg * G_PI / 180.0);

  return TRUE;
}

static double
find_rig_scale (const FilLive *self)
{
  FilOptics optics;

  if (self->rig == NULL)
    return NAN;
  fil_optics_compute (self->rig, &optics);

  return optics.plate_scale_arcsec_per_px;
}

/**
 * fil_live_begin_drift_for:
 * @seconds: of even motion that are wanted, 3 to 600
 * @error: return location
 *
 * Waits for the picture to move, leaves out the first
 * %FIL_LIVE_DRIFT_SKIP_S, and measures. "drift-changed" tells of each step. A
 * run that was on is given up. What was measured before isn't touched.
 *
 * Returns: %FALSE where no picture comes (%FIL_LIVE_ERROR), or the clock isn't set
 */
gboolean
fil_live_begin_drift_for (FilLive *self,
                          double   seconds,
                          GError **error)
{
  FilDriftTerms terms = { .skip_s = 0.0 };
  FilPlace place;

  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);
  g_return_val_if_fail (seconds >= 3.0 && seconds <= 600.0, FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  if (!self->streaming)
    {
      g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_FRAME,
                           _("No picture comes yet: start the source first"));
      return FALSE;
    }
  if (!find_rate (self, &terms.rate_arcsec_per_s, error))
    return FALSE;
  fil_live_get_place (self, &place);
  terms.mirrored = place.mirrored;
  terms.expected_scale_arcsec_per_px = find_rig_scale (self);

  pthread_mutex_lock (&self->lock);
  self->drift_serial++;
  self->drift_terms = terms;
  self->drift = (FilLiveDrift) { .state = FIL_LIVE_DRIFT_WAITING, .needed_s = seconds };
  pthread_mutex_unlock (&self->lock);
  fil_live_emit (self, "drift-changed");

  return TRUE;
}

/* A whole run, %FIL_LIVE_DRIFT_S. */
gboolean
fil_live_begin_drift (FilLive *self,
                      GError **error)
{
  return fil_live_begin_drift_for (self, FIL_LIVE_DRIFT_S, error);
}

static void
end_run (FilLive           *self,
         FilLiveDriftState  state,
         const char        *text)
{
  pthread_mutex_lock (&self->lock);
  self->drift_serial++;
  self->drift = (FilLiveDrift) { .state = state };
  g_strlcpy (self->drift.text, text, sizeof self->drift.text);
  pthread_mutex_unlock (&self->lock);
  fil_live_post (self, FIL_POST_DRIFT);
}

/* Gives a run up, or forgets what it told. */
void
fil_live_cancel_drift (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  if (fil_live_get_drift (self, &(FilLiveDrift) { 0 }))
    end_run (self, FIL_LIVE_DRIFT_IDLE, "");
}

/**
 * fil_live_get_drift:
 * @run: (out caller-allocates): where the run stands
 *
 * Returns: %FALSE where there is none (IDLE)
 */
gboolean
fil_live_get_drift (FilLive      *self,
                    FilLiveDrift *run)
{
  g_return_val_if_fail (FIL_IS_LIVE (self) && run != NULL, FALSE);

  pthread_mutex_lock (&self->lock);
  *run = self->drift;
  pthread_mutex_unlock (&self->lock);

  return run->state != FIL_LIVE_DRIFT_IDLE;
}

/* The stream has ended: nobody follows any longer. */
void
fil_live_drift_halt (FilLive *self)
{
  FilLiveDrift run = { .state = FIL_LIVE_DRIFT_IDLE };

  fil_live_get_drift (self, &run);
  if (run.state == FIL_LIVE_DRIFT_WAITING || run.state == FIL_LIVE_DRIFT_RUNNING)
    end_run (self, FIL_LIVE_DRIFT_FAILED, _("the picture stopped coming before the run was over"));
}

/* The measuring thread ------------------------------------------------------- */

struct _FilLiveFollower
{
  FilLive         *live;
  guint            serial;       /* of the run that is followed */
  FilDriftTracker *tracker;      /* NULL: none */
  FilDriftTerms    terms;
  double           needed_s;
  double           skip_s;       /* after the first frame; 0: no motion was seen yet */
};

FilLiveFollower *
fil_live_follower_new (FilLive *live)
{
  FilLiveFollower *follower = g_new0 (FilLiveFollower, 1);

  follower->live = live;

  return follower;
}

void
fil_live_follower_free (FilLiveFollower *follower)
{
  fil_drift_tracker_free (follower->tracker);
  g_free (follower);
}

static void
start_over (FilLiveFollower *follower)
{
  g_clear_pointer (&follower->tracker, fil_drift_tracker_free);
  follower->tracker = fil_drift_tracker_new ();
  fil_drift_tracker_wait_for_motion (follower->tracker);
  follower->skip_s = 0.0;
}

/* Returns: whether there is a run to follow */
static gboolean
take_up (FilLiveFollower *follower)
{
  FilLive *live = follower->live;
  gboolean wanted, fresh;

  pthread_mutex_lock (&live->lock);
  wanted = live->drift.state == FIL_LIVE_DRIFT_WAITING ||
           live->drift.state == FIL_LIVE_DRIFT_RUNNING;
  fresh = live->drift_serial != follower->serial;
  follower->serial = live->drift_serial;
  follower->terms = live->drift_terms;
  follower->needed_s = live->drift.needed_s;
  pthread_mutex_unlock (&live->lock);

  if (!wanted)
    g_clear_pointer (&follower->tracker, fil_drift_tracker_free);
  else if (fresh || follower->tracker == NULL)
    start_over (follower);

  return wanted;
}

static void
publish (FilLiveFollower    *follower,
         const FilLiveDrift *run)
{
  FilLive *live = follower->live;
  gboolean current;

  pthread_mutex_lock (&live->lock);
  current = live->drift_serial == follower->serial;
  if (current)
    live->drift = *run;
  pthread_mutex_unlock (&live->lock);

  if (current)
    fil_live_post (live, FIL_POST_DRIFT);
}

/* Points up to the last match, less a tail in which there was nothing. */
static guint
count_to_last_match (const FilDriftPoint *points,
                     guint                n)
{
  while (n > 0 && points[n - 1].certainty < FIL_DRIFT_LEAST_CERTAINTY)
    n--;

  return n;
}

static void
finish (FilLiveFollower     *follower,
        const FilDriftTrack *track,
        FilLiveDrift        *run)
{
  g_autoptr (GError) error = NULL;

  follower->terms.skip_s = follower->skip_s;
  if (fil_drift_solve (track, 1, &follower->terms, &run->drift, &error))
    run->state = FIL_LIVE_DRIFT_DONE;
  else
    {
      run->state = FIL_LIVE_DRIFT_FAILED;
      g_strlcpy (run->text, error->message, sizeof run->text);
    }
  publish (follower, run);
}

static void
fail (FilLiveFollower *follower,
      double           after_s,
      FilLiveDrift    *run)
{
  run->state = FIL_LIVE_DRIFT_FAILED;
  g_snprintf (run->text, sizeof run->text,
              _("the picture was lost after %.0f s: clouds, or the drive was started again"),
              after_s);
  publish (follower, run);
}

/* Where @point is the last match: has the picture gone through the field? */
static gboolean
has_crossed (const FilDriftPoint *point,
             const FilFrame      *frame)
{
  return fabs (point->x) >= CROSSED * frame->width || fabs (point->y) >= CROSSED * frame->height;
}

/* The motion has begun: on it goes until there is enough. */
static void
go_on (FilLiveFollower *follower,
       const FilFrame  *frame)
{
  FilLiveDrift run = { .state = FIL_LIVE_DRIFT_RUNNING, .needed_s = follower->needed_s };
  FilDriftTrack track;
  guint n_matched;
  double last_s, matched_s = 0.0;

  track.points = fil_drift_tracker_get_points (follower->tracker, &track.n_points);
  if (track.n_points == 0)
    return;

  n_matched = count_to_last_match (track.points, track.n_points);
  last_s = track.points[track.n_points - 1].time_s - track.points[0].time_s;
  if (n_matched > 0)
    matched_s = track.points[n_matched - 1].time_s - track.points[0].time_s;
  if (follower->skip_s == 0.0)
    follower->skip_s = last_s + FIL_LIVE_DRIFT_SKIP_S;
  run.seconds = CLAMP (last_s - follower->skip_s, 0.0, run.needed_s);
  run.n_frames = track.n_points;

  if (last_s - matched_s < LOST_S && last_s < follower->skip_s + run.needed_s)
    publish (follower, &run);
  else if (last_s - matched_s < LOST_S)
    finish (follower, &track, &run);
  else if (n_matched > 0 && matched_s >= follower->skip_s + LEAST_S &&
           has_crossed (&track.points[n_matched - 1], frame))
    {
      track.n_points = n_matched;
      finish (follower, &track, &run);
    }
  else
    fail (follower, matched_s, &run);
}

/**
 * fil_live_follower_take:
 * @frame: the newest
 *
 * A few milliseconds while a run is on, nothing otherwise.
 */
void
fil_live_follower_take (FilLiveFollower *follower,
                        const FilFrame  *frame)
{
  g_autoptr (GError) error = NULL;

  if (!take_up (follower))
    return;

  if (!fil_drift_tracker_add (follower->tracker, frame, (double) frame->time_ns / NS_PER_S, &error))
    {
      /* Another size, or a file that began again: the old places say nothing. */
      start_over (follower);
      return;
    }
  if (fil_drift_tracker_has_begun (follower->tracker))
    go_on (follower, frame);
}
