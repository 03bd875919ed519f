/* fil-kind-popover.h: which kind of element to add
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_TYPE_KIND_POPOVER (fil_kind_popover_get_type ())

G_DECLARE_FINAL_TYPE (FilKindPopover, fil_kind_popover, FIL, KIND_POPOVER, GtkPopover)

GtkWidget *fil_kind_popover_new (void);

G_END_DECLS
