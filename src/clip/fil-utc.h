/* fil-utc.h: moments as FITS writes them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

char    *fil_utc_format           (gint64       utc_ns);
gboolean fil_utc_parse            (const char  *text,
                                   gint64      *utc_ns);

/* The pieces of such a moment; each moves @at behind what it took. */
gboolean fil_utc_take_digits      (const char **at,
                                   int          n,
                                   int         *value);
gboolean fil_utc_take_char        (const char **at,
                                   char         wanted);
gboolean fil_utc_take_date        (const char **at,
                                   int         *year,
                                   int         *month,
                                   int         *day);
gint64   fil_utc_take_fraction_ns (const char **at);

G_END_DECLS
