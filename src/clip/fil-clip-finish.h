/* fil-clip-finish.h: from a growing clip to a whole one
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-journal.h"

G_BEGIN_DECLS

/**
 * FilClipFinish:
 * @fd: the growing clip, open for reading and writing
 * @path: its present name; the journal lies beside it
 * @final_path: the name it gets
 * @n_frames: whole frames in it, at most the journal's records; fewer
 *   afterwards where a full disk left no room for the tables
 * @data_sum: of just these frames; @have_sum is %FALSE where it has to be read
 * @clock_drift_s: NaN: unknown
 */
typedef struct
{
  int         fd;
  const char *path;
  const char *final_path;
  FilJournal *journal;
  guint64     frame_bytes;
  guint64     n_frames;
  gboolean    have_sum;
  guint32     data_sum;
  double      clock_drift_s;
  gboolean    have_books;     /* depth and losses below, else the journal's last word */
  FilDepth    depth;
  guint64     lost;
  guint64     source_gaps;
} FilClipFinish;

gboolean fil_clip_finish (FilClipFinish *job,
                          GError       **error);

G_END_DECLS
