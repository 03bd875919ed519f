/* test-snapshot.c: one frame kept as a picture file
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <glib/gstdio.h>
#include <png.h>

#include "fil-clip.h"
#include "fil-snapshot.h"

#define WIDTH 131
#define HEIGHT 129

typedef struct
{
  char     *folder, *png, *fits;
  FilFrame *frame;
  FilRig   *rig;
} Place;

static uint16_t
count_at (int x,
          int y)
{
  return (uint16_t) ((x * 37 + y * 101) % 4096);
}

static void
set_up (Place        *place,
        gconstpointer data)
{
  place->folder = g_dir_make_tmp ("filigree-snapshot-XXXXXX", NULL);
  place->png = g_build_filename (place->folder, "a.png", NULL);
  place->fits = g_build_filename (place->folder, "a.fits", NULL);
  place->frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y12"), WIDTH, HEIGHT);
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      ((uint16_t *) (guintptr) place->frame->data)[y * WIDTH + x] =
        GUINT16_TO_LE (count_at (x, y));
  place->frame->clock = FIL_CLOCK_UTC;
  place->frame->time_ns = G_GINT64_CONSTANT (1700000000123456789);
  place->frame->exposure_ms = 2.5;
  place->rig = fil_rig_new_demo ();
}

static void
tear_down (Place        *place,
           gconstpointer data)
{
  g_remove (place->png);
  g_remove (place->fits);
  /* Nothing else may be left: no temporary file. */
  g_assert_cmpint (g_rmdir (place->folder), ==, 0);
  fil_frame_unref (place->frame);
  fil_rig_unref (place->rig);
  g_free (place->folder);
  g_free (place->png);
  g_free (place->fits);
}

static FilClipInfo
make_info (const Place *place)
{
  return (FilClipInfo) {
    .raw = TRUE, .fourcc = "Y12 ", .rig = place->rig, .exposure_ms = 2.5, .gain = NAN,
    .black_level = NAN, .fps_nominal = NAN, .detector = "test camera", .driver = "",
    .simulated = "simulated Sun", .confirmed_utc_ns = G_MININT64,
    .sharp_cutoff_cycles_per_px = NAN,
  };
}

/* Read by libpng's simplified way, which knows nothing of our writer. */
static void
read_png (const char *path,
          uint16_t   *pixels)
{
  png_structp png = png_create_read_struct (PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct (png);
  FILE *file = fopen (path, "rb");
  png_color_8p significant = NULL;

  g_assert_nonnull (file);
  png_init_io (png, file);
  png_read_png (png, info, PNG_TRANSFORM_IDENTITY, NULL);
  g_assert_cmpuint (png_get_image_width (png, info), ==, WIDTH);
  g_assert_cmpuint (png_get_image_height (png, info), ==, HEIGHT);
  g_assert_cmpint (png_get_bit_depth (png, info), ==, 16);
  g_assert_cmpint (png_get_color_type (png, info), ==, PNG_COLOR_TYPE_GRAY);
  g_assert_cmpuint (png_get_sBIT (png, info, &significant), !=, 0);
  g_assert_cmpint (significant->gray, ==, 12);

  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      {
        const guint8 *p = png_get_rows (png, info)[y] + 2 * x;

        pixels[y * WIDTH + x] = (uint16_t) (p[0] << 8 | p[1]);
      }
  png_destroy_read_struct (&png, &info, NULL);
  fclose (file);
}

static char *
read_text (const char *path,
           const char *keyword)
{
  png_structp png = png_create_read_struct (PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct (png);
  FILE *file = fopen (path, "rb");
  png_textp texts = NULL;
  int n = 0;
  char *found = NULL;

  png_init_io (png, file);
  png_read_info (png, info);
  png_get_text (png, info, &texts, &n);
  for (int i = 0; i < n; i++)
    if (strcmp (texts[i].key, keyword) == 0)
      found = g_strdup (texts[i].text);
  png_destroy_read_struct (&png, &info, NULL);
  fclose (file);

  return found;
}

static void
test_png (Place        *place,
          gconstpointer data)
{
  FilClipInfo info = make_info (place);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (GError) error = NULL;
  g_autofree char *rig = NULL, *time = NULL, *scale = NULL, *exposure = NULL;

  g_assert_true (fil_snapshot_save (place->png, place->frame, &info, &error));
  g_assert_no_error (error);
  read_png (place->png, pixels);
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      g_assert_cmpuint (pixels[y * WIDTH + x], ==, count_at (x, y) * 16);

  rig = read_text (place->png, "Rig");
  time = read_text (place->png, "Creation Time");
  scale = read_text (place->png, "Scale");
  exposure = read_text (place->png, "Exposure");
  g_assert_cmpstr (rig, ==, "Roof 102");
  g_assert_cmpstr (time, ==, "2023-11-14T22:13:20.123Z");   /* date -u -d @1700000000 */
  g_assert_cmpstr (scale, ==, "count x 16");
  g_assert_cmpstr (exposure, ==, "2.5 ms");
}

/* 12 bits in the high bits of 16 are in place already. */
static void
test_png_shifted (Place        *place,
                  gconstpointer data)
{
  FilClipInfo info = make_info (place);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilFrame) frame = NULL;

  frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), WIDTH, HEIGHT);
  for (int i = 0; i < WIDTH * HEIGHT; i++)
    ((uint16_t *) (guintptr) frame->data)[i] =
      GUINT16_TO_LE ((guint16) (count_at (i % WIDTH, i / WIDTH) << 4));
  info.depth = (FilDepth) { .bits = 12, .shift = 4, .full = 4095 << 4, .learnt = TRUE };
  g_assert_true (fil_snapshot_save (place->png, frame, &info, NULL));

  {
    png_image image = { .version = PNG_IMAGE_VERSION };

    g_assert_true (png_image_begin_read_from_file (&image, place->png));
    image.format = PNG_FORMAT_LINEAR_Y;
    g_assert_true (png_image_finish_read (&image, NULL, pixels, 0, NULL));
  }
  g_assert_cmpuint (pixels[WIDTH + 1], ==, count_at (1, 1) << 4);
}

static void
test_incomplete_rig (Place        *place,
                     gconstpointer data)
{
  FilClipInfo info = make_info (place);
  g_autoptr (FilRig) rig = fil_rig_new_empty ("half");
  g_autoptr (GError) error = NULL;

  info.rig = rig;
  g_assert_false (fil_snapshot_save (place->fits, place->frame, &info, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_assert_false (fil_snapshot_save (place->png, place->frame, &info, NULL));
}

static void
test_fits (Place        *place,
           gconstpointer data)
{
  FilClipInfo info = make_info (place);
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (FilClip) clip = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_snapshot_save (place->fits, place->frame, &info, &error));
  g_assert_no_error (error);
  clip = fil_clip_open (place->fits, &error);
  g_assert_no_error (error);
  g_assert_true (fil_clip_is_complete (clip));
  g_assert_cmpuint (fil_clip_get_n_frames (clip), ==, 1);
  g_assert_cmpint (fil_clip_get_utc_begin_ns (clip) / 1000000, ==,
                   place->frame->time_ns / 1000000);
  g_assert_true (fil_clip_read_u16 (clip, 0, pixels, NULL));
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      g_assert_cmpuint (pixels[(HEIGHT - 1 - y) * WIDTH + x], ==, count_at (x, y));
  g_assert_cmpstr (fil_clip_get_card (clip, "TELESCOP"), ==, "Roof 102");
}

static void
test_refused (Place        *place,
              gconstpointer data)
{
  FilClipInfo info = make_info (place);
  g_autofree char *other = g_build_filename (place->folder, "a.jpg", NULL);
  g_autofree char *missing = g_build_filename (place->folder, "none", "a.png", NULL);
  g_autofree char *kept = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (place->png, "precious", -1, NULL));
  g_assert_true (g_file_set_contents (place->fits, "precious", -1, NULL));
  g_assert_false (fil_snapshot_save (place->png, place->frame, &info, &error));
  g_assert_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_EXISTS);
  g_clear_error (&error);
  g_assert_false (fil_snapshot_save (place->fits, place->frame, &info, &error));
  g_assert_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_EXISTS);
  g_clear_error (&error);
  g_assert_true (g_file_get_contents (place->png, &kept, NULL, NULL));
  g_assert_cmpstr (kept, ==, "precious");

  g_assert_false (fil_snapshot_save (other, place->frame, &info, &error));
  g_assert_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_KIND);
  g_clear_error (&error);
  g_assert_false (fil_snapshot_save (missing, place->frame, &info, &error));
  g_assert_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_WRITE);
}

static void
add (const char *path,
     void      (*test) (Place *, gconstpointer))
{
  g_test_add (path, Place, NULL, set_up, test, tear_down);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  add ("/snapshot/png", test_png);
  add ("/snapshot/png-shifted", test_png_shifted);
  add ("/snapshot/fits", test_fits);
  add ("/snapshot/refused", test_refused);
  add ("/snapshot/incomplete-rig", test_incomplete_rig);

  return g_test_run ();
}
