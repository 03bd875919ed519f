/* fil-recorder.c: how frames become a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-info-copy.h"
#include "fil-clip.h"
#include "fil-recorder-private.h"
#include "fil-utc-offset.h"

/* A source that waits loses nothing however small the queue is, and a small
 * one stays in the processor's cache. */
#define WAITING_QUEUE_MIB 64

#define MIB (1u << 20)

G_DEFINE_QUARK (fil-recorder-error-quark, fil_recorder_error)

static void
set_path_error (GError    **error,
                int         code,
                const char *path,
                const char *why)
{
  g_set_error (error, FIL_CLIP_ERROR, code, "%s: %s", path, why);
}

/* Said before the first frame comes; the writer asks again when it creates
 * the file. */
static gboolean
check_path (const FilRecorderOptions *options,
            GError                  **error)
{
  g_autofree char *folder = g_path_get_dirname (options->path);
  struct stat info;

  if (stat (folder, &info) != 0)
    {
      set_path_error (error, FIL_CLIP_ERROR_OPEN, folder, g_strerror (errno));
      return FALSE;
    }
  if (!S_ISDIR (info.st_mode))
    {
      set_path_error (error, FIL_CLIP_ERROR_OPEN, folder, _("is no folder"));
      return FALSE;
    }
  if (access (folder, W_OK | X_OK) != 0)
    {
      set_path_error (error, FIL_CLIP_ERROR_OPEN, folder, g_strerror (errno));
      return FALSE;
    }

  if (lstat (options->path, &info) != 0)
    return TRUE;
  if (S_ISDIR (info.st_mode))
    {
      set_path_error (error, FIL_CLIP_ERROR_OPEN, options->path, _("is a folder"));
      return FALSE;
    }
  if (!options->replace)
    {
      set_path_error (error, FIL_CLIP_ERROR_EXISTS, options->path,
                      _("is there already, and is not overwritten"));
      return FALSE;
    }

  return TRUE;
}

static gboolean
count_blocks (const FilRecorderOptions *options,
              gsize                     block_bytes,
              guint                    *n_blocks,
              GError                  **error)
{
  guint64 memory_mib = (guint64) sysconf (_SC_PHYS_PAGES) *
                       (guint64) sysconf (_SC_PAGESIZE) / MIB;
  guint64 mib = options->queue_mib;

  if (mib == 0)
    mib = MIN (FIL_RECORDER_QUEUE_MIB, memory_mib / 4);
  if (mib > memory_mib / 2)
    {
      g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_MEMORY,
                   _("a queue of %" PRIu64 " MiB is more than half of this "
                     "computer’s memory of %" PRIu64 " MiB"), mib, memory_mib);
      return FALSE;
    }
  if (options->wait)
    mib = MIN (mib, WAITING_QUEUE_MIB);

  *n_blocks = (guint) CLAMP (mib * MIB / block_bytes, 2, G_MAXINT);

  return TRUE;
}

/**
 * fil_recorder_new:
 * @options: what to record and where; its strings are copied
 * @info: for the header; copied. Width, height and fourcc as the source
 *   delivers; the pattern is worked out with the first frame, and so is what is
 *   missing of depth and stamp. A rig must be complete.
 *
 * Allocates the queue and starts the threads. The file is created when the
 * first frame comes.
 *
 * Returns: (transfer full): a recorder, or %NULL with an error
 */
FilRecorder *
fil_recorder_new (const FilRecorderOptions *options,
                  const FilClipInfo        *info,
                  GError                  **error)
{
  g_autoptr (FilBlockRing) ring = NULL;
  const FilPixelFormat *format;
  gsize block_bytes;
  guint n_blocks;
  FilRecorder *r;
  int width, height;

  g_return_val_if_fail (options != NULL && options->path != NULL, NULL);
  g_return_val_if_fail (info != NULL && info->width > 0 && info->height > 0, NULL);

  if (info->rig != NULL && !fil_rig_is_complete (info->rig, error))
    return NULL;
  if (options->cut.width != 0 &&
      !fil_rect_is_inside (&options->cut, info->width, info->height))
    {
      g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT,
                   _("the region %d,%d,%d,%d lies beyond the picture of %d × %d"),
                   options->cut.x, options->cut.y, options->cut.width, options->cut.height,
                   info->width, info->height);
      return NULL;
    }
  if (!check_path (options, error))
    return NULL;

  width = options->cut.width != 0 ? options->cut.width : info->width;
  height = options->cut.width != 0 ? options->cut.height : info->height;
  /* The first frame of an unknown format tells whether one byte is enough. */
  format = info->fourcc != NULL ? fil_pixel_format_from_name (info->fourcc) : NULL;
  block_bytes = (gsize) width * (gsize) height *
                (format != NULL ? fil_pixel_format_stored_bytes (format) : 2);
  if (!count_blocks (options, block_bytes, &n_blocks, error))
    return NULL;
  ring = fil_block_ring_new (block_bytes, n_blocks, error);
  if (ring == NULL)
    return NULL;
  if (options->wait)
    fil_block_ring_touch (ring);

  r = g_new0 (FilRecorder, 1);
  r->options = *options;
  r->options.path = g_strdup (options->path);
  r->info = fil_clip_info_copy (info);
  if (options->cut.width != 0)
    fil_clip_info_cut (r->info, &options->cut);
  r->source_width = info->width;
  r->source_height = info->height;
  r->ring = g_steal_pointer (&ring);
  r->block_bytes = block_bytes;
  pthread_mutex_init (&r->lock, NULL);
  r->measurer = g_thread_new ("clip-measure", fil_recorder_measure, r);
  r->writing = g_thread_new ("clip-write", fil_recorder_write, r);

  return r;
}

static const char *
stamp_words (FilStamp stamp)
{
  switch (stamp)
    {
    case FIL_STAMP_EXPOSURE_START:
      return "start of the exposure";
    case FIL_STAMP_FRAME_START:
      return "start of the frame, by the driver";
    case FIL_STAMP_FRAME_END:
    default:
      return "end of the frame; exposure unknown";
    }
}

/* Of the stored pixels: cut at the left and at the first row in memory, then
 * put bottom row first. */
static FilPattern
stored_pattern (const FilRecorder *r,
                const FilFrame    *frame)
{
  const FilRect *cut = &r->options.cut;
  int x = cut->width != 0 ? cut->x : 0;
  int top = cut->width != 0 ? cut->y : 0;
  int height = r->info->height;

  if (frame->bottom_up)
    return fil_pattern_shifted (frame->format->pattern, x, frame->height - top - height);

  return fil_pattern_flipped (fil_pattern_shifted (frame->format->pattern, x, top), height);
}

/* Before the first commit, which shows all of this to the other threads. */
static gboolean
take_first (FilRecorder    *r,
            const FilFrame *frame)
{
  FilClipInfo *info = r->info;
  gsize block_bytes = (gsize) info->width * (gsize) info->height *
                      fil_pixel_format_stored_bytes (frame->format);

  if (block_bytes > r->block_bytes)
    return FALSE;
  if (block_bytes < r->block_bytes)
    fil_block_ring_shrink (r->ring, block_bytes);
  r->block_bytes = block_bytes;

  r->format = frame->format;
  r->clock = frame->clock;
  r->first_time_ns = frame->time_ns;
  r->utc_offset_ns = fil_utc_offset_ns ();
  r->utc_begin_ns = frame->time_ns +
                    (frame->clock == FIL_CLOCK_MONOTONIC ? r->utc_offset_ns : 0);
  r->last_sequence = frame->sequence - 1;
  info->pattern = stored_pattern (r, frame);
  info->stored_bytes = (int) fil_pixel_format_stored_bytes (frame->format);
  r->stored = fil_pixel_format_stored (frame->format->bits, info->pattern);
  if (info->stamp_comment == NULL)
    info->stamp_comment = g_strdup (stamp_words (frame->stamp));
  if (isnan (info->exposure_ms))
    info->exposure_ms = frame->exposure_ms;
  if (isnan (info->gain))
    info->gain = frame->gain;
  if (info->depth.bits == 0)
    info->depth = (FilDepth) { .bits = frame->format->bits,
                               .full = (1u << frame->format->bits) - 1 };
  pthread_mutex_lock (&r->lock);
  r->depth = info->depth;
  pthread_mutex_unlock (&r->lock);

  return TRUE;
}

/* A driver that changes its mind in mid-clip can't be stored in one cube. */
static gboolean
is_alike (FilRecorder    *r,
          const FilFrame *frame)
{
  if (frame->width != r->source_width || frame->height != r->source_height ||
      !fil_frame_check (frame, NULL))
    return FALSE;

  return r->format != NULL ? frame->format == r->format : take_first (r, frame);
}

static void
count_gap (FilRecorder    *r,
           const FilFrame *frame,
           guint64        *gap)
{
  *gap = 0;
  /* A count that goes back or leaps has been set anew: nothing is known. */
  if (frame->sequence > r->last_sequence && frame->sequence - r->last_sequence < G_MAXINT32)
    *gap = frame->sequence - r->last_sequence - 1;
  r->last_sequence = frame->sequence;
  if (*gap > 0)
    r->pending_marks |= FIL_CLIP_MARK_GAP;
}

static void
fill_block (FilRecorder    *r,
            const FilFrame *frame,
            guint8         *block)
{
  const FilRect *cut = r->options.cut.width != 0 ? &r->options.cut : NULL;
  gint32 marks = r->pending_marks;
  FilClipRow row;

  if (frame->flags & FIL_FRAME_DAMAGED)
    marks |= FIL_CLIP_MARK_DAMAGED;
  if (!fil_frame_pack_fits (frame, cut, block, NULL))
    {
      /* A torn compressed picture; its place in time is kept. */
      memset (block, 0, r->block_bytes);
      marks |= FIL_CLIP_MARK_DAMAGED;
    }

  row = (FilClipRow) {
    .time_s = (double) (frame->time_ns - r->first_time_ns) / 1e9,
    .sequence = (gint64) frame->sequence,
    .mean = NAN,
    .full_fraction = NAN,
    .sharpness = NAN,
    .exposure_s = frame->exposure_ms / 1000.0,
    .gain = frame->gain,
    .marks = marks,
  };
  fil_block_ring_commit (r->ring, &row);
  r->pending_marks = 0;

  pthread_mutex_lock (&r->lock);
  r->status.frames++;
  r->status.damaged += (marks & FIL_CLIP_MARK_DAMAGED) != 0;
  pthread_mutex_unlock (&r->lock);
}

/* Whether the time that was asked for is over; notes the first arrival. */
static gboolean
is_time_over (FilRecorder *r)
{
  gint64 now_us = g_get_monotonic_time ();
  gboolean over;

  pthread_mutex_lock (&r->lock);
  if (r->first_arrival_us == 0)
    r->first_arrival_us = now_us;
  over = r->options.max_seconds > 0.0 &&
         (double) (now_us - r->first_arrival_us) >= r->options.max_seconds * G_USEC_PER_SEC;
  pthread_mutex_unlock (&r->lock);

  return over;
}

static gboolean
is_full_count (FilRecorder *r)
{
  gboolean full;

  pthread_mutex_lock (&r->lock);
  full = r->options.max_frames > 0 && r->status.frames >= r->options.max_frames;
  pthread_mutex_unlock (&r->lock);

  return full;
}

/**
 * fil_recorder_offer:
 * @frame: borrowed; its pixels are copied before this returns
 *
 * Capture thread. Holds a source that waits until there is room; otherwise a
 * frame that finds the queue full is counted as lost and the next row is
 * marked.
 *
 * Returns: whether it takes further frames
 */
gboolean
fil_recorder_offer (FilRecorder    *recorder,
                    const FilFrame *frame)
{
  FilRecorder *r = recorder;
  guint64 gap = 0;
  guint8 *block;

  g_return_val_if_fail (r != NULL && frame != NULL, FALSE);

  if (fil_block_ring_is_ended (r->ring))
    return FALSE;
  if (!is_alike (r, frame))
    {
      fil_recorder_stop (r, _("the source changed its picture in mid-clip"));
      return FALSE;
    }
  if (is_time_over (r))
    {
      fil_recorder_stop (r, NULL);
      return FALSE;
    }

  count_gap (r, frame, &gap);
  block = fil_block_ring_reserve (r->ring, r->options.wait);
  if (block != NULL)
    fill_block (r, frame, block);
  else if (fil_block_ring_is_ended (r->ring))
    return FALSE;
  else
    r->pending_marks |= FIL_CLIP_MARK_LOST;

  pthread_mutex_lock (&r->lock);
  r->status.source_gaps += gap;
  r->status.lost += block == NULL;
  pthread_mutex_unlock (&r->lock);

  if (is_full_count (r))
    fil_recorder_stop (r, NULL);

  return !fil_block_ring_is_ended (r->ring);
}

/**
 * fil_recorder_stop:
 * @reason: (nullable): what cut the clip short; %NULL: it is whole as it is
 *
 * Any thread: no more frames are taken, and an offer that waits returns. What
 * has come is written. The first reason counts.
 */
void
fil_recorder_stop (FilRecorder *recorder,
                   const char  *reason)
{
  g_return_if_fail (recorder != NULL);

  /* A clip that has all it was to have can't be cut short any more. */
  pthread_mutex_lock (&recorder->lock);
  if (recorder->reason == NULL && !fil_block_ring_is_ended (recorder->ring))
    recorder->reason = g_strdup (reason);
  pthread_mutex_unlock (&recorder->lock);

  fil_block_ring_end (recorder->ring);
}

/* Any thread. */
void
fil_recorder_get_status (FilRecorder       *recorder,
                         FilRecorderStatus *status)
{
  double elapsed_s = 0.0, limit_s;

  g_return_if_fail (recorder != NULL && status != NULL);

  pthread_mutex_lock (&recorder->lock);
  *status = recorder->status;
  if (recorder->first_arrival_us != 0)
    elapsed_s = (double) (g_get_monotonic_time () - recorder->first_arrival_us) /
                G_USEC_PER_SEC;
  if (!recorder->done)
    status->seconds = elapsed_s;
  pthread_mutex_unlock (&recorder->lock);

  limit_s = recorder->options.max_seconds;
  status->queue_fill = fil_block_ring_get_fill (recorder->ring);
  status->finished = fil_block_ring_is_ended (recorder->ring) ||
                     (limit_s > 0.0 && elapsed_s >= limit_s);
}

static void
note_end (FilRecorder *r,
          guint64      kept)
{
  pthread_mutex_lock (&r->lock);
  r->status.frames = kept;
  r->status.written = kept;
  r->status.bytes = kept * r->block_bytes;
  if (r->first_arrival_us != 0)
    r->status.seconds = (double) (g_get_monotonic_time () - r->first_arrival_us) /
                        G_USEC_PER_SEC;
  r->done = TRUE;
  pthread_mutex_unlock (&r->lock);
}

/* Tables, checksums, CLIPDONE. The clip is closed even when the disk is full:
 * the writer keeps room for that. */
static gboolean
close_clip (FilRecorder *r,
            guint64     *kept,
            GError     **error)
{
  g_autoptr (GError) failure = NULL;

  fil_clip_writer_set_depth (r->writer, &r->depth);
  fil_clip_writer_set_losses (r->writer, r->status.lost, r->status.source_gaps);
  if (r->clock == FIL_CLOCK_MONOTONIC)
    fil_clip_writer_set_clock_drift (r->writer, (double) (fil_utc_offset_ns () -
                                                          r->utc_offset_ns) / 1e9);

  if (fil_clip_writer_close_counted (g_steal_pointer (&r->writer), kept, &failure))
    return TRUE;

  g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT_SHORT,
               _("%" PRIu64 " frames kept: the clip could not be closed (%s); "
                 "“filigree-cli mend” completes it"), *kept, failure->message);

  return FALSE;
}

static gboolean
fail_without_frame (FilRecorder *r,
                    GError     **error)
{
  const char *why = r->failure != NULL ? r->failure->message
                    : r->reason != NULL ? r->reason : _("nothing came from the source");

  if (r->writer != NULL)
    fil_clip_writer_discard (g_steal_pointer (&r->writer));
  g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_NO_FRAME,
               _("no frame was recorded, and no clip is left: %s"), why);

  return FALSE;
}

/**
 * fil_recorder_finish:
 * @status: (out) (nullable): the final figures
 * @error: return location
 *
 * Writes what is in the queue, closes the clip and ends the threads; takes as
 * long as the disk does. Once, from any thread, when nobody is in offer().
 *
 * Returns: whether the clip is all that was asked for. If not, @error says
 *   how many frames were kept and why no more.
 */
gboolean
fil_recorder_finish (FilRecorder       *recorder,
                     FilRecorderStatus *status,
                     GError           **error)
{
  FilRecorder *r = recorder;
  const char *why;
  guint64 kept = 0;
  gboolean whole = FALSE;

  g_return_val_if_fail (r != NULL && !r->done, FALSE);

  fil_block_ring_end (r->ring);
  g_thread_join (g_steal_pointer (&r->measurer));
  g_thread_join (g_steal_pointer (&r->writing));

  why = r->failure != NULL ? r->failure->message : r->reason;
  if (r->writer == NULL || fil_clip_writer_get_frames (r->writer) == 0)
    whole = fail_without_frame (r, error);
  else if (close_clip (r, &kept, error))
    {
      if (why == NULL && kept < r->status.written)
        why = _("the disk failed with the last ones");
      whole = why == NULL;
      if (!whole)
        g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT_SHORT,
                     _("%" PRIu64 " frames kept: %s"), kept, why);
    }

  note_end (r, kept);
  if (status != NULL)
    fil_recorder_get_status (r, status);

  return whole;
}

/* A clip that was not finished is closed whole first. */
void
fil_recorder_free (FilRecorder *recorder)
{
  if (recorder == NULL)
    return;

  if (!recorder->done)
    fil_recorder_finish (recorder, NULL, NULL);
  fil_block_ring_free (recorder->ring);
  fil_clip_info_free (recorder->info);
  g_clear_error (&recorder->failure);
  pthread_mutex_destroy (&recorder->lock);
  g_free (recorder->reason);
  g_free ((char *) recorder->options.path);
  g_free (recorder);
}
