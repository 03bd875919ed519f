/* fil-estimates.h: what follows from a rig, the Sun of the day and the air
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-optics.h"
#include "fil-sun.h"

G_BEGIN_DECLS

/**
 * FilAir:
 * @r0_mm: Fried's length at the wavelength of the rig, above 0
 * @wind_m_s: at which the turbulence is carried across the beam, above 0
 */
typedef struct
{
  double r0_mm;
  double wind_m_s;
} FilAir;

/* A middling daylight hour (common practice, no source). */
#define FIL_AIR_R0_MM     50.0
#define FIL_AIR_WIND_M_S   5.0

/* How many pixels lie in the finest period that the aperture lets through.
 * Below 2 the sampling theorem (Shannon 1949, Proc. IRE 37, 10; from memory)
 * is broken, and detail is lost or comes back as a false pattern. From 4 on a
 * square pixel's own blur takes less than 10 % even of the finest period
 * (sin(π/4)/(π/4) = 0.900), so that smaller ones bring next to nothing and
 * cost light and field (where to put that limit: common practice, no source). */
#define FIL_SAMPLING_LEAST  2.0
#define FIL_SAMPLING_MOST   4.0
/* A hair below 2 isn't held against a rig: it is shown as 2.00. */
#define FIL_SAMPLING_SLACK  0.005

typedef enum
{
  FIL_SAMPLING_UNKNOWN,
  FIL_SAMPLING_UNDER,
  FIL_SAMPLING_WELL,
  FIL_SAMPLING_OVER,
} FilSampling;

/* The band that is taken where the rig has no bandpass: what a camera behind
 * an infrared blocker sees (common practice, no source). */
#define FIL_BAND_LOW_NM   400.0
#define FIL_BAND_HIGH_NM  700.0

/* Sunlight at the ground, all colours: common practice, no source. */
#define FIL_GROUND_W_M2  1000.0

/* How full the disc's middle is to make a pixel: common practice, no source. */
#define FIL_FULL_WELL_SHARE  0.7

/* An achromat's medial surface, midway between its two astigmatic ones, over
 * its focal length: a radius of f/2.7. */
#define FIL_MEDIAL_CURVATURE  2.7

/**
 * FilEstimates:
 *
 * Numbers are positive and finite, or NaN where rig, Sun or air don't tell
 * enough. Those with "estimate" are good to perhaps a factor of two.
 */
typedef struct
{
  FilOptics   optics;
  FilAir      air;                               /* as taken */
  double      distance_au;                       /* of the Sun, as taken */
  double      semidiameter_arcsec;

  double      field_width_share_of_sun;          /* field over the Sun's diameter */
  double      field_height_share_of_sun;
  double      sun_share_of_field;                /* areas, the disc in the middle */
  double      field_share_of_sun;
  FilSampling sampling;
  double      well_magnification_min;            /* of all amplifiers and reducers: */
  double      well_magnification_max;            /* where sampling is well */
  double      now_km_per_px;

  double      band_low_nm, band_high_nm;         /* in which colours are compared */
  double      secondary_spectrum_um;             /* estimate: longest less shortest focus, */
  double      secondary_spectrum_share_of_depth; /* at the sensor; half of it over the depth */
  double      field_sag_corner_um;               /* estimate: at the sensor */
  double      field_sag_share_of_depth;          /* all of it over the depth */

  double      first_focus_sun_diameter_mm;
  double      now_sun_diameter_mm;               /* at the sensor */
  double      aperture_w;                        /* power that enters the objective */
  double      first_focus_heat_w_per_cm2;        /* mean over the Sun's image; a wedge not counted */
  double      behind_wedge_heat_w_per_cm2;       /* NaN without a wedge */
  double      exposure_estimate_ms;              /* estimate */

  double      drift_arcsec_per_s;                /* the drive off */
  double      drift_width_s, drift_height_s;
  double      freeze_exposure_ms;                /* a quarter of r0 over the wind */
  double      rotation_arcsec_per_min;           /* of the disc's middle, synodic */
  double      rotation_half_pixel_s;
} FilEstimates;

void        fil_estimates_compute (const FilRig *rig,
                                   const FilSun *sun,
                                   const FilAir *air,
                                   FilEstimates *out);
const char *fil_sampling_to_key   (FilSampling   sampling);

G_END_DECLS
