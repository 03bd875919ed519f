/* fil-rig-guide.h: a new rig, one question at a time
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_TYPE_RIG_GUIDE (fil_rig_guide_get_type ())

/* Signals:
 * "made" (FilRig *rig): a complete rig, which nobody has saved yet
 * "demo": begin with the demo rig instead
 * The guide closes itself after either. */
G_DECLARE_FINAL_TYPE (FilRigGuide, fil_rig_guide, FIL, RIG_GUIDE, AdwWindow)

GtkWindow *fil_rig_guide_new (GtkWindow *parent);

G_END_DECLS
