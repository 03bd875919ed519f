/* fil-rig-text.c: the lines of a rig file, before they mean anything
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * GLib's key files merge repeated groups and keep the last of repeated keys.
 * In a file that decides whether sunlight may reach a camera, such a slip
 * must be seen, so the text is scanned here, and every line keeps its number.
 */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-text.h"

#define BYTE_ORDER_MARK "\xef\xbb\xbf"
#define LONGEST_SHOWN   60   /* characters of a broken line in a message */

typedef struct
{
  const char  *text;
  const char  *file_name;
  GPtrArray   *groups;
  FilRigGroup *group;        /* the one being read; NULL before the first */
  GHashTable  *group_names;
  GHashTable  *keys;         /* of the group being read */
} Scan;

static void
entry_free (gpointer data)
{
  FilRigEntry *entry = data;

  g_free (entry->key);
  g_free (entry->value);
  g_free (entry);
}

static void
group_free (gpointer data)
{
  FilRigGroup *group = data;

  g_free (group->name);
  g_ptr_array_unref (group->entries);
  g_free (group);
}

static guint
line_of (const char *text,
         const char *place)
{
  guint line = 1;

  for (const char *p = text; p < place; p++)
    line += *p == '\n';

  return line;
}

/* Terminals, headers and window titles will show these strings: nothing that
 * could steer them gets in. */
static gboolean
check_characters (const char  *text,
                  gsize        length,
                  const char  *file_name,
                  GError     **error)
{
  const char *end = text + length;
  const char *bad;

  if (!g_utf8_validate_len (text, length, &bad))
    return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, file_name, line_of (text, bad), NULL,
                           _("this is no UTF-8 text; a rig is a text file in UTF-8"));

  for (const char *p = text; p < end; p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);
      gboolean line_end = c == '\n' || (c == '\r' && p + 1 < end && p[1] == '\n');

      if (g_unichar_iscntrl (c) && c != '\t' && !line_end)
        return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, file_name, line_of (text, p), NULL,
                               _("a control character (U+%04X) has no place in a rig"), c);
    }

  return TRUE;
}

static gboolean
refuse_line (Scan        *scan,
             guint        line,
             const char  *content,
             const char  *reason,
             GError     **error)
{
  g_autofree char *shown = g_utf8_strlen (content, -1) > LONGEST_SHOWN
                             ? g_utf8_substring (content, 0, LONGEST_SHOWN)
                             : g_strdup (content);

  return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, scan->file_name, line, shown, "%s",
                         reason);
}

/* "[element 01]" or "[Element 1]" would pass as an unknown group, and an
 * element of the light path would be lost without a word. */
static gboolean
is_misspelt_element (const char *name)
{
  const char *p = name + strlen ("element");

  if (g_ascii_strncasecmp (name, "element", strlen ("element")) != 0)
    return FALSE;

  while (*p == ' ' || *p == '\t' || *p == '-' || *p == '_' || g_ascii_isdigit (*p))
    p++;
  if (*p != '\0')
    return FALSE;

  p = name + strlen ("element ");

  return strncmp (name, "element ", strlen ("element ")) != 0 || *p < '1' || *p > '9' ||
         strspn (p, "0123456789") != strlen (p);
}

/* Returns: whether a scanned group is an element, and no unknown group such
 *   as [element of surprise] */
gboolean
fil_rig_text_is_element (const char *group_name)
{
  return g_str_has_prefix (group_name, "element ") && g_ascii_isdigit (group_name[8]);
}

/* Returns: whether @text is the mark that some editors put before UTF-8 */
gboolean
fil_rig_text_is_mark (const char *text,
                      gsize       length)
{
  return length == strlen (BYTE_ORDER_MARK) &&
         memcmp (text, BYTE_ORDER_MARK, strlen (BYTE_ORDER_MARK)) == 0;
}

static gboolean
scan_group (Scan    *scan,
            char    *content,
            guint    line,
            gsize    start,
            gsize    end,
            GError **error)
{
  g_autofree char *name = NULL;
  gsize length = strlen (content);

  if (length < 3 || content[length - 1] != ']')
    return refuse_line (scan, line, content, _("a group is written [name]"), error);

  name = g_strndup (content + 1, length - 2);
  if (strpbrk (name, "[]") != NULL || g_ascii_isspace (name[0]) ||
      g_ascii_isspace (name[length - 3]))
    return refuse_line (scan, line, content,
                        _("a group is written [name], without blanks or brackets around the name"),
                        error);
  if (is_misspelt_element (name))
    return refuse_line (scan, line, content,
                        _("elements are written [element 1], [element 2] and so on"), error);
  if (g_hash_table_contains (scan->group_names, name))
    return refuse_line (scan, line, content,
                        _("this group was there before; a group may come only once"), error);

  scan->group = g_new0 (FilRigGroup, 1);
  scan->group->name = g_steal_pointer (&name);
  scan->group->line = line;
  scan->group->start = start;
  scan->group->end = end;
  scan->group->entries = g_ptr_array_new_with_free_func (entry_free);
  g_ptr_array_add (scan->groups, scan->group);
  g_hash_table_add (scan->group_names, scan->group->name);
  g_hash_table_remove_all (scan->keys);

  return TRUE;
}

static gboolean
scan_entry (Scan    *scan,
            char    *content,
            guint    line,
            gsize    start,
            gsize    end,
            GError **error)
{
  g_autofree char *key = NULL;
  const char *equals = strchr (content, '=');
  FilRigEntry *entry;

  if (equals == NULL || equals == content)
    return refuse_line (scan, line, content,
                        _("this is neither [group] nor key=value nor a # comment"), error);

  key = g_strstrip (g_strndup (content, (gsize) (equals - content)));
  if (scan->group == NULL)
    return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, scan->file_name, line, key,
                           _("it stands before the first [group]"));
  if (g_hash_table_contains (scan->keys, key))
    return fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, scan->file_name, line, key,
                           _("this key was there before in [%s]; a key may come only once"),
                           scan->group->name);

  entry = g_new0 (FilRigEntry, 1);
  entry->key = g_steal_pointer (&key);
  entry->value = g_strstrip (g_strdup (equals + 1));
  entry->line = line;
  entry->start = start;
  entry->end = end;
  g_ptr_array_add (scan->group->entries, entry);
  g_hash_table_add (scan->keys, entry->key);
  scan->group->end = end;

  return TRUE;
}

static gboolean
scan_lines (Scan    *scan,
            gsize    length,
            GError **error)
{
  gsize start = g_str_has_prefix (scan->text, BYTE_ORDER_MARK) ? strlen (BYTE_ORDER_MARK) : 0;

  for (guint line = 1; start < length; line++)
    {
      const char *newline = memchr (scan->text + start, '\n', length - start);
      gsize end = newline != NULL ? (gsize) (newline - scan->text) + 1 : length;
      g_autofree char *content = g_strstrip (g_strndup (scan->text + start, end - start));
      gboolean ok = TRUE;

      if (content[0] == '[')
        ok = scan_group (scan, content, line, start, end, error);
      else if (content[0] != '\0' && content[0] != '#')
        ok = scan_entry (scan, content, line, start, end, error);
      if (!ok)
        return FALSE;

      start = end;
    }

  return TRUE;
}

/**
 * fil_rig_text_scan:
 * @text: (array length=length): any bytes, ended by a zero byte that is not counted
 * @file_name: for messages
 *
 * Splits a key file into groups and entries and refuses what GLib's reader
 * would let pass: repeated groups and keys, stray lines, control characters.
 * Time and memory grow linearly with @length, which is limited.
 *
 * Returns: (transfer full) (element-type FilRigGroup): in the order of the
 *   file, or %NULL with a %FIL_RIG_ERROR_SYNTAX
 */
GPtrArray *
fil_rig_text_scan (const char *text,
                   gsize       length,
                   const char *file_name,
                   GError    **error)
{
  g_autoptr (GPtrArray) groups = g_ptr_array_new_with_free_func (group_free);
  g_autoptr (GHashTable) group_names = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) keys = g_hash_table_new (g_str_hash, g_str_equal);
  Scan scan = { text, file_name, groups, NULL, group_names, keys };

  if (length > FIL_RIG_MAX_BYTES)
    {
      fil_rig_refuse (error, FIL_RIG_ERROR_SYNTAX, file_name, 0, NULL,
                      _("this is larger than 1 MiB, which no rig is"));
      return NULL;
    }
  if (!check_characters (text, length, file_name, error) || !scan_lines (&scan, length, error))
    return NULL;

  return g_steal_pointer (&groups);
}

const FilRigGroup *
fil_rig_text_find (const GPtrArray *groups,
                   const char      *name)
{
  for (guint i = 0; i < groups->len; i++)
    {
      const FilRigGroup *group = g_ptr_array_index (groups, i);

      if (strcmp (group->name, name) == 0)
        return group;
    }

  return NULL;
}

/* @group: (nullable) */
const FilRigEntry *
fil_rig_group_find (const FilRigGroup *group,
                    const char        *key)
{
  for (guint i = 0; group != NULL && i < group->entries->len; i++)
    {
      const FilRigEntry *entry = g_ptr_array_index (group->entries, i);

      if (strcmp (entry->key, key) == 0)
        return entry;
    }

  return NULL;
}

static int
compare_lines (gconstpointer a,
               gconstpointer b)
{
  return strcmp (*(char *const *) a, *(char *const *) b);
}

/**
 * fil_rig_text_digest:
 *
 * Comments, blanks and the order of groups and keys don't matter (elements
 * carry their number in the group's name); every value does, those of unknown
 * keys too.
 *
 * Returns: (transfer full): SHA-256 of the canonical content, 64 hex digits
 */
char *
fil_rig_text_digest (const GPtrArray *groups)
{
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GChecksum) checksum = g_checksum_new (G_CHECKSUM_SHA256);

  for (guint i = 0; i < groups->len; i++)
    {
      const FilRigGroup *group = g_ptr_array_index (groups, i);

      for (guint k = 0; k < group->entries->len; k++)
        {
          const FilRigEntry *entry = g_ptr_array_index (group->entries, k);

          g_ptr_array_add (lines, g_strdup_printf ("[%s]%s=%s\n", group->name, entry->key,
                                                   entry->value));
        }
    }

  g_ptr_array_sort (lines, compare_lines);
  for (guint i = 0; i < lines->len; i++)
    g_checksum_update (checksum, g_ptr_array_index (lines, i), -1);

  return g_strdup (g_checksum_get_string (checksum));
}
