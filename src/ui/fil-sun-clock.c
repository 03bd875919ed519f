/* fil-sun-clock.c: now, and the day that is looked at
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The day is the computer's: from midnight to midnight in its time zone. While
 * it is today, tomorrow follows by itself. */

#include "fil-sun-clock.h"

#define NS_PER_S    G_GINT64_CONSTANT (1000000000)
#define NS_PER_DAY  (86400 * NS_PER_S)
#define LONGEST_NS  (26 * 3600 * NS_PER_S)

/* The days whose both ends the Sun's ephemeris reaches in every zone. */
#define FIRST_YEAR  1900
#define LAST_YEAR   2099

static GDate
today_of (const FilSunClock *clock)
{
  g_autoptr (GDateTime) now = fil_sun_clock_to_local (clock, fil_sun_clock_get_now (clock));
  GDate date;

  g_date_clear (&date, 1);
  g_date_set_dmy (&date, (GDateDay) g_date_time_get_day_of_month (now),
                  (GDateMonth) g_date_time_get_month (now), (GDateYear) g_date_time_get_year (now));

  return date;
}

static GDateTime *
at_time (const FilSunClock *clock,
         const GDate       *date,
         int                hour,
         int                minute,
         int                second)
{
  return g_date_time_new (clock->zone, g_date_get_year (date), (int) g_date_get_month (date),
                          g_date_get_day (date), hour, minute, second);
}

/* @fixed_ns: %FIL_SUN_CLOCK_RUNS for the computer's own clock */
void
fil_sun_clock_init (FilSunClock *clock,
                    GTimeZone   *zone,
                    gint64       fixed_ns)
{
  *clock = (FilSunClock) { g_time_zone_ref (zone), fixed_ns, { 0 }, TRUE };
  clock->date = today_of (clock);
}

void
fil_sun_clock_clear (FilSunClock *clock)
{
  g_clear_pointer (&clock->zone, g_time_zone_unref);
}

gint64
fil_sun_clock_get_now (const FilSunClock *clock)
{
  return clock->fixed_ns != FIL_SUN_CLOCK_RUNS ? clock->fixed_ns : g_get_real_time () * 1000;
}

/* Returns: (transfer full): that moment by the clock on the wall */
GDateTime *
fil_sun_clock_to_local (const FilSunClock *clock,
                        gint64             utc_ns)
{
  g_autoptr (GDateTime) utc = g_date_time_new_from_unix_utc (utc_ns / NS_PER_S);

  return g_date_time_to_timezone (utc, clock->zone);
}

/* Returns: now, or the same time of day on the day looked at */
gint64
fil_sun_clock_get_shown (const FilSunClock *clock)
{
  g_autoptr (GDateTime) now = fil_sun_clock_to_local (clock, fil_sun_clock_get_now (clock));
  g_autoptr (GDateTime) then = NULL;

  if (clock->follows)
    return fil_sun_clock_get_now (clock);

  then = at_time (clock, &clock->date, g_date_time_get_hour (now), g_date_time_get_minute (now),
                  g_date_time_get_second (now));

  return g_date_time_to_unix (then) * NS_PER_S;
}

/* Returns: (transfer full): the middle of the day looked at, to name it by */
GDateTime *
fil_sun_clock_dup_noon (const FilSunClock *clock)
{
  return at_time (clock, &clock->date, 12, 0, 0);
}

/* Midnights; 23 to 25 hours apart as a rule. Zones have been known to leave
 * out a whole day: that one is given 24. */
void
fil_sun_clock_get_bounds (const FilSunClock *clock,
                          gint64            *start_ns,
                          gint64            *end_ns)
{
  g_autoptr (GDateTime) start = at_time (clock, &clock->date, 0, 0, 0);
  g_autoptr (GDateTime) end = NULL;
  GDate next = clock->date;

  g_date_add_days (&next, 1);
  end = at_time (clock, &next, 0, 0, 0);
  *start_ns = g_date_time_to_unix (start) * NS_PER_S;
  *end_ns = g_date_time_to_unix (end) * NS_PER_S;
  if (*end_ns <= *start_ns || *end_ns - *start_ns > LONGEST_NS)
    *end_ns = *start_ns + NS_PER_DAY;
}

/* Returns: whether midnight has gone by, and the day looked at is another */
gboolean
fil_sun_clock_follow (FilSunClock *clock)
{
  GDate today = today_of (clock);

  if (!clock->follows || g_date_compare (&today, &clock->date) == 0)
    return FALSE;
  clock->date = today;

  return TRUE;
}

/* Of a year beyond the ephemeris the nearest that it has; a day that the month
 * doesn't have is let go. */
void
fil_sun_clock_go_to (FilSunClock *clock,
                     int          year,
                     int          month,
                     int          day)
{
  GDate today = today_of (clock);

  year = CLAMP (year, FIRST_YEAR, LAST_YEAR);
  if (!g_date_valid_dmy ((GDateDay) day, (GDateMonth) month, (GDateYear) year))
    return;
  g_date_set_dmy (&clock->date, (GDateDay) day, (GDateMonth) month, (GDateYear) year);
  clock->follows = g_date_compare (&clock->date, &today) == 0;
}

gboolean
fil_sun_clock_can_step (const FilSunClock *clock,
                        int                days)
{
  GDate date = clock->date;

  if (days > 0)
    g_date_add_days (&date, (guint) days);
  else
    g_date_subtract_days (&date, (guint) -days);

  return g_date_get_year (&date) >= FIRST_YEAR && g_date_get_year (&date) <= LAST_YEAR;
}

void
fil_sun_clock_step (FilSunClock *clock,
                    int          days)
{
  GDate date = clock->date;

  if (!fil_sun_clock_can_step (clock, days))
    return;
  if (days > 0)
    g_date_add_days (&date, (guint) days);
  else
    g_date_subtract_days (&date, (guint) -days);
  fil_sun_clock_go_to (clock, g_date_get_year (&date), (int) g_date_get_month (&date),
                       g_date_get_day (&date));
}

void
fil_sun_clock_go_today (FilSunClock *clock)
{
  clock->date = today_of (clock);
  clock->follows = TRUE;
}
