/* fil-recorder.h: how frames become a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"
#include "fil-frame.h"

G_BEGIN_DECLS

#define FIL_RECORDER_ERROR (fil_recorder_error_quark ())

typedef enum
{
  FIL_RECORDER_ERROR_NO_FRAME,   /* nothing came: no clip is left behind */
  FIL_RECORDER_ERROR_CUT_SHORT,  /* "N frames kept: REASON" */
  FIL_RECORDER_ERROR_MEMORY,     /* no room for the queue */
  FIL_RECORDER_ERROR_CUT,        /* the cut lies beyond the picture */
} FilRecorderError;

GQuark fil_recorder_error_quark (void);

#define FIL_RECORDER_QUEUE_MIB 512

typedef struct
{
  const char *path;
  gboolean    replace;         /* --force: the finished clip takes the old one's name */
  guint64     max_frames;      /* 0: no limit */
  double      max_seconds;     /* 0: no limit */
  guint       queue_mib;       /* bound of the blocks in memory, 0: the standard one; at
                                * least two frames are held */
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
  double   seconds;            /* since the first frame's arrival; in the end: until the
                                * last byte was on the disk */
  double   queue_fill;         /* 0 to 1 */
  gboolean finished;           /* it takes no more: finish it */
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
void         fil_recorder_stop       (FilRecorder              *recorder,
                                      const char               *reason);
void         fil_recorder_get_status (FilRecorder              *recorder,
                                      FilRecorderStatus        *status);
gboolean     fil_recorder_finish     (FilRecorder              *recorder,
                                      FilRecorderStatus        *status,
                                      GError                  **error);
void         fil_recorder_free       (FilRecorder              *recorder);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilRecorder, fil_recorder_free)

G_END_DECLS
