/* fil-sun.c: the Sun's place, turn and size
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Earth by eraEpv00() (VSOP2000, 1900 to 2100), precession and nutation by
 * IAU 2006/2000A, with light time, annual aberration and the Sun's parallax at
 * the site (8.8″). Neglected: UT1 − UTC (at most 0.9 s, so 13.5″ or 0.004° in
 * hour angle), polar motion (0.5″), diurnal aberration (0.3″), TDB − TT (2 ms),
 * leap seconds not yet announced (0.04″ each), and before 1960 the difference
 * of UTC and TT (below 35 s: 0.0004° in the Sun's place). The refraction is
 * that of a standard air: see refraction_deg(). docs/measures.md has the list.
 */

#include <math.h>

#include <erfa.h>
#include <erfam.h>
#include <glib/gi18n-lib.h>

#include "fil-sun.h"

#define NS_PER_DAY          G_GINT64_CONSTANT (86400000000000)
#define UNIX_EPOCH_JD       2440587.5
#define YEAR_1900_NS        (G_GINT64_CONSTANT (-2208988800) * 1000000000)
#define YEAR_2100_NS        (G_GINT64_CONSTANT (4102444800) * 1000000000)

/* Direction of the Sun's north pole and place of its prime meridian, as the
 * IAU has them: Archinal et al. 2018, Celest. Mech. Dyn. Astr. 130, 22,
 * table 1 (from memory). */
#define POLE_RA_DEG         286.13
#define POLE_DEC_DEG        63.87
#define MERIDIAN_DEG        84.176     /* at J2000, without light time */
#define ROTATION_DEG_DAY    14.1844

/* Rate of the Earth's rotation angle, 1.00273781191135448 turns a day (IAU
 * 2000 resolution B1.8). */
#define TURN_ARCSEC_PER_S   (15.0 * 1.00273781191135448)

/* Carrington's count: rotation 1 began in 1853, one lasts 27.2753 days on
 * average. Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 29. */
#define ROTATION_1_JD       2398167.4
#define ROTATION_DAYS       27.2752316

#define DEG                 (G_PI / 180.0)

G_DEFINE_QUARK (fil-sun-error-quark, fil_sun_error)

/* Two-part Julian dates. */
typedef struct
{
  double utc[2];
  double tt[2];
} Instant;

static void
instant_set (Instant *instant,
             gint64   utc_ns)
{
  gint64 day = utc_ns / NS_PER_DAY;
  double tai[2];

  instant->utc[0] = UNIX_EPOCH_JD + (double) day;
  instant->utc[1] = (double) (utc_ns - day * NS_PER_DAY) / (double) NS_PER_DAY;
  /* A positive status only warns of years without announced leap seconds. */
  eraUtctai (instant->utc[0], instant->utc[1], &tai[0], &tai[1]);
  eraTaitt (tai[0], tai[1], &instant->tt[0], &instant->tt[1]);
}

/* Vectors in au, on the axes of the ICRS. */
typedef struct
{
  double earth_from_sun[3];   /* geometric */
  double distance_au;
  double towards_sun[3];      /* unit, with light time and aberration: apparent */
} Place;

static void
sun_barycentric (const Instant *instant,
                 double         days_before,
                 double         sun[3])
{
  double heliocentric[2][3], barycentric[2][3];

  eraEpv00 (instant->tt[0], instant->tt[1] - days_before, heliocentric, barycentric);
  eraPmp (barycentric[0], heliocentric[0], sun);
}

/* TDB differs from TT by under 2 ms: none of it is seen here. */
static void
place_set (Place         *place,
           const Instant *instant,
           double         days_later)
{
  double heliocentric[2][3], barycentric[2][3], sun[3], natural[3], velocity_c[3];
  double speed;

  eraEpv00 (instant->tt[0], instant->tt[1] + days_later, heliocentric, barycentric);
  eraCp (heliocentric[0], place->earth_from_sun);
  place->distance_au = eraPm (heliocentric[0]);

  sun_barycentric (instant, place->distance_au * ERFA_AULT / ERFA_DAYSEC - days_later, sun);
  eraPmp (sun, barycentric[0], natural);
  eraPn (natural, &speed, natural);

  eraSxp (ERFA_AULT / ERFA_DAYSEC, barycentric[1], velocity_c);
  speed = eraPm (velocity_c);
  eraAb (natural, velocity_c, place->distance_au, sqrt (1.0 - speed * speed),
         place->towards_sun);
}

/* To the true equator and equinox of date, then to angles. */
static void
set_equatorial (const Place *place,
                double       of_date[3][3],
                double       direction[3],
                double      *ra_rad,
                double      *dec_rad)
{
  eraRxp (of_date, (double *) place->towards_sun, direction);
  eraC2s (direction, ra_rad, dec_rad);
  *ra_rad = eraAnp (*ra_rad);
}

/* Position angle of the pole: its part along east and north at the Sun. */
static double
axis_angle_deg (double direction[3],
                double of_date[3][3])
{
  double celestial_pole[3] = { 0.0, 0.0, 1.0 };
  double pole[3], east[3], north[3], length;

  eraS2c (POLE_RA_DEG * DEG, POLE_DEC_DEG * DEG, pole);
  eraRxp (of_date, pole, pole);
  eraPxp (celestial_pole, direction, east);
  eraPn (east, &length, east);
  eraPxp (direction, east, north);

  return atan2 (eraPdp (pole, east), eraPdp (pole, north)) / DEG;
}

/* Where on the Sun's sphere the Earth stands overhead. Light needs its time
 * from the nearest point of the surface; aberration moves the picture as a
 * whole and nothing on it, so it is left out (an almanac that takes it in has
 * L0 smaller by 0.006°). */
static void
set_heliographic (const Place   *place,
                  const Instant *instant,
                  FilSun        *sun)
{
  double node[3], pole[3], along[3], earth[3], distance, age_days, meridian_deg;

  eraS2c (POLE_RA_DEG * DEG, POLE_DEC_DEG * DEG, pole);
  eraS2c ((POLE_RA_DEG + 90.0) * DEG, 0.0, node);
  eraPxp (pole, node, along);
  eraPn ((double *) place->earth_from_sun, &distance, earth);

  age_days = (distance - FIL_SUN_RADIUS_KM / FIL_AU_KM) * ERFA_AULT / ERFA_DAYSEC;
  meridian_deg = MERIDIAN_DEG + ROTATION_DEG_DAY * (instant->tt[0] - ERFA_DJ00 +
                                                    instant->tt[1] - age_days);

  sun->b0_deg = asin (eraPdp (pole, earth)) / DEG;
  sun->l0_deg = eraAnp (atan2 (eraPdp (earth, along), eraPdp (earth, node)) -
                        eraAnp (meridian_deg * DEG)) / DEG;
}

/* The mean period counts the turns, L0 tells how far this one has gone. */
static double
carrington_rotation (const Instant *instant,
                     double         l0_deg)
{
  double estimate = (instant->tt[0] - ROTATION_1_JD + instant->tt[1]) / ROTATION_DAYS + 1.0;
  double gone = 1.0 - l0_deg / 360.0;

  return round (estimate - gone) + gone;
}

/* The Earth turns, and the Sun moves on among the stars. Precession within
 * these minutes is nothing. */
static double
hour_angle_rate (const Instant *instant,
                 double         of_date[3][3])
{
  const double step_days = 600.0 / ERFA_DAYSEC;
  double ra_rad[2];

  for (int i = 0; i < 2; i++)
    {
      Place place;
      double direction[3], dec_rad;

      place_set (&place, instant, i == 0 ? -step_days : step_days);
      set_equatorial (&place, of_date, direction, &ra_rad[i], &dec_rad);
    }

  return TURN_ARCSEC_PER_S -
         eraAnpm (ra_rad[1] - ra_rad[0]) * ERFA_DR2AS / (2.0 * step_days * ERFA_DAYSEC);
}

/* Bennett's formula for the apparent altitude, with Meeus' correction to
 * 0.015′, at 10 °C and the standard atmosphere's pressure at that height. The
 * day's own air differs by some per cent: a second of arc or two at 45°,
 * minutes at the horizon (common practice, no source). Meeus, Astronomical
 * Algorithms, 2nd ed. 1998, ch. 16. */
static double
bennett_deg (double apparent_deg,
             double height_m)
{
  double argument = apparent_deg + 7.31 / (apparent_deg + 4.4);
  double minutes = 1.0 / tan (argument * DEG);
  double pressure_hpa = 1013.25 * pow (1.0 - 2.25577e-5 * height_m, 5.25588);

  minutes -= 0.06 * sin ((14.7 * minutes + 13.0) * DEG);

  return minutes / 60.0 * pressure_hpa / 1010.0;
}

static double
refraction_deg (double altitude_deg,
                double height_m)
{
  double refraction = 0.0;

  if (altitude_deg < -1.0)
    return NAN;

  for (int i = 0; i < 8; i++)
    refraction = bennett_deg (MAX (altitude_deg + refraction, -1.5), height_m);

  return refraction;
}

/* Kasten & Young 1989, Appl. Opt. 28, 4735 (from memory); of the apparent
 * altitude. */
static double
airmass (double apparent_deg)
{
  if (!(apparent_deg >= 0.0))
    return NAN;

  return 1.0 / (sin (apparent_deg * DEG) + 0.50572 * pow (apparent_deg + 6.07995, -1.6364));
}

/* From the place itself: the Sun's parallax is up to 0.0024°. */
static void
set_horizontal (const Instant *instant,
                double         of_date[3][3],
                double         direction[3],
                double         latitude_deg,
                double         longitude_deg,
                double         height_m,
                FilSun        *sun)
{
  double turn = eraGst06 (instant->utc[0], instant->utc[1], instant->tt[0], instant->tt[1],
                          of_date);
  double rotation[3][3], observer_m[3], towards_m[3], longitude, declination, azimuth, altitude;

  eraIr (rotation);
  eraRz (turn, rotation);
  eraRxp (rotation, direction, towards_m);
  eraSxp (sun->distance_au * ERFA_DAU, towards_m, towards_m);
  eraGd2gc (ERFA_WGS84, longitude_deg * DEG, latitude_deg * DEG, height_m, observer_m);
  eraPmp (towards_m, observer_m, towards_m);
  eraC2s (towards_m, &longitude, &declination);

  eraHd2ae (longitude_deg * DEG - longitude, declination, latitude_deg * DEG, &azimuth, &altitude);
  sun->altitude_deg = altitude / DEG;
  sun->azimuth_deg = azimuth / DEG;
  sun->parallactic_angle_deg =
    eraHd2pa (longitude_deg * DEG - longitude, declination, latitude_deg * DEG) / DEG;
  sun->refraction_deg = refraction_deg (sun->altitude_deg, height_m);
  sun->airmass = airmass (sun->altitude_deg + sun->refraction_deg);
}

static gboolean
check_arguments (gint64   utc_ns,
                 double   latitude_deg,
                 double   longitude_deg,
                 double   height_m,
                 GError **error)
{
  if (utc_ns < YEAR_1900_NS || utc_ns >= YEAR_2100_NS)
    {
      g_set_error_literal (error, FIL_SUN_ERROR, FIL_SUN_ERROR_TIME,
                           _("the Sun’s place is known from 1900 to 2099 only"));
      return FALSE;
    }
  if (fabs (latitude_deg) > 90.0 || fabs (longitude_deg) > 360.0 || height_m < -1000.0 ||
      height_m > 20000.0)
    {
      g_set_error_literal (error, FIL_SUN_ERROR, FIL_SUN_ERROR_SITE,
                           _("that is no place on Earth: latitudes end at ±90°, longitudes at "
                             "±360°, heights at −1000 m and 20000 m"));
      return FALSE;
    }

  return TRUE;
}

/**
 * fil_sun_compute:
 * @utc_ns: nanoseconds since 1970-01-01T00:00:00 UTC, leap seconds not counted
 * @latitude_deg: geodetic, north positive; NaN: no site
 * @longitude_deg: east positive; NaN: no site
 * @height_m: above the ellipsoid; NaN counts as 0
 * @sun: (out caller-allocates): untouched on failure
 *
 * Place, turn, size and distance are geocentric; altitude, azimuth and
 * parallactic angle are seen from the site, and NaN without one. Any thread;
 * takes under a millisecond.
 *
 * Checked against the Astronomical Almanac and sunpy in tests/optics.
 */
gboolean
fil_sun_compute (gint64   utc_ns,
                 double   latitude_deg,
                 double   longitude_deg,
                 double   height_m,
                 FilSun  *sun,
                 GError **error)
{
  Instant instant;
  Place place;
  double of_date[3][3], direction[3], ra_rad, dec_rad;

  g_return_val_if_fail (sun != NULL, FALSE);

  if (!check_arguments (utc_ns, latitude_deg, longitude_deg, height_m, error))
    return FALSE;

  instant_set (&instant, utc_ns);
  place_set (&place, &instant, 0.0);
  eraPnm06a (instant.tt[0], instant.tt[1], of_date);
  set_equatorial (&place, of_date, direction, &ra_rad, &dec_rad);

  *sun = (FilSun) {
    .p_deg = axis_angle_deg (direction, of_date),
    .semidiameter_arcsec =
      asin (FIL_SUN_RADIUS_KM / (place.distance_au * FIL_AU_KM)) * ERFA_DR2AS,
    .distance_au = place.distance_au,
    .ra_deg = ra_rad / DEG,
    .dec_deg = dec_rad / DEG,
    .altitude_deg = NAN,
    .azimuth_deg = NAN,
    .refraction_deg = NAN,
    .parallactic_angle_deg = NAN,
    .airmass = NAN,
    .hour_angle_rate_arcsec_per_s = hour_angle_rate (&instant, of_date),
  };
  set_heliographic (&place, &instant, sun);
  sun->carrington_rotation = carrington_rotation (&instant, sun->l0_deg);
  if (isfinite (latitude_deg) && isfinite (longitude_deg))
    set_horizontal (&instant, of_date, direction, latitude_deg, longitude_deg,
                    isfinite (height_m) ? height_m : 0.0, sun);

  return TRUE;
}

/**
 * fil_sun_field_rotation_deg_per_min:
 * @sun: computed for a site
 * @latitude_deg: of that site
 *
 * How fast the parallactic angle grows: the picture of a camera on a mount
 * that turns about a vertical axis turns against the sky by as much.
 * Differentiated from the triangle of pole, zenith and Sun, its declination
 * standing still: dq/dt = −(dH/dt) cos φ cos A / cos h, A from north through
 * east.
 *
 * Returns: NaN without a site, and straight below the zenith, where there is
 *   no such angle
 */
double
fil_sun_field_rotation_deg_per_min (const FilSun *sun,
                                    double        latitude_deg)
{
  const double rate_deg_per_min = sun->hour_angle_rate_arcsec_per_s * 60.0 / 3600.0;
  const double deg = G_PI / 180.0;
  double across = cos (sun->altitude_deg * deg);

  if (!(across > 1e-6))
    return NAN;

  return -rate_deg_per_min * cos (latitude_deg * deg) * cos (sun->azimuth_deg * deg) / across;
}
