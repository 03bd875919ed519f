/* fil-finding-mend.h: what to do about a finding
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include "fil-findings.h"
#include "fil-light-path.h"

G_BEGIN_DECLS

void fil_finding_fill (FilFinding         *finding,
                       const FilRig       *rig,
                       const FilLightPath *path);

G_END_DECLS
