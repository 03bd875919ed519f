/* fil-shelf-expose.h: an exposure that neither clips nor smears
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_EXPOSE (fil_shelf_expose_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfExpose, fil_shelf_expose, FIL, SHELF_EXPOSE, GtkBox)

/* Signals: "stretch-changed" (double black, double white), shares of full. */
void fil_shelf_expose_set_live     (FilShelfExpose *self,
                                    FilLive        *live);
void fil_shelf_expose_set_settings (FilShelfExpose *self,
                                    GSettings      *settings);
void fil_shelf_expose_update_controls (FilShelfExpose *self);

G_END_DECLS
