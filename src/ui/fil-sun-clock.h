/* fil-sun-clock.h: now, and the day that is looked at
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_SUN_CLOCK_RUNS G_MININT64

typedef struct
{
  GTimeZone *zone;
  gint64     fixed_ns;   /* where the clock stands still, or FIL_SUN_CLOCK_RUNS */
  GDate      date;       /* the day looked at */
  gboolean   follows;    /* it is today, whenever that is */
} FilSunClock;

void       fil_sun_clock_init       (FilSunClock       *clock,
                                     GTimeZone         *zone,
                                     gint64             fixed_ns);
void       fil_sun_clock_clear      (FilSunClock       *clock);
gint64     fil_sun_clock_get_now    (const FilSunClock *clock);
gint64     fil_sun_clock_get_shown  (const FilSunClock *clock);
void       fil_sun_clock_get_bounds (const FilSunClock *clock,
                                     gint64            *start_ns,
                                     gint64            *end_ns);
GDateTime *fil_sun_clock_dup_noon   (const FilSunClock *clock);
GDateTime *fil_sun_clock_to_local   (const FilSunClock *clock,
                                     gint64             utc_ns);
gboolean   fil_sun_clock_follow     (FilSunClock       *clock);
void       fil_sun_clock_go_to      (FilSunClock       *clock,
                                     int                year,
                                     int                month,
                                     int                day);
gboolean   fil_sun_clock_can_step   (const FilSunClock *clock,
                                     int                days);
void       fil_sun_clock_step       (FilSunClock       *clock,
                                     int                days);
void       fil_sun_clock_go_today   (FilSunClock       *clock);

G_END_DECLS
