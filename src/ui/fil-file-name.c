/* fil-file-name.c: names for new clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-file-name.h"

#define LONGEST_BYTES 200   /* file systems allow 255; ".new.rows" and a number follow */

/* Slashes and control characters can't stand in a name, a leading dot hides it. */
static void
make_harmless (GString *name)
{
  for (gsize i = 0; i < name->len; i++)
    if (name->str[i] == '/' || name->str[i] == ':' || (guchar) name->str[i] < 0x20)
      name->str[i] = '-';
  if (name->len > LONGEST_BYTES)
    {
      const char *end = g_utf8_find_prev_char (name->str, name->str + LONGEST_BYTES + 1);

      g_string_truncate (name, end != NULL ? (gsize) (end - name->str) : 0);
    }
  g_strstrip (name->str);
  g_string_set_size (name, strlen (name->str));
  if (name->len == 0 || name->str[0] == '.')
    g_string_prepend (name, "clip");
}

/**
 * fil_file_name_expand:
 * @pattern: text with {rig}, {date}, {time} (UTC) and {number}; anything else
 *   in braces stays as it is
 * @rig_name: (nullable): the rig's name
 * @number: what {number} stands for
 *
 * Returns: (transfer full): a file name without a folder and without an ending
 */
char *
fil_file_name_expand (const char *pattern,
                      const char *rig_name,
                      GDateTime  *utc,
                      int         number)
{
  g_autoptr (GString) name = g_string_new (pattern);
  g_autofree char *date = g_date_time_format (utc, "%Y-%m-%d");
  g_autofree char *time = g_date_time_format (utc, "%H%M%S");
  g_autofree char *count = g_strdup_printf ("%03d", number);

  g_string_replace (name, "{rig}", rig_name != NULL ? rig_name : "", 0);
  g_string_replace (name, "{date}", date, 0);
  g_string_replace (name, "{time}", time, 0);
  g_string_replace (name, "{number}", count, 0);
  make_harmless (name);

  return g_string_free (g_steal_pointer (&name), FALSE);
}

/**
 * fil_file_name_new_path:
 * @ending: with its dot
 *
 * A path in @folder that nothing stands at yet: {number} counts up, or where
 * the pattern has none, " 2", " 3" … is added. (The file is made with O_EXCL
 * all the same.)
 *
 * Returns: (transfer full): the path
 */
char *
fil_file_name_new_path (const char *folder,
                        const char *pattern,
                        const char *rig_name,
                        GDateTime  *utc,
                        const char *ending)
{
  gboolean numbered = strstr (pattern, "{number}") != NULL;

  for (int number = 1;; number++)
    {
      g_autofree char *stem = fil_file_name_expand (pattern, rig_name, utc, number);
      g_autofree char *name = numbered || number == 1
                                ? g_strconcat (stem, ending, NULL)
                                : g_strdup_printf ("%s %d%s", stem, number, ending);
      g_autofree char *path = g_build_filename (folder, name, NULL);

      if (!g_file_test (path, G_FILE_TEST_EXISTS) || number == G_MAXINT16)
        return g_steal_pointer (&path);
    }
}
