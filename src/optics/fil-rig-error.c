/* fil-rig-error.c: why a rig was refused, in one line and in its parts
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-rig-text.h"

typedef struct
{
  char  *key;
  char  *reason;
  guint  line;
} FilRigErrorPrivate;

static void
fil_rig_error_private_init (FilRigErrorPrivate *parts)
{
  *parts = (FilRigErrorPrivate) { 0 };
}

static void
fil_rig_error_private_copy (const FilRigErrorPrivate *from,
                            FilRigErrorPrivate       *to)
{
  to->key = g_strdup (from->key);
  to->reason = g_strdup (from->reason);
  to->line = from->line;
}

static void
fil_rig_error_private_clear (FilRigErrorPrivate *parts)
{
  g_free (parts->key);
  g_free (parts->reason);
}

G_DEFINE_EXTENDED_ERROR (FilRigError, fil_rig_error)

/**
 * fil_rig_refuse:
 * @line: from 1, or 0 where no single line is at fault
 * @key: (nullable): the key, or the group in brackets
 *
 * Sets "FILE:LINE: KEY: REASON".
 *
 * Returns: %FALSE, always
 */
gboolean
fil_rig_refuse (GError     **error,
                FilRigError  code,
                const char  *file_name,
                guint        line,
                const char  *key,
                const char  *format,
                ...)
{
  g_autoptr (GString) message = g_string_new (file_name);
  FilRigErrorPrivate *parts;
  va_list args;
  gsize reason;

  if (error == NULL)
    return FALSE;

  if (line > 0)
    g_string_append_printf (message, ":%u", line);
  g_string_append (message, ": ");
  if (key != NULL)
    g_string_append_printf (message, "%s: ", key);

  reason = message->len;
  va_start (args, format);
  g_string_append_vprintf (message, format, args);
  va_end (args);

  g_set_error_literal (error, FIL_RIG_ERROR, (int) code, message->str);
  parts = fil_rig_error_get_private (*error);
  parts->key = g_strdup (key);
  parts->reason = g_strdup (message->str + reason);
  parts->line = line;

  return FALSE;
}

/**
 * fil_rig_error_get_reason:
 *
 * What a form shows beside a field, where file and line say nothing.
 *
 * Returns: (transfer none): translated, without file, line and key; the whole
 *   message where it has no parts
 */
const char *
fil_rig_error_get_reason (const GError *error)
{
  const FilRigErrorPrivate *parts;

  g_return_val_if_fail (error != NULL, NULL);

  if (error->domain != FIL_RIG_ERROR)
    return error->message;

  parts = fil_rig_error_get_private (error);

  return parts->reason != NULL ? parts->reason : error->message;
}

/* Returns: (nullable) (transfer none): the key at fault */
const char *
fil_rig_error_get_key (const GError *error)
{
  g_return_val_if_fail (error != NULL, NULL);

  return error->domain == FIL_RIG_ERROR ? fil_rig_error_get_private (error)->key : NULL;
}

/* Returns: the line at fault, from 1; 0 where none is */
guint
fil_rig_error_get_line (const GError *error)
{
  g_return_val_if_fail (error != NULL, 0);

  return error->domain == FIL_RIG_ERROR ? fil_rig_error_get_private (error)->line : 0;
}
