/* fil-clip-mend.c: completing a clip whose writer died
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-cards.h"
#include "fil-clip-finish.h"
#include "fil-clip-io.h"
#include "fil-clip-mend.h"
#include "fil-fits-hdu.h"

/* Frame size by the journal's copy of the header: the clip's own may be torn. */
static guint64
frame_bytes (FilJournal *journal)
{
  gsize length;
  const char *text = g_bytes_get_data (journal->parts[FIL_JOURNAL_HEADER], &length);
  g_autoptr (FilCards) cards = fil_cards_new_from (text, length);
  gint64 bitpix, width, height;

  if (!fil_cards_get_int (cards, "BITPIX", &bitpix) || (bitpix != 8 && bitpix != 16) ||
      !fil_cards_get_int (cards, "NAXIS1", &width) || width < 1 || width > 100000 ||
      !fil_cards_get_int (cards, "NAXIS2", &height) || height < 1 || height > 100000)
    return 0;

  return (guint64) (bitpix / 8 * width * height);
}

static gboolean
count_frames (FilClipFinish *job,
              GError       **error)
{
  struct stat status;
  guint64 start = g_bytes_get_size (job->journal->parts[FIL_JOURNAL_HEADER]);

  if (fstat (job->fd, &status) != 0)
    return fil_clip_set_errno (error, errno, _("the clip can't be read"));

  job->frame_bytes = frame_bytes (job->journal);
  if (job->frame_bytes > 0 && (guint64) status.st_size > start)
    job->n_frames = MIN (job->journal->n_records,
                         ((guint64) status.st_size - start) / job->frame_bytes);
  if (job->n_frames == 0)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                           _("no whole frame is in the clip"));
      return FALSE;
    }

  return TRUE;
}

/* The writer holds this lock as long as it lives. */
static gboolean
open_unused (FilClipFinish *job,
             GError       **error)
{
  job->fd = open (job->path, O_RDWR | O_CLOEXEC | O_NONBLOCK);
  if (job->fd < 0)
    {
      int code = errno;

      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN, g_strerror (code));
      return FALSE;
    }
  if (flock (job->fd, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN,
                           _("it is still being recorded"));
      return FALSE;
    }

  return TRUE;
}

/**
 * fil_clip_mend:
 * @path: a clip beside which its journal lies; "OUT.new" gets the name "OUT"
 *   where that is free
 * @n_frames: (out): frames kept
 * @mended_path: (out) (transfer full) (optional): the name it has now
 * @error: return location
 *
 * Completes an interrupted clip as its own writer would have. A clip without
 * a journal is left alone: %FIL_CLIP_ERROR_FORMAT.
 */
gboolean
fil_clip_mend (const char *path,
               guint64    *n_frames,
               char      **mended_path,
               GError    **error)
{
  g_autoptr (FilJournal) journal = NULL;
  g_autofree char *final_path = NULL;
  FilClipFinish job = { .fd = -1, .path = path, .clock_drift_s = NAN };
  gboolean done;

  g_return_val_if_fail (path != NULL && n_frames != NULL, FALSE);

  journal = fil_journal_open (path, error);
  if (journal == NULL)
    return FALSE;

  final_path = g_strdup (path);
  if (g_str_has_suffix (path, FIL_CLIP_NEW_SUFFIX))
    {
      final_path[strlen (path) - strlen (FIL_CLIP_NEW_SUFFIX)] = '\0';
      if (g_file_test (final_path, G_FILE_TEST_EXISTS))
        strcpy (final_path, path);
    }
  job.final_path = final_path;
  job.journal = journal;

  done = open_unused (&job, error) && count_frames (&job, error) && fil_clip_finish (&job, error);
  if (job.fd >= 0)
    close (job.fd);
  if (!done)
    return FALSE;

  *n_frames = job.n_frames;
  if (mended_path != NULL)
    *mended_path = g_steal_pointer (&final_path);

  return TRUE;
}
