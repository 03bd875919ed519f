/* fil-sim-pool.c: memory for frames, used again and again
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <pthread.h>

#include "fil-sim-pool.h"

#define MAX_IDLE 16   /* pieces kept for later; a slow reader's surplus is freed */

struct _FilSimPool
{
  int             refs;         /* atomic */
  gsize           frame_bytes;
  pthread_mutex_t lock;         /* guards what follows */
  GPtrArray      *idle;         /* of guint8 *, owned */
};

/* A frame's pixels and whose they are. */
typedef struct
{
  FilSimPool *pool;
  guint8     *pixels;
} Lease;

/**
 * fil_sim_pool_new:
 * @frame_bytes: size of a piece
 *
 * Returns: (transfer full)
 */
FilSimPool *
fil_sim_pool_new (gsize frame_bytes)
{
  FilSimPool *pool = g_new0 (FilSimPool, 1);

  pool->refs = 1;
  pool->frame_bytes = frame_bytes;
  pthread_mutex_init (&pool->lock, NULL);
  pool->idle = g_ptr_array_new_with_free_func (g_free);

  return pool;
}

FilSimPool *
fil_sim_pool_ref (FilSimPool *pool)
{
  __atomic_add_fetch (&pool->refs, 1, __ATOMIC_RELAXED);

  return pool;
}

void
fil_sim_pool_unref (FilSimPool *pool)
{
  if (pool == NULL || __atomic_sub_fetch (&pool->refs, 1, __ATOMIC_ACQ_REL) > 0)
    return;

  g_ptr_array_unref (pool->idle);
  pthread_mutex_destroy (&pool->lock);
  g_free (pool);
}

/* Returns: (transfer full) (nullable): a piece of memory with any content;
 * %NULL where memory doesn't suffice */
guint8 *
fil_sim_pool_take (FilSimPool *pool)
{
  guint8 *pixels = NULL;

  pthread_mutex_lock (&pool->lock);
  if (pool->idle->len > 0)
    pixels = g_ptr_array_steal_index_fast (pool->idle, pool->idle->len - 1);
  pthread_mutex_unlock (&pool->lock);

  return pixels != NULL ? pixels : g_try_malloc (pool->frame_bytes);
}

/* @pixels: (transfer full) */
void
fil_sim_pool_give (FilSimPool *pool,
                   guint8     *pixels)
{
  pthread_mutex_lock (&pool->lock);
  if (pool->idle->len < MAX_IDLE)
    g_ptr_array_add (pool->idle, g_steal_pointer (&pixels));
  pthread_mutex_unlock (&pool->lock);
  g_free (pixels);
}

static void
end_lease (FilFrame *frame,
           gpointer  user_data)
{
  Lease *lease = user_data;

  fil_sim_pool_give (lease->pool, lease->pixels);
  fil_sim_pool_unref (lease->pool);
  g_free (lease);
}

/**
 * fil_sim_pool_wrap:
 * @pixels: (transfer full): a piece of the pool's
 *
 * Returns: (transfer full): a frame that gives @pixels back when it goes
 */
FilFrame *
fil_sim_pool_wrap (FilSimPool *pool,
                   guint8     *pixels)
{
  Lease *lease = g_new (Lease, 1);
  FilFrame *frame;

  *lease = (Lease) { fil_sim_pool_ref (pool), pixels };
  frame = fil_frame_new (end_lease, lease);
  frame->data = pixels;
  frame->size = pool->frame_bytes;

  return frame;
}
