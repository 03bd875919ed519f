/* fil-light-slot.h: one element's place in the picture of the light path
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_LIGHT_SLOT_QUIET 3   /* above every FilFindingLevel: nothing found */

#define FIL_TYPE_LIGHT_SLOT (fil_light_slot_get_type ())

G_DECLARE_FINAL_TYPE (FilLightSlot, fil_light_slot, FIL, LIGHT_SLOT, GtkButton)

FilLightSlot *fil_light_slot_new          (int           index);
int           fil_light_slot_get_index    (FilLightSlot *self);
void          fil_light_slot_show         (FilLightSlot *self,
                                           const FilRig *rig,
                                           int           level);
void          fil_light_slot_set_selected (FilLightSlot *self,
                                           gboolean      selected);

G_END_DECLS
