/* fil-gate-pass.h: leave to let sunlight reach a live camera
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilGatePass:
 *
 * Bound to one plugging-in of one device, one state of one rig and a
 * deadline. Only fil-gate.c makes it. Immutable and reference-counted:
 * any thread.
 */
typedef struct _FilGatePass FilGatePass;

FilGatePass *fil_gate_pass_ref             (FilGatePass       *pass);
void         fil_gate_pass_unref           (FilGatePass       *pass);
gboolean     fil_gate_pass_covers          (const FilGatePass *pass,
                                            const char        *device_identity,
                                            GError           **error);
gint64       fil_gate_pass_get_remaining_s (const FilGatePass *pass);
gint64       fil_gate_pass_get_confirmed_utc_ns (const FilGatePass *pass);
const char  *fil_gate_pass_get_confirmed   (const FilGatePass *pass);  /* for the clip's header */
const char  *fil_gate_pass_get_rig_digest  (const FilGatePass *pass);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilGatePass, fil_gate_pass_unref)

G_END_DECLS
