/* fil-replay.c: a FITS cube, played again as if a camera sent it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

#include <glib/gi18n-lib.h>

#include "fil-clip.h"
#include "fil-replay-values.h"
#include "fil-source-backend.h"
#include "fil-utc.h"

#define NS_PER_S     G_GINT64_CONSTANT (1000000000)
#define STANDARD_FPS 25.0
#define LONGEST_WAIT_S 5.0   /* a gap in the file's times is not waited out */

#define FIL_TYPE_REPLAY (fil_replay_get_type ())
G_DECLARE_FINAL_TYPE (FilReplay, fil_replay, FIL, REPLAY, FilSource)

struct _FilReplay
{
  FilSource             parent_instance;

  /* Never change while frames are sent. */
  char                 *name;
  char                 *identity;
  FilClip              *clip;       /* the replaying thread's own while it runs */
  FilReplayValues      *values;
  const FilPixelFormat *format;
  gboolean              raw;
  double                black_level;      /* counts, 0: unknown */
  gboolean              flip_x, flip_y;   /* by the driver that recorded it */
  int                   width, height;
  guint64               n_frames;
  const FilClipRow     *rows;       /* owned by the clip; NULL: none */
  gboolean              have_times;
  gint64                begin_ns;   /* UTC; G_MININT64: unknown */
  gint64                sky_ns;     /* the day that the pictures show, UTC; 0: unknown */
  double                fps;        /* 0: by the file's own times */
  gboolean              loop;
  gboolean              unpaced;

  FilSourceSink         sink;
  gpointer              user_data;
  pthread_t             thread;
  gboolean              running;    /* the thread is to be joined */

  pthread_mutex_t       lock;
  pthread_cond_t        wake;       /* by CLOCK_MONOTONIC */
  gboolean              stopping;   /* under the lock */
};

G_DEFINE_FINAL_TYPE (FilReplay, fil_replay, FIL_TYPE_SOURCE)

static gint64
now_ns (void)
{
  struct timespec now;

  clock_gettime (CLOCK_MONOTONIC, &now);

  return (gint64) now.tv_sec * NS_PER_S + now.tv_nsec;
}

/* Sleeps until @due_ns (0: not at all). Returns: %FALSE when asked to stop. */
static gboolean
wait_until (FilReplay *self,
            gint64     due_ns)
{
  struct timespec due = { due_ns / NS_PER_S, due_ns % NS_PER_S };
  gboolean go_on;

  pthread_mutex_lock (&self->lock);
  while (!self->stopping && due_ns > now_ns ())
    pthread_cond_timedwait (&self->wake, &self->lock, &due);
  go_on = !self->stopping;
  pthread_mutex_unlock (&self->lock);

  return go_on;
}

/* Seconds from frame @index to the next one; NaN where neither the file nor
 * the caller tells. */
static double
interval_s (FilReplay *self,
            guint64    index)
{
  if (self->fps > 0.0)
    return 1.0 / self->fps;
  if (!self->have_times || self->n_frames < 2)
    return NAN;
  if (index + 1 < self->n_frames)
    return self->rows[index + 1].time_s - self->rows[index].time_s;

  /* From the last one to the first: as long as the average. */
  return (self->rows[index].time_s - self->rows[0].time_s) / (double) (self->n_frames - 1);
}

static double
pause_s (FilReplay *self,
         double     interval)
{
  if (self->unpaced && self->fps <= 0.0)
    return 0.0;
  if (isnan (interval))
    return 1.0 / STANDARD_FPS;

  return CLAMP (interval, 0.0, LONGEST_WAIT_S);
}

/* Where nobody tells when frames were taken, the time of arrival stands in. */
static void
stamp (FilReplay *self,
       FilFrame  *frame,
       double     time_s,
       gint64     start_ns)
{
  gboolean is_known = isfinite (time_s) && fabs (time_s) < 1e9;

  frame->clock = FIL_CLOCK_MONOTONIC;
  frame->stamp = is_known ? FIL_STAMP_EXPOSURE_START : FIL_STAMP_FRAME_END;
  frame->time_ns = is_known ? start_ns + (gint64) round (time_s * 1e9) : now_ns ();
  if (is_known && self->begin_ns != G_MININT64)
    {
      frame->clock = FIL_CLOCK_UTC;
      frame->time_ns = self->begin_ns + (gint64) round (time_s * 1e9);
    }
}

static FilFrame *
make_frame (FilReplay *self,
            guint64    index,
            GError   **error)
{
  g_autoptr (FilFrame) frame = fil_frame_new_alloc (self->format, self->width, self->height);
  g_autoptr (GError) why = NULL;

  if (frame == NULL)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                           _("there is not enough memory for a frame"));
      return NULL;
    }
  if (!fil_replay_values_read (self->values, self->clip, index, (guint8 *) frame->data, &why))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                   _("frame %" PRIu64 " can't be read: %s"), index, why->message);
      return NULL;
    }

  frame->bottom_up = TRUE;
  if (self->rows != NULL)
    {
      frame->exposure_ms = 1000.0 * self->rows[index].exposure_s;
      frame->gain = self->rows[index].gain;
      if ((self->rows[index].marks & FIL_CLIP_MARK_DAMAGED) != 0)
        frame->flags |= FIL_FRAME_DAMAGED;
    }

  return g_steal_pointer (&frame);
}

static void
tell_state (FilReplay     *self,
            FilSourceState state,
            const GError  *error)
{
  if (self->sink.state != NULL)
    self->sink.state (FIL_SOURCE (self), state, error, self->user_data);
}

static void *
replay (void *data)
{
  FilReplay *self = data;
  gint64 start_ns = now_ns (), due_ns = start_ns;
  double time_s = self->fps > 0.0 || self->have_times ? 0.0 : NAN;
  guint64 index = 0;

  tell_state (self, FIL_SOURCE_STREAMING, NULL);
  for (guint64 sequence = 0; wait_until (self, due_ns); sequence++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (FilFrame) frame = make_frame (self, index, &error);
      double interval = interval_s (self, index);

      if (frame == NULL)
        {
          tell_state (self, FIL_SOURCE_LOST, error);
          return NULL;
        }
      frame->sequence = sequence;
      stamp (self, frame, time_s, start_ns);
      self->sink.frame (FIL_SOURCE (self), frame, self->user_data);

      time_s += interval;
      /* Nobody catches up: whoever was slow sees the rest at its own pace. */
      due_ns = MAX (due_ns + (gint64) (pause_s (self, interval) * 1e9),
                    now_ns () - NS_PER_S / 10);
      if (++index == self->n_frames)
        {
          if (!self->loop)
            {
              tell_state (self, FIL_SOURCE_ENDED, NULL);
              return NULL;
            }
          index = 0;
        }
    }

  return NULL;
}

static void
replay_get_info (FilSource     *source,
                 FilSourceInfo *info)
{
  FilReplay *self = FIL_REPLAY (source);

  info->name = self->name;
  info->identity = self->identity;
  info->waits = TRUE;
  info->raw = self->raw;
  info->black_level = self->black_level;
  info->flip_x = self->flip_x;
  info->flip_y = self->flip_y;
  info->sensor_width = self->width;
  info->sensor_height = self->height;
  info->sky_utc_ns = self->sky_ns;
}

static GPtrArray *
replay_list_formats (FilSource *source,
                     GError   **error)
{
  FilReplay *self = FIL_REPLAY (source);
  GPtrArray *formats = fil_source_formats_new ();

  fil_source_format_add_size (fil_source_formats_add (formats, self->format->fourcc),
                              self->width, self->height);

  return formats;
}

/* A file is what it is: only its rate can be chosen. Regions are left to
 * whoever records. */
static gboolean
replay_set_mode (FilSource           *source,
                 const FilSourceMode *wanted,
                 FilSourceMode       *got,
                 GError             **error)
{
  FilReplay *self = FIL_REPLAY (source);

  if (self->running)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                           _("The file is being played: stop it before its mode is changed"));
      return FALSE;
    }
  if ((wanted->fourcc != 0 && wanted->fourcc != self->format->fourcc) ||
      (wanted->width != 0 && wanted->width != self->width) ||
      (wanted->height != 0 && wanted->height != self->height) ||
      (wanted->roi.width != 0 && !fil_rect_is_inside (&wanted->roi, self->width, self->height)))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                   _("The file holds pictures of %d × %d pixels in format %s, no others"),
                   self->width, self->height, self->format->name);
      return FALSE;
    }

  if (wanted->fps > 0.0)
    self->fps = wanted->fps;
  *got = (FilSourceMode) {
    .fourcc = self->format->fourcc,
    .width = self->width,
    .height = self->height,
    .fps = self->fps,
  };

  return TRUE;
}

static gboolean
replay_start (FilSource           *source,
              const FilGatePass   *pass,
              const FilSourceSink *sink,
              gpointer             user_data,
              GError             **error)
{
  FilReplay *self = FIL_REPLAY (source);

  if (self->running)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY,
                           _("The file is being played already"));
      return FALSE;
    }

  self->sink = *sink;
  self->user_data = user_data;
  self->stopping = FALSE;
  self->running = pthread_create (&self->thread, NULL, replay, self) == 0;
  if (!self->running)
    g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                         _("A thread to play the file could not be started"));

  return self->running;
}

static void
replay_stop (FilSource *source)
{
  FilReplay *self = FIL_REPLAY (source);

  if (!self->running)
    return;

  pthread_mutex_lock (&self->lock);
  self->stopping = TRUE;
  pthread_cond_signal (&self->wake);
  pthread_mutex_unlock (&self->lock);
  pthread_join (self->thread, NULL);
  self->running = FALSE;
}

static void
fil_replay_finalize (GObject *object)
{
  FilReplay *self = FIL_REPLAY (object);

  replay_stop (FIL_SOURCE (self));
  fil_replay_values_free (self->values);
  fil_clip_close (self->clip);
  g_free (self->name);
  g_free (self->identity);
  pthread_cond_destroy (&self->wake);
  pthread_mutex_destroy (&self->lock);

  G_OBJECT_CLASS (fil_replay_parent_class)->finalize (object);
}

static void
fil_replay_class_init (FilReplayClass *klass)
{
  FilSourceClass *source_class = FIL_SOURCE_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = fil_replay_finalize;
  source_class->get_info = replay_get_info;
  source_class->list_formats = replay_list_formats;
  source_class->set_mode = replay_set_mode;
  source_class->start = replay_start;
  source_class->stop = replay_stop;
}

static void
fil_replay_init (FilReplay *self)
{
  pthread_condattr_t attributes;

  pthread_mutex_init (&self->lock, NULL);
  pthread_condattr_init (&attributes);
  pthread_condattr_setclock (&attributes, CLOCK_MONOTONIC);
  pthread_cond_init (&self->wake, &attributes);
  pthread_condattr_destroy (&attributes);
}

/* The format in which the file's counts come, in the driver's terms: the
 * pattern is that of the rows as they lie in memory, bottom row first. */
static const FilPixelFormat *
choose_format (const FilClip         *clip,
               const FilReplayValues *values)
{
  static const char *const names[5][5] = {
    [FIL_PATTERN_NONE] = { "GREY", "Y10", "Y12", "Y14", "Y16" },
    [FIL_PATTERN_RGGB] = { "RGGB", "RG10", "RG12", "RG14", "RG16" },
    [FIL_PATTERN_GRBG] = { "GRBG", "BA10", "BA12", "GR14", "GR16" },
    [FIL_PATTERN_GBRG] = { "GBRG", "GB10", "GB12", "GB14", "GB16" },
    [FIL_PATTERN_BGGR] = { "BA81", "BG10", "BG12", "BG14", "BYR2" },
  };
  int bits = fil_replay_values_get_bits (values);
  int column = bits <= 8 ? 0 : bits <= 10 ? 1 : bits <= 12 ? 2 : bits <= 14 ? 3 : 4;

  return fil_pixel_format_from_name (names[fil_clip_get_pattern (clip)][column]);
}

static gboolean
set_unreadable (const char   *path,
                const GError *why,
                GError      **error)
{
  if (!g_file_test (path, G_FILE_TEST_EXISTS))
    g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_FOUND,
                 _("%s: there is no such file"), path);
  else
    g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA, "%s: %s", path, why->message);

  return FALSE;
}

static gboolean
is_true (FilClip    *clip,
         const char *keyword)
{
  return g_strcmp0 (fil_clip_get_card (clip, keyword), "T") == 0;
}

static gboolean
read_file (FilReplay  *self,
           const char *path,
           GError    **error)
{
  g_autoptr (GError) why = NULL;
  const char *sky;

  self->clip = fil_clip_open (path, &why);
  if (self->clip == NULL)
    return set_unreadable (path, why, error);

  self->n_frames = fil_clip_get_n_frames (self->clip);
  self->width = fil_clip_get_width (self->clip);
  self->height = fil_clip_get_height (self->clip);
  if (self->n_frames < 1)
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                   _("%s: there is no whole frame in the file"), path);
      return FALSE;
    }
  self->values = fil_replay_values_new (self->clip, &why);
  if (self->values == NULL)
    return set_unreadable (path, why, error);

  self->format = choose_format (self->clip, self->values);
  self->raw = fil_replay_values_are_exact (self->values) && fil_clip_is_raw (self->clip);
  if (fil_replay_values_are_exact (self->values))
    self->black_level = fil_clip_get_black_level (self->clip);
  self->flip_x = is_true (self->clip, "FLIPX");
  self->flip_y = is_true (self->clip, "FLIPY");
  self->rows = fil_clip_get_rows (self->clip, &self->have_times);
  self->begin_ns = fil_clip_get_utc_begin_ns (self->clip);
  self->sky_ns = self->begin_ns != G_MININT64 ? self->begin_ns : 0;
  sky = fil_clip_get_card (self->clip, "SKYDATE");
  if (sky != NULL)
    fil_utc_parse (sky, &self->sky_ns);

  return TRUE;
}

static FilSource *
open_file (const char             *name,
           const FilSourceOptions *options,
           GError                **error)
{
  g_autoptr (FilReplay) self = g_object_new (FIL_TYPE_REPLAY, NULL);

  if (!read_file (self, name, error))
    return NULL;

  self->name = g_path_get_basename (name);
  self->identity = g_strdup_printf ("replay:%s", name);
  self->fps = isfinite (options->fps) ? MAX (options->fps, 0.0) : 0.0;
  self->loop = options->loop;
  self->unpaced = options->unpaced;

  return FIL_SOURCE (g_steal_pointer (&self));
}

/* Whatever is neither simulated nor a device. */
static gboolean
claims (const char *name)
{
  return name[0] != '\0' && !g_str_has_prefix (name, "sim:") && !g_str_has_prefix (name, "/dev/");
}

const FilSourceBackend fil_source_backend_replay = {
  .claims = claims,
  .open = open_file,
};
