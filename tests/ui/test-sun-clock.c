/* test-sun-clock.c: now, midnight, and the days of any time zone
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Offsets and changes of zones are those of Debian's tzdata, through GLib. */

#include "fil-sun-clock.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)
#define HOURS    (3600 * NS_PER_S)

static gint64
parse_utc (const char *text)
{
  g_autoptr (GDateTime) time = g_date_time_new_from_iso8601 (text, NULL);

  g_assert_nonnull (time);

  return g_date_time_to_unix (time) * NS_PER_S;
}

static void
set_up (FilSunClock *clock,
        const char  *zone_name,
        const char  *now)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_identifier (zone_name);

  g_assert_nonnull (zone);
  fil_sun_clock_init (clock, zone, parse_utc (now));
}

static void
test_bounds (void)
{
  static const struct { const char *zone, *now, *start; int hours; } cases[] = {
    { "UTC", "2026-06-21T10:00:00Z", "2026-06-21T00:00:00Z", 24 },
    { "+02:00", "2026-06-21T23:00:00Z", "2026-06-21T22:00:00Z", 24 },
    { "Europe/Zurich", "2026-03-29T10:00:00Z", "2026-03-28T23:00:00Z", 23 },
    { "Europe/Zurich", "2026-10-25T10:00:00Z", "2026-10-24T22:00:00Z", 25 },
    { "Pacific/Auckland", "2026-06-21T13:00:00Z", "2026-06-21T12:00:00Z", 24 },
    { "Asia/Kathmandu", "2026-06-21T00:00:00Z", "2026-06-20T18:15:00Z", 24 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilSunClock clock;
      gint64 start_ns, end_ns;

      set_up (&clock, cases[i].zone, cases[i].now);
      fil_sun_clock_get_bounds (&clock, &start_ns, &end_ns);
      g_test_message ("%s, %s", cases[i].zone, cases[i].now);
      g_assert_cmpint (start_ns, ==, parse_utc (cases[i].start));
      g_assert_cmpint (end_ns - start_ns, ==, cases[i].hours * HOURS);
      fil_sun_clock_clear (&clock);
    }
}

/* A zone went over the date line and left out 30 December 2011. */
static void
test_missing_day (void)
{
  FilSunClock clock;

  set_up (&clock, "Pacific/Apia", "2011-12-29T20:00:00Z");
  for (int day = 28; day <= 31; day++)
    {
      gint64 start_ns, end_ns;

      fil_sun_clock_go_to (&clock, 2011, 12, day);
      fil_sun_clock_get_bounds (&clock, &start_ns, &end_ns);
      g_assert_cmpint (end_ns - start_ns, >, 22 * HOURS);
      g_assert_cmpint (end_ns - start_ns, <=, 26 * HOURS);
    }
  fil_sun_clock_clear (&clock);
}

static void
test_follow (void)
{
  FilSunClock clock;

  set_up (&clock, "Europe/Zurich", "2026-06-21T21:59:59Z");
  g_assert_cmpint (g_date_get_day (&clock.date), ==, 21);
  g_assert_false (fil_sun_clock_follow (&clock));
  clock.fixed_ns += NS_PER_S;
  g_assert_true (fil_sun_clock_follow (&clock));
  g_assert_cmpint (g_date_get_day (&clock.date), ==, 22);
  g_assert_false (fil_sun_clock_follow (&clock));

  /* Another day stays where it is; coming back to today follows again. */
  fil_sun_clock_step (&clock, -1);
  clock.fixed_ns += 24 * HOURS;
  g_assert_false (fil_sun_clock_follow (&clock));
  g_assert_cmpint (g_date_get_day (&clock.date), ==, 21);
  g_assert_false (clock.follows);
  fil_sun_clock_step (&clock, 1);
  fil_sun_clock_step (&clock, 1);
  g_assert_true (clock.follows);
  fil_sun_clock_step (&clock, 1);
  fil_sun_clock_go_today (&clock);
  g_assert_true (clock.follows);
  g_assert_cmpint (g_date_get_day (&clock.date), ==, 23);
  fil_sun_clock_clear (&clock);
}

/* On another day the moment is that of the same wall clock, across the change
 * to winter time too. */
static void
test_shown (void)
{
  FilSunClock clock;

  set_up (&clock, "Europe/Zurich", "2026-10-24T10:11:12Z");
  g_assert_cmpint (fil_sun_clock_get_shown (&clock), ==, parse_utc ("2026-10-24T10:11:12Z"));
  fil_sun_clock_step (&clock, 1);
  g_assert_cmpint (fil_sun_clock_get_shown (&clock), ==, parse_utc ("2026-10-25T11:11:12Z"));
  fil_sun_clock_clear (&clock);
}

static void
test_limits (void)
{
  FilSunClock clock;

  set_up (&clock, "UTC", "2026-06-21T10:00:00Z");
  fil_sun_clock_go_to (&clock, 1700, 1, 1);
  g_assert_cmpint (g_date_get_year (&clock.date), ==, 1900);
  g_assert_false (fil_sun_clock_can_step (&clock, -1));
  fil_sun_clock_step (&clock, -1);
  g_assert_cmpint (g_date_get_year (&clock.date), ==, 1900);
  fil_sun_clock_go_to (&clock, 9999, 12, 31);
  g_assert_cmpint (g_date_get_year (&clock.date), ==, 2099);
  g_assert_false (fil_sun_clock_can_step (&clock, 1));
  g_assert_true (fil_sun_clock_can_step (&clock, -1));
  fil_sun_clock_go_to (&clock, 2026, 2, 30);
  g_assert_cmpint (g_date_get_year (&clock.date), ==, 2099);
  fil_sun_clock_clear (&clock);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/sun-clock/bounds", test_bounds);
  g_test_add_func ("/sun-clock/missing-day", test_missing_day);
  g_test_add_func ("/sun-clock/follow", test_follow);
  g_test_add_func ("/sun-clock/shown", test_shown);
  g_test_add_func ("/sun-clock/limits", test_limits);

  return g_test_run ();
}
