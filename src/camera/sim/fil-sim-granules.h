/* fil-sim-granules.h: the Sun's granulation as a periodic texture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilSimGranules:
 * @width: samples, the period in x
 * @height: samples, the period in y
 * @step_arcsec: size of a sample
 * @values: (I − mean)/mean, row by row
 */
typedef struct
{
  int    width, height;
  double step_arcsec;
  float *values;
} FilSimGranules;

FilSimGranules *fil_sim_granules_new  (guint64         seed,
                                       double          wavelength_nm,
                                       double          step_arcsec,
                                       int             width,
                                       int             height);
void            fil_sim_granules_free (FilSimGranules *granules);
double          fil_sim_granules_get_contrast (double  wavelength_nm);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimGranules, fil_sim_granules_free)

G_END_DECLS
