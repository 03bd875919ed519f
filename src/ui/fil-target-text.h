/* fil-target-text.h: a target's place in words, and places that were typed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-target.h"

G_BEGIN_DECLS

char    *fil_target_text_offset    (const FilTargetPlace *place);
char    *fil_target_text_limb      (gboolean              seen,
                                    gboolean              found,
                                    gint64                limb_utc_ns,
                                    gint64                utc_ns);
char    *fil_target_text_ago       (gint64                sighted_utc_ns,
                                    gint64                utc_ns);
char    *fil_target_text_latitude  (double                latitude_deg);
char    *fil_target_text_longitude (double                longitude_deg);
char    *fil_target_text_place     (double                latitude_deg,
                                    double                longitude_deg);
char    *fil_target_text_moment    (gint64                utc_ns,
                                    gint64                now_utc_ns);
gboolean fil_target_text_parse     (const char           *text,
                                    gboolean              latitude,
                                    double               *value_deg);

G_END_DECLS
