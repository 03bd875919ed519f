/* fil-glow-bar.h: how much light there is, from darkness to the disc
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_TYPE_GLOW_BAR (fil_glow_bar_get_type ())
G_DECLARE_FINAL_TYPE (FilGlowBar, fil_glow_bar, FIL, GLOW_BAR, GtkWidget)

void fil_glow_bar_set (FilGlowBar *self,
                       double      place,
                       double      disc);

G_END_DECLS
