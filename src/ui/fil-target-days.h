/* fil-target-days.h: where a target stands today and on the next days
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-target.h"

G_BEGIN_DECLS

#define FIL_TYPE_TARGET_DAYS (fil_target_days_get_type ())
G_DECLARE_FINAL_TYPE (FilTargetDays, fil_target_days, FIL, TARGET_DAYS, GtkWidget)

GtkWidget *fil_target_days_new  (void);
void       fil_target_days_show (FilTargetDays   *self,
                                 const FilTarget *target,
                                 FilRotation      rotation,
                                 gint64           utc_ns);

G_END_DECLS
