/* fil-rig-history.h: the steps of editing a rig, back and forth
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

G_BEGIN_DECLS

typedef struct _FilRigHistory FilRigHistory;

FilRigHistory *fil_rig_history_new           (void);
void           fil_rig_history_free          (FilRigHistory       *self);
void           fil_rig_history_push          (FilRigHistory       *self,
                                              FilRig              *before,
                                              const char          *what,
                                              const char          *field);
void           fil_rig_history_seal          (FilRigHistory       *self);
FilRig        *fil_rig_history_undo          (FilRigHistory       *self,
                                              FilRig              *present);
FilRig        *fil_rig_history_redo          (FilRigHistory       *self,
                                              FilRig              *present);
const char    *fil_rig_history_get_undo_text (const FilRigHistory *self);   /* NULL: none */
const char    *fil_rig_history_get_redo_text (const FilRigHistory *self);   /* NULL: none */

G_END_DECLS
