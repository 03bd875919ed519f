/* fil-guide-step.h: one question about a new rig
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_TYPE_GUIDE_STEP (fil_guide_step_get_type ())

/* "edited": an answer was changed */
G_DECLARE_FINAL_TYPE (FilGuideStep, fil_guide_step, FIL, GUIDE_STEP, GtkBox)

guint       fil_guide_step_count       (void);
GtkWidget  *fil_guide_step_new         (guint         number);
gboolean    fil_guide_step_is_answered (FilGuideStep *self);
gboolean    fil_guide_step_apply       (FilGuideStep *self,
                                        FilRig      **rig);
void        fil_guide_step_take_focus  (FilGuideStep *self);

G_END_DECLS
