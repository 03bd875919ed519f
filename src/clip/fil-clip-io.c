/* fil-clip-io.c: writing to a growing clip, errors told apart
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-io.h"

/* A full disk, a used-up quota and a limit of file size are all want of
 * space. */
static FilClipError
code_of (int code)
{
  switch (code)
    {
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
      return FIL_CLIP_ERROR_SPACE;
    case EEXIST:
      return FIL_CLIP_ERROR_EXISTS;
    default:
      return FIL_CLIP_ERROR_WRITE;
    }
}

/* @what: translated, "writing failed". Returns: %FALSE */
gboolean
fil_clip_set_errno (GError    **error,
                    int         code,
                    const char *what)
{
  if (code_of (code) == FIL_CLIP_ERROR_SPACE)
    g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_SPACE,
                 _("there is no space left (%s)"), g_strerror (code));
  else
    g_set_error (error, FIL_CLIP_ERROR, (gint) code_of (code), "%s: %s", what, g_strerror (code));

  return FALSE;
}

gboolean
fil_clip_write_at (int           fd,
                   guint64       offset,
                   gconstpointer data,
                   gsize         length,
                   GError      **error)
{
  const guint8 *at = data;

  while (length > 0)
    {
      ssize_t put = pwrite (fd, at, MIN (length, (gsize) 1 << 30), (off_t) offset);

      if (put < 0 && errno == EINTR)
        continue;
      if (put <= 0)
        return fil_clip_set_errno (error, put < 0 ? errno : EIO, _("writing failed"));
      at += put;
      offset += (guint64) put;
      length -= (gsize) put;
    }

  return TRUE;
}

/* Fills up a FITS block: @length is below 2880. */
gboolean
fil_clip_write_zeros (int      fd,
                      guint64  offset,
                      gsize    length,
                      GError **error)
{
  static const guint8 zeros[2880];

  g_return_val_if_fail (length < sizeof zeros, FALSE);

  return fil_clip_write_at (fd, offset, zeros, length, error);
}

gboolean
fil_clip_sync (int      fd,
               GError **error)
{
  if (fdatasync (fd) != 0)
    return fil_clip_set_errno (error, errno, _("writing to the disk failed"));

  return TRUE;
}

/* Makes a new, renamed or removed name last. */
gboolean
fil_clip_sync_folder (const char *path,
                      GError    **error)
{
  g_autofree char *folder = g_path_get_dirname (path);
  int fd = open (folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  /* Some network file systems can't, and need not. */
  gboolean done = fd >= 0 && (fsync (fd) == 0 || errno == EINVAL);
  int code = errno;

  if (fd >= 0)
    close (fd);

  return done || fil_clip_set_errno (error, code, _("writing to the disk failed"));
}
