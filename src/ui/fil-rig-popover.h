/* fil-rig-popover.h: which rig and which camera, and what the rig's numbers are
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_TYPE_RIG_POPOVER (fil_rig_popover_get_type ())
G_DECLARE_FINAL_TYPE (FilRigPopover, fil_rig_popover, FIL, RIG_POPOVER, GtkPopover)

/* Actions it calls: win.open-rig, win.demo-rig, win.source (s), win.replay. */
void fil_rig_popover_set_rig    (FilRigPopover *self,
                                 FilRig        *rig);
void fil_rig_popover_set_source (FilRigPopover *self,
                                 const char    *source_name);

G_END_DECLS
