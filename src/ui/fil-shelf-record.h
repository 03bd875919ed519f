/* fil-shelf-record.h: recording clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-live.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_RECORD (fil_shelf_record_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfRecord, fil_shelf_record, FIL, SHELF_RECORD, GtkBox)

/* Signals: "message" (const char *text), something to tell in passing. */
void fil_shelf_record_set_live     (FilShelfRecord *self,
                                    FilLive        *live);
void fil_shelf_record_set_settings (FilShelfRecord *self,
                                    GSettings      *settings);
void fil_shelf_record_press        (FilShelfRecord *self);
void fil_shelf_record_snapshot     (FilShelfRecord *self);

G_END_DECLS
