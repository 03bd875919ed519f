/* test-recorder.c: how frames become a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <glib/gstdio.h>

#include "fil-clip.h"
#include "fil-recorder.h"

#define WIDTH 160
#define HEIGHT 140

typedef struct
{
  char *folder;
  char *path;
} Place;

static void
place_set_up (Place        *place,
              gconstpointer data)
{
  place->folder = g_dir_make_tmp ("filigree-recorder-XXXXXX", NULL);
  g_assert_nonnull (place->folder);
  place->path = g_build_filename (place->folder, "clip.fits", NULL);
}

static guint
count_files (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  guint n = 0;

  while (g_dir_read_name (dir) != NULL)
    n++;

  return n;
}

static void
place_tear_down (Place        *place,
                 gconstpointer data)
{
  g_remove (place->path);
  g_assert_cmpuint (count_files (place->folder), ==, 0);
  g_rmdir (place->folder);
  g_free (place->folder);
  g_free (place->path);
}

static uint16_t
count_at (guint64 number,
          int     x,
          int     y)
{
  return (uint16_t) ((number * 31 + (guint) x * 7 + (guint) y * 13) % 4000);
}

static FilFrame *
make_frame_of (const char *format,
               int         width,
               int         height,
               guint64     number)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name (format), width, height);
  uint16_t *pixels = (uint16_t *) (guintptr) frame->data;

  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      pixels[y * width + x] = GUINT16_TO_LE (count_at (number, x, y));
  frame->sequence = number;
  frame->time_ns = 1000000000 + (gint64) number * 20000000;
  frame->exposure_ms = 5.0;
  frame->gain = 2.0;

  return frame;
}

static FilFrame *
make_frame (guint64 number)
{
  return make_frame_of ("Y12", WIDTH, HEIGHT, number);
}

static FilClipInfo
make_info (void)
{
  return (FilClipInfo) {
    .width = WIDTH, .height = HEIGHT, .raw = TRUE, .fourcc = "Y12 ",
    .exposure_ms = 5.0, .gain = 2.0, .black_level = NAN, .fps_nominal = 50.0,
    .detector = "test source", .driver = "", .simulated = "simulated Sun",
    .confirmed_utc_ns = G_MININT64, .sharp_cutoff_cycles_per_px = 0.5,
  };
}

static FilRecorder *
new_recorder (const FilRecorderOptions *options)
{
  g_autoptr (GError) error = NULL;
  FilClipInfo info = make_info ();
  FilRecorder *recorder = fil_recorder_new (options, &info, &error);

  g_assert_no_error (error);

  return recorder;
}

static gboolean
offer (FilRecorder *recorder,
       guint64      number)
{
  g_autoptr (FilFrame) frame = make_frame (number);

  return fil_recorder_offer (recorder, frame);
}

static void
assert_pixels (FilClip *clip,
               guint64  index,
               guint64  number)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_clip_read_u16 (clip, index, pixels, &error));
  g_assert_no_error (error);
  /* FITS row 1 is the bottom row. */
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      g_assert_cmpuint (pixels[(HEIGHT - 1 - y) * WIDTH + x], ==, count_at (number, x, y));
}

static double
mean_of (guint64 number)
{
  double sum = 0.0;

  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      sum += count_at (number, x, y);

  return sum / (WIDTH * HEIGHT);
}

static FilClip *
open_whole (const char *path)
{
  g_autoptr (GError) error = NULL;
  FilClip *clip = fil_clip_open (path, &error);

  g_assert_no_error (error);
  g_assert_true (fil_clip_is_complete (clip));
  g_assert_cmpint (fil_clip_verify (clip), ==, FIL_CHECKSUM_OK);

  return clip;
}

static void
test_whole (Place        *place,
            gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .max_frames = 20, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;
  FilRecorderStatus status;
  const FilClipRow *rows;
  gboolean have_times;

  for (guint64 i = 0; i < 20; i++)
    g_assert_cmpint (offer (recorder, 100 + i), ==, i < 19);
  g_assert_false (offer (recorder, 120));
  g_assert_true (fil_recorder_finish (recorder, &status, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (status.frames, ==, 20);
  g_assert_cmpuint (status.lost, ==, 0);
  g_assert_cmpuint (status.source_gaps, ==, 0);
  g_assert_cmpuint (status.bytes, ==, 20 * WIDTH * HEIGHT * 2);

  clip = open_whole (place->path);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 20);
  rows = fil_clip_get_rows (clip, &have_times);
  g_assert_true (have_times);
  for (guint i = 0; i < 20; i++)
    {
      assert_pixels (clip, i, 100 + i);
      g_assert_cmpint (rows[i].sequence, ==, 100 + i);
      g_assert_cmpfloat_with_epsilon (rows[i].time_s, 0.02 * i, 1e-9);
      g_assert_cmpfloat_with_epsilon (rows[i].mean, mean_of (100 + i), 1e-3);
      g_assert_cmpfloat (rows[i].full_fraction, ==, 0.0);
      g_assert_true (isfinite (rows[i].sharpness) && rows[i].sharpness >= 0.0);
      g_assert_cmpfloat_with_epsilon (rows[i].exposure_s, 0.005, 1e-6);
      g_assert_cmpint (rows[i].marks, ==, 0);
    }
}

/* The two ways of losing frames are counted apart, and each is marked on the
 * row that follows. */
static void
test_losses_are_placed (Place        *place,
                        gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .queue_mib = 1 };
  g_autoptr (FilRecorder) recorder = NULL;
  g_autoptr (FilClip) clip = NULL;
  FilClipInfo info = make_info ();
  FilRecorderStatus status;
  const FilClipRow *rows;
  guint64 offered = 300, lost_by_rows = 0, tail;
  g_autoptr (FilFrame) frame = make_frame_of ("Y12", 1920, 1080, 0);

  /* Two blocks of 4 MiB, offered as fast as they are copied: far faster than
   * anything can be measured and written. */
  info.width = 1920;
  info.height = 1080;
  recorder = fil_recorder_new (&options, &info, NULL);
  for (guint64 i = 0; i < offered; i++)
    {
      frame->sequence = i;
      g_assert_true (fil_recorder_offer (recorder, frame));
    }
  g_assert_true (fil_recorder_finish (recorder, &status, NULL));

  g_assert_cmpuint (status.lost, >, 0);
  g_assert_cmpuint (status.frames, >, 0);
  g_assert_cmpuint (status.frames + status.lost, ==, offered);
  g_assert_cmpuint (status.source_gaps, ==, 0);

  clip = open_whole (place->path);
  rows = fil_clip_get_rows (clip, NULL);
  g_assert_cmpint (rows[0].sequence, ==, 0);
  for (guint64 i = 1; i < status.frames; i++)
    {
      gint64 missing = rows[i].sequence - rows[i - 1].sequence - 1;

      g_assert_cmpint (rows[i].marks, ==, missing > 0 ? FIL_CLIP_MARK_LOST : 0);
      lost_by_rows += (guint64) missing;
    }
  tail = offered - 1 - (guint64) rows[status.frames - 1].sequence;
  g_assert_cmpuint (lost_by_rows + tail, ==, status.lost);
}

static void
test_gaps_and_damage (Place        *place,
                      gconstpointer data)
{
  static const guint64 numbers[] = { 7, 8, 11, 12, 3, 4, 6 };  /* set back after 12 */
  FilRecorderOptions options = { .path = place->path, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  g_autoptr (FilClip) clip = NULL;
  FilRecorderStatus status;
  const FilClipRow *rows;

  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      g_autoptr (FilFrame) frame = make_frame (numbers[i]);

      if (numbers[i] == 12)
        frame->flags = FIL_FRAME_DAMAGED;
      g_assert_true (fil_recorder_offer (recorder, frame));
    }
  g_assert_true (fil_recorder_finish (recorder, &status, NULL));
  g_assert_cmpuint (status.source_gaps, ==, 3);
  g_assert_cmpuint (status.damaged, ==, 1);
  g_assert_cmpuint (status.frames, ==, 7);

  clip = open_whole (place->path);
  rows = fil_clip_get_rows (clip, NULL);
  g_assert_cmpint (rows[1].marks, ==, 0);
  g_assert_cmpint (rows[2].marks, ==, FIL_CLIP_MARK_GAP);
  g_assert_cmpint (rows[3].marks, ==, FIL_CLIP_MARK_DAMAGED);
  g_assert_cmpint (rows[4].marks, ==, 0);
  g_assert_cmpint (rows[6].marks, ==, FIL_CLIP_MARK_GAP);
  assert_pixels (clip, 3, 12);
}

static void
test_seconds (Place        *place,
              gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .max_seconds = 0.2, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  FilRecorderStatus status;
  guint64 n = 0;

  while (offer (recorder, n))
    {
      g_assert_cmpuint (++n, <, 10000);
      g_usleep (5000);
    }
  fil_recorder_get_status (recorder, &status);
  g_assert_true (status.finished);
  g_assert_true (fil_recorder_finish (recorder, &status, NULL));
  g_assert_cmpuint (status.frames, ==, n);
  g_assert_cmpfloat (status.seconds, >=, 0.2);
}

/* A time limit ends a clip that gets no more frames. */
static void
test_seconds_without_frames (Place        *place,
                             gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .max_seconds = 0.1 };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  FilRecorderStatus status;

  g_assert_true (offer (recorder, 0));
  fil_recorder_get_status (recorder, &status);
  g_usleep (120000);
  fil_recorder_get_status (recorder, &status);
  g_assert_true (status.finished);
  g_assert_true (fil_recorder_finish (recorder, &status, NULL));
  g_assert_cmpuint (status.frames, ==, 1);
}

static void
test_cut_short (Place        *place,
                gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .max_frames = 50, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;

  for (guint64 i = 0; i < 5; i++)
    offer (recorder, i);
  fil_recorder_stop (recorder, "the camera was unplugged");
  fil_recorder_stop (recorder, "a later reason");
  g_assert_false (offer (recorder, 5));
  g_assert_false (fil_recorder_finish (recorder, NULL, &error));
  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT_SHORT);
  g_assert_cmpstr (error->message, ==, "5 frames kept: the camera was unplugged");

  clip = open_whole (place->path);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 5);
}

static void
test_no_frame (Place        *place,
               gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  g_autoptr (GError) error = NULL;
  FilRecorderStatus status;

  g_assert_false (fil_recorder_finish (recorder, &status, &error));
  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_NO_FRAME);
  g_assert_cmpuint (status.frames, ==, 0);
  g_assert_false (g_file_test (place->path, G_FILE_TEST_EXISTS));
}

static void
test_never_overwrites (Place        *place,
                       gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .wait = TRUE };
  FilClipInfo info = make_info ();
  g_autoptr (FilRecorder) recorder = NULL;
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (place->path, "precious", -1, NULL));
  g_assert_null (fil_recorder_new (&options, &info, &error));
  g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_EXISTS);

  options.replace = TRUE;
  recorder = new_recorder (&options);
  for (guint64 i = 0; i < 3; i++)
    offer (recorder, i);
  g_assert_true (fil_recorder_finish (recorder, NULL, NULL));
  clip = open_whole (place->path);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 3);
}

static void
test_bad_places (Place        *place,
                 gconstpointer data)
{
  g_autofree char *missing = g_build_filename (place->folder, "none", "clip.fits", NULL);
  g_autofree char *below_file = g_build_filename (place->path, "clip.fits", NULL);
  const char *paths[] = { missing, below_file, place->folder };
  FilClipInfo info = make_info ();

  g_assert_true (g_file_set_contents (place->path, "a file", -1, NULL));
  for (gsize i = 0; i < G_N_ELEMENTS (paths); i++)
    {
      FilRecorderOptions options = { .path = paths[i], .replace = TRUE };
      g_autoptr (GError) error = NULL;

      g_assert_null (fil_recorder_new (&options, &info, &error));
      g_assert_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN);
    }
}

static void
test_queue_too_large (Place        *place,
                      gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .queue_mib = G_MAXUINT };
  FilClipInfo info = make_info ();
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_recorder_new (&options, &info, &error));
  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_MEMORY);
}

/* A limit on the size of files stands for a disk that fails in mid-clip: what
 * had come before is kept and closed whole. */
static void
test_disk_fails (Place        *place,
                 gconstpointer data)
{
  struct rlimit before, limit;
  FilRecorderOptions options = { .path = place->path, .max_frames = 200, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = NULL;
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;
  FilRecorderStatus status;
  g_autofree char *kept = NULL;

  signal (SIGXFSZ, SIG_IGN);
  g_assert_cmpint (getrlimit (RLIMIT_FSIZE, &before), ==, 0);
  limit = before;
  limit.rlim_cur = 2 << 20;
  g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &limit), ==, 0);

  recorder = new_recorder (&options);
  for (guint64 i = 0; i < 200 && offer (recorder, i); i++)
    ;
  g_assert_false (fil_recorder_finish (recorder, &status, &error));
  g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &before), ==, 0);

  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT_SHORT);
  kept = g_strdup_printf ("%" G_GUINT64_FORMAT " frames kept: ", status.frames);
  g_assert_true (g_str_has_prefix (error->message, kept));
  g_assert_cmpuint (status.frames, >, 0);
  g_assert_cmpuint (status.frames, <, 200);

  clip = open_whole (place->path);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, status.frames);
  assert_pixels (clip, status.frames - 1, status.frames - 1);
}

static void
test_changed_picture (Place        *place,
                      gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .wait = TRUE };
  g_autoptr (FilRecorder) recorder = new_recorder (&options);
  g_autoptr (FilFrame) other = make_frame_of ("Y12", WIDTH, HEIGHT - 2, 1);
  g_autoptr (GError) error = NULL;

  g_assert_true (offer (recorder, 0));
  g_assert_false (fil_recorder_offer (recorder, other));
  g_assert_false (fil_recorder_finish (recorder, NULL, &error));
  g_assert_true (g_str_has_prefix (error->message, "1 frames kept: "));
}

typedef struct
{
  FilRect     cut;         /* from the top left */
  gboolean    bottom_up;
  FilPattern  expected;
} CutCase;

/* A picture whose every pixel holds the number of its colour's place in the
 * 2 × 2 tile: the stored pattern must name the colours where they lie. */
static const CutCase cuts[] = {
  { { 0, 0, 0, 0 },       FALSE, FIL_PATTERN_GBRG },
  { { 1, 0, 128, 130 },   FALSE, FIL_PATTERN_BGGR },
  { { 0, 1, 128, 130 },   FALSE, FIL_PATTERN_RGGB },
  { { 3, 5, 128, 129 },   FALSE, FIL_PATTERN_BGGR },
  { { 0, 0, 0, 0 },       TRUE,  FIL_PATTERN_RGGB },
  { { 1, 3, 128, 130 },   TRUE,  FIL_PATTERN_BGGR },
};

static void
test_bayer_cuts (Place        *place,
                 gconstpointer data)
{
  /* Red, green of the red rows, green of the blue rows, blue. */
  static const char colours[][5] = { "", "RGGB", "GRBG", "GBRG", "BGGR" };

  for (gsize i = 0; i < G_N_ELEMENTS (cuts); i++)
    {
      const CutCase *c = &cuts[i];
      FilRecorderOptions options = { .path = place->path, .cut = c->cut, .wait = TRUE,
                                     .replace = TRUE };
      g_autoptr (FilFrame) frame = make_frame_of ("RG12", WIDTH, HEIGHT, 0);
      uint16_t *memory = (uint16_t *) (guintptr) frame->data;
      FilClipInfo info = make_info ();
      g_autoptr (FilRecorder) recorder = NULL;
      g_autoptr (FilClip) clip = NULL;
      g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
      int width;

      for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
          memory[y * WIDTH + x] = GUINT16_TO_LE ((guint16) "RGGB"[(y & 1) * 2 + (x & 1)]);
      frame->bottom_up = c->bottom_up;
      info.fourcc = "RG12";
      recorder = fil_recorder_new (&options, &info, NULL);
      g_assert_true (fil_recorder_offer (recorder, frame));
      g_assert_true (fil_recorder_finish (recorder, NULL, NULL));

      clip = open_whole (place->path);
      g_assert_cmpint (fil_clip_get_pattern (clip), ==, c->expected);
      width = fil_clip_get_width (clip);
      g_assert_cmpint (width, ==, c->cut.width != 0 ? c->cut.width : WIDTH);
      g_assert_true (fil_clip_read_u16 (clip, 0, pixels, NULL));
      for (int p = 0; p < 4; p++)
        g_assert_cmpint (pixels[(p / 2) * width + p % 2], ==, colours[c->expected][p]);
    }
}

static void
test_cut_beyond (Place        *place,
                 gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .cut = { 100, 100, 61, 10 } };
  FilClipInfo info = make_info ();
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_recorder_new (&options, &info, &error));
  g_assert_error (error, FIL_RECORDER_ERROR, FIL_RECORDER_ERROR_CUT);
}

/* The format is not known before the first frame; 8 bits need half the room. */
static void
test_unknown_format (Place        *place,
                     gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .wait = TRUE };
  FilClipInfo info = make_info ();
  g_autoptr (FilRecorder) recorder = NULL;
  g_autoptr (FilClip) clip = NULL;
  FilRecorderStatus status;

  info.fourcc = NULL;
  recorder = fil_recorder_new (&options, &info, NULL);
  for (int i = 0; i < 5; i++)
    {
      g_autoptr (FilFrame) frame = fil_frame_new_alloc (fil_pixel_format_from_name ("GREY"),
                                                        WIDTH, HEIGHT);

      memset ((guint8 *) (guintptr) frame->data, 40 + i, WIDTH * HEIGHT);
      frame->sequence = (guint64) i;
      g_assert_true (fil_recorder_offer (recorder, frame));
    }
  g_assert_true (fil_recorder_finish (recorder, &status, NULL));
  g_assert_cmpuint (status.bytes, ==, 5 * WIDTH * HEIGHT);

  clip = open_whole (place->path);
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 5);
  g_assert_cmpfloat (fil_clip_get_rows (clip, NULL)[4].mean, ==, 44.0);
}

/* 12 bits in the high bits of 16: the ceiling is learnt, and FULL counts
 * against it from the first frame on. */
static void
test_depth_is_learnt (Place        *place,
                      gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .wait = TRUE };
  FilClipInfo info = make_info ();
  g_autoptr (FilRecorder) recorder = NULL;
  g_autoptr (FilClip) clip = NULL;

  info.fourcc = "Y16 ";
  recorder = fil_recorder_new (&options, &info, NULL);
  for (guint64 i = 0; i < 8; i++)
    {
      g_autoptr (FilFrame) frame = make_frame_of ("Y16", WIDTH, HEIGHT, i);
      uint16_t *pixels = (uint16_t *) (guintptr) frame->data;

      for (int p = 0; p < WIDTH * HEIGHT; p++)
        pixels[p] = p % WIDTH < WIDTH / 4 ? 4095 << 4
                                          : (uint16_t) (count_at (i, p % WIDTH, p / WIDTH) << 4);
      g_assert_true (fil_recorder_offer (recorder, frame));
    }
  g_assert_true (fil_recorder_finish (recorder, NULL, NULL));

  clip = open_whole (place->path);
  g_assert_cmpint (fil_clip_get_depth (clip).full, ==, 4095 << 4);
  g_assert_cmpfloat_with_epsilon (fil_clip_get_rows (clip, NULL)[0].full_fraction, 0.25, 1e-6);
}

/* A rig that is still being put together comes into no clip. */
static void
test_incomplete_rig (Place        *place,
                     gconstpointer data)
{
  FilRecorderOptions options = { .path = place->path, .max_frames = 1 };
  FilClipInfo info = make_info ();
  g_autoptr (FilRig) rig = fil_rig_new_empty ("half");
  g_autoptr (GError) error = NULL;

  info.rig = rig;
  g_assert_null (fil_recorder_new (&options, &info, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_assert_cmpuint (count_files (place->folder), ==, 0);
}

static void
add (const char *path,
     void      (*test) (Place *, gconstpointer))
{
  g_test_add (path, Place, NULL, place_set_up, test, place_tear_down);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  add ("/recorder/whole", test_whole);
  add ("/recorder/losses-are-placed", test_losses_are_placed);
  add ("/recorder/gaps-and-damage", test_gaps_and_damage);
  add ("/recorder/seconds", test_seconds);
  add ("/recorder/seconds-without-frames", test_seconds_without_frames);
  add ("/recorder/cut-short", test_cut_short);
  add ("/recorder/no-frame", test_no_frame);
  add ("/recorder/never-overwrites", test_never_overwrites);
  add ("/recorder/bad-places", test_bad_places);
  add ("/recorder/queue-too-large", test_queue_too_large);
  add ("/recorder/disk-fails", test_disk_fails);
  add ("/recorder/changed-picture", test_changed_picture);
  add ("/recorder/bayer-cuts", test_bayer_cuts);
  add ("/recorder/cut-beyond", test_cut_beyond);
  add ("/recorder/unknown-format", test_unknown_format);
  add ("/recorder/depth-is-learnt", test_depth_is_learnt);
  add ("/recorder/incomplete-rig", test_incomplete_rig);

  return g_test_run ();
}
