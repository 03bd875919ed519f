/* fil-element.c: one thing the light passes
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-private.h"

#define AT(element, type, offset) (*(type *) (void *) ((char *) (element) + (offset)))

static const struct
{
  const char *key;
  const char *text;
  const char *help;
} kinds[] = {
  [FIL_ELEMENT_OBJECTIVE] = { "objective", N_("objective"),
    N_("The lens or mirror that makes the image.") },
  [FIL_ELEMENT_FRONT_FILTER] = { "front-filter", N_("front filter"),
    N_("A solar filter over the whole aperture, before the objective.") },
  [FIL_ELEMENT_WEDGE] = { "wedge", N_("wedge"),
    N_("Reflects a few per cent of the light and sends the rest out as heat; for lenses only.") },
  [FIL_ELEMENT_DIAGONAL] = { "diagonal", N_("diagonal"),
    N_("A plane mirror or a prism that turns the light.") },
  [FIL_ELEMENT_DENSITY] = { "density", N_("density filter"),
    N_("A grey filter, as behind a wedge.") },
  [FIL_ELEMENT_AMPLIFIER] = { "amplifier", N_("amplifier"),
    N_("Lengthens the focal length and enlarges the image.") },
  [FIL_ELEMENT_REDUCER] = { "reducer", N_("reducer"),
    N_("Shortens the focal length, so that more of the Sun fits on the sensor.") },
  [FIL_ELEMENT_BANDPASS] = { "bandpass", N_("bandpass filter"),
    N_("Lets one colour through: sharper pictures in turbulent air.") },
  [FIL_ELEMENT_BLOCKER] = { "blocker", N_("blocking filter"),
    N_("Keeps ultraviolet or infrared out.") },
  [FIL_ELEMENT_POLARISER] = { "polariser", N_("polariser"),
    N_("Dims the light behind a wedge when it is turned.") },
  [FIL_ELEMENT_CAMERA] = { "camera", N_("camera"),
    N_("The sensor; the light ends here.") },
};

/* Returns: the word of the rig file, "front-filter" */
const char *
fil_element_kind_to_key (FilElementKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (kinds), NULL);

  return kinds[kind].key;
}

/* Returns: the translated word, for people */
const char *
fil_element_kind_to_text (FilElementKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (kinds), NULL);

  return _(kinds[kind].text);
}

/* Returns: (transfer full): the same as a heading, with a capital letter */
char *
fil_element_kind_dup_heading (FilElementKind kind)
{
  const char *text = fil_element_kind_to_text (kind);
  GString *heading;

  g_return_val_if_fail (text != NULL, NULL);

  heading = g_string_new (NULL);
  g_string_append_unichar (heading, g_unichar_toupper (g_utf8_get_char (text)));
  g_string_append (heading, g_utf8_next_char (text));

  return g_string_free (heading, FALSE);
}

/* Returns: the translated sentence that says what such an element does */
const char *
fil_element_kind_to_help (FilElementKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (kinds), NULL);

  return _(kinds[kind].help);
}

void
fil_element_free (FilElement *element)
{
  if (element == NULL)
    return;

  g_free (element->note);
  g_free (element->material);
  g_free (element->blocks);
  g_free (element->shutter);
  g_free (element);
}

static FilElement *
element_new (FilElementKind kind)
{
  FilElement *element = g_new0 (FilElement, 1);
  gsize n;
  const FilRigKey *keys = fil_rig_key_list_all (&n);

  element->kind = kind;
  element->type = FIL_OBJECTIVE_UNKNOWN;
  for (gsize i = 0; i < n; i++)
    fil_rig_key_clear (&keys[i], element);

  return element;
}

static gboolean
parse_kind (const FilRigGroup *group,
            const char        *file_name,
            FilElementKind    *kind,
            GError           **error)
{
  const FilRigEntry *entry = fil_rig_group_find (group, "kind");
  const char *words[G_N_ELEMENTS (kinds)];
  guint index = 0;

  if (entry == NULL)
    {
      g_autofree char *where = g_strdup_printf ("[%s] kind", group->name);

      return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, group->line, where,
                             _("the key is missing; say what this element is"));
    }

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    words[i] = kinds[i].key;
  if (!fil_value_word (entry, file_name, words, G_N_ELEMENTS (words), &index, error))
    return FALSE;

  *kind = (FilElementKind) index;

  return TRUE;
}

static gboolean
check_obstruction (const FilElement  *element,
                   const FilRigGroup *group,
                   const char        *file_name,
                   GError           **error)
{
  const FilRigEntry *entry = fil_rig_group_find (group, "obstruction_mm");

  if (element->kind == FIL_ELEMENT_OBJECTIVE && element->obstruction_mm >= element->aperture_mm)
    return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                           _("%s: the obstruction leaves nothing of the aperture open"),
                           entry->value);

  return TRUE;
}

/**
 * fil_element_parse:
 *
 * Reads one [element n]. Keys that its kind doesn't have are passed over.
 *
 * Returns: (transfer full): the element, or %NULL with a %FIL_RIG_ERROR_VALUE
 */
FilElement *
fil_element_parse (const FilRigGroup *group,
                   const char        *file_name,
                   GError           **error)
{
  FilElement *element;
  FilElementKind kind = FIL_ELEMENT_OBJECTIVE;
  gboolean ok = TRUE;

  if (!parse_kind (group, file_name, &kind, error))
    return NULL;

  element = element_new (kind);
  for (guint i = 0; ok && i < group->entries->len; i++)
    {
      const FilRigEntry *entry = g_ptr_array_index (group->entries, i);
      const FilRigKey *key = fil_element_find_key (kind, entry->key);

      if (key != NULL)
        ok = fil_rig_key_parse (key, element, entry, file_name, error);
    }

  if (ok && check_obstruction (element, group, file_name, error))
    return element;

  fil_element_free (element);

  return NULL;
}

static void
append_number (GString    *text,
               const char *before,
               double      number,
               const char *after)
{
  if (isfinite (number))
    g_string_append_printf (text, "%s%.6g%s", before, number, after);
}

static void
describe_objective (const FilElement *element,
                    GString          *text)
{
  if (element->type == FIL_OBJECTIVE_LENS)
    g_string_append_printf (text, " (%s)", _("lens"));
  else if (element->type == FIL_OBJECTIVE_MIRROR)
    g_string_append_printf (text, " (%s)", _("mirror"));

  append_number (text, " ", element->aperture_mm, " mm");
  append_number (text, ", f = ", element->focal_length_mm, " mm");
}

static void
describe_camera (const FilElement *element,
                 GString          *text)
{
  if (element->columns > 0 && element->rows > 0)
    g_string_append_printf (text, " %d × %d", element->columns, element->rows);
  append_number (text, ", ", element->pixel_um, " µm");
}

/**
 * fil_element_describe:
 *
 * For people: translated, numbers in the way of the locale.
 *
 * Returns: (transfer full): "objective (lens) 102 mm, f = 1020 mm"
 */
char *
fil_element_describe (const FilElement *element)
{
  GString *text;

  g_return_val_if_fail (element != NULL, NULL);

  text = g_string_new (fil_element_kind_to_text (element->kind));
  switch (element->kind)
    {
    case FIL_ELEMENT_OBJECTIVE:
      describe_objective (element, text);
      break;
    case FIL_ELEMENT_CAMERA:
      describe_camera (element, text);
      break;
    case FIL_ELEMENT_BANDPASS:
      append_number (text, " ", element->centre_nm, " nm");
      append_number (text, " / ", element->width_nm, " nm");
      break;
    case FIL_ELEMENT_AMPLIFIER:
    case FIL_ELEMENT_REDUCER:
      append_number (text, " ×", element->factor, "");
      break;
    default:
      append_number (text, " ", element->density, "");
      break;
    }

  return g_string_free (text, FALSE);
}

static void
append_key (GString          *text,
            const FilElement *element,
            const FilRigKey  *key)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  const char *value = NULL;

  if (key->type < FIL_VALUE_PIXELS)
    {
      double number = AT (element, const double, key->offset);

      value = isfinite (number) ? g_ascii_dtostr (buffer, sizeof buffer, number) : NULL;
    }
  else if (key->type == FIL_VALUE_WORD)
    value = AT (element, char *const, key->offset);
  else if (key->type == FIL_VALUE_TYPE)
    value = element->type != FIL_OBJECTIVE_UNKNOWN ? key->words[element->type] : NULL;
  else if (key->type == FIL_VALUE_YES_NO)
    value = AT (element, const gboolean, key->offset) ? "yes" : NULL;
  else if (fil_rig_key_is_number (key) && AT (element, const int, key->offset) > 0)
    {
      g_snprintf (buffer, sizeof buffer, "%d", AT (element, const int, key->offset));
      value = buffer;
    }

  if (value != NULL)
    g_string_append_printf (text, "%s%s=%s", text->len > 0 ? " " : "", key->key, value);
}

/**
 * fil_element_to_text:
 *
 * For tables in files: ASCII, the same in every locale, without the note.
 *
 * Returns: (transfer full): "type=lens aperture_mm=102 focal_length_mm=1020";
 *   empty where nothing is known
 */
char *
fil_element_to_text (const FilElement *element)
{
  GString *text = g_string_new (NULL);
  gsize n;
  const FilRigKey *keys = fil_rig_key_list_all (&n);

  g_return_val_if_fail (element != NULL, NULL);

  for (gsize i = 0; i < n; i++)
    if ((keys[i].kinds & (1u << element->kind)) != 0)
      append_key (text, element, &keys[i]);

  return g_string_free (text, FALSE);
}
