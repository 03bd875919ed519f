/* fil-rig.c: the whole instrument, from the sky to the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdatomic.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-element-keys.h"

struct _FilRig
{
  atomic_int  references;

  char       *text;       /* exactly as read */
  gsize       length;
  char       *file_name;  /* for messages about changed values */
  char       *digest;
  GPtrArray  *elements;   /* of FilElement */

  char       *name;
  char       *observer;
  char       *finder;
  double      latitude_deg;
  double      longitude_deg;
  double      height_m;
  gboolean    has_site;
};

G_DEFINE_QUARK (fil-rig-error-quark, fil_rig_error)

/* An invented school's roof observatory; the same as data/rigs/roof-102.rig. */
static const char demo_text[] =
  "[rig]\n"
  "name=Roof 102\n"
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

/* Reads a text of one line; an empty one counts as absent. */
static gboolean
read_text (const FilRigGroup *group,
           const char        *key,
           const char        *file_name,
           char             **text,
           GError           **error)
{
  const FilRigEntry *entry = fil_rig_group_find (group, key);

  if (entry == NULL || entry->value[0] == '\0')
    return TRUE;

  *text = fil_value_dup_text (entry, file_name, TRUE, error);

  return *text != NULL;
}

static gboolean
read_site_number (const FilRigGroup *group,
                  const char        *key,
                  const char        *file_name,
                  double             smallest,
                  double             largest,
                  double            *value,
                  gboolean          *there,
                  GError           **error)
{
  const FilRigEntry *entry = fil_rig_group_find (group, key);

  *there = entry != NULL;

  return entry == NULL || fil_value_number (entry, file_name, smallest, largest, value, error);
}

static gboolean
read_site (FilRig          *rig,
           const GPtrArray *groups,
           GError         **error)
{
  const FilRigGroup *site = fil_rig_text_find (groups, "site");
  gboolean latitude, longitude, height;

  if (!read_site_number (site, "latitude_deg", rig->file_name, -90, 90, &rig->latitude_deg,
                         &latitude, error) ||
      !read_site_number (site, "longitude_deg", rig->file_name, -360, 360, &rig->longitude_deg,
                         &longitude, error) ||
      !read_site_number (site, "height_m", rig->file_name, -1000, 20000, &rig->height_m,
                         &height, error))
    return FALSE;

  rig->has_site = latitude && longitude;

  return TRUE;
}

static gboolean
read_elements (FilRig          *rig,
               const GPtrArray *groups,
               GError         **error)
{
  for (guint i = 0; i < groups->len; i++)
    {
      const FilRigGroup *group = g_ptr_array_index (groups, i);
      g_autofree char *expected = g_strdup_printf ("element %u", rig->elements->len + 1);
      g_autofree char *where = g_strdup_printf ("[%s]", group->name);
      FilElement *element;

      if (!g_str_has_prefix (group->name, "element ") || !g_ascii_isdigit (group->name[8]))
        continue;
      if (strcmp (group->name, expected) != 0)
        return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, rig->file_name, group->line, where,
                               _("[%s] must come here: elements are numbered from 1 without a "
                                 "gap, from the sky to the sensor"),
                               expected);

      element = fil_element_parse (group, rig->file_name, error);
      if (element == NULL)
        return FALSE;
      g_ptr_array_add (rig->elements, element);
    }

  return TRUE;
}

static gboolean
check_complete (const FilRig *rig,
                GError      **error)
{
  static const FilElementKind needed[] = { FIL_ELEMENT_OBJECTIVE, FIL_ELEMENT_CAMERA };

  for (gsize i = 0; i < G_N_ELEMENTS (needed); i++)
    if (fil_rig_find (rig, needed[i]) == NULL)
      return fil_rig_refuse (error, FIL_RIG_ERROR_INCOMPLETE, rig->file_name, 0, NULL,
                             _("the rig is incomplete: no element has kind=%s"),
                             fil_element_kind_to_key (needed[i]));

  return TRUE;
}

static gboolean
read_all (FilRig  *rig,
          GError **error)
{
  g_autoptr (GPtrArray) groups = NULL;
  const FilRigGroup *group;

  groups = fil_rig_text_scan (rig->text, rig->length, rig->file_name, error);
  if (groups == NULL)
    return FALSE;

  group = fil_rig_text_find (groups, "rig");
  rig->digest = fil_rig_text_digest (groups);

  return read_text (group, "name", rig->file_name, &rig->name, error) &&
         read_text (group, "observer", rig->file_name, &rig->observer, error) &&
         read_text (group, "finder", rig->file_name, &rig->finder, error) &&
         read_site (rig, groups, error) && read_elements (rig, groups, error) &&
         check_complete (rig, error);
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
  g_autoptr (FilRig) rig = NULL;

  g_return_val_if_fail (text != NULL && file_name != NULL, NULL);

  rig = g_new0 (FilRig, 1);
  atomic_init (&rig->references, 1);
  rig->length = length < 0 ? strlen (text) : (gsize) length;
  rig->text = g_malloc (rig->length + 1);
  memcpy (rig->text, text, rig->length);
  rig->text[rig->length] = '\0';
  rig->file_name = g_strdup (file_name);
  rig->elements = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_element_free);

  if (!read_all (rig, error))
    return NULL;

  return g_steal_pointer (&rig);
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
  g_ptr_array_unref (rig->elements);
  g_free (rig->name);
  g_free (rig->observer);
  g_free (rig->finder);
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

static char *
escape_value (const char *value)
{
  GString *escaped = g_string_new (NULL);

  for (const char *p = value; *p != '\0'; p++)
    if (*p == '\n')
      g_string_append (escaped, "\\n");
    else if (*p == '\t')
      g_string_append (escaped, "\\t");
    else if (*p == '\r')
      g_string_append (escaped, "\\r");
    else if (*p == '\\')
      g_string_append (escaped, "\\\\");
    else if (*p == ' ' && (p == value || p[1] == '\0'))
      g_string_append (escaped, "\\s");
    else
      g_string_append_c (escaped, *p);

  return g_string_free (escaped, FALSE);
}

/* Where the changed line goes: over the old one, behind its group, or at the
 * end of the file in a group of its own. */
static void
splice (GString         *text,
        const GPtrArray *groups,
        const char      *group_name,
        const char      *key,
        const char      *line)
{
  const FilRigGroup *group = fil_rig_text_find (groups, group_name);
  const FilRigEntry *entry = fil_rig_group_find (group, key);
  gsize place = group != NULL ? group->end : text->len;

  if (entry != NULL)
    {
      place = entry->start;
      g_string_erase (text, (gssize) entry->start, (gssize) (entry->end - entry->start));
    }
  if (line == NULL)
    return;

  g_string_insert (text, (gssize) place, line);
  if (group == NULL)
    {
      g_autofree char *header = g_strdup_printf ("[%s]\n", group_name);

      g_string_insert (text, (gssize) place, header);
    }
  if (place > 0 && text->str[place - 1] != '\n')
    g_string_insert_c (text, (gssize) place, '\n');
}

/**
 * fil_rig_with_value:
 * @group: "rig", "site", "element 3"
 * @value: (nullable): plain text; %NULL takes the key away
 *
 * Changes one line and leaves the rest of the text as it is.
 *
 * Returns: (transfer full): a new rig, or %NULL with a %FIL_RIG_ERROR; @rig
 *   doesn't change
 */
FilRig *
fil_rig_with_value (const FilRig *rig,
                    const char   *group,
                    const char   *key,
                    const char   *value,
                    GError      **error)
{
  g_autoptr (GPtrArray) groups = NULL;
  g_autoptr (GString) text = NULL;
  g_autofree char *line = NULL;

  g_return_val_if_fail (rig != NULL && group != NULL && key != NULL, NULL);

  groups = fil_rig_text_scan (rig->text, rig->length, rig->file_name, error);
  if (groups == NULL)
    return NULL;

  if (value != NULL)
    {
      g_autofree char *escaped = escape_value (value);

      line = g_strdup_printf ("%s=%s\n", key, escaped);
    }
  text = g_string_new_len (rig->text, (gssize) rig->length);
  splice (text, groups, group, key, line);

  return fil_rig_parse (text->str, (gssize) text->len, rig->file_name, error);
}

/* Returns: the rig's name; "unnamed" where the file gives none */
const char *
fil_rig_get_name (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->name != NULL ? rig->name : "unnamed";
}

const char *
fil_rig_get_observer (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->observer;
}

const char *
fil_rig_get_finder (const FilRig *rig)
{
  g_return_val_if_fail (rig != NULL, NULL);

  return rig->finder;
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

  if (!rig->has_site)
    return FALSE;

  *latitude_deg = rig->latitude_deg;
  *longitude_deg = rig->longitude_deg;
  *height_m = rig->height_m;

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
