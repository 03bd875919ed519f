/* fil-sim-pool.h: memory for frames, used again and again
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-frame.h"

G_BEGIN_DECLS

/* Reference-counted: frames that are still held keep it. Any thread. */
typedef struct _FilSimPool FilSimPool;

FilSimPool *fil_sim_pool_new   (gsize       frame_bytes);
FilSimPool *fil_sim_pool_ref   (FilSimPool *pool);
void        fil_sim_pool_unref (FilSimPool *pool);
guint8     *fil_sim_pool_take  (FilSimPool *pool);
void        fil_sim_pool_give  (FilSimPool *pool,
                                guint8     *pixels);
FilFrame   *fil_sim_pool_wrap  (FilSimPool *pool,
                                guint8     *pixels);

G_END_DECLS
