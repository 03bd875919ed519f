/* test-clip-hostile.c: files that mean harm, or were harmed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fitsio.h>
#include <glib.h>
#include <glib/gstdio.h>

#include "clip-exercise.h"
#include "clip-maker.h"
#include "fil-clip-mend.h"
#include "fil-clip.h"

#define N_MUTATIONS 400

typedef struct
{
  char *folder;
  char *path;
  char *journal;
  char *spare;
} Fixture;

static void
set_up (Fixture      *f,
        gconstpointer data)
{
  f->folder = g_dir_make_tmp ("fil-clip-XXXXXX", NULL);
  f->path = g_build_filename (f->folder, "clip.fits", NULL);
  f->journal = g_strconcat (f->path, ".rows", NULL);
  f->spare = g_build_filename (f->folder, "spare.fits", NULL);
}

static void
tear_down (Fixture      *f,
           gconstpointer data)
{
  g_unlink (f->path);
  g_unlink (f->journal);
  g_unlink (f->spare);
  g_assert_cmpint (g_rmdir (f->folder), ==, 0);
  g_free (f->folder);
  g_free (f->path);
  g_free (f->journal);
  g_free (f->spare);
}

/* A header of these cards, ended by NULL, and so many bytes of zeros. */
static void
write_cards (const char *path,
             gsize       n_zeros,
             ...)
{
  g_autoptr (GString) text = g_string_new (NULL);
  const char *card;
  va_list cards;

  va_start (cards, n_zeros);
  while ((card = va_arg (cards, const char *)) != NULL)
    g_string_append_printf (text, "%-80s", card);
  va_end (cards);
  while (text->len % 2880 != 0)
    g_string_append_c (text, ' ');
  for (gsize i = 0; i < n_zeros; i++)
    g_string_append_c (text, '\0');
  g_assert_true (g_file_set_contents (path, text->str, (gssize) text->len, NULL));
}

static void
refused (const char  *path,
         FilClipError code)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = fil_clip_open (path, &error);

  g_assert_null (clip);
  g_assert_error (error, FIL_CLIP_ERROR, (gint) code);
}

#define SIMPLE "SIMPLE  =                    T"
#define BYTES "BITPIX  =                    8"

static void
test_no_fits (Fixture      *f,
              gconstpointer data)
{
  g_autofree char *noise = g_malloc (100000);
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);

  refused (f->path, FIL_CLIP_ERROR_OPEN);
  refused (f->folder, FIL_CLIP_ERROR_OPEN);
  refused ("/dev/null", FIL_CLIP_ERROR_OPEN);
  g_file_set_contents (f->path, "", 0, NULL);
  refused (f->path, FIL_CLIP_ERROR_FORMAT);
  g_file_set_contents (f->path, "SIMPLE  = ", 10, NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  for (int i = 0; i < 100000; i++)
    noise[i] = (char) g_rand_int (rand);
  g_file_set_contents (f->path, noise, 100000, NULL);
  refused (f->path, FIL_CLIP_ERROR_FORMAT);
  memcpy (noise, "SIMPLE  =", 9);
  g_file_set_contents (f->path, noise, 100000, NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  /* Gzip's first bytes: nothing is unpacked that was not asked for. */
  g_file_set_contents (f->path, "\x1f\x8b\x08\0\0\0\0\0\0\0\0\0\0", 13, NULL);
  refused (f->path, FIL_CLIP_ERROR_FORMAT);
}

static void
test_pipe (Fixture      *f,
           gconstpointer data)
{
  g_assert_cmpint (mkfifo (f->path, 0600), ==, 0);
  refused (f->path, FIL_CLIP_ERROR_OPEN);
}

static void
test_axes (Fixture      *f,
           gconstpointer data)
{
  static const struct { const char *naxis, *x, *y, *z; FilClipError code; } cases[] = {
    { "3", "2147483648", "2147483648", "4", FIL_CLIP_ERROR_DAMAGED },
    { "3", "2147483648", "1", "1", FIL_CLIP_ERROR_FORMAT },
    { "3", "9223372036854775807", "9223372036854775807", "9", FIL_CLIP_ERROR_DAMAGED },
    { "3", "99999999999999999999", "1", "1", FIL_CLIP_ERROR_DAMAGED },
    { "3", "-4", "4", "1", FIL_CLIP_ERROR_DAMAGED },
    { "3", "4", "4", "-1", FIL_CLIP_ERROR_DAMAGED },
    { "3", "0", "4", "1", FIL_CLIP_ERROR_FORMAT },
    { "3", "4", "4", "0", FIL_CLIP_ERROR_FORMAT },
    { "3", "100000", "100000", "1", FIL_CLIP_ERROR_DAMAGED },
    { "3", "1", "1", "1000000000", FIL_CLIP_ERROR_DAMAGED },
    { "3", "4", "4", "1e1", FIL_CLIP_ERROR_DAMAGED },
    { "3", "4", "4", "nan", FIL_CLIP_ERROR_DAMAGED },
    { "999", "4", "4", "1", FIL_CLIP_ERROR_DAMAGED },
    { "1000", "4", "4", "1", FIL_CLIP_ERROR_DAMAGED },
    { "-1", "4", "4", "1", FIL_CLIP_ERROR_DAMAGED },
    { "0", "4", "4", "1", FIL_CLIP_ERROR_FORMAT },
    { "1", "4", "4", "1", FIL_CLIP_ERROR_FORMAT },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *naxis = g_strdup_printf ("NAXIS   = %20s", cases[i].naxis);
      g_autofree char *x = g_strdup_printf ("NAXIS1  = %20s", cases[i].x);
      g_autofree char *y = g_strdup_printf ("NAXIS2  = %20s", cases[i].y);
      g_autofree char *z = g_strdup_printf ("NAXIS3  = %20s", cases[i].z);

      write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, y, z, "END", NULL);
      refused (f->path, cases[i].code);
      /* A clip of ours with such axes is no better. */
      write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, y, z,
                   "CLIPDONE=                    F", "END", NULL);
      exercise_clip (f->path);
    }
}

static void
test_header (Fixture      *f,
             gconstpointer data)
{
  const char *naxis = "NAXIS   =                    2", *x = "NAXIS1  =                    4",
             *y = "NAXIS2  =                    4";

  write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, y, NULL);   /* no END */
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 2880, SIMPLE, "BITPIX  =                   13", naxis, x, y, "END", NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 2880, SIMPLE, naxis, x, y, "END", NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, "END", NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 100, SIMPLE, BYTES, naxis, x, y, "END", NULL);   /* cut in its filling */
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, y, "PCOUNT  =  9223372036854775807",
               "GCOUNT  =                    2", "END", NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
  write_cards (f->path, 2880, SIMPLE, BYTES, naxis, x, y, "TELESCOP= 'never closed",
               "BSCALE  = 1e999", "BZERO   = nan", "BLACKCNT= inf", "DATE-OBS= '2026-13-45T99:99'",
               "FRMLOST = -5", "CONTINUE  'astray'", "END", NULL);
  g_assert_true (exercise_clip (f->path));
}

/* END never comes: the header is as long as the file. */
static void
test_endless_header (Fixture      *f,
                     gconstpointer data)
{
  g_autoptr (GString) text = g_string_new (NULL);

  g_string_append_printf (text, "%-80s%-80s", SIMPLE, BYTES);
  while (text->len < 8 << 20)
    g_string_append_printf (text, "%-80s", "NAXIS   =                    2");
  g_file_set_contents (f->path, text->str, (gssize) text->len, NULL);
  refused (f->path, FIL_CLIP_ERROR_DAMAGED);
}

static void
make_clip (const char *path,
           gboolean    growing)
{
  FilClipInfo info = maker_info (16, 12, 12);
  FilClipWriter *writer = fil_clip_writer_new (path, &info, MAKER_BEGIN_NS, FALSE, NULL);

  maker_append (writer, &info, 6);
  if (!growing)
    {
      g_assert_true (fil_clip_writer_close (writer, NULL));
      return;
    }

  /* A copy of what a dead writer leaves. */
  g_assert_true (fil_clip_writer_flush (writer, NULL));
  for (int i = 0; i < 2; i++)
    {
      g_autofree char *from = g_strconcat (path, i == 0 ? "" : ".rows", NULL);
      g_autofree char *to = g_strconcat (from, ".kept", NULL);

      g_assert_cmpint (link (from, to), ==, 0);
    }
  fil_clip_writer_discard (writer);
  for (int i = 0; i < 2; i++)
    {
      g_autofree char *to = g_strconcat (path, i == 0 ? "" : ".rows", NULL);
      g_autofree char *from = g_strconcat (to, ".kept", NULL);

      g_assert_cmpint (g_rename (from, to), ==, 0);
    }
}

/* With a table of times and tiles, as other programs write them. */
static void
make_foreign (const char *path,
              gboolean    tiles)
{
  const char *names[] = { "TIME" }, *formats[] = { "1D" }, *units[] = { "s" };
  LONGLONG axes[3] = { 16, 12, 6 };
  unsigned short counts[16 * 12 * 6];
  double times[6] = { 0, 1, 2, 3, 4, 5 };
  fitsfile *fits, *plain;
  int status = 0;

  for (gsize i = 0; i < G_N_ELEMENTS (counts); i++)
    counts[i] = (unsigned short) (i * 37);
  fits_create_diskfile (&fits, path, &status);
  if (tiles)
    {
      fits_create_file (&plain, "mem://", &status);
      fits_create_imgll (plain, USHORT_IMG, 3, axes, &status);
      fits_write_img (plain, TUSHORT, 1, 16 * 12 * 6, counts, &status);
      fits_flush_file (plain, &status);
      fits_set_compression_type (fits, RICE_1, &status);
      fits_img_compress (plain, fits, &status);
      fits_close_file (plain, &status);
    }
  else
    {
      fits_create_imgll (fits, USHORT_IMG, 3, axes, &status);
      fits_write_img (fits, TUSHORT, 1, 16 * 12 * 6, counts, &status);
    }
  fits_create_tbl (fits, BINARY_TBL, 0, 1, (char **) names, (char **) formats, (char **) units,
                   "FRAMES", &status);
  fits_write_col (fits, TDOUBLE, 1, 1, 1, 6, times, &status);
  fits_close_file (fits, &status);
  g_assert_cmpint (status, ==, 0);
}

/* A bit or a byte elsewhere, a card's text, a cut, a copied block. */
static void
mutate (GRand   *rand,
        GString *bytes)
{
  static const char *const values[] = {
    "         -2147483648", "          2147483647", "          4294967296", "                   0",
    "                   1", "                 999", "9223372036854775807 ", "                   F",
  };
  const gsize length = bytes->len;
  gsize at = (gsize) g_rand_int_range (rand, 0, (gint32) length);
  gsize n;

  switch (g_rand_int_range (rand, 0, 6))
    {
    case 0:
      bytes->str[at] ^= (char) (1 << g_rand_int_range (rand, 0, 8));
      break;
    case 1:
      bytes->str[at] = (char) g_rand_int (rand);
      break;
    case 2:   /* another number on a card */
      at -= at % 80;
      if (at + 30 < length && bytes->str[at + 8] == '=')
        memcpy (bytes->str + at + 10, values[g_rand_int_range (rand, 0, G_N_ELEMENTS (values))],
                20);
      break;
    case 3:
      g_string_truncate (bytes, at);
      break;
    case 4:   /* a piece moved */
      n = (gsize) g_rand_int_range (rand, 1, 5000);
      n = MIN (n, length - at);
      memmove (bytes->str + (gsize) g_rand_int_range (rand, 0, (gint32) (length - n + 1)),
               bytes->str + at, n);
      break;
    default:  /* a card lost */
      at -= at % 80;
      n = MIN ((gsize) 80, length - at);
      memset (bytes->str + at, ' ', n);
      break;
    }
}

static GString *
load (const char *path)
{
  g_autofree char *contents = NULL;
  gsize length;

  g_assert_true (g_file_get_contents (path, &contents, &length, NULL));

  return g_string_new_len (contents, (gssize) length);
}

static void
save (const char    *path,
      const GString *bytes)
{
  int fd;

  /* Truncating instead would have the file system flush each one. */
  g_unlink (path);
  fd = g_open (path, O_WRONLY | O_CREAT | O_EXCL, 0600);
  g_assert_cmpint (write (fd, bytes->str, bytes->len), ==, (gssize) bytes->len);
  close (fd);
}

static void
run_mutations (Fixture    *f,
               const char *victim,
               guint32     seed,
               gboolean    mend)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  GString *whole = load (victim), *clip = load (f->path);
  const char *turns = g_getenv ("FIL_TEST_MUTATIONS");
  int n_opened = 0, n = turns != NULL ? atoi (turns) : N_MUTATIONS;

  for (int i = 0; i < n; i++)
    {
      GString *bytes = g_string_new_len (whole->str, (gssize) whole->len);

      for (int k = g_rand_int_range (rand, 1, 4); k > 0 && bytes->len > 0; k--)
        mutate (rand, bytes);
      save (victim, bytes);
      n_opened += exercise_clip (f->path);
      if (mend)
        {
          guint64 n_frames;

          fil_clip_mend (f->path, &n_frames, NULL, NULL);
          exercise_clip (f->path);
          save (f->path, clip);
        }
      g_string_free (bytes, TRUE);
    }
  g_test_message ("%d of %d could be opened", n_opened, n);
  g_assert_cmpint (n_opened, >, n / 20);
  g_string_free (whole, TRUE);
  g_string_free (clip, TRUE);
}

static void
test_mutated_clip (Fixture      *f,
                   gconstpointer data)
{
  make_clip (f->path, FALSE);
  run_mutations (f, f->path, 11, FALSE);
}

static void
test_mutated_growing (Fixture      *f,
                      gconstpointer data)
{
  make_clip (f->path, TRUE);
  run_mutations (f, f->path, 12, FALSE);
}

static void
test_mutated_journal (Fixture      *f,
                      gconstpointer data)
{
  make_clip (f->path, TRUE);
  run_mutations (f, f->journal, 13, TRUE);
}

static void
test_mutated_foreign (Fixture      *f,
                      gconstpointer data)
{
  make_foreign (f->path, FALSE);
  run_mutations (f, f->path, 14, FALSE);
}

static void
test_mutated_tiles (Fixture      *f,
                    gconstpointer data)
{
  make_foreign (f->path, TRUE);
  run_mutations (f, f->path, 15, FALSE);
}

#define ADD(name, test) g_test_add ("/clip-hostile/" name, Fixture, NULL, set_up, test, tear_down)

int
main (int argc, char *argv[])
{
#if !defined (__SANITIZE_ADDRESS__) && !defined (__SANITIZE_THREAD__)
  /* Whoever allocates by what a header says fails here. */
  struct rlimit limit = { 512 << 20, 512 << 20 };

  setrlimit (RLIMIT_AS, &limit);
#endif

  g_test_init (&argc, &argv, NULL);

  ADD ("no-fits", test_no_fits);
  ADD ("pipe", test_pipe);
  ADD ("axes", test_axes);
  ADD ("header", test_header);
  ADD ("endless-header", test_endless_header);
  ADD ("mutated-clip", test_mutated_clip);
  ADD ("mutated-growing", test_mutated_growing);
  ADD ("mutated-journal", test_mutated_journal);
  ADD ("mutated-foreign", test_mutated_foreign);
  ADD ("mutated-tiles", test_mutated_tiles);

  return g_test_run ();
}
