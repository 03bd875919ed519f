/* fil-clip-room.h: room on the disk, kept before it is needed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Reserved ends of a growing clip and of its journal. */
typedef struct
{
  int      clip_fd;
  int      journal_fd;
  guint64  tables_bytes;    /* without the rows of FRAMES */
  guint64  clip_end;
  guint64  journal_end;
  gboolean off;             /* the file system can't */
} FilClipRoom;

void     fil_clip_room_init    (FilClipRoom *room,
                                int          clip_fd,
                                int          journal_fd,
                                guint64      tables_bytes);
gboolean fil_clip_room_reserve (FilClipRoom *room,
                                guint64      data_end,
                                guint64      n_frames,
                                GError     **error);

G_END_DECLS
