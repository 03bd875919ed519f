/* fil-rotation.h: how fast the Sun turns, by latitude
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* The turn of Carrington's longitudes, sidereal; as in fil-sun.c. */
#define FIL_ROTATION_CARRINGTON_DEG_PER_DAY 14.1844

/* What was followed to find the rate. Spots go with the magnetic field. */
typedef enum
{
  FIL_ROTATION_MAGNETIC,        /* magnetic features: for spots */
  FIL_ROTATION_SMALL_MAGNETIC,  /* small magnetic features */
  FIL_ROTATION_DOPPLER,         /* Doppler features, supergranules: 3 % faster */
} FilRotation;

#define FIL_N_ROTATIONS 3

double      fil_rotation_deg_per_day (FilRotation  rotation,
                                      double       latitude_deg);
double      fil_rotation_carry_deg   (FilRotation  rotation,
                                      double       latitude_deg,
                                      double       carrington_deg,
                                      double       days);
const char *fil_rotation_to_key      (FilRotation  rotation);
gboolean    fil_rotation_from_key    (const char  *key,
                                      FilRotation *rotation);
const char *fil_rotation_to_text     (FilRotation  rotation);
const char *fil_rotation_get_source  (FilRotation  rotation);

G_END_DECLS
