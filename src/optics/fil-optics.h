/* fil-optics.h: what a rig's light path does, in numbers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

/**
 * FilOptics:
 *
 * Every number is positive and finite, or NaN where the rig doesn't tell
 * enough. @wavelength_nm is the bandpass' centre, 550 without one.
 */
typedef struct
{
  double wavelength_nm;
  double bandwidth_nm;                 /* NaN without a bandpass */
  double aperture_mm;
  double obstruction_ratio;            /* 0 without an obstruction */
  double objective_focal_length_mm;
  double magnification;                /* amplifiers times reducers */
  double focal_length_mm;              /* at the sensor */
  double focal_ratio;                  /* at the sensor */
  double pixel_um;
  int    columns, rows;
  double plate_scale_arcsec_per_px;
  double field_width_arcsec, field_height_arcsec;
  double airy_diameter_um;             /* to the first dark ring */
  double rayleigh_arcsec, dawes_arcsec;
  double cutoff_arcsec;                /* period, λ/D */
  double cutoff_cycles_per_px;         /* p/(λN); may lie beyond 0.5 */
  double samples_per_cutoff;           /* λN/p */
  double depth_of_focus_um;            /* half range at the sensor, 2λN² */
  double focuser_depth_of_focus_um;    /* the same before the amplifier */
  double sun_diameter_mm;              /* at the sensor, 1 au */
  double km_per_px;                    /* at 1 au, disc centre */
  double density;                      /* filters and wedge, optical density at the sensor */
  double electrons_per_ms;             /* a pixel, disc centre; an estimate, see docs */
  int    reflections;                  /* wedges and diagonals; odd: mirrored */
} FilOptics;

void fil_optics_compute (const FilRig *rig,
                         FilOptics    *optics);

G_END_DECLS
