/* fil-camera-mode.h: what each camera was last set to
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gio/gio.h>

#include "fil-source.h"

G_BEGIN_DECLS

/* FALSE: nothing is known of a camera of that name. */
gboolean fil_camera_mode_load (GSettings           *settings,
                               const char          *camera,
                               FilSourceMode       *mode);
void     fil_camera_mode_save (GSettings           *settings,
                               const char          *camera,
                               const FilSourceMode *mode);

G_END_DECLS
