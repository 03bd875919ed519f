/* fil-v4l2-pool.h: a driver's buffers, lent out as frames
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-v4l2-device.h"

G_BEGIN_DECLS

/**
 * FilV4l2Pool:
 *
 * The buffers of one stream, mapped. Each is with the driver (queued), with
 * us, or lent to the holders of a frame; the last holder gives it back to the
 * driver on whatever thread that happens. The memory stays mapped until the
 * last frame is gone, also after the stream ended and the camera left.
 */
typedef struct _FilV4l2Pool FilV4l2Pool;

FilV4l2Pool *fil_v4l2_pool_new      (const FilV4l2Device      *device,
                                     gsize                     frame_bytes,
                                     GError                  **error);
void         fil_v4l2_pool_unref    (FilV4l2Pool              *pool);
guint        fil_v4l2_pool_get_size (FilV4l2Pool              *pool);
gboolean     fil_v4l2_pool_take     (FilV4l2Pool              *pool,
                                     const struct v4l2_buffer *buffer);
FilFrame    *fil_v4l2_pool_frame    (FilV4l2Pool              *pool,
                                     const struct v4l2_buffer *buffer,
                                     gsize                     needed,
                                     gboolean                  compressed);
void         fil_v4l2_pool_requeue  (FilV4l2Pool              *pool);
void         fil_v4l2_pool_stop     (FilV4l2Pool              *pool);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilV4l2Pool, fil_v4l2_pool_unref)

G_END_DECLS
