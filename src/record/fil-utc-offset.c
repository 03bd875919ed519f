/* fil-utc-offset.c: from the monotonic clock to UTC
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <time.h>

#include "fil-utc-offset.h"

#define N_TRIES 5

static gint64
read_ns (clockid_t clock)
{
  struct timespec now;

  clock_gettime (clock, &now);

  return (gint64) now.tv_sec * G_GINT64_CONSTANT (1000000000) + now.tv_nsec;
}

/**
 * fil_utc_offset_ns:
 *
 * The computer's idea of UTC less its monotonic clock, read between two
 * readings of the latter; the tightest of a few tries. Thread-safe.
 *
 * Returns: nanoseconds to add to a monotonic time; good to about a microsecond
 */
gint64
fil_utc_offset_ns (void)
{
  gint64 best = 0, tightest = G_MAXINT64;

  for (int i = 0; i < N_TRIES; i++)
    {
      gint64 before = read_ns (CLOCK_MONOTONIC);
      gint64 utc = read_ns (CLOCK_REALTIME);
      gint64 after = read_ns (CLOCK_MONOTONIC);

      if (after - before < tightest)
        {
          tightest = after - before;
          best = utc - (before + (after - before) / 2);
        }
    }

  return best;
}
