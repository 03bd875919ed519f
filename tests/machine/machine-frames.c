/* machine-frames.c: frames of the kernel's test camera, bit for bit
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The driver's test picture moves by so many columns a frame, counted from
 * the start of the stream: frames of the same number in two streams are the
 * same. But when it has no time to begin with number 0, its pictures lag one
 * behind its numbers from then on (Linux 6.1, vivid-kthread-cap.c): such a
 * stream is taken again. The reference is what v4l2-ctl (v4l-utils) writes. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <linux/videodev2.h>

#include "machine-test.h"

#define N_FRAMES 8
#define FPS 15.0
#define ATTEMPTS 10
#define REFERENCE "/tmp/reference"

typedef struct
{
  char       *bytes;
  gsize       length;
  guint64     numbers[64];
  guint       n;
} Reference;

static Reference
record_once (const char *fourcc)
{
  g_autofree char *command =
    g_strdup_printf ("v4l2-ctl -d " DEVICE " --set-fmt-video=width=%d,height=%d,pixelformat='%s' "
                     "--set-parm=%g --stream-mmap=8 --stream-count=%d --stream-to=" REFERENCE
                     " --verbose", WIDTH, HEIGHT, fourcc, FPS, N_FRAMES);
  g_autofree char *report = machine_run (command);
  Reference reference = { 0 };

  for (const char *at = report; (at = strstr (at, " seq:")) != NULL; at++)
    reference.numbers[reference.n++] = strtoul (at + 5, NULL, 10);
  g_assert_cmpuint (reference.n, ==, N_FRAMES);
  g_assert_true (g_file_get_contents (REFERENCE, &reference.bytes, &reference.length, NULL));

  return reference;
}

/* What v4l2-ctl records of the same format; numbers by its own report. */
static Reference
record_reference (const char *fourcc)
{
  Reference reference = record_once (fourcc);

  for (int i = 1; i < ATTEMPTS && reference.numbers[0] != 0; i++)
    {
      g_free (reference.bytes);
      reference = record_once (fourcc);
    }
  g_assert_cmpuint (reference.numbers[0], ==, 0);

  return reference;
}

/* The same through us, still streaming. */
static Seen *
take_frames (FilSource *source)
{
  for (int i = 0; i < ATTEMPTS; i++)
    {
      Seen *seen = machine_start (source, N_FRAMES);

      machine_wait_frames (seen);
      if (((FilFrame *) g_ptr_array_index (seen->frames, 0))->sequence == 0)
        return seen;
      machine_stop (source, seen);
    }

  g_error ("the driver never begins with frame 0");
}

static void
test_format (gconstpointer data)
{
  const char *fourcc = data;
  const FilPixelFormat *format = fil_pixel_format_from_name (fourcc);
  const gsize row = fil_pixel_format_min_stride (format, WIDTH);
  Reference reference = record_reference (format->name);
  g_autoptr (FilSource) source = machine_open (format->fourcc, FPS);
  Seen *seen = take_frames (source);
  guint compared = 0, moved = 0;

  g_assert_cmpuint (reference.length, ==, N_FRAMES * row * HEIGHT);
  for (guint i = 0; i < N_FRAMES; i++)
    {
      const FilFrame *frame = g_ptr_array_index (seen->frames, i);

      g_assert_cmpint (frame->flags, ==, FIL_FRAME_OK);
      g_assert_cmpstr (frame->format->name, ==, format->name);
      for (guint j = 0; j < N_FRAMES; j++)
        if (reference.numbers[j] == frame->sequence)
          {
            g_assert_cmpmem (frame->data, frame->size,
                             reference.bytes + j * row * HEIGHT, row * HEIGHT);
            compared++;
          }
      if (i > 0 && memcmp (frame->data,
                           ((FilFrame *) g_ptr_array_index (seen->frames, i - 1))->data,
                           frame->size) != 0)
        moved++;
    }

  g_test_message ("%u frames of %s compared", compared, fourcc);
  g_assert_cmpuint (compared, >=, N_FRAMES / 2);
  g_assert_cmpuint (moved, ==, N_FRAMES - 1);

  machine_stop (source, seen);
  g_free (reference.bytes);
}

/* A region cut by the driver is the same part of the whole picture. The last
 * input has a scaler and can cut; the picture stands still for this. */
static void
test_region (void)
{
  const FilRect wanted = { 33, 17, 200, 100 };
  FilSourceMode mode = { .fourcc = V4L2_PIX_FMT_GREY }, got;
  g_autoptr (FilSource) source = NULL;
  g_autoptr (FilFrame) whole = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *back = NULL;
  FilSourceInfo info;
  Seen *seen;

  g_free (machine_run ("v4l2-ctl -d " DEVICE " --set-input=3 --set-ctrl=horizontal_movement=3"));
  source = fil_source_open (DEVICE, NULL, NULL);
  fil_source_get_info (source, &info);
  g_assert_cmpint (info.sensor_width, >, wanted.x + wanted.width);
  mode.width = info.sensor_width;
  mode.height = info.sensor_height;
  fil_source_set_mode (source, &mode, &got, &error);
  g_assert_no_error (error);
  g_assert_cmpint (got.roi.width, ==, 0);
  seen = machine_start (source, 1);
  machine_wait_frames (seen);
  whole = fil_frame_ref (g_ptr_array_index (seen->frames, 0));
  machine_stop (source, seen);

  mode.width = mode.height = 0;
  mode.roi = wanted;
  fil_source_set_mode (source, &mode, &got, &error);
  g_assert_no_error (error);
  g_test_message ("the driver cuts %d,%d,%d,%d", got.roi.x, got.roi.y, got.roi.width,
                  got.roi.height);
  g_assert_cmpint (got.roi.width, >=, wanted.width);
  g_assert_cmpint (got.roi.x, <=, wanted.x);
  g_assert_cmpint (got.width, ==, got.roi.width);
  g_assert_cmpint (got.height, ==, got.roi.height);
  seen = machine_start (source, 1);
  machine_wait_frames (seen);
  for (int y = 0; y < got.height; y++)
    {
      const FilFrame *part = g_ptr_array_index (seen->frames, 0);

      g_assert_cmpmem (part->data + (gsize) y * part->stride, (gsize) got.width,
                       whole->data + (gsize) (y + got.roi.y) * whole->stride + got.roi.x,
                       (gsize) got.width);
    }
  machine_stop (source, seen);
  g_clear_object (&source);

  back = machine_run ("v4l2-ctl -d " DEVICE " --set-input=0");
}

int
main (int   argc,
      char *argv[])
{
  static const char *const formats[] = {
    "GREY", "Y10", "Y12", "Y16", "RGGB", "BG10", "GB12", "GR16",
  };
  g_autofree char *settings = NULL;

  g_test_init (&argc, &argv, NULL);
  settings = machine_run ("v4l2-ctl -d " DEVICE " --set-ctrl=osd_text_mode=2,"
                          "horizontal_movement=5,vertical_movement=4");

  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_autofree char *path = g_strdup_printf ("/frames/%s", formats[i]);

      g_test_add_data_func (path, formats[i], test_format);
    }
  g_test_add_func ("/frames/region", test_region);

  return g_test_run ();
}
