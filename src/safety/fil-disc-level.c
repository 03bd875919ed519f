/* fil-disc-level.c: how bright the clear disc is, learnt while watching
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The second brightest of the newest steady stretches, ten minutes of them:
 * cloud flickers and makes no stretch, thin cloud that stays makes low ones,
 * which count for nothing until they have lasted so long.
 */

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fil-disc-level.h"

#define STEADY_NS        (5 * G_GINT64_CONSTANT (1000000000))
#define STEADY_SAMPLES   5
#define STEADY_SPREAD    1.1    /* largest over smallest within a stretch */
#define NOT_THE_DISC     1.3    /* nothing is so much brighter than the clear disc */

/* Neckel & Labs 1994, Sol. Phys. 153, 91, at 541.76 nm: a field 0.6 of the
 * radius out still has 0.89 of the centre's brightness, a sliver of the limb
 * (μ = 0.1) 0.38 of it. */
#define HEADROOM_INNER   1.25
#define HEADROOM_LIMB    2.7

/* Forgets the reference: other settings, or it was wrong. */
void
fil_disc_level_clear (FilDiscLevel *disc)
{
  disc->n = 0;
  disc->next = 0;
  disc->n_readings = 0;
  disc->reference = NAN;
  disc->headroom = HEADROOM_LIMB;
  fil_disc_level_restart (disc);
}

/* Ends the stretch that is going on; keeps the reference. */
void
fil_disc_level_restart (FilDiscLevel *disc)
{
  disc->run_n = 0;
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return (x > y) - (x < y);
}

static guint
collect (const FilDiscLevel *disc,
         gboolean            inner_only,
         double             *levels)
{
  guint n = 0;

  for (guint i = 0; i < disc->n; i++)
    if (!inner_only || disc->readings[i].inner)
      levels[n++] = disc->readings[i].level;

  return n;
}

/* Stretches from the inner disc tell more than those with the limb in the
 * field; where there are any, they alone count. */
static void
take_reference (FilDiscLevel *disc)
{
  double levels[FIL_DISC_LEVEL_READINGS];
  guint n = collect (disc, TRUE, levels);

  disc->headroom = n > 0 ? HEADROOM_INNER : HEADROOM_LIMB;
  if (n == 0)
    n = collect (disc, FALSE, levels);

  qsort (levels, n, sizeof levels[0], compare_doubles);
  disc->reference = levels[n > 1 ? n - 2 : 0];
}

static void
add_reading (FilDiscLevel *disc,
             double        level,
             gboolean      inner)
{
  /* What was learnt before was no clear disc, but the sky beside it, or cloud. */
  if (level > NOT_THE_DISC * disc->reference)
    fil_disc_level_clear (disc);

  disc->readings[disc->next] = (FilDiscReading) { level, inner };
  disc->next = (disc->next + 1) % FIL_DISC_LEVEL_READINGS;
  disc->n = MIN (disc->n + 1, FIL_DISC_LEVEL_READINGS);
  disc->n_readings++;
  take_reference (disc);
}

/**
 * fil_disc_level_add:
 * @time_ns: monotonic, after the last
 * @level: of the bright part of a well-exposed frame, above 0
 * @inner: the whole field is evenly bright
 *
 * Carries the stretch on, or begins a new one where the level has moved.
 */
void
fil_disc_level_add (FilDiscLevel *disc,
                    gint64        time_ns,
                    double        level,
                    gboolean      inner)
{
  double low = MIN (disc->run_low, level), high = MAX (disc->run_high, level);

  if (disc->run_n == 0 || high > STEADY_SPREAD * low)
    {
      disc->run_from_ns = time_ns;
      disc->run_n = 1;
      disc->run_low = disc->run_high = disc->run_sum = level;
      disc->run_inner = inner;
      return;
    }

  disc->run_low = low;
  disc->run_high = high;
  disc->run_sum += level;
  disc->run_inner = disc->run_inner && inner;
  disc->run_n++;

  if (disc->run_n >= STEADY_SAMPLES && time_ns - disc->run_from_ns >= STEADY_NS)
    {
      add_reading (disc, disc->run_sum / disc->run_n, disc->run_inner);
      fil_disc_level_restart (disc);
    }
}
