/* fil-sun.h: the Sun's place, turn and size
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_SUN_RADIUS_KM   695700.0      /* IAU 2015 resolution B3 */
#define FIL_AU_KM           149597870.7   /* IAU 2012 resolution B2 */

/* 2020-01-01: a computer's clock that says less was never set. */
#define FIL_SUN_CLOCK_SET_NS (G_GINT64_CONSTANT (1577836800) * 1000000000)

#define FIL_SUN_ERROR (fil_sun_error_quark ())

typedef enum
{
  FIL_SUN_ERROR_TIME,   /* before 1900 or from 2100 on: no ephemeris */
  FIL_SUN_ERROR_SITE,   /* no place on Earth */
} FilSunError;

GQuark fil_sun_error_quark (void);

typedef struct
{
  double p_deg;                       /* position angle of the rotation axis, + east of north */
  double b0_deg;                      /* heliographic latitude of the disc's centre */
  double l0_deg;                      /* Carrington longitude of the disc's centre, 0 to 360 */
  double carrington_rotation;         /* with its fraction */
  double semidiameter_arcsec;
  double distance_au;
  double ra_deg, dec_deg;             /* apparent, of date, geocentric */
  double altitude_deg, azimuth_deg;   /* no refraction; NaN without a site */
  double refraction_deg;              /* to add to the altitude; NaN more than 1° below the horizon */
  double parallactic_angle_deg;       /* + west of the meridian */
  double airmass;                     /* NaN below the horizon */
  double hour_angle_rate_arcsec_per_s;
} FilSun;

gboolean fil_sun_compute (gint64   utc_ns,
                          double   latitude_deg,
                          double   longitude_deg,
                          double   height_m,
                          FilSun  *sun,
                          GError **error);

double   fil_sun_field_rotation_deg_per_min (const FilSun *sun,
                                             double        latitude_deg);

G_END_DECLS
