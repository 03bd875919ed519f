/* fil-finding-row.h: what was found about an element, and the way to mend it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-findings.h"

G_BEGIN_DECLS

#define FIL_TYPE_FINDING_ROW (fil_finding_row_get_type ())

G_DECLARE_FINAL_TYPE (FilFindingRow, fil_finding_row, FIL, FINDING_ROW, GtkBox)

GtkWidget  *fil_finding_row_new        (const FilFinding *finding,
                                        int               number,
                                        gboolean          mendable);
const char *fil_finding_level_to_text  (int               level);
const char *fil_finding_level_to_class (int               level);

G_END_DECLS
