/* fil-place.c: how the picture lies on the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-disc.h"
#include "fil-place.h"

#define DEG (G_PI / 180.0)

/**
 * fil_place_init:
 * @place: (out caller-allocates)
 * @optics: (nullable): gives the plate scale
 * @mirrored: see fil_place_is_mirrored()
 * @width: of the picture, in pixels of the camera
 *
 * What can be said before anything is measured: the rig's scale, up taken for
 * celestial north, and the disc's centre taken to be in the middle.
 */
void
fil_place_init (FilPlace        *place,
                const FilOptics *optics,
                gboolean         mirrored,
                int              width,
                int              height)
{
  g_return_if_fail (place != NULL);
  g_return_if_fail (width > 0 && height > 0);

  *place = (FilPlace) {
    .plate_scale_arcsec_per_px = optics != NULL ? optics->plate_scale_arcsec_per_px : NAN,
    .plate_scale_error = NAN,
    .position_angle_error_deg = NAN,
    .mirrored = mirrored,
    .centre_x = 0.5 * (width + 1),
    .centre_y = 0.5 * (height + 1),
    .centre_error_px = NAN,
  };
}

/**
 * fil_place_is_mirrored:
 * @reflections: of the light path, not negative
 * @flip_x: the driver turns left and right round
 * @flip_y: the driver turns top and bottom round
 *
 * Returns: whether the picture shows the sky mirrored: reflections and flips
 *   together are odd. Both flips at once are half a turn.
 */
gboolean
fil_place_is_mirrored (int      reflections,
                       gboolean flip_x,
                       gboolean flip_y)
{
  return (reflections + (flip_x ? 1 : 0) + (flip_y ? 1 : 0)) % 2 != 0;
}

/**
 * fil_place_put_spot:
 * @place: its scale and angle are taken, its centre is set
 * @x: FITS pixel at which the spot stands
 * @latitude_deg: heliographic, of the spot
 * @longitude_deg: Stonyhurst
 * @error_px: 1 sigma of the spot's place on the picture
 *
 * Places the disc by one point on it that is known.
 *
 * Returns: %FALSE, and the place as before, where the spot is behind the limb
 *   or the scale unknown
 */
gboolean
fil_place_put_spot (FilPlace     *place,
                    const FilSun *sun,
                    double        x,
                    double        y,
                    double        latitude_deg,
                    double        longitude_deg,
                    double        error_px)
{
  double x_arcsec, y_arcsec, mu, spot_x, spot_y;
  FilWcs wcs;

  g_return_val_if_fail (place != NULL && sun != NULL, FALSE);
  g_return_val_if_fail (isfinite (x) && isfinite (y), FALSE);

  fil_wcs_from_place (place, sun, &wcs);
  if (!fil_disc_to_angle (sun, latitude_deg, longitude_deg, &x_arcsec, &y_arcsec, &mu) ||
      !fil_wcs_to_pixel (&wcs, x_arcsec, y_arcsec, &spot_x, &spot_y) ||
      !isfinite (spot_x) || !isfinite (spot_y))
    return FALSE;

  place->placed = TRUE;
  place->centre_x += x - spot_x;
  place->centre_y += y - spot_y;
  place->centre_error_px = error_px;

  return TRUE;
}

/**
 * fil_place_to_disc:
 * @x: FITS pixel
 * @latitude_deg: (out): heliographic; NaN beside the disc
 * @longitude_deg: (out): Stonyhurst
 * @mu: (out): see fil_disc_to_angle()
 *
 * Takes the place as it is, measured or not.
 *
 * Returns: %FALSE beside the disc
 */
gboolean
fil_place_to_disc (const FilPlace *place,
                   const FilSun   *sun,
                   double          x,
                   double          y,
                   double         *latitude_deg,
                   double         *longitude_deg,
                   double         *mu)
{
  double x_arcsec, y_arcsec;
  FilWcs wcs;

  fil_wcs_from_place (place, sun, &wcs);
  fil_wcs_to_angle (&wcs, x, y, &x_arcsec, &y_arcsec);

  return fil_disc_from_angle (sun, x_arcsec, y_arcsec, latitude_deg, longitude_deg, mu);
}

/* The way back. Returns: %FALSE, and the pixel untouched, where the point is
 * behind the limb or the scale unknown */
gboolean
fil_place_from_disc (const FilPlace *place,
                     const FilSun   *sun,
                     double          latitude_deg,
                     double          longitude_deg,
                     double         *x,
                     double         *y)
{
  double x_arcsec, y_arcsec, mu;
  FilWcs wcs;

  fil_wcs_from_place (place, sun, &wcs);

  return fil_disc_to_angle (sun, latitude_deg, longitude_deg, &x_arcsec, &y_arcsec, &mu) &&
         fil_wcs_to_pixel (&wcs, x_arcsec, y_arcsec, x, y);
}

/* Angles and place of one pixel. */
static void
see (const FilPlace *place,
     const FilSun   *sun,
     double          x,
     double          y,
     FilPlaceErrors *seen)
{
  FilWcs wcs;
  double mu;

  fil_wcs_from_place (place, sun, &wcs);
  fil_wcs_to_angle (&wcs, x, y, &seen->x_arcsec, &seen->y_arcsec);
  fil_disc_from_angle (sun, seen->x_arcsec, seen->y_arcsec, &seen->latitude_deg,
                       &seen->longitude_deg, &mu);
}

/* Half of what changes when one number of the place is moved to both sides. */
static void
add_error (const FilPlace *place,
           const FilSun   *sun,
           double          x,
           double          y,
           gsize           offset,
           double          error,
           FilPlaceErrors *squares)
{
  FilPlaceErrors low, high;
  FilPlace moved = *place;
  double *number = (double *) (void *) ((char *) &moved + offset);
  double middle = *number, half;

  *number = middle - error;
  see (&moved, sun, x, y, &low);
  *number = middle + error;
  see (&moved, sun, x, y, &high);

  half = 0.5 * (high.x_arcsec - low.x_arcsec);
  squares->x_arcsec += half * half;
  half = 0.5 * (high.y_arcsec - low.y_arcsec);
  squares->y_arcsec += half * half;
  half = 0.5 * (high.latitude_deg - low.latitude_deg);
  squares->latitude_deg += half * half;
  half = 0.5 * remainder (high.longitude_deg - low.longitude_deg, 360.0);
  squares->longitude_deg += half * half;
}

/**
 * fil_place_get_errors:
 * @x: FITS pixel
 * @errors: (out caller-allocates): untouched on failure
 *
 * How well the coordinates of a pixel are known: the errors of centre, angle
 * and scale, each moved to both sides, added in quadrature.
 *
 * Returns: %FALSE where centre, angle or scale weren't measured
 */
gboolean
fil_place_get_errors (const FilPlace *place,
                      const FilSun   *sun,
                      double          x,
                      double          y,
                      FilPlaceErrors *errors)
{
  FilPlaceErrors squares = { 0 };

  g_return_val_if_fail (place != NULL && sun != NULL && errors != NULL, FALSE);

  if (!place->placed || !place->oriented || !isfinite (place->centre_error_px) ||
      !isfinite (place->plate_scale_error) || !isfinite (place->position_angle_error_deg))
    return FALSE;

  add_error (place, sun, x, y, G_STRUCT_OFFSET (FilPlace, centre_x), place->centre_error_px,
             &squares);
  add_error (place, sun, x, y, G_STRUCT_OFFSET (FilPlace, centre_y), place->centre_error_px,
             &squares);
  add_error (place, sun, x, y, G_STRUCT_OFFSET (FilPlace, position_angle_deg),
             place->position_angle_error_deg, &squares);
  add_error (place, sun, x, y, G_STRUCT_OFFSET (FilPlace, plate_scale_arcsec_per_px),
             place->plate_scale_error, &squares);
  *errors = (FilPlaceErrors) {
    .x_arcsec = sqrt (squares.x_arcsec),
    .y_arcsec = sqrt (squares.y_arcsec),
    .latitude_deg = sqrt (squares.latitude_deg),
    .longitude_deg = sqrt (squares.longitude_deg),
  };

  return TRUE;
}

/**
 * fil_wcs_from_place:
 * @sun: gives the position angle of the Sun's axis
 * @wcs: (out caller-allocates): NaN scales where the scale is unknown
 *
 * The disc's centre is the reference, with both angles 0 there. The picture's
 * up lies position_angle_deg − P from solar north; what mirrors stands in the
 * matrix, both scales are positive. The tangent plane is exact.
 */
void
fil_wcs_from_place (const FilPlace *place,
                    const FilSun   *sun,
                    FilWcs         *wcs)
{
  double c, s, right;

  g_return_if_fail (place != NULL && sun != NULL && wcs != NULL);

  c = cos ((place->position_angle_deg - sun->p_deg) * DEG);
  s = sin ((place->position_angle_deg - sun->p_deg) * DEG);
  right = place->mirrored ? -1.0 : 1.0;   /* west is right of north, or left of it */

  *wcs = (FilWcs) {
    .crpix = { place->centre_x, place->centre_y },
    .crval_arcsec = { 0.0, 0.0 },
    .cdelt_arcsec = { place->plate_scale_arcsec_per_px, place->plate_scale_arcsec_per_px },
    .pc = { { right * c, -s }, { right * s, c } },
    .measured = place->oriented,
  };
}
