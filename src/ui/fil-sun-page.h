/* fil-sun-page.h: the Sun now, and over the day
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <adwaita.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_TYPE_SUN_PAGE (fil_sun_page_get_type ())
G_DECLARE_FINAL_TYPE (FilSunPage, fil_sun_page, FIL, SUN_PAGE, AdwBin)

/* Signals: "edit-rig", the observer wants to give the site; "done".
 * Property: "limit-deg", double: the hours above this altitude are marked. */
GtkWidget *fil_sun_page_new               (void);
void       fil_sun_page_set_rig           (FilSunPage *self,
                                           FilRig     *rig);
GtkBox    *fil_sun_page_get_disc_slot     (FilSunPage *self);
GtkBox    *fil_sun_page_get_targets_slot  (FilSunPage *self);
void       fil_sun_page_set_time_for_test (FilSunPage *self,
                                           gint64      utc_ns,
                                           GTimeZone  *zone);

G_END_DECLS
