/* fil-spot-dialog.h: asks where on the Sun the spot is that will be clicked
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

#define FIL_TYPE_SPOT_DIALOG (fil_spot_dialog_get_type ())
G_DECLARE_FINAL_TYPE (FilSpotDialog, fil_spot_dialog, FIL, SPOT_DIALOG, AdwMessageDialog)

/* Signal "spot" (double latitude_deg, double longitude_deg): Stonyhurst, west
 * positive; the dialog is closed then. */
FilSpotDialog *fil_spot_dialog_new      (GtkWindow     *parent);
void           fil_spot_dialog_set_spot (FilSpotDialog *self,
                                         const char    *name,
                                         double         latitude_deg,
                                         double         longitude_deg);

G_END_DECLS
