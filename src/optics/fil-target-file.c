/* fil-target-file.c: the file that targets are kept in
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A key file:
 *
 *     [list]
 *     tracer=magnetic
 *     current=North group
 *     [target 1]
 *     name=North group
 *     latitude_deg=14.2
 *     carrington_deg=187.5
 *     sighted=2026-08-12T09:30:00Z
 *     note=two large spots
 *
 * A file that can't be read whole is refused, and left as it is: whatever else
 * stands in it is somebody's work.
 */

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "fil-rig-private.h"
#include "fil-target-list.h"

#define NS_PER_S     G_GINT64_CONSTANT (1000000000)
#define YEAR_1900_S  G_GINT64_CONSTANT (-2208988800)
#define YEAR_2100_S  G_GINT64_CONSTANT (4102444800)

/* Returns: (transfer full): where targets are kept */
char *
fil_target_list_dup_path (void)
{
  return g_build_filename (g_get_user_data_dir (), "filigree", "targets", NULL);
}

/* The scanner is that of rig files; its errors are told as ours. */
static gboolean
refuse_as_ours (GError **error,
                GError  *rig_error)
{
  FilTargetError code = FIL_TARGET_ERROR_SYNTAX;

  if (g_error_matches (rig_error, FIL_RIG_ERROR, FIL_RIG_ERROR_VALUE))
    code = FIL_TARGET_ERROR_VALUE;
  g_set_error_literal (error, FIL_TARGET_ERROR, (int) code, rig_error->message);
  g_error_free (rig_error);

  return FALSE;
}

static gboolean
refuse_file (GError       **error,
             FilTargetError code,
             const char    *shown,
             const char    *reason)
{
  g_set_error (error, FIL_TARGET_ERROR, (int) code, "%s: %s", shown, reason);

  return FALSE;
}

static gboolean
refuse_at (GError            **error,
           const char         *shown,
           guint               line,
           const char         *key,
           const char         *reason)
{
  g_set_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_VALUE, "%s:%u: %s: %s", shown, line, key,
               reason);

  return FALSE;
}

/* Reads from a descriptor that is a regular file's. */
static char *
read_descriptor (int    fd,
                 gsize *length)
{
  g_autofree char *text = g_malloc (FIL_RIG_MAX_BYTES + 2);
  gsize got = 0;

  while (got <= FIL_RIG_MAX_BYTES)
    {
      gssize n = read (fd, text + got, FIL_RIG_MAX_BYTES + 1 - got);

      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        return NULL;
      if (n == 0)
        break;
      got += (gsize) n;
    }
  text[got] = '\0';
  *length = got;

  return g_steal_pointer (&text);
}

/* Opened without waiting, so that a pipe in the file's place can't hang us.
 * Returns: %FALSE with @error; @text is %NULL where there is no file. */
static gboolean
read_file (const char *path,
           char      **text,
           gsize      *length,
           GError    **error)
{
  g_autofree char *shown = g_filename_display_name (path);
  int fd = open (path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  struct stat status;
  int why;

  *text = NULL;
  *length = 0;
  if (fd < 0)
    return errno == ENOENT ||
           refuse_file (error, FIL_TARGET_ERROR_READ, shown, g_strerror (errno));
  if (fstat (fd, &status) != 0 || !S_ISREG (status.st_mode))
    {
      close (fd);
      return refuse_file (error, FIL_TARGET_ERROR_READ, shown, _("this is no regular file"));
    }

  *text = read_descriptor (fd, length);
  why = errno;
  close (fd);
  if (*text == NULL)
    return refuse_file (error, FIL_TARGET_ERROR_READ, shown, g_strerror (why));

  return TRUE;
}

/* Line ends and tabs aside. */
static gboolean
is_control (const char *p,
            const char *end)
{
  gunichar c = g_utf8_get_char (p);

  return g_unichar_iscntrl (c) && c != '\t' && c != '\n' &&
         !(c == '\r' && p + 1 < end && p[1] == '\n');
}

/* What the scanner would refuse too, but as a rig. */
static gboolean
check_text (const char *text,
            gsize       length,
            const char *shown,
            GError    **error)
{
  guint line = 1;

  if (length > FIL_RIG_MAX_BYTES)
    return refuse_file (error, FIL_TARGET_ERROR_SYNTAX, shown,
                        _("this is larger than 1 MiB, which no list of targets is"));
  if (!g_utf8_validate_len (text, length, NULL))
    return refuse_file (error, FIL_TARGET_ERROR_SYNTAX, shown,
                        _("this is no UTF-8 text, which a list of targets is"));
  for (const char *p = text; p < text + length; p = g_utf8_next_char (p))
    {
      if (is_control (p, text + length))
        {
          g_set_error (error, FIL_TARGET_ERROR, FIL_TARGET_ERROR_SYNTAX, "%s:%u: %s", shown, line,
                       _("a control character has no place in a list of targets"));
          return FALSE;
        }
      line += *p == '\n';
    }

  return TRUE;
}

static gboolean
take_number (const FilRigEntry *entry,
             const char        *shown,
             double             smallest,
             double             largest,
             double            *value,
             GError           **error)
{
  GError *why = NULL;

  return fil_value_number (entry, shown, smallest, largest, value, &why) ||
         refuse_as_ours (error, why);
}

static gboolean
take_text (const FilRigEntry *entry,
           const char        *shown,
           gboolean           one_line,
           char             **value,
           GError           **error)
{
  GError *why = NULL;

  *value = fil_value_dup_text (entry, shown, one_line, &why);

  return *value != NULL || refuse_as_ours (error, why);
}

static gboolean
take_time (const FilRigEntry *entry,
           const char        *shown,
           gint64            *utc_ns,
           GError           **error)
{
  g_autoptr (GTimeZone) utc = g_time_zone_new_utc ();
  g_autoptr (GDateTime) moment = g_date_time_new_from_iso8601 (entry->value, utc);
  gint64 seconds;

  if (moment == NULL)
    return refuse_at (error, shown, entry->line, entry->key,
                      _("a time is written 2026-08-12T09:30:00Z"));
  seconds = g_date_time_to_unix (moment);
  if (seconds < YEAR_1900_S || seconds >= YEAR_2100_S)
    return refuse_at (error, shown, entry->line, entry->key,
                      _("the Sun’s place is known from 1900 to 2099 only"));
  *utc_ns = seconds * NS_PER_S;

  return TRUE;
}

static gboolean
take_target_entry (const FilRigEntry *entry,
                   const char        *shown,
                   FilTarget         *target,
                   GError           **error)
{
  if (g_str_equal (entry->key, "name"))
    return take_text (entry, shown, TRUE, &target->name, error);
  if (g_str_equal (entry->key, "note"))
    return take_text (entry, shown, FALSE, &target->note, error);
  if (g_str_equal (entry->key, "latitude_deg"))
    return take_number (entry, shown, -FIL_TARGET_LATITUDE_MAX, FIL_TARGET_LATITUDE_MAX,
                        &target->latitude_deg, error);
  if (g_str_equal (entry->key, "carrington_deg"))
    return take_number (entry, shown, 0.0, 360.0, &target->carrington_deg, error);
  if (g_str_equal (entry->key, "sighted"))
    return take_time (entry, shown, &target->sighted_utc_ns, error);

  return refuse_at (error, shown, entry->line, entry->key, _("no such key is known here"));
}

static gboolean
take_target (FilTargetList     *list,
             const FilRigGroup *group,
             const char        *shown,
             GError           **error)
{
  static const char *const needed[] = { "name", "latitude_deg", "carrington_deg", "sighted" };
  g_autoptr (FilTarget) target = g_new0 (FilTarget, 1);
  GError *why = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (needed); i++)
    if (fil_rig_group_find (group, needed[i]) == NULL)
      return refuse_at (error, shown, group->line, needed[i], _("the key is missing"));
  for (guint i = 0; i < group->entries->len; i++)
    if (!take_target_entry (g_ptr_array_index (group->entries, i), shown, target, error))
      return FALSE;

  if (fil_target_list_add (list, g_steal_pointer (&target), -1, &why))
    return TRUE;
  refuse_at (error, shown, fil_rig_group_find (group, "name")->line, "name", why->message);
  g_error_free (why);

  return FALSE;
}

static gboolean
take_list (FilTargetList     *list,
           const FilRigGroup *group,
           const char        *shown,
           char             **current,
           GError           **error)
{
  for (guint i = 0; i < group->entries->len; i++)
    {
      const FilRigEntry *entry = g_ptr_array_index (group->entries, i);

      if (g_str_equal (entry->key, "current"))
        {
          g_clear_pointer (current, g_free);
          if (!take_text (entry, shown, TRUE, current, error))
            return FALSE;
        }
      else if (!g_str_equal (entry->key, "tracer"))
        return refuse_at (error, shown, entry->line, entry->key, _("no such key is known here"));
      else if (!fil_rotation_from_key (entry->value, &list->rotation))
        return refuse_at (error, shown, entry->line, entry->key,
                          _("it is magnetic, small-magnetic or doppler"));
    }

  return TRUE;
}

/**
 * fil_target_list_parse:
 * @list: an empty one; holds a part of the targets on failure
 * @text: (array length=length): any bytes, ended by a zero byte that is not counted
 * @shown: name of the file, for messages
 *
 * Returns: %FALSE with a %FIL_TARGET_ERROR that begins with file, line and key
 */
gboolean
fil_target_list_parse (FilTargetList *list,
                       const char    *text,
                       gsize          length,
                       const char    *shown,
                       GError       **error)
{
  g_autoptr (GPtrArray) groups = NULL;
  g_autofree char *current = NULL;
  GError *why = NULL;
  guint n = 0;

  if (!check_text (text, length, shown, error))
    return FALSE;
  groups = fil_rig_text_scan (text, length, shown, &why);
  if (groups == NULL)
    return refuse_as_ours (error, why);

  for (guint i = 0; i < groups->len; i++)
    {
      const FilRigGroup *group = g_ptr_array_index (groups, i);
      g_autofree char *wanted = g_strdup_printf ("target %u", n + 1);

      if (i == 0 && g_str_equal (group->name, "list"))
        {
          if (!take_list (list, group, shown, &current, error))
            return FALSE;
        }
      else if (!g_str_equal (group->name, wanted))
        return refuse_at (error, shown, group->line, group->name,
                          _("[list] comes first, then [target 1], [target 2] and so on"));
      else if (!take_target (list, group, shown, error))
        return FALSE;
      else
        n++;
    }
  if (current != NULL && fil_target_list_find (list, current) != NULL)
    fil_target_list_set_current (list, current);

  return TRUE;
}

/**
 * fil_target_list_load:
 * @list: what it held is replaced on success, and kept on failure
 * @path: in the file system's encoding; no file there is an empty list
 *
 * Returns: %FALSE with a %FIL_TARGET_ERROR that begins with file, line and key;
 *   fil_target_list_save() won't touch that file then
 */
gboolean
fil_target_list_load (FilTargetList *list,
                      const char    *path,
                      GError       **error)
{
  g_autoptr (FilTargetList) fresh = fil_target_list_new ();
  g_autofree char *shown = NULL;
  FilTargetList swap;
  gsize length;

  g_return_val_if_fail (list != NULL && path != NULL, FALSE);

  shown = g_filename_display_name (path);
  list->refused = TRUE;
  if (!read_file (path, &fresh->saved, &length, error) ||
      (fresh->saved != NULL && !fil_target_list_parse (fresh, fresh->saved, length, shown, error)))
    return FALSE;

  swap = *list;
  *list = *fresh;
  *fresh = swap;

  return TRUE;
}

/* With the escapes of key files; what no reader takes is left out. */
static void
append_text (GString    *out,
             const char *key,
             const char *value)
{
  static const char escapes[] = "\\\\\nn\tt";
  g_autofree char *valid = value != NULL ? g_utf8_make_valid (value, -1) : NULL;

  if (valid == NULL)
    return;
  g_string_append_printf (out, "%s=", key);
  for (const char *p = valid; *p != '\0'; p = g_utf8_next_char (p))
    {
      const char *escape = (*p & 0x80) == 0 ? strchr (escapes, *p) : NULL;

      if (*p == ' ' && (p == valid || p[1] == '\0'))
        g_string_append (out, "\\s");
      else if (escape != NULL && *p != 'n' && *p != 't')
        g_string_append_printf (out, "\\%c", escape[1]);
      else if (!g_unichar_iscntrl (g_utf8_get_char (p)))
        g_string_append_unichar (out, g_utf8_get_char (p));
    }
  g_string_append_c (out, '\n');
}

static void
append_number (GString    *out,
               const char *key,
               double      value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append_printf (out, "%s=%s\n", key,
                          g_ascii_formatd (text, sizeof text, "%.6f", value));
}

/* Returns: (transfer full): as it is kept */
char *
fil_target_list_to_text (FilTargetList *list)
{
  GString *out = g_string_new ("[list]\n");

  append_text (out, "tracer", fil_rotation_to_key (list->rotation));
  append_text (out, "current", list->current);
  for (guint i = 0; i < list->targets->len; i++)
    {
      const FilTarget *target = g_ptr_array_index (list->targets, i);
      g_autoptr (GDateTime) moment =
        g_date_time_new_from_unix_utc (target->sighted_utc_ns / NS_PER_S);
      g_autofree char *sighted = g_date_time_format (moment, "%Y-%m-%dT%H:%M:%SZ");

      g_string_append_printf (out, "[target %u]\n", i + 1);
      append_text (out, "name", target->name);
      append_number (out, "latitude_deg", target->latitude_deg);
      append_number (out, "carrington_deg", target->carrington_deg);
      append_text (out, "sighted", sighted);
      append_text (out, "note", target->note);
    }

  return g_string_free (out, FALSE);
}

static gboolean
check_unchanged (FilTargetList *list,
                 const char    *path,
                 const char    *shown,
                 GError       **error)
{
  g_autofree char *now = NULL;
  gsize length;

  if (list->refused)
    return refuse_file (error, FIL_TARGET_ERROR_WRITE, shown,
                        _("it couldn’t be read and stays as it is; mend it or move it away, "
                          "then targets are kept again"));
  if (!read_file (path, &now, &length, error))
    return FALSE;
  if (now != NULL && g_strcmp0 (now, list->saved) != 0)
    return refuse_file (error, FIL_TARGET_ERROR_CHANGED, shown,
                        _("another program or window changed it meanwhile; nothing was "
                          "written over it"));

  return TRUE;
}

/**
 * fil_target_list_save:
 *
 * Replaces the file in one step; it belongs to the user alone. Never writes
 * over a file that was refused, or that somebody else has changed since it was
 * read.
 */
gboolean
fil_target_list_save (FilTargetList *list,
                      const char    *path,
                      GError       **error)
{
  g_autofree char *shown = NULL, *folder = NULL, *text = NULL;
  g_autoptr (GError) why = NULL;

  g_return_val_if_fail (list != NULL && path != NULL, FALSE);

  shown = g_filename_display_name (path);
  if (!check_unchanged (list, path, shown, error))
    return FALSE;

  folder = g_path_get_dirname (path);
  if (g_mkdir_with_parents (folder, 0700) != 0)
    return refuse_file (error, FIL_TARGET_ERROR_WRITE, shown, g_strerror (errno));
  text = fil_target_list_to_text (list);
  if (!g_file_set_contents_full (path, text, -1,
                                 G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                 0600, &why))
    return refuse_file (error, FIL_TARGET_ERROR_WRITE, shown, why->message);
  g_free (list->saved);
  list->saved = g_steal_pointer (&text);

  return TRUE;
}
