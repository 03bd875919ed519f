/* fake-source.c: a camera that does as it is told
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <pthread.h>

#include "fake-source.h"


struct _FakeSource
{
  FilSource       parent_instance;

  gboolean        live, waits;
  gboolean        flip_x, flip_y;
  FilSourceSink   sink;
  gpointer        user_data;
  GThread        *thread;
  guint64         sequence;

  pthread_mutex_t lock;          /* guards the fields below */
  gboolean        streaming;
  double          fps;
  int             level;
  double          exposure_ms;
  gboolean        has_news;
  FilSourceState  state;
  GError         *error;
  guint           held;          /* frames that were not given back yet */
};

G_DEFINE_FINAL_TYPE (FakeSource, fake_source, FIL_TYPE_SOURCE)

static void
get_info (FilSource     *source,
          FilSourceInfo *info)
{
  FakeSource *self = FAKE_SOURCE (source);

  info->name = "Fake camera";
  info->identity = FAKE_IDENTITY;
  info->live = self->live;
  info->waits = self->waits;
  info->raw = TRUE;
  info->sensor_width = FAKE_WIDTH;
  info->sensor_height = FAKE_HEIGHT;
  info->flip_x = self->flip_x;
  info->flip_y = self->flip_y;
}

static gboolean
set_mode (FilSource           *source,
          const FilSourceMode *wanted,
          FilSourceMode       *got,
          GError             **error)
{
  if (wanted->width != 0 && wanted->width != FAKE_WIDTH)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                           "only one size is on offer");
      return FALSE;
    }

  *got = (FilSourceMode) { FIL_FOURCC ('Y', '1', '2', ' '), FAKE_WIDTH, FAKE_HEIGHT, 50.0,
                           { 0 } };
  /* For what follows from a region; the frames stay whole. */
  if (wanted->roi.width != 0)
    {
      got->roi = wanted->roi;
      got->width = wanted->roi.width;
      got->height = wanted->roi.height;
    }

  return TRUE;
}

static gboolean
set_control (FilSource *source,
             guint32    id,
             GVariant  *value,
             GError   **error)
{
  FakeSource *self = FAKE_SOURCE (source);

  if (self->sink.control != NULL)
    self->sink.control (source, id, self->user_data);

  return TRUE;
}

static gboolean
set_exposure (FilSource *source,
              double     ms,
              GError   **error)
{
  FakeSource *self = FAKE_SOURCE (source);

  pthread_mutex_lock (&self->lock);
  self->exposure_ms = ms;
  pthread_mutex_unlock (&self->lock);

  return TRUE;
}

static double
get_exposure (FilSource *source)
{
  FakeSource *self = FAKE_SOURCE (source);
  double ms;

  pthread_mutex_lock (&self->lock);
  ms = self->exposure_ms;
  pthread_mutex_unlock (&self->lock);

  return ms;
}

typedef struct
{
  FakeSource *source;
  gpointer    pixels;
} Loan;

static void
take_back (FilFrame *frame,
           gpointer  user_data)
{
  Loan *loan = user_data;

  pthread_mutex_lock (&loan->source->lock);
  loan->source->held--;
  pthread_mutex_unlock (&loan->source->lock);
  g_object_unref (loan->source);
  g_free (loan->pixels);
  g_free (loan);
}

/* A chequered surface about @level: detail that the rig can show, and a known
 * mean. */
static FilFrame *
make_frame (FakeSource *self,
            int         level,
            double      exposure_ms)
{
  Loan *loan = g_new (Loan, 1);
  guint16 *pixels = g_new (guint16, FAKE_WIDTH * FAKE_HEIGHT);
  FilFrame *frame = fil_frame_new (take_back, loan);

  for (int y = 0; y < FAKE_HEIGHT; y++)
    for (int x = 0; x < FAKE_WIDTH; x++)
      {
        int count = level + ((x / 8 + y / 8) % 2 == 0 ? 40 : -40);

        pixels[y * FAKE_WIDTH + x] = GUINT16_TO_LE ((guint16) CLAMP (count, 0, 4095));
      }
  *loan = (Loan) { g_object_ref (self), pixels };
  pthread_mutex_lock (&self->lock);
  self->held++;
  pthread_mutex_unlock (&self->lock);

  frame->format = fil_pixel_format_from_name ("Y12");
  frame->width = FAKE_WIDTH;
  frame->height = FAKE_HEIGHT;
  frame->data = (const guint8 *) pixels;
  frame->stride = 2 * FAKE_WIDTH;
  frame->size = frame->stride * FAKE_HEIGHT;
  frame->sequence = self->sequence++;
  frame->time_ns = g_get_monotonic_time () * 1000;
  frame->exposure_ms = exposure_ms;
  frame->gain = 1.0;

  return frame;
}

static void
tell_news (FakeSource *self)
{
  FilSourceState state;
  GError *error;

  pthread_mutex_lock (&self->lock);
  state = self->state;
  error = g_steal_pointer (&self->error);
  self->has_news = FALSE;
  pthread_mutex_unlock (&self->lock);

  self->sink.state (FIL_SOURCE (self), state, error, self->user_data);
  g_clear_error (&error);
}

static gpointer
capture (gpointer user_data)
{
  FakeSource *self = user_data;

  for (;;)
    {
      gboolean streaming, has_news, quiet;
      double fps, exposure_ms;
      int level;

      pthread_mutex_lock (&self->lock);
      streaming = self->streaming;
      has_news = self->has_news;
      quiet = self->state != FIL_SOURCE_STREAMING;
      fps = self->fps;
      level = self->level;
      exposure_ms = self->exposure_ms;
      pthread_mutex_unlock (&self->lock);

      if (!streaming)
        return NULL;
      if (has_news)
        tell_news (self);
      if (!quiet)
        {
          g_autoptr (FilFrame) frame = make_frame (self, level, exposure_ms);

          self->sink.frame (FIL_SOURCE (self), frame, self->user_data);
        }
      if (fps > 0.0 || quiet)
        g_usleep (quiet ? 2000 : (gulong) (1e6 / fps));
    }
}

static gboolean
start (FilSource           *source,
       const FilGatePass   *pass,
       const FilSourceSink *sink,
       gpointer             user_data,
       GError             **error)
{
  FakeSource *self = FAKE_SOURCE (source);
  g_autoptr (GError) closed = NULL;

  if (self->live && (pass == NULL || !fil_gate_pass_covers (pass, FAKE_IDENTITY, &closed)))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE, "the gate is closed: %s",
                   closed != NULL ? closed->message : "no pass");
      return FALSE;
    }

  self->sink = *sink;
  self->user_data = user_data;
  pthread_mutex_lock (&self->lock);
  self->streaming = TRUE;
  self->state = FIL_SOURCE_STREAMING;
  pthread_mutex_unlock (&self->lock);
  self->thread = g_thread_new ("fake-capture", capture, self);

  return TRUE;
}

static void
stop (FilSource *source)
{
  FakeSource *self = FAKE_SOURCE (source);

  pthread_mutex_lock (&self->lock);
  self->streaming = FALSE;
  pthread_mutex_unlock (&self->lock);
  g_clear_pointer (&self->thread, g_thread_join);
}

static void
finalize (GObject *object)
{
  FakeSource *self = FAKE_SOURCE (object);

  g_clear_error (&self->error);
  pthread_mutex_destroy (&self->lock);

  G_OBJECT_CLASS (fake_source_parent_class)->finalize (object);
}

static void
fake_source_class_init (FakeSourceClass *klass)
{
  FilSourceClass *source_class = FIL_SOURCE_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = finalize;
  source_class->get_info = get_info;
  source_class->set_mode = set_mode;
  source_class->set_control = set_control;
  source_class->set_exposure = set_exposure;
  source_class->get_exposure = get_exposure;
  source_class->start = start;
  source_class->stop = stop;
}

static void
fake_source_init (FakeSource *self)
{
  pthread_mutex_init (&self->lock, NULL);
  self->fps = 100.0;
  self->level = 1000;
  self->exposure_ms = 5.0;
}

/* @live: it needs a pass; @waits: it may be held up */
FilSource *
fake_source_new (gboolean live,
                 gboolean waits)
{
  FakeSource *self = g_object_new (FAKE_TYPE_SOURCE, NULL);

  self->live = live;
  self->waits = waits;

  return FIL_SOURCE (self);
}

/* Frames a second; 0: as fast as they are taken */
void
fake_source_set_fps (FakeSource *self,
                     double      fps)
{
  pthread_mutex_lock (&self->lock);
  self->fps = fps;
  pthread_mutex_unlock (&self->lock);
}

void
fake_source_set_level (FakeSource *self,
                       int         count)
{
  pthread_mutex_lock (&self->lock);
  self->level = count;
  pthread_mutex_unlock (&self->lock);
}

/* For the thread that asks what the source is. */
void
fake_source_set_flips (FakeSource *self,
                       gboolean    flip_x,
                       gboolean    flip_y)
{
  self->flip_x = flip_x;
  self->flip_y = flip_y;
}

/* The capture thread passes it on; frames come in %FIL_SOURCE_STREAMING only. */
void
fake_source_tell (FakeSource     *self,
                  FilSourceState  state,
                  FilSourceError  code,
                  const char     *message)
{
  pthread_mutex_lock (&self->lock);
  g_clear_error (&self->error);
  if (message != NULL)
    self->error = g_error_new_literal (FIL_SOURCE_ERROR, code, message);
  self->state = state;
  self->has_news = TRUE;
  pthread_mutex_unlock (&self->lock);
}

guint
fake_source_get_held (FakeSource *self)
{
  guint held;

  pthread_mutex_lock (&self->lock);
  held = self->held;
  pthread_mutex_unlock (&self->lock);

  return held;
}

gboolean
fake_source_is_streaming (FakeSource *self)
{
  gboolean streaming;

  pthread_mutex_lock (&self->lock);
  streaming = self->streaming;
  pthread_mutex_unlock (&self->lock);

  return streaming;
}
