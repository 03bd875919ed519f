/* fil-rig-key-parse.c: a line of a rig file, read by its row of the table
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-private.h"

#define AT(record, type, offset) (*(type *) (void *) ((char *) (record) + (offset)))

/* Says "not given" where NULL and 0 don't. */
void
fil_rig_key_clear (const FilRigKey *key,
                   gpointer         record)
{
  if (key->type < FIL_VALUE_PIXELS)
    AT (record, double, key->offset) = NAN;
}

/**
 * fil_value_word:
 * @index: (out): which of @words the entry's value is; untouched on failure
 */
gboolean
fil_value_word (const FilRigEntry *entry,
                const char        *file_name,
                const char *const *words,
                guint              n_words,
                guint             *index,
                GError           **error)
{
  g_autoptr (GString) choice = g_string_new (NULL);

  for (guint i = 0; i < n_words; i++)
    {
      if (strcmp (entry->value, words[i]) == 0)
        {
          *index = i;
          return TRUE;
        }
      g_string_append_printf (choice, "%s%s", i > 0 ? "|" : "", words[i]);
    }

  return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                         _("“%s” is unknown here; it must be one of %s"), entry->value,
                         choice->str);
}

static gboolean
parse_whole (const FilRigEntry *entry,
             const char        *file_name,
             double             smallest,
             double             largest,
             int               *value,
             GError           **error)
{
  double number;

  if (!fil_value_number (entry, file_name, smallest, largest, &number, error))
    return FALSE;
  if (number != floor (number))
    return fil_rig_refuse (error, FIL_RIG_ERROR_VALUE, file_name, entry->line, entry->key,
                           _("%s: this is no whole number"), entry->value);

  *value = (int) number;

  return TRUE;
}

static gboolean
parse_number (const FilRigKey   *key,
              gpointer           record,
              const FilRigEntry *entry,
              const char        *file_name,
              GError           **error)
{
  double smallest, largest;

  fil_rig_key_get_range (key, &smallest, &largest);
  if (key->type >= FIL_VALUE_PIXELS)
    return parse_whole (entry, file_name, smallest, largest, &AT (record, int, key->offset),
                        error);

  return fil_value_number (entry, file_name, smallest, largest,
                           &AT (record, double, key->offset), error);
}

static gboolean
parse_choice (const FilRigKey   *key,
              gpointer           record,
              const FilRigEntry *entry,
              const char        *file_name,
              GError           **error)
{
  guint index = 0;

  if (!fil_value_word (entry, file_name, key->words, fil_rig_key_get_n_words (key), &index, error))
    return FALSE;

  if (key->type == FIL_VALUE_YES_NO)
    AT (record, gboolean, key->offset) = index == 0;
  else if (key->type == FIL_VALUE_TYPE)
    AT (record, FilObjectiveType, key->offset) = (FilObjectiveType) index;
  else
    AT (record, char *, key->offset) = g_strdup (key->words[index]);

  return TRUE;
}

static gboolean
parse_text (const FilRigKey   *key,
            gpointer           record,
            const FilRigEntry *entry,
            const char        *file_name,
            GError           **error)
{
  gboolean one_line = key->type == FIL_VALUE_LINE;
  char *text;

  /* An empty line counts as absent. */
  if (one_line && entry->value[0] == '\0')
    return TRUE;

  text = fil_value_dup_text (entry, file_name, one_line, error);
  AT (record, char *, key->offset) = text;

  return text != NULL;
}

/**
 * fil_rig_key_parse:
 * @record: the struct into which the key's offset points; each key is read
 *   into it once at most
 *
 * Returns: %FALSE with a %FIL_RIG_ERROR_VALUE for a value that is refused
 */
gboolean
fil_rig_key_parse (const FilRigKey   *key,
                   gpointer           record,
                   const FilRigEntry *entry,
                   const char        *file_name,
                   GError           **error)
{
  if (fil_rig_key_is_number (key))
    return parse_number (key, record, entry, file_name, error);
  if (key->type >= FIL_VALUE_LINE)
    return parse_text (key, record, entry, file_name, error);

  return parse_choice (key, record, entry, file_name, error);
}
