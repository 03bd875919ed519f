/* test-replay.c: a FITS cube, played again
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <fitsio.h>
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

#include <gio/gio.h>
#include <glib/gstdio.h>

#include "fil-source.h"

#define WIDTH 5
#define HEIGHT 3
#define N_PIXELS (WIDTH * HEIGHT)
#define N_FRAMES 4

typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t changed;
  GPtrArray      *frames;    /* of FilFrame */
  guint           wanted;    /* hold the source up after so many; 0: take all */
  FilSourceState  state;
  GError         *error;
} Seen;

static void
seen_init (Seen *seen)
{
  memset (seen, 0, sizeof *seen);
  pthread_mutex_init (&seen->lock, NULL);
  pthread_cond_init (&seen->changed, NULL);
  seen->frames = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_frame_unref);
}

static void
seen_clear (Seen *seen)
{
  g_ptr_array_unref (seen->frames);
  g_clear_error (&seen->error);
  pthread_mutex_destroy (&seen->lock);
  pthread_cond_destroy (&seen->changed);
}

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
  Seen *seen = user_data;

  pthread_mutex_lock (&seen->lock);
  if (seen->wanted == 0 || seen->frames->len < seen->wanted)
    g_ptr_array_add (seen->frames, fil_frame_ref (frame));
  pthread_cond_signal (&seen->changed);
  pthread_mutex_unlock (&seen->lock);
}

static void
on_state (FilSource      *source,
          FilSourceState  state,
          const GError   *error,
          gpointer        user_data)
{
  Seen *seen = user_data;

  pthread_mutex_lock (&seen->lock);
  seen->state = state;
  if (error != NULL && seen->error == NULL)
    seen->error = g_error_copy (error);
  pthread_cond_signal (&seen->changed);
  pthread_mutex_unlock (&seen->lock);
}

static const FilSourceSink sink = { .frame = on_frame, .state = on_state };

/* Plays until the file ends, fails, or as many frames as wanted came. */
static void
play (FilSource *source,
      Seen      *seen)
{
  g_autoptr (GError) error = NULL;

  fil_source_start (source, NULL, &sink, seen, &error);
  g_assert_no_error (error);
  pthread_mutex_lock (&seen->lock);
  while (seen->state != FIL_SOURCE_ENDED && seen->state != FIL_SOURCE_LOST &&
         (seen->wanted == 0 || seen->frames->len < seen->wanted))
    pthread_cond_wait (&seen->changed, &seen->lock);
  pthread_mutex_unlock (&seen->lock);
  fil_source_stop (source);
}

static char *
temporary (const char *name)
{
  return g_strdup_printf ("%s/replay-%d-%s", g_get_tmp_dir (), (int) getpid (), name);
}

/* A foreign cube by cfitsio; number i of frame f by @value. */
static char *
write_cube (const char *name,
            int         bitpix,
            double    (*value) (int frame, int i),
            const char *pattern,
            double      step_s)
{
  g_autofree char *path = temporary (name);
  g_autofree char *creating = g_strconcat ("!", path, NULL);
  long axes[] = { WIDTH, HEIGHT, N_FRAMES };
  double numbers[N_PIXELS * N_FRAMES];
  char *columns[] = { (char *) "TIME" }, *forms[] = { (char *) "1D" }, *units[] = { (char *) "s" };
  fitsfile *fits;
  int status = 0;

  for (int f = 0; f < N_FRAMES; f++)
    for (int i = 0; i < N_PIXELS; i++)
      numbers[f * N_PIXELS + i] = value (f, i);

  fits_create_file (&fits, creating, &status);
  fits_create_img (fits, bitpix, 3, axes, &status);
  if (pattern != NULL)
    fits_write_key (fits, TSTRING, "BAYERPAT", (char *) pattern, NULL, &status);
  if (step_s > 0.0)
    fits_write_key (fits, TSTRING, "DATE-BEG", (char *) "2026-06-01T10:00:00.000", NULL, &status);
  fits_write_img (fits, TDOUBLE, 1, N_PIXELS * N_FRAMES, numbers, &status);
  if (step_s > 0.0)
    {
      double times[N_FRAMES];

      for (int f = 0; f < N_FRAMES; f++)
        times[f] = step_s * f * f;
      fits_create_tbl (fits, BINARY_TBL, N_FRAMES, 1, columns, forms, units, "FRAMES", &status);
      fits_write_col (fits, TDOUBLE, 1, 1, 1, N_FRAMES, times, &status);
    }
  fits_close_file (fits, &status);
  g_assert_cmpint (status, ==, 0);

  return g_steal_pointer (&path);
}

static double
small (int frame,
       int i)
{
  return 10 * frame + i;
}

static double
large (int frame,
       int i)
{
  return 4001 * i + frame;
}

static double
fractions (int frame,
           int i)
{
  return i == 7 ? NAN : -2.5 + frame + i / 10.0;
}

static guint
count_at (const FilFrame *frame,
          int             i)
{
  if (frame->format->bits <= 8)
    return frame->data[i];

  return frame->data[2 * i] | (guint) frame->data[2 * i + 1] << 8;
}

static FilSource *
open_path (const char             *path,
           const FilSourceOptions *options)
{
  g_autoptr (GError) error = NULL;
  FilSource *source = fil_source_open (path, options, &error);

  g_assert_no_error (error);

  return source;
}

static void
check_exact (int         bitpix,
             double    (*value) (int frame, int i),
             const char *fourcc)
{
  g_autofree char *path = write_cube ("exact.fits", bitpix, value, NULL, 0.0);
  FilSourceOptions options = { .unpaced = TRUE };
  g_autoptr (FilSource) source = open_path (path, &options);
  FilSourceInfo info;
  Seen seen;

  seen_init (&seen);
  fil_source_get_info (source, &info);
  g_assert_false (info.live);
  g_assert_true (info.waits);
  g_assert_true (info.raw);
  play (source, &seen);

  g_assert_cmpint (seen.state, ==, FIL_SOURCE_ENDED);
  g_assert_cmpuint (seen.frames->len, ==, N_FRAMES);
  for (int f = 0; f < N_FRAMES; f++)
    {
      const FilFrame *frame = g_ptr_array_index (seen.frames, f);

      g_assert_true (fil_frame_check (frame, NULL));
      g_assert_cmpstr (frame->format->name, ==, fourcc);
      g_assert_true (frame->bottom_up);
      g_assert_cmpuint (frame->sequence, ==, (guint64) f);
      for (int i = 0; i < N_PIXELS; i++)
        g_assert_cmpuint (count_at (frame, i), ==, (guint) value (f, i));
    }

  g_remove (path);
  seen_clear (&seen);
}

static void
test_bytes (void)
{
  check_exact (BYTE_IMG, small, "GREY");
}

static void
test_words (void)
{
  check_exact (USHORT_IMG, large, "Y16 ");
}

/* Whole numbers in a form that could hold others. */
static void
test_whole_numbers (void)
{
  check_exact (LONG_IMG, large, "Y16 ");
  check_exact (FLOAT_IMG, large, "Y16 ");
  check_exact (DOUBLE_IMG, small, "Y16 ");
}

static void
test_mapped (void)
{
  g_autofree char *path = write_cube ("mapped.fits", DOUBLE_IMG, fractions, NULL, 0.0);
  FilSourceOptions options = { .unpaced = TRUE };
  g_autoptr (FilSource) source = open_path (path, &options);
  const double low = -2.5, high = -2.5 + (N_FRAMES - 1) + (N_PIXELS - 1) / 10.0;
  FilSourceInfo info;
  Seen seen;

  seen_init (&seen);
  fil_source_get_info (source, &info);
  g_assert_false (info.raw);
  play (source, &seen);

  for (int f = 0; f < N_FRAMES; f++)
    for (int i = 0; i < N_PIXELS; i++)
      {
        double number = fractions (f, i);
        double mapped = isnan (number) ? 0.0 : (number - low) / (high - low) * 65535.0;

        g_assert_cmpfloat_with_epsilon (count_at (g_ptr_array_index (seen.frames, f), i),
                                        mapped, 0.500001);
      }

  g_remove (path);
  seen_clear (&seen);
}

/* The pattern is that of the stored rows, which lie in memory as they are
 * stored: nothing is turned. */
static void
test_pattern (void)
{
  g_autofree char *path = write_cube ("pattern.fits", USHORT_IMG, large, "GBRG", 0.0);
  FilSourceOptions options = { .unpaced = TRUE };
  g_autoptr (FilSource) source = open_path (path, &options);
  g_autoptr (GPtrArray) formats = fil_source_list_formats (source, NULL);
  const FilSourceFormat *format = g_ptr_array_index (formats, 0);
  Seen seen;

  seen_init (&seen);
  g_assert_cmpuint (formats->len, ==, 1);
  g_assert_cmpstr (format->format->name, ==, "GB16");
  play (source, &seen);
  g_assert_cmpint (((FilFrame *) g_ptr_array_index (seen.frames, 0))->format->pattern, ==,
                   FIL_PATTERN_GBRG);

  g_remove (path);
  seen_clear (&seen);
}

/* 2026-06-01T10:00:00 UTC is 1780308000 s after 1970: date -u -d … +%s, GNU
 * coreutils 9.1. */
static void
test_times (void)
{
  const gint64 begin_ns = G_GINT64_CONSTANT (1780308000000000000);
  g_autofree char *path = write_cube ("times.fits", BYTE_IMG, small, NULL, 0.01);
  FilSourceOptions by_file = { .unpaced = TRUE }, by_rate = { .fps = 200.0 };
  g_autoptr (FilSource) source = open_path (path, &by_file);
  g_autoptr (FilSource) faster = open_path (path, &by_rate);
  Seen seen;

  seen_init (&seen);
  play (source, &seen);
  for (int f = 0; f < N_FRAMES; f++)
    {
      const FilFrame *frame = g_ptr_array_index (seen.frames, f);

      g_assert_cmpint (frame->clock, ==, FIL_CLOCK_UTC);
      g_assert_cmpint (frame->stamp, ==, FIL_STAMP_EXPOSURE_START);
      g_assert_cmpint (ABS (frame->time_ns - begin_ns - 10000000 * f * f), <=, 1);
    }
  seen_clear (&seen);

  seen_init (&seen);
  play (faster, &seen);
  for (int f = 0; f < N_FRAMES; f++)
    g_assert_cmpint (ABS (((FilFrame *) g_ptr_array_index (seen.frames, f))->time_ns -
                          begin_ns - 5000000 * f), <=, 1);

  g_remove (path);
  seen_clear (&seen);
}

/* At 50 frames a second, the fourth frame comes no sooner than 60 ms after
 * the first; later is the scheduler's business. */
static void
test_pace (void)
{
  g_autofree char *path = write_cube ("pace.fits", BYTE_IMG, small, NULL, 0.0);
  FilSourceOptions options = { .fps = 50.0 };
  g_autoptr (FilSource) source = open_path (path, &options);
  gint64 before = g_get_monotonic_time ();
  Seen seen;

  seen_init (&seen);
  play (source, &seen);
  g_assert_cmpint (g_get_monotonic_time () - before, >=, 60000);

  g_remove (path);
  seen_clear (&seen);
}

static void
test_loop (void)
{
  g_autofree char *path = write_cube ("loop.fits", BYTE_IMG, small, NULL, 0.01);
  FilSourceOptions options = { .loop = TRUE, .unpaced = TRUE };
  g_autoptr (FilSource) source = open_path (path, &options);
  gint64 last_ns = G_MININT64;
  Seen seen;

  seen_init (&seen);
  seen.wanted = 3 * N_FRAMES + 1;
  play (source, &seen);
  for (guint f = 0; f < seen.wanted; f++)
    {
      const FilFrame *frame = g_ptr_array_index (seen.frames, f);

      g_assert_cmpuint (frame->sequence, ==, f);
      g_assert_cmpuint (frame->data[0], ==, (guint) small (f % N_FRAMES, 0));
      g_assert_cmpint (frame->time_ns, >, last_ns);
      last_ns = frame->time_ns;
    }
  g_assert_cmpuint (fil_source_get_gaps (source), ==, 0);

  g_remove (path);
  seen_clear (&seen);
}

/* Stopped in the middle of a wait, and played again from the start. */
static void
test_again (void)
{
  g_autofree char *path = write_cube ("again.fits", BYTE_IMG, small, NULL, 0.0);
  FilSourceOptions options = { .fps = 0.01 };
  g_autoptr (FilSource) source = open_path (path, &options);

  for (int i = 0; i < 2; i++)
    {
      Seen seen;

      seen_init (&seen);
      seen.wanted = 1;
      play (source, &seen);
      g_assert_cmpuint (((FilFrame *) g_ptr_array_index (seen.frames, 0))->data[0], ==, 0);
      seen_clear (&seen);
    }

  g_remove (path);
}

static void
test_mode (void)
{
  g_autofree char *path = write_cube ("mode.fits", BYTE_IMG, small, NULL, 0.0);
  g_autoptr (FilSource) source = open_path (path, NULL);
  g_autoptr (GError) error = NULL;
  FilSourceMode wanted = { .width = 640, .height = 480 }, got;
  FilSourceMode region = { .roi = { 1, 1, 2, 2 } }, beyond = { .roi = { 4, 0, 2, 2 } };

  g_assert_false (fil_source_set_mode (source, &wanted, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
  g_clear_error (&error);
  g_assert_false (fil_source_set_mode (source, &beyond, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
  g_clear_error (&error);

  fil_source_set_mode (source, &region, &got, &error);
  g_assert_no_error (error);
  g_assert_cmpint (got.width, ==, WIDTH);
  g_assert_cmpint (got.height, ==, HEIGHT);
  g_assert_cmpint (got.roi.width, ==, 0);

  g_remove (path);
}

static void
test_bad_files (void)
{
  g_autofree char *path = temporary ("bad.fits");
  g_autofree char *good = write_cube ("good.fits", BYTE_IMG, small, NULL, 0.0);
  g_autofree char *contents = NULL;
  g_autoptr (GError) error = NULL;
  gsize length;

  g_assert_null (fil_source_open (path, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_FOUND);
  g_assert_nonnull (strstr (error->message, path));
  g_clear_error (&error);

  g_assert_true (g_file_set_contents (path, "no picture", -1, NULL));
  g_assert_null (fil_source_open (path, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA);
  g_clear_error (&error);

  /* Cut in the middle of the header, and after it. */
  g_assert_true (g_file_get_contents (good, &contents, &length, NULL));
  for (gsize at = 100; at <= 2880; at += 2780)
    {
      g_assert_true (g_file_set_contents (path, contents, (gssize) at, NULL));
      g_assert_null (fil_source_open (path, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA);
      g_clear_error (&error);
    }

  g_assert_null (fil_source_open (g_get_tmp_dir (), NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA);
  g_clear_error (&error);
  g_assert_null (fil_source_open ("", NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME);

  g_remove (path);
  g_remove (good);
}

/* A file that is cut while it is played: what came before was delivered. */
static void
test_cut_while_playing (void)
{
  g_autofree char *path = write_cube ("cut.fits", BYTE_IMG, small, NULL, 0.0);
  FilSourceOptions options = { .unpaced = TRUE };
  g_autoptr (FilSource) source = open_path (path, &options);
  Seen seen;

  seen_init (&seen);
  g_assert_cmpint (truncate (path, 2880 + 2 * N_PIXELS), ==, 0);
  play (source, &seen);
  g_assert_cmpint (seen.state, ==, FIL_SOURCE_LOST);
  g_assert_error (seen.error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA);
  g_assert_cmpuint (seen.frames->len, ==, 2);

  g_remove (path);
  seen_clear (&seen);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/replay/bytes", test_bytes);
  g_test_add_func ("/replay/words", test_words);
  g_test_add_func ("/replay/whole-numbers", test_whole_numbers);
  g_test_add_func ("/replay/mapped", test_mapped);
  g_test_add_func ("/replay/pattern", test_pattern);
  g_test_add_func ("/replay/times", test_times);
  g_test_add_func ("/replay/pace", test_pace);
  g_test_add_func ("/replay/loop", test_loop);
  g_test_add_func ("/replay/again", test_again);
  g_test_add_func ("/replay/mode", test_mode);
  g_test_add_func ("/replay/bad-files", test_bad_files);
  g_test_add_func ("/replay/cut-while-playing", test_cut_while_playing);

  return g_test_run ();
}
