/* fil-light.c: how much sunlight a pixel gets, an estimate
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Good to perhaps a factor of two: it tells whether an exposure of a
 * millisecond is of the right order. What the rig doesn't tell is assumed:
 *
 * - the Sun is a black body of 5772 K (effective temperature, IAU 2015
 *   resolution B3), within about 10 % of the measured spectrum from 450 to
 *   900 nm; below, its absorption lines take more;
 * - 75 % of the light comes through a clear sky at a middling altitude
 *   (common practice, no source);
 * - 90 % comes through the objective (common practice, no source);
 * - a bandpass has a peak of 90 %, a sensor a quantum efficiency of 60 %
 *   (common practice, no source);
 * - a wedge is uncoated BK7-like glass at 45°;
 * - amplifiers, reducers, diagonals and blockers take nothing;
 * - a polariser behind a front filter halves the light; behind a wedge,
 *   whose light is mostly polarised, its angle decides, and nothing is told.
 */

#include <math.h>

#include "fil-light.h"
#include "fil-sun.h"

#define PLANCK_J_S        6.62607015e-34   /* exact, SI 2019 */
#define LIGHT_M_S         299792458.0      /* exact, SI */
#define BOLTZMANN_J_K     1.380649e-23     /* exact, SI 2019 */
#define SUN_K             5772.0
#define WEDGE_INDEX       1.5168           /* BK7 at 587.6 nm, from memory */
#define ARCSEC_PER_RAD    206264.80624709636

/**
 * fil_light_wedge_reflectance:
 * @index: refractive index of the glass, above 1
 *
 * Fresnel's reflectance of one uncoated surface at 45°, unpolarised light.
 * Source: Fresnel's equations; 0.0526 for 1.5168.
 */
double
fil_light_wedge_reflectance (double index)
{
  double cos_in = sqrt (0.5);
  double cos_glass = sqrt (1.0 - 0.5 / (index * index));
  double s = (cos_in - index * cos_glass) / (cos_in + index * cos_glass);
  double p = (index * cos_in - cos_glass) / (index * cos_in + cos_glass);

  return 0.5 * (s * s + p * p);
}

/* Returns: the optical density of a front filter, a wedge or a density filter;
 *   0 of everything else; NaN where it isn't told */
double
fil_light_element_density (const FilElement *element)
{
  double reflectance = element->reflectance_percent / 100.0;

  switch (element->kind)
    {
    case FIL_ELEMENT_FRONT_FILTER:
    case FIL_ELEMENT_DENSITY:
      return element->density;
    case FIL_ELEMENT_WEDGE:
      return -log10 (isfinite (reflectance) ? reflectance
                                            : fil_light_wedge_reflectance (WEDGE_INDEX));
    default:
      return 0.0;
    }
}

/**
 * fil_light_path_density:
 * @n_elements: how many count, from the sky
 *
 * Returns: the optical density of front filters, wedges and density filters
 *   together; NaN where one of them doesn't tell
 */
double
fil_light_path_density (const FilRig *rig,
                        guint         n_elements)
{
  double density = 0.0;

  for (guint i = 0; i < n_elements; i++)
    density += fil_light_element_density (fil_rig_get_element (rig, i));

  return density;
}

/**
 * fil_light_sun_irradiance:
 *
 * Returns: W m⁻² nm⁻¹ outside the atmosphere at 1 au, by Planck's law
 */
double
fil_light_sun_irradiance (double wavelength_nm)
{
  double wavelength_m = wavelength_nm * 1e-9;
  double exponent = PLANCK_J_S * LIGHT_M_S / (wavelength_m * BOLTZMANN_J_K * SUN_K);
  double radiance = 2.0 * PLANCK_J_S * LIGHT_M_S * LIGHT_M_S /
                    (pow (wavelength_m, 5) * expm1 (exponent));
  double radius = FIL_SUN_RADIUS_KM / FIL_AU_KM;

  return G_PI * radiance * radius * radius * 1e-9;
}

/**
 * fil_light_mean_to_centre:
 *
 * The disc's mean brightness over its centre's: the limb is darker.
 *
 * Source: Neckel 2005, Sol. Phys. 229, 13, fitted for 0.4226 to 1.1 µm (held
 * at these ends beyond them); the mean of Σ A μ^i over the disc is Σ 2A/(i+2).
 */
double
fil_light_mean_to_centre (double wavelength_nm)
{
  double um = CLAMP (wavelength_nm / 1000.0, 0.4226, 1.1);
  double a = 1.0 / um;
  double b = pow (um, -5);
  const double coefficients[] = {
    0.75267 - 0.265577 * a,
    0.93874 + 0.265577 * a - 0.004095 * b,
    -1.89287 + 0.012582 * b,
    2.42234 - 0.017117 * b,
    -1.71150 + 0.011977 * b,
    0.49062 - 0.003347 * b,
  };
  double mean = 0.0;

  for (guint i = 0; i < G_N_ELEMENTS (coefficients); i++)
    mean += 2.0 * coefficients[i] / (i + 2.0);

  return mean;
}

static const FilElement *
find_before (const FilRig   *rig,
             guint           n_elements,
             FilElementKind  kind)
{
  for (guint i = 0; i < n_elements; i++)
    if (fil_rig_get_element (rig, i)->kind == kind)
      return fil_rig_get_element (rig, i);

  return NULL;
}

static double
fraction_or (double percent,
             double otherwise)
{
  return isfinite (percent) ? percent / 100.0 : otherwise;
}

/* The share of the light that filters and sensor let count. */
static double
transmission (const FilRig    *rig,
              guint            n_elements,
              const FilOptics *optics)
{
  const FilElement *polariser = find_before (rig, n_elements, FIL_ELEMENT_POLARISER);
  const FilElement *camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
  double share = FIL_LIGHT_SKY * FIL_LIGHT_OBJECTIVE * pow (10.0, -optics->density);

  for (guint i = 0; i < n_elements; i++)
    if (fil_rig_get_element (rig, i)->kind == FIL_ELEMENT_BANDPASS)
      share *= fraction_or (fil_rig_get_element (rig, i)->peak_percent, FIL_LIGHT_PEAK);

  if (polariser != NULL)
    share *= find_before (rig, n_elements, FIL_ELEMENT_WEDGE) != NULL ? NAN : 0.5;

  if (camera == NULL)
    return NAN;

  return share * fraction_or (camera->quantum_efficiency_percent, FIL_LIGHT_QUANTUM);
}

/**
 * fil_light_electrons_per_ms:
 * @n_elements: how many count, from the sky: those before the camera
 * @optics: all else computed
 *
 * Returns: electrons a pixel and millisecond at the disc's centre; NaN
 *   without a bandpass' width, a density that isn't told, or optics that
 *   can't be computed
 */
double
fil_light_electrons_per_ms (const FilRig    *rig,
                            guint            n_elements,
                            const FilOptics *optics)
{
  double ratio = optics->obstruction_ratio;
  double area_m2 = G_PI / 4.0 * pow (optics->aperture_mm * 1e-3, 2) * (1.0 - ratio * ratio);
  double pixel_rad = optics->plate_scale_arcsec_per_px / ARCSEC_PER_RAD;
  double sun_sr = G_PI * pow (FIL_SUN_RADIUS_KM / FIL_AU_KM, 2);
  double share_of_disc = pixel_rad * pixel_rad / sun_sr /
                         fil_light_mean_to_centre (optics->wavelength_nm);
  double power_w = fil_light_sun_irradiance (optics->wavelength_nm) * optics->bandwidth_nm *
                   area_m2 * share_of_disc * transmission (rig, n_elements, optics);
  double photon_j = PLANCK_J_S * LIGHT_M_S / (optics->wavelength_nm * 1e-9);

  return power_w / photon_j * 1e-3;
}
