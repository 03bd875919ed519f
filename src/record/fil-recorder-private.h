/* fil-recorder-private.h: what the recorder's threads share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <pthread.h>

#include "fil-block-ring.h"
#include "fil-clip-writer.h"
#include "fil-recorder.h"

G_BEGIN_DECLS

struct _FilRecorder
{
  /* Set before any thread runs; the first offer completes them. */
  FilRecorderOptions    options;       /* options.path is owned */
  FilClipInfo          *info;          /* owned */
  FilBlockRing         *ring;
  gsize                 block_bytes;
  GThread              *measurer, *writing;

  /* Capture thread; the others read them once a block has come. */
  const FilPixelFormat *format;        /* of the first frame; NULL: none yet */
  const FilPixelFormat *stored;        /* the same as the blocks have it */
  int                   source_width, source_height;
  FilClock              clock;
  gint64                first_time_ns, utc_begin_ns, utc_offset_ns;
  guint64               last_sequence;
  gint32                pending_marks;

  /* Writing thread, then whoever finishes. */
  FilClipWriter        *writer;
  GError               *failure;       /* of the disk */

  pthread_mutex_t       lock;          /* guards the fields below */
  FilRecorderStatus     status;
  gint64                first_arrival_us;  /* monotonic; 0: nothing has come */
  FilDepth              depth;         /* as learnt so far */
  char                 *reason;        /* why it was cut short, NULL: it was not */
  gboolean              done;          /* finish() has run */
};

/* fil-recorder-threads.c */
gpointer fil_recorder_measure (gpointer recorder);
gpointer fil_recorder_write   (gpointer recorder);

G_END_DECLS
