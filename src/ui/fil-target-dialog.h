/* fil-target-dialog.h: a target is named and placed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-target-list.h"

G_BEGIN_DECLS

/* Where the patch lies on the Sun now, so far as that is known. */
typedef struct
{
  gboolean known;
  double   latitude_deg, longitude_deg;   /* heliographic, Stonyhurst */
} FilPatchPlace;

#define FIL_TYPE_TARGET_DIALOG (fil_target_dialog_get_type ())
G_DECLARE_FINAL_TYPE (FilTargetDialog, fil_target_dialog, FIL, TARGET_DIALOG, AdwMessageDialog)

/* The response "save" comes only where the target is whole. */
FilTargetDialog *fil_target_dialog_new        (GtkWindow           *parent,
                                               FilTargetList       *list,
                                               const FilTarget     *edited,
                                               gint64               utc_ns,
                                               const FilPatchPlace *patch);
FilTarget       *fil_target_dialog_dup_target (FilTargetDialog     *self);

G_END_DECLS
