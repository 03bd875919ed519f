/* fil-disc-view.c: the whole disc laid on a square
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-disc-view.h"

/**
 * fil_disc_view_init:
 * @place: (nullable): of the camera; needed for %FIL_DISC_UP_PICTURE alone
 * @side: of the square, pixels
 * @radius: of the limb, pixels
 *
 * Makes the square a picture of its own, so that all that draws over pictures
 * draws over it.
 */
void
fil_disc_view_init (FilSkyView     *view,
                    FilDiscUp       up,
                    const FilSun   *sun,
                    const FilPlace *place,
                    int             side,
                    double          radius)
{
  FilPlace map = { .plate_scale_arcsec_per_px = sun->semidiameter_arcsec / radius,
                   .oriented = TRUE, .placed = TRUE,
                   .centre_x = 0.5 * (side + 1), .centre_y = 0.5 * (side + 1) };

  if (up == FIL_DISC_UP_SOLAR_NORTH)
    map.position_angle_deg = sun->p_deg;
  else if (up == FIL_DISC_UP_PICTURE && place != NULL)
    {
      map.position_angle_deg = place->position_angle_deg;
      map.mirrored = place->mirrored;
    }

  *view = (FilSkyView) {
    .sun = *sun, .width = side, .height = side,
    .region = { 0, 0, side, side }, .zoom = 1.0,
  };
  fil_wcs_from_place (&map, sun, &view->wcs);
}

/**
 * fil_disc_view_get_field:
 * @width: of the camera's picture, pixels
 * @corners: (out): of it on the square; top left, top right, bottom right,
 *   bottom left as the camera has them
 *
 * Returns: %FALSE where the scale is unknown
 */
gboolean
fil_disc_view_get_field (const FilSkyView *view,
                         const FilPlace   *place,
                         int               width,
                         int               height,
                         FilSkyPoint       corners[4])
{
  static const int at[4][2] = { { 0, 1 }, { 1, 1 }, { 1, 0 }, { 0, 0 } };
  FilWcs camera;

  if (!isfinite (place->plate_scale_arcsec_per_px))
    return FALSE;
  fil_wcs_from_place (place, &view->sun, &camera);
  for (int i = 0; i < 4; i++)
    {
      double x_arcsec, y_arcsec;

      fil_wcs_to_angle (&camera, 0.5 + at[i][0] * width, 0.5 + at[i][1] * height, &x_arcsec,
                        &y_arcsec);
      if (!fil_sky_from_angle (view, x_arcsec, y_arcsec, &corners[i]))
        return FALSE;
    }

  return TRUE;
}

/* Returns: whether that side faces us; @point is set for what is behind the
 * limb as well, as if it were seen through the Sun */
gboolean
fil_disc_view_from_disc (const FilSkyView *view,
                         double            latitude_deg,
                         double            longitude_deg,
                         FilSkyPoint      *point)
{
  double x_arcsec, y_arcsec, mu;
  gboolean seen = fil_disc_to_angle (&view->sun, latitude_deg, longitude_deg, &x_arcsec,
                                     &y_arcsec, &mu);

  return fil_sky_from_angle (view, x_arcsec, y_arcsec, point) && seen;
}
