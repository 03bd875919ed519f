/* fuzz-rig.c: the rig reader and all that is computed from a rig
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-findings.h"
#include "fil-gate.h"
#include "fil-optics.h"

int LLVMFuzzerTestOneInput (const guint8 *data,
                            gsize         size);

static void
use_rig (FilRig *rig)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  g_autoptr (FilGate) gate = fil_gate_new (rig, "fuzz", NULL);
  g_autofree char *text = fil_rig_to_text (rig);
  g_autoptr (FilRig) again = fil_rig_parse (text, -1, "again.rig", NULL);
  g_autoptr (FilRig) changed = fil_rig_with_value (rig, "rig", "name", "a", NULL);
  FilOptics optics;

  fil_optics_compute (rig, &optics);
  g_assert_true (!isinf (optics.plate_scale_arcsec_per_px) && !isinf (optics.electrons_per_ms));
  g_assert_true ((gate == NULL) == fil_findings_refuse (findings));
  /* What is saved is read again as the same rig. */
  g_assert_cmpstr (fil_rig_get_digest (again), ==, fil_rig_get_digest (rig));
  g_assert_nonnull (changed);

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *told = fil_element_describe (fil_rig_get_element (rig, i));
      g_autofree char *keys = fil_element_to_text (fil_rig_get_element (rig, i));

      g_assert_true (g_utf8_validate (told, -1, NULL) && g_str_is_ascii (keys));
    }
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autoptr (GError) error = NULL;
  const char *text = size > 0 ? (const char *) data : "";
  g_autoptr (FilRig) rig = fil_rig_parse (text, (gssize) size, "fuzz.rig", &error);

  g_assert_true ((rig == NULL) == (error != NULL));
  if (rig != NULL)
    use_rig (rig);

  return 0;
}
