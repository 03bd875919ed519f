/* test-picture-worker.c: the newest job wins, and nothing is kept
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-picture-worker.h"
#include "render-help.h"

#define N_JOBS 300

typedef struct
{
  guint   n_done;
  guint   n_fresh;
  guint   n_insets;
  guint64 token;       /* of the newest drawing */
  guint8  shade;       /* of its first pixel */
} Seen;

static int n_released;   /* atomic */

static void
count_release (FilFrame *frame,
               gpointer  user_data)
{
  g_free (user_data);
  g_atomic_int_inc (&n_released);
}

/* 40 × 30 pixels of one count. */
static FilFrame *
plain_frame (guint8 count)
{
  guint8 *pixels = g_malloc (40 * 30);
  FilFrame *frame = fil_frame_new (count_release, pixels);

  memset (pixels, count, 40 * 30);
  frame->format = fil_pixel_format_from_name ("GREY");
  frame->width = 40;
  frame->height = 30;
  frame->stride = 40;
  frame->size = 40 * 30;
  frame->data = pixels;

  return frame;
}

static void
done_cb (FilPictureDrawing *drawing,
         gpointer           user_data)
{
  Seen *seen = user_data;
  gsize size = 0;
  const guint8 *bytes;

  seen->n_done++;
  seen->n_fresh += drawing->job.fresh ? 1 : 0;
  g_assert_null (drawing->job.frame);
  g_assert_cmpuint (drawing->token, >, seen->token);
  seen->token = drawing->token;
  if (drawing->inset != NULL)
    {
      g_assert_cmpuint (g_bytes_get_size (drawing->inset), ==,
                        3 * (gsize) drawing->job.inset_width * (gsize) drawing->job.inset_height);
      seen->n_insets++;
    }
  if (drawing->pixels == NULL)
    return;

  bytes = g_bytes_get_data (drawing->pixels, &size);
  g_assert_cmpuint (size, ==, 3 * (gsize) drawing->job.width * (gsize) drawing->job.height);
  seen->shade = bytes[0];
  for (gsize i = 0; i < size; i++)
    g_assert_cmpuint (bytes[i], ==, seen->shade);
}

static guint64
post (FilPictureWorker *worker,
      FilFrame         *frame,
      int               inset)
{
  FilPictureJob job = {
    .frame = frame,
    .region = { 0, 0, 40, 30 },
    .width = 40,
    .height = 30,
    .look = { .white = 255 },
    .inset_width = inset,
    .inset_height = inset,
    .fresh = TRUE,
  };

  return fil_picture_worker_post (worker, &job);
}

static void
wait_for (Seen   *seen,
          guint64 token)
{
  while (seen->token < token)
    g_main_context_iteration (NULL, TRUE);
}

static void
test_newest_wins (void)
{
  Seen seen = { 0 };
  FilPictureWorker *worker = fil_picture_worker_new (done_cb, &seen);
  guint64 token = 0;

  n_released = 0;
  for (int i = 0; i < N_JOBS; i++)
    {
      g_autoptr (FilFrame) frame = plain_frame ((guint8) (i % 250));
      guint64 newer = post (worker, frame, i % 7 == 0 ? 5 + i % 3 : 0);

      g_assert_cmpuint (newer, >, token);
      token = newer;
      if (i % 3 == 0)
        g_main_context_iteration (NULL, FALSE);
    }
  wait_for (&seen, token);

  g_assert_cmpuint (seen.shade, ==, (N_JOBS - 1) % 250);
  g_assert_cmpuint (seen.n_done, <=, N_JOBS);
  g_assert_cmpuint (seen.n_fresh, ==, seen.n_done);
  fil_picture_worker_free (worker);
  g_assert_cmpint (g_atomic_int_get (&n_released), ==, N_JOBS);
}

static void
test_each_when_slow (void)
{
  Seen seen = { 0 };
  FilPictureWorker *worker = fil_picture_worker_new (done_cb, &seen);

  for (int i = 1; i <= 20; i++)
    {
      g_autoptr (FilFrame) frame = plain_frame ((guint8) i);

      wait_for (&seen, post (worker, frame, 4));
      g_assert_cmpuint (seen.shade, ==, i);
      g_assert_cmpuint (seen.n_done, ==, i);
      g_assert_cmpuint (seen.n_insets, ==, i);
    }
  fil_picture_worker_free (worker);
}

/* A frame that can't be read still gives an answer, without a picture. */
static void
test_unreadable (void)
{
  Seen seen = { 0 };
  FilPictureWorker *worker = fil_picture_worker_new (done_cb, &seen);
  g_autoptr (FilFrame) good = plain_frame (77);
  g_autoptr (FilFrame) bad = plain_frame (99);

  bad->size = 3;
  wait_for (&seen, post (worker, good, 0));
  wait_for (&seen, post (worker, bad, 0));
  g_assert_cmpuint (seen.shade, ==, 77);
  g_assert_cmpuint (seen.n_done, ==, 2);
  fil_picture_worker_free (worker);
}

static void
test_free_while_busy (void)
{
  n_released = 0;
  for (int i = 0; i < 50; i++)
    {
      Seen seen = { 0 };
      FilPictureWorker *worker = fil_picture_worker_new (done_cb, &seen);

      for (int k = 0; k < 1 + i % 4; k++)
        {
          g_autoptr (FilFrame) frame = plain_frame (9);

          post (worker, frame, 3);
        }
      fil_picture_worker_free (worker);
      /* Nothing of a freed worker comes later. */
      while (g_main_context_iteration (NULL, FALSE))
        ;
      g_assert_cmpuint (seen.n_done, ==, 0);
    }
  g_assert_cmpint (g_atomic_int_get (&n_released), ==, 50 / 4 * 10 + 1 + 2);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/picture/worker/newest-wins", test_newest_wins);
  g_test_add_func ("/picture/worker/each-when-slow", test_each_when_slow);
  g_test_add_func ("/picture/worker/unreadable", test_unreadable);
  g_test_add_func ("/picture/worker/free-while-busy", test_free_while_busy);

  return g_test_run ();
}
