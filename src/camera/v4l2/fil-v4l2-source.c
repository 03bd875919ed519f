/* fil-v4l2-source.c: a camera of the kernel's video interface
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <pthread.h>

#include <glib/gi18n-lib.h>

#include "fil-source-backend.h"
#include "fil-v4l2-controls.h"
#include "fil-v4l2-formats.h"
#include "fil-v4l2-mode.h"
#include "fil-v4l2-node.h"
#include "fil-v4l2-source.h"
#include "fil-v4l2-stream.h"

struct _FilV4l2Source
{
  FilSource       parent_instance;

  FilV4l2Device  *device;

  pthread_mutex_t lock;     /* guards what follows */
  FilV4l2Mode     mode;     /* format NULL: none was agreed on yet */
  FilV4l2Stream  *stream;   /* NULL: not streaming */
  guint64         gaps;     /* of the last stream */
};

G_DEFINE_FINAL_TYPE (FilV4l2Source, fil_v4l2_source, FIL_TYPE_SOURCE)

static FilV4l2Mode
get_mode (FilV4l2Source *self)
{
  FilV4l2Mode mode;

  pthread_mutex_lock (&self->lock);
  mode = self->mode;
  pthread_mutex_unlock (&self->lock);

  return mode;
}

static void
source_get_info (FilSource     *source,
                 FilSourceInfo *info)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  FilV4l2Mode mode = get_mode (self);
  gint64 flip;

  info->name = self->device->name;
  info->driver = self->device->driver;
  info->bus = self->device->bus;
  info->identity = self->device->identity;
  info->live = TRUE;
  info->waits = FALSE;
  info->raw = mode.format != NULL &&
              (mode.format->kind == FIL_KIND_MONO || mode.format->kind == FIL_KIND_BAYER);
  if (!fil_v4l2_mode_sensor_size (self->device, &info->sensor_width, &info->sensor_height) &&
      mode.format != NULL)
    {
      info->sensor_width = mode.width;
      info->sensor_height = mode.height;
    }
  info->flip_x = fil_v4l2_get_integer (self->device, V4L2_CID_HFLIP, &flip) && flip != 0;
  info->flip_y = fil_v4l2_get_integer (self->device, V4L2_CID_VFLIP, &flip) && flip != 0;
}

static GPtrArray *
source_list_formats (FilSource *source,
                     GError   **error)
{
  return fil_v4l2_list_formats (FIL_V4L2_SOURCE (source)->device, error);
}

static gboolean
source_set_mode (FilSource           *source,
                 const FilSourceMode *wanted,
                 FilSourceMode       *got,
                 GError             **error)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  gboolean done = FALSE;

  pthread_mutex_lock (&self->lock);
  if (self->stream != NULL)
    g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                         _("The camera streams: stop it before its mode is changed"));
  else
    done = fil_v4l2_mode_set (self->device, wanted, &self->mode, error);
  if (done)
    *got = (FilSourceMode) {
      .fourcc = self->mode.format->fourcc,
      .width = self->mode.width,
      .height = self->mode.height,
      .fps = self->mode.fps,
      .roi = self->mode.roi,
    };
  pthread_mutex_unlock (&self->lock);

  return done;
}

static GPtrArray *
source_list_controls (FilSource *source)
{
  return fil_v4l2_list_controls (FIL_V4L2_SOURCE (source)->device);
}

static FilControl *
source_dup_control (FilSource *source,
                    guint32    id)
{
  return fil_v4l2_dup_control (FIL_V4L2_SOURCE (source)->device, id);
}

static void
touch (FilV4l2Source *self,
       guint32        id)
{
  pthread_mutex_lock (&self->lock);
  if (self->stream != NULL)
    fil_v4l2_stream_touch (self->stream, id);
  pthread_mutex_unlock (&self->lock);
}

static gboolean
source_set_control (FilSource *source,
                    guint32    id,
                    GVariant  *value,
                    GError   **error)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);

  if (!fil_v4l2_set_control (self->device, id, value, error))
    return FALSE;

  touch (self, id);

  return TRUE;
}

static gboolean
source_set_exposure (FilSource *source,
                     double     exposure_ms,
                     GError   **error)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);

  if (!fil_v4l2_set_exposure (self->device, exposure_ms, error))
    return FALSE;

  touch (self, V4L2_CID_EXPOSURE_ABSOLUTE);

  return TRUE;
}

static double
source_get_exposure (FilSource *source)
{
  return fil_v4l2_get_exposure (FIL_V4L2_SOURCE (source)->device);
}

static gboolean
source_start (FilSource           *source,
              const FilGatePass   *pass,
              const FilSourceSink *sink,
              gpointer             user_data,
              GError             **error)
{
  static const FilSourceMode any = { 0 };
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  gboolean started = FALSE;

  pthread_mutex_lock (&self->lock);
  if (self->stream != NULL)
    g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY,
                         _("The camera streams already"));
  else if (self->mode.format != NULL ||
           fil_v4l2_mode_set (self->device, &any, &self->mode, error))
    {
      self->gaps = 0;
      self->stream = fil_v4l2_stream_start (source, self->device, &self->mode, pass, sink,
                                            user_data, error);
      started = self->stream != NULL;
    }
  pthread_mutex_unlock (&self->lock);

  return started;
}

static void
source_stop (FilSource *source)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  FilV4l2Stream *stream;

  pthread_mutex_lock (&self->lock);
  stream = g_steal_pointer (&self->stream);
  pthread_mutex_unlock (&self->lock);
  if (stream == NULL)
    return;

  /* Callbacks on the capture thread may ask us things: not under the lock. */
  self->gaps = fil_v4l2_stream_get_gaps (stream);
  fil_v4l2_stream_end (stream);
}

static guint64
source_get_gaps (FilSource *source)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  guint64 gaps;

  pthread_mutex_lock (&self->lock);
  gaps = self->stream != NULL ? fil_v4l2_stream_get_gaps (self->stream) : self->gaps;
  pthread_mutex_unlock (&self->lock);

  return gaps;
}

static gboolean
source_renew_pass (FilSource         *source,
                   const FilGatePass *pass,
                   GError           **error)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (source);
  gboolean renewed = TRUE;

  pthread_mutex_lock (&self->lock);
  if (self->stream != NULL)
    renewed = fil_v4l2_stream_renew (self->stream, pass, error);
  pthread_mutex_unlock (&self->lock);

  return renewed;
}

static void
fil_v4l2_source_finalize (GObject *object)
{
  FilV4l2Source *self = FIL_V4L2_SOURCE (object);

  source_stop (FIL_SOURCE (self));
  fil_v4l2_device_close (self->device);
  pthread_mutex_destroy (&self->lock);

  G_OBJECT_CLASS (fil_v4l2_source_parent_class)->finalize (object);
}

static void
fil_v4l2_source_class_init (FilV4l2SourceClass *klass)
{
  FilSourceClass *source_class = FIL_SOURCE_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = fil_v4l2_source_finalize;
  source_class->get_info = source_get_info;
  source_class->list_formats = source_list_formats;
  source_class->set_mode = source_set_mode;
  source_class->list_controls = source_list_controls;
  source_class->dup_control = source_dup_control;
  source_class->set_control = source_set_control;
  source_class->set_exposure = source_set_exposure;
  source_class->get_exposure = source_get_exposure;
  source_class->start = source_start;
  source_class->stop = source_stop;
  source_class->get_gaps = source_get_gaps;
  source_class->renew_pass = source_renew_pass;
}

static void
fil_v4l2_source_init (FilV4l2Source *self)
{
  pthread_mutex_init (&self->lock, NULL);
}

/**
 * fil_v4l2_source_new:
 * @device: (transfer full): an open camera
 */
FilSource *
fil_v4l2_source_new (FilV4l2Device *device)
{
  FilV4l2Source *self = g_object_new (FIL_TYPE_V4L2_SOURCE, NULL);

  self->device = device;

  return FIL_SOURCE (self);
}

static FilSource *
open_node (const char             *name,
           const FilSourceOptions *options,
           GError                **error)
{
  FilV4l2Device *device = fil_v4l2_device_open (name, error);

  return device != NULL ? fil_v4l2_source_new (device) : NULL;
}

const FilSourceBackend fil_source_backend_v4l2 = {
  .claims = fil_v4l2_node_claims,
  .live = TRUE,
  .open = open_node,
  .list = fil_v4l2_node_list,
  .dup_identity = fil_v4l2_node_dup_identity,
};
