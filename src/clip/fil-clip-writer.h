/* fil-clip-writer.h: a growing clip, readable at any moment
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"

G_BEGIN_DECLS

/* One writer belongs to one thread. */
typedef struct _FilClipWriter FilClipWriter;

FilClipWriter *fil_clip_writer_new       (const char         *path,
                                          const FilClipInfo  *info,
                                          gint64              utc_begin_ns,
                                          gboolean            replace,
                                          GError            **error);
gboolean       fil_clip_writer_append    (FilClipWriter      *writer,
                                          const guint8       *stored,
                                          const FilClipRow   *rows,
                                          guint               n_frames,
                                          GError            **error);
gboolean       fil_clip_writer_flush     (FilClipWriter      *writer,
                                          GError            **error);
guint64        fil_clip_writer_get_frames (const FilClipWriter *writer);
void           fil_clip_writer_set_depth (FilClipWriter      *writer,
                                          const FilDepth     *depth);
void           fil_clip_writer_set_losses (FilClipWriter     *writer,
                                          guint64             lost,
                                          guint64             source_gaps);
void           fil_clip_writer_set_clock_drift (FilClipWriter *writer,
                                          double              drift_s);
gboolean       fil_clip_writer_close     (FilClipWriter      *writer,
                                          GError            **error);
gboolean       fil_clip_writer_close_counted (FilClipWriter *writer,
                                          guint64            *n_frames,
                                          GError            **error);
void           fil_clip_writer_discard   (FilClipWriter      *writer);

G_END_DECLS
