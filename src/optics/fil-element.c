/* fil-element.c: one thing the light passes
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-element-keys.h"

#define KIND(name)         (1u << FIL_ELEMENT_##name)
#define EVERY_KIND         (~0u)
#define FIELD(name)        G_STRUCT_OFFSET (FilElement, name)
#define AT(element, type, offset) (*(type *) (void *) ((char *) (element) + (offset)))

static const struct
{
  const char *key;
  const char *text;
} kinds[] = {
  [FIL_ELEMENT_OBJECTIVE] = { "objective", N_("objective") },
  [FIL_ELEMENT_FRONT_FILTER] = { "front-filter", N_("front filter") },
  [FIL_ELEMENT_WEDGE] = { "wedge", N_("wedge") },
  [FIL_ELEMENT_DIAGONAL] = { "diagonal", N_("diagonal") },
  [FIL_ELEMENT_DENSITY] = { "density", N_("density filter") },
  [FIL_ELEMENT_AMPLIFIER] = { "amplifier", N_("amplifier") },
  [FIL_ELEMENT_REDUCER] = { "reducer", N_("reducer") },
  [FIL_ELEMENT_BANDPASS] = { "bandpass", N_("bandpass filter") },
  [FIL_ELEMENT_BLOCKER] = { "blocker", N_("blocking filter") },
  [FIL_ELEMENT_POLARISER] = { "polariser", N_("polariser") },
  [FIL_ELEMENT_CAMERA] = { "camera", N_("camera") },
};

static const FilElementKey keys[] = {
  { "distance_to_next_mm", EVERY_KIND, FIL_VALUE_POSITIVE, FIELD (distance_to_next_mm), { 0 } },
  { "note", EVERY_KIND, FIL_VALUE_TEXT, FIELD (note), { 0 } },
  { "type", KIND (OBJECTIVE), FIL_VALUE_TYPE, FIELD (type), { 0 } },
  { "aperture_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIELD (aperture_mm), { 0 } },
  { "focal_length_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIELD (focal_length_mm), { 0 } },
  { "obstruction_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIELD (obstruction_mm), { 0 } },
  { "rear_group", KIND (OBJECTIVE), FIL_VALUE_YES_NO, FIELD (rear_group), { 0 } },
  { "material", KIND (FRONT_FILTER), FIL_VALUE_WORD, FIELD (material), { "film", "glass" } },
  { "density", KIND (FRONT_FILTER) | KIND (DENSITY), FIL_VALUE_DENSITY, FIELD (density), { 0 } },
  { "reflectance_percent", KIND (WEDGE), FIL_VALUE_PERCENT, FIELD (reflectance_percent), { 0 } },
  { "aperture_limit_mm", KIND (WEDGE), FIL_VALUE_POSITIVE, FIELD (aperture_limit_mm), { 0 } },
  { "factor", KIND (AMPLIFIER) | KIND (REDUCER), FIL_VALUE_POSITIVE, FIELD (factor), { 0 } },
  { "telecentric", KIND (AMPLIFIER), FIL_VALUE_YES_NO, FIELD (telecentric), { 0 } },
  { "centre_nm", KIND (BANDPASS), FIL_VALUE_POSITIVE, FIELD (centre_nm), { 0 } },
  { "width_nm", KIND (BANDPASS), FIL_VALUE_POSITIVE, FIELD (width_nm), { 0 } },
  { "peak_percent", KIND (BANDPASS), FIL_VALUE_PERCENT, FIELD (peak_percent), { 0 } },
  { "blocks", KIND (BLOCKER), FIL_VALUE_WORD, FIELD (blocks), { "ultraviolet", "infrared" } },
  { "pixel_um", KIND (CAMERA), FIL_VALUE_POSITIVE, FIELD (pixel_um), { 0 } },
  { "columns", KIND (CAMERA), FIL_VALUE_PIXELS, FIELD (columns), { 0 } },
  { "rows", KIND (CAMERA), FIL_VALUE_PIXELS, FIELD (rows), { 0 } },
  { "bits", KIND (CAMERA), FIL_VALUE_BITS, FIELD (bits), { 0 } },
  { "shutter", KIND (CAMERA), FIL_VALUE_WORD, FIELD (shutter), { "global", "rolling" } },
  { "full_well_e", KIND (CAMERA), FIL_VALUE_POSITIVE, FIELD (full_well_e), { 0 } },
  { "quantum_efficiency_percent", KIND (CAMERA), FIL_VALUE_PERCENT,
    FIELD (quantum_efficiency_percent), { 0 } },
};

static const char *const type_words[] = {
  [FIL_OBJECTIVE_LENS] = "lens",
  [FIL_OBJECTIVE_MIRROR] = "mirror",
  [FIL_OBJECTIVE_UNKNOWN] = NULL,
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

/* Returns: (nullable): how @key is read for that kind; %NULL for an unknown key */
const FilElementKey *
fil_element_find_key (FilElementKind kind,
                      const char    *key)
{
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if ((keys[i].kinds & (1u << kind)) != 0 && strcmp (keys[i].key, key) == 0)
      return &keys[i];

  return NULL;
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

  element->kind = kind;
  element->type = FIL_OBJECTIVE_UNKNOWN;
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if (keys[i].type <= FIL_VALUE_PERCENT)
      AT (element, double, keys[i].offset) = NAN;

  return element;
}

/* Finds @entry's value among @words, ended by %NULL. */
static gboolean
parse_word (const FilRigEntry *entry,
            const char        *file_name,
            const char *const *words,
            guint             *index,
            GError           **error)
{
  g_autofree char *choice = NULL;

  for (guint i = 0; words[i] != NULL; i++)
    if (strcmp (entry->value, words[i]) == 0)
      {
        *index = i;
        return TRUE;
      }

  choice = g_strjoinv ("|", (char **) words);
  return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                         _("“%s” is unknown here; it must be one of %s"), entry->value, choice);
}

static gboolean
parse_whole (const FilRigEntry *entry,
             const char        *file_name,
             int                largest,
             int               *value,
             GError           **error)
{
  double number;

  if (!fil_value_number (entry, file_name, 1, largest, &number, error))
    return FALSE;
  if (number != floor (number))
    return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                           _("%s: this is no whole number"), entry->value);

  *value = (int) number;

  return TRUE;
}

static gboolean
parse_double (const FilRigEntry   *entry,
              const FilElementKey *key,
              const char          *file_name,
              double              *value,
              GError             **error)
{
  switch (key->type)
    {
    case FIL_VALUE_PERCENT:
      return fil_value_number (entry, file_name, 0, 100, value, error);
    case FIL_VALUE_DENSITY:
      return fil_value_number (entry, file_name, G_MINDOUBLE, 10, value, error);
    default:
      return fil_value_number (entry, file_name, G_MINDOUBLE, G_MAXDOUBLE, value, error);
    }
}

static gboolean
parse_key (FilElement          *element,
           const FilRigEntry   *entry,
           const FilElementKey *key,
           const char          *file_name,
           GError             **error)
{
  static const char *const yes_no[] = { "no", "yes", NULL };
  guint index = 0;

  switch (key->type)
    {
    case FIL_VALUE_PIXELS:
    case FIL_VALUE_BITS:
      return parse_whole (entry, file_name, key->type == FIL_VALUE_BITS ? 16 : 100000,
                          &AT (element, int, key->offset), error);

    case FIL_VALUE_YES_NO:
      if (!parse_word (entry, file_name, yes_no, &index, error))
        return FALSE;
      AT (element, gboolean, key->offset) = index == 1;
      return TRUE;

    case FIL_VALUE_TYPE:
      if (!parse_word (entry, file_name, type_words, &index, error))
        return FALSE;
      element->type = (FilObjectiveType) index;
      return TRUE;

    case FIL_VALUE_WORD:
      if (!parse_word (entry, file_name, key->words, &index, error))
        return FALSE;
      AT (element, char *, key->offset) = g_strdup (key->words[index]);
      return TRUE;

    case FIL_VALUE_TEXT:
      AT (element, char *, key->offset) = fil_value_dup_text (entry, file_name, FALSE, error);
      return AT (element, char *, key->offset) != NULL;

    default:
      return parse_double (entry, key, file_name, &AT (element, double, key->offset), error);
    }
}

static gboolean
parse_kind (const FilRigGroup *group,
            const char        *file_name,
            FilElementKind    *kind,
            GError           **error)
{
  const FilRigEntry *entry = fil_rig_group_find (group, "kind");
  const char *words[G_N_ELEMENTS (kinds) + 1] = { NULL };
  guint index = 0;

  if (entry == NULL)
    {
      g_autofree char *where = g_strdup_printf ("[%s] kind", group->name);

      return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, group->line, where,
                             _("the key is missing; say what this element is"));
    }

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    words[i] = kinds[i].key;
  if (!parse_word (entry, file_name, words, &index, error))
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
      const FilElementKey *key = fil_element_find_key (kind, entry->key);

      if (key != NULL)
        ok = parse_key (element, entry, key, file_name, error);
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
append_key (GString             *text,
            const FilElement    *element,
            const FilElementKey *key)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  const char *value = NULL;

  if (key->type <= FIL_VALUE_PERCENT)
    {
      double number = AT (element, const double, key->offset);

      value = isfinite (number) ? g_ascii_dtostr (buffer, sizeof buffer, number) : NULL;
    }
  else if (key->type == FIL_VALUE_WORD)
    value = AT (element, char *const, key->offset);
  else if (key->type == FIL_VALUE_TYPE)
    value = type_words[element->type];
  else if (key->type == FIL_VALUE_YES_NO)
    value = AT (element, const gboolean, key->offset) ? "yes" : NULL;
  else if (key->type != FIL_VALUE_TEXT && AT (element, const int, key->offset) > 0)
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

  g_return_val_if_fail (element != NULL, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if ((keys[i].kinds & (1u << element->kind)) != 0)
      append_key (text, element, &keys[i]);

  return g_string_free (text, FALSE);
}
