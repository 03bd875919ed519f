/* fil-optics.c: what a rig's light path does, in numbers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-light.h"
#include "fil-sun.h"

#define ARCSEC_PER_RAD     206264.80624709636   /* 180 · 3600 / π */
#define FIRST_DARK_RING    1.2196698912665045   /* first zero of J1 over π */
#define DAWES_ARCSEC_MM    116.0                /* common practice, no source */
#define WAVELENGTH_NM      550.0                /* where the rig has no bandpass */

/* "Positive and finite, or NaN": hostile files overflow, sums of unknowns
 * are unknown. */
static double
positive (double value)
{
  return isfinite (value) && value > 0.0 ? value : NAN;
}

/* Elements from the sky up to the camera: what stands behind it gets no light. */
static guint
count_before_camera (const FilRig *rig)
{
  guint n = 0;

  while (n < fil_rig_get_n_elements (rig) &&
         fil_rig_get_element (rig, n)->kind != FIL_ELEMENT_CAMERA)
    n++;

  return n;
}

static void
walk_path (const FilRig *rig,
           guint         n,
           FilOptics    *optics)
{
  double magnification = 1.0;

  for (guint i = 0; i < n; i++)
    {
      const FilElement *element = fil_rig_get_element (rig, i);

      switch (element->kind)
        {
        case FIL_ELEMENT_AMPLIFIER:
        case FIL_ELEMENT_REDUCER:
          magnification *= element->factor;
          break;
        case FIL_ELEMENT_WEDGE:
        case FIL_ELEMENT_DIAGONAL:
          optics->reflections++;
          break;
        case FIL_ELEMENT_BANDPASS:
          /* The narrowest decides where the light lies. */
          if (isfinite (element->centre_nm) &&
              (isnan (optics->bandwidth_nm) || element->width_nm < optics->bandwidth_nm))
            {
              optics->wavelength_nm = element->centre_nm;
              optics->bandwidth_nm = element->width_nm;
            }
          break;
        default:
          break;
        }
    }

  optics->magnification = positive (magnification);
  optics->density = fil_light_path_density (rig, n);
}

static void
compute_resolution (FilOptics *optics)
{
  double lambda_over_d = optics->wavelength_nm * 1e-6 / optics->aperture_mm * ARCSEC_PER_RAD;

  /* Rayleigh: the first dark ring of the Airy pattern, 1.22 λ/D (Born & Wolf,
   * Principles of Optics, 8.5.2, from memory). */
  optics->rayleigh_arcsec = positive (FIRST_DARK_RING * lambda_over_d);
  optics->dawes_arcsec = positive (DAWES_ARCSEC_MM / optics->aperture_mm);
  /* The transfer function of a circular aperture ends at D/λ. */
  optics->cutoff_arcsec = positive (lambda_over_d);
}

static void
compute_focus (FilOptics *optics)
{
  double ratio = optics->focal_ratio;
  double lambda_um = optics->wavelength_nm * 1e-3;
  double magnification = optics->magnification;

  optics->airy_diameter_um = positive (2.0 * FIRST_DARK_RING * lambda_um * ratio);
  /* ±2λN²: a quarter wave from peak to valley at the pupil's edge, Rayleigh's
   * limit. An amplifier stretches it by its square. */
  optics->depth_of_focus_um = positive (2.0 * lambda_um * ratio * ratio);
  optics->focuser_depth_of_focus_um =
    positive (optics->depth_of_focus_um / (magnification * magnification));
}

static void
compute_sampling (FilOptics *optics)
{
  double focal_um = optics->focal_length_mm * 1e3;
  double lambda_um = optics->wavelength_nm * 1e-3;
  double scale = positive (optics->pixel_um / focal_um * ARCSEC_PER_RAD);

  optics->plate_scale_arcsec_per_px = scale;
  optics->field_width_arcsec = positive (scale * optics->columns);
  optics->field_height_arcsec = positive (scale * optics->rows);
  optics->samples_per_cutoff = positive (lambda_um * optics->focal_ratio / optics->pixel_um);
  optics->cutoff_cycles_per_px = positive (1.0 / optics->samples_per_cutoff);
  optics->km_per_px = positive (scale / ARCSEC_PER_RAD * FIL_AU_KM);
}

/* What a rig that is still being put together lacks. */
static const FilElement missing = {
  .aperture_mm = NAN,
  .focal_length_mm = NAN,
  .obstruction_mm = NAN,
  .pixel_um = NAN,
};

static const FilElement *
find_or_missing (const FilRig   *rig,
                 FilElementKind  kind)
{
  const FilElement *element = fil_rig_find (rig, kind);

  return element != NULL ? element : &missing;
}

/**
 * fil_optics_compute:
 * @rig: may lack its objective or its camera: what hangs on them is NaN then
 * @optics: (out caller-allocates): every number positive and finite, or NaN
 *
 * Small angles: the field's size is the plate scale times its pixels. Any
 * thread.
 */
void
fil_optics_compute (const FilRig *rig,
                    FilOptics    *optics)
{
  const FilElement *objective, *camera;
  guint n;

  g_return_if_fail (rig != NULL && optics != NULL);

  objective = find_or_missing (rig, FIL_ELEMENT_OBJECTIVE);
  camera = find_or_missing (rig, FIL_ELEMENT_CAMERA);
  n = count_before_camera (rig);

  *optics = (FilOptics) {
    .wavelength_nm = WAVELENGTH_NM,
    .bandwidth_nm = NAN,
    .aperture_mm = objective->aperture_mm,
    .objective_focal_length_mm = objective->focal_length_mm,
    .pixel_um = camera->pixel_um,
    .columns = camera->columns,
    .rows = camera->rows,
  };
  if (isfinite (objective->obstruction_mm))
    optics->obstruction_ratio = objective->obstruction_mm / objective->aperture_mm;

  walk_path (rig, n, optics);
  optics->focal_length_mm = positive (objective->focal_length_mm * optics->magnification);
  optics->focal_ratio = positive (optics->focal_length_mm / optics->aperture_mm);
  /* 2 f tan (semidiameter), with the IAU's nominal radius at 1 au. */
  optics->sun_diameter_mm = positive (2.0 * optics->focal_length_mm *
                                      tan (asin (FIL_SUN_RADIUS_KM / FIL_AU_KM)));

  compute_resolution (optics);
  compute_focus (optics);
  compute_sampling (optics);
  optics->electrons_per_ms = positive (fil_light_electrons_per_ms (rig, n, optics));
}
