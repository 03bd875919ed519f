/* fil-rig-page.h: the instrument, seen and changed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-numbers-pane.h"

G_BEGIN_DECLS

#define FIL_TYPE_RIG_PAGE (fil_rig_page_get_type ())

/* Signals:
 * "rig-changed" (FilRig *rig, const char *path): a complete rig is in force
 *   from now on; @path is empty where it has no file
 * "done": back to the picture */
G_DECLARE_FINAL_TYPE (FilRigPage, fil_rig_page, FIL, RIG_PAGE, GtkBox)

GtkWidget      *fil_rig_page_new           (void);
void            fil_rig_page_set_rig       (FilRigPage *self,
                                            FilRig     *rig,
                                            const char *path);
void            fil_rig_page_set_pass_held (FilRigPage *self,
                                            gboolean    held);
void            fil_rig_page_start_guide   (FilRigPage *self);
FilNumbersPane *fil_rig_page_get_numbers   (FilRigPage *self);

G_END_DECLS
