/* fil-mailbox.c: the newest frame, for whoever comes to look
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-mailbox.h"

void
fil_mailbox_init (FilMailbox *box)
{
  *box = (FilMailbox) { .newest = NULL };
  pthread_mutex_init (&box->lock, NULL);
  pthread_cond_init (&box->arrived, NULL);
}

/* Once nobody else uses it. */
void
fil_mailbox_clear (FilMailbox *box)
{
  g_clear_pointer (&box->newest, fil_frame_unref);
  pthread_cond_destroy (&box->arrived);
  pthread_mutex_destroy (&box->lock);
}

static void
change (FilMailbox *box,
        gboolean    closed)
{
  FilFrame *old;

  pthread_mutex_lock (&box->lock);
  old = g_steal_pointer (&box->newest);
  box->closed = closed;
  if (!closed)
    box->count = 0;
  pthread_cond_broadcast (&box->arrived);
  pthread_mutex_unlock (&box->lock);

  g_clear_pointer (&old, fil_frame_unref);
}

/* Empties it and opens it again; the count starts anew. */
void
fil_mailbox_reset (FilMailbox *box)
{
  change (box, FALSE);
}

/* Gives its frame back and wakes fil_mailbox_wait(). */
void
fil_mailbox_close (FilMailbox *box)
{
  change (box, TRUE);
}

/* Any thread; takes a reference of its own. Frames that come after the close
 * are not kept. */
void
fil_mailbox_put (FilMailbox *box,
                 FilFrame   *frame)
{
  FilFrame *old = NULL;

  pthread_mutex_lock (&box->lock);
  if (!box->closed)
    {
      old = box->newest;
      box->newest = fil_frame_ref (frame);
      box->count++;
      pthread_cond_broadcast (&box->arrived);
    }
  pthread_mutex_unlock (&box->lock);

  /* Outside the lock: the last reference may queue a buffer with a driver. */
  g_clear_pointer (&old, fil_frame_unref);
}

/* Returns: (transfer full) (nullable): the newest frame. Any thread. */
FilFrame *
fil_mailbox_dup (FilMailbox *box)
{
  FilFrame *frame = NULL;

  pthread_mutex_lock (&box->lock);
  if (box->newest != NULL)
    frame = fil_frame_ref (box->newest);
  pthread_mutex_unlock (&box->lock);

  return frame;
}

/**
 * fil_mailbox_wait:
 * @seen: (inout): the count at the caller's last visit
 *
 * Blocks until a frame has come that the caller has not seen. Frames between
 * are passed over.
 *
 * Returns: (transfer full) (nullable): the newest, or %NULL once it is closed
 */
FilFrame *
fil_mailbox_wait (FilMailbox *box,
                  guint64    *seen)
{
  FilFrame *frame = NULL;

  pthread_mutex_lock (&box->lock);
  while (!box->closed && (box->newest == NULL || box->count == *seen))
    pthread_cond_wait (&box->arrived, &box->lock);
  if (!box->closed)
    {
      frame = fil_frame_ref (box->newest);
      *seen = box->count;
    }
  pthread_mutex_unlock (&box->lock);

  return frame;
}

/* Returns: frames put in since the last reset. Any thread. */
guint64
fil_mailbox_count (FilMailbox *box)
{
  guint64 count;

  pthread_mutex_lock (&box->lock);
  count = box->count;
  pthread_mutex_unlock (&box->lock);

  return count;
}
