/* fil-clip-writer.c: a growing clip, readable at any moment
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-finish.h"
#include "fil-clip-header.h"
#include "fil-clip-io.h"
#include "fil-clip-room.h"
#include "fil-clip-sync.h"
#include "fil-clip-tables.h"
#include "fil-clip-writer.h"
#include "fil-datasum.h"
#include "fil-journal.h"

/* The checksum reads a piece into the cache, writing takes it from there.
 * Pieces begin at multiples of their size in the file: the system then keeps
 * each in one stretch of memory, which it handles in less time. */
#define PIECE_BYTES (256 << 10)
#define WRITE_BACK_BYTES (8 << 20)

struct _FilClipWriter
{
  char        *path;         /* as it grows */
  char        *final_path;
  int          fd;
  int          journal_fd;
  FilClipSync *sync;
  FilClipRoom  room;

  guint64      data_start;
  guint64      frame_bytes;
  guint64      n_frames;
  guint64      written_back; /* bytes whose way to the disk has begun */
  FilDatasum   datasum;      /* of the frames; wrong once a write has failed */
  gboolean     failed;

  FilDepth     depth;
  guint64      lost;
  guint64      source_gaps;
  double       clock_drift_s;
};

static int
create_file (const char *path,
             GError    **error)
{
  int fd = open (path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  int code = errno;

  if (fd >= 0)
    return fd;

  if (code == EEXIST)
    g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_EXISTS,
                 _("%s is there already; nothing was overwritten"), path);
  else
    g_set_error (error, FIL_CLIP_ERROR, code == ENOSPC ? FIL_CLIP_ERROR_SPACE
                                                       : FIL_CLIP_ERROR_OPEN,
                 _("%s can't be created: %s"), path, g_strerror (code));

  return -1;
}

static gboolean
create_files (FilClipWriter *self,
              GError       **error)
{
  g_autofree char *journal_path = g_strconcat (self->path, FIL_JOURNAL_SUFFIX, NULL);

  self->fd = create_file (self->path, error);
  if (self->fd < 0)
    return FALSE;
  self->journal_fd = create_file (journal_path, error);
  if (self->journal_fd < 0)
    {
      unlink (self->path);
      return FALSE;
    }
  /* Nobody mends what is still growing; file systems without locks do without. */
  (void) !flock (self->fd, LOCK_EX | LOCK_NB);

  return TRUE;
}

/* Writes the first header and the journal's head. */
static gboolean
write_heads (FilClipWriter     *self,
             const FilClipInfo *info,
             gint64             utc_begin_ns,
             GError           **error)
{
  g_autofree char *file_name = g_path_get_basename (self->final_path);
  g_autoptr (GBytes) header = fil_clip_header_new (info, utc_begin_ns, file_name);
  g_autoptr (GBytes) frames_header = fil_clip_frames_header (info, utc_begin_ns);
  g_autoptr (GBytes) light_path = fil_clip_light_path (info->rig);
  GBytes *parts[FIL_JOURNAL_N_PARTS] = { header, frames_header, light_path };
  g_autoptr (GBytes) head = fil_journal_head (parts);
  const gsize journal_start = g_bytes_get_size (head);

  self->data_start = g_bytes_get_size (header);
  self->written_back = self->data_start;
  fil_clip_room_init (&self->room, self->fd, self->journal_fd,
                      g_bytes_get_size (frames_header) + g_bytes_get_size (light_path));
  if (!fil_clip_write_at (self->fd, 0, g_bytes_get_data (header, NULL),
                          self->data_start, error) ||
      !fil_clip_write_at (self->journal_fd, 0, g_bytes_get_data (head, NULL),
                          journal_start, error) ||
      !fil_clip_sync (self->fd, error) ||
      !fil_clip_sync (self->journal_fd, error) ||
      !fil_clip_sync_folder (self->path, error))
    return FALSE;

  self->sync = fil_clip_sync_new (self->fd, self->journal_fd, self->data_start,
                                  self->frame_bytes, journal_start);

  return TRUE;
}

static void
writer_free (FilClipWriter *self)
{
  if (self->sync != NULL)
    fil_clip_sync_stop (self->sync);
  if (self->fd >= 0)
    close (self->fd);
  if (self->journal_fd >= 0)
    close (self->journal_fd);
  g_free (self->path);
  g_free (self->final_path);
  g_free (self);
}

/**
 * fil_clip_writer_new:
 * @path: of the clip; must not exist unless @replace
 * @info: what the header says; borrowed for this call
 * @utc_begin_ns: start of the first frame's exposure
 * @replace: the clip grows as "PATH.new" and takes the place of @path when it
 *   is closed
 * @error: return location
 *
 * Creates a clip of no frames yet, and its journal. From now on the file is a
 * valid one at any moment. One writer belongs to one thread.
 *
 * Returns: (transfer full): a writer, or %NULL with nothing left behind
 */
FilClipWriter *
fil_clip_writer_new (const char        *path,
                     const FilClipInfo *info,
                     gint64             utc_begin_ns,
                     gboolean           replace,
                     GError           **error)
{
  FilClipWriter *self;

  g_return_val_if_fail (path != NULL && info != NULL, NULL);
  g_return_val_if_fail (info->width > 0 && info->width <= 100000, NULL);
  g_return_val_if_fail (info->height > 0 && info->height <= 100000, NULL);

  self = g_new0 (FilClipWriter, 1);
  self->fd = self->journal_fd = -1;
  self->final_path = g_strdup (path);
  self->path = replace ? g_strconcat (path, FIL_CLIP_NEW_SUFFIX, NULL) : g_strdup (path);
  self->frame_bytes = (guint64) info->width * (guint64) info->height *
                      fil_clip_info_stored_bytes (info);
  self->depth = info->depth;
  self->clock_drift_s = NAN;

  if (!create_files (self, error))
    {
      writer_free (self);
      return NULL;
    }
  if (!write_heads (self, info, utc_begin_ns, error))
    {
      fil_clip_writer_discard (self);
      return NULL;
    }

  return self;
}

static guint64
data_end (const FilClipWriter *self,
          guint64              n_frames)
{
  return self->data_start + n_frames * self->frame_bytes;
}

/* Starts writing back what is complete, so that a flush finds little to do.
 * The piece that is still being filled is left alone: writing to it would have
 * to wait for the disk. */
static void
begin_write_back (FilClipWriter *self,
                  guint64        end)
{
  end -= end % PIECE_BYTES;
  if (end < self->written_back + WRITE_BACK_BYTES)
    return;

  sync_file_range (self->fd, (off_t) self->written_back, (off_t) (end - self->written_back),
                   SYNC_FILE_RANGE_WRITE);
  self->written_back = end;
}

static gboolean
write_frames (FilClipWriter *self,
              const guint8  *stored,
              guint64        length,
              guint64       *written,
              GError       **error)
{
  const guint64 start = data_end (self, self->n_frames);

  for (*written = 0; *written < length;)
    {
      guint64 to_boundary = PIECE_BYTES - (start + *written) % PIECE_BYTES;
      gsize step = (gsize) MIN (length - *written, to_boundary);

      fil_datasum_add (&self->datasum, stored + *written, step);
      if (!fil_clip_write_at (self->fd, start + *written, stored + *written, step, error))
        return FALSE;
      *written += step;
      begin_write_back (self, start + *written);
    }

  return TRUE;
}

static GByteArray *
encode_rows (FilClipWriter    *self,
             const FilClipRow *rows,
             guint             n)
{
  GByteArray *records = g_byte_array_sized_new (n * FIL_JOURNAL_RECORD_BYTES);

  for (guint i = 0; i < n; i++)
    {
      FilJournalRecord record = { rows[i], self->lost, self->source_gaps, self->depth };
      guint8 bytes[FIL_JOURNAL_RECORD_BYTES];

      fil_journal_encode (&record, self->n_frames + i, bytes);
      g_byte_array_append (records, bytes, sizeof bytes);
    }

  return records;
}

/* As many of the frames as there is room for, tables included. */
static guint
frames_with_room (FilClipWriter *self,
                  guint          n_frames,
                  GError       **error)
{
  while (n_frames > 0)
    {
      g_autoptr (GError) failure = NULL;

      if (fil_clip_room_reserve (&self->room, data_end (self, self->n_frames + n_frames),
                                 self->n_frames + n_frames, &failure))
        return n_frames;
      if (--n_frames == 0)
        g_propagate_error (error, g_steal_pointer (&failure));
    }

  return 0;
}

/**
 * fil_clip_writer_append:
 * @stored: @n_frames frames as fil_frame_pack_fits() lays them out, without
 *   gaps: bottom row first, bytes or big-endian 16-bit less 32768
 * @rows: (array length=n_frames): a row for each
 * @n_frames: 1 or more
 * @error: return location
 *
 * Writes frames behind the last one. They count once they are whole on the
 * disk, half a second later. When this fails, frames that were written
 * completely are kept (fil_clip_writer_get_frames()); no more can be
 * appended, and fil_clip_writer_close() still closes the clip whole.
 */
gboolean
fil_clip_writer_append (FilClipWriter    *writer,
                        const guint8     *stored,
                        const FilClipRow *rows,
                        guint             n_frames,
                        GError          **error)
{
  FilClipWriter *self = writer;
  g_autoptr (GByteArray) records = NULL;
  g_autoptr (GError) failure = NULL;
  guint64 written = 0;
  guint with_room, n_whole;

  g_return_val_if_fail (self != NULL && stored != NULL && rows != NULL, FALSE);
  g_return_val_if_fail (n_frames > 0 && !self->failed, FALSE);

  if (!fil_clip_sync_check (self->sync, error))
    {
      self->failed = TRUE;
      return FALSE;
    }

  with_room = frames_with_room (self, n_frames, &failure);
  records = encode_rows (self, rows, with_room);

  fil_clip_sync_lock (self->sync);
  if (with_room > 0 && write_frames (self, stored, with_room * self->frame_bytes, &written,
                                     &failure) && with_room < n_frames)
    fil_clip_set_errno (&failure, ENOSPC, _("writing failed"));
  n_whole = (guint) (written / self->frame_bytes);
  fil_clip_sync_unlock (self->sync, records->data, n_whole);
  self->n_frames += n_whole;

  if (failure == NULL)
    return TRUE;

  self->failed = TRUE;
  g_propagate_error (error, g_steal_pointer (&failure));

  return FALSE;
}

/**
 * fil_clip_writer_flush:
 *
 * Returns when all frames so far are on the disk and counted. A thread of the
 * writer's own does so twice a second in any case.
 */
gboolean
fil_clip_writer_flush (FilClipWriter *writer,
                       GError       **error)
{
  g_return_val_if_fail (writer != NULL, FALSE);

  return fil_clip_sync_flush (writer->sync, error);
}

/* Returns: whole frames that were written */
guint64
fil_clip_writer_get_frames (const FilClipWriter *writer)
{
  g_return_val_if_fail (writer != NULL, 0);

  return writer->n_frames;
}

/* The depth as the data have shown it by now; the last one counts. */
void
fil_clip_writer_set_depth (FilClipWriter  *writer,
                           const FilDepth *depth)
{
  g_return_if_fail (writer != NULL && depth != NULL);

  writer->depth = *depth;
}

/* Frames lost by now, by us and by the source. */
void
fil_clip_writer_set_losses (FilClipWriter *writer,
                            guint64        lost,
                            guint64        source_gaps)
{
  g_return_if_fail (writer != NULL);

  writer->lost = lost;
  writer->source_gaps = source_gaps;
}

/* @drift_s: seconds by which the clock of the frames has run away from UTC
 * since the first one, + fast; NaN: unknown */
void
fil_clip_writer_set_clock_drift (FilClipWriter *writer,
                                 double         drift_s)
{
  g_return_if_fail (writer != NULL);

  writer->clock_drift_s = drift_s;
}

static gboolean
finish (FilClipWriter *self,
        guint64        n_durable,
        GError       **error)
{
  g_autoptr (FilJournal) journal = fil_journal_open (self->path, error);
  FilClipFinish job = {
    .fd = self->fd, .path = self->path, .final_path = self->final_path, .journal = journal,
    .frame_bytes = self->frame_bytes,
    .have_sum = !self->failed && n_durable == self->n_frames,
    .data_sum = fil_datasum_get (&self->datasum), .clock_drift_s = self->clock_drift_s,
    .have_books = TRUE, .depth = self->depth, .lost = self->lost,
    .source_gaps = self->source_gaps,
  };
  gboolean done;

  if (journal == NULL)
    return FALSE;
  if (n_durable == 0 || journal->n_records < n_durable)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_WRITE,
                           _("no frame reached the disk"));
      return FALSE;
    }

  job.n_frames = n_durable;
  done = fil_clip_finish (&job, error);
  self->n_frames = job.n_frames;

  return done;
}

/**
 * fil_clip_writer_close_counted:
 * @writer: (transfer full): a writer; freed in any case
 * @n_frames: (out) (optional): frames in the closed clip; on a full disk there
 *   may be fewer than were written, where the tables needed their room
 * @error: return location
 *
 * Completes the clip: tables, checksums, the final header; the journal goes,
 * a replaced clip is renamed. A clip without a frame is removed, which is an
 * error. Where it can't be completed, clip and journal stay for mending.
 */
gboolean
fil_clip_writer_close_counted (FilClipWriter *writer,
                               guint64       *n_frames,
                               GError       **error)
{
  FilClipWriter *self = writer;
  gboolean done;

  g_return_val_if_fail (self != NULL, FALSE);

  if (n_frames != NULL)
    *n_frames = 0;
  if (self->n_frames == 0)
    {
      fil_clip_writer_discard (self);
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_WRITE,
                           _("no frame was recorded; the clip was removed"));
      return FALSE;
    }

  done = finish (self, fil_clip_sync_stop (g_steal_pointer (&self->sync)), error);
  if (n_frames != NULL)
    *n_frames = self->n_frames;
  writer_free (self);

  return done;
}

/* The same, for whom the number doesn't matter. */
gboolean
fil_clip_writer_close (FilClipWriter *writer,
                       GError       **error)
{
  return fil_clip_writer_close_counted (writer, NULL, error);
}

/* Removes clip and journal, frees @writer. */
void
fil_clip_writer_discard (FilClipWriter *writer)
{
  g_autofree char *journal_path = NULL;

  g_return_if_fail (writer != NULL);

  journal_path = g_strconcat (writer->path, FIL_JOURNAL_SUFFIX, NULL);
  unlink (writer->path);
  unlink (journal_path);
  writer_free (writer);
}
