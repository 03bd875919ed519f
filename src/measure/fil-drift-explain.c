/* fil-drift-explain.c: what a scale that isn't the rig's may come from
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-drift.h"
#include "fil-optics.h"

/* An amplifier magnifies by 1 + distance / focal length: its own focal length
 * isn't in the rig, but follows where the distance is. */
static void
append_spacing (GString          *text,
                const FilElement *amplifier,
                double            factor)
{
  double share = (factor - amplifier->factor) / (amplifier->factor - 1.0);

  if (amplifier->telecentric || amplifier->factor <= 1.0 || share <= -1.0)
    return;

  g_string_append_c (text, ' ');
  if (isfinite (amplifier->distance_to_next_mm))
    g_string_append_printf (text, share > 0.0
                                    ? _("It would, if the distance behind it were %.1f mm longer.")
                                    : _("It would, if the distance behind it were %.1f mm shorter."),
                            fabs (share) * amplifier->distance_to_next_mm);
  else
    g_string_append_printf (text, share > 0.0
                                    ? _("It would, if the sensor lay %.1f %% further behind it "
                                        "than its factor is meant for.")
                                    : _("It would, if the sensor lay %.1f %% nearer behind it "
                                        "than its factor is meant for."),
                            100.0 * fabs (share));
}

static void
append_causes (GString         *text,
               const FilRig    *rig,
               const FilOptics *optics,
               double           ratio)
{
  const FilElement *amplifier = fil_rig_find (rig, FIL_ELEMENT_AMPLIFIER);
  const FilElement *reducer = fil_rig_find (rig, FIL_ELEMENT_REDUCER);

  if (amplifier != NULL)
    {
      g_string_append_c (text, '\n');
      g_string_append_printf (text, _("Perhaps the amplifier works at × %.3f instead of × %.3f."),
                              amplifier->factor * ratio, amplifier->factor);
      append_spacing (text, amplifier, amplifier->factor * ratio);
    }
  if (reducer != NULL)
    {
      g_string_append_c (text, '\n');
      g_string_append_printf (text, _("Perhaps the reducer works at × %.3f instead of × %.3f: its "
                                      "factor depends on its distance from the sensor."),
                              reducer->factor * ratio, reducer->factor);
    }
  g_string_append_c (text, '\n');
  g_string_append_printf (text, _("Or the objective’s focal length is %.0f mm instead of %.0f mm, "
                                  "or the camera’s pixels are not of %.2f µm."),
                          optics->objective_focal_length_mm * ratio,
                          optics->objective_focal_length_mm, optics->pixel_um);
}

/**
 * fil_drift_explain:
 *
 * Compares the measured scale with the rig's, and offers what could explain a
 * difference; translated, for people, several lines.
 *
 * Returns: (transfer full) (nullable): %NULL where the two agree, or the rig
 *   tells no scale
 */
char *
fil_drift_explain (const FilDrift *drift,
                   const FilRig   *rig)
{
  g_autoptr (GString) text = g_string_new (NULL);
  FilOptics optics;
  double ratio;

  g_return_val_if_fail (drift != NULL && rig != NULL, NULL);

  fil_optics_compute (rig, &optics);
  if (!isfinite (optics.plate_scale_arcsec_per_px) ||
      !fil_drift_scale_differs (drift, optics.plate_scale_arcsec_per_px))
    return NULL;

  ratio = optics.plate_scale_arcsec_per_px / drift->plate_scale_arcsec_per_px;
  g_string_append_printf (text, _("The rig says %.4f″ a pixel, the Sun %.4f″: the focal length at "
                                  "the sensor is %.0f mm instead of %.0f mm, %+.1f %%."),
                          optics.plate_scale_arcsec_per_px, drift->plate_scale_arcsec_per_px,
                          optics.focal_length_mm * ratio, optics.focal_length_mm,
                          100.0 * (ratio - 1.0));
  append_causes (text, rig, &optics, ratio);

  return g_string_free (g_steal_pointer (&text), FALSE);
}
