/* fil-mode-group.h: format, size and rate of a source
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_MODE_GROUP (fil_mode_group_get_type ())
G_DECLARE_FINAL_TYPE (FilModeGroup, fil_mode_group, FIL, MODE_GROUP, AdwPreferencesGroup)

/* Signals: "refused" (const char *text). */
GtkWidget *fil_mode_group_new (FilLive *live);

G_END_DECLS
