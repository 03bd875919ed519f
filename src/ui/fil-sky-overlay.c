/* fil-sky-overlay.c: where the Sun's directions and places lie on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-sky-overlay.h"

#define DEG (G_PI / 180.0)

/* Whether the plate scale and the matrix can be used at all. */
gboolean
fil_sky_view_is_known (const FilSkyView *view)
{
  double x, y;

  g_return_val_if_fail (view != NULL, FALSE);

  return view->width > 0 && view->height > 0 && view->zoom > 0.0 &&
         view->sun.semidiameter_arcsec > 0.0 && isfinite (view->sun.p_deg) &&
         fil_wcs_to_pixel (&view->wcs, view->wcs.crval_arcsec[0], view->wcs.crval_arcsec[1],
                           &x, &y) &&
         isfinite (x) && isfinite (y);
}

/* @point: (out) */
void
fil_sky_from_fits (const FilSkyView *view,
                   double            x_fits,
                   double            y_fits,
                   FilSkyPoint      *point)
{
  point->x = x_fits - 0.5;
  point->y = view->height - y_fits + 0.5;
}

/* @x_fits, @y_fits: (out) */
void
fil_sky_to_fits (const FilSkyView  *view,
                 const FilSkyPoint *point,
                 double            *x_fits,
                 double            *y_fits)
{
  *x_fits = point->x + 0.5;
  *y_fits = view->height - point->y + 0.5;
}

/**
 * fil_sky_from_angle:
 * @x_arcsec: helioprojective longitude, + towards solar west
 * @y_arcsec: + towards solar north
 * @point: (out): untouched where there is none
 *
 * Returns: %FALSE where the picture's coordinates are unknown
 */
gboolean
fil_sky_from_angle (const FilSkyView *view,
                    double            x_arcsec,
                    double            y_arcsec,
                    FilSkyPoint      *point)
{
  double x, y;

  if (!fil_wcs_to_pixel (&view->wcs, x_arcsec, y_arcsec, &x, &y) || !isfinite (x) ||
      !isfinite (y))
    return FALSE;

  fil_sky_from_fits (view, x, y, point);

  return TRUE;
}

static double
normalise (FilSkyPoint *vector)
{
  double length = hypot (vector->x, vector->y);

  if (length > 0.0)
    {
      vector->x /= length;
      vector->y /= length;
    }

  return length;
}

/* The way on the picture of one step in angle, by the matrix alone: on a
 * tangent plane that is exact at its point of contact. */
static gboolean
get_way (const FilWcs *wcs,
         double        west,
         double        north,
         FilSkyPoint  *way)
{
  double a = wcs->cdelt_arcsec[0] * wcs->pc[0][0], b = wcs->cdelt_arcsec[0] * wcs->pc[0][1];
  double c = wcs->cdelt_arcsec[1] * wcs->pc[1][0], d = wcs->cdelt_arcsec[1] * wcs->pc[1][1];
  double determinant = a * d - b * c;

  if (!isfinite (determinant) || determinant == 0.0)
    return FALSE;

  way->x = (d * west - b * north) / determinant;
  way->y = -(a * north - c * west) / determinant;   /* the picture's y runs down */

  return normalise (way) > 0.0;
}

/**
 * fil_sky_get_compass:
 * @solar: north and east of the Sun's own axis; %FALSE: of the sky
 * @compass: (out): untouched where nothing is known
 *
 * Of the disc's centre. Solar north lies at position angle P, counted from
 * celestial north through east, so that the sky's north is found from the
 * Sun's by going back that angle, towards solar west. What mirrors is in the
 * matrix: with one reflection east lies clockwise of north.
 *
 * Returns: whether it is known
 */
gboolean
fil_sky_get_compass (const FilSkyView *view,
                     gboolean          solar,
                     FilSkyCompass    *compass)
{
  double p, c, s;
  FilSkyCompass found;

  g_return_val_if_fail (view != NULL && compass != NULL, FALSE);

  p = solar ? 0.0 : view->sun.p_deg * DEG;
  c = cos (p);
  s = sin (p);
  if (!isfinite (p) || !get_way (&view->wcs, s, c, &found.north) ||
      !get_way (&view->wcs, -c, s, &found.east))
    return FALSE;

  *compass = found;

  return TRUE;
}

/* How far from @from along @towards the region ends; @from lies in it. */
static double
find_edge (const FilRegion   *region,
           const FilSkyPoint *from,
           const FilSkyPoint *towards)
{
  double along = HUGE_VAL;

  if (towards->x > 0.0)
    along = MIN (along, (region->x + region->width - from->x) / towards->x);
  if (towards->x < 0.0)
    along = MIN (along, (region->x - from->x) / towards->x);
  if (towards->y > 0.0)
    along = MIN (along, (region->y + region->height - from->y) / towards->y);
  if (towards->y < 0.0)
    along = MIN (along, (region->y - from->y) / towards->y);

  return along;
}

static void
find_way_out (const FilSkyView *view,
              FilSkyCentre     *centre)
{
  const FilRegion *region = &view->region;
  FilSkyPoint middle = { region->x + region->width / 2.0, region->y + region->height / 2.0 };
  FilSkyPoint way = { centre->at.x - middle.x, centre->at.y - middle.y };
  double length = normalise (&way);
  double along = length > 0.0 ? MIN (find_edge (region, &middle, &way), length) : 0.0;

  centre->edge_towards = way;
  centre->edge = (FilSkyPoint) { middle.x + along * way.x, middle.y + along * way.y };
}

/* Between two directions; exact for small angles too. */
static double
get_distance_arcmin (double x_arcsec,
                     double y_arcsec)
{
  double longitude = x_arcsec / 3600.0 * DEG, latitude = y_arcsec / 3600.0 * DEG;
  double across = hypot (cos (latitude) * sin (longitude), sin (latitude));

  return atan2 (across, cos (latitude) * cos (longitude)) / DEG * 60.0;
}

/**
 * fil_sky_get_centre:
 * @centre: (out): untouched where nothing is known
 *
 * Where the middle of the disc is, however far outside of the picture.
 *
 * Returns: whether it is known
 */
gboolean
fil_sky_get_centre (const FilSkyView *view,
                    FilSkyCentre     *centre)
{
  FilSkyPoint middle;
  double x_fits, y_fits, x_arcsec, y_arcsec, length;

  g_return_val_if_fail (view != NULL && centre != NULL, FALSE);

  if (!fil_sky_view_is_known (view) || !fil_sky_from_angle (view, 0.0, 0.0, &centre->at))
    return FALSE;

  middle = (FilSkyPoint) { view->width / 2.0, view->height / 2.0 };
  fil_sky_to_fits (view, &middle, &x_fits, &y_fits);
  fil_wcs_to_angle (&view->wcs, x_fits, y_fits, &x_arcsec, &y_arcsec);
  centre->distance_arcmin = get_distance_arcmin (x_arcsec, y_arcsec);
  centre->towards = (FilSkyPoint) { centre->at.x - middle.x, centre->at.y - middle.y };
  length = normalise (&centre->towards);
  centre->distance_fields = length / view->width;
  centre->in_frame = centre->at.x >= 0.0 && centre->at.x <= view->width &&
                     centre->at.y >= 0.0 && centre->at.y <= view->height;
  find_way_out (view, centre);

  return TRUE;
}

/**
 * fil_sky_get_place:
 * @point: on the picture, or beside it
 * @place: (out): untouched where nothing is known
 *
 * Returns: whether the picture's coordinates are known
 */
gboolean
fil_sky_get_place (const FilSkyView  *view,
                   const FilSkyPoint *point,
                   FilSkyPlace       *place)
{
  double x_fits, y_fits;

  g_return_val_if_fail (view != NULL && point != NULL && place != NULL, FALSE);

  if (!fil_sky_view_is_known (view))
    return FALSE;

  fil_sky_to_fits (view, point, &x_fits, &y_fits);
  fil_wcs_to_angle (&view->wcs, x_fits, y_fits, &place->x_arcsec, &place->y_arcsec);
  place->on_disc = fil_disc_from_angle (&view->sun, place->x_arcsec, place->y_arcsec,
                                        &place->latitude_deg, &place->longitude_deg,
                                        &place->mu);
  if (!place->on_disc)
    place->latitude_deg = place->longitude_deg = place->mu = NAN;

  return TRUE;
}
