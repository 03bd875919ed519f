/* fil-shelf-review.h: the clips of the folder, opened and played
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-player.h"

G_BEGIN_DECLS

#define FIL_TYPE_SHELF_REVIEW (fil_shelf_review_get_type ())
G_DECLARE_FINAL_TYPE (FilShelfReview, fil_shelf_review, FIL, SHELF_REVIEW, GtkBox)

/* Signals: "frame" (): another frame is to be shown; "opened" (): another clip is open. */
void      fil_shelf_review_set_settings (FilShelfReview *self,
                                         GSettings      *settings);
void      fil_shelf_review_reload       (FilShelfReview *self);
gboolean  fil_shelf_review_open         (FilShelfReview *self,
                                         const char     *path,
                                         GError        **error);
const char *fil_shelf_review_get_path   (FilShelfReview *self);   /* NULL: none is open */
gboolean  fil_shelf_review_get_sky      (FilShelfReview *self,
                                         FilPlace       *place,
                                         FilSun         *sun);
double    fil_shelf_review_get_scale    (FilShelfReview *self);   /* ″/px, NaN: unknown */
FilFrame *fil_shelf_review_dup_frame    (FilShelfReview *self,
                                         double         *full);
void      fil_shelf_review_pause        (FilShelfReview *self);
void      fil_shelf_review_toggle       (FilShelfReview *self);

G_END_DECLS
