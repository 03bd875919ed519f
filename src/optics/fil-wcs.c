/* fil-wcs.c: from pixels to helioprojective angles
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-wcs.h"

#define ARCSEC_PER_RAD 206264.80624709636   /* 180 · 3600 / π */
#define DEG            (G_PI / 180.0)

/**
 * fil_wcs_nominal:
 * @optics: gives the plate scale
 * @sun: gives the position angle of the Sun's axis
 * @width: of the picture as stored, in pixels of the camera
 * @mirrored: an odd number of reflections, by the rig and by the driver
 * @wcs: (out caller-allocates): NaN scales where the rig doesn't tell enough
 *
 * What can be said before anything is measured: the disc's centre is taken to
 * be in the middle of the picture, and the camera's up to be celestial north,
 * so that solar north leans by P against it, to the left of an unmirrored
 * picture. East is left of north when nothing mirrors, right of it when
 * something does. Both scales are positive: what mirrors stands in the matrix.
 */
void
fil_wcs_nominal (const FilOptics *optics,
                 const FilSun    *sun,
                 int              width,
                 int              height,
                 gboolean         mirrored,
                 FilWcs          *wcs)
{
  double c, s, right;

  g_return_if_fail (optics != NULL && sun != NULL && wcs != NULL);
  g_return_if_fail (width > 0 && height > 0);

  c = cos (sun->p_deg * DEG);
  s = sin (sun->p_deg * DEG);
  right = mirrored ? -1.0 : 1.0;   /* celestial west is on the right, or on the left */

  *wcs = (FilWcs) {
    .crpix = { 0.5 * (width + 1), 0.5 * (height + 1) },
    .crval_arcsec = { 0.0, 0.0 },
    .cdelt_arcsec = { optics->plate_scale_arcsec_per_px, optics->plate_scale_arcsec_per_px },
    .pc = { { right * c, s }, { -right * s, c } },
    .measured = FALSE,
  };
}

/**
 * fil_wcs_to_angle:
 * @x: FITS pixel, 1 in the middle of the first
 * @y: the same, upward
 * @longitude_arcsec: (out): helioprojective longitude, + towards solar west
 * @latitude_arcsec: (out): + towards solar north
 *
 * Exact tangent plane, not the small angles of the matrix alone.
 *
 * Source: Calabretta & Greisen 2002, A&A 395, 1077, section 5.1.3, and 2.4
 * with the native pole at 180°; Thompson 2006, A&A 449, 791.
 */
void
fil_wcs_to_angle (const FilWcs *wcs,
                  double        x,
                  double        y,
                  double       *longitude_arcsec,
                  double       *latitude_arcsec)
{
  double dx, dy, xi, eta, latitude0, c, s, along;

  g_return_if_fail (wcs != NULL && longitude_arcsec != NULL && latitude_arcsec != NULL);

  dx = x - wcs->crpix[0];
  dy = y - wcs->crpix[1];
  xi = wcs->cdelt_arcsec[0] * (wcs->pc[0][0] * dx + wcs->pc[0][1] * dy) / ARCSEC_PER_RAD;
  eta = wcs->cdelt_arcsec[1] * (wcs->pc[1][0] * dx + wcs->pc[1][1] * dy) / ARCSEC_PER_RAD;

  latitude0 = wcs->crval_arcsec[1] / ARCSEC_PER_RAD;
  c = cos (latitude0);
  s = sin (latitude0);
  along = c - eta * s;

  *longitude_arcsec = wcs->crval_arcsec[0] + atan2 (xi, along) * ARCSEC_PER_RAD;
  *latitude_arcsec = atan2 (s + eta * c, hypot (xi, along)) * ARCSEC_PER_RAD;
}

/**
 * fil_wcs_to_pixel:
 *
 * The way back of fil_wcs_to_angle().
 *
 * Returns: %FALSE where the angles lie 90° or more from the reference, the
 *   scale is unknown, or the matrix can't be turned round; the pixel is
 *   untouched then
 */
gboolean
fil_wcs_to_pixel (const FilWcs *wcs,
                  double        longitude_arcsec,
                  double        latitude_arcsec,
                  double       *x,
                  double       *y)
{
  double longitude, latitude, latitude0, forward, u, v, determinant;

  g_return_val_if_fail (wcs != NULL && x != NULL && y != NULL, FALSE);

  longitude = (longitude_arcsec - wcs->crval_arcsec[0]) / ARCSEC_PER_RAD;
  latitude = latitude_arcsec / ARCSEC_PER_RAD;
  latitude0 = wcs->crval_arcsec[1] / ARCSEC_PER_RAD;
  forward = sin (latitude0) * sin (latitude) +
            cos (latitude0) * cos (latitude) * cos (longitude);
  determinant = wcs->pc[0][0] * wcs->pc[1][1] - wcs->pc[0][1] * wcs->pc[1][0];
  if (!(forward > 0.0) || !(fabs (determinant) > 0.0) ||
      !(fabs (wcs->cdelt_arcsec[0] * wcs->cdelt_arcsec[1]) > 0.0))
    return FALSE;

  u = cos (latitude) * sin (longitude) / forward * ARCSEC_PER_RAD / wcs->cdelt_arcsec[0];
  v = (cos (latitude0) * sin (latitude) - sin (latitude0) * cos (latitude) * cos (longitude)) /
      forward * ARCSEC_PER_RAD / wcs->cdelt_arcsec[1];

  *x = wcs->crpix[0] + (wcs->pc[1][1] * u - wcs->pc[0][1] * v) / determinant;
  *y = wcs->crpix[1] + (wcs->pc[0][0] * v - wcs->pc[1][0] * u) / determinant;

  return TRUE;
}
