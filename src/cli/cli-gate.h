/* cli-gate.h: the gate's questions in lines of text
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdio.h>

#include "fil-gate.h"

G_BEGIN_DECLS

gboolean     fil_cli_report_refusals (const FilRig *rig,
                                      FILE         *out);
FilGatePass *fil_cli_ask_gate        (FilGate      *gate,
                                      FILE         *in,
                                      FILE         *out,
                                      GError      **error);

G_END_DECLS
