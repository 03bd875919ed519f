/* fil-picture-patch.h: the rectangle in which sharpness is measured, and its handles
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

#include "fil-rect.h"

G_BEGIN_DECLS

#define FIL_PATCH_LEAST 128   /* pixels: below it sharpness isn't defined */

/* What of the patch is held: edges, two of them a corner, all four its inside. */
typedef enum
{
  FIL_PATCH_NOTHING = 0,
  FIL_PATCH_LEFT    = 1 << 0,
  FIL_PATCH_RIGHT   = 1 << 1,
  FIL_PATCH_TOP     = 1 << 2,
  FIL_PATCH_BOTTOM  = 1 << 3,
  FIL_PATCH_ALL     = 15,
} FilPatchPart;

FilRect       fil_patch_keep_inside (const FilRect         *patch,
                                     int                    width,
                                     int                    height);
FilRect       fil_patch_drag        (const FilRect         *patch,
                                     FilPatchPart           part,
                                     double                 dx,
                                     double                 dy,
                                     int                    width,
                                     int                    height);
FilPatchPart  fil_patch_hit         (const graphene_rect_t *drawn,
                                     double                 x,
                                     double                 y);
const char   *fil_patch_get_cursor  (FilPatchPart           part);

#define FIL_PICTURE_PATCH_BORDER 4   /* logical pixels around the patch, for its line */

#define FIL_TYPE_PICTURE_PATCH (fil_picture_patch_get_type ())
G_DECLARE_FINAL_TYPE (FilPicturePatch, fil_picture_patch, FIL, PICTURE_PATCH, GtkWidget)

/* Signal "nudge" (int part, int dx, int dy): a key asks to drag @part, steps
 * to the right and down. */
FilPicturePatch *fil_picture_patch_new (void);

G_END_DECLS
