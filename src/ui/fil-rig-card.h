/* fil-rig-card.h: one element of the rig, or the rig itself, with all it says
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig-document.h"

G_BEGIN_DECLS

#define FIL_TYPE_RIG_CARD (fil_rig_card_get_type ())

G_DECLARE_FINAL_TYPE (FilRigCard, fil_rig_card, FIL, RIG_CARD, GtkBox)

void fil_rig_card_set_document (FilRigCard       *self,
                                FilRigDocument   *document);
void fil_rig_card_show         (FilRigCard       *self,
                                int               index,
                                const GPtrArray  *findings);
void fil_rig_card_flush        (FilRigCard       *self);
void fil_rig_card_take_focus   (FilRigCard       *self);

G_END_DECLS
