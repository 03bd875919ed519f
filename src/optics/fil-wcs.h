/* fil-wcs.h: from pixels to helioprojective angles
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-optics.h"
#include "fil-sun.h"

G_BEGIN_DECLS

/**
 * FilWcs:
 *
 * A helioprojective-cartesian tangent plane (HPLN-TAN, HPLT-TAN; Thompson
 * 2006, A&A 449, 791) over FITS pixels: 1 is the centre of the first pixel,
 * y runs upward. Arcseconds and pixels.
 */
typedef struct
{
  double   crpix[2];
  double   crval_arcsec[2];
  double   cdelt_arcsec[2];
  double   pc[2][2];
  gboolean measured;      /* FALSE: angle and place are nominal, from the rig alone */
} FilWcs;

void fil_wcs_nominal (const FilOptics *optics,
                      const FilSun    *sun,
                      int              width,
                      int              height,
                      gboolean         mirrored,
                      FilWcs          *wcs);
void fil_wcs_to_angle (const FilWcs   *wcs,
                       double          x,
                       double          y,
                       double         *longitude_arcsec,
                       double         *latitude_arcsec);
gboolean fil_wcs_to_pixel (const FilWcs *wcs,
                           double        longitude_arcsec,
                           double        latitude_arcsec,
                           double       *x,
                           double       *y);

G_END_DECLS
