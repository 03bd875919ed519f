/* test-unpack.c: every pixel format against an encoder written for the test
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The layouts are those of the kernel's documentation, "Image Formats"
 * (linux-doc, userspace-api/media/v4l: pixfmt-y10p, pixfmt-srggb12p,
 * pixfmt-packed-yuv, pixfmt-yuv-planar, pixfmt-rgb). */

#include <string.h>

#include "fil-cpu.h"
#include "fil-frame-error.h"
#include "fil-frame.h"

#define PADDING 13   /* bytes after each row, an awkward number */

/* The whole list of what we read, by name. */
static const char *const names[] = {
  "GREY", "Y10 ", "Y12 ", "Y14 ", "Y16 ", "Y16-BE", "Y10P", "Y12P",
  "RGGB", "GRBG", "GBRG", "BA81", "RG10", "BA10", "GB10", "BG10", "RG12", "BA12", "GB12",
  "BG12", "RG14", "GR14", "GB14", "BG14", "RG16", "GR16", "GB16", "BYR2", "pRAA", "pgAA",
  "pGAA", "pBAA", "pRCC", "pgCC", "pGCC", "pBCC",
  "YUYV", "UYVY", "NV12", "YU12", "RGB3", "BGR3",
};

static void
put (const FilPixelFormat *format,
     guint8               *row,
     int                   x,
     guint                 count,
     GRand                *rand)
{
  guint8 other = (guint8) g_rand_int (rand);

  switch (format->packing)
    {
    case FIL_PACKING_8:
    case FIL_PACKING_PLANAR:
      row[x] = (guint8) count;
      break;
    case FIL_PACKING_16LE:
      row[2 * x] = count & 0xff;
      row[2 * x + 1] = (guint8) (count >> 8);
      break;
    case FIL_PACKING_16BE:
      row[2 * x] = (guint8) (count >> 8);
      row[2 * x + 1] = count & 0xff;
      break;
    case FIL_PACKING_FITS16:
      row[2 * x] = (guint8) ((count + 32768) >> 8);
      row[2 * x + 1] = count & 0xff;
      break;
    case FIL_PACKING_10P:
      row[x / 4 * 5 + x % 4] = (guint8) (count >> 2);
      row[x / 4 * 5 + 4] = (guint8) (row[x / 4 * 5 + 4] | (count & 3) << (x % 4 * 2));
      break;
    case FIL_PACKING_12P:
      row[x / 2 * 3 + x % 2] = (guint8) (count >> 4);
      row[x / 2 * 3 + 2] = (guint8) (row[x / 2 * 3 + 2] | (count & 15) << (x % 2 * 4));
      break;
    case FIL_PACKING_YUYV:
      row[2 * x] = (guint8) count;
      row[2 * x + 1] = other;
      break;
    case FIL_PACKING_UYVY:
      row[2 * x] = other;
      row[2 * x + 1] = (guint8) count;
      break;
    case FIL_PACKING_RGB24:
    case FIL_PACKING_BGR24:
      memset (row + 3 * x, (int) count, 3);   /* grey: its luma is the count itself */
      break;
    case FIL_PACKING_JPEG:
    default:
      g_assert_not_reached ();
    }
}

static void
free_bytes (FilFrame *frame,
            gpointer  user_data)
{
  g_free (user_data);
}

/* @truth: width × height counts, top row first */
static FilFrame *
make_frame (const FilPixelFormat *format,
            int                   width,
            int                   height,
            gboolean              bottom_up,
            uint16_t             *truth,
            GRand                *rand)
{
  gsize stride = fil_pixel_format_min_stride (format, width) + PADDING;
  gsize size = stride * (gsize) (height - 1) + fil_pixel_format_min_stride (format, width);
  guint8 *bytes = g_malloc0 (size);
  FilFrame *frame = fil_frame_new (free_bytes, bytes);

  frame->format = format;
  frame->width = width;
  frame->height = height;
  frame->stride = stride;
  frame->size = size;
  frame->data = bytes;
  frame->bottom_up = bottom_up;

  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        guint count = g_rand_int (rand) & ((1u << format->bits) - 1);
        int row = bottom_up ? height - 1 - y : y;

        truth[y * width + x] = (uint16_t) count;
        put (format, bytes + stride * (gsize) row, x, count, rand);
      }

  return frame;
}

static void
check_unpacked (const FilFrame *frame,
                const FilRect  *rect,
                const uint16_t *truth)
{
  g_autofree uint16_t *pixels = g_new (uint16_t, rect->width * rect->height);
  g_autoptr (GError) error = NULL;

  fil_frame_unpack (frame, rect, pixels, &error);
  g_assert_no_error (error);
  for (int y = 0; y < rect->height; y++)
    for (int x = 0; x < rect->width; x++)
      g_assert_cmpuint (pixels[y * rect->width + x], ==,
                        truth[(rect->y + y) * frame->width + rect->x + x]);
}

static void
check_packed (const FilFrame *frame,
              const FilRect  *rect,
              const uint16_t *truth)
{
  gsize bytes = fil_pixel_format_stored_bytes (frame->format);
  gsize n = bytes * (gsize) rect->width * (gsize) rect->height;
  g_autofree guint8 *stored = g_malloc (n + 1);
  g_autoptr (GError) error = NULL;

  stored[n] = 0xa5;
  fil_frame_pack_fits (frame, rect, stored, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (stored[n], ==, 0xa5);

  for (int row = 0; row < rect->height; row++)
    for (int x = 0; x < rect->width; x++)
      {
        int y = rect->y + rect->height - 1 - row;
        guint count = truth[y * frame->width + rect->x + x];
        const guint8 *p = stored + bytes * (gsize) (row * rect->width + x);

        if (bytes == 1)
          g_assert_cmpuint (*p, ==, count);
        else
          g_assert_cmpint ((gint16) (p[0] << 8 | p[1]) + 32768, ==, count);
      }
}

static void
check_format (const FilPixelFormat *format)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (2);

  for (int trial = 0; trial < 40; trial++)
    {
      int width = g_rand_int_range (rand, 1, 150), height = g_rand_int_range (rand, 1, 9);
      g_autofree uint16_t *truth = g_new (uint16_t, width * height);
      g_autoptr (FilFrame) frame = make_frame (format, width, height, trial % 2, truth, rand);
      FilRect whole = { 0, 0, width, height };
      FilRect part = { g_rand_int_range (rand, 0, width), g_rand_int_range (rand, 0, height),
                       1, 1 };

      part.width = g_rand_int_range (rand, 1, width - part.x + 1);
      part.height = g_rand_int_range (rand, 1, height - part.y + 1);
      for (int level = FIL_CPU_SCALAR; level <= FIL_CPU_AVX2; level++)
        {
          fil_cpu_set_level ((FilCpuLevel) level);
          check_unpacked (frame, &whole, truth);
          check_unpacked (frame, &part, truth);
          check_packed (frame, &whole, truth);
          check_packed (frame, &part, truth);
        }
    }
}

static void
test_format (gconstpointer data)
{
  const FilPixelFormat *format = fil_pixel_format_from_name (data);

  g_assert_nonnull (format);
  check_format (format);
}

static void
test_stored (void)
{
  check_format (fil_pixel_format_stored (8, FIL_PATTERN_NONE));
  check_format (fil_pixel_format_stored (16, FIL_PATTERN_RGGB));
}

/* FITS unsigned 16-bit bytes: values 0, 1, 32767, 32768, 65534, 65535 give
 * 8000 8001 ffff 0000 7ffe 7fff (astropy 5.2.1 and cfitsio 4.2.0, uint16
 * image with BZERO = 32768). */
static void
test_fits_bytes (void)
{
  static const guint8 expected[] = { 0x80, 0x00, 0x80, 0x01, 0xff, 0xff,
                                     0x00, 0x00, 0x7f, 0xfe, 0x7f, 0xff };
  static const guint8 counts[] = { 0, 0, 1, 0, 0xff, 0x7f, 0, 0x80, 0xfe, 0xff, 0xff, 0xff };
  g_autoptr (FilFrame) frame =
    fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), 6, 1);
  guint8 stored[12];

  memcpy ((guint8 *) frame->data, counts, sizeof counts);
  g_assert_true (fil_frame_pack_fits (frame, NULL, stored, NULL));
  g_assert_cmpmem (stored, sizeof stored, expected, sizeof expected);
}

/* BT.601: Y = 0.299 R + 0.587 G + 0.114 B (ITU-R Recommendation BT.601,
 * section 2.5.1; from memory): 76.245, 149.685, 29.07, 255. */
static void
test_luma (void)
{
  static const guint8 rgb[] = { 255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255 };
  static const uint16_t luma[] = { 76, 150, 29, 255 };
  static const uint16_t luma_bgr[] = { 29, 150, 76, 255 };
  const char *const pair[] = { "RGB3", "BGR3" };

  for (int i = 0; i < 2; i++)
    {
      g_autoptr (FilFrame) frame =
        fil_frame_new_alloc (fil_pixel_format_from_name (pair[i]), 4, 1);
      uint16_t pixels[4];

      memcpy ((guint8 *) frame->data, rgb, sizeof rgb);
      g_assert_true (fil_frame_unpack (frame, NULL, pixels, NULL));
      g_assert_cmpmem (pixels, sizeof pixels, i == 0 ? luma : luma_bgr, sizeof luma);
    }
}

static void
test_refusals (void)
{
  g_autoptr (FilFrame) frame =
    fil_frame_new_alloc (fil_pixel_format_from_name ("Y12"), 40, 30);
  static const FilRect bad[] = {
    { -1, 0, 4, 4 }, { 0, -1, 4, 4 }, { 37, 0, 4, 4 }, { 0, 27, 4, 4 }, { 0, 0, 0, 4 },
    { 0, 0, 4, 0 }, { G_MAXINT, 0, 4, 4 }, { 4, 4, G_MAXINT, 4 },
  };
  uint16_t pixels[16];
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_assert_false (fil_frame_unpack (frame, &bad[i], pixels, &error));
      g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT);
      g_clear_error (&error);
      g_assert_false (fil_frame_pack_fits (frame, &bad[i], (guint8 *) pixels, &error));
      g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_RECT);
      g_clear_error (&error);
    }

  frame->size--;
  g_assert_false (fil_frame_unpack (frame, &(FilRect) { 0, 0, 4, 4 }, pixels, &error));
  g_assert_error (error, FIL_FRAME_ERROR, FIL_FRAME_ERROR_SIZE);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = g_strdup_printf ("/unpack/%s", names[i]);

      g_test_add_data_func (path, names[i], test_format);
    }
  g_test_add_func ("/unpack/stored", test_stored);
  g_test_add_func ("/pack/fits-bytes", test_fits_bytes);
  g_test_add_func ("/unpack/luma", test_luma);
  g_test_add_func ("/unpack/refusals", test_refusals);

  return g_test_run ();
}
