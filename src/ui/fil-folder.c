/* fil-folder.c: where clips go
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <unistd.h>

#include <glib/gi18n.h>
#include <glib/gstdio.h>

#include "fil-folder.h"

/* Returns: (transfer full): the folder for clips: the setting, or "Filigree"
 * beside the user's videos */
char *
fil_folder_dup (GSettings *settings)
{
  g_autofree char *folder = g_settings_get_string (settings, "folder");
  const char *videos;

  if (folder[0] != '\0')
    return g_steal_pointer (&folder);

  videos = g_get_user_special_dir (G_USER_DIRECTORY_VIDEOS);

  return g_build_filename (videos != NULL ? videos : g_get_home_dir (), "Filigree", NULL);
}

/* Makes the folder where it is missing, and fails where it can't be written to. */
gboolean
fil_folder_ensure (GSettings *settings,
                   char     **path,
                   GError   **error)
{
  g_autofree char *folder = fil_folder_dup (settings);

  if (g_mkdir_with_parents (folder, 0777) != 0 || access (folder, W_OK | X_OK) != 0)
    {
      int saved_errno = errno;

      g_set_error (error, G_IO_ERROR, g_io_error_from_errno (saved_errno),
                   _("Nothing can be written to “%s”: %s. Choose another folder in the preferences."),
                   folder, g_strerror (saved_errno));
      return FALSE;
    }

  *path = g_steal_pointer (&folder);

  return TRUE;
}
