/* fil-picture-worker.h: pictures are made ready beside the main thread
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-render.h"

G_BEGIN_DECLS

/**
 * FilPictureJob:
 * @frame: what to show
 * @region: the part of it
 * @width: screen pixels
 * @look: shades
 * @inset_width: screen pixels of the whole picture beside it; 0: not wanted
 * @fresh: the frame wasn't shown before
 */
typedef struct
{
  FilFrame *frame;
  FilRegion region;
  int       width, height;
  FilLook   look;
  int       inset_width, inset_height;
  gboolean  fresh;
} FilPictureJob;

/**
 * FilPictureDrawing:
 * @pixels: (nullable): width × height of GDK_MEMORY_B8G8R8, no gaps; %NULL
 *   where the frame couldn't be read
 * @inset: (nullable): likewise
 */
typedef struct
{
  FilPictureJob job;       /* without its frame */
  GBytes       *pixels;
  GBytes       *inset;
  guint64       token;
} FilPictureDrawing;

typedef void (*FilPictureDone) (FilPictureDrawing *drawing,
                                gpointer           user_data);

typedef struct _FilPictureWorker FilPictureWorker;

FilPictureWorker *fil_picture_worker_new  (FilPictureDone       done,
                                           gpointer             user_data);
void              fil_picture_worker_free (FilPictureWorker    *worker);
guint64           fil_picture_worker_post (FilPictureWorker    *worker,
                                           const FilPictureJob *job);

G_END_DECLS
