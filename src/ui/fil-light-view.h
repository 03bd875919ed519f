/* fil-light-view.h: the light path as one picture, from the sky to the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rig.h"

G_BEGIN_DECLS

#define FIL_LIGHT_VIEW_SKY (-1)   /* the rig itself: its name, its place */

#define FIL_TYPE_LIGHT_VIEW (fil_light_view_get_type ())

/* Signals: "selected" (int index); "entered": on to the selected element's
 * card; "moved" (int step) and "removed": asked for by keyboard */
G_DECLARE_FINAL_TYPE (FilLightView, fil_light_view, FIL, LIGHT_VIEW, GtkWidget)

void fil_light_view_set_rig      (FilLightView    *self,
                                  FilRig          *rig,
                                  const GPtrArray *findings);
void fil_light_view_select       (FilLightView    *self,
                                  int              index);
int  fil_light_view_get_selected (FilLightView    *self);
void fil_light_view_take_focus   (FilLightView    *self);

G_END_DECLS
