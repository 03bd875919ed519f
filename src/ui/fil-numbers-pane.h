/* fil-numbers-pane.h: a rig's numbers, in groups, as a calm list
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-numbers.h"

G_BEGIN_DECLS

#define FIL_TYPE_NUMBERS_PANE (fil_numbers_pane_get_type ())
G_DECLARE_FINAL_TYPE (FilNumbersPane, fil_numbers_pane, FIL, NUMBERS_PANE, AdwBin)

GtkWidget *fil_numbers_pane_new     (void);
void       fil_numbers_pane_set_rig (FilNumbersPane *self,
                                     FilRig         *rig);
void       fil_numbers_pane_set_sun (FilNumbersPane *self,
                                     const FilSun   *sun);
void       fil_numbers_pane_set_air (FilNumbersPane *self,
                                     const FilAir   *air);

G_END_DECLS
