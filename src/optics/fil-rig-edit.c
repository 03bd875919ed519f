/* fil-rig-edit.c: values of a rig changed, line by line
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An edit makes a new rig out of the old one's text with one place changed;
 * all the rest, comments and unknown keys among it, stays to the letter. What
 * comes out went through the reader like any file. Edited rigs may be
 * incomplete. See fil-rig-blocks.c for edits of whole elements. */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-edit.h"

/* Returns: the line end that this text uses */
const char *
fil_rig_edit_line_end (const FilRig *rig)
{
  const char *newline = memchr (rig->text, '\n', rig->length);

  return newline != NULL && newline > rig->text && newline[-1] == '\r' ? "\r\n" : "\n";
}

static gboolean
is_blank_line_before (const FilRig *rig,
                      gsize         place)
{
  const char *p = rig->text + place;
  guint n_ends = 0;

  while (p > rig->text && g_ascii_isspace (p[-1]))
    n_ends += *--p == '\n';

  return n_ends > 1;
}

/* Returns: whether this text keeps its groups apart by blank lines, as the
 *   last one shows */
gboolean
fil_rig_edit_is_spaced (const FilRig *rig)
{
  const FilRigGroup *last;

  if (rig->groups->len < 2)
    return FALSE;

  last = g_ptr_array_index (rig->groups, rig->groups->len - 1);

  return is_blank_line_before (rig, fil_rig_edit_block_start (rig, rig->groups->len - 1)) ||
         is_blank_line_before (rig, last->start);
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
splice (GString      *text,
        const FilRig *rig,
        const char   *group_name,
        const char   *key,
        const char   *line)
{
  const FilRigGroup *group = fil_rig_text_find (rig->groups, group_name);
  const FilRigEntry *entry = fil_rig_group_find (group, key);
  const char *line_end = fil_rig_edit_line_end (rig);
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
      g_autofree char *header =
        g_strdup_printf ("%s[%s]%s", fil_rig_edit_is_spaced (rig) ? line_end : "", group_name,
                         line_end);

      g_string_insert (text, (gssize) place, header);
    }
  if (place > 0 && text->str[place - 1] != '\n' && !fil_rig_text_is_mark (text->str, place))
    g_string_insert (text, (gssize) place, line_end);
}

/* Whether the edit did what it should: a key or a group of an odd name could
 * have turned into something else. */
static gboolean
check_done (const FilRig *rig,
            const char   *group,
            const char   *key,
            const char   *value,
            GError      **error)
{
  const FilRigEntry *entry =
    fil_rig_group_find (fil_rig_text_find (rig->groups, group), key);

  if (value == NULL ? entry == NULL : entry != NULL && strcmp (entry->value, value) == 0)
    return TRUE;

  return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, rig->file_name, 0, key,
                         _("this can’t be the name of a key in [%s]"), group);
}

/**
 * fil_rig_with_value:
 * @group: "rig", "site", "element 3"
 * @value: (nullable): plain text; %NULL takes the key away
 *
 * Changes one line and leaves the rest of the text as it is.
 *
 * Returns: (transfer full): a new rig, which may be incomplete, or %NULL with
 *   a %FIL_RIG_ERROR; @rig doesn't change
 */
FilRig *
fil_rig_with_value (const FilRig *rig,
                    const char   *group,
                    const char   *key,
                    const char   *value,
                    GError      **error)
{
  g_autoptr (FilRig) changed = NULL;
  g_autoptr (GString) text = NULL;
  g_autofree char *escaped = NULL;
  g_autofree char *line = NULL;

  g_return_val_if_fail (rig != NULL && group != NULL && key != NULL, NULL);

  if (value != NULL)
    {
      escaped = escape_value (value);
      line = g_strconcat (key, "=", escaped, fil_rig_edit_line_end (rig), NULL);
    }
  text = g_string_new_len (rig->text, (gssize) rig->length);
  splice (text, rig, group, key, line);

  changed = fil_rig_parse_text (text->str, text->len, rig->file_name, TRUE, error);
  if (changed == NULL || !check_done (changed, group, key, escaped, error))
    return NULL;

  return g_steal_pointer (&changed);
}

/**
 * fil_rig_dup_value:
 * @group: "rig", "site", "element 3"
 *
 * What the file says, as written ("2.0", where the element has 2), for forms.
 * Keys that are unknown can be asked for too.
 *
 * Returns: (transfer full) (nullable): plain text; %NULL where there is none
 */
char *
fil_rig_dup_value (const FilRig *rig,
                   const char   *group,
                   const char   *key)
{
  const FilRigEntry *entry;
  char *plain;

  g_return_val_if_fail (rig != NULL && group != NULL && key != NULL, NULL);

  entry = fil_rig_group_find (fil_rig_text_find (rig->groups, group), key);
  if (entry == NULL)
    return NULL;

  /* An unknown key may use backslashes in its own way. */
  plain = fil_value_dup_text (entry, rig->file_name, FALSE, NULL);

  return plain != NULL ? plain : g_strdup (entry->value);
}

/**
 * fil_rig_find_key:
 * @group: "rig", "site", "element 3"
 *
 * Returns: (transfer none) (nullable): the key's row of the table; %NULL for
 *   an unknown key, and for an element that isn't there
 */
const FilRigKey *
fil_rig_find_key (const FilRig *rig,
                  const char   *group,
                  const char   *key)
{
  guint64 number = 0;

  g_return_val_if_fail (rig != NULL && group != NULL && key != NULL, NULL);

  if (!g_str_has_prefix (group, "element "))
    return fil_rig_key_find (group, key);
  if (!g_ascii_string_to_unsigned (group + strlen ("element "), 10, 1, rig->elements->len,
                                   &number, NULL))
    return NULL;

  return fil_element_find_key (fil_rig_get_element (rig, (guint) number - 1)->kind, key);
}

/**
 * fil_rig_new_empty:
 * @name: (nullable): its name, for messages too
 *
 * Returns: (transfer full): a rig without elements. What can't be part of a
 *   name becomes a blank.
 */
FilRig *
fil_rig_new_empty (const char *name)
{
  g_autofree char *valid = g_utf8_make_valid (name != NULL ? name : "", -1);
  g_autoptr (GString) clean = g_string_new (NULL);
  g_autoptr (FilRig) bare = NULL;
  FilRig *rig;

  for (const char *p = valid; *p != '\0'; p = g_utf8_next_char (p))
    g_string_append_unichar (clean, g_unichar_iscntrl (g_utf8_get_char (p)) ? ' '
                                                                            : g_utf8_get_char (p));
  g_strstrip (clean->str);
  bare = fil_rig_parse_text ("[rig]\n", strlen ("[rig]\n"),
                             clean->str[0] != '\0' ? clean->str : _("New rig"), TRUE, NULL);
  if (clean->str[0] == '\0')
    return g_steal_pointer (&bare);

  rig = fil_rig_with_value (bare, "rig", "name", clean->str, NULL);

  return rig != NULL ? rig : g_steal_pointer (&bare);   /* a name of a megabyte */
}
