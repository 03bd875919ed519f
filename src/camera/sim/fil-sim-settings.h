/* fil-sim-settings.h: what "sim:…" asks for
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-pixel-format.h"
#include "fil-sim-optics.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_SIM_TARGET_SPOT,
  FIL_SIM_TARGET_LIMB,
  FIL_SIM_TARGET_QUIET,
  FIL_SIM_N_TARGETS,
} FilSimTarget;

/**
 * FilSimSettings:
 * @width: pixels, 0: the rig's camera
 * @height: pixels, 0: the rig's camera
 * @bits: 8, 10, 12, 14 or 16; 0: the rig's camera, else 12
 * @level_percent: mean of the picture, of full; 0: what suits the picture
 * @r0_mm: Fried's parameter at 500 nm, zenith
 * @clouds: 0 none to 1 overcast
 * @defocus_um: displacement of best focus at the sensor; the tilts and the
 *   curvature are the coefficients of u, v and (u² + v²)/2, where u and v
 *   run from −1 to 1 over the picture, v upward
 */
typedef struct
{
  guint64      seed;
  int          width, height;
  int          bits;
  FilPattern   pattern;
  double       fps;
  double       level_percent;
  double       r0_mm;
  double       wind_m_s;
  double       clouds;
  double       defocus_um, tilt_x_um, tilt_y_um, curvature_um;
  gboolean     drive;
  gboolean     noise;
  gboolean     dust;
  FilSimTarget target;
  gboolean     paced;
} FilSimSettings;

gboolean    fil_sim_settings_parse     (const char      *name,
                                        FilSimSettings  *settings,
                                        GError         **error);
void        fil_sim_settings_fill_in   (FilSimSettings  *settings,
                                        const FilSimOptics *optics);
const FilPixelFormat *fil_sim_settings_find_format (FilPattern pattern,
                                        int              bits);

G_END_DECLS
