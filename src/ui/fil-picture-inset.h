/* fil-picture-inset.h: where a zoomed view lies in the whole picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-picture-view.h"

G_BEGIN_DECLS

#define FIL_TYPE_PICTURE_INSET (fil_picture_inset_get_type ())
G_DECLARE_FINAL_TYPE (FilPictureInset, fil_picture_inset, FIL, PICTURE_INSET, GtkWidget)

/* Signal "moved" (double x, double y): that place of the picture, in picture
 * pixels, is to come into the middle. */
FilPictureInset *fil_picture_inset_new         (void);
void             fil_picture_inset_set_view    (FilPictureInset *self,
                                                const FilView   *view);
void             fil_picture_inset_set_texture (FilPictureInset *self,
                                                GdkTexture      *texture);
void             fil_picture_inset_get_size    (FilPictureInset *self,
                                                int             *width,
                                                int             *height);

G_END_DECLS
