/* fil-clip-item.h: a clip in the list, with a small picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define FIL_TYPE_CLIP_ITEM (fil_clip_item_get_type ())
G_DECLARE_FINAL_TYPE (FilClipItem, fil_clip_item, FIL, CLIP_ITEM, GObject)

/* Lists the FITS files of @folder, newest first, on a worker thread. */
void          fil_clip_item_list_async  (const char          *folder,
                                         GCancellable        *cancellable,
                                         GAsyncReadyCallback  callback,
                                         gpointer             user_data);
GPtrArray    *fil_clip_item_list_finish (GAsyncResult        *result,
                                         GError             **error);
const char   *fil_clip_item_get_path    (FilClipItem         *self);
const char   *fil_clip_item_get_title   (FilClipItem         *self);
const char   *fil_clip_item_get_detail  (FilClipItem         *self);
GdkPaintable *fil_clip_item_get_picture (FilClipItem         *self);

G_END_DECLS
