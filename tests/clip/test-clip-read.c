/* test-clip-read.c: foreign FITS files of every kind, written by cfitsio
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>
#include <unistd.h>

#include <fitsio.h>
#include <glib.h>
#include <glib/gstdio.h>

#include "fil-clip.h"

#define WIDTH 37
#define HEIGHT 23
#define N_FRAMES 3
#define N_PIXELS (WIDTH * HEIGHT)

typedef struct
{
  char *folder;
  char *path;
} Fixture;

static void
set_up (Fixture      *f,
        gconstpointer data)
{
  f->folder = g_dir_make_tmp ("fil-clip-XXXXXX", NULL);
  /* Brackets and '!' mean something to cfitsio, and nothing to us. */
  f->path = g_build_filename (f->folder, "!a[1:2,3].fits", NULL);
}

static void
tear_down (Fixture      *f,
           gconstpointer data)
{
  g_autoptr (GDir) dir = g_dir_open (f->folder, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (f->folder, name, NULL);

      g_assert_cmpint (g_unlink (path), ==, 0);
    }
  g_assert_cmpint (g_rmdir (f->folder), ==, 0);
  g_free (f->folder);
  g_free (f->path);
}

/* 0 to 255 in every type; frames differ, rows differ */
static double
value_at (int frame,
          int i)
{
  return (double) ((i * 7 + frame * 31 + (i / WIDTH) * 3) % 251);
}

static fitsfile *
create (const char *path)
{
  fitsfile *fits;
  int status = 0;

  fits_create_diskfile (&fits, path, &status);
  g_assert_cmpint (status, ==, 0);

  return fits;
}

static void
write_cube (fitsfile *fits,
            int       bitpix,
            int       n_axes,
            LONGLONG  n_frames)
{
  LONGLONG axes[4] = { WIDTH, HEIGHT, n_frames, 1 };
  g_autofree double *values = g_new (double, N_PIXELS * n_frames);
  int status = 0;

  for (int k = 0; k < n_frames; k++)
    for (int i = 0; i < N_PIXELS; i++)
      values[k * N_PIXELS + i] = bitpix == SBYTE_IMG ? 0.0 : value_at (k, i);
  fits_create_imgll (fits, bitpix, n_axes, axes, &status);
  fits_write_img (fits, TDOUBLE, 1, N_PIXELS * n_frames, values, &status);
  g_assert_cmpint (status, ==, 0);
}

static void
finish (fitsfile *fits)
{
  int status = 0;

  fits_close_file (fits, &status);
  g_assert_cmpint (status, ==, 0);
}

static void
check_pixels (FilClip *clip)
{
  double doubles[N_PIXELS];
  uint16_t counts[N_PIXELS], unpacked[N_PIXELS];

  for (guint64 k = 0; k < fil_clip_get_n_frames (clip); k++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (FilFrame) frame = NULL;

      g_assert_true (fil_clip_read_double (clip, k, doubles, &error));
      g_assert_no_error (error);
      g_assert_true (fil_clip_read_u16 (clip, k, counts, &error));
      g_assert_no_error (error);
      frame = fil_clip_read_frame (clip, k, &error);
      g_assert_no_error (error);
      g_assert_true (frame->bottom_up);
      g_assert_cmpuint (frame->sequence, ==, k);
      g_assert_true (fil_frame_unpack (frame, NULL, unpacked, &error));
      g_assert_no_error (error);
      for (int i = 0; i < N_PIXELS; i++)
        {
          g_assert_cmpfloat (doubles[i], ==, value_at ((int) k, i));
          g_assert_cmpuint (counts[i], ==, (guint) value_at ((int) k, i));
        }
      /* A frame's counts come with the top row first. */
      for (int y = 0; y < HEIGHT; y++)
        g_assert_cmpmem (unpacked + y * WIDTH, WIDTH * 2,
                         counts + (HEIGHT - 1 - y) * WIDTH, WIDTH * 2);
    }
}

static FilClip *
open_clip (const char *path)
{
  g_autoptr (GError) error = NULL;
  FilClip *clip = fil_clip_open (path, &error);

  g_assert_no_error (error);
  g_assert_nonnull (clip);

  return clip;
}

static void
check_sizes (FilClip *clip,
             guint64  n_frames)
{
  g_assert_cmpint (fil_clip_get_width (clip), ==, WIDTH);
  g_assert_cmpint (fil_clip_get_height (clip), ==, HEIGHT);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, n_frames);
  g_assert_true (fil_clip_is_complete (clip));
  g_assert_false (fil_clip_is_ours (clip));
  g_assert_true (fil_clip_is_raw (clip));
}

static void
test_types (Fixture      *f,
            gconstpointer data)
{
  static const struct { int bitpix; gboolean integer; double full; int bits; } types[] = {
    { BYTE_IMG, TRUE, 255.0, 8 }, { USHORT_IMG, TRUE, 65535.0, 16 },
    { SHORT_IMG, FALSE, 32767.0, 16 }, { LONG_IMG, FALSE, 2147483647.0, 32 },
    { SBYTE_IMG, FALSE, 127.0, 8 }, { LONGLONG_IMG, FALSE, 9223372036854775807.0, 64 },
    { FLOAT_IMG, FALSE, NAN, 32 }, { DOUBLE_IMG, FALSE, NAN, 64 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (types); i++)
    for (int n_axes = 2; n_axes <= 4; n_axes++)
      {
        fitsfile *fits = create (f->path);
        g_autoptr (FilClip) clip = NULL;
        double full;

        write_cube (fits, types[i].bitpix, n_axes, n_axes == 2 ? 1 : N_FRAMES);
        finish (fits);
        clip = open_clip (f->path);
        check_sizes (clip, n_axes == 2 ? 1 : N_FRAMES);
        g_assert_cmpint (fil_clip_is_integer (clip), ==, types[i].integer);
        g_assert_cmpint (fil_clip_get_depth (clip).bits, ==, types[i].bits);
        full = fil_clip_get_full_scale (clip);
        g_assert_true (full == types[i].full || (isnan (full) && isnan (types[i].full)));
        g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_ABSENT);
        /* Signed bytes can't hold the test's values. */
        if (types[i].bitpix != SBYTE_IMG)
          check_pixels (clip);
        g_unlink (f->path);
      }
}

static void
test_scale_and_blank (Fixture      *f,
                      gconstpointer data)
{
  fitsfile *fits = create (f->path);
  LONGLONG axes[2] = { 4, 1 };
  short stored[4] = { 10, -99, 20, 32767 };
  double scale = 0.5, zero = 100.0, values[4];
  int status = 0, blank = -99;
  g_autoptr (FilClip) clip = NULL;
  uint16_t counts[4];

  fits_create_imgll (fits, SHORT_IMG, 2, axes, &status);
  fits_write_img (fits, TSHORT, 1, 4, stored, &status);
  fits_write_key (fits, TDOUBLE, "BSCALE", &scale, "scale", &status);
  fits_write_key (fits, TDOUBLE, "BZERO", &zero, "zero", &status);
  fits_write_key (fits, TINT, "BLANK", &blank, "no value", &status);
  g_assert_cmpint (status, ==, 0);
  finish (fits);

  clip = open_clip (f->path);
  g_assert_false (fil_clip_is_integer (clip));
  g_assert_true (fil_clip_read_double (clip, 0, values, NULL));
  g_assert_cmpfloat (values[0], ==, 105.0);
  g_assert_true (isnan (values[1]));
  g_assert_cmpfloat (values[2], ==, 110.0);
  g_assert_cmpfloat (values[3], ==, 16483.5);
  g_assert_true (fil_clip_read_u16 (clip, 0, counts, NULL));
  g_assert_cmpuint (counts[1], ==, 0);
  g_assert_cmpuint (counts[3], ==, 16484);
}

static void
test_image_extension (Fixture      *f,
                      gconstpointer data)
{
  fitsfile *fits = create (f->path);
  g_autoptr (FilClip) clip = NULL;
  int status = 0;

  fits_create_imgll (fits, BYTE_IMG, 0, NULL, &status);
  fits_write_key (fits, TSTRING, "TELESCOP", (void *) "in the primary", "rig", &status);
  write_cube (fits, USHORT_IMG, 3, N_FRAMES);
  fits_write_key (fits, TSTRING, "BAYERPAT", (void *) "GBRG", "pattern", &status);
  g_assert_cmpint (status, ==, 0);
  finish (fits);

  clip = open_clip (f->path);
  check_sizes (clip, N_FRAMES);
  check_pixels (clip);
  g_assert_cmpstr (fil_clip_get_card (clip, "TELESCOP"), ==, "in the primary");
  g_assert_cmpstr (fil_clip_get_card (clip, "NOTTHERE"), ==, NULL);
  g_assert_cmpint (fil_clip_get_pattern (clip), ==, FIL_PATTERN_GBRG);
}

static void
test_tiles (Fixture      *f,
            gconstpointer data)
{
  static const struct { int coder, bitpix; } kinds[] = {
    { RICE_1, USHORT_IMG }, { RICE_1, BYTE_IMG }, { RICE_1, SHORT_IMG }, { RICE_1, LONG_IMG },
    { GZIP_1, USHORT_IMG }, { GZIP_2, FLOAT_IMG }, { GZIP_1, DOUBLE_IMG },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autofree char *plain_path = g_build_filename (f->folder, "plain.fits", NULL);
      fitsfile *plain = create (plain_path), *fits = create (f->path);
      long tile[3] = { WIDTH, 4, 1 };
      int status = 0;
      g_autoptr (FilClip) clip = NULL;

      write_cube (plain, kinds[i].bitpix, 3, N_FRAMES);
      fits_set_compression_type (fits, kinds[i].coder, &status);
      fits_set_tile_dim (fits, 3, tile, &status);
      if (kinds[i].bitpix < 0)
        fits_set_quantize_level (fits, 9999.0f, &status);
      g_assert_cmpint (status, ==, 0);
      fits_flush_file (plain, &status);
      fits_img_compress (plain, fits, &status);
      fits_write_chksum (fits, &status);
      g_assert_cmpint (status, ==, 0);
      finish (plain);
      finish (fits);

      clip = open_clip (f->path);
      check_sizes (clip, N_FRAMES);
      check_pixels (clip);
      g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_OK);
      g_unlink (f->path);
      g_unlink (plain_path);
    }
}

static void
write_times (fitsfile   *fits,
             const char *unit,
             double      step,
             int         n_rows)
{
  const char *names[] = { "TIME" }, *formats[] = { "1D" }, *units[] = { unit };
  int status = 0;

  fits_create_tbl (fits, BINARY_TBL, 0, 1, (char **) names, (char **) formats,
                   (char **) units, "FRAMES", &status);
  for (int i = 0; i < n_rows; i++)
    {
      double time = step * i;

      fits_write_col (fits, TDOUBLE, 1, i + 1, 1, 1, &time, &status);
    }
  g_assert_cmpint (status, ==, 0);
}

static void
test_foreign_frames_table (Fixture      *f,
                           gconstpointer data)
{
  static const struct { const char *unit; double step; int rows; gboolean times; } tables[] = {
    { "s", 0.25, N_FRAMES, TRUE }, { "ms", 250.0, N_FRAMES, TRUE },
    { "s", 0.25, N_FRAMES - 1, FALSE }, { "s", NAN, N_FRAMES, FALSE },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (tables); i++)
    {
      fitsfile *fits = create (f->path);
      g_autoptr (FilClip) clip = NULL;
      g_autoptr (FilFrame) frame = NULL;
      const FilClipRow *rows;
      gboolean have_times;
      int status = 0;

      write_cube (fits, USHORT_IMG, 3, N_FRAMES);
      fits_write_key (fits, TSTRING, "DATE-OBS", (void *) "1970-01-02T00:00:00.5", "", &status);
      write_times (fits, tables[i].unit, tables[i].step, tables[i].rows);
      finish (fits);

      clip = open_clip (f->path);
      rows = fil_clip_get_rows (clip, &have_times);
      g_assert_nonnull (rows);
      g_assert_cmpint (have_times, ==, tables[i].times);
      g_assert_true (isnan (rows[1].mean));
      g_assert_cmpint (fil_clip_get_utc_begin_ns (clip), ==,
                       G_GINT64_CONSTANT (86400500000000));
      frame = fil_clip_read_frame (clip, 2, NULL);
      if (have_times)
        {
          g_assert_cmpfloat_with_epsilon (rows[2].time_s, 0.5, 1e-12);
          g_assert_cmpfloat_with_epsilon (fil_clip_get_fps (clip), 4.0, 1e-9);
          g_assert_cmpint (frame->time_ns, ==, G_GINT64_CONSTANT (86401000000000));
        }
      else
        g_assert_true (isnan (fil_clip_get_fps (clip)));
      g_unlink (f->path);
    }
}

static void
test_checksum (Fixture      *f,
               gconstpointer data)
{
  fitsfile *fits = create (f->path);
  g_autofree char *bytes = NULL;
  gsize length;
  int status = 0;

  write_cube (fits, USHORT_IMG, 3, N_FRAMES);
  fits_write_chksum (fits, &status);
  finish (fits);
  {
    g_autoptr (FilClip) clip = open_clip (f->path);

    g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_OK);
  }

  /* Any one bit, in the header or in the data. */
  g_file_get_contents (f->path, &bytes, &length, NULL);
  for (int turn = 0; turn < 2; turn++)
    {
      gsize at = turn == 0 ? length - 2880 : 2879 - 80;
      g_autoptr (FilClip) clip = NULL;

      bytes[at] ^= 1;
      g_file_set_contents (f->path, bytes, (gssize) length, NULL);
      bytes[at] ^= 1;
      clip = open_clip (f->path);
      g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_BAD);
    }
}

static void
test_full_scale (Fixture      *f,
                 gconstpointer data)
{
  static const struct { double datamax, full; int bits; } cases[] = {
    { 4095.0, 4095.0, 12 }, { 1023.0, 1023.0, 10 }, { 3000.0, 65535.0, 16 }, { 255.0, 255.0, 8 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      fitsfile *fits = create (f->path);
      double datamax = cases[i].datamax;
      int status = 0;
      g_autoptr (FilClip) clip = NULL;

      write_cube (fits, USHORT_IMG, 2, 1);
      fits_write_key (fits, TDOUBLE, "DATAMAX", &datamax, "largest", &status);
      finish (fits);
      clip = open_clip (f->path);
      g_assert_cmpfloat (fil_clip_get_full_scale (clip), ==, cases[i].full);
      g_assert_cmpint (fil_clip_get_depth (clip).bits, ==, cases[i].bits);
      g_unlink (f->path);
    }
}

#define ADD(name, test) g_test_add ("/clip-read/" name, Fixture, NULL, set_up, test, tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  ADD ("types", test_types);
  ADD ("scale-and-blank", test_scale_and_blank);
  ADD ("image-extension", test_image_extension);
  ADD ("tiles", test_tiles);
  ADD ("foreign-frames-table", test_foreign_frames_table);
  ADD ("checksum", test_checksum);
  ADD ("full-scale", test_full_scale);

  return g_test_run ();
}
