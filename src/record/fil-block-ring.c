/* fil-block-ring.c: frames on their way to the disk
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <pthread.h>
#include <sys/mman.h>
#include <time.h>

#include <glib/gi18n-lib.h>

#include "fil-block-ring.h"
#include "fil-recorder.h"

#define TOUCH_BYTES (4u << 20)   /* a step, after which the toucher may be stopped */

struct _FilBlockRing
{
  guint8          *blocks;      /* n_blocks × block_bytes, one after the other */
  FilClipRow      *rows;
  gsize            total_bytes;
  guint            n_blocks;
  GThread         *toucher;     /* NULL: joined */
  int              leaving;     /* C11 atomic: the toucher is to stop */

  pthread_mutex_t  lock;        /* guards the fields below */
  gsize            block_bytes;
  pthread_cond_t   filled, measured, released;
  guint64          n_filled;    /* blocks that passed each station, ever */
  guint64          n_measured;
  guint64          n_released;
  gboolean         filling;     /* a block is reserved: one more will come */
  gboolean         ended;       /* no more are filled; the rest goes on its way */
  gboolean         broken;      /* the disk failed: the rest is dropped */
};

/* A page that is touched for the first time costs the capture thread as much
 * as copying it, and on a machine short of memory the kernel may take seconds
 * over half a gibibyte: no other thread waits for that. Changes no byte, so a
 * block may be in use meanwhile. */
static gpointer
touch (gpointer data)
{
  FilBlockRing *ring = data;

  for (gsize at = 0; at < ring->total_bytes; at += TOUCH_BYTES)
    {
      gsize size = MIN (TOUCH_BYTES, ring->total_bytes - at);

      if (__atomic_load_n (&ring->leaving, __ATOMIC_RELAXED))
        break;
      if (madvise (ring->blocks + at, size, MADV_POPULATE_WRITE) != 0)
        {
          g_debug ("blocks are not touched beforehand: %s", g_strerror (errno));
          break;
        }
    }

  return NULL;
}

/**
 * fil_block_ring_new:
 * @block_bytes: of one frame as it is stored
 * @n_blocks: at least 2
 *
 * Returns: (transfer full): an empty ring, or %NULL with
 *   %FIL_RECORDER_ERROR_MEMORY
 */
FilBlockRing *
fil_block_ring_new (gsize    block_bytes,
                    guint    n_blocks,
                    GError **error)
{
  FilBlockRing *ring;
  pthread_condattr_t attributes;
  gsize total = 0;
  void *blocks = MAP_FAILED;

  g_return_val_if_fail (block_bytes > 0 && n_blocks >= 2, NULL);

  if (!__builtin_mul_overflow (block_bytes, (gsize) n_blocks, &total))
    blocks = mmap (NULL, total, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (blocks == MAP_FAILED)
    {
      g_set_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_MEMORY,
                   _("there is no memory for a queue of %u frames of %.1f MiB"), n_blocks,
                   (double) block_bytes / (1 << 20));
      return NULL;
    }

  ring = g_new0 (FilBlockRing, 1);
  ring->blocks = blocks;
  ring->rows = g_new0 (FilClipRow, n_blocks);
  ring->total_bytes = total;
  ring->block_bytes = block_bytes;
  ring->n_blocks = n_blocks;
  pthread_mutex_init (&ring->lock, NULL);
  pthread_condattr_init (&attributes);
  pthread_condattr_setclock (&attributes, CLOCK_MONOTONIC);
  pthread_cond_init (&ring->filled, &attributes);
  pthread_cond_init (&ring->measured, &attributes);
  pthread_cond_init (&ring->released, &attributes);
  pthread_condattr_destroy (&attributes);

  madvise (blocks, total, MADV_HUGEPAGE);  /* a wish; not every kernel grants it */
  ring->toucher = g_thread_new ("clip-memory", touch, ring);

  return ring;
}

/* Once its three threads have left it. */
void
fil_block_ring_free (FilBlockRing *ring)
{
  if (ring == NULL)
    return;

  __atomic_store_n (&ring->leaving, TRUE, __ATOMIC_RELAXED);
  fil_block_ring_touch (ring);
  munmap (ring->blocks, ring->total_bytes);
  pthread_cond_destroy (&ring->filled);
  pthread_cond_destroy (&ring->measured);
  pthread_cond_destroy (&ring->released);
  pthread_mutex_destroy (&ring->lock);
  g_free (ring->rows);
  g_free (ring);
}

/* The thread that made it: waits until every block has its memory. Without
 * this call the memory comes while the first frames do. */
void
fil_block_ring_touch (FilBlockRing *ring)
{
  if (ring->toucher != NULL)
    g_thread_join (g_steal_pointer (&ring->toucher));
}

/* Capture thread, before it reserves the first: blocks need less than was
 * thought. */
void
fil_block_ring_shrink (FilBlockRing *ring,
                       gsize         block_bytes)
{
  g_return_if_fail (block_bytes > 0);

  pthread_mutex_lock (&ring->lock);
  ring->block_bytes = MIN (ring->block_bytes, block_bytes);
  pthread_mutex_unlock (&ring->lock);
}

static guint8 *
block_at (FilBlockRing *ring,
          guint64       number)
{
  return ring->blocks + ring->block_bytes * (number % ring->n_blocks);
}

/**
 * fil_block_ring_reserve:
 * @wait: block until there is room
 *
 * Capture thread. A block that was reserved must be committed: the others
 * wait for it.
 *
 * Returns: (nullable): a block to fill, or %NULL when all are full or the
 *   ring was ended
 */
guint8 *
fil_block_ring_reserve (FilBlockRing *ring,
                        gboolean      wait)
{
  guint8 *block = NULL;

  pthread_mutex_lock (&ring->lock);
  while (wait && !ring->ended && ring->n_filled - ring->n_released == ring->n_blocks)
    pthread_cond_wait (&ring->released, &ring->lock);
  if (!ring->ended && ring->n_filled - ring->n_released < ring->n_blocks)
    block = block_at (ring, ring->n_filled);
  ring->filling = block != NULL;
  pthread_mutex_unlock (&ring->lock);

  return block;
}

/* Capture thread: hands the reserved block on. */
void
fil_block_ring_commit (FilBlockRing     *ring,
                       const FilClipRow *row)
{
  pthread_mutex_lock (&ring->lock);
  ring->rows[ring->n_filled % ring->n_blocks] = *row;
  ring->n_filled++;
  ring->filling = FALSE;
  pthread_cond_broadcast (&ring->filled);
  if (ring->ended)
    pthread_cond_broadcast (&ring->measured);
  pthread_mutex_unlock (&ring->lock);
}

/**
 * fil_block_ring_next:
 * @row: (out): its row, to be filled in
 *
 * Measuring thread. Blocks until a block was filled.
 *
 * Returns: (nullable): the block, or %NULL when no more will come
 */
guint8 *
fil_block_ring_next (FilBlockRing  *ring,
                     FilClipRow   **row)
{
  guint8 *block = NULL;

  pthread_mutex_lock (&ring->lock);
  while (!ring->broken && (!ring->ended || ring->filling) &&
         ring->n_filled == ring->n_measured)
    pthread_cond_wait (&ring->filled, &ring->lock);
  if (!ring->broken && ring->n_filled > ring->n_measured)
    {
      block = block_at (ring, ring->n_measured);
      *row = &ring->rows[ring->n_measured % ring->n_blocks];
    }
  pthread_mutex_unlock (&ring->lock);

  return block;
}

/* Measuring thread: hands the block of fil_block_ring_next() on. */
void
fil_block_ring_measured (FilBlockRing *ring)
{
  pthread_mutex_lock (&ring->lock);
  ring->n_measured++;
  pthread_cond_signal (&ring->measured);
  pthread_mutex_unlock (&ring->lock);
}

static struct timespec
deadline_after (guint timeout_ms)
{
  struct timespec deadline;

  clock_gettime (CLOCK_MONOTONIC, &deadline);
  deadline.tv_nsec += (long) (timeout_ms % 1000) * 1000000;
  deadline.tv_sec += timeout_ms / 1000 + deadline.tv_nsec / 1000000000;
  deadline.tv_nsec %= 1000000000;

  return deadline;
}

/* Under the lock. Nothing more will be measured. */
static gboolean
is_drained (const FilBlockRing *ring)
{
  return ring->broken ||
         (ring->ended && !ring->filling && ring->n_filled == ring->n_released);
}

/**
 * fil_block_ring_collect:
 * @max_blocks: at most so many
 * @timeout_ms: wait at most so long for the first of them
 * @blocks: (out): the first block; the others follow it in memory
 * @rows: (out): their rows
 *
 * Writing thread. The blocks stay its own until it releases them.
 *
 * Returns: how many; 0: none came in time, or none will come
 */
guint
fil_block_ring_collect (FilBlockRing      *ring,
                        guint              max_blocks,
                        guint              timeout_ms,
                        const guint8     **blocks,
                        const FilClipRow **rows)
{
  struct timespec deadline = deadline_after (timeout_ms);
  guint n = 0, place;

  pthread_mutex_lock (&ring->lock);
  while (!is_drained (ring) && ring->n_measured == ring->n_released)
    if (pthread_cond_timedwait (&ring->measured, &ring->lock, &deadline) == ETIMEDOUT)
      break;
  if (!ring->broken)
    {
      place = (guint) (ring->n_released % ring->n_blocks);
      n = (guint) MIN (ring->n_measured - ring->n_released, ring->n_blocks - place);
      n = MIN (n, max_blocks);
      *blocks = block_at (ring, ring->n_released);
      *rows = &ring->rows[place];
    }
  pthread_mutex_unlock (&ring->lock);

  return n;
}

/* Writing thread: gives back what it collected. */
void
fil_block_ring_release (FilBlockRing *ring,
                        guint         n_blocks)
{
  pthread_mutex_lock (&ring->lock);
  ring->n_released += n_blocks;
  pthread_cond_signal (&ring->released);
  pthread_mutex_unlock (&ring->lock);
}

static void
stop (FilBlockRing *ring,
      gboolean      broken)
{
  pthread_mutex_lock (&ring->lock);
  ring->ended = TRUE;
  ring->broken |= broken;
  pthread_cond_broadcast (&ring->filled);
  pthread_cond_broadcast (&ring->measured);
  pthread_cond_broadcast (&ring->released);
  pthread_mutex_unlock (&ring->lock);
}

/* Any thread: nothing more is filled, what is there goes on its way. */
void
fil_block_ring_end (FilBlockRing *ring)
{
  stop (ring, FALSE);
}

/* Any thread: nothing more is filled, and what is there is dropped. */
void
fil_block_ring_break (FilBlockRing *ring)
{
  stop (ring, TRUE);
}

/* Any thread: whether the writing thread may leave. */
gboolean
fil_block_ring_is_drained (FilBlockRing *ring)
{
  gboolean drained;

  pthread_mutex_lock (&ring->lock);
  drained = is_drained (ring);
  pthread_mutex_unlock (&ring->lock);

  return drained;
}

/* Any thread: whether it takes no more. */
gboolean
fil_block_ring_is_ended (FilBlockRing *ring)
{
  gboolean ended;

  pthread_mutex_lock (&ring->lock);
  ended = ring->ended;
  pthread_mutex_unlock (&ring->lock);

  return ended;
}

/* Any thread. Returns: share of the blocks in use, 0 to 1 */
double
fil_block_ring_get_fill (FilBlockRing *ring)
{
  guint64 in_use;

  pthread_mutex_lock (&ring->lock);
  in_use = ring->n_filled - ring->n_released;
  pthread_mutex_unlock (&ring->lock);

  return (double) in_use / ring->n_blocks;
}
