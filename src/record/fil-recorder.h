/* fil-recorder.h: how frames become a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"
#include "fil-frame.h"

G_BEGIN_DECLS

typedef struct
{
  const char *path;
  gboolean    replace;         /* --force: the finished clip takes the old one's name */
  guint64     max_frames;      /* 0: no limit */
  double      max_seconds;     /* 0: no limit */
  guint       queue_mib;       /* bound of the blocks in memory */
  FilRect     cut;             /* software cut of each frame, from the top left; width 0: none */
  gboolean    wait;            /* a source that waits: hold it up rather than lose a frame */
} FilRecorderOptions;

typedef struct
{
  guint64  frames;             /* on their way or on disk */
  guint64  written;            /* on disk */
  guint64  lost;               /* offered while the queue was full */
  guint64  source_gaps;        /* the source's own losses, from its sequence numbers */
  guint64  damaged;            /* flagged by the driver, kept and marked */
  guint64  bytes;
  double   seconds;            /* first to last frame's arrival */
  double   queue_fill;         /* 0 to 1 */
  gboolean finished;           /* a limit was reached or it failed: finish it */
} FilRecorderStatus;

/**
 * FilRecorder:
 *
 * offer() is for the capture thread alone; the rest for any thread.
 */
typedef struct _FilRecorder FilRecorder;

FilRecorder *fil_recorder_new        (const FilRecorderOptions *options,
                                      const FilClipInfo        *info,
                                      GError                  **error);
gboolean     fil_recorder_offer      (FilRecorder              *recorder,
                                      const FilFrame           *frame);
void         fil_recorder_get_status (FilRecorder              *recorder,
                                      FilRecorderStatus        *status);
gboolean     fil_recorder_finish     (FilRecorder              *recorder,
                                      FilRecorderStatus        *status,
                                      GError                  **error);
void         fil_recorder_free       (FilRecorder              *recorder);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilRecorder, fil_recorder_free)

G_END_DECLS
