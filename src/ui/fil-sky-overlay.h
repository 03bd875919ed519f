/* fil-sky-overlay.h: where the Sun's directions and places lie on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-disc.h"
#include "fil-render.h"
#include "fil-wcs.h"

G_BEGIN_DECLS

/**
 * FilSkyView:
 * @wcs: of the frame
 * @sun: as it is seen now
 * @width: of the frame
 * @region: what of the frame is seen, picture pixels
 * @zoom: screen pixels a picture pixel, > 0; says how fine a curve has to be
 *
 * Geometry only, without a toolkit; callable from any thread. Places on the
 * picture are in picture pixels from the outer edge of its top left corner, as
 * those of FilRegion, so that the middle of FITS pixel (x, y) lies at
 * (x − ½, height − y + ½).
 */
typedef struct
{
  FilWcs    wcs;
  FilSun    sun;
  int       width, height;
  FilRegion region;
  double    zoom;
} FilSkyView;

typedef struct
{
  double x, y;
} FilSkyPoint;

/**
 * FilSkyCompass:
 *
 * Unit vectors on the picture, x to the right and y down.
 */
typedef struct
{
  FilSkyPoint north, east;
} FilSkyCompass;

/**
 * FilSkyCentre:
 * @at: of the disc's centre
 * @in_frame: it lies on the frame
 * @towards: unit vector from the middle of the frame, y down; 0, 0 in its middle
 * @distance_arcmin: from the middle of the frame
 * @distance_fields: the same in widths of the frame
 * @edge: where the way from the middle of the region to it meets the region's
 *   edge; the centre itself where that is seen
 * @edge_towards: unit vector of that way
 */
typedef struct
{
  FilSkyPoint at;
  gboolean    in_frame;
  FilSkyPoint towards;
  double      distance_arcmin;
  double      distance_fields;
  FilSkyPoint edge;
  FilSkyPoint edge_towards;
} FilSkyCentre;

/**
 * FilSkyPlace:
 * @on_disc: FALSE: beside it; latitude, longitude and μ are NaN then
 * @latitude_deg, @longitude_deg: heliographic, Stonyhurst
 * @mu: cosine of the angle to the vertical, 1 at the disc's centre
 * @x_arcsec, @y_arcsec: helioprojective, + towards solar west and north
 */
typedef struct
{
  gboolean on_disc;
  double   latitude_deg, longitude_deg;
  double   mu;
  double   x_arcsec, y_arcsec;
} FilSkyPlace;

gboolean fil_sky_view_is_known (const FilSkyView  *view);
void     fil_sky_from_fits     (const FilSkyView  *view,
                                double             x_fits,
                                double             y_fits,
                                FilSkyPoint       *point);
void     fil_sky_to_fits       (const FilSkyView  *view,
                                const FilSkyPoint *point,
                                double            *x_fits,
                                double            *y_fits);
gboolean fil_sky_from_angle    (const FilSkyView  *view,
                                double             x_arcsec,
                                double             y_arcsec,
                                FilSkyPoint       *point);
gboolean fil_sky_get_compass   (const FilSkyView  *view,
                                gboolean           solar,
                                FilSkyCompass     *compass);
gboolean fil_sky_get_centre    (const FilSkyView  *view,
                                FilSkyCentre      *centre);
gboolean fil_sky_get_place     (const FilSkyView  *view,
                                const FilSkyPoint *point,
                                FilSkyPlace       *place);

G_END_DECLS
