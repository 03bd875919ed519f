/* fil-shelf-aim.h: finding the Sun, and knowing which way is north
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"
#include "fil-place.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_AIM (fil_shelf_aim_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfAim, fil_shelf_aim, FIL, SHELF_AIM, GtkBox)

/* Signal "oriented" (gpointer const FilDrift *): the observer takes over what
 * a drift run has measured. */
void        fil_shelf_aim_set_live     (FilShelfAim    *self,
                                        FilLive        *live);
void        fil_shelf_aim_set_settings (FilShelfAim    *self,
                                        GSettings      *settings);
void        fil_shelf_aim_set_rig      (FilShelfAim    *self,
                                        FilRig         *rig);
void        fil_shelf_aim_set_place    (FilShelfAim    *self,
                                        const FilPlace *place,
                                        const FilSun   *sun);
void        fil_shelf_aim_restart      (FilShelfAim    *self);
void        fil_shelf_aim_begin_run    (FilShelfAim    *self);
void        fil_shelf_aim_begin_check  (FilShelfAim    *self);
gboolean    fil_shelf_aim_next         (FilShelfAim    *self);
gboolean    fil_shelf_aim_back         (FilShelfAim    *self);

G_END_DECLS
