/* fil-live-view.c: what there is to look at
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-live-private.h"

/* Returns: (nullable) (transfer full): the newest frame; give it back soon,
 * it may hold one of the driver's few buffers */
FilFrame *
fil_live_dup_frame (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return fil_mailbox_dup (&self->mailbox);
}

void
fil_live_get_reading (FilLive        *self,
                      FilLiveReading *reading)
{
  g_return_if_fail (FIL_IS_LIVE (self) && reading != NULL);

  pthread_mutex_lock (&self->lock);
  *reading = self->reading;
  pthread_mutex_unlock (&self->lock);
  reading->n_frames = fil_mailbox_count (&self->mailbox);
}

/* Copies the newest dots, oldest first. Returns: how many */
guint
fil_live_get_dots (FilLive    *self,
                   FilLiveDot *dots,
                   guint       max_dots)
{
  guint n, skip;

  g_return_val_if_fail (FIL_IS_LIVE (self) && dots != NULL, 0);

  pthread_mutex_lock (&self->lock);
  n = MIN (self->n_dots, max_dots);
  skip = self->n_dots - n;
  for (guint i = 0; i < n; i++)
    dots[i] = self->dots[(self->first_dot + skip + i) % FIL_LIVE_N_DOTS];
  pthread_mutex_unlock (&self->lock);

  return n;
}

/* Begins a new segment of the trace: the mark is forgotten. */
void
fil_live_new_mark (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  pthread_mutex_lock (&self->lock);
  self->mark_serial++;
  pthread_mutex_unlock (&self->lock);
}

/* @patch: from the top left of the picture; width 0 for the default one */
void
fil_live_set_patch (FilLive       *self,
                    const FilRect *patch)
{
  g_return_if_fail (FIL_IS_LIVE (self) && patch != NULL);

  pthread_mutex_lock (&self->lock);
  self->patch = *patch;
  pthread_mutex_unlock (&self->lock);
}

/* Where sharpness is measured; width 0 where the picture is too small for any. */
void
fil_live_get_patch (FilLive *self,
                    FilRect *patch)
{
  g_return_if_fail (FIL_IS_LIVE (self) && patch != NULL);

  pthread_mutex_lock (&self->lock);
  *patch = self->patch;
  pthread_mutex_unlock (&self->lock);

  if (patch->width == 0 &&
      !fil_sharpness_default_patch (self->mode.width, self->mode.height, patch))
    *patch = (FilRect) { 0 };
}
