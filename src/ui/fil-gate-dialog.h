/* fil-gate-dialog.h: asks whether the solar filter is in place
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-gate.h"

G_BEGIN_DECLS

#define FIL_TYPE_GATE_DIALOG (fil_gate_dialog_get_type ())
G_DECLARE_FINAL_TYPE (FilGateDialog, fil_gate_dialog, FIL, GATE_DIALOG, AdwWindow)

/* Signals: "confirmed" (FilGatePass *pass), a boxed pointer lent for the call. */
FilGateDialog *fil_gate_dialog_new (GtkWindow  *parent,
                                    FilRig     *rig,
                                    const char *device_identity,
                                    GError    **error);

G_END_DECLS
