/* fil-disc-map.h: the whole disc with its grid, the camera's field and targets
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-disc-view.h"
#include "fil-target-list.h"

G_BEGIN_DECLS

#define FIL_TYPE_DISC_MAP (fil_disc_map_get_type ())
G_DECLARE_FINAL_TYPE (FilDiscMap, fil_disc_map, FIL, DISC_MAP, GtkWidget)

GtkWidget *fil_disc_map_new         (void);
void       fil_disc_map_set_sun     (FilDiscMap     *self,
                                     const FilSun   *sun,
                                     gint64          utc_ns);
void       fil_disc_map_set_place   (FilDiscMap     *self,
                                     const FilPlace *place,
                                     int             width,
                                     int             height);
void       fil_disc_map_set_targets (FilDiscMap     *self,
                                     FilTargetList  *list);
void       fil_disc_map_set_up      (FilDiscMap     *self,
                                     FilDiscUp       up);
FilDiscUp  fil_disc_map_get_up      (FilDiscMap     *self);

G_END_DECLS
