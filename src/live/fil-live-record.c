/* fil-live-record.c: a clip of what is running
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-live-info.h"
#include "fil-live-private.h"
#include "fil-snapshot.h"

/* Capture thread. The main thread takes the recorder away only between two
 * offers, so it never waits for a lock that an offer holds. */
void
fil_live_record_offer (FilLive        *self,
                       const FilFrame *frame)
{
  FilRecorder *recorder;
  gboolean goes_on;

  pthread_mutex_lock (&self->lock);
  recorder = self->recorder;
  self->offering = recorder != NULL;
  pthread_mutex_unlock (&self->lock);
  if (recorder == NULL)
    return;

  goes_on = fil_recorder_offer (recorder, frame);

  pthread_mutex_lock (&self->lock);
  self->offering = FALSE;
  pthread_cond_signal (&self->offered);
  pthread_mutex_unlock (&self->lock);
  if (!goes_on)
    fil_live_post (self, FIL_POST_RECORDING);
}

/* Returns: (nullable): the recorder, which no frame reaches any more */
static FilRecorder *
detach (FilLive    *self,
        const char *reason)
{
  FilRecorder *recorder;

  pthread_mutex_lock (&self->lock);
  recorder = g_steal_pointer (&self->recorder);
  pthread_mutex_unlock (&self->lock);
  if (recorder == NULL)
    return NULL;

  /* Wakes an offer that waits for room. */
  fil_recorder_stop (recorder, reason);
  pthread_mutex_lock (&self->lock);
  while (self->offering)
    pthread_cond_wait (&self->offered, &self->lock);
  self->closing = recorder;
  self->closed = FALSE;
  pthread_mutex_unlock (&self->lock);

  return recorder;
}

static gpointer
finish (gpointer user_data)
{
  FilLive *self = user_data;
  FilRecorderStatus status;
  GError *error = NULL;

  /* Only this thread frees what the main thread may look at: closing. */
  fil_recorder_finish (self->closing, &status, &error);

  pthread_mutex_lock (&self->lock);
  g_clear_pointer (&self->closing, fil_recorder_free);
  self->closed = TRUE;
  self->closed_status = status;
  self->closed_error = error;
  pthread_mutex_unlock (&self->lock);
  fil_live_post (self, FIL_POST_RECORDING);

  return NULL;
}

/* Ends a clip that something went wrong with; closed in the background. */
void
fil_live_record_cut_short (FilLive    *self,
                           const char *reason)
{
  if (detach (self, reason) != NULL)
    self->finisher = g_thread_new ("clip-finish", finish, self);
}

/**
 * fil_live_finish_recording:
 *
 * Ends a clip without waiting: "recording-changed" comes when it is closed.
 */
void
fil_live_finish_recording (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  fil_live_record_cut_short (self, NULL);
}

/* The finisher is done: what it left becomes the last clip's. */
static void
take_result (FilLive *self)
{
  g_clear_pointer (&self->finisher, g_thread_join);
  g_clear_error (&self->record_error);

  pthread_mutex_lock (&self->lock);
  self->record_status = self->closed_status;
  self->record_error = g_steal_pointer (&self->closed_error);
  self->closed = FALSE;
  pthread_mutex_unlock (&self->lock);

  fil_live_emit (self, "recording-changed");
}

/* The capture thread says that the recorder takes no more, or the finisher
 * that the clip is closed. */
void
fil_live_record_collect (FilLive *self)
{
  FilRecorderStatus status;
  gboolean closed;

  pthread_mutex_lock (&self->lock);
  closed = self->closed;
  pthread_mutex_unlock (&self->lock);

  if (closed)
    {
      take_result (self);
      return;
    }

  fil_live_get_recording (self, &status);
  if (self->finisher == NULL && fil_live_is_recording (self) && status.finished)
    fil_live_finish_recording (self);
}

/* Progress; and a time limit ends a clip even where no frame comes. */
void
fil_live_record_tick (FilLive *self)
{
  if (!fil_live_is_recording (self))
    return;

  fil_live_record_collect (self);
  if (fil_live_is_recording (self))
    fil_live_emit (self, "recording-changed");
}

/**
 * fil_live_record:
 * @options: what and where; `wait` is the source's to say
 *
 * Begins a clip with the next frame. May be called before the start, so that
 * the very first frame is recorded.
 */
gboolean
fil_live_record (FilLive                  *self,
                 const FilRecorderOptions *options,
                 GError                  **error)
{
  FilRecorderOptions own;
  FilClipInfo info;
  FilPlace place;
  FilRecorder *recorder;

  g_return_val_if_fail (FIL_IS_LIVE (self) && options != NULL, FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  if (fil_live_is_recording (self))
    {
      g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_RECORDING,
                           _("A clip is being recorded already"));
      return FALSE;
    }

  own = *options;
  own.wait = self->info.waits;
  fil_live_fill_info (self, &own, &place, &info);
  recorder = fil_recorder_new (&own, &info, error);
  if (recorder == NULL)
    return FALSE;

  g_free (self->record_path);
  self->record_path = g_strdup (options->path);
  g_clear_error (&self->record_error);
  pthread_mutex_lock (&self->lock);
  self->recorder = recorder;
  pthread_mutex_unlock (&self->lock);
  fil_live_emit (self, "recording-changed");

  return TRUE;
}

/* TRUE until the clip is closed and "recording-changed" has told so. */
gboolean
fil_live_is_recording (FilLive *self)
{
  gboolean recording;

  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);

  pthread_mutex_lock (&self->lock);
  recording = self->recorder != NULL || self->closing != NULL || self->closed;
  pthread_mutex_unlock (&self->lock);

  return recording;
}

/* Fills @status of the clip in hand, or of the last one. */
void
fil_live_get_recording (FilLive           *self,
                        FilRecorderStatus *status)
{
  FilRecorder *recorder;

  g_return_if_fail (FIL_IS_LIVE (self) && status != NULL);

  pthread_mutex_lock (&self->lock);
  recorder = self->recorder != NULL ? self->recorder : self->closing;
  if (recorder != NULL)
    fil_recorder_get_status (recorder, status);
  else
    *status = self->closed ? self->closed_status : self->record_status;
  pthread_mutex_unlock (&self->lock);
}

/* Returns: (nullable): where the clip in hand is, or the last one */
const char *
fil_live_get_recording_path (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->record_path;
}

/* Returns: (nullable): what went wrong with the last clip; %NULL: it is whole */
const char *
fil_live_get_recording_error (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->record_error != NULL ? self->record_error->message : NULL;
}

/**
 * fil_live_end_recording:
 * @status: (out) (nullable): the final figures
 * @error: why the clip is not all that was asked for
 *
 * Ends the clip, if one is in hand, and waits until it is closed.
 *
 * Returns: whether the clip, or the last one, is all that was asked for
 */
gboolean
fil_live_end_recording (FilLive           *self,
                        FilRecorderStatus *status,
                        GError           **error)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);

  if (fil_live_is_recording (self))
    {
      fil_live_finish_recording (self);
      take_result (self);
    }

  if (status != NULL)
    *status = self->record_status;
  if (self->record_error == NULL)
    return TRUE;

  g_propagate_error (error, g_error_copy (self->record_error));

  return FALSE;
}

/**
 * fil_live_snapshot:
 * @path: ends in .png or .fits; must not exist
 *
 * Saves the newest frame. Takes as long as the disk does.
 */
gboolean
fil_live_snapshot (FilLive    *self,
                   const char *path,
                   GError    **error)
{
  static const FilRecorderOptions whole = { 0 };
  g_autoptr (FilFrame) frame = NULL;
  FilClipInfo info;
  FilPlace place;

  g_return_val_if_fail (FIL_IS_LIVE (self) && path != NULL, FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;
  frame = fil_live_dup_frame (self);
  if (frame == NULL)
    {
      g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_FRAME,
                           _("No picture has come yet"));
      return FALSE;
    }

  fil_live_fill_info (self, &whole, &place, &info);

  return fil_snapshot_save (path, frame, &info, error);
}
