/* fil-file-name.h: names for new clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

char *fil_file_name_expand  (const char *pattern,
                             const char *rig_name,
                             GDateTime  *utc,
                             int         number);
char *fil_file_name_new_path(const char *folder,
                             const char *pattern,
                             const char *rig_name,
                             GDateTime  *utc,
                             const char *ending);

G_END_DECLS
