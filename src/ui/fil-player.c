/* fil-player.c: plays a clip on the screen
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One read is under way at a time, on a worker thread; the clip is touched by
 * nobody else meanwhile. A slow disk makes the play slow, not the window. */

#include <math.h>

#include "fil-player.h"

#define FRAMES_A_SECOND 25

struct _FilPlayer
{
  GObject     parent_instance;

  FilClip    *clip;       /* of the worker while reading is set, else of the main thread */
  guint64     n_frames;
  guint64     position;   /* of the frame shown */
  guint64     wanted;
  gboolean    reading;
  gboolean    playing;
  guint       timer;
  FilFrame   *frame;
  char       *error;
  double      full;
  double      scale;      /* arcseconds a pixel, NaN: the file doesn't tell */
  gboolean    has_sky;
  FilPlace    place;
  FilSun      sun;
  FilClipRow *rows;       /* a copy, n_frames of them; NULL: none */
};

enum
{
  SIGNAL_FRAME,
  SIGNAL_STATE,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilPlayer, fil_player, G_TYPE_OBJECT)

static void read_wanted (FilPlayer *self);

static void
read_thread (GTask        *task,
             gpointer      source_object,
             gpointer      task_data,
             GCancellable *cancellable)
{
  FilPlayer *self = source_object;
  GError *error = NULL;
  FilFrame *frame = fil_clip_read_frame (self->clip, *(guint64 *) task_data, &error);

  if (frame != NULL)
    g_task_return_pointer (task, frame, (GDestroyNotify) fil_frame_unref);
  else
    g_task_return_error (task, error);
}

static void
read_done_cb (GObject      *object,
              GAsyncResult *result,
              gpointer      user_data)
{
  FilPlayer *self = FIL_PLAYER (object);
  g_autoptr (GError) error = NULL;
  FilFrame *frame = g_task_propagate_pointer (G_TASK (result), &error);

  self->reading = FALSE;
  g_clear_pointer (&self->error, g_free);
  if (frame != NULL)
    {
      g_clear_pointer (&self->frame, fil_frame_unref);
      self->frame = frame;
      self->position = *(guint64 *) g_task_get_task_data (G_TASK (result));
      g_signal_emit (self, signals[SIGNAL_FRAME], 0);
    }
  else
    {
      self->error = g_strdup (error->message);
      fil_player_set_playing (self, FALSE);
    }
  g_signal_emit (self, signals[SIGNAL_STATE], 0);

  if (frame != NULL && self->wanted != self->position)
    read_wanted (self);
}

static void
read_wanted (FilPlayer *self)
{
  g_autoptr (GTask) task = NULL;
  guint64 *position;

  if (self->reading || self->n_frames == 0)
    return;

  self->reading = TRUE;
  position = g_new (guint64, 1);
  *position = self->wanted;
  task = g_task_new (self, NULL, read_done_cb, NULL);
  g_task_set_task_data (task, position, g_free);
  g_task_run_in_thread (task, read_thread);
}

static gboolean
tick_cb (gpointer user_data)
{
  FilPlayer *self = user_data;

  if (!self->reading)
    {
      self->wanted = (self->position + 1) % self->n_frames;
      read_wanted (self);
    }

  return G_SOURCE_CONTINUE;
}

static void
fil_player_dispose (GObject *object)
{
  g_clear_handle_id (&FIL_PLAYER (object)->timer, g_source_remove);

  G_OBJECT_CLASS (fil_player_parent_class)->dispose (object);
}

static void
fil_player_finalize (GObject *object)
{
  FilPlayer *self = FIL_PLAYER (object);

  g_clear_pointer (&self->frame, fil_frame_unref);
  g_clear_pointer (&self->clip, fil_clip_close);
  g_free (self->error);
  g_free (self->rows);

  G_OBJECT_CLASS (fil_player_parent_class)->finalize (object);
}

static void
fil_player_class_init (FilPlayerClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_player_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_player_finalize;

  signals[SIGNAL_FRAME] = g_signal_new ("frame", FIL_TYPE_PLAYER, G_SIGNAL_RUN_LAST, 0, NULL,
                                        NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_STATE] = g_signal_new ("state", FIL_TYPE_PLAYER, G_SIGNAL_RUN_LAST, 0, NULL,
                                        NULL, NULL, G_TYPE_NONE, 0);
}

static void
fil_player_init (FilPlayer *self)
{
}

/**
 * fil_player_new:
 * @clip: (transfer full): an open clip
 *
 * Reads the first frame at once; does not play yet.
 */
FilPlayer *
fil_player_new (FilClip *clip)
{
  FilPlayer *self = g_object_new (FIL_TYPE_PLAYER, NULL);
  const FilClipRow *rows;
  gboolean have_times;

  self->clip = clip;
  self->n_frames = fil_clip_get_n_frames (clip);
  self->full = fil_clip_get_full_scale (clip);
  self->scale = NAN;
  fil_clip_get_card_double (clip, "PXSCALE", &self->scale);
  self->has_sky = fil_clip_get_sky (clip, &self->place, &self->sun);
  rows = fil_clip_get_rows (clip, &have_times);
  if (rows != NULL)
    self->rows = g_memdup2 (rows, sizeof *rows * self->n_frames);
  read_wanted (self);

  return self;
}

guint64
fil_player_get_n_frames (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), 0);

  return self->n_frames;
}

guint64
fil_player_get_position (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), 0);

  return self->position;
}

gboolean
fil_player_is_playing (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), FALSE);

  return self->playing;
}

void
fil_player_set_playing (FilPlayer *self,
                        gboolean   playing)
{
  g_return_if_fail (FIL_IS_PLAYER (self));

  if (playing == self->playing || self->n_frames == 0)
    return;

  self->playing = playing;
  g_clear_handle_id (&self->timer, g_source_remove);
  if (playing)
    self->timer = g_timeout_add (1000 / FRAMES_A_SECOND, tick_cb, self);
  g_signal_emit (self, signals[SIGNAL_STATE], 0);
}

/* @position: from 0; beyond the end: the last frame */
void
fil_player_seek (FilPlayer *self,
                 guint64    position)
{
  g_return_if_fail (FIL_IS_PLAYER (self));

  if (self->n_frames == 0)
    return;

  self->wanted = MIN (position, self->n_frames - 1);
  if (self->wanted != self->position || self->frame == NULL)
    read_wanted (self);
}

/* Returns: (transfer full) (nullable): the frame to show */
FilFrame *
fil_player_dup_frame (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), NULL);

  return self->frame != NULL ? fil_frame_ref (self->frame) : NULL;
}

/* Returns: (nullable): why the last read failed */
const char *
fil_player_get_error (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), NULL);

  return self->error;
}

/* Returns: the count at which a pixel is full, NaN: unknown */
double
fil_player_get_full (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), 0.0);

  return self->full;
}

/* How the clip's picture lies on the Sun. Returns: %FALSE, and both untouched,
 * where the file doesn't tell */
gboolean
fil_player_get_sky (FilPlayer *self,
                    FilPlace  *place,
                    FilSun    *sun)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self) && place != NULL && sun != NULL, FALSE);

  if (!self->has_sky)
    return FALSE;

  *place = self->place;
  *sun = self->sun;

  return TRUE;
}

/* Returns: arcseconds a pixel, NaN: the file doesn't tell */
double
fil_player_get_scale (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), 0.0);

  return self->scale;
}

/* Returns: (nullable) (transfer none): a row a frame, %NULL: the clip has none */
const FilClipRow *
fil_player_get_rows (FilPlayer *self)
{
  g_return_val_if_fail (FIL_IS_PLAYER (self), NULL);

  return self->rows;
}
