/* test-day.c: the Sun's way over the sky against PyEphem
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-day.h"
#include "fil-sun.h"

#define NS_PER_S   G_GINT64_CONSTANT (1000000000)
#define HOURS      (3600 * NS_PER_S)
#define NEVER      (-1)

/* PyEphem agrees with the golden rows of test-sun.c within this; divided by
 * how fast the Sun climbs, it is the tolerance where it grazes the horizon. */
#define PLACE_DEG  0.004
#define TIME_S     3.0

/* PyEphem 4.1.4 (Debian 12); made by day-golden.py: the Sun's centre at −50′,
 * without refraction. Days begin at midnight of mean solar time; rise, transit
 * and set in seconds after that, the transit's altitude in degrees. */
static const struct
{
  const char *start;
  double latitude, longitude;
  FilDayKind kind;
  int rise_s, transit_s, set_s;
  double transit_altitude;
} golden[] = {
  { "2018-06-20T22:44Z", 69.65, 18.96, FIL_DAY_STAYS_UP, -1, 43316, -1, 43.784 },
  { "2018-12-20T22:44Z", 69.65, 18.96, FIL_DAY_STAYS_DOWN, -1, 43091, -1, -3.087 },
  { "2018-05-16T22:44Z", 69.65, 18.96, FIL_DAY_RISES_OR_SETS, 2084, 42993, 85244, 39.713 },
  { "2018-11-24T22:44Z", 69.65, 18.96, FIL_DAY_RISES_OR_SETS, 39519, 42426, 45287, -0.425 },
  { "2026-04-16T22:58Z", 78.2, 15.6, FIL_DAY_RISES_OR_SETS, 4273, 43149, 83523, 22.362 },
  { "2026-08-24T22:58Z", 78.2, 15.6, FIL_DAY_RISES_OR_SETS, 2273, 43303, 82584, 22.461 },
  { "2026-06-04T22:20Z", 66.8, 25.0, FIL_DAY_STAYS_UP, -1, 43109, -1, 45.768 },
  { "2026-07-07T22:20Z", 66.8, 25.0, FIL_DAY_STAYS_UP, -1, 43506, -1, 45.643 },
  { "2026-01-09T12:53Z", -77.8, 166.7, FIL_DAY_STAYS_UP, -1, 43651, -1, 34.178 },
  { "2026-06-30T12:53Z", -77.8, 166.7, FIL_DAY_STAYS_DOWN, -1, 43440, -1, -10.918 },
  { "2026-10-19T12:53Z", -77.8, 166.7, FIL_DAY_RISES_OR_SETS, 5455, 42305, 80008, 22.473 },
  { "2026-12-03T04:32Z", -67.6, -68.1, FIL_DAY_STAYS_UP, -1, 42615, -1, 44.560 },
  { "2026-06-20T18:00Z", 23.44, 90.0, FIL_DAY_RISES_OR_SETS, 18860, 43306, 67751, 89.998 },
  { "2026-03-20T00:00Z", 0.0, 0.0, FIL_DAY_RISES_OR_SETS, 21851, 43646, 65441, 89.957 },
  { "2026-02-02T12:00Z", -17.0, 179.9, FIL_DAY_RISES_OR_SETS, 20967, 44047, 67115, 89.579 },
  { "2026-02-03T12:00Z", -17.0, -179.9, FIL_DAY_RISES_OR_SETS, 20950, 44006, 67049, 89.283 },
  { "2026-03-18T00:00Z", 88.0, 0.0, FIL_DAY_RISES_OR_SETS, 22765, 43681, 65957, 1.163 },
  { "2026-06-18T00:00Z", 88.0, 0.0, FIL_DAY_STAYS_UP, -1, 43270, -1, 25.408 },
  { "2026-06-20T23:28Z", 47.0, 8.0, FIL_DAY_RISES_OR_SETS, 14693, 43309, 71924, 66.437 },
  { "2026-12-20T23:28Z", 47.0, 8.0, FIL_DAY_RISES_OR_SETS, 27769, 43083, 58397, 19.561 },
  { "2042-01-26T18:12Z", 13.214, 87.043, FIL_DAY_RISES_OR_SETS, 23211, 43950, 64698, 58.375 },
  { "1981-03-03T13:22Z", -3.666, 159.608, FIL_DAY_RISES_OR_SETS, 21985, 43885, 65782, 87.137 },
  { "2023-09-03T15:09Z", -13.796, 132.64, FIL_DAY_RISES_OR_SETS, 21817, 43180, 64555, 68.896 },
  { "2002-07-09T11:41Z", 7.905, -175.279, FIL_DAY_RISES_OR_SETS, 20917, 43522, 66124, 75.620 },
  { "2024-03-24T15:11Z", -36.252, 132.285, FIL_DAY_RISES_OR_SETS, 22034, 43546, 65025, 51.773 },
  { "2031-03-05T08:40Z", 33.552, -130.044, FIL_DAY_RISES_OR_SETS, 23013, 43896, 64809, 50.571 },
  { "2001-04-05T15:05Z", -67.926, 133.706, FIL_DAY_RISES_OR_SETS, 25040, 43359, 61580, 15.630 },
  { "2000-09-22T05:03Z", 43.843, -75.85, FIL_DAY_RISES_OR_SETS, 20878, 42774, 64624, 46.164 },
  { "2000-07-10T07:38Z", 13.524, -114.599, FIL_DAY_RISES_OR_SETS, 20377, 43550, 66719, 81.409 },
  { "1993-05-03T02:03Z", -62.858, -30.634, FIL_DAY_RISES_OR_SETS, 28848, 42982, 57060, 11.356 },
  { "1975-10-21T16:23Z", -18.225, 114.264, FIL_DAY_RISES_OR_SETS, 19605, 42275, 64959, 82.586 },
  { "2020-05-16T10:25Z", 22.723, -156.232, FIL_DAY_RISES_OR_SETS, 19123, 42980, 66851, 86.644 },
  { "2035-12-06T07:34Z", 21.429, -113.482, FIL_DAY_RISES_OR_SETS, 23064, 42658, 62247, 46.038 },
  { "1977-12-11T12:36Z", -55.485, 171.036, FIL_DAY_RISES_OR_SETS, 11539, 42803, 74097, 57.566 },
  { "2028-06-13T11:34Z", 39.902, -173.496, FIL_DAY_RISES_OR_SETS, 16252, 43216, 70188, 73.372 },
  { "1980-12-06T11:47Z", 8.398, -176.732, FIL_DAY_RISES_OR_SETS, 21698, 42679, 63657, 59.002 },
  { "1990-04-26T13:06Z", 13.303, 163.582, FIL_DAY_RISES_OR_SETS, 20447, 43044, 65651, 89.607 },
  { "2020-09-09T03:44Z", 55.306, -56.023, FIL_DAY_RISES_OR_SETS, 19312, 43031, 66677, 39.666 },
  { "2022-05-02T09:24Z", 30.839, -141.101, FIL_DAY_RISES_OR_SETS, 18913, 43042, 67197, 74.734 },
  { "2001-06-16T12:31Z", -7.161, 172.203, FIL_DAY_RISES_OR_SETS, 22183, 43258, 64333, 59.463 },
  { "2018-05-22T13:58Z", 11.896, 150.511, FIL_DAY_RISES_OR_SETS, 20097, 43000, 65909, 81.355 },
  { "2015-05-06T04:30Z", 4.817, -67.518, FIL_DAY_RISES_OR_SETS, 20850, 43001, 65155, 78.242 },
  { "2014-08-05T20:57Z", 33.76, 45.65, FIL_DAY_RISES_OR_SETS, 18940, 43579, 68190, 72.908 },
  { "2043-07-02T10:03Z", 24.17, -150.855, FIL_DAY_RISES_OR_SETS, 18994, 43477, 67953, 88.816 },
  { "2007-08-20T21:45Z", -29.246, 33.826, FIL_DAY_RISES_OR_SETS, 23221, 43377, 63554, 48.576 },
  { "1979-08-11T10:40Z", -8.368, -159.945, FIL_DAY_RISES_OR_SETS, 22243, 43496, 64755, 66.397 },
  { "2047-03-21T08:52Z", 39.012, -132.994, FIL_DAY_RISES_OR_SETS, 21698, 43621, 65583, 51.449 },
  { "1996-07-12T02:04Z", 47.517, -31.024, FIL_DAY_RISES_OR_SETS, 15329, 43544, 71727, 64.357 },
  { "2012-03-14T15:44Z", -40.723, 124.104, FIL_DAY_RISES_OR_SETS, 21414, 43708, 65959, 51.275 },
  { "1996-09-14T21:07Z", 51.714, 43.345, FIL_DAY_RISES_OR_SETS, 20065, 42884, 65641, 41.143 },
  { "2015-08-08T19:28Z", 58.853, 67.982, FIL_DAY_RISES_OR_SETS, 14679, 43538, 72302, 47.058 },
  { "1993-02-13T02:19Z", -22.874, -34.636, FIL_DAY_RISES_OR_SETS, 20828, 44026, 67204, 80.345 },
  { "1997-11-15T23:14Z", 36.8, 11.431, FIL_DAY_RISES_OR_SETS, 23960, 42304, 60625, 34.397 },
  { "2037-05-17T07:41Z", 43.165, -115.157, FIL_DAY_RISES_OR_SETS, 16407, 42964, 69557, 66.370 },
};

static gint64
parse_utc (const char *text)
{
  g_autofree char *iso = g_strdup_printf ("%.16s:00Z", text);
  g_autoptr (GDateTime) time = g_date_time_new_from_iso8601 (iso, NULL);

  g_assert_nonnull (time);

  return g_date_time_to_unix (time) * NS_PER_S;
}

static FilDay
compute (gint64 start_ns,
         gint64 length_ns,
         double latitude_deg,
         double longitude_deg)
{
  g_autoptr (GError) error = NULL;
  FilDay day;

  g_assert_true (fil_day_compute (start_ns, start_ns + length_ns, latitude_deg, longitude_deg, 0.0,
                                  &day, &error));
  g_assert_no_error (error);

  return day;
}

static double
altitude_at (gint64 utc_ns,
             double latitude_deg,
             double longitude_deg)
{
  FilSun sun;

  g_assert_true (fil_sun_compute (utc_ns, latitude_deg, longitude_deg, 0.0, &sun, NULL));

  return sun.altitude_deg;
}

/* @climbs: the Sun's own altitude, not its hour angle, decides the moment */
static void
assert_moment (const char   *what,
               const FilDay *day,
               gint64        utc_ns,
               int           expected_s,
               gboolean      climbs)
{
  double tolerance_s = TIME_S, got_s;

  if (expected_s == NEVER || utc_ns == FIL_DAY_NEVER)
    {
      g_test_message ("%s: %s, expected %d", what, utc_ns == FIL_DAY_NEVER ? "never" : "some time",
                      expected_s);
      g_assert_cmpint (utc_ns == FIL_DAY_NEVER, ==, expected_s == NEVER);
      return;
    }

  got_s = (double) (utc_ns - day->start_ns) / (double) NS_PER_S;
  if (climbs)
    {
      double rate = (altitude_at (utc_ns + 30 * NS_PER_S, day->latitude_deg, day->longitude_deg) -
                     altitude_at (utc_ns - 30 * NS_PER_S, day->latitude_deg, day->longitude_deg)) /
                    60.0;

      tolerance_s = MAX (TIME_S, PLACE_DEG / fabs (rate));
    }
  g_test_message ("%s: %.1f s, expected %d ± %.0f s", what, got_s, expected_s, tolerance_s);
  g_assert_cmpfloat (fabs (got_s - expected_s), <=, tolerance_s);
}

static void
test_golden (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (golden); i++)
    {
      FilDay day = compute (parse_utc (golden[i].start), 24 * HOURS, golden[i].latitude,
                            golden[i].longitude);

      g_test_message ("%s, %g, %g", golden[i].start, golden[i].latitude, golden[i].longitude);
      g_assert_cmpint (day.kind, ==, golden[i].kind);
      assert_moment ("rise", &day, day.rise_ns, golden[i].rise_s, TRUE);
      assert_moment ("transit", &day, day.transit_ns, golden[i].transit_s, FALSE);
      assert_moment ("set", &day, day.set_ns, golden[i].set_s, TRUE);
      g_assert_cmpfloat (fabs (day.transit_altitude_deg - golden[i].transit_altitude), <=,
                         PLACE_DEG + 0.0005);
    }
}

static gboolean
is_inside (gint64            utc_ns,
           const FilDaySpan *spans,
           guint             n)
{
  for (guint i = 0; i < n; i++)
    if (utc_ns >= spans[i].from_ns && utc_ns <= spans[i].until_ns)
      return TRUE;

  return FALSE;
}

static void
assert_edge (const FilDay *day,
             gint64        utc_ns,
             double        limit_deg)
{
  if (utc_ns > day->start_ns && utc_ns < day->end_ns)
    g_assert_cmpfloat (fabs (altitude_at (utc_ns, day->latitude_deg, day->longitude_deg) -
                             limit_deg), <, 1e-4);
}

static void
assert_spans (const FilDay *day,
              double        limit_deg)
{
  FilDaySpan spans[FIL_DAY_MAX_SPANS];
  guint n = fil_day_find_above (day, limit_deg, spans);

  g_assert_cmpuint (n, <=, 2);
  for (guint i = 0; i < n; i++)
    {
      g_assert_cmpint (spans[i].from_ns, >=, i == 0 ? day->start_ns : spans[i - 1].until_ns);
      g_assert_cmpint (spans[i].until_ns, >, spans[i].from_ns);
      assert_edge (day, spans[i].from_ns, limit_deg);
      assert_edge (day, spans[i].until_ns, limit_deg);
    }
  for (guint i = 0; i < FIL_DAY_N_SAMPLES; i++)
    if (fabs (day->samples[i].altitude_deg - limit_deg) > 1e-3)
      g_assert_cmpint (is_inside (day->samples[i].utc_ns, spans, n), ==,
                       day->samples[i].altitude_deg > limit_deg);
}

/* At the edges the Sun stands where it is said to stand; between them it is
 * above, beside them below. */
static void
test_above (void)
{
  static const double limits[] = { -10.0, 0.0, 15.0, 30.0, 60.0, 66.43 };

  for (guint i = 0; i < G_N_ELEMENTS (golden); i += 3)
    {
      FilDay day = compute (parse_utc (golden[i].start), 24 * HOURS, golden[i].latitude,
                            golden[i].longitude);

      for (guint k = 0; k < G_N_ELEMENTS (limits); k++)
        assert_spans (&day, limits[k]);
    }
}

/* A night of a minute lies between two samples of ten minutes. The lowest point
 * is looked for minute by minute, apart from the code under test. */
static void
test_short_night (void)
{
  for (int night = 0; night < 5; night++)
    {
      FilDay day = compute (parse_utc ("2018-07-20T10:44Z") + night * 24 * HOURS, 24 * HOURS, 69.65,
                            18.96);
      FilDaySpan spans[FIL_DAY_MAX_SPANS];
      double lowest = 90.0;

      for (gint64 t = day.start_ns + 10 * HOURS; t < day.end_ns - 10 * HOURS; t += 30 * NS_PER_S)
        lowest = MIN (lowest, altitude_at (t, 69.65, 18.96));
      g_assert_cmpuint (fil_day_find_above (&day, lowest - 0.0005, spans), ==, 1);
      g_assert_cmpuint (fil_day_find_above (&day, lowest + 0.0005, spans), ==, 2);
      g_assert_cmpint (spans[1].from_ns - spans[0].until_ns, <, 10 * 60 * NS_PER_S);
    }
}

/* A day by the clock begins elsewhere: in a day by UTC the Sun over the far
 * side of the Earth sets first and rises later, and both are still told. */
static void
test_other_midnights (void)
{
  FilDay by_sun = compute (parse_utc ("2019-12-20T13:55Z"), 24 * HOURS, -33.8688, 151.2093);
  FilDay by_utc = compute (parse_utc ("2019-12-21T00:00Z"), 24 * HOURS, -33.8688, 151.2093);

  g_assert_cmpint (ABS (by_utc.transit_ns - by_sun.transit_ns), <, NS_PER_S / 10);
  g_assert_cmpint (ABS (by_utc.set_ns - by_sun.set_ns), <, NS_PER_S / 10);
  g_assert_cmpint (by_utc.rise_ns, >, by_utc.set_ns);
  g_assert_cmpint (ABS (by_utc.rise_ns - by_sun.rise_ns - 24 * HOURS), <, 60 * NS_PER_S);
}

/* Days of 23 and 25 hours, as clocks have them twice a year. */
static void
test_lengths (void)
{
  for (int hours = 23; hours <= 25; hours++)
    {
      FilDay day = compute (parse_utc ("2026-03-28T23:00Z"), hours * HOURS, 47.0, 8.0);
      FilDay plain = compute (parse_utc ("2026-03-28T23:28Z"), 24 * HOURS, 47.0, 8.0);

      g_assert_cmpint (day.samples[0].utc_ns, ==, day.start_ns);
      g_assert_cmpint (day.samples[FIL_DAY_N_SAMPLES - 1].utc_ns, ==, day.end_ns);
      g_assert_cmpint (ABS (day.rise_ns - plain.rise_ns), <, NS_PER_S / 10);
      g_assert_cmpint (ABS (day.set_ns - plain.set_ns), <, NS_PER_S / 10);
    }
}

static void
test_solar_day (void)
{
  static const struct { const char *utc; double longitude; const char *start; } cases[] = {
    { "2026-06-21T12:00Z", 0.0, "2026-06-21T00:00Z" },
    { "2026-06-21T00:00Z", 0.0, "2026-06-21T00:00Z" },
    { "2026-06-21T23:59Z", 15.0, "2026-06-21T23:00Z" },
    { "2026-06-21T05:59Z", -90.0, "2026-06-20T06:00Z" },
    { "2026-06-21T06:00Z", -90.0, "2026-06-21T06:00Z" },
    { "2026-06-21T12:00Z", 180.0, "2026-06-21T12:00Z" },
    { "2026-06-21T11:59Z", -180.0, "2026-06-20T12:00Z" },
    { "2026-06-21T12:00Z", 360.0, "2026-06-21T00:00Z" },
    { "1969-12-31T23:59Z", 0.0, "1969-12-31T00:00Z" },
    { "1955-01-01T01:00Z", -30.0, "1954-12-31T02:00Z" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      gint64 start_ns, end_ns;

      fil_day_get_solar (parse_utc (cases[i].utc), cases[i].longitude, &start_ns, &end_ns);
      g_test_message ("%s at %g", cases[i].utc, cases[i].longitude);
      g_assert_cmpint (start_ns, ==, parse_utc (cases[i].start));
      g_assert_cmpint (end_ns - start_ns, ==, 24 * HOURS);
    }
}

static void
test_refused (void)
{
  static const struct { const char *start; double latitude, longitude; int code; } cases[] = {
    { "1899-12-31T12:00Z", 0, 0, FIL_SUN_ERROR_TIME },
    { "2099-12-31T12:00Z", 0, 0, FIL_SUN_ERROR_TIME },
    { "2026-01-01T00:00Z", NAN, 0, FIL_SUN_ERROR_SITE },
    { "2026-01-01T00:00Z", 0, NAN, FIL_SUN_ERROR_SITE },
    { "2026-01-01T00:00Z", 90.5, 0, FIL_SUN_ERROR_SITE },
    { "2026-01-01T00:00Z", 0, INFINITY, FIL_SUN_ERROR_SITE },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      FilDay day = { .height_m = 777 };
      gint64 start_ns = parse_utc (cases[i].start);

      g_assert_false (fil_day_compute (start_ns, start_ns + 24 * HOURS, cases[i].latitude,
                                       cases[i].longitude, 0, &day, &error));
      g_assert_error (error, FIL_SUN_ERROR, cases[i].code);
      g_assert_cmpfloat (day.height_m, ==, 777);
    }
}

/* At a pole the Sun stands at its declination all day. */
static void
test_pole (void)
{
  FilDay day = compute (parse_utc ("2026-06-21T00:00Z"), 24 * HOURS, 90.0, 0.0);
  FilDaySpan spans[FIL_DAY_MAX_SPANS];

  g_assert_cmpint (day.kind, ==, FIL_DAY_STAYS_UP);
  g_assert_cmpfloat (fabs (day.transit_altitude_deg - 23.435), <, 0.01);
  g_assert_cmpuint (fil_day_find_above (&day, 30.0, spans), ==, 0);
  g_assert_cmpuint (fil_day_find_above (&day, 20.0, spans), ==, 1);
  g_assert_cmpint (spans[0].from_ns, ==, day.start_ns);
  g_assert_cmpint (spans[0].until_ns, ==, day.end_ns);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/day/golden", test_golden);
  g_test_add_func ("/day/above", test_above);
  g_test_add_func ("/day/short-night", test_short_night);
  g_test_add_func ("/day/other-midnights", test_other_midnights);
  g_test_add_func ("/day/lengths", test_lengths);
  g_test_add_func ("/day/solar-day", test_solar_day);
  g_test_add_func ("/day/refused", test_refused);
  g_test_add_func ("/day/pole", test_pole);

  return g_test_run ();
}
