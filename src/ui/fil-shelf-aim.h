/* fil-shelf-aim.h: finding the Sun and framing it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_AIM (fil_shelf_aim_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfAim, fil_shelf_aim, FIL, SHELF_AIM, GtkBox)

void fil_shelf_aim_set_live (FilShelfAim *self,
                             FilLive     *live);
void fil_shelf_aim_set_rig  (FilShelfAim *self,
                             FilRig      *rig);

G_END_DECLS
