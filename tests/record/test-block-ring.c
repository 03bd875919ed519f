/* test-block-ring.c: frames on their way to the disk
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-block-ring.h"
#include "fil-recorder.h"

#define BLOCK_BYTES 1000
#define N_PASSED 20000

static void
commit_number (FilBlockRing *ring,
               guint8       *block,
               gint64        number)
{
  FilClipRow row = { .sequence = number };

  g_assert_nonnull (block);
  memset (block, (int) (number & 0xff), BLOCK_BYTES);
  fil_block_ring_commit (ring, &row);
}

static void
test_bounded (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 3, NULL);
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;
  FilClipRow *row = NULL;

  for (int i = 0; i < 3; i++)
    commit_number (ring, fil_block_ring_reserve (ring, FALSE), i);
  g_assert_null (fil_block_ring_reserve (ring, FALSE));
  g_assert_cmpfloat (fil_block_ring_get_fill (ring), ==, 1.0);

  /* Neither filled nor measured blocks make room: written ones do. */
  g_assert_nonnull (fil_block_ring_next (ring, &row));
  fil_block_ring_measured (ring);
  g_assert_null (fil_block_ring_reserve (ring, FALSE));
  g_assert_cmpuint (fil_block_ring_collect (ring, 8, 0, &blocks, &rows), ==, 1);
  g_assert_cmpint (rows[0].sequence, ==, 0);
  fil_block_ring_release (ring, 1);
  g_assert_nonnull (fil_block_ring_reserve (ring, FALSE));
}

static void
test_collect_is_contiguous (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 3, NULL);
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;
  FilClipRow *row = NULL;

  for (int i = 0; i < 5; i++)
    {
      commit_number (ring, fil_block_ring_reserve (ring, FALSE), i);
      g_assert_nonnull (fil_block_ring_next (ring, &row));
      fil_block_ring_measured (ring);
      if (i < 2)
        {
          g_assert_cmpuint (fil_block_ring_collect (ring, 8, 0, &blocks, &rows), ==, 1);
          fil_block_ring_release (ring, 1);
        }
    }

  /* Block 2 is the ring's last; 3 and 4 lie at its beginning. */
  g_assert_cmpuint (fil_block_ring_collect (ring, 8, 0, &blocks, &rows), ==, 1);
  g_assert_cmpint (rows[0].sequence, ==, 2);
  fil_block_ring_release (ring, 1);
  g_assert_cmpuint (fil_block_ring_collect (ring, 8, 0, &blocks, &rows), ==, 2);
  g_assert_cmpint (rows[1].sequence, ==, 4);
  g_assert_cmpint (blocks[BLOCK_BYTES], ==, 4);
}

static gpointer
measure_all (gpointer data)
{
  FilBlockRing *ring = data;
  FilClipRow *row = NULL;
  guint8 *block;

  while ((block = fil_block_ring_next (ring, &row)) != NULL)
    {
      row->mean = block[0];
      fil_block_ring_measured (ring);
    }

  return NULL;
}

typedef struct
{
  FilBlockRing *ring;
  gint64        next;   /* expected */
  guint         wrong;
} Writing;

static gpointer
write_all (gpointer data)
{
  Writing *w = data;
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;

  while (!fil_block_ring_is_drained (w->ring))
    {
      guint n = fil_block_ring_collect (w->ring, 4, 100, &blocks, &rows);

      for (guint i = 0; i < n; i++, w->next++)
        {
          guint8 expected = (guint8) (w->next & 0xff);

          w->wrong += rows[i].sequence != w->next || rows[i].mean != expected ||
                      blocks[i * BLOCK_BYTES] != expected ||
                      blocks[(i + 1) * BLOCK_BYTES - 1] != expected;
        }
      fil_block_ring_release (w->ring, n);
    }

  return NULL;
}

/* Three threads, every block in order and whole. */
static void
test_three_threads (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 7, NULL);
  Writing writing = { ring, 0, 0 };
  GThread *measurer = g_thread_new ("measure", measure_all, ring);
  GThread *writer = g_thread_new ("write", write_all, &writing);

  fil_block_ring_touch (ring);
  for (gint64 i = 0; i < N_PASSED; i++)
    commit_number (ring, fil_block_ring_reserve (ring, TRUE), i);
  fil_block_ring_end (ring);
  g_thread_join (measurer);
  g_thread_join (writer);

  g_assert_cmpint (writing.next, ==, N_PASSED);
  g_assert_cmpuint (writing.wrong, ==, 0);
  g_assert_null (fil_block_ring_reserve (ring, TRUE));
}

static gpointer
reserve_when_full (gpointer data)
{
  return fil_block_ring_reserve (data, TRUE);
}

static void
test_end_wakes_a_waiting_offer (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 2, NULL);
  GThread *waiting;

  for (int i = 0; i < 2; i++)
    commit_number (ring, fil_block_ring_reserve (ring, TRUE), i);
  waiting = g_thread_new ("offer", reserve_when_full, ring);
  g_usleep (20000);
  fil_block_ring_end (ring);
  g_assert_null (g_thread_join (waiting));
  g_assert_false (fil_block_ring_is_drained (ring));
}

static void
test_broken_drops_the_rest (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 4, NULL);
  const guint8 *blocks = NULL;
  const FilClipRow *rows = NULL;
  FilClipRow *row = NULL;

  commit_number (ring, fil_block_ring_reserve (ring, FALSE), 0);
  fil_block_ring_break (ring);
  g_assert_true (fil_block_ring_is_drained (ring));
  g_assert_null (fil_block_ring_next (ring, &row));
  g_assert_cmpuint (fil_block_ring_collect (ring, 8, 1000, &blocks, &rows), ==, 0);
}

/* The block that is being filled while the ring is ended still counts. */
static void
test_end_while_filling (void)
{
  g_autoptr (FilBlockRing) ring = fil_block_ring_new (BLOCK_BYTES, 4, NULL);
  FilClipRow *row = NULL;
  guint8 *block = fil_block_ring_reserve (ring, FALSE);

  fil_block_ring_end (ring);
  g_assert_false (fil_block_ring_is_drained (ring));
  commit_number (ring, block, 0);
  g_assert_nonnull (fil_block_ring_next (ring, &row));
}

static void
test_too_large (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_block_ring_new (G_MAXSIZE / 2, 1000, &error));
  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_MEMORY);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/block-ring/bounded", test_bounded);
  g_test_add_func ("/block-ring/collect-is-contiguous", test_collect_is_contiguous);
  g_test_add_func ("/block-ring/three-threads", test_three_threads);
  g_test_add_func ("/block-ring/end-wakes-a-waiting-offer", test_end_wakes_a_waiting_offer);
  g_test_add_func ("/block-ring/broken-drops-the-rest", test_broken_drops_the_rest);
  g_test_add_func ("/block-ring/end-while-filling", test_end_while_filling);
  g_test_add_func ("/block-ring/too-large", test_too_large);

  return g_test_run ();
}
