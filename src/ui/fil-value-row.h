/* fil-value-row.h: one key of a rig, with its unit and what it means
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig-keys.h"

G_BEGIN_DECLS

#define FIL_TYPE_VALUE_ROW (fil_value_row_get_type ())

G_DECLARE_FINAL_TYPE (FilValueRow, fil_value_row, FIL, VALUE_ROW, GtkBox)

/* Signals: "edited" (const char *value, NULL: taken away); "left": the field
 * was left, or Enter pressed in it */
GtkWidget       *fil_value_row_new         (const FilRigKey *key);
const FilRigKey *fil_value_row_get_key     (FilValueRow     *self);
void             fil_value_row_take_focus  (FilValueRow     *self);
void             fil_value_row_line_up     (FilValueRow     *self,
                                            GtkSizeGroup    *fields);
void             fil_value_row_set_value   (FilValueRow     *self,
                                            const char      *value);
char            *fil_value_row_dup_value   (FilValueRow     *self);
void             fil_value_row_set_refusal (FilValueRow     *self,
                                            const char      *reason);
void             fil_value_row_flush       (FilValueRow     *self);

G_END_DECLS
