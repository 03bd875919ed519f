/* fil-picture-compass.h: where north and east are on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-sky-overlay.h"

G_BEGIN_DECLS

#define FIL_TYPE_PICTURE_COMPASS (fil_picture_compass_get_type ())
G_DECLARE_FINAL_TYPE (FilPictureCompass, fil_picture_compass, FIL, PICTURE_COMPASS, GtkWidget)

FilPictureCompass *fil_picture_compass_new     (void);
void               fil_picture_compass_set     (FilPictureCompass   *self,
                                                const FilSkyCompass *compass,
                                                gboolean             solar,
                                                gboolean             nominal);

G_END_DECLS
