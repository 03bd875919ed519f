/* fil-live-limb.c: the limb in what comes, a few times a second
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-limb-track.h"
#include "fil-live-private.h"

/* Often enough for a hand that follows the arrow; a look takes some ms. */
#define INTERVAL_US (G_USEC_PER_SEC / 5)

/* All of it belongs to the measuring thread. */
struct _FilLiveLimb
{
  FilLimbFinder   *finder;
  FilLimbTrack    *track;
  FilLiveLimbWish  wish;     /* what @track holds was found with */
  int              width, height;
  gint64           last_us;  /* 0: not looked yet */
  FilLimb          steady;
};

FilLiveLimb *
fil_live_limb_new (void)
{
  FilLiveLimb *self = g_new0 (FilLiveLimb, 1);

  self->finder = fil_limb_finder_new ();
  self->track = fil_limb_track_new ();

  return self;
}

void
fil_live_limb_free (FilLiveLimb *self)
{
  fil_limb_track_free (self->track);
  fil_limb_finder_free (self->finder);
  g_free (self);
}

static void
begin (FilLiveLimb           *self,
       const FilFrame        *frame,
       const FilLiveLimbWish *wish)
{
  fil_limb_track_reset (self->track);
  self->wish = *wish;
  self->width = frame->width;
  self->height = frame->height;
  self->last_us = 0;
  self->steady = (FilLimb) { 0 };
}

/* @limb: (out): all 0 while none is wished for */
void
fil_live_limb_look (FilLiveLimb           *self,
                    const FilFrame        *frame,
                    const FilLiveLimbWish *wish,
                    double                 black_level,
                    FilLimb               *limb)
{
  gint64 now_us = g_get_monotonic_time ();
  FilLimb look;

  if (wish->radius_px != self->wish.radius_px || wish->fit_radius != self->wish.fit_radius ||
      frame->width != self->width || frame->height != self->height)
    begin (self, frame, wish);

  if (wish->radius_px > 0.0 && (self->last_us == 0 || now_us - self->last_us >= INTERVAL_US))
    {
      self->last_us = now_us;
      fil_limb_finder_find (self->finder, frame, wish->radius_px, wish->fit_radius, black_level,
                            &look);
      fil_limb_track_add (self->track, &look, frame->time_ns, &self->steady);
    }
  *limb = self->steady;
}

/**
 * fil_live_set_limb_wanted:
 * @radius_px: the disc's radius, pixels of the picture as it comes, at least
 *   FIL_LIMB_MIN_RADIUS_PX; 0: nothing is looked for any more
 * @fit_radius: @radius_px is but a guess; for whole discs
 *
 * Looks for the limb at most five times a second, and not while a clip is
 * recorded; FilLiveReading.limb is steadied over two seconds. Stays until it
 * is set anew, so set it again with another rig, scale or mode.
 */
void
fil_live_set_limb_wanted (FilLive  *self,
                          double    radius_px,
                          gboolean  fit_radius)
{
  g_return_if_fail (FIL_IS_LIVE (self));
  g_return_if_fail (radius_px == 0.0 || (radius_px >= FIL_LIMB_MIN_RADIUS_PX &&
                                         radius_px <= FIL_LIMB_MAX_RADIUS_PX));

  pthread_mutex_lock (&self->lock);
  self->limb_wish = (FilLiveLimbWish) { radius_px, fit_radius };
  pthread_mutex_unlock (&self->lock);
}
