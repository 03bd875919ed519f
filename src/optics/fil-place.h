/* fil-place.h: how the picture lies on the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-optics.h"
#include "fil-sun.h"
#include "fil-wcs.h"

G_BEGIN_DECLS

/**
 * FilPlace:
 *
 * How the picture lies on the sky, as far as that is known. FITS pixels: 1 is
 * the middle of the first, y runs upward. The position angle is that of the
 * picture's up, from celestial north through east; it grows counter-clockwise
 * on the picture, clockwise where it is mirrored.
 */
typedef struct
{
  double   plate_scale_arcsec_per_px;      /* the rig's, or measured; NaN: unknown */
  double   plate_scale_error;              /* 1 sigma; NaN: the rig's, not measured */
  double   position_angle_deg;             /* of the picture's up; 0 where not measured */
  double   position_angle_error_deg;       /* 1 sigma; NaN: not measured */
  gboolean mirrored;
  gboolean oriented;                       /* scale and angle were measured */
  gint64   oriented_utc_ns;
  gboolean placed;                         /* the disc's centre is known */
  double   centre_x, centre_y;             /* of the disc; may lie far outside of the picture */
  double   centre_error_px;                /* 1 sigma; NaN: not placed */
} FilPlace;

/* 1 sigma, of one pixel. */
typedef struct
{
  double x_arcsec, y_arcsec;             /* helioprojective */
  double latitude_deg, longitude_deg;    /* heliographic; NaN beside the disc, and where the
                                            limb is nearer than the error */
} FilPlaceErrors;

void     fil_place_init        (FilPlace        *place,
                                const FilOptics *optics,
                                gboolean         mirrored,
                                int              width,
                                int              height);
gboolean fil_place_is_mirrored (int              reflections,
                                gboolean         flip_x,
                                gboolean         flip_y);
gboolean fil_place_put_spot    (FilPlace        *place,
                                const FilSun    *sun,
                                double           x,
                                double           y,
                                double           latitude_deg,
                                double           longitude_deg,
                                double           error_px);
gboolean fil_place_to_disc     (const FilPlace  *place,
                                const FilSun    *sun,
                                double           x,
                                double           y,
                                double          *latitude_deg,
                                double          *longitude_deg,
                                double          *mu);
gboolean fil_place_from_disc   (const FilPlace  *place,
                                const FilSun    *sun,
                                double           latitude_deg,
                                double           longitude_deg,
                                double          *x,
                                double          *y);
gboolean fil_place_get_errors  (const FilPlace  *place,
                                const FilSun    *sun,
                                double           x,
                                double           y,
                                FilPlaceErrors  *errors);
void     fil_wcs_from_place    (const FilPlace  *place,
                                const FilSun    *sun,
                                FilWcs          *wcs);

G_END_DECLS
