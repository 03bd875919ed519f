/* fil-window.h: the one window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-application.h"

G_BEGIN_DECLS

#define FIL_TYPE_WINDOW (fil_window_get_type ())
G_DECLARE_FINAL_TYPE (FilWindow, fil_window, FIL, WINDOW, AdwApplicationWindow)

FilWindow *fil_window_new   (FilApplication *application);
void       fil_window_begin (FilWindow      *self,
                             const char     *rig_path,
                             const char     *source_name);

G_END_DECLS
