/* fil-sim-optics.c: the rig's optics as the simulated Sun needs them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-optics.h"
#include "fil-sim-optics.h"
#include "fil-source.h"

/* Where the rig is silent: a small-pixel sensor and an exposure of some ms. */
#define USUAL_FULL_WELL_E      10000.0   /* from memory */
#define USUAL_ELECTRONS_PER_MS 2000.0    /* common practice, no source */
#define USUAL_BITS             12

static double
or_usual (double value,
          double usual)
{
  return isfinite (value) && value > 0.0 ? value : usual;
}

/**
 * fil_sim_optics_init:
 * @rig: any complete rig
 *
 * Returns: %TRUE, or %FALSE with %FIL_SOURCE_ERROR_NAME for a rig that tells
 *   too little to make a picture
 */
gboolean
fil_sim_optics_init (FilSimOptics  *optics,
                     const FilRig  *rig,
                     GError       **error)
{
  const FilElement *camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
  FilOptics light;

  fil_optics_compute (rig, &light);
  if (camera == NULL || !(light.cutoff_cycles_per_px > 0.0) ||
      !(light.plate_scale_arcsec_per_px > 0.0))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
                   _("sim: the rig “%s” tells too little for a picture: "
                     "objective and camera are needed"), fil_rig_get_name (rig));
      return FALSE;
    }

  *optics = (FilSimOptics) {
    .aperture_m = light.aperture_mm * 1e-3,
    .obstruction_ratio = isfinite (light.obstruction_ratio) ? light.obstruction_ratio : 0.0,
    .wavelength_m = light.wavelength_nm * 1e-9,
    .focal_ratio = light.focal_ratio,
    .pixel_um = light.pixel_um,
    .plate_scale_arcsec_per_px = light.plate_scale_arcsec_per_px,
    .cutoff_cycles_per_px = light.cutoff_cycles_per_px,
    .electrons_per_ms = or_usual (light.electrons_per_ms, USUAL_ELECTRONS_PER_MS),
    .full_well_e = or_usual (camera->full_well_e, USUAL_FULL_WELL_E),
    .columns = light.columns,
    .rows = light.rows,
    .bits = camera->bits > 0 ? camera->bits : USUAL_BITS,
    .mirrored = light.reflections % 2 != 0,
  };

  return TRUE;
}
