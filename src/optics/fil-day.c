/* fil-day.c: the Sun's way over the sky in one day
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Samples of the altitude say where something happens; roots of fil-sun's own
 * numbers say when. What fil-sun neglects is neglected here too: UT1 − UTC, at
 * most 0.9 s, moves every time by as much. Rise and set are those of a level
 * horizon at sea level: hills, the dip of the horizon below a high place (a
 * minute and more on a mountain) and a day's own refraction (its changes come
 * to a minute in ordinary latitudes; common practice, no source) are beyond
 * any almanac. */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-day.h"
#include "fil-sun.h"

#define NS_PER_S      G_GINT64_CONSTANT (1000000000)
#define NS_PER_DAY    (86400 * NS_PER_S)
#define NS_PER_DEGREE (240 * NS_PER_S)   /* of longitude */
#define LONGEST_NS    (26 * 3600 * NS_PER_S)
#define EXACT_NS      (NS_PER_S / 100)
#define DEG           (G_PI / 180.0)

/* More than the altitude can change from one sample to the next: 15° an hour
 * at the most, and 11 minutes in the longest day. */
#define STEP_DEG      2.8

#define MAX_NODES     (2 * FIL_DAY_N_SAMPLES)

typedef double (*Figure) (const FilDay *day,
                          gint64        utc_ns);

static FilDaySample
sample_at (const FilDay *day,
           gint64        utc_ns)
{
  FilSun sun = { .altitude_deg = NAN, .azimuth_deg = NAN };

  fil_sun_compute (utc_ns, day->latitude_deg, day->longitude_deg, day->height_m, &sun, NULL);

  return (FilDaySample) { utc_ns, sun.altitude_deg, sun.azimuth_deg };
}

static double
altitude_at (const FilDay *day,
             gint64        utc_ns)
{
  return sample_at (day, utc_ns).altitude_deg;
}

/* From the meridian, west positive. */
static double
hour_angle_of (const FilDay       *day,
               const FilDaySample *sample)
{
  double latitude = day->latitude_deg * DEG;
  double altitude = sample->altitude_deg * DEG, azimuth = sample->azimuth_deg * DEG;

  return atan2 (-sin (azimuth) * cos (altitude),
                sin (altitude) * cos (latitude) -
                  cos (altitude) * sin (latitude) * cos (azimuth)) / DEG;
}

static double
hour_angle_at (const FilDay *day,
               gint64        utc_ns)
{
  FilDaySample sample = sample_at (day, utc_ns);

  return hour_angle_of (day, &sample);
}

/* Regula falsi with the stale end's value halved (the Illinois rule): it stays
 * in its bracket like bisection, and is done after five or six steps. */
static gint64
find_root (const FilDay *day,
           Figure        figure,
           double        level,
           gint64        from_ns,
           gint64        until_ns)
{
  double low = figure (day, from_ns) - level, high = figure (day, until_ns) - level;

  for (int i = 0; i < 60 && until_ns - from_ns > EXACT_NS && low != high; i++)
    {
      double part = CLAMP (low / (low - high), 0.0, 1.0);
      gint64 middle_ns = from_ns + (gint64) (part * (double) (until_ns - from_ns));
      double middle = figure (day, middle_ns) - level;

      if (fabs (middle) < 1e-7)
        return middle_ns;
      if ((middle < 0.0) == (low < 0.0))
        {
          from_ns = middle_ns;
          low = middle;
          high /= 2.0;
        }
      else
        {
          until_ns = middle_ns;
          high = middle;
          low /= 2.0;
        }
    }

  return from_ns + (until_ns - from_ns) / 2;
}

/* Golden-section search for the highest (@sign 1) or lowest (−1) point. */
static FilDaySample
find_turn (const FilDay *day,
           double        sign,
           gint64        from_ns,
           gint64        until_ns)
{
  const double part = (3.0 - sqrt (5.0)) / 2.0;

  while (until_ns - from_ns > NS_PER_S / 4)
    {
      gint64 third = (gint64) (part * (double) (until_ns - from_ns));

      if (sign * altitude_at (day, from_ns + third) < sign * altitude_at (day, until_ns - third))
        from_ns += third;
      else
        until_ns -= third;
    }

  return sample_at (day, from_ns + (until_ns - from_ns) / 2);
}

/* 1 where sample @i is higher than its neighbours, −1 where lower, else 0. */
static double
turn_sign (const FilDay *day,
           guint         i)
{
  double before, here, after;

  if (i == 0 || i + 1 == FIL_DAY_N_SAMPLES)
    return 0.0;

  before = day->samples[i - 1].altitude_deg;
  here = day->samples[i].altitude_deg;
  after = day->samples[i + 1].altitude_deg;
  if (here >= before && here > after)
    return 1.0;

  return here <= before && here < after ? -1.0 : 0.0;
}

/* The samples, with the turning points between them where one could lie on
 * the other side of @altitude_deg than its neighbours. */
static guint
list_nodes (const FilDay *day,
            double        altitude_deg,
            FilDaySample  nodes[MAX_NODES])
{
  guint n = 0;

  for (guint i = 0; i < FIL_DAY_N_SAMPLES; i++)
    {
      const FilDaySample *here = &day->samples[i];
      double sign = turn_sign (day, i);
      FilDaySample turn;

      if (sign == 0.0 || fabs (here->altitude_deg - altitude_deg) > STEP_DEG)
        {
          nodes[n++] = *here;
          continue;
        }
      turn = find_turn (day, sign, here[-1].utc_ns, here[1].utc_ns);
      nodes[n++] = turn.utc_ns < here->utc_ns ? turn : *here;
      nodes[n++] = turn.utc_ns < here->utc_ns ? *here : turn;
    }

  return n;
}

/**
 * fil_day_find_above:
 * @altitude_deg: of the Sun's centre, without refraction
 * @spans: (out caller-allocates): in order of time
 *
 * When the Sun stands at or above an altitude. One that begins with the day
 * or ends with it goes on beyond. Any thread; a few milliseconds.
 *
 * Returns: how many spans there are, 0 where it never gets there
 */
guint
fil_day_find_above (const FilDay *day,
                    double        altitude_deg,
                    FilDaySpan    spans[FIL_DAY_MAX_SPANS])
{
  FilDaySample nodes[MAX_NODES];
  guint n_nodes, n = 0;
  gboolean up;

  g_return_val_if_fail (day != NULL && spans != NULL, 0);
  g_return_val_if_fail (isfinite (altitude_deg), 0);

  n_nodes = list_nodes (day, altitude_deg, nodes);
  up = nodes[0].altitude_deg >= altitude_deg;
  spans[0] = (FilDaySpan) { day->start_ns, day->end_ns };
  for (guint i = 1; i < n_nodes && n < FIL_DAY_MAX_SPANS; i++)
    {
      gint64 when_ns;

      if ((nodes[i].altitude_deg >= altitude_deg) == up)
        continue;
      when_ns = find_root (day, altitude_at, altitude_deg, nodes[i - 1].utc_ns, nodes[i].utc_ns);
      if (up)
        spans[n++].until_ns = when_ns;
      else
        spans[n] = (FilDaySpan) { when_ns, day->end_ns };
      up = !up;
    }

  return up && n < FIL_DAY_MAX_SPANS ? n + 1 : n;
}

static void
set_samples (FilDay *day)
{
  double length_ns = (double) (day->end_ns - day->start_ns);

  for (guint i = 0; i < FIL_DAY_N_SAMPLES; i++)
    day->samples[i] =
      sample_at (day, day->start_ns + (gint64) (length_ns * i / (FIL_DAY_N_SAMPLES - 1)));
}

/* The passage of the meridian above the pole: the hour angle is 0. */
static void
set_transit (FilDay *day)
{
  for (guint i = 1; i < FIL_DAY_N_SAMPLES; i++)
    {
      double before = hour_angle_of (day, &day->samples[i - 1]);
      double after = hour_angle_of (day, &day->samples[i]);

      if (before > 0.0 || after <= 0.0 || after - before > 90.0)
        continue;
      day->transit_ns = find_root (day, hour_angle_at, 0.0, day->samples[i - 1].utc_ns,
                                   day->samples[i].utc_ns);
      day->transit_altitude_deg = altitude_at (day, day->transit_ns);
      return;
    }
}

/* In far northern and southern summers the Sun may set after midnight and
 * rise again: the rise before the transit and the set after it are the
 * day's. */
static void
set_rise_and_set (FilDay *day)
{
  FilDaySpan spans[FIL_DAY_MAX_SPANS];
  guint n = fil_day_find_above (day, FIL_DAY_HORIZON_DEG, spans);

  for (guint i = 0; i < n; i++)
    if (spans[i].from_ns > day->start_ns &&
        (day->rise_ns == FIL_DAY_NEVER || spans[i].from_ns <= day->transit_ns))
      day->rise_ns = spans[i].from_ns;
  for (guint i = n; i-- > 0;)
    if (spans[i].until_ns < day->end_ns &&
        (day->set_ns == FIL_DAY_NEVER || spans[i].until_ns >= day->transit_ns))
      day->set_ns = spans[i].until_ns;

  if (n == 0)
    day->kind = FIL_DAY_STAYS_DOWN;
  else if (day->rise_ns == FIL_DAY_NEVER && day->set_ns == FIL_DAY_NEVER)
    day->kind = FIL_DAY_STAYS_UP;
}

/**
 * fil_day_compute:
 * @start_ns: UTC, nanoseconds since 1970
 * @end_ns: 26 hours later at the most
 * @latitude_deg: geodetic, north positive
 * @longitude_deg: east positive
 * @height_m: above the ellipsoid; NaN counts as 0. It moves the observer and
 *   the refraction, not the horizon
 * @day: (out caller-allocates): untouched on failure
 * @error: %FIL_SUN_ERROR: beyond the ephemeris, or no place on Earth
 *
 * When the Sun rises, passes the meridian and sets, to a second where it
 * doesn't graze the horizon, and its curve over the day. Any thread; some tens
 * of milliseconds.
 *
 * Checked against PyEphem in tests/optics.
 */
gboolean
fil_day_compute (gint64   start_ns,
                 gint64   end_ns,
                 double   latitude_deg,
                 double   longitude_deg,
                 double   height_m,
                 FilDay  *day,
                 GError **error)
{
  FilSun sun;

  g_return_val_if_fail (day != NULL, FALSE);
  g_return_val_if_fail (end_ns > start_ns && end_ns - start_ns <= LONGEST_NS, FALSE);

  if (!isfinite (latitude_deg) || !isfinite (longitude_deg))
    {
      g_set_error_literal (error, FIL_SUN_ERROR, FIL_SUN_ERROR_SITE,
                           _("without latitude and longitude there is no day to tell of"));
      return FALSE;
    }
  if (!fil_sun_compute (start_ns, latitude_deg, longitude_deg, height_m, &sun, error) ||
      !fil_sun_compute (end_ns, latitude_deg, longitude_deg, height_m, &sun, error))
    return FALSE;

  *day = (FilDay) {
    .start_ns = start_ns,
    .end_ns = end_ns,
    .latitude_deg = latitude_deg,
    .longitude_deg = longitude_deg,
    .height_m = height_m,
    .rise_ns = FIL_DAY_NEVER,
    .transit_ns = FIL_DAY_NEVER,
    .set_ns = FIL_DAY_NEVER,
    .transit_altitude_deg = NAN,
  };
  set_samples (day);
  set_transit (day);
  set_rise_and_set (day);

  return TRUE;
}

/**
 * fil_day_get_solar:
 * @longitude_deg: east positive, finite, ±360 at the most
 * @start_ns: (out): midnight of mean solar time before @utc_ns, or just then
 * @end_ns: (out): the midnight after it
 *
 * The day as the place itself has it, whatever its clocks show: its transit is
 * within 17 minutes of the middle.
 */
void
fil_day_get_solar (gint64  utc_ns,
                   double  longitude_deg,
                   gint64 *start_ns,
                   gint64 *end_ns)
{
  gint64 ahead_ns, gone_ns;

  g_return_if_fail (fabs (longitude_deg) <= 360.0);
  g_return_if_fail (start_ns != NULL && end_ns != NULL);

  ahead_ns = (gint64) (longitude_deg * (double) NS_PER_DEGREE) % NS_PER_DAY;
  gone_ns = (utc_ns % NS_PER_DAY + ahead_ns) % NS_PER_DAY;
  if (gone_ns < 0)
    gone_ns += NS_PER_DAY;
  *start_ns = utc_ns - gone_ns;
  *end_ns = *start_ns + NS_PER_DAY;
}
