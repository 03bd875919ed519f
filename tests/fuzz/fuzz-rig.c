/* fuzz-rig.c: the rig reader and all that is computed from a rig
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-findings.h"
#include "fil-gate.h"
#include "fil-numbers.h"

int LLVMFuzzerTestOneInput (const guint8 *data,
                            gsize         size);

/* Every number finite or unknown, every text fit to be shown. */
static void
use_numbers (const FilRig *rig)
{
  g_autoptr (GPtrArray) groups = fil_numbers_list (rig, NULL, NULL);
  FilEstimates e;

  fil_estimates_compute (rig, NULL, NULL, &e);
  g_assert_true (!isinf (e.secondary_spectrum_um) && !isinf (e.field_sag_corner_um) &&
                 !isinf (e.first_focus_heat_w_per_cm2) && !isinf (e.drift_width_s) &&
                 !isinf (e.exposure_estimate_ms) && !isinf (e.sun_share_of_field));

  for (guint i = 0; i < groups->len; i++)
    {
      const FilNumberGroup *group = g_ptr_array_index (groups, i);

      for (guint j = 0; j < group->items->len; j++)
        {
          const FilNumber *number = g_ptr_array_index (group->items, j);

          g_assert_true (number->value == NULL || g_utf8_validate (number->value, -1, NULL));
          g_assert_null (number->value != NULL ? strstr (number->value, "nan") : NULL);
          g_assert_null (number->verdict != NULL ? strstr (number->verdict, "nan") : NULL);
          g_assert_null (number->note != NULL ? strstr (number->note, "nan") : NULL);
        }
    }
}

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

/* What an edit makes is read again as the same rig, and is a rig like any. */
static void
check_edited (const FilRig *rig)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  g_autofree char *text = fil_rig_to_text (rig);
  g_autoptr (FilRig) again = fil_rig_parse_draft (text, -1, "again.rig", NULL);
  FilOptics optics;

  g_assert_nonnull (again);
  g_assert_cmpstr (fil_rig_get_digest (again), ==, fil_rig_get_digest (rig));
  fil_optics_compute (rig, &optics);
  for (guint i = 0; i < MIN (findings->len, 20); i++)
    {
      g_autoptr (FilRig) mended =
        fil_finding_propose (g_ptr_array_index (findings, i), rig, NULL);

      g_assert_true (mended == NULL || !fil_rig_equal (mended, rig));
    }
}

static FilRig *
edit (const FilRig *rig,
      GRand        *random,
      GError      **error)
{
  guint n = fil_rig_get_n_elements (rig);
  guint one = (guint) g_rand_int_range (random, 0, (int) n + 1);
  guint other = (guint) g_rand_int_range (random, 0, (int) n + 1);
  g_autofree char *group = g_strdup_printf ("element %u", one);
  g_autofree char *value = g_strdup_printf ("%d", g_rand_int_range (random, -2, 100));

  switch (g_rand_int_range (random, 0, 5))
    {
    case 0:
      return fil_rig_with_element (rig, (FilElementKind) (other % FIL_ELEMENT_N_KINDS), one, error);
    case 1:
      return fil_rig_without_element (rig, one % MAX (n, 1), error);
    case 2:
      return fil_rig_with_element_moved (rig, one % MAX (n, 1), other % MAX (n, 1), error);
    case 3:
      return fil_rig_with_value (rig, group, "note", value, error);
    default:
      return fil_rig_with_value (rig, "site", "height_m", value, error);
    }
}

/* A few edits of whatever the reader took, the same for the same file. */
static void
edit_rig (FilRig *rig)
{
  g_autoptr (FilRig) present = fil_rig_ref (rig);
  g_autoptr (GRand) random = g_rand_new_with_seed (g_str_hash (fil_rig_get_digest (rig)));

  for (guint i = 0; i < 8 && fil_rig_get_n_elements (present) > 0; i++)
    {
      g_autoptr (GError) error = NULL;
      FilRig *changed = edit (present, random, &error);

      g_assert_true ((changed == NULL) == (error != NULL));
      if (changed == NULL)
        continue;
      check_edited (changed);
      fil_rig_unref (present);
      present = changed;
    }
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autoptr (GError) error = NULL;
  const char *text = size > 0 ? (const char *) data : "";
  g_autoptr (FilRig) draft = fil_rig_parse_draft (text, (gssize) size, "fuzz.rig", NULL);
  g_autoptr (FilRig) rig = fil_rig_parse (text, (gssize) size, "fuzz.rig", &error);

  g_assert_true ((rig == NULL) == (error != NULL));
  g_assert_true (rig == NULL || draft != NULL);
  if (rig != NULL)
    use_rig (rig);
  if (draft != NULL)
    {
      use_numbers (draft);
      edit_rig (draft);
    }

  return 0;
}
