/* fil-live-sink.c: the capture thread's side of the running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-live-private.h"

/* The recorder copies first: what is looked at may be passed over, what is
 * recorded may not. */
static void
take_frame (FilSource *source,
            FilFrame  *frame,
            gpointer   user_data)
{
  FilLive *self = user_data;

  fil_live_record_offer (self, frame);
  fil_mailbox_put (&self->mailbox, frame);
  fil_live_post (self, FIL_POST_FRAME);
}

static void
take_state (FilSource      *source,
            FilSourceState  state,
            const GError   *error,
            gpointer        user_data)
{
  FilLive *self = user_data;

  pthread_mutex_lock (&self->lock);
  self->source_state = state;
  g_clear_error (&self->source_error);
  if (error != NULL)
    self->source_error = g_error_copy (error);
  pthread_mutex_unlock (&self->lock);

  fil_live_post (self, FIL_POST_SOURCE);
}

static gboolean
is_listed (const GArray *ids,
           guint32       id)
{
  for (guint i = 0; i < ids->len; i++)
    if (g_array_index (ids, guint32, i) == id)
      return TRUE;

  return FALSE;
}

static void
take_control (FilSource *source,
              guint32    id,
              gpointer   user_data)
{
  FilLive *self = user_data;

  pthread_mutex_lock (&self->lock);
  self->settings_serial++;
  if (!is_listed (self->changed_controls, id))
    g_array_append_val (self->changed_controls, id);
  pthread_mutex_unlock (&self->lock);

  fil_live_post (self, FIL_POST_CONTROL);
}

const FilSourceSink fil_live_sink = { take_frame, take_state, take_control };
