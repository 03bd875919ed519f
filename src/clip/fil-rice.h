/* fil-rice.h: whether a Rice-coded tile is sound
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean fil_rice_is_sound (const guint8 *data,
                            gsize         length,
                            guint64       n_pixels,
                            int           block_pixels,
                            int           pixel_bytes);

G_END_DECLS
