/* test-jpeg.c: compressed pictures, whole, without tables and hostile
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#include "fil-frame-error.h"
#include "fil-frame.h"

enum { WIDTH = 75, HEIGHT = 42 };

static guint8
scene (int x,
       int y)
{
  return (guint8) (40 + 2 * x + y);
}

/* @components: 1 grey, 3 the scene as grey RGB; libjpeg's own encoder */
static GByteArray *
encode (int      components,
        gboolean progressive)
{
  struct jpeg_compress_struct info;
  struct jpeg_error_mgr manager;
  unsigned char *bytes = NULL;
  unsigned long size = 0;
  GByteArray *array = g_byte_array_new ();

  info.err = jpeg_std_error (&manager);
  jpeg_create_compress (&info);
  jpeg_mem_dest (&info, &bytes, &size);
  info.image_width = WIDTH;
  info.image_height = HEIGHT;
  info.input_components = components;
  info.in_color_space = components == 1 ? JCS_GRAYSCALE : JCS_RGB;
  jpeg_set_defaults (&info);
  jpeg_set_quality (&info, 100, TRUE);
  if (progressive)
    jpeg_simple_progression (&info);
  jpeg_start_compress (&info, TRUE);
  for (int y = 0; y < HEIGHT; y++)
    {
      guint8 line[3 * WIDTH];
      JSAMPROW lines[1] = { line };

      for (int x = 0; x < WIDTH; x++)
        memset (line + components * x, scene (x, y), (gsize) components);
      jpeg_write_scanlines (&info, lines, 1);
    }
  jpeg_finish_compress (&info);
  jpeg_destroy_compress (&info);
  g_byte_array_append (array, bytes, (guint) size);
  free (bytes);

  return array;
}

static void
init_frame (FilFrame         *frame,
            const GByteArray *bytes)
{
  memset (frame, 0, sizeof *frame);
  frame->format = fil_pixel_format_from_name ("MJPG");
  frame->width = WIDTH;
  frame->height = HEIGHT;
  frame->data = bytes->data;
  frame->size = bytes->len;
}

/* Cuts out every DHT segment (marker FF C4), as many cameras do. */
static void
drop_huffman_tables (GByteArray *bytes)
{
  guint i = 2;

  while (i + 4 < bytes->len && bytes->data[i + 1] != 0xda)
    {
      guint length = 2u + (guint) (bytes->data[i + 2] << 8 | bytes->data[i + 3]);

      g_assert_cmpuint (bytes->data[i], ==, 0xff);
      if (bytes->data[i + 1] == 0xc4)
        g_byte_array_remove_range (bytes, i, length);
      else
        i += length;
    }
}

static void
check_scene (const FilFrame *frame,
             const FilRect  *rect)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autofree guint8 *stored = g_malloc (WIDTH * HEIGHT);
  g_autoptr (GError) error = NULL;

  fil_frame_unpack (frame, rect, pixels, &error);
  g_assert_no_error (error);
  fil_frame_pack_fits (frame, rect, stored, &error);
  g_assert_no_error (error);
  for (int y = 0; y < rect->height; y++)
    for (int x = 0; x < rect->width; x++)
      {
        int row = frame->bottom_up ? HEIGHT - 1 - (rect->y + y) : rect->y + y;
        int from_bottom = rect->height - 1 - y;

        g_assert_cmpint (ABS (pixels[y * rect->width + x] - scene (rect->x + x, row)), <=, 2);
        g_assert_cmpuint (stored[from_bottom * rect->width + x], ==,
                          pixels[y * rect->width + x]);
      }
}

static void
test_whole (void)
{
  for (int i = 0; i < 8; i++)
    {
      g_autoptr (GByteArray) bytes = encode (i & 1 ? 3 : 1, FALSE);
      FilFrame frame;

      if (i & 2)
        drop_huffman_tables (bytes);
      init_frame (&frame, bytes);
      frame.bottom_up = (i & 4) != 0;
      check_scene (&frame, &(FilRect) { 0, 0, WIDTH, HEIGHT });
      check_scene (&frame, &(FilRect) { 11, 7, 33, 20 });
      check_scene (&frame, &(FilRect) { WIDTH - 1, HEIGHT - 1, 1, 1 });
    }
}

static void
expect_refusal (const FilFrame *frame)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
  g_autoptr (GError) error = NULL;

  g_assert_false (fil_frame_unpack (frame, NULL, pixels, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_DATA);
}

/* Every cut that takes a part of the picture away is noticed. */
static void
test_cut (void)
{
  g_autoptr (GByteArray) bytes = encode (1, FALSE);
  FilFrame frame;

  init_frame (&frame, bytes);
  for (gsize size = 0; size + 8 < bytes->len; size++)
    {
      frame.size = size;
      expect_refusal (&frame);
    }
}

static void
test_wrong_size (void)
{
  g_autoptr (GByteArray) bytes = encode (1, FALSE);
  FilFrame frame;

  init_frame (&frame, bytes);
  frame.width--;
  expect_refusal (&frame);
  init_frame (&frame, bytes);
  frame.height++;
  frame.width = WIDTH;
  expect_refusal (&(FilFrame) { .format = frame.format, .width = WIDTH, .height = HEIGHT - 1,
                                .data = frame.data, .size = frame.size });
}

/* Scans without end are a way to keep a reader busy. */
static void
test_several_scans (void)
{
  g_autoptr (GByteArray) bytes = encode (3, TRUE);
  FilFrame frame;

  init_frame (&frame, bytes);
  expect_refusal (&frame);
}

/* Random damage: any answer but a crash, and never a write beyond the rows. */
static void
test_damaged (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  g_autoptr (GByteArray) whole = encode (3, FALSE);
  int refused = 0;

  for (int trial = 0; trial < 2000; trial++)
    {
      g_autoptr (GByteArray) bytes = g_byte_array_new ();
      g_autofree uint16_t *pixels = g_new (uint16_t, WIDTH * HEIGHT);
      FilFrame frame;

      g_byte_array_append (bytes, whole->data, whole->len);
      for (int i = g_rand_int_range (rand, 1, 6); i > 0; i--)
        bytes->data[g_rand_int_range (rand, 2, (gint32) bytes->len)] =
          (guint8) g_rand_int (rand);
      init_frame (&frame, bytes);
      refused += !fil_frame_unpack (&frame, NULL, pixels, NULL);
    }
  g_assert_cmpint (refused, >, 100);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/jpeg/whole", test_whole);
  g_test_add_func ("/jpeg/cut", test_cut);
  g_test_add_func ("/jpeg/wrong-size", test_wrong_size);
  g_test_add_func ("/jpeg/several-scans", test_several_scans);
  g_test_add_func ("/jpeg/damaged", test_damaged);

  return g_test_run ();
}
