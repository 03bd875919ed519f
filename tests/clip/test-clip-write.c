/* test-clip-write.c: clips written, read back, interrupted, mended
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <glib.h>
#include <glib/gstdio.h>

#include "clip-maker.h"
#include "fil-clip-mend.h"
#include "fil-clip.h"

typedef struct
{
  char *folder;
  char *path;
  char *journal;
  char *grown;          /* OUT.new */
  char *grown_journal;
} Fixture;

static void
set_up (Fixture      *f,
        gconstpointer data)
{
  f->folder = g_dir_make_tmp ("fil-clip-XXXXXX", NULL);
  f->path = g_build_filename (f->folder, "a clip[1].fits", NULL);
  f->journal = g_strconcat (f->path, ".rows", NULL);
  f->grown = g_strconcat (f->path, ".new", NULL);
  f->grown_journal = g_strconcat (f->grown, ".rows", NULL);
}

static void
tear_down (Fixture      *f,
           gconstpointer data)
{
  g_unlink (f->path);
  g_unlink (f->journal);
  g_unlink (f->grown);
  g_unlink (f->grown_journal);
  g_assert_cmpint (g_rmdir (f->folder), ==, 0);
  g_free (f->folder);
  g_free (f->path);
  g_free (f->journal);
  g_free (f->grown);
  g_free (f->grown_journal);
}

static gboolean
exists (const char *path)
{
  return g_file_test (path, G_FILE_TEST_EXISTS);
}

static FilClipWriter *
start (const char        *path,
       const FilClipInfo *info,
       gboolean           replace)
{
  g_autoptr (GError) error = NULL;
  FilClipWriter *writer = fil_clip_writer_new (path, info, MAKER_BEGIN_NS, replace, &error);

  g_assert_no_error (error);
  g_assert_nonnull (writer);

  return writer;
}

static void
finish (FilClipWriter *writer)
{
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_clip_writer_close (writer, &error));
  g_assert_no_error (error);
}

static void
check_row (const FilClipRow *got,
           guint64           frame)
{
  FilClipRow wanted = maker_row (frame);

  g_assert_cmpfloat (got->time_s, ==, wanted.time_s);
  g_assert_cmpint (got->sequence, ==, wanted.sequence);
  g_assert_cmpfloat (got->mean, ==, wanted.mean);
  g_assert_cmpfloat (got->full_fraction, ==, wanted.full_fraction);
  g_assert_true (got->sharpness == wanted.sharpness ||
                 (isnan (got->sharpness) && isnan (wanted.sharpness)));
  g_assert_cmpfloat (got->exposure_s, ==, wanted.exposure_s);
  g_assert_cmpfloat (got->gain, ==, wanted.gain);
  g_assert_cmpint (got->marks, ==, wanted.marks);
}

/* Every frame bit for bit, every row. */
static void
check_content (FilClip           *clip,
               const FilClipInfo *info)
{
  gboolean have_times;
  const FilClipRow *rows = fil_clip_get_rows (clip, &have_times);

  g_assert_true (have_times);
  g_assert_cmpint (fil_clip_get_width (clip), ==, info->width);
  g_assert_cmpint (fil_clip_get_height (clip), ==, info->height);
  for (guint64 i = 0; i < fil_clip_get_n_frames (clip); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (FilFrame) frame = fil_clip_read_frame (clip, i, &error);

      g_assert_no_error (error);
      g_assert_true (maker_matches (frame->data, info, i));
      check_row (&rows[i], i);
    }
}

static FilClip *
open_clip (const char *path)
{
  g_autoptr (GError) error = NULL;
  FilClip *clip = fil_clip_open (path, &error);

  g_assert_no_error (error);

  return clip;
}

static void
check_whole (const char        *path,
             const FilClipInfo *info,
             guint64            n_frames)
{
  g_autoptr (FilClip) clip = open_clip (path);

  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, n_frames);
  g_assert_true (fil_clip_is_complete (clip));
  g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_OK);
  check_content (clip, info);
}

static void
test_round_trip (Fixture      *f,
                 gconstpointer data)
{
  static const int sizes[][3] = { { 37, 23, 8 }, { 37, 23, 12 }, { 640, 480, 12 }, { 1, 1, 8 },
                                  { 36, 40, 12 } };

  for (gsize i = 0; i < G_N_ELEMENTS (sizes); i++)
    for (guint64 n_frames = 1; n_frames < 40; n_frames += 13)
      {
        FilClipInfo info = maker_info (sizes[i][0], sizes[i][1], sizes[i][2]);
        FilClipWriter *writer = start (f->path, &info, FALSE);

        g_assert_true (exists (f->journal));
        maker_append (writer, &info, n_frames);
        g_assert_cmpuint (fil_clip_writer_get_frames (writer), ==, n_frames);
        finish (writer);
        g_assert_false (exists (f->journal));
        check_whole (f->path, &info, n_frames);
        g_unlink (f->path);
      }
}

static void
test_header (Fixture      *f,
             gconstpointer data)
{
  FilClipInfo info = maker_info (64, 48, 12);
  FilClipWriter *writer = start (f->path, &info, FALSE);
  FilDepth learnt = { .bits = 11, .shift = 1, .full = 4094, .learnt = TRUE };
  g_autoptr (FilClip) clip = NULL;
  FilDepth depth;
  guint64 lost, gaps;

  maker_append (writer, &info, 10);
  fil_clip_writer_set_depth (writer, &learnt);
  fil_clip_writer_set_losses (writer, 3, 5);
  fil_clip_writer_set_clock_drift (writer, -0.0015);
  finish (writer);

  clip = open_clip (f->path);
  g_assert_true (fil_clip_is_ours (clip));
  g_assert_true (fil_clip_is_raw (clip));
  g_assert_cmpint (fil_clip_get_pattern (clip), ==, FIL_PATTERN_GRBG);
  g_assert_cmpint (fil_clip_get_utc_begin_ns (clip), ==, MAKER_BEGIN_NS);
  g_assert_cmpfloat (fil_clip_get_black_level (clip), ==, 16.0);
  g_assert_true (fil_clip_get_losses (clip, &lost, &gaps));
  g_assert_cmpuint (lost, ==, 3);
  g_assert_cmpuint (gaps, ==, 5);
  depth = fil_clip_get_depth (clip);
  g_assert_cmpint (depth.bits, ==, 11);
  g_assert_cmpint (depth.shift, ==, 1);
  g_assert_cmpuint (depth.full, ==, 4094);
  g_assert_cmpfloat_with_epsilon (fil_clip_get_fps (clip), 20.0, 1e-9);
  g_assert_cmpstr (fil_clip_get_card (clip, "CLKDRIFT"), ==, "-0.0015");
  g_assert_cmpstr (fil_clip_get_card (clip, "DATE-BEG"), ==, "2026-11-25T10:00:00.250000000");
  g_assert_cmpstr (fil_clip_get_card (clip, "DATE-END"), ==, "2026-11-25T10:00:00.702500000");
  g_assert_cmpstr (fil_clip_get_card (clip, "TELESCOP"), ==, "Daechlein 102 u");
  /* The part before the apostrophe fills one card, the rest goes on. */
  g_assert_cmpstr (fil_clip_get_card (clip, "GATECONF"), ==,
                   "wedge: the objective is a lens, nothing stands before the wedge, its "
                   "density filter is fitted, the heat outlet's clear, the finder is capped");
}

/* Whatever the moment: the file on the disk is a clip of the frames flushed. */
static void
test_readable_while_growing (Fixture      *f,
                             gconstpointer data)
{
  FilClipInfo info = maker_info (37, 23, 12);
  FilClipWriter *writer = start (f->path, &info, FALSE);
  g_autoptr (GError) error = NULL;
  guint64 n_frames;

  {
    g_autoptr (FilClip) clip = open_clip (f->path);

    g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 0);
    g_assert_false (fil_clip_is_complete (clip));
  }
  maker_append (writer, &info, 11);
  g_assert_true (fil_clip_writer_flush (writer, &error));
  g_assert_no_error (error);
  {
    g_autoptr (FilClip) clip = open_clip (f->path);

    g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 11);
    g_assert_false (fil_clip_is_complete (clip));
    g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_ABSENT);
    check_content (clip, &info);
  }
  g_assert_false (fil_clip_mend (f->path, &n_frames, NULL, &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN);   /* still being recorded */
  finish (writer);
  check_whole (f->path, &info, 11);
}

static void
test_exists (Fixture      *f,
             gconstpointer data)
{
  FilClipInfo info = maker_info (8, 8, 8);
  g_autofree char *content = NULL;
  FilClipWriter *writer;
  g_autoptr (GError) error = NULL;

  g_file_set_contents (f->path, "kept", -1, NULL);
  g_assert_null (fil_clip_writer_new (f->path, &info, MAKER_BEGIN_NS, FALSE, &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_EXISTS);
  g_assert_false (exists (f->journal));

  /* Replaced only when closed, and not at all when discarded. */
  writer = start (f->path, &info, TRUE);
  g_assert_true (exists (f->grown) && exists (f->grown_journal));
  maker_append (writer, &info, 2);
  fil_clip_writer_discard (writer);
  g_assert_false (exists (f->grown) || exists (f->grown_journal));
  g_file_get_contents (f->path, &content, NULL, NULL);
  g_assert_cmpstr (content, ==, "kept");

  writer = start (f->path, &info, TRUE);
  maker_append (writer, &info, 2);
  finish (writer);
  g_assert_false (exists (f->grown) || exists (f->grown_journal));
  check_whole (f->path, &info, 2);
}

static void
test_no_folder (Fixture      *f,
                gconstpointer data)
{
  FilClipInfo info = maker_info (8, 8, 8);
  g_autofree char *path = g_build_filename (f->folder, "not", "there.fits", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_clip_writer_new (path, &info, MAKER_BEGIN_NS, FALSE, &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN);
}

static void
test_no_frame (Fixture      *f,
               gconstpointer data)
{
  FilClipInfo info = maker_info (8, 8, 8);
  g_autoptr (GError) error = NULL;

  g_assert_false (fil_clip_writer_close (start (f->path, &info, FALSE), &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_WRITE);
  g_assert_false (exists (f->path) || exists (f->journal));
}

/* The limit of file size stands for a full disk: the same error path. The
 * tables must fit below it, so the last frames make room. */
static void
test_no_space (Fixture      *f,
               gconstpointer data)
{
  struct rlimit before, limit;

  signal (SIGXFSZ, SIG_IGN);
  getrlimit (RLIMIT_FSIZE, &before);
  for (int i = 0; i < 8; i++)
    {
      FilClipInfo info = maker_info (i < 4 ? 16 : 300, 16, 12);
      const gsize bytes = (gsize) info.width * 16 * 2;
      g_autofree guint8 *stored = g_malloc (bytes);
      FilClipWriter *writer = start (f->path, &info, FALSE);
      g_autoptr (GError) error = NULL, close_error = NULL;
      guint64 n_frames, kept;

      limit = before;
      limit.rlim_cur = (rlim_t) (200000 + i * 1111);
      g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &limit), ==, 0);
      for (guint64 k = 0;; k++)
        {
          FilClipRow row = maker_row (k);

          maker_fill (stored, &info, k);
          if (!fil_clip_writer_append (writer, stored, &row, 1, &error))
            break;
        }
      g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_SPACE);
      g_assert_nonnull (strstr (error->message, "space"));
      n_frames = fil_clip_writer_get_frames (writer);
      g_assert_true (fil_clip_writer_close_counted (writer, &kept, &close_error));
      g_assert_no_error (close_error);
      setrlimit (RLIMIT_FSIZE, &before);

      g_assert_cmpuint (kept, >, 0);
      g_assert_cmpuint (kept, <=, n_frames);
      g_assert_cmpuint ((n_frames - kept) * bytes, <, 100000);   /* what the tables take */
      check_whole (f->path, &info, kept);
      g_unlink (f->path);
    }
  signal (SIGXFSZ, SIG_DFL);
}

/* A child writes until it is killed; whole frames must be there, and mending
 * gives what closing would have. */
static void
kill_a_writer (Fixture    *f,
               GRand      *rand,
               gboolean    replace)
{
  FilClipInfo info = maker_info (g_rand_int_range (rand, 8, 200),
                                 g_rand_int_range (rand, 8, 200),
                                 g_rand_boolean (rand) ? 8 : 12);
  const char *path = replace ? f->grown : f->path;
  g_autofree char *mended = NULL;
  g_autoptr (GError) error = NULL;
  guint64 n_frames, n_mended;
  pid_t child;
  int pipe_fds[2];
  guint64 flushed = 0, told;

  g_assert_cmpint (pipe (pipe_fds), ==, 0);
  child = fork ();
  if (child == 0)
    {
      FilClipWriter *writer = start (f->path, &info, replace);
      const gsize bytes = (gsize) info.width * (gsize) info.height *
                          fil_clip_info_stored_bytes (&info);
      guint8 *stored = g_malloc (bytes);

      for (guint64 i = 0;; i++)
        {
          FilClipRow row = maker_row (i);

          maker_fill (stored, &info, i);
          if (!fil_clip_writer_append (writer, stored, &row, 1, NULL))
            _exit (1);
          if (i % 5 == 0)
            {
              fil_clip_writer_flush (writer, NULL);
              told = i + 1;
              (void) !write (pipe_fds[1], &told, sizeof told);
            }
        }
    }

  close (pipe_fds[1]);
  g_usleep ((gulong) g_rand_int_range (rand, 1000, 40000));
  for (int i = 0; i < 2; i++)   /* at least one flush was reported */
    if (read (pipe_fds[0], &told, sizeof told) == sizeof told)
      flushed = told;
  kill (child, SIGKILL);
  waitpid (child, NULL, 0);
  while (read (pipe_fds[0], &told, sizeof told) == sizeof told)
    flushed = told;
  close (pipe_fds[0]);

  {
    g_autoptr (FilClip) clip = open_clip (path);

    g_assert_false (fil_clip_is_complete (clip));
    n_frames = fil_clip_get_n_frames (clip);
    g_assert_cmpuint (n_frames, >=, flushed);
    g_assert_cmpuint (flushed, >, 0);
    check_content (clip, &info);
  }

  g_assert_true (fil_clip_mend (path, &n_mended, &mended, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (n_mended, ==, n_frames);
  g_assert_cmpstr (mended, ==, f->path);
  g_assert_false (exists (f->journal) || exists (f->grown_journal) || exists (f->grown));
  check_whole (f->path, &info, n_frames);
  g_unlink (f->path);
}

static void
test_killed (Fixture      *f,
             gconstpointer data)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (4);
  const char *turns = g_getenv ("FIL_TEST_KILLS");
  int n = turns != NULL ? atoi (turns) : 20;

  for (int i = 0; i < n; i++)
    kill_a_writer (f, rand, i % 2 != 0);
}

/* The journal's last record torn at every byte: the row is dropped, the frame
 * with it, nothing else. */
static void
test_torn_journal (Fixture      *f,
                   gconstpointer data)
{
  FilClipInfo info = maker_info (20, 10, 12);
  FilClipWriter *writer = start (f->path, &info, FALSE);
  g_autofree char *journal = NULL, *clip_bytes = NULL;
  gsize journal_length, clip_length;

  maker_append (writer, &info, 5);
  g_assert_true (fil_clip_writer_flush (writer, NULL));
  g_file_get_contents (f->journal, &journal, &journal_length, NULL);
  g_file_get_contents (f->path, &clip_bytes, &clip_length, NULL);
  fil_clip_writer_discard (writer);

  for (gsize cut = 1; cut <= 88; cut++)
    {
      g_autoptr (GError) error = NULL;
      guint64 n_frames;

      g_file_set_contents (f->path, clip_bytes, (gssize) clip_length, NULL);
      if (cut % 2 == 0)
        g_file_set_contents (f->journal, journal, (gssize) (journal_length - cut), NULL);
      else
        {
          journal[journal_length - cut] ^= 0x10;
          g_file_set_contents (f->journal, journal, (gssize) journal_length, NULL);
          journal[journal_length - cut] ^= 0x10;
        }
      g_assert_true (fil_clip_mend (f->path, &n_frames, NULL, &error));
      g_assert_no_error (error);
      g_assert_cmpuint (n_frames, ==, 4);
      check_whole (f->path, &info, 4);
    }
}

#define ADD(name, test) g_test_add ("/clip-write/" name, Fixture, NULL, set_up, test, tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  ADD ("round-trip", test_round_trip);
  ADD ("header", test_header);
  ADD ("readable-while-growing", test_readable_while_growing);
  ADD ("exists", test_exists);
  ADD ("no-folder", test_no_folder);
  ADD ("no-frame", test_no_frame);
  ADD ("no-space", test_no_space);
  ADD ("killed", test_killed);
  ADD ("torn-journal", test_torn_journal);

  return g_test_run ();
}
