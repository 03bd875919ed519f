/* fil-v4l2-pool.c: a driver's buffers, lent out as frames
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <pthread.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-v4l2-pool.h"

#define MIN_BUFFERS  8
#define MAX_BUFFERS  32
#define BUFFER_BYTES (64u << 20)   /* small pictures get more buffers, up to this */

typedef enum
{
  BUFFER_OURS,     /* neither lent nor queued: the driver refused it, to be tried again */
  BUFFER_QUEUED,
  BUFFER_TAKEN,    /* dequeued, not yet lent */
  BUFFER_LENT,
} BufferState;

typedef struct
{
  FilV4l2Pool *pool;
  guint32      index;
  guint8      *data;
  gsize        size;
  BufferState  state;   /* under the pool's lock */
} Buffer;

struct _FilV4l2Pool
{
  int               refs;      /* C11 atomic access only */
  int               fd;        /* used only while running: the device outlives that */
  const FilV4l2Ops *ops;
  Buffer           *buffers;
  guint             n_buffers;
  pthread_mutex_t   lock;      /* guards what follows, and the buffers' states */
  guint             n_queued;
  gboolean          running;
};

static void
pool_ref (FilV4l2Pool *pool)
{
  __atomic_add_fetch (&pool->refs, 1, __ATOMIC_RELAXED);
}

/* Any thread. The last one unmaps the memory. */
void
fil_v4l2_pool_unref (FilV4l2Pool *pool)
{
  if (pool == NULL || __atomic_sub_fetch (&pool->refs, 1, __ATOMIC_ACQ_REL) > 0)
    return;

  for (guint i = 0; i < pool->n_buffers; i++)
    if (pool->buffers[i].data != NULL)
      pool->ops->unmap (pool->buffers[i].data, pool->buffers[i].size);
  pthread_mutex_destroy (&pool->lock);
  g_free (pool->buffers);
  g_free (pool);
}

static struct v4l2_buffer
describe (guint32 index)
{
  return (struct v4l2_buffer) {
    .index = index,
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .memory = V4L2_MEMORY_MMAP,
  };
}

/* Gives a buffer to the driver. With the lock held. */
static gboolean
queue_locked (FilV4l2Pool *pool,
              Buffer      *buffer)
{
  struct v4l2_buffer wish = describe (buffer->index);

  buffer->state = BUFFER_OURS;
  if (!pool->running || pool->ops->call (pool->fd, VIDIOC_QBUF, &wish) < 0)
    return FALSE;

  buffer->state = BUFFER_QUEUED;
  pool->n_queued++;

  return TRUE;
}

/* The last holder of a frame let go. Any thread. */
static void
release_lent (FilFrame *frame,
              gpointer  user_data)
{
  Buffer *buffer = user_data;
  FilV4l2Pool *pool = buffer->pool;

  pthread_mutex_lock (&pool->lock);
  queue_locked (pool, buffer);
  pthread_mutex_unlock (&pool->lock);
  fil_v4l2_pool_unref (pool);
}

static gboolean
map_buffer (FilV4l2Pool *pool,
            guint32      index,
            gsize        frame_bytes,
            GError     **error)
{
  struct v4l2_buffer answer = describe (index);
  Buffer *buffer = &pool->buffers[index];

  if (pool->ops->call (pool->fd, VIDIOC_QUERYBUF, &answer) < 0)
    {
      fil_v4l2_set_errno (error, errno, _("asking for the buffers"));
      return FALSE;
    }
  if (answer.length < frame_bytes || answer.length > FIL_V4L2_MAX_BYTES)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL,
                           _("The driver's answer makes no sense: buffers smaller than a "
                             "picture"));
      return FALSE;
    }

  buffer->pool = pool;
  buffer->index = index;
  buffer->size = answer.length;
  buffer->data = pool->ops->map (pool->fd, buffer->size, answer.m.offset);
  if (buffer->data == NULL)
    {
      fil_v4l2_set_errno (error, errno, _("mapping the buffers"));
      return FALSE;
    }

  return TRUE;
}

static gboolean
request_buffers (FilV4l2Pool *pool,
                 guint        wanted,
                 GError     **error)
{
  struct v4l2_requestbuffers request = {
    .count = wanted,
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .memory = V4L2_MEMORY_MMAP,
  };

  if (pool->ops->call (pool->fd, VIDIOC_REQBUFS, &request) < 0)
    {
      fil_v4l2_set_errno (error, errno, _("asking for buffers"));
      return FALSE;
    }
  /* Fewer than we asked for will do, but one alone can't be lent. */
  if (request.count < 2 || request.count > VIDEO_MAX_FRAME)
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL,
                   _("The driver gave %u buffers; at least 2 are needed"), request.count);
      return FALSE;
    }

  pool->buffers = g_new0 (Buffer, request.count);
  pool->n_buffers = request.count;

  return TRUE;
}

/* Buffers go back to the driver; frames that are still held keep their memory. */
static void
free_buffers (FilV4l2Pool *pool)
{
  struct v4l2_requestbuffers request = {
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .memory = V4L2_MEMORY_MMAP,
  };

  pool->ops->call (pool->fd, VIDIOC_REQBUFS, &request);
}

/**
 * fil_v4l2_pool_new:
 * @frame_bytes: the least a buffer has to hold
 *
 * Asks for at least 8 buffers, maps them and hands them to the driver. Two
 * are enough to go on with.
 *
 * Returns: (transfer full): the pool, or %NULL; nothing is left behind then
 */
FilV4l2Pool *
fil_v4l2_pool_new (const FilV4l2Device *device,
                   gsize                frame_bytes,
                   GError             **error)
{
  g_autoptr (FilV4l2Pool) pool = g_new0 (FilV4l2Pool, 1);
  guint wanted = (guint) CLAMP (BUFFER_BYTES / MAX (frame_bytes, 1), MIN_BUFFERS, MAX_BUFFERS);
  gboolean ready = TRUE;

  pthread_mutex_init (&pool->lock, NULL);
  __atomic_store_n (&pool->refs, 1, __ATOMIC_RELAXED);
  pool->fd = device->fd;
  pool->ops = device->ops;
  pool->running = TRUE;

  if (!request_buffers (pool, wanted, error))
    {
      free_buffers (pool);
      return NULL;
    }
  for (guint32 i = 0; ready && i < pool->n_buffers; i++)
    ready = map_buffer (pool, i, frame_bytes, error);

  pthread_mutex_lock (&pool->lock);
  for (guint32 i = 0; ready && i < pool->n_buffers; i++)
    if (!queue_locked (pool, &pool->buffers[i]))
      {
        fil_v4l2_set_errno (error, errno, _("handing buffers to the driver"));
        ready = FALSE;
      }
  pthread_mutex_unlock (&pool->lock);

  if (!ready)
    {
      fil_v4l2_pool_stop (pool);
      return NULL;
    }

  return g_steal_pointer (&pool);
}

guint
fil_v4l2_pool_get_size (FilV4l2Pool *pool)
{
  return pool->n_buffers;
}

/**
 * fil_v4l2_pool_take:
 * @buffer: what the driver just gave back
 *
 * Returns: %FALSE where the driver gave what it didn't have
 */
gboolean
fil_v4l2_pool_take (FilV4l2Pool              *pool,
                    const struct v4l2_buffer *buffer)
{
  gboolean sane;

  pthread_mutex_lock (&pool->lock);
  sane = buffer->index < pool->n_buffers &&
         pool->buffers[buffer->index].state == BUFFER_QUEUED;
  if (sane)
    {
      pool->buffers[buffer->index].state = BUFFER_TAKEN;
      pool->n_queued--;
    }
  pthread_mutex_unlock (&pool->lock);

  return sane;
}

static void
release_copy (FilFrame *frame,
              gpointer  user_data)
{
  g_free (user_data);
}

/* What is missing stays zero: never what an earlier frame left in memory. */
static FilFrame *
copy_frame (const Buffer *buffer,
            gsize         filled,
            gsize         needed)
{
  guint8 *pixels = g_try_malloc0 (needed);
  FilFrame *frame;

  if (pixels == NULL)
    return NULL;

  memcpy (pixels, buffer->data, MIN (filled, needed));
  frame = fil_frame_new (release_copy, pixels);
  frame->data = pixels;
  frame->size = needed;

  return frame;
}

/**
 * fil_v4l2_pool_frame:
 * @buffer: taken
 * @needed: bytes of a whole frame; no more than a buffer's size
 * @compressed: a frame may then be of any length
 *
 * Makes a frame of a taken buffer. It is lent while at least half of the
 * buffers are with the driver; otherwise, or where bytes are missing (the
 * frame is then flagged), it is a copy and the buffer goes back at once.
 *
 * Returns: (transfer full) (nullable): a frame with its memory and flags set;
 *   %NULL for an empty one, or where memory doesn't suffice
 */
FilFrame *
fil_v4l2_pool_frame (FilV4l2Pool              *pool,
                     const struct v4l2_buffer *buffer,
                     gsize                     needed,
                     gboolean                  compressed)
{
  Buffer *ours = &pool->buffers[buffer->index];
  gsize filled = MIN (buffer->bytesused, ours->size);
  gsize whole = compressed ? filled : MIN (needed, ours->size);
  FilFrame *frame = NULL;
  gboolean lend;

  pthread_mutex_lock (&pool->lock);
  lend = filled >= whole && 2 * pool->n_queued >= pool->n_buffers && whole > 0;
  if (lend)
    ours->state = BUFFER_LENT;
  pthread_mutex_unlock (&pool->lock);

  if (lend)
    {
      pool_ref (pool);
      frame = fil_frame_new (release_lent, ours);
      frame->data = ours->data;
      frame->size = whole;
    }
  else
    {
      if (whole > 0)
        frame = copy_frame (ours, filled, whole);
      pthread_mutex_lock (&pool->lock);
      queue_locked (pool, ours);
      pthread_mutex_unlock (&pool->lock);
    }

  if (frame != NULL &&
      ((buffer->flags & V4L2_BUF_FLAG_ERROR) != 0 || filled < whole ||
       buffer->bytesused > ours->size))
    frame->flags |= FIL_FRAME_DAMAGED;

  return frame;
}

/* Tries buffers again that the driver once refused. */
void
fil_v4l2_pool_requeue (FilV4l2Pool *pool)
{
  pthread_mutex_lock (&pool->lock);
  for (guint i = 0; i < pool->n_buffers; i++)
    if (pool->buffers[i].state == BUFFER_OURS && !queue_locked (pool, &pool->buffers[i]))
      break;
  pthread_mutex_unlock (&pool->lock);
}

/* Ends the stream. No buffer goes to the driver any more. */
void
fil_v4l2_pool_stop (FilV4l2Pool *pool)
{
  int type = V4L2_BUF_TYPE_VIDEO_CAPTURE;
  gboolean was_running;

  pthread_mutex_lock (&pool->lock);
  was_running = pool->running;
  pool->running = FALSE;
  pthread_mutex_unlock (&pool->lock);

  if (!was_running)
    return;

  pool->ops->call (pool->fd, VIDIOC_STREAMOFF, &type);
  free_buffers (pool);
}
