/* fil-disc-view.h: the whole disc laid on a square
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-place.h"
#include "fil-sky-overlay.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_DISC_UP_SOLAR_NORTH,   /* solar east on the left */
  FIL_DISC_UP_NORTH,         /* celestial north, east on the left */
  FIL_DISC_UP_PICTURE,       /* as the camera has it, mirrored where it mirrors */
} FilDiscUp;

/* Geometry only, without a toolkit. */
void     fil_disc_view_init      (FilSkyView        *view,
                                  FilDiscUp          up,
                                  const FilSun      *sun,
                                  const FilPlace    *place,
                                  int                side,
                                  double             radius);
gboolean fil_disc_view_get_field (const FilSkyView  *view,
                                  const FilPlace    *place,
                                  int                width,
                                  int                height,
                                  FilSkyPoint        corners[4]);
gboolean fil_disc_view_from_disc (const FilSkyView  *view,
                                  double             latitude_deg,
                                  double             longitude_deg,
                                  FilSkyPoint       *point);

G_END_DECLS
