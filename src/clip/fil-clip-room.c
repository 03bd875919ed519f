/* fil-clip-room.c: room on the disk, kept before it is needed
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Blocks are allocated ahead of the frames, always with what the tables of
 * these frames will take: a full disk is noticed while the clip can still be
 * closed whole. The file doesn't get longer by it. */

#include <errno.h>
#include <fcntl.h>

#include <glib/gi18n-lib.h>

#include "fil-cards.h"
#include "fil-clip-io.h"
#include "fil-clip-room.h"
#include "fil-journal.h"

#define CLIP_STEP (G_GUINT64_CONSTANT (256) << 20)
#define JOURNAL_STEP (G_GUINT64_CONSTANT (256) << 10)

void
fil_clip_room_init (FilClipRoom *room,
                    int          clip_fd,
                    int          journal_fd,
                    guint64      tables_bytes)
{
  *room = (FilClipRoom) {
    .clip_fd = clip_fd, .journal_fd = journal_fd, .tables_bytes = tables_bytes,
  };
}

/* Returns: 0, or an errno */
static int
allocate (int      fd,
          guint64 *end,
          guint64  wanted)
{
  int code;

  do
    code = fallocate (fd, FALLOC_FL_KEEP_SIZE, (off_t) *end, (off_t) (wanted - *end)) == 0
             ? 0 : errno;
  while (code == EINTR);
  if (code == 0)
    *end = wanted;

  return code;
}

/* In large steps while there is plenty, to the byte when there isn't. */
static int
extend (int      fd,
        guint64 *end,
        guint64  needed,
        guint64  step)
{
  int code;

  if (needed <= *end)
    return 0;

  code = allocate (fd, end, needed + step);

  return code == ENOSPC || code == EDQUOT ? allocate (fd, end, needed) : code;
}

/**
 * fil_clip_room_reserve:
 * @data_end: byte behind the last of @n_frames frames
 *
 * Returns: %FALSE where frames, tables and journal have no room together; a
 *   file system that can't reserve is no error
 */
gboolean
fil_clip_room_reserve (FilClipRoom *room,
                       guint64      data_end,
                       guint64      n_frames,
                       GError     **error)
{
  const guint64 clip_needed = data_end + room->tables_bytes +
                              n_frames * FIL_CLIP_ROW_BYTES + 3 * FIL_FITS_BLOCK;
  const guint64 journal_needed = (n_frames + 1) * FIL_JOURNAL_RECORD_BYTES +
                                 room->tables_bytes + 64 * FIL_FITS_BLOCK;
  int code;

  if (room->off)
    return TRUE;

  code = extend (room->journal_fd, &room->journal_end, journal_needed, JOURNAL_STEP);
  if (code == 0)
    code = extend (room->clip_fd, &room->clip_end, clip_needed, CLIP_STEP);
  if (code == ENOSPC || code == EDQUOT)
    return fil_clip_set_errno (error, code, _("writing failed"));
  room->off = code != 0;

  return TRUE;
}
