/* fil-picture.h: the picture, and everything that lies over it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-limb.h"
#include "fil-place.h"
#include "fil-render.h"

G_BEGIN_DECLS

#define FIL_TYPE_PICTURE (fil_picture_get_type ())
G_DECLARE_FINAL_TYPE (FilPicture, fil_picture, FIL, PICTURE, GtkWidget)

/* All for the main thread.
 *
 * Signal "patch-changed" (): the user has moved or resized the patch; while a
 * drag lasts it isn't emitted.
 * Signal "picked" (double x_fits, double y_fits): see
 * fil_picture_set_picking(); "pick-cancelled" ().
 *
 * Properties, all boolean and TRUE unless said: "show-patch", "show-scale",
 * "show-earth" (FALSE), "show-inset"; "show-compass", "compass-solar" (FALSE:
 * the sky's north and east), "show-grid" (FALSE), "show-limb", "show-pointer";
 * "paint-full", "paint-empty" (FALSE),
 * "mosaic" (FALSE: Bayer pixels in colour); "zoom" (double, read-only, screen
 * pixels a picture pixel).
 *
 * Actions, for buttons and menus inside a window: "picture.zoom-in",
 * "picture.zoom-out", "picture.fit", "picture.one-to-one". Keys while the
 * picture has the focus: + − 0 1 and the arrows. */
GtkWidget *fil_picture_new               (void);
void       fil_picture_set_frame         (FilPicture     *self,
                                          FilFrame       *frame);
FilFrame  *fil_picture_get_frame         (FilPicture     *self);
guint64    fil_picture_get_n_drawn       (FilPicture     *self);

void       fil_picture_set_look          (FilPicture     *self,
                                          const FilLook  *look);
void       fil_picture_get_look          (FilPicture     *self,
                                          FilLook        *look);
gboolean   fil_picture_stretch           (FilPicture     *self);

void       fil_picture_set_patch         (FilPicture     *self,
                                          const FilRect  *patch);
void       fil_picture_get_patch         (FilPicture     *self,
                                          FilRect        *patch);
void       fil_picture_set_patch_caption (FilPicture     *self,
                                          const char     *caption);

void       fil_picture_set_scale         (FilPicture     *self,
                                          double          arcsec_per_px,
                                          double          km_per_px);
void       fil_picture_set_inset_corner  (FilPicture     *self,
                                          GtkCornerType   corner);

void       fil_picture_set_sky           (FilPicture     *self,
                                          const FilPlace *place,
                                          const FilSun   *sun);
void       fil_picture_set_limb          (FilPicture     *self,
                                          const FilLimb  *limb);
void       fil_picture_set_centre_arrow  (FilPicture     *self,
                                          gboolean        shown);
void       fil_picture_set_picking       (FilPicture     *self,
                                          gboolean        picking);
gboolean   fil_picture_get_picking       (FilPicture     *self);

void       fil_picture_set_message       (FilPicture     *self,
                                          const char     *title,
                                          const char     *body,
                                          const char     *button_label,
                                          const char     *action_name);

double     fil_picture_get_zoom          (FilPicture     *self);
gboolean   fil_picture_get_fit           (FilPicture     *self);
void       fil_picture_fit               (FilPicture     *self);
void       fil_picture_zoom_to           (FilPicture     *self,
                                          double          zoom);
void       fil_picture_zoom_steps        (FilPicture     *self,
                                          int             steps);
void       fil_picture_centre_on         (FilPicture     *self,
                                          double          x,
                                          double          y);
void       fil_picture_get_region        (FilPicture     *self,
                                          FilRegion      *region);

G_END_DECLS
