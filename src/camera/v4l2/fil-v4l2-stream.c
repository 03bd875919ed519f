/* fil-v4l2-stream.c: the capture thread of one camera
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The one place where a camera begins to stream. */

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <pthread.h>
#include <string.h>
#include <sys/eventfd.h>
#include <time.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-gate.h"
#include "fil-v4l2-controls.h"
#include "fil-v4l2-pool.h"
#include "fil-v4l2-stamp.h"
#include "fil-v4l2-stream.h"

#define NS_PER_S   G_GINT64_CONSTANT (1000000000)
#define TICK_MS    200      /* the longest sleep between two looks at the clock */
#define PAUSE_MS   50       /* after an error that poll() would report again at once */
#define MAX_EVENTS 256      /* taken in one go */
#define MAX_SET    64       /* controls set by us in one turn, of a driver without events */

struct _FilV4l2Stream
{
  FilSource           *source;
  const FilV4l2Device *device;
  FilV4l2Mode          mode;
  FilV4l2Pool         *pool;
  FilSourceSink        sink;
  gpointer             user_data;
  gboolean             has_events;
  gsize                needed_bytes;   /* of a whole frame; 0 for compressed ones */
  int                  stop_fd;
  pthread_t            thread;

  pthread_mutex_t      lock;           /* guards the next three */
  FilGatePass         *pass;
  guint32              set_ids[MAX_SET];
  guint                n_set;

  guint64              gaps;           /* C11 atomics only, as the next */
  gboolean             touched;

  /* The capture thread's own. */
  FilV4l2Count         count;
  double               exposure_ms;
  double               gain;
  gint64               last_frame_ns;
  gint64               last_look_ns;
  gboolean             pass_ended;     /* and that was told */
  gboolean             stalled;
};

static gint64
now_ns (void)
{
  struct timespec now;

  clock_gettime (CLOCK_MONOTONIC, &now);

  return (gint64) now.tv_sec * NS_PER_S + now.tv_nsec;
}

static gboolean
check_pass (const FilGatePass *pass,
            const char        *identity,
            GError           **error)
{
  g_autoptr (GError) why = NULL;

  if (pass == NULL)
    g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE,
                         _("the gate is closed: confirm first that the solar filter is in "
                           "place"));
  else if (!fil_gate_pass_covers (pass, identity, &why))
    g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE, why->message);
  else
    return TRUE;

  return FALSE;
}

static void
tell_state (FilV4l2Stream *stream,
            FilSourceState state,
            const GError  *error)
{
  if (stream->sink.state != NULL)
    stream->sink.state (stream->source, state, error, stream->user_data);
}

static void
read_settings (FilV4l2Stream *stream)
{
  __atomic_store_n (&stream->touched, FALSE, __ATOMIC_RELAXED);
  stream->exposure_ms = fil_v4l2_get_exposure (stream->device);
  stream->gain = fil_v4l2_get_gain (stream->device);
}

static void
deliver (FilV4l2Stream            *stream,
         const struct v4l2_buffer *buffer)
{
  gboolean compressed = stream->mode.format->packing == FIL_PACKING_JPEG;
  g_autoptr (FilFrame) frame = NULL;
  guint64 missed, sequence;

  sequence = fil_v4l2_count_next (&stream->count, buffer->sequence, &missed);
  frame = fil_v4l2_pool_frame (stream->pool, buffer, stream->needed_bytes, compressed);
  if (frame == NULL)
    missed++;
  if (missed > 0)
    __atomic_add_fetch (&stream->gaps, missed, __ATOMIC_RELAXED);

  stream->last_frame_ns = now_ns ();
  if (stream->stalled)
    {
      stream->stalled = FALSE;
      tell_state (stream, FIL_SOURCE_STREAMING, NULL);
    }
  if (frame == NULL)
    return;

  frame->format = stream->mode.format;
  frame->width = stream->mode.width;
  frame->height = stream->mode.height;
  frame->stride = stream->mode.stride;
  frame->sequence = sequence;
  frame->exposure_ms = stream->exposure_ms;
  frame->gain = stream->gain;
  fil_v4l2_stamp (buffer, stream->last_frame_ns, stream->exposure_ms, frame);

  stream->sink.frame (stream->source, frame, stream->user_data);
}

/* Takes what the driver has filled. @took: whether there was anything. */
static gboolean
take_frames (FilV4l2Stream *stream,
             gboolean      *took,
             GError       **error)
{
  guint most = fil_v4l2_pool_get_size (stream->pool);

  *took = FALSE;
  for (guint i = 0; i < most; i++)
    {
      struct v4l2_buffer buffer = {
        .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
        .memory = V4L2_MEMORY_MMAP,
      };

      if (fil_v4l2_device_call (stream->device, VIDIOC_DQBUF, &buffer) < 0)
        {
          /* EIO: "can also indicate temporary problems like signal loss"
           * (linux-doc, ioctl VIDIOC_DQBUF); if it lasts, it is a stall. */
          if (errno == EAGAIN || errno == EIO)
            return TRUE;
          fil_v4l2_set_errno (error, errno, _("taking a frame"));
          return FALSE;
        }
      if (!fil_v4l2_pool_take (stream->pool, &buffer))
        {
          g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL,
                               _("The driver's answer makes no sense: a buffer that it "
                                 "didn't have"));
          return FALSE;
        }

      *took = TRUE;
      deliver (stream, &buffer);
    }

  return TRUE;
}

static void
take_events (FilV4l2Stream *stream)
{
  guint32 id;

  for (guint i = 0; i < MAX_EVENTS && fil_v4l2_next_event (stream->device, &id); i++)
    {
      if (id == 0)
        continue;
      __atomic_store_n (&stream->touched, TRUE, __ATOMIC_RELAXED);
      if (stream->sink.control != NULL)
        stream->sink.control (stream->source, id, stream->user_data);
    }
}

/* Controls that were set through us, of a driver that doesn't tell. */
static void
tell_set (FilV4l2Stream *stream)
{
  guint32 ids[MAX_SET];
  guint n;

  pthread_mutex_lock (&stream->lock);
  n = stream->n_set;
  memcpy (ids, stream->set_ids, n * sizeof *ids);
  stream->n_set = 0;
  pthread_mutex_unlock (&stream->lock);

  for (guint i = 0; i < n && stream->sink.control != NULL; i++)
    stream->sink.control (stream->source, ids[i], stream->user_data);
}

static void
watch_stall (FilV4l2Stream *stream,
             gint64         now)
{
  gint64 limit = stream->device->ops->stall_ns;
  g_autoptr (GError) error = NULL;

  if (isfinite (stream->exposure_ms))
    limit += (gint64) (stream->exposure_ms * 1e6);
  if (stream->stalled || now - stream->last_frame_ns < limit)
    return;

  stream->stalled = TRUE;
  g_set_error (&error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_STALLED,
               _("No frame for %.0f s: check the cable; frames go on when the camera "
                 "delivers again"), (double) (now - stream->last_frame_ns) / 1e9);
  tell_state (stream, FIL_SOURCE_STALLED, error);
}

/* A pass that ran out is told once, so that a running clip can be finished;
 * after the grace, or where it is void for another reason, the stream ends. */
static gboolean
watch_pass (FilV4l2Stream *stream,
            GError       **error)
{
  g_autoptr (FilGatePass) pass = NULL;
  g_autoptr (GError) why = NULL;
  gint64 left_s;

  pthread_mutex_lock (&stream->lock);
  pass = fil_gate_pass_ref (stream->pass);
  pthread_mutex_unlock (&stream->lock);

  if (check_pass (pass, stream->device->identity, &why))
    {
      stream->pass_ended = FALSE;
      return TRUE;
    }

  if (!stream->pass_ended)
    tell_state (stream, stream->stalled ? FIL_SOURCE_STALLED : FIL_SOURCE_STREAMING, why);
  stream->pass_ended = TRUE;

  left_s = fil_gate_pass_get_remaining_s (pass);
  if (left_s <= 0 && left_s > -60 * FIL_GATE_GRACE_MINUTES)
    return TRUE;

  g_propagate_error (error, g_steal_pointer (&why));

  return FALSE;
}

/* What is looked at once a second. */
static gboolean
look_around (FilV4l2Stream *stream,
             GError       **error)
{
  gint64 now = now_ns ();

  watch_stall (stream, now);
  if (now - stream->last_look_ns < NS_PER_S)
    return TRUE;

  stream->last_look_ns = now;
  read_settings (stream);

  return watch_pass (stream, error);
}

/* One turn. Returns: %FALSE when asked to stop, or with @error set. */
static gboolean
turn (FilV4l2Stream *stream,
      GError       **error)
{
  struct pollfd fds[] = {
    { .fd = stream->stop_fd, .events = POLLIN },
    { .fd = stream->device->fd, .events = POLLIN | POLLPRI },
  };
  gboolean took = FALSE;

  if (poll (fds, G_N_ELEMENTS (fds), TICK_MS) < 0 && errno != EINTR && errno != EAGAIN)
    {
      fil_v4l2_set_errno (error, errno, _("waiting for a frame"));
      return FALSE;
    }
  if (fds[0].revents != 0)
    return FALSE;

  if ((fds[1].revents & POLLPRI) != 0)
    take_events (stream);
  if (__atomic_load_n (&stream->touched, __ATOMIC_RELAXED))
    {
      read_settings (stream);
      tell_set (stream);
    }
  if ((fds[1].revents & (POLLIN | POLLERR | POLLHUP)) != 0 &&
      !take_frames (stream, &took, error))
    return FALSE;

  fil_v4l2_pool_requeue (stream->pool);
  if ((fds[1].revents & (POLLERR | POLLHUP)) != 0 && !took)
    poll (fds, 1, PAUSE_MS);

  return look_around (stream, error);
}

static void *
capture (void *data)
{
  FilV4l2Stream *stream = data;
  g_autoptr (GError) error = NULL;

  tell_state (stream, FIL_SOURCE_STREAMING, NULL);
  while (turn (stream, &error))
    ;

  fil_v4l2_pool_stop (stream->pool);
  if (error != NULL)
    tell_state (stream, FIL_SOURCE_LOST, error);

  return NULL;
}

static void
stream_free (FilV4l2Stream *stream)
{
  if (stream->pool != NULL)
    fil_v4l2_pool_stop (stream->pool);
  g_clear_pointer (&stream->pool, fil_v4l2_pool_unref);
  if (stream->stop_fd >= 0)
    close (stream->stop_fd);
  g_clear_pointer (&stream->pass, fil_gate_pass_unref);
  pthread_mutex_destroy (&stream->lock);
  g_free (stream);
}

static gboolean
stream_on (FilV4l2Stream *stream,
           GError       **error)
{
  int type = V4L2_BUF_TYPE_VIDEO_CAPTURE;
  int failed;

  /* Again, as near as can be to the light. */
  if (!check_pass (stream->pass, stream->device->identity, error))
    return FALSE;
  if (fil_v4l2_device_call (stream->device, VIDIOC_STREAMON, &type) < 0)
    {
      fil_v4l2_set_errno (error, errno, _("starting the stream"));
      return FALSE;
    }

  stream->last_frame_ns = stream->last_look_ns = now_ns ();
  failed = pthread_create (&stream->thread, NULL, capture, stream);
  if (failed != 0)
    {
      fil_v4l2_set_errno (error, failed, _("starting the capture thread"));
      return FALSE;
    }

  return TRUE;
}

/* Bytes from the first to the last one of a frame. */
static gsize
whole_frame (const FilV4l2Mode *mode)
{
  if (mode->format->packing == FIL_PACKING_JPEG)
    return 0;

  return mode->stride * (gsize) (mode->height - 1) +
         fil_pixel_format_min_stride (mode->format, mode->width);
}

/**
 * fil_v4l2_stream_start:
 * @source: not referenced; outlives the stream
 * @pass: leave from the gate, for this device
 *
 * Returns: (transfer full): a stream to be given to fil_v4l2_stream_end(), or
 *   %NULL, %FIL_SOURCE_ERROR_GATE where the pass is missing or not for this
 *   device
 */
FilV4l2Stream *
fil_v4l2_stream_start (FilSource           *source,
                       const FilV4l2Device *device,
                       const FilV4l2Mode   *mode,
                       const FilGatePass   *pass,
                       const FilSourceSink *sink,
                       gpointer             user_data,
                       GError             **error)
{
  FilV4l2Stream *stream;

  if (!check_pass (pass, device->identity, error))
    return NULL;

  stream = g_new0 (FilV4l2Stream, 1);
  pthread_mutex_init (&stream->lock, NULL);
  stream->source = source;
  stream->device = device;
  stream->mode = *mode;
  stream->sink = *sink;
  stream->user_data = user_data;
  stream->pass = fil_gate_pass_ref ((FilGatePass *) pass);
  stream->needed_bytes = whole_frame (mode);
  stream->stop_fd = eventfd (0, EFD_CLOEXEC | EFD_NONBLOCK);
  if (stream->stop_fd < 0)
    {
      fil_v4l2_set_errno (error, errno, _("starting the capture thread"));
      stream_free (stream);
      return NULL;
    }

  stream->has_events = fil_v4l2_subscribe (device);
  read_settings (stream);
  stream->pool = fil_v4l2_pool_new (device, mode->frame_bytes, error);
  if (stream->pool == NULL || !stream_on (stream, error))
    {
      stream_free (stream);
      return NULL;
    }

  return stream;
}

/* Stops the camera, joins the thread. Frames that are still held stay good. */
void
fil_v4l2_stream_end (FilV4l2Stream *stream)
{
  eventfd_write (stream->stop_fd, 1);
  pthread_join (stream->thread, NULL);
  stream_free (stream);
}

/* Puts a new confirmation in the place of one that runs out. Any thread. */
gboolean
fil_v4l2_stream_renew (FilV4l2Stream     *stream,
                       const FilGatePass *pass,
                       GError           **error)
{
  FilGatePass *old;

  if (!check_pass (pass, stream->device->identity, error))
    return FALSE;

  pthread_mutex_lock (&stream->lock);
  old = stream->pass;
  stream->pass = fil_gate_pass_ref ((FilGatePass *) pass);
  pthread_mutex_unlock (&stream->lock);
  fil_gate_pass_unref (old);

  return TRUE;
}

/* Control @id was set through us. Any thread; the capture thread tells. */
void
fil_v4l2_stream_touch (FilV4l2Stream *stream,
                       guint32        id)
{
  pthread_mutex_lock (&stream->lock);
  if (!stream->has_events && stream->n_set < MAX_SET)
    stream->set_ids[stream->n_set++] = id;
  pthread_mutex_unlock (&stream->lock);
  __atomic_store_n (&stream->touched, TRUE, __ATOMIC_RELAXED);
}

/* Any thread. */
guint64
fil_v4l2_stream_get_gaps (FilV4l2Stream *stream)
{
  return __atomic_load_n (&stream->gaps, __ATOMIC_RELAXED);
}
