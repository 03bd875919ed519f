/* fil-pace.h: not oftener than an eye can follow
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_PACE_HZ 12

/**
 * fil_pace_is_due:
 * @last_us: (inout): when it was last due; 0 at first
 *
 * Figures that change with every frame can't be read, and drawing them takes
 * time that the picture needs.
 *
 * Returns: %TRUE at most %FIL_PACE_HZ times a second
 */
static inline gboolean
fil_pace_is_due (gint64 *last_us)
{
  gint64 now_us = g_get_monotonic_time ();

  if (now_us - *last_us < G_USEC_PER_SEC / FIL_PACE_HZ)
    return FALSE;

  *last_us = now_us;

  return TRUE;
}

G_END_DECLS
