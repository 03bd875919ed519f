/* fil-control-row.h: one control of a camera's driver
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_CONTROL_ROW (fil_control_row_get_type ())
G_DECLARE_FINAL_TYPE (FilControlRow, fil_control_row, FIL, CONTROL_ROW, AdwActionRow)

/* Signals: "refused" (const char *text), the driver's no. */
GtkWidget *fil_control_row_new    (FilLive       *live,
                                   FilControl    *control);
guint32    fil_control_row_get_id (FilControlRow *self);
void       fil_control_row_update (FilControlRow *self);

G_END_DECLS
