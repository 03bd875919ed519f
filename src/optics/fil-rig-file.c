/* fil-rig-file.c: rigs on disk
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>
#include <glib/gi18n-lib.h>

#include "fil-rig-text.h"

/* Reads at most @capacity bytes; returns the count, or −1 with errno set. */
static gssize
read_whole (int    fd,
            char  *buffer,
            gsize  capacity)
{
  gsize got = 0;

  while (got < capacity)
    {
      gssize n = read (fd, buffer + got, capacity - got);

      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        return -1;
      if (n == 0)
        break;
      got += (gsize) n;
    }

  return (gssize) got;
}

/* Opens without waiting, so that a pipe or a device in the file's place can't
 * hang the program. */
static int
open_regular (const char *path,
              const char *shown,
              GError    **error)
{
  struct stat status;
  int fd = open (path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);

  if (fd < 0 || fstat (fd, &status) != 0)
    {
      fil_rig_refuse (error, FIL_RIG_ERROR_READ, shown, 0, NULL, "%s", g_strerror (errno));
      if (fd >= 0)
        close (fd);
      return -1;
    }
  if (!S_ISREG (status.st_mode))
    {
      fil_rig_refuse (error, FIL_RIG_ERROR_READ, shown, 0, NULL, _("this is no regular file"));
      close (fd);
      return -1;
    }

  return fd;
}

/**
 * fil_rig_load:
 * @path: in the file system's encoding
 *
 * Returns: (transfer full): the rig, or %NULL with a %FIL_RIG_ERROR; its
 *   message begins with the file and, where one is at fault, the line
 */
FilRig *
fil_rig_load (const char *path,
              GError    **error)
{
  g_autofree char *shown = NULL;
  g_autofree char *text = NULL;
  gssize length;
  int fd;

  g_return_val_if_fail (path != NULL, NULL);

  shown = g_filename_display_name (path);
  fd = open_regular (path, shown, error);
  if (fd < 0)
    return NULL;

  text = g_malloc (FIL_RIG_MAX_BYTES + 1);
  length = read_whole (fd, text, FIL_RIG_MAX_BYTES + 1);
  if (length < 0)
    fil_rig_refuse (error, FIL_RIG_ERROR_READ, shown, 0, NULL, "%s", g_strerror (errno));
  close (fd);

  return length < 0 ? NULL : fil_rig_parse (text, length, shown, error);
}

static gboolean
refuse_to_save (const char *path,
                const char *reason,
                GError    **error)
{
  g_autofree char *shown = g_filename_display_name (path);

  return fil_rig_refuse (error, FIL_RIG_ERROR_WRITE, shown, 0, NULL,
                         _("the rig was not saved, what was there is untouched: %s"), reason);
}

/**
 * fil_rig_save:
 *
 * Writes the rig's text, replacing what was there in one step: after a
 * failure or a power cut the old file is whole. A link keeps pointing at the
 * file, and the file keeps its permissions; one that is protected against
 * writing is left alone.
 */
gboolean
fil_rig_save (const FilRig *rig,
              const char   *path,
              GError      **error)
{
  g_autofree char *text = NULL;
  g_autoptr (GError) why = NULL;
  struct stat status;
  char *resolved;
  gboolean saved, there;

  g_return_val_if_fail (rig != NULL && path != NULL, FALSE);

  text = fil_rig_to_text (rig);
  resolved = realpath (path, NULL);
  there = resolved != NULL && stat (resolved, &status) == 0;
  /* Renaming would go round it. */
  if (there && access (resolved, W_OK) != 0)
    {
      free (resolved);
      return refuse_to_save (path, g_strerror (EACCES), error);
    }

  saved = g_file_set_contents_full (resolved != NULL ? resolved : path, text, -1,
                                    G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                    there ? (int) (status.st_mode & 0777) : 0644, &why);
  /* The mask of new files has been at the mode. */
  if (saved && there && chmod (resolved, status.st_mode & 0777) != 0)
    g_debug ("%s: the mode is another: %s", resolved, g_strerror (errno));
  free (resolved);

  return saved || refuse_to_save (path, why->message, error);
}
