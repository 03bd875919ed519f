/* fil-direction.h: an arrow that points any way
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_TYPE_DIRECTION (fil_direction_get_type ())
G_DECLARE_FINAL_TYPE (FilDirection, fil_direction, FIL, DIRECTION, GtkWidget)

void fil_direction_set (FilDirection *self,
                        double        angle_deg);

G_END_DECLS
