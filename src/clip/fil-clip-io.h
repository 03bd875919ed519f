/* fil-clip-io.h: writing to a growing clip, errors told apart
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip.h"

G_BEGIN_DECLS

gboolean fil_clip_set_errno   (GError      **error,
                               int           code,
                               const char   *what);
gboolean fil_clip_write_at    (int           fd,
                               guint64       offset,
                               gconstpointer data,
                               gsize         length,
                               GError      **error);
gboolean fil_clip_write_zeros (int           fd,
                               guint64       offset,
                               gsize         length,
                               GError      **error);
gboolean fil_clip_sync        (int           fd,
                               GError      **error);
gboolean fil_clip_sync_folder (const char   *path,
                               GError      **error);

G_END_DECLS
