/* fil-targets-pane.h: the observer's targets, and where they stand
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-disc-map.h"
#include "fil-target-dialog.h"

G_BEGIN_DECLS

#define FIL_TARGETS_CLOCK G_MININT64   /* the time shown is now, and goes on */

#define FIL_TYPE_TARGETS_PANE (fil_targets_pane_get_type ())
G_DECLARE_FINAL_TYPE (FilTargetsPane, fil_targets_pane, FIL, TARGETS_PANE, GtkWidget)

/* Signal: "target-changed" (): another target is recorded, or none. */
GtkWidget     *fil_targets_pane_new         (void);
GtkWidget     *fil_targets_pane_new_for_path (const char          *path);
void           fil_targets_pane_set_time    (FilTargetsPane      *self,
                                             gint64               utc_ns);
void           fil_targets_pane_set_patch   (FilTargetsPane      *self,
                                             const FilPatchPlace *patch);
void           fil_targets_pane_set_map     (FilTargetsPane      *self,
                                             FilDiscMap          *map);
const char    *fil_targets_pane_get_current (FilTargetsPane      *self);
FilTargetList *fil_targets_pane_get_list    (FilTargetsPane      *self);

G_END_DECLS
