/* fil-spoken-name.h: names for screen readers where the toolkit leaves none
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

void fil_spoken_name_menu_button (GtkMenuButton   *button,
                                  const char      *name);
void fil_spoken_name_toasts      (AdwToastOverlay *overlay);
