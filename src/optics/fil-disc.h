/* fil-disc.h: places on the Sun, and where they are seen
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sun.h"

G_BEGIN_DECLS

gboolean fil_disc_to_angle       (const FilSun *sun,
                                  double        latitude_deg,
                                  double        longitude_deg,
                                  double       *x_arcsec,
                                  double       *y_arcsec,
                                  double       *mu);
gboolean fil_disc_from_angle     (const FilSun *sun,
                                  double        x_arcsec,
                                  double        y_arcsec,
                                  double       *latitude_deg,
                                  double       *longitude_deg,
                                  double       *mu);
double   fil_disc_carrington_deg (const FilSun *sun,
                                  double        longitude_deg);
double   fil_disc_stonyhurst_deg (const FilSun *sun,
                                  double        carrington_deg);

G_END_DECLS
