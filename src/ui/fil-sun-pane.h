/* fil-sun-pane.h: the Sun's numbers of one moment, as a calm list
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-sun.h"

G_BEGIN_DECLS

#define FIL_TYPE_SUN_PANE (fil_sun_pane_get_type ())
G_DECLARE_FINAL_TYPE (FilSunPane, fil_sun_pane, FIL, SUN_PANE, GtkBox)

void fil_sun_pane_set_sun (FilSunPane   *self,
                           const FilSun *sun);

G_END_DECLS
