/* fil-estimates.c: what follows from a rig, the Sun of the day and the air
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Field sag. An achromat of two thin lenses has a medial surface of radius
 * R ≈ f/2.7, hollow towards the objective: Petzval's sum is P/f with P = 0.714
 * for BK7/F2, the astigmatic surfaces of a thin lens at the stop have 1+P and
 * 3+P, their mean 2+P = 2.71 over f (Seidel theory, from memory). At a height
 * h of the first focus the sag is h²/(2R). An amplifier M makes the height
 * H = M·h, and every length along the axis longer by M². At the sensor:
 *
 *     M² h²/(2R) = M² (H/M)²/(2R) = H²/(2R) = 2.7 H²/(2f)
 *
 * with f of the objective alone: at a corner of the same chip the sag is the
 * same whatever the amplifier, while the depth of focus has grown by M². What
 * the amplifier's own lenses add is left out; so are mirrors and objectives
 * with a rear group, which have other surfaces.
 *
 * Rotation. The middle of the disc, at heliographic latitude B0, is carried
 * along by the Sun's turn less the Earth's way round it, and seen from the
 * Sun's distance less its radius. */

#include <math.h>

#include "fil-achromat.h"
#include "fil-estimates.h"
#include "fil-light.h"
#include "fil-rotation.h"

#define ARCSEC_PER_RAD  206264.80624709636
#define DEG             (G_PI / 180.0)
#define MIN_PER_DAY     1440.0

/* One turn a day, as the mean Sun does. */
#define MEAN_DRIFT_ARCSEC_PER_S 15.0

/* The Earth's mean motion, degrees a day: 360° in a sidereal year. */
#define EARTH_DEG_DAY (360.0 / 365.25636)

static double
positive (double value)
{
  return isfinite (value) && value > 0.0 ? value : NAN;
}

/* The area that a circle of radius 1 shares with a rectangle of the half
 * sides a and b about its middle, over the circle's. */
static double
overlap (double a,
         double b)
{
  double from = b < 1.0 ? sqrt (1.0 - b * b) : 0.0;
  double to = MIN (a, 1.0);
  double quarter;

  if (isnan (a) || isnan (b))
    return NAN;

  if (to <= from)
    quarter = to * b;
  else
    quarter = (b < 1.0 ? from * b : 0.0) +
              0.5 * (to * sqrt (1.0 - to * to) + asin (to)) -
              0.5 * (from * sqrt (1.0 - from * from) + asin (from));

  return quarter / (G_PI / 4.0);
}

static void
compute_field (FilEstimates *e)
{
  double diameter = 2.0 * e->semidiameter_arcsec;
  double width = e->optics.field_width_arcsec / diameter;
  double height = e->optics.field_height_arcsec / diameter;
  double share = overlap (width, height);

  e->field_width_share_of_sun = positive (width);
  e->field_height_share_of_sun = positive (height);
  e->field_share_of_sun = positive (share);
  e->sun_share_of_field = positive (share * G_PI / 4.0 / (width * height));
}

static void
compute_sampling (FilEstimates *e)
{
  double samples = e->optics.samples_per_cutoff;
  double magnification = e->optics.magnification;

  if (isnan (samples))
    e->sampling = FIL_SAMPLING_UNKNOWN;
  else if (samples < FIL_SAMPLING_LEAST - FIL_SAMPLING_SLACK)
    e->sampling = FIL_SAMPLING_UNDER;
  else if (samples > FIL_SAMPLING_MOST + FIL_SAMPLING_SLACK)
    e->sampling = FIL_SAMPLING_OVER;
  else
    e->sampling = FIL_SAMPLING_WELL;

  e->well_magnification_min = positive (magnification * FIL_SAMPLING_LEAST / samples);
  e->well_magnification_max = positive (magnification * FIL_SAMPLING_MOST / samples);
  e->now_km_per_px = positive (e->optics.km_per_px * e->distance_au);
}

static gboolean
has_before_camera (const FilRig   *rig,
                   FilElementKind  kind)
{
  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      const FilElement *element = fil_rig_get_element (rig, i);

      if (element->kind == FIL_ELEMENT_CAMERA)
        return FALSE;
      if (element->kind == kind)
        return TRUE;
    }

  return FALSE;
}

static void
compute_colours (const FilRig *rig,
                 FilEstimates *e)
{
  const FilElement *objective = fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE);
  const FilOptics *optics = &e->optics;
  double square = optics->magnification * optics->magnification;

  e->band_low_nm = FIL_BAND_LOW_NM;
  e->band_high_nm = FIL_BAND_HIGH_NM;
  if (has_before_camera (rig, FIL_ELEMENT_BANDPASS))
    {
      e->band_low_nm = positive (optics->wavelength_nm - 0.5 * optics->bandwidth_nm);
      e->band_high_nm = positive (optics->wavelength_nm + 0.5 * optics->bandwidth_nm);
    }

  if (objective == NULL || objective->type != FIL_OBJECTIVE_LENS)
    return;

  e->secondary_spectrum_um =
    positive (optics->objective_focal_length_mm * 1e3 * square *
              fil_achromat_spread (e->band_low_nm, e->band_high_nm));
  e->secondary_spectrum_share_of_depth =
    positive (0.5 * e->secondary_spectrum_um / optics->depth_of_focus_um);
}

static void
compute_sag (const FilRig *rig,
             FilEstimates *e)
{
  const FilElement *objective = fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE);
  const FilOptics *optics = &e->optics;
  double corner_mm = 0.5 * optics->pixel_um * 1e-3 * hypot (optics->columns, optics->rows);

  if (objective == NULL || objective->type != FIL_OBJECTIVE_LENS || objective->rear_group ||
      optics->columns == 0 || optics->rows == 0)
    return;

  e->field_sag_corner_um = positive (FIL_MEDIAL_CURVATURE * corner_mm * corner_mm * 1e3 /
                                     (2.0 * optics->objective_focal_length_mm));
  e->field_sag_share_of_depth = positive (e->field_sag_corner_um / optics->depth_of_focus_um);
}

/* What filters before the objective let through; a wedge's reflectance
 * behind it. Both of all colours, taken to be those of the visible ones. */
static void
find_attenuation (const FilRig *rig,
                  double       *before,
                  double       *wedge)
{
  gboolean seen = FALSE;

  *before = 1.0;
  *wedge = NAN;
  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      const FilElement *element = fil_rig_get_element (rig, i);

      if (element->kind == FIL_ELEMENT_CAMERA)
        return;
      if (element->kind == FIL_ELEMENT_OBJECTIVE)
        seen = TRUE;
      else if (element->kind == FIL_ELEMENT_WEDGE && seen && isnan (*wedge))
        *wedge = pow (10.0, -fil_light_element_density (element));
      else if (!seen && (element->kind == FIL_ELEMENT_FRONT_FILTER ||
                         element->kind == FIL_ELEMENT_DENSITY))
        *before *= pow (10.0, -fil_light_element_density (element));
    }
}

static void
compute_light (const FilRig *rig,
               FilEstimates *e)
{
  const FilElement *camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
  const FilOptics *optics = &e->optics;
  double ratio = optics->obstruction_ratio;
  double area_m2 = G_PI / 4.0 * pow (optics->aperture_mm * 1e-3, 2) * (1.0 - ratio * ratio);
  double tangent = tan (e->semidiameter_arcsec / ARCSEC_PER_RAD);
  double before, wedge, image_cm2;

  find_attenuation (rig, &before, &wedge);
  e->first_focus_sun_diameter_mm =
    positive (2.0 * optics->objective_focal_length_mm * tangent);
  e->now_sun_diameter_mm = positive (2.0 * optics->focal_length_mm * tangent);

  image_cm2 = G_PI / 4.0 * pow (e->first_focus_sun_diameter_mm * 0.1, 2);
  e->aperture_w = positive (FIL_GROUND_W_M2 * area_m2 * before);
  e->first_focus_heat_w_per_cm2 = positive (e->aperture_w / image_cm2);
  e->behind_wedge_heat_w_per_cm2 = positive (e->first_focus_heat_w_per_cm2 * wedge);

  if (camera != NULL)
    e->exposure_estimate_ms = positive (FIL_FULL_WELL_SHARE * camera->full_well_e /
                                        optics->electrons_per_ms);
}

static double
rotation_arcsec_per_min (double b0_deg,
                         double distance_au)
{
  /* The granules' own, and the fastest: what follows spots lasts 3 % longer. */
  double sidereal = fil_rotation_deg_per_day (FIL_ROTATION_DOPPLER, b0_deg);
  /* Kepler's second law: the nearer, the faster. */
  double synodic = sidereal - EARTH_DEG_DAY / (distance_au * distance_au);
  double way_km = synodic * DEG * cos (b0_deg * DEG) * FIL_SUN_RADIUS_KM;

  return way_km / (distance_au * FIL_AU_KM - FIL_SUN_RADIUS_KM) * ARCSEC_PER_RAD / MIN_PER_DAY;
}

static void
compute_times (const FilSun *sun,
               FilEstimates *e)
{
  double drift = MEAN_DRIFT_ARCSEC_PER_S;

  if (sun != NULL)
    drift = sun->hour_angle_rate_arcsec_per_s * cos (sun->dec_deg * DEG);

  e->drift_arcsec_per_s = positive (drift);
  e->drift_width_s = positive (e->optics.field_width_arcsec / drift);
  e->drift_height_s = positive (e->optics.field_height_arcsec / drift);
  /* mm over m/s are ms. */
  e->freeze_exposure_ms = positive (0.25 * positive (e->air.r0_mm) / positive (e->air.wind_m_s));
  e->rotation_arcsec_per_min =
    positive (rotation_arcsec_per_min (sun != NULL ? sun->b0_deg : 0.0, e->distance_au));
  e->rotation_half_pixel_s = positive (0.5 * e->optics.plate_scale_arcsec_per_px /
                                       e->rotation_arcsec_per_min * 60.0);
}

/**
 * fil_estimates_compute:
 * @rig: may lack its objective or its camera: what hangs on them is NaN then
 * @sun: (nullable): of the moment; %NULL: 1 au, on the equator, 15″ a second
 * @air: (nullable): %NULL: %FIL_AIR_R0_MM, %FIL_AIR_WIND_M_S
 * @out: (out caller-allocates)
 *
 * Formulas and sources: docs/numbers.md. Any thread.
 */
void
fil_estimates_compute (const FilRig *rig,
                       const FilSun *sun,
                       const FilAir *air,
                       FilEstimates *out)
{
  g_return_if_fail (rig != NULL && out != NULL);

  *out = (FilEstimates) {
    .air = { FIL_AIR_R0_MM, FIL_AIR_WIND_M_S },
    .distance_au = sun != NULL ? sun->distance_au : 1.0,
    .semidiameter_arcsec = sun != NULL ? sun->semidiameter_arcsec
                                       : asin (FIL_SUN_RADIUS_KM / FIL_AU_KM) * ARCSEC_PER_RAD,
    .secondary_spectrum_um = NAN,
    .secondary_spectrum_share_of_depth = NAN,
    .field_sag_corner_um = NAN,
    .field_sag_share_of_depth = NAN,
    .exposure_estimate_ms = NAN,
  };
  if (air != NULL)
    out->air = *air;

  fil_optics_compute (rig, &out->optics);
  compute_field (out);
  compute_sampling (out);
  compute_colours (rig, out);
  compute_sag (rig, out);
  compute_light (rig, out);
  compute_times (sun, out);
}

/* Returns: (nullable): "under", "well", "over"; %NULL: unknown */
const char *
fil_sampling_to_key (FilSampling sampling)
{
  static const char *const keys[] = { NULL, "under", "well", "over" };

  g_return_val_if_fail ((guint) sampling < G_N_ELEMENTS (keys), NULL);

  return keys[sampling];
}
