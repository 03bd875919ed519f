/* fil-clip-sync.c: keeps a growing clip flushed, beside its writer
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The order is what makes a clip readable after any crash: frames are on the
 * disk before their rows are, and rows before the count in the header. */

#include <pthread.h>
#include <time.h>

#include "fil-clip-header.h"
#include "fil-clip-io.h"
#include "fil-clip-sync.h"
#include "fil-journal.h"

#define INTERVAL_NS 400000000   /* so that a flush is begun at least every half second */

struct _FilClipSync
{
  int             clip_fd;
  int             journal_fd;
  guint64         data_start;
  guint64         frame_bytes;
  guint64         journal_start;
  pthread_t       thread;

  pthread_mutex_t lock;       /* guards what follows, and the file behind the last frame */
  pthread_cond_t  wake;
  pthread_cond_t  flushed;
  GByteArray     *pending;    /* records of frames that were written, not yet flushed */
  guint64         n_frames;   /* written */
  guint64         n_durable;  /* flushed */
  guint           n_waiting;  /* calls of flush() */
  gboolean        stop;
  GError         *failure;    /* the first one; nothing is flushed after it */
};

/* A whole FITS file needs its last block filled. The writer overwrites the
 * filling with the next frame; the lock keeps the two apart. A disk too full
 * for it has room for the frames all the same. */
static void
fill_block (FilClipSync *self)
{
  guint64 bytes = self->n_frames * self->frame_bytes;
  gsize beyond = (gsize) (bytes % FIL_FITS_BLOCK);

  if (beyond != 0)
    fil_clip_write_zeros (self->clip_fd, self->data_start + bytes, FIL_FITS_BLOCK - beyond, NULL);
}

static gboolean
flush_to_disk (FilClipSync  *self,
               const guint8 *records,
               gsize         length,
               guint64       first,
               GError      **error)
{
  const guint64 n_frames = first + length / FIL_JOURNAL_RECORD_BYTES;
  g_autofree char *card = fil_clip_header_naxis3 (n_frames);

  return fil_clip_sync (self->clip_fd, error) &&
         fil_clip_write_at (self->journal_fd,
                            self->journal_start + first * FIL_JOURNAL_RECORD_BYTES,
                            records, length, error) &&
         fil_clip_sync (self->journal_fd, error) &&
         fil_clip_write_at (self->clip_fd, FIL_CLIP_NAXIS3_OFFSET, card, FIL_CARD_LENGTH, error);
}

/* Called and left with the lock held; without it while the disk works. */
static void
flush_locked (FilClipSync *self)
{
  g_autoptr (GByteArray) records = g_steal_pointer (&self->pending);
  guint64 n_frames = self->n_frames;
  GError *failure = NULL;

  self->pending = g_byte_array_new ();
  if (records->len == 0)
    return;

  fill_block (self);
  pthread_mutex_unlock (&self->lock);
  flush_to_disk (self, records->data, records->len, self->n_durable, &failure);
  pthread_mutex_lock (&self->lock);

  if (failure != NULL)
    self->failure = failure;
  else
    self->n_durable = n_frames;
}

static void
wait_for_work (FilClipSync *self)
{
  struct timespec until;

  clock_gettime (CLOCK_MONOTONIC, &until);
  until.tv_nsec += INTERVAL_NS;
  if (until.tv_nsec >= 1000000000)
    {
      until.tv_nsec -= 1000000000;
      until.tv_sec++;
    }
  while (!self->stop && self->n_waiting == 0 &&
         pthread_cond_timedwait (&self->wake, &self->lock, &until) == 0)
    ;
}

static void *
run (void *data)
{
  FilClipSync *self = data;
  gboolean last;

  pthread_mutex_lock (&self->lock);
  do
    {
      wait_for_work (self);
      last = self->stop;
      if (self->failure == NULL)
        flush_locked (self);
      self->n_waiting = 0;
      pthread_cond_broadcast (&self->flushed);
    }
  while (!last);
  pthread_mutex_unlock (&self->lock);

  return NULL;
}

/**
 * fil_clip_sync_new:
 * @data_start: byte at which the first frame begins
 * @journal_start: byte at which the first record begins
 *
 * Returns: (transfer full): a running thread's handle; the descriptors stay
 *   the caller's, and open until fil_clip_sync_stop()
 */
FilClipSync *
fil_clip_sync_new (int     clip_fd,
                   int     journal_fd,
                   guint64 data_start,
                   guint64 frame_bytes,
                   guint64 journal_start)
{
  FilClipSync *self = g_new0 (FilClipSync, 1);
  pthread_condattr_t monotonic;

  self->clip_fd = clip_fd;
  self->journal_fd = journal_fd;
  self->data_start = data_start;
  self->frame_bytes = frame_bytes;
  self->journal_start = journal_start;
  self->pending = g_byte_array_new ();

  pthread_mutex_init (&self->lock, NULL);
  pthread_condattr_init (&monotonic);
  pthread_condattr_setclock (&monotonic, CLOCK_MONOTONIC);
  pthread_cond_init (&self->wake, &monotonic);
  pthread_cond_init (&self->flushed, NULL);
  pthread_condattr_destroy (&monotonic);
  if (pthread_create (&self->thread, NULL, run, self) != 0)
    g_error ("no thread can be started");

  return self;
}

/* Before frames are written behind the last one. */
void
fil_clip_sync_lock (FilClipSync *self)
{
  pthread_mutex_lock (&self->lock);
}

/* After that: @records of the @n_frames that are whole, none if they aren't. */
void
fil_clip_sync_unlock (FilClipSync  *self,
                      const guint8 *records,
                      guint         n_frames)
{
  if (n_frames > 0)
    g_byte_array_append (self->pending, records, n_frames * FIL_JOURNAL_RECORD_BYTES);
  self->n_frames += n_frames;
  pthread_mutex_unlock (&self->lock);
}

static gboolean
report_locked (FilClipSync *self,
               GError     **error)
{
  if (self->failure == NULL)
    return TRUE;

  if (error != NULL)
    *error = g_error_copy (self->failure);

  return FALSE;
}

/* Returns: %FALSE where a flush has failed */
gboolean
fil_clip_sync_check (FilClipSync *self,
                     GError     **error)
{
  gboolean good;

  pthread_mutex_lock (&self->lock);
  good = report_locked (self, error);
  pthread_mutex_unlock (&self->lock);

  return good;
}

/* Returns when all that was written so far is on the disk. */
gboolean
fil_clip_sync_flush (FilClipSync *self,
                     GError     **error)
{
  gboolean good;
  guint64 wanted;

  pthread_mutex_lock (&self->lock);
  wanted = self->n_frames;
  while (self->failure == NULL && self->n_durable < wanted)
    {
      self->n_waiting++;
      pthread_cond_signal (&self->wake);
      pthread_cond_wait (&self->flushed, &self->lock);
    }
  good = report_locked (self, error);
  pthread_mutex_unlock (&self->lock);

  return good;
}

/* Flushes a last time and frees @self. Returns: frames that are on the disk
 * with their rows */
guint64
fil_clip_sync_stop (FilClipSync *self)
{
  guint64 n_durable;

  pthread_mutex_lock (&self->lock);
  self->stop = TRUE;
  pthread_cond_signal (&self->wake);
  pthread_mutex_unlock (&self->lock);
  pthread_join (self->thread, NULL);

  n_durable = self->n_durable;
  pthread_cond_destroy (&self->wake);
  pthread_cond_destroy (&self->flushed);
  pthread_mutex_destroy (&self->lock);
  g_byte_array_unref (self->pending);
  g_clear_error (&self->failure);
  g_free (self);

  return n_durable;
}
