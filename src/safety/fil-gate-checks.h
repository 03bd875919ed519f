/* fil-gate-checks.h: what has to be looked at before the light may come in
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-gate.h"
#include "fil-light-path.h"

G_BEGIN_DECLS

GPtrArray *fil_gate_checks_list (const FilLightPath *path);   /* of FilGateCheck, owned */

G_END_DECLS
