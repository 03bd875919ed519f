/* fil-clip-finish.c: from a growing clip to a whole one
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The one way in which a clip is completed, by its own writer or after a
 * crash: cut behind the last whole frame, tables, checksums, the final header
 * over the first one, the journal removed last. Until then everything can be
 * done again from the start. */

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-cards.h"
#include "fil-clip-finish.h"
#include "fil-clip-header.h"
#include "fil-clip-io.h"
#include "fil-clip-tables.h"
#include "fil-datasum.h"
#include "fil-fits-hdu.h"

#define ROWS_AT_ONCE 512
#define PIECE_BYTES (1 << 20)

static guint64
whole_blocks (guint64 bytes)
{
  return (bytes + FIL_FITS_BLOCK - 1) / FIL_FITS_BLOCK * FIL_FITS_BLOCK;
}

static guint64
data_start (const FilClipFinish *job)
{
  return g_bytes_get_size (job->journal->parts[FIL_JOURNAL_HEADER]);
}

static guint64
data_bytes (const FilClipFinish *job)
{
  return job->n_frames * job->frame_bytes;
}

/* Passes all rows, a few at a time: memory doesn't grow with the clip. */
typedef gboolean (*RowsFunc) (const FilJournalRecord *records,
                              guint64                 first,
                              guint                   n,
                              gpointer                user_data,
                              GError                **error);

static gboolean
for_all_rows (FilClipFinish *job,
              RowsFunc       func,
              gpointer       user_data,
              GError       **error)
{
  g_autofree FilJournalRecord *records = g_new (FilJournalRecord, ROWS_AT_ONCE);

  for (guint64 i = 0; i < job->n_frames;)
    {
      guint n = (guint) MIN (job->n_frames - i, ROWS_AT_ONCE);

      if (!fil_journal_read (job->journal, i, records, n, error) ||
          !func (records, i, n, user_data, error))
        return FALSE;
      i += n;
    }

  return TRUE;
}

typedef struct
{
  FilClipSummary *summary;
  double          before_s;
} Times;

/* Shortest and longest step, and whether no frame is off an even grid by more
 * than half a step. */
static gboolean
look_at_times (const FilJournalRecord *records,
               guint64                 first,
               guint                   n,
               gpointer                user_data,
               GError                **error)
{
  Times *times = user_data;
  FilClipSummary *s = times->summary;
  const double step_s = s->last_s / (double) (s->n_frames - 1);

  for (guint i = 0; i < n; i++)
    {
      const double time_s = records[i].row.time_s;

      if (first + i > 0)
        {
          s->cadence_min_s = fmin (s->cadence_min_s, time_s - times->before_s);
          s->cadence_max_s = fmax (s->cadence_max_s, time_s - times->before_s);
        }
      if (!(fabs (time_s - step_s * (double) (first + i)) <= 0.5 * step_s))
        s->evenly_spaced = FALSE;
      times->before_s = time_s;
    }

  return TRUE;
}

static gboolean
summarize (FilClipFinish  *job,
           FilClipSummary *summary,
           GError        **error)
{
  FilJournalRecord last;
  Times times = { summary, NAN };

  if (!fil_journal_read (job->journal, job->n_frames - 1, &last, 1, error))
    return FALSE;

  *summary = (FilClipSummary) {
    .n_frames = job->n_frames,
    .last_s = last.row.time_s,
    .last_exposure_s = last.row.exposure_s,
    .cadence_min_s = NAN,
    .cadence_max_s = NAN,
    .evenly_spaced = job->n_frames > 1 && last.row.time_s > 0.0,
    .depth = job->have_books ? job->depth : last.depth,
    .lost = job->have_books ? job->lost : last.lost,
    .source_gaps = job->have_books ? job->source_gaps : last.source_gaps,
    .clock_drift_s = job->clock_drift_s,
  };

  return for_all_rows (job, look_at_times, &times, error);
}

typedef struct
{
  int        fd;
  guint64    offset;
  FilDatasum datasum;
} RowWriter;

static gboolean
write_rows (const FilJournalRecord *records,
            guint64                 first,
            guint                   n,
            gpointer                user_data,
            GError                **error)
{
  RowWriter *writer = user_data;
  guint8 bytes[ROWS_AT_ONCE * FIL_CLIP_ROW_BYTES];

  for (guint i = 0; i < n; i++)
    fil_clip_row_encode (&records[i].row, bytes + i * FIL_CLIP_ROW_BYTES);
  fil_datasum_add (&writer->datasum, bytes, n * FIL_CLIP_ROW_BYTES);

  return fil_clip_write_at (writer->fd, writer->offset + first * FIL_CLIP_ROW_BYTES,
                            bytes, n * FIL_CLIP_ROW_BYTES, error);
}

/* The FRAMES unit at @at. Returns: its length, 0 on failure */
static guint64
write_frames_table (FilClipFinish *job,
                    guint64        at,
                    GError       **error)
{
  GBytes *template = job->journal->parts[FIL_JOURNAL_FRAMES_HEADER];
  const guint64 header_bytes = g_bytes_get_size (template);
  const guint64 rows_bytes = job->n_frames * FIL_CLIP_ROW_BYTES;
  RowWriter rows = { job->fd, at + header_bytes, { 0 } };
  g_autoptr (FilCards) cards = NULL, count = fil_cards_new ();
  g_autoptr (GString) header = NULL;

  if (!for_all_rows (job, write_rows, &rows, error) ||
      !fil_clip_write_zeros (job->fd, rows.offset + rows_bytes,
                             whole_blocks (rows_bytes) - rows_bytes, error))
    return 0;

  cards = fil_cards_new_from (g_bytes_get_data (template, NULL), header_bytes);
  fil_cards_add_int (count, "NAXIS2", (gint64) job->n_frames, "rows");
  fil_cards_put (cards, count, NULL);
  fil_clip_set_sums (cards, fil_datasum_get (&rows.datasum));
  header = fil_cards_finish (cards);
  if (header->len != header_bytes ||
      !fil_clip_write_at (job->fd, at, header->str, header->len, error))
    return 0;

  return header_bytes + whole_blocks (rows_bytes);
}

/* Cuts behind the last whole frame, fills its block, writes the tables. */
static gboolean
write_tables (FilClipFinish *job,
              GError       **error)
{
  GBytes *light_path = job->journal->parts[FIL_JOURNAL_LIGHT_PATH];
  const guint64 end = data_start (job) + data_bytes (job);
  const guint64 tables = data_start (job) + whole_blocks (data_bytes (job));
  guint64 frames_table;

  if (ftruncate (job->fd, (off_t) end) != 0)
    return fil_clip_set_errno (error, errno, _("writing failed"));
  if (!fil_clip_write_zeros (job->fd, end, tables - end, error))
    return FALSE;

  frames_table = write_frames_table (job, tables, error);
  if (frames_table == 0)
    return FALSE;

  return fil_clip_write_at (job->fd, tables + frames_table,
                            g_bytes_get_data (light_path, NULL),
                            g_bytes_get_size (light_path), error);
}

/* Without room for the tables, the last frames make some. */
static gboolean
write_tables_at_any_cost (FilClipFinish *job,
                          GError       **error)
{
  for (;;)
    {
      g_autoptr (GError) failure = NULL;
      const guint64 needed = 8 * FIL_FITS_BLOCK + job->n_frames * FIL_CLIP_ROW_BYTES +
                             g_bytes_get_size (job->journal->parts[FIL_JOURNAL_LIGHT_PATH]);
      const guint64 dropped = 1 + needed / job->frame_bytes;

      if (write_tables (job, &failure))
        return TRUE;
      if (!g_error_matches (failure, FIL_CLIP_ERROR, FIL_CLIP_ERROR_SPACE) ||
          job->n_frames <= dropped)
        {
          g_propagate_error (error, g_steal_pointer (&failure));
          return FALSE;
        }
      job->n_frames -= dropped;
      job->have_sum = FALSE;
    }
}

static gboolean
sum_data (FilClipFinish *job,
          GError       **error)
{
  g_autofree guint8 *piece = NULL;
  const guint64 end = data_start (job) + data_bytes (job);
  FilDatasum datasum = { 0 };

  if (job->have_sum)
    return TRUE;

  piece = g_malloc (PIECE_BYTES);
  for (guint64 at = data_start (job); at < end;)
    {
      gsize step = (gsize) MIN (end - at, PIECE_BYTES);

      if (!fil_fits_read_at (job->fd, at, piece, step, error))
        return FALSE;
      fil_datasum_add (&datasum, piece, step);
      at += step;
    }
  job->data_sum = fil_datasum_get (&datasum);
  job->have_sum = TRUE;

  return TRUE;
}

static gboolean
write_header (FilClipFinish *job,
              GError       **error)
{
  g_autoptr (GBytes) header = NULL;
  FilClipSummary summary;

  if (!summarize (job, &summary, error))
    return FALSE;

  header = fil_clip_header_finish (job->journal->parts[FIL_JOURNAL_HEADER], &summary,
                                   job->data_sum);
  if (g_bytes_get_size (header) != data_start (job))
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_WRITE,
                           _("the header outgrew its place"));
      return FALSE;
    }

  return fil_clip_write_at (job->fd, 0, g_bytes_get_data (header, NULL), data_start (job), error);
}

static gboolean
put_in_place (FilClipFinish *job,
              GError       **error)
{
  g_autofree char *journal_path = g_strconcat (job->path, FIL_JOURNAL_SUFFIX, NULL);

  if (g_strcmp0 (job->path, job->final_path) != 0 && rename (job->path, job->final_path) != 0)
    return fil_clip_set_errno (error, errno, _("the finished clip can't take its name"));
  if (unlink (journal_path) != 0 && errno != ENOENT)
    return fil_clip_set_errno (error, errno, _("the journal can't be removed"));

  return fil_clip_sync_folder (job->final_path, error);
}

/**
 * fil_clip_finish:
 * @job: what there is; @n_frames at least 1
 * @error: return location
 *
 * Completes a clip. Whatever fails, frames and journal stay as they were, and
 * it can be tried again.
 */
gboolean
fil_clip_finish (FilClipFinish *job,
                 GError       **error)
{
  g_return_val_if_fail (job != NULL && job->n_frames > 0, FALSE);
  g_return_val_if_fail (job->n_frames <= job->journal->n_records, FALSE);

  return write_tables_at_any_cost (job, error) &&
         sum_data (job, error) &&
         fil_clip_sync (job->fd, error) &&
         write_header (job, error) &&
         fil_clip_sync (job->fd, error) &&
         put_in_place (job, error);
}
