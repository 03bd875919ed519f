/* fil-clip-sync.h: keeps a growing clip flushed, beside its writer
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilClipSync:
 *
 * A thread that twice a second brings what was written to the disk: frames,
 * then their rows, then the card that counts them. The writer goes on
 * meanwhile. All functions are for the writer's thread.
 */
typedef struct _FilClipSync FilClipSync;

FilClipSync *fil_clip_sync_new    (int           clip_fd,
                                   int           journal_fd,
                                   guint64       data_start,
                                   guint64       frame_bytes,
                                   guint64       journal_start);
void         fil_clip_sync_lock   (FilClipSync  *sync);
void         fil_clip_sync_unlock (FilClipSync  *sync,
                                   const guint8 *records,
                                   guint         n_frames);
gboolean     fil_clip_sync_check  (FilClipSync  *sync,
                                   GError      **error);
gboolean     fil_clip_sync_flush  (FilClipSync  *sync,
                                   GError      **error);
guint64      fil_clip_sync_stop   (FilClipSync  *sync);

G_END_DECLS
