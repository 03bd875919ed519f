/* fil-sun-sketch.h: how the Sun's axis and equator lie on the sky
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-sun.h"

G_BEGIN_DECLS

#define FIL_TYPE_SUN_SKETCH (fil_sun_sketch_get_type ())
G_DECLARE_FINAL_TYPE (FilSunSketch, fil_sun_sketch, FIL, SUN_SKETCH, GtkWidget)

void fil_sun_sketch_set_sun (FilSunSketch *self,
                             const FilSun *sun);

G_END_DECLS
