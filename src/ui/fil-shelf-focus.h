/* fil-shelf-focus.h: the running focus figure
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_FOCUS (fil_shelf_focus_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfFocus, fil_shelf_focus, FIL, SHELF_FOCUS, GtkBox)

void fil_shelf_focus_set_live (FilShelfFocus *self,
                               FilLive       *live);

G_END_DECLS
