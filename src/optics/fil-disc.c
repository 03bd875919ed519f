/* fil-disc.c: places on the Sun, and where they are seen
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sphere of FIL_SUN_RADIUS_KM, seen from the Earth's centre at its true
 * distance: the limb stands at the semidiameter, asin (R/D), and what is seen
 * ends there, 0.27° before 90° from the middle. An observer on the ground is
 * up to 6378 km beside the line: 0.0024° on the Sun, which is left out.
 *
 * Source: Thompson 2006, A&A 449, 791: heliographic to heliocentric-cartesian,
 * and that to helioprojective angles, exact (by what sunpy makes of them; the
 * paper's text was not at hand).
 */

#include <math.h>

#include "fil-disc.h"

#define ARCSEC_PER_RAD 206264.80624709636   /* 180 · 3600 / π */
#define DEG            (G_PI / 180.0)

/* The Sun's radius is the unit of length. */
static double
distance (const FilSun *sun)
{
  return sun->distance_au * FIL_AU_KM / FIL_SUN_RADIUS_KM;
}

/**
 * fil_disc_to_angle:
 * @latitude_deg: heliographic, −90 to 90
 * @longitude_deg: Stonyhurst: from the meridian that faces the Earth, + west
 * @x_arcsec: (out): helioprojective longitude, + towards solar west
 * @y_arcsec: (out): helioprojective latitude, + towards solar north
 * @mu: (out): cosine of the angle between the vertical there and the line of
 *   sight; 1 in the middle, 0 at the limb, below 0 behind it
 *
 * Any thread.
 *
 * Returns: whether the place is on the side that is seen. All values are given
 *   for one behind the limb too: where it would be seen through the Sun.
 */
gboolean
fil_disc_to_angle (const FilSun *sun,
                   double        latitude_deg,
                   double        longitude_deg,
                   double       *x_arcsec,
                   double       *y_arcsec,
                   double       *mu)
{
  double b, l, b0, x, y, z, away, far;

  g_return_val_if_fail (sun != NULL, FALSE);
  g_return_val_if_fail (x_arcsec != NULL && y_arcsec != NULL && mu != NULL, FALSE);

  b = latitude_deg * DEG;
  l = longitude_deg * DEG;
  b0 = sun->b0_deg * DEG;
  x = cos (b) * sin (l);
  y = sin (b) * cos (b0) - cos (b) * cos (l) * sin (b0);
  z = sin (b) * sin (b0) + cos (b) * cos (l) * cos (b0);

  away = distance (sun) - z;
  far = sqrt (x * x + y * y + away * away);
  *x_arcsec = atan2 (x, away) * ARCSEC_PER_RAD;
  *y_arcsec = asin (y / far) * ARCSEC_PER_RAD;
  *mu = (z * distance (sun) - 1.0) / far;

  return *mu >= 0.0;
}

/**
 * fil_disc_from_angle:
 * @x_arcsec: helioprojective longitude, + towards solar west
 * @y_arcsec: helioprojective latitude, + towards solar north
 * @latitude_deg: (out): heliographic; NaN beside the disc
 * @longitude_deg: (out): Stonyhurst, −180 to 180; NaN beside the disc
 * @mu: (out): as in fil_disc_to_angle(); NaN beside the disc
 *
 * The way back: the nearer point in which the line of sight meets the Sun.
 * Any thread.
 *
 * Returns: %FALSE beside the disc
 */
gboolean
fil_disc_from_angle (const FilSun *sun,
                     double        x_arcsec,
                     double        y_arcsec,
                     double       *latitude_deg,
                     double       *longitude_deg,
                     double       *mu)
{
  double along[3], d, b0, depth, length, x, y, z;

  g_return_val_if_fail (sun != NULL, FALSE);
  g_return_val_if_fail (latitude_deg != NULL && longitude_deg != NULL && mu != NULL, FALSE);

  *latitude_deg = *longitude_deg = *mu = NAN;
  along[0] = cos (y_arcsec / ARCSEC_PER_RAD) * sin (x_arcsec / ARCSEC_PER_RAD);
  along[1] = sin (y_arcsec / ARCSEC_PER_RAD);
  along[2] = cos (y_arcsec / ARCSEC_PER_RAD) * cos (x_arcsec / ARCSEC_PER_RAD);

  d = distance (sun);
  depth = 1.0 - d * d * (along[0] * along[0] + along[1] * along[1]);
  if (!(depth >= 0.0) || !(along[2] > 0.0))
    return FALSE;

  length = d * along[2] - sqrt (depth);
  x = length * along[0];
  y = length * along[1];
  z = d - length * along[2];
  b0 = sun->b0_deg * DEG;
  *latitude_deg = asin (CLAMP (y * cos (b0) + z * sin (b0), -1.0, 1.0)) / DEG;
  *longitude_deg = atan2 (x, z * cos (b0) - y * sin (b0)) / DEG;
  *mu = sqrt (depth);

  return TRUE;
}

/* To 0 … below 360. */
static double
turn_deg (double angle_deg)
{
  double turned = fmod (angle_deg, 360.0);

  if (turned < 0.0)
    turned += 360.0;

  return turned < 360.0 ? turned : 0.0;
}

/**
 * fil_disc_carrington_deg:
 * @longitude_deg: Stonyhurst
 *
 * Returns: the Carrington longitude of the same meridian, 0 to below 360
 */
double
fil_disc_carrington_deg (const FilSun *sun,
                         double        longitude_deg)
{
  g_return_val_if_fail (sun != NULL, NAN);

  return turn_deg (sun->l0_deg + longitude_deg);
}

/**
 * fil_disc_stonyhurst_deg:
 * @carrington_deg: Carrington longitude
 *
 * Returns: the Stonyhurst longitude of the same meridian, −180 to below 180
 */
double
fil_disc_stonyhurst_deg (const FilSun *sun,
                         double        carrington_deg)
{
  g_return_val_if_fail (sun != NULL, NAN);

  return turn_deg (carrington_deg - sun->l0_deg + 180.0) - 180.0;
}
