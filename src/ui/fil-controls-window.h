/* fil-controls-window.h: everything that a camera's driver offers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_CONTROLS_WINDOW (fil_controls_window_get_type ())
G_DECLARE_FINAL_TYPE (FilControlsWindow, fil_controls_window, FIL, CONTROLS_WINDOW, AdwWindow)

FilControlsWindow *fil_controls_window_new (GtkWindow *parent,
                                            FilLive   *live);

G_END_DECLS
