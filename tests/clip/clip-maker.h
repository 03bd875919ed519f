/* clip-maker.h: clips of known content, for the tests
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-writer.h"

G_BEGIN_DECLS

/* 2026-11-25T10:00:00.25 UTC */
#define MAKER_BEGIN_NS G_GINT64_CONSTANT (1795600800250000000)

FilClipInfo    maker_info       (int            width,
                                 int            height,
                                 int            bits);
void           maker_fill       (guint8        *stored,
                                 const FilClipInfo *info,
                                 guint64        frame);
FilClipRow     maker_row        (guint64        frame);
void           maker_append     (FilClipWriter *writer,
                                 const FilClipInfo *info,
                                 guint64        n_frames);
gboolean       maker_matches    (const guint8  *stored,
                                 const FilClipInfo *info,
                                 guint64        frame);

G_END_DECLS
