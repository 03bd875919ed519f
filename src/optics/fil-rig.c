/* fil-rig.c: the whole instrument, from the sky to the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-private.h"

/* An invented school's roof observatory; the same as data/rigs/roof-102.rig. */
static const char demo_text[] =
  "[rig]\n"
  "name=Roof 102\n"
  "finder=capped\n"
  "[site]\n"
  "latitude_deg=47.0\n"
  "longitude_deg=8.0\n"
  "height_m=500\n"
  "[element 1]\n"
  "kind=objective\n"
  "type=lens\n"
  "aperture_mm=102\n"
  "focal_length_mm=1020\n"
  "[element 2]\n"
  "kind=wedge\n"
  "[element 3]\n"
  "kind=density\n"
  "density=2.0\n"
  "[element 4]\n"
  "kind=amplifier\n"
  "factor=2.0\n"
  "[element 5]\n"
  "kind=bandpass\n"
  "centre_nm=540\n"
  "width_nm=10\n"
  "[element 6]\n"
  "kind=camera\n"
  "pixel_um=2.9\n"
  "columns=1936\n"
  "rows=1096\n";

static gboolean
read_head (FilRig     *rig,
           const char *group_name,
           GError    **error)
{
  const FilRigGroup *group = fil_rig_text_find (rig->groups, group_name);

  for (guint i = 0; group != NULL && i < group->entries->len; i++)
    {
      const FilRigEntry *entry = g_ptr_array_index (group->entries, i);
      const FilRigKey *key = fil_rig_key_find (group_name, entry->key);

      if (key != NULL && !fil_rig_key_parse (key, &rig->head, entry, rig->file_name, error))
        return FALSE;
    }

  return TRUE;
}

static gboolean
read_elements (FilRig  *rig,
               GError **error)
{
  for (guint i = 0; i < rig->groups->len; i++)
    {
      const FilRigGroup *group = g_ptr_array_index (rig->groups, i);
      g_autofree char *expected = g_strdup_printf ("element %u", rig->elements->len + 1);
      g_autofree char *where = g_strdup_printf ("[%s]", group->name);
      FilElement *element;

      if (!fil_rig_text_is_element (group->name))
        continue;
      if (strcmp (group->name, expected) != 0)
        return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, rig->file_name, group->line, where,
                               _("[%s] must come here: elements are numbered from 1 without a "
                                 "gap, from the sky to the sensor"),
                               expected);
      if (rig->elements->len == FIL_RIG_MAX_ELEMENTS)
        return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, rig->file_name, group->line, where,
                               _("there are more than %d elements, which no rig has"),
                               FIL_RIG_MAX_ELEMENTS);

      element = fil_element_parse (group, rig->file_name, error);
      if (element == NULL)
        return FALSE;
      g_ptr_array_add (rig->elements, element);
    }

  return TRUE;
}

/**
 * fil_rig_is_complete:
 *
 * Whether there is an objective and a camera. Nothing streams or is recorded
 * without.
 *
 * Returns: %FALSE with %FIL_RIG_ERROR_INCOMPLETE that says what is missing
 */
gboolean
fil_rig_is_complete (const FilRig *rig,
                     GError      **error)
{
  static const FilElementKind needed[] = { FIL_ELEMENT_OBJECTIVE, FIL_ELEMENT_CAMERA };
  g_autoptr (GString) missing = g_string_new (NULL);

  g_return_val_if_fail (rig != NULL, FALSE);

  for (gsize i = 0; i < G_N_ELEMENTS (needed); i++)
    if (fil_rig_find (rig, needed[i]) == NULL)
      g_string_append_printf (missing, "%s%s (kind=%s)", missing->len > 0 ? ", " : "",
                              fil_element_kind_to_text (needed[i]),
                              fil_element_kind_to_key (needed[i]));

  if (missing->len == 0)
    return TRUE;

  return fil_rig_refuse (error, FIL_RIG_ERROR_INCOMPLETE, rig->file_name, 0, NULL,
                         _("the rig is incomplete, it still needs: %s"), missing->str);
}

static gboolean
read_all (FilRig  *rig,
          GError **error)
{
  rig->groups = fil_rig_text_scan (rig->text, rig->length, rig->file_name, error);
  if (rig->groups == NULL)
    return FALSE;

  rig->digest = fil_rig_text_digest (rig->groups);

  return read_head (rig, "rig", error) && read_head (rig, "site", error) &&
         read_elements (rig, error);
}

static FilRig *
rig_new (const char *text,
         gsize       length,
         const char *file_name)
{
  FilRig *rig = g_new0 (FilRig, 1);

  atomic_init (&rig->references, 1);
  rig->length = length;
  rig->text = g_malloc (length + 1);
  memcpy (rig->text, text, length);
  rig->text[length] = '\0';
  rig->file_name = g_strdup (file_name);
  rig->elements = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_element_free);
  rig->head.latitude_deg = rig->head.longitude_deg = rig->head.height_m = NAN;

  return rig;
}

/* @draft: whether objective and camera may be missing */
FilRig *
fil_rig_parse_text (const char *text,
                    gsize       length,
                    const char *file_name,
                    gboolean    draft,
                    GError    **error)
{
  g_autoptr (FilRig) rig = rig_new (text, length, file_name);

  if (!read_all (rig, error) || (!draft && !fil_rig_is_complete (rig, error)))
    return NULL;

  return g_steal_pointer (&rig);
}

/**
 * fil_rig_parse:
 * @text: (array length=length): a rig file's bytes
 * @length: −1: @text ends with a zero byte
 * @file_name: for messages
 *
 * Reads a rig. Numbers take a decimal point in every locale. Unknown groups
 * and keys are kept for saving.
 *
 * Returns: (transfer full): a rig with at least an objective and a camera, or
 *   %NULL with a %FIL_RIG_ERROR whose message is "FILE:LINE: KEY: REASON"
 */
FilRig *
fil_rig_parse (const char *text,
               gssize      length,
               const char *file_name,
               GError    **error)
{
  g_return_val_if_fail (text != NULL && file_name != NULL, NULL);

  return fil_rig_parse_text (text, length < 0 ? strlen (text) : (gsize) length, file_name, FALSE,
                             error);
}

/* As fil_rig_parse(), but objective and camera may be missing: a rig that is
 * being put together. */
FilRig *
fil_rig_parse_draft (const char *text,
                     gssize      length,
                     const char *file_name,
                     GError    **error)
{
  g_return_val_if_fail (text != NULL && file_name != NULL, NULL);

  return fil_rig_parse_text (text, length < 0 ? strlen (text) : (gsize) length, file_name, TRUE,
                             error);
}

/* Returns: (transfer full): "Roof 102", on an invented school's roof */
FilRig *
fil_rig_new_demo (void)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_parse (demo_text, -1, "Roof 102", &error);

  g_assert_no_error (error);

  return rig;
}

FilRig *
fil_rig_ref (FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  atomic_fetch_add_explicit (&rig->references, 1, memory_order_relaxed);

  return rig;
}

void
fil_rig_unref (FilRig *rig)
{
  g_return_if_fail (rig != NULL);

  if (atomic_fetch_sub_explicit (&rig->references, 1, memory_order_acq_rel) != 1)
    return;

  g_free (rig->text);
  g_free (rig->file_name);
  g_free (rig->digest);
  g_clear_pointer (&rig->groups, g_ptr_array_unref);
  g_ptr_array_unref (rig->elements);
  g_free (rig->head.name);
  g_free (rig->head.observer);
  g_free (rig->head.finder);
  g_free (rig);
}

/* Returns: (transfer full): the file's text to the letter, unknown keys,
 *   comments and blanks included */
char *
fil_rig_to_text (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return g_strndup (rig->text, rig->length);
}

gboolean
fil_rig_equal (const FilRig *a,
               const FilRig *b)
{
  g_return_val_if_fail (a != NULL && b != NULL, FALSE);

  return a->length == b->length && memcmp (a->text, b->text, a->length) == 0;
}

/* Returns: the rig's name; "unnamed" where the file gives none */
const char *
fil_rig_get_name (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->head.name != NULL ? rig->head.name : "unnamed";
}

const char *
fil_rig_get_observer (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->head.observer;
}

const char *
fil_rig_get_finder (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->head.finder;
}

gboolean
fil_rig_get_altazimuth (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, FALSE);

  return rig->head.altazimuth;
}

/* Returns: SHA-256 of the content in hex: the same whatever comments, blanks
 *   and order of keys */
const char *
fil_rig_get_digest (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->digest;
}

/**
 * fil_rig_get_site:
 * @latitude_deg: (out): north positive
 * @longitude_deg: (out): east positive
 * @height_m: (out): above sea, 0 where the file gives none
 *
 * Returns: %FALSE without both angles; the places are untouched then
 */
gboolean
fil_rig_get_site (const FilRig *rig,
                  double       *latitude_deg,
                  double       *longitude_deg,
                  double       *height_m)
{
  g_return_val_if_fail (rig != NULL, FALSE);
  g_return_val_if_fail (latitude_deg != NULL && longitude_deg != NULL && height_m != NULL, FALSE);

  if (isnan (rig->head.latitude_deg) || isnan (rig->head.longitude_deg))
    return FALSE;

  *latitude_deg = rig->head.latitude_deg;
  *longitude_deg = rig->head.longitude_deg;
  *height_m = isnan (rig->head.height_m) ? 0.0 : rig->head.height_m;

  return TRUE;
}

guint
fil_rig_get_n_elements (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, 0);

  return rig->elements->len;
}

/* @index: from 0, at the sky */
const FilElement *
fil_rig_get_element (const FilRig *rig,
                     guint         index)
{
  g_return_val_if_fail (rig != NULL && index < rig->elements->len, NULL);

  return g_ptr_array_index (rig->elements, index);
}

/* Returns: (nullable): the first element of that kind, counted from the sky */
const FilElement *
fil_rig_find (const FilRig  *rig,
              FilElementKind kind)
{
  g_return_val_if_fail (rig != NULL, NULL);

  for (guint i = 0; i < rig->elements->len; i++)
    {
      const FilElement *element = g_ptr_array_index (rig->elements, i);

      if (element->kind == kind)
        return element;
    }

  return NULL;
}
