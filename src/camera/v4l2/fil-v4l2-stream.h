/* fil-v4l2-stream.h: the capture thread of one camera
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"
#include "fil-v4l2-mode.h"

G_BEGIN_DECLS

typedef struct _FilV4l2Stream FilV4l2Stream;

FilV4l2Stream *fil_v4l2_stream_start    (FilSource           *source,
                                         const FilV4l2Device *device,
                                         const FilV4l2Mode   *mode,
                                         const FilGatePass   *pass,
                                         const FilSourceSink *sink,
                                         gpointer             user_data,
                                         GError             **error);
void           fil_v4l2_stream_end      (FilV4l2Stream       *stream);
gboolean       fil_v4l2_stream_renew    (FilV4l2Stream       *stream,
                                         const FilGatePass   *pass,
                                         GError             **error);
void           fil_v4l2_stream_touch    (FilV4l2Stream       *stream,
                                         guint32              id);
guint64        fil_v4l2_stream_get_gaps (FilV4l2Stream       *stream);

G_END_DECLS
