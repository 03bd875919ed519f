/* fil-target-row.h: one target of the list, with its place now
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-target.h"

G_BEGIN_DECLS

#define FIL_TYPE_TARGET_ROW (fil_target_row_get_type ())
G_DECLARE_FINAL_TYPE (FilTargetRow, fil_target_row, FIL, TARGET_ROW, GtkListBoxRow)

/* Signal: "current-toggled" (gboolean): the observer chose it as the target
 * that is recorded, or gave that up. */
GtkWidget  *fil_target_row_new         (void);
void        fil_target_row_show        (FilTargetRow    *self,
                                        const FilTarget *target,
                                        FilRotation      rotation,
                                        gint64           utc_ns,
                                        const FilSun    *sun,
                                        gboolean         current);
const char *fil_target_row_get_name    (FilTargetRow    *self);

G_END_DECLS
