/* fil-numbers-light.c: light, heat and time in words
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-light.h"
#include "fil-numbers-private.h"

/* From here on the focus burns in a moment: common practice, no source. Below
 * it nothing is promised. */
#define HOT_W_PER_CM2 1.0

static char *
heat (double w_per_cm2)
{
  if (w_per_cm2 < 0.0995)
    return fil_number_short (1e3 * w_per_cm2, " mW/cm²");

  return fil_number_short (w_per_cm2, " W/cm²");
}

static void
add_heat (FilNumberGroup        *group,
          const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  gboolean wedge = fil_rig_find (source->rig, FIL_ELEMENT_WEDGE) != NULL;
  gboolean filter = fil_rig_find (source->rig, FIL_ELEMENT_FRONT_FILTER) != NULL;
  FilNumber *number;

  number = fil_numbers_add (group, "first-focus-heat",
                            wedge ? _("Heat at the first focus, before the wedge")
                                  : _("Heat at the first focus"),
                            heat (e->first_focus_heat_w_per_cm2));
  number->note = g_strdup_printf (filter ? _("%.0f W/m² of sunlight; the front filter’s density "
                                             "taken for all colours, infrared too")
                                         : _("%.0f W/m² of sunlight, mean over the Sun’s image"),
                                  FIL_GROUND_W_M2);
  if (e->first_focus_heat_w_per_cm2 >= HOT_W_PER_CM2)
    {
      number->level = FIL_NUMBER_LOOK;
      number->verdict = g_strdup (_("Burns what it falls on, beside the axis too: the cap stays "
                                    "on until the telescope points at the Sun"));
    }

  number = fil_numbers_add (group, "behind-wedge-heat", _("Heat there behind the wedge"),
                            wedge ? heat (e->behind_wedge_heat_w_per_cm2) : NULL);
  number->note = g_strdup (_("Before its density filter; the rest leaves through the wedge’s heat "
                             "outlet"));
}

/* Each assumption that went into the signal, as far as this rig needs it. */
static char *
assumptions (const FilRig *rig)
{
  const FilElement *camera = fil_rig_find (rig, FIL_ELEMENT_CAMERA);
  const FilElement *bandpass = fil_rig_find (rig, FIL_ELEMENT_BANDPASS);
  const FilElement *wedge = fil_rig_find (rig, FIL_ELEMENT_WEDGE);
  g_autoptr (GString) text = g_string_new (NULL);

  g_string_append_printf (text, _("Sun of 5772 K, sky lets %.0f %% through, objective %.0f %%"),
                          100.0 * FIL_LIGHT_SKY, 100.0 * FIL_LIGHT_OBJECTIVE);
  if (bandpass != NULL && isnan (bandpass->peak_percent))
    g_string_append_printf (text, _(", bandpass %.0f %%"), 100.0 * FIL_LIGHT_PEAK);
  if (wedge != NULL && isnan (wedge->reflectance_percent))
    g_string_append_printf (text, _(", wedge reflects %.1f %%"),
                            100.0 * pow (10.0, -fil_light_element_density (wedge)));
  if (camera != NULL && isnan (camera->quantum_efficiency_percent))
    g_string_append_printf (text, _(", sensor counts %.0f %%"), 100.0 * FIL_LIGHT_QUANTUM);

  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
add_signal (FilNumberGroup        *group,
            const FilNumberSource *source)
{
  const FilElement *camera = fil_rig_find (source->rig, FIL_ELEMENT_CAMERA);
  const FilEstimates *e = source->e;
  FilNumber *number;

  number = fil_numbers_add (group, "electrons", _("Signal of the disc’s middle"),
                            fil_number_short (e->optics.electrons_per_ms, _(" electrons/ms")));
  number->estimate = isfinite (e->optics.electrons_per_ms);
  number->note = number->estimate
                   ? assumptions (source->rig)
                   : g_strdup (_("Needs the bandpass’ width and the density of every filter"));

  number = fil_numbers_add (group, "exposure", _("Exposure to start from"),
                            fil_number_short (e->exposure_estimate_ms, " ms"));
  number->estimate = isfinite (e->exposure_estimate_ms);
  if (camera == NULL || isnan (camera->full_well_e))
    number->note = g_strdup (_("Needs the camera’s full well (full_well_e)"));
  else if (number->estimate)
    number->note = g_strdup_printf (_("The disc’s middle at %.0f %% of the full well of %.6g "
                                      "electrons, lowest gain"),
                                    100.0 * FIL_FULL_WELL_SHARE, camera->full_well_e);
}

void
fil_numbers_fill_light (FilNumberGroup        *group,
                        const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  FilNumber *number;

  number = fil_numbers_add (group, "aperture-power", _("Power that enters the objective"),
                            e->aperture_w < 0.0995
                              ? fil_number_short (1e3 * e->aperture_w, " mW")
                              : fil_number_short (e->aperture_w, " W"));
  number->note = g_strdup_printf (_("%.0f W/m² of sunlight"), FIL_GROUND_W_M2);
  add_heat (group, source);
  fil_numbers_add (group, "density", _("Optical density at the sensor"),
                   fil_number_text (e->optics.density, 2, ""));
  add_signal (group, source);
}

static void
add_freeze (FilNumberGroup        *group,
            const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  FilNumber *number;

  number = fil_numbers_add (group, "freeze-exposure", _("Longest exposure that freezes the air"),
                            fil_number_short (e->freeze_exposure_ms, " ms"));
  number->estimate = TRUE;
  number->note = g_strdup_printf (source->air == NULL
                                    ? _("A quarter of r0 over the wind; r0 %.4g mm and %.3g m/s "
                                        "taken, a middling hour of the day")
                                    : _("A quarter of r0 over the wind; r0 %.4g mm, %.3g m/s"),
                                  e->air.r0_mm, e->air.wind_m_s);
  if (e->exposure_estimate_ms > e->freeze_exposure_ms)
    {
      number->level = FIL_NUMBER_LOOK;
      number->verdict = g_strdup (_("The exposure to start from is longer: more gain or less "
                                    "density would freeze the air"));
    }
}

void
fil_numbers_fill_time (FilNumberGroup        *group,
                       const FilNumberSource *source)
{
  const FilEstimates *e = source->e;
  FilNumber *number;

  number = fil_numbers_add (group, "drift-width", _("Drift across the width"),
                            fil_number_duration (e->drift_width_s));
  number->note = g_strdup_printf (_("With the drive off, at %.2f″ a second"),
                                  e->drift_arcsec_per_s);
  fil_numbers_add (group, "drift-height", _("Drift across the height"),
                   fil_number_duration (e->drift_height_s));
  add_freeze (group, source);

  number = fil_numbers_add (group, "rotation", _("Longest clip before the Sun’s turn shows"),
                            fil_number_duration (e->rotation_half_pixel_s));
  number->note = g_strdup_printf (_("The disc’s middle moves by half a pixel, at %.3f″ a minute"),
                                  e->rotation_arcsec_per_min);
}
