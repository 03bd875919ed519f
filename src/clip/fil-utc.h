/* fil-utc.h: moments as FITS writes them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

char    *fil_utc_format (gint64      utc_ns);
gboolean fil_utc_parse  (const char *text,
                         gint64     *utc_ns);

G_END_DECLS
