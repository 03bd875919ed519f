/* fil-aim-run.h: what the Aim shelf says while the angle is measured
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-aim-view.h"
#include "fil-live-drift.h"

G_BEGIN_DECLS

gboolean fil_aim_run_view (const FilLiveDrift *run,
                           const FilPlace     *place,
                           const FilRig       *rig,
                           gboolean            checking,
                           double              since_s,
                           FilAimView         *view);

G_END_DECLS
