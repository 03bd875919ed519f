/* fil-utc-offset.h: from the monotonic clock to UTC
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

gint64 fil_utc_offset_ns (void);

G_END_DECLS
