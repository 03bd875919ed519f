/* fil-aim-guide.c: what an observer is to do next until the Sun is found
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sky beside the disc is a thousand times darker than the disc, so light
 * alone tells them apart, if it is known roughly how bright the disc will be:
 * from the rig at first, by an estimate that may be off by a factor of five,
 * and from the disc itself once a limb was seen. */

#include <math.h>

#include "fil-aim-guide.h"

#define NS             1000000000.0
#define DISC_ESTIMATED (1.0 / 12.0)   /* of the rig's estimate: brighter is disc */
#define DISC_LEARNT    (1.0 / 4.0)    /* of the disc beside a limb, which is darkened */
#define LOST           (1.0 / 40.0)   /* darker is none; between them thin clouds may pass */
#define LOST_S         2.0
#define LIMB_HOLD_S    1.0            /* a limb that boils away for a moment is still there */

/* The brightest of a frame that is all disc is not much brighter than its mean;
 * a field that is half sky has a limb in it. */
#define EVEN           0.6

struct _FilAimGuide
{
  FilAimState state;
  gboolean    begun;          /* a sample has come */
  double      expected;       /* of the disc, a millisecond; NaN: not known */
  double      learnt;         /* the same, seen; NaN: not yet */
  double      cap_off_s;
  double      limb_s;         /* when a limb was last seen */
  double      lit_s;          /* when there was last enough light for a disc */
  gboolean    was_dark;
};

FilAimGuide *
fil_aim_guide_new (void)
{
  FilAimGuide *guide = g_new0 (FilAimGuide, 1);

  guide->expected = NAN;
  fil_aim_guide_reset (guide);

  return guide;
}

void
fil_aim_guide_free (FilAimGuide *guide)
{
  g_free (guide);
}

/* Another source, or another rig: what the disc looked like is forgotten. */
void
fil_aim_guide_reset (FilAimGuide *guide)
{
  g_return_if_fail (guide != NULL);

  guide->state = FIL_AIM_CAPPED;
  guide->begun = FALSE;
  guide->learnt = NAN;
  guide->limb_s = guide->lit_s = -G_MAXDOUBLE;
  guide->was_dark = FALSE;
}

/* @disc_per_ms: the rig's estimate for the middle of the disc, in shares of
 *   full a millisecond; NaN: none */
void
fil_aim_guide_set_expected (FilAimGuide *guide,
                            double       disc_per_ms)
{
  g_return_if_fail (guide != NULL);

  guide->expected = disc_per_ms;
}

static void
begin_search (FilAimGuide *guide,
              double       time_s)
{
  guide->state = FIL_AIM_SEARCHING;
  guide->cap_off_s = time_s;
}

/* The observer has taken the cap off. */
void
fil_aim_guide_cap_off (FilAimGuide *guide,
                       gint64       time_ns)
{
  g_return_if_fail (guide != NULL);

  if (guide->state == FIL_AIM_CAPPED || guide->state == FIL_AIM_OVERDUE)
    begin_search (guide, (double) time_ns / NS);
}

/* The cap is on again: from the beginning. */
void
fil_aim_guide_cap_on (FilAimGuide *guide)
{
  g_return_if_fail (guide != NULL);

  guide->state = FIL_AIM_CAPPED;
  guide->was_dark = FALSE;
}

static gboolean
is_above (const FilAimGuide *guide,
          double             bright,
          double             of_estimated,
          double             of_learnt)
{
  if (isfinite (guide->learnt))
    return bright > of_learnt * guide->learnt;

  return isfinite (guide->expected) && bright > of_estimated * guide->expected;
}

/* With the cap on it is dark; light that comes then is the cap coming off. */
static void
watch_the_cap (FilAimGuide        *guide,
               const FilAimSample *sample,
               double              time_s)
{
  if (sample->place <= 0.0)
    guide->was_dark = TRUE;
  else if (guide->was_dark)
    begin_search (guide, time_s);
}

/**
 * fil_aim_guide_add:
 *
 * One reading more. A Sun that is lost again is searched for anew, with its
 * minute beginning now.
 */
FilAimState
fil_aim_guide_add (FilAimGuide        *guide,
                   const FilAimSample *sample)
{
  double time_s = (double) sample->time_ns / NS;
  gboolean first = !guide->begun, found;

  g_return_val_if_fail (guide != NULL && sample != NULL, FIL_AIM_CAPPED);

  guide->begun = TRUE;
  if (sample->limb_seen)
    {
      guide->limb_s = time_s;
      guide->learnt = fmax (sample->bright, isfinite (guide->learnt) ? 0.9 * guide->learnt : 0.0);
    }

  found = guide->state == FIL_AIM_LIMB || guide->state == FIL_AIM_DISC;
  if (time_s - guide->limb_s < LIMB_HOLD_S)
    guide->state = FIL_AIM_LIMB;
  else if (is_above (guide, sample->bright, DISC_ESTIMATED, DISC_LEARNT) &&
           (found || first || sample->signal > EVEN * sample->bright))
    guide->state = FIL_AIM_DISC;

  if (first || is_above (guide, sample->bright, LOST, LOST))
    guide->lit_s = time_s;
  else if (found && time_s - guide->lit_s > LOST_S)
    begin_search (guide, time_s);

  if (guide->state == FIL_AIM_CAPPED)
    watch_the_cap (guide, sample, time_s);
  else if (guide->state == FIL_AIM_SEARCHING && time_s - guide->cap_off_s >= FIL_AIM_SEARCH_S)
    guide->state = FIL_AIM_OVERDUE;

  return guide->state;
}

FilAimState
fil_aim_guide_get_state (const FilAimGuide *guide)
{
  g_return_val_if_fail (guide != NULL, FIL_AIM_CAPPED);

  return guide->state;
}

/* Returns: seconds until the cap has to go on again, while searching */
double
fil_aim_guide_get_left_s (const FilAimGuide *guide,
                          gint64             time_ns)
{
  g_return_val_if_fail (guide != NULL, 0.0);

  if (guide->state != FIL_AIM_SEARCHING)
    return guide->state == FIL_AIM_OVERDUE ? 0.0 : FIL_AIM_SEARCH_S;

  return CLAMP (guide->cap_off_s + FIL_AIM_SEARCH_S - (double) time_ns / NS, 0.0,
                FIL_AIM_SEARCH_S);
}
