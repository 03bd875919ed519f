/* fil-preferences.h: what stays as the user likes it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

#define FIL_TYPE_PREFERENCES (fil_preferences_get_type ())
G_DECLARE_FINAL_TYPE (FilPreferences, fil_preferences, FIL, PREFERENCES, AdwPreferencesWindow)

FilPreferences *fil_preferences_new (GtkWindow *parent,
                                     GSettings *settings);

G_END_DECLS
