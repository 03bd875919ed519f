/* fil-aim-search.c: the Sun is searched for by the light of the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-aim-search.h"
#include "fil-optics.h"

#define USUAL_FULL_WELL_E 12000.0   /* of a small pixel; from memory */
#define LONGEST_MS        100.0     /* a longer exposure would answer the hand too late */
/* Longer than that a disc would be overexposed so far that the light of the
 * sky beside it would pass for a disc's with whoever watches for a lost filter;
 * even if the disc is five times brighter than the rig tells. */
#define MOST_DISCS        8.0       /* times full, for the middle of the disc */
#define FOLLOW_S          4.0       /* after the disc was found, the exposure comes to rest */
#define DISC_ON_BAR       0.85      /* of the bar's length */

struct _FilAimSearch
{
  FilLive       *live;
  FilGlow       *glow;
  FilAimGuide   *guide;
  double         shortest_ms, longest_ms;   /* 0: not known yet */
  double         disc_per_ms;               /* the rig's estimate, shares of full; NaN: none */
  double         dark;                      /* counts with the cap on, where the source's
                                               black level isn't known; 0: not seen yet */
  gint64         found_us;                  /* when the search ended; 0: there was none */
  double         wanted_ms;                 /* by the newest reading; NaN: as it is */
};

/* @live: must outlive the search */
FilAimSearch *
fil_aim_search_new (FilLive *live)
{
  FilAimSearch *search = g_new0 (FilAimSearch, 1);

  search->live = live;
  search->glow = fil_glow_new ();
  search->guide = fil_aim_guide_new ();
  search->disc_per_ms = NAN;
  search->wanted_ms = NAN;

  return search;
}

void
fil_aim_search_free (FilAimSearch *search)
{
  if (search == NULL)
    return;

  fil_glow_free (search->glow);
  fil_aim_guide_free (search->guide);
  g_free (search);
}

/* @rig: (nullable): tells roughly how bright the disc will be */
void
fil_aim_search_set_rig (FilAimSearch *search,
                        const FilRig *rig)
{
  const FilElement *camera;
  FilOptics optics;

  g_return_if_fail (search != NULL);

  search->disc_per_ms = NAN;
  if (rig != NULL)
    {
      camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
      fil_optics_compute (rig, &optics);
      search->disc_per_ms = optics.electrons_per_ms /
                            (camera != NULL && camera->full_well_e > 0.0 ? camera->full_well_e
                                                                         : USUAL_FULL_WELL_E);
    }
  fil_aim_guide_set_expected (search->guide, search->disc_per_ms);
}

/* Another source: nothing is known of its light. */
void
fil_aim_search_restart (FilAimSearch *search)
{
  g_return_if_fail (search != NULL);

  fil_glow_reset (search->glow);
  fil_aim_guide_reset (search->guide);
  search->found_us = 0;
  search->dark = 0.0;
  search->wanted_ms = NAN;
}

static void
learn_limits (FilAimSearch *search)
{
  double shortest_ms, longest_ms;

  if (!fil_live_get_exposure_range_ms (search->live, &shortest_ms, &longest_ms))
    return;

  longest_ms = MIN (longest_ms, LONGEST_MS);
  if (search->disc_per_ms > 0.0)
    longest_ms = MIN (longest_ms, MOST_DISCS / search->disc_per_ms);
  longest_ms = MAX (longest_ms, shortest_ms);
  if (shortest_ms == search->shortest_ms && longest_ms == search->longest_ms)
    return;

  search->shortest_ms = shortest_ms;
  search->longest_ms = longest_ms;
  fil_glow_set_limits (search->glow, shortest_ms, longest_ms);
}

/* The level that one pixel in a thousand exceeds, counts. */
static double
find_bright (const FilLiveReading *reading)
{
  double total = 0.0, sum = 0.0;

  for (guint i = 0; i < G_N_ELEMENTS (reading->histogram); i++)
    total += reading->histogram[i];
  for (guint i = 0; i < G_N_ELEMENTS (reading->histogram); i++)
    {
      sum += reading->histogram[i];
      if (sum >= 0.999 * total)
        return (i + 0.5) / G_N_ELEMENTS (reading->histogram) * (reading->full_count + 1.0);
    }

  return reading->full_count;
}

/* A driver's black level has a unit of the driver's own; with the cap on it is
 * seen. */
static double
get_black (FilAimSearch         *search,
           const FilLiveReading *reading)
{
  double black = fil_live_get_black_level (search->live);
  double mean = reading->figures.mean;

  if (black > 0.0)
    return black;
  if (fil_aim_guide_get_state (search->guide) == FIL_AIM_CAPPED && mean > 0.0 &&
      (search->dark == 0.0 || mean < search->dark))
    search->dark = mean;

  return search->dark;
}

static gboolean
take_light (FilAimSearch         *search,
            const FilLiveReading *reading,
            FilGlowReading       *glow)
{
  double black = get_black (search, reading);
  FilGlowSample sample = {
    .time_ns = g_get_monotonic_time () * 1000,
    .mean = reading->figures.mean - black,
    .bright = fmax (find_bright (reading), reading->figures.mean) - black,
    .full = reading->full_count - black,
    .full_fraction = reading->figures.full_fraction,
    .exposure_ms = isfinite (reading->exposure_ms) && reading->exposure_ms > 0.0
                     ? reading->exposure_ms : 1.0,   /* unknown, but hardly wandering */
    .gain = reading->gain,
  };

  if (!isfinite (sample.mean) || !(sample.full > 0.0))
    return FALSE;
  fil_glow_add (search->glow, &sample, glow);

  return TRUE;
}

/* The bar ends a little above the disc, where it is known how bright that will
 * be: what a camera could measure beyond is of no use here.
 *
 * Returns: how much longer the bar is than the whole range */
static double
get_stretch (const FilAimSearch *search)
{
  double disc = isfinite (search->disc_per_ms)
                  ? fil_glow_place (search->glow, search->disc_per_ms) : 0.0;

  return disc > 0.0 ? DISC_ON_BAR / disc : 1.0;
}

/**
 * fil_aim_search_take:
 * @light: (out)
 *
 * One reading more.
 *
 * Returns: %FALSE, @light untouched, where it tells nothing of light
 */
gboolean
fil_aim_search_take (FilAimSearch         *search,
                     const FilLiveReading *reading,
                     FilAimLight          *light)
{
  gint64 now_ns = g_get_monotonic_time () * 1000;
  FilGlowReading glow;
  FilAimSample sample;

  g_return_val_if_fail (search != NULL && reading != NULL && light != NULL, FALSE);

  learn_limits (search);
  if (!take_light (search, reading, &glow))
    return FALSE;

  sample = (FilAimSample) { now_ns, glow.bright, glow.signal, glow.place, reading->limb.seen };
  search->wanted_ms = glow.wanted_ms;
  *light = (FilAimLight) {
    .state = fil_aim_guide_add (search->guide, &sample),
    .glow = glow,
    .left_s = fil_aim_guide_get_left_s (search->guide, now_ns),
    .bar = MIN (glow.place * get_stretch (search), 1.0),
    .disc = isfinite (search->disc_per_ms) ? DISC_ON_BAR : NAN,
    .shortest_ms = search->shortest_ms,
    .longest_ms = search->longest_ms,
  };

  return TRUE;
}

/**
 * fil_aim_search_follow:
 *
 * Lets the exposure follow the light that was taken last: while the Sun is
 * searched for, and until it is well lit once it is found. Not while a clip is
 * recorded.
 */
void
fil_aim_search_follow (FilAimSearch *search)
{
  FilAimState state = fil_aim_guide_get_state (search->guide);
  gboolean searching = state == FIL_AIM_SEARCHING || state == FIL_AIM_OVERDUE;
  gint64 now_us = g_get_monotonic_time ();
  g_autoptr (GError) error = NULL;

  g_return_if_fail (search != NULL);

  if (searching)
    search->found_us = now_us;
  if (!searching && (double) (now_us - search->found_us) > FOLLOW_S * G_USEC_PER_SEC)
    return;
  if (!isfinite (search->wanted_ms) || fil_live_is_recording (search->live))
    return;

  if (!fil_live_set_exposure_ms (search->live, search->wanted_ms, &error))
    g_debug ("the exposure doesn’t follow: %s", error->message);
  search->wanted_ms = NAN;
}

/**
 * fil_aim_search_next:
 *
 * The cap comes off, or is on again.
 *
 * Returns: %FALSE where the cap doesn't matter: the Sun is in view
 */
gboolean
fil_aim_search_next (FilAimSearch *search)
{
  g_return_val_if_fail (search != NULL, FALSE);

  switch (fil_aim_guide_get_state (search->guide))
    {
    case FIL_AIM_CAPPED:
      fil_aim_guide_cap_off (search->guide, g_get_monotonic_time () * 1000);
      return TRUE;

    case FIL_AIM_SEARCHING:
    case FIL_AIM_OVERDUE:
      fil_aim_guide_cap_on (search->guide);
      return TRUE;

    case FIL_AIM_LIMB:
    case FIL_AIM_DISC:
    default:
      return FALSE;
    }
}
