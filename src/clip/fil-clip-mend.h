/* fil-clip-mend.h: completing a clip whose writer died
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean fil_clip_mend (const char *path,
                        guint64    *n_frames,
                        char      **mended_path,
                        GError    **error);

G_END_DECLS
