/* fil-mailbox.h: the newest frame, for whoever comes to look
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <pthread.h>

#include "fil-frame.h"

G_BEGIN_DECLS

/**
 * FilMailbox:
 *
 * One compartment: a newer frame displaces the older one. It holds one
 * reference, and so at most one of a driver's buffers.
 */
typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t  arrived;
  FilFrame       *newest;
  guint64         count;     /* frames put in since the last reset */
  gboolean        closed;    /* takers are sent home */
} FilMailbox;

void      fil_mailbox_init  (FilMailbox *box);
void      fil_mailbox_clear (FilMailbox *box);
void      fil_mailbox_reset (FilMailbox *box);
void      fil_mailbox_close (FilMailbox *box);
void      fil_mailbox_put   (FilMailbox *box,
                             FilFrame   *frame);
FilFrame *fil_mailbox_dup   (FilMailbox *box);
FilFrame *fil_mailbox_wait  (FilMailbox *box,
                             guint64    *seen);
guint64   fil_mailbox_count (FilMailbox *box);

G_END_DECLS
