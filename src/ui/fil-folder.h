/* fil-folder.h: where clips go
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

char    *fil_folder_dup    (GSettings *settings);
gboolean fil_folder_ensure (GSettings *settings,
                            char     **path,
                            GError   **error);

G_END_DECLS
