/* fil-numbers-optics.c: telescope, sky, resolution and focus in words
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-numbers-private.h"

/* "12.3 × 45.6"; unknown where either is. */
static char *
pair (double      left,
      double      right,
      char     *(*text) (double value))
{
  g_autofree char *one = text (left);
  g_autofree char *two = text (right);

  if (!isfinite (left) || !isfinite (right))
    return g_strdup (_("unknown"));

  return g_strdup_printf ("%s × %s", one, two);
}

static char *
percent (double share)
{
  return fil_number_text (100.0 * share, share < 0.0995 ? 1 : 0, " %");
}

static char *
plus_minus (double      value,
            const char *unit)
{
  g_autofree char *text = fil_number_short (value, unit);

  return isfinite (value) ? g_strdup_printf ("±\u00a0%s", text) : g_steal_pointer (&text);
}

static char *
factor (double value)
{
  g_autofree char *text = fil_number_text (value, 2, "");

  return isfinite (value) ? g_strdup_printf ("×\u00a0%s", text) : g_steal_pointer (&text);
}

static void
add_wavelength (FilNumberGroup     *group,
                const FilEstimates *e)
{
  FilNumber *number = fil_numbers_add (group, "wavelength", _("Wavelength"),
                                       fil_number_text (e->optics.wavelength_nm, 0, " nm"));

  if (isfinite (e->optics.bandwidth_nm))
    number->note = g_strdup_printf (_("Bandpass of %.4g nm"), e->optics.bandwidth_nm);
  else if (e->band_low_nm == FIL_BAND_LOW_NM)
    number->note = g_strdup_printf (_("No bandpass: %.0f nm taken"), e->optics.wavelength_nm);
}

void
fil_numbers_fill_telescope (FilNumberGroup        *group,
                            const FilNumberSource *source)
{
  const FilOptics *o = &source->e->optics;
  FilNumber *number;

  number = fil_numbers_add (group, "aperture", _("Aperture"),
                            fil_number_text (o->aperture_mm, 0, " mm"));
  if (o->obstruction_ratio > 0.0)
    number->note = g_strdup_printf (_("%.0f %% of its diameter is obstructed"),
                                    100.0 * o->obstruction_ratio);

  number = fil_numbers_add (group, "focal-length", _("Focal length"),
                            fil_number_text (o->focal_length_mm, 0, " mm"));
  if (isfinite (o->focal_length_mm) && o->magnification != 1.0)
    number->note = g_strdup_printf (_("%.5g mm of the objective, times %.4g"),
                                    o->objective_focal_length_mm, o->magnification);

  fil_numbers_add (group, "focal-ratio", _("Focal ratio"),
                   isfinite (o->focal_ratio) ? g_strdup_printf ("f/%.1f", o->focal_ratio)
                                             : g_strdup (_("unknown")));
  fil_numbers_add (group, "magnification", _("Amplifiers and reducers"),
                   factor (o->magnification));
  add_wavelength (group, source->e);

  number = fil_numbers_add (group, "reflections", _("Reflections"),
                            g_strdup_printf ("%d", o->reflections));
  number->verdict = g_strdup (o->reflections % 2 == 1 ? _("The picture is mirrored")
                                                      : _("The picture is not mirrored"));
}

static void
add_field_of_sun (FilNumberGroup     *group,
                  const FilEstimates *e)
{
  double width = e->field_width_share_of_sun, height = e->field_height_share_of_sun;
  FilNumber *number = fil_numbers_add (group, "field-of-sun", _("Field over the Sun’s diameter"),
                                       pair (width, height, percent));

  if (isnan (e->field_share_of_sun))
    return;

  if (width >= 1.0 && height >= 1.0)
    {
      g_autofree char *share = percent (e->sun_share_of_field);

      number->verdict = g_strdup_printf (_("The whole disc fits, and fills %s of the field"),
                                         share);
    }
  else
    {
      g_autofree char *share = percent (e->field_share_of_sun);

      number->verdict = g_strdup_printf (_("Shows %s of the disc at once"), share);
    }
}

void
fil_numbers_fill_sky (FilNumberGroup        *group,
                      const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  FilNumber *number;

  fil_numbers_add (group, "plate-scale", _("Plate scale"),
                   fil_number_text (e->optics.plate_scale_arcsec_per_px, 4, _("″ a pixel")));
  fil_numbers_add (group, "field", _("Field"),
                   pair (e->optics.field_width_arcsec, e->optics.field_height_arcsec,
                         fil_number_angle));
  add_field_of_sun (group, e);

  number = fil_numbers_add (group, "km-per-px", _("On the Sun"),
                            fil_number_short (e->now_km_per_px, _(" km a pixel")));
  number->note = source->sun != NULL
                   ? g_strdup_printf (_("The Sun at %.4f au, as it stands"), e->distance_au)
                   : g_strdup (_("The Sun at its mean distance, 1 au"));

  fil_numbers_add (group, "first-focus-image", _("Sun’s image at the first focus"),
                   fil_number_text (e->first_focus_sun_diameter_mm, 2, " mm"));
  fil_numbers_add (group, "image", _("Sun’s image at the sensor"),
                   fil_number_text (e->now_sun_diameter_mm, 2, " mm"));
}

static void
add_sampling (FilNumberGroup     *group,
              const FilEstimates *e)
{
  FilNumber *number = fil_numbers_add (group, "samples", _("Pixels in the finest period"),
                                       fil_number_text (e->optics.samples_per_cutoff, 2, ""));

  switch (e->sampling)
    {
    case FIL_SAMPLING_UNDER:
      number->verdict = g_strdup (_("Undersampled: fine detail is lost between the pixels"));
      number->level = FIL_NUMBER_LOOK;
      break;
    case FIL_SAMPLING_OVER:
      number->verdict = g_strdup (_("Oversampled: costs light and field, and shows nothing more"));
      number->level = FIL_NUMBER_LOOK;
      break;
    case FIL_SAMPLING_WELL:
      number->verdict = g_strdup (_("Well sampled"));
      break;
    case FIL_SAMPLING_UNKNOWN:
    default:
      break;
    }
}

static void
add_right_factor (FilNumberGroup     *group,
                  const FilEstimates *e)
{
  g_autofree char *least = factor (e->well_magnification_min);
  g_autofree char *most = factor (e->well_magnification_max);
  FilNumber *number;

  number = fil_numbers_add (group, "well-magnification", _("Factor for right sampling"),
                            isfinite (e->well_magnification_min)
                              ? g_strdup_printf (_("%s to %s"), least, most)
                              : g_strdup (_("unknown")));
  number->note = g_strdup_printf (_("All amplifiers and reducers together, for %.0f to %.0f "
                                    "pixels in the finest period"),
                                  FIL_SAMPLING_LEAST, FIL_SAMPLING_MOST);
}

void
fil_numbers_fill_resolution (FilNumberGroup        *group,
                             const FilNumberSource *source)
{
  const FilOptics *o = &source->e->optics;

  fil_numbers_add (group, "cutoff", _("Finest period that gets through"),
                   fil_number_text (o->cutoff_arcsec, 3, "″"));
  fil_numbers_add (group, "rayleigh", _("Rayleigh’s limit"),
                   fil_number_text (o->rayleigh_arcsec, 3, "″"));
  fil_numbers_add (group, "dawes", _("Dawes’ limit"),
                   fil_number_text (o->dawes_arcsec, 3, "″"));
  fil_numbers_add (group, "airy", _("Airy disc’s diameter"),
                   fil_number_short (o->airy_diameter_um, " µm"));
  add_sampling (group, source->e);
  add_right_factor (group, source->e);
}

/* How far something is out of focus, against how far it may be.
 *
 * Returns: (transfer full) (nullable): how many times too far; %NULL: within */
static char *
judge_by_depth (FilNumber *number,
                double     share)
{
  g_autofree char *text = NULL;

  if (share > 1.0)
    {
      number->level = FIL_NUMBER_LOOK;
      return fil_number_short (share, "");
    }
  if (isfinite (share))
    {
      text = percent (share);
      number->verdict = g_strdup_printf (_("Within the depth of focus: %s of it"), text);
    }

  return NULL;
}

static gboolean
is_mirror (const FilRig *rig)
{
  const FilElement *objective = fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE);

  return objective != NULL && objective->type == FIL_OBJECTIVE_MIRROR;
}

static void
add_colours (FilNumberGroup        *group,
             const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  gboolean mirror = is_mirror (source->rig);
  FilNumber *number = fil_numbers_add (
    group, "secondary-spectrum", _("False colour of the achromat"),
    mirror ? NULL : fil_number_short (e->secondary_spectrum_um, " µm"));
  g_autofree char *times = judge_by_depth (number, e->secondary_spectrum_share_of_depth);

  number->estimate = isfinite (e->secondary_spectrum_um);
  if (times != NULL)
    number->verdict = g_strdup_printf (_("Beyond the depth of focus, %s times: a narrower "
                                         "bandpass sharpens the picture"), times);
  if (number->estimate)
    number->note = g_strdup_printf (_("%.0f to %.0f nm, two lenses of BK7 and F2 glass taken; an "
                                      "apochromat has far less"),
                                    e->band_low_nm, e->band_high_nm);
  else if (!mirror)
    number->note = g_strdup (_("For objectives of the type “lens” whose bandpass has centre and "
                               "width"));
}

static void
add_sag (FilNumberGroup        *group,
         const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  gboolean mirror = is_mirror (source->rig);
  FilNumber *number = fil_numbers_add (
    group, "field-sag", _("Field’s sag at the corner"),
    mirror ? NULL : fil_number_short (e->field_sag_corner_um, " µm"));
  g_autofree char *times = judge_by_depth (number, e->field_sag_share_of_depth);

  number->estimate = isfinite (e->field_sag_corner_um);
  if (times != NULL)
    number->verdict = g_strdup_printf (_("Beyond the depth of focus, %s times: the corners blur "
                                         "when the middle is sharp"), times);
  if (number->estimate)
    number->note = g_strdup (_("A thin doublet’s medial surface, of radius f/2.7, taken"));
  else if (!mirror)
    number->note = g_strdup (_("For objectives of the type “lens” without a rear group"));
}

void
fil_numbers_fill_focus (FilNumberGroup        *group,
                        const FilNumberSource *source)
{
  const FilOptics *o = &source->e->optics;
  FilNumber *number;

  number = fil_numbers_add (group, "depth", _("Depth of focus at the sensor"),
                            plus_minus (o->depth_of_focus_um, " µm"));
  number->note = g_strdup (_("2λN²: a quarter of a wave"));
  number = fil_numbers_add (group, "focuser-depth", _("Depth of focus at the focuser"),
                            plus_minus (o->focuser_depth_of_focus_um, " µm"));
  number->note = g_strdup (_("What the focuser has to hit"));
  add_colours (group, source);
  add_sag (group, source);
}
