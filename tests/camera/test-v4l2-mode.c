/* test-v4l2-mode.c: what a camera offers, and what it makes of our wishes
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>
#include <string.h>

#include "fake-driver.h"
#include "fil-source.h"

static FilSource *
open_fake (void)
{
  g_autoptr (GError) error = NULL;
  FilSource *source = fake_open (&error);

  g_assert_no_error (error);

  return source;
}

static void
test_capabilities (void)
{
  static const struct { guint32 capabilities, device_caps; const char *word; } bad[] = {
    { V4L2_CAP_VIDEO_OUTPUT | V4L2_CAP_STREAMING, 0, "captures no pictures" },
    { V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_READWRITE, 0, "stream" },
    { V4L2_CAP_VIDEO_CAPTURE_MPLANE | V4L2_CAP_STREAMING, 0, "several planes" },
    /* The device as a whole captures; this node of it doesn't. */
    { V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_STREAMING | V4L2_CAP_DEVICE_CAPS,
      V4L2_CAP_META_CAPTURE | V4L2_CAP_STREAMING, "captures no pictures" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) error = NULL;

      fake_reset ();
      fake.capabilities = bad[i].capabilities;
      fake.device_caps = bad[i].device_caps;
      g_assert_null (fake_open (&error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA);
      g_assert_nonnull (strstr (error->message, bad[i].word));
    }
}

static void
test_nodes (void)
{
  static const struct { const char *path; FilSourceError code; } nodes[] = {
    { "/dev/null", FIL_SOURCE_ERROR_NOT_A_CAMERA },
    { "/dev/zero", FIL_SOURCE_ERROR_NOT_A_CAMERA },
    { "/dev", FIL_SOURCE_ERROR_DATA },   /* a folder: not claimed, no file to replay */
    { "/dev/none-of-that-name", FIL_SOURCE_ERROR_NOT_FOUND },
    { "/dev/null/video0", FIL_SOURCE_ERROR_NOT_FOUND },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (nodes); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (fil_source_open (nodes[i].path, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, (int) nodes[i].code);
      g_assert_nonnull (strstr (error->message, nodes[i].path));
      g_clear_error (&error);

      if (i == 2)
        continue;
      g_assert_true (fil_source_name_is_live (nodes[i].path));
      g_assert_null (fil_source_dup_identity (nodes[i].path, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, (int) nodes[i].code);
    }
}

static void
test_info (void)
{
  g_autoptr (FilSource) source = NULL;
  FilSourceInfo info;

  fake_reset ();
  source = open_fake ();
  fil_source_get_info (source, &info);
  g_assert_true (g_utf8_validate (info.name, -1, NULL));
  g_assert_true (g_str_has_prefix (info.name, "Made-up camera "));
  g_assert_cmpstr (info.driver, ==, "fake");
  g_assert_cmpstr (info.identity, ==, "fake:1");
  g_assert_true (info.live);
  g_assert_false (info.waits);
}

static void
test_discrete (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (GPtrArray) list = NULL;
  const FilSourceFormat *format;
  const FilSourceSize *size;

  fake_reset ();
  source = open_fake ();
  list = fil_source_list_formats (source, NULL);
  g_assert_cmpuint (list->len, ==, 6);

  format = g_ptr_array_index (list, 2);
  g_assert_cmpstr (format->format->name, ==, "Y12 ");
  g_assert_cmpuint (format->sizes->len, ==, 2);
  size = g_ptr_array_index (format->sizes, 1);
  g_assert_cmpint (size->min_width, ==, FAKE_WIDTH);
  g_assert_cmpint (size->max_height, ==, FAKE_HEIGHT);
  g_assert_cmpint (size->step_width, ==, 0);
  g_assert_false (size->fps_is_range);
  g_assert_cmpuint (size->fps->len, ==, 3);
  g_assert_cmpfloat (g_array_index (size->fps, double, 0), ==, 50.0);
  g_assert_cmpfloat (g_array_index (size->fps, double, 2), ==, 10.0);

  /* On offer, but none that we read. */
  format = g_ptr_array_index (list, 5);
  g_assert_null (format->format);
  g_assert_cmpuint (format->fourcc, ==, V4L2_PIX_FMT_HSV24);
}

static void
test_ranges (void)
{
  static const guint32 types[] = { V4L2_FRMSIZE_TYPE_STEPWISE, V4L2_FRMSIZE_TYPE_CONTINUOUS };

  for (gsize i = 0; i < G_N_ELEMENTS (types); i++)
    {
      g_autoptr (FilSource) source = NULL;
      g_autoptr (GPtrArray) list = NULL;
      g_autoptr (GError) error = NULL;
      FilSourceMode wanted = { .fourcc = V4L2_PIX_FMT_GREY, .width = 24, .height = 20 };
      const FilSourceFormat *format;
      const FilSourceSize *size;

      fake_reset ();
      fake.size_type = types[i];
      source = open_fake ();
      list = fil_source_list_formats (source, NULL);
      format = g_ptr_array_index (list, 0);
      g_assert_cmpuint (format->sizes->len, ==, 1);
      size = g_ptr_array_index (format->sizes, 0);
      g_assert_cmpint (size->min_width, ==, 16);
      g_assert_cmpint (size->max_width, ==, FAKE_WIDTH);
      g_assert_cmpint (size->step_width, ==, i == 0 ? 8 : 1);
      g_assert_cmpint (size->step_height, ==, i == 0 ? 4 : 1);
      g_assert_true (size->fps_is_range);
      g_assert_cmpfloat (g_array_index (size->fps, double, 0), ==, 100.0);
      g_assert_cmpfloat (g_array_index (size->fps, double, 1), ==, 0.5);

      g_assert_true (fil_source_set_mode (source, &wanted, NULL, NULL));
      wanted.width = 25;
      g_assert_true (fil_source_set_mode (source, &wanted, NULL, &error) == (i == 1));
      wanted.width = FAKE_WIDTH + 8;
      g_assert_false (fil_source_set_mode (source, &wanted, NULL, NULL));
    }
}

/* A driver whose lists have no end is believed up to a point. */
static void
test_endless (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (GPtrArray) list = NULL;
  g_autoptr (GPtrArray) controls = NULL;

  fake_reset ();
  fake.endless = TRUE;
  fake.controls[0].query = (struct v4l2_query_ext_ctrl) {
    .id = V4L2_CID_GAIN, .type = V4L2_CTRL_TYPE_INTEGER, .elems = 1, .maximum = 9,
  };
  fake.n_controls = 1;
  source = open_fake ();
  list = fil_source_list_formats (source, NULL);
  g_assert_cmpuint (list->len, ==, 256);
  controls = fil_source_list_controls (source);
  g_assert_cmpuint (controls->len, ==, 1);
}

/* The deepest raw format, the largest size. */
static void
test_choice (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (GError) error = NULL;
  FilSourceMode any = { 0 }, got;
  FilSourceInfo info;

  fake_reset ();
  source = open_fake ();
  fil_source_set_mode (source, &any, &got, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (got.fourcc, ==, V4L2_PIX_FMT_Y12);
  g_assert_cmpint (got.width, ==, FAKE_WIDTH);
  g_assert_cmpint (got.height, ==, FAKE_HEIGHT);
  g_assert_cmpfloat (got.fps, ==, 25.0);
  fil_source_get_info (source, &info);
  g_assert_true (info.raw);

  any.fourcc = V4L2_PIX_FMT_YUYV;
  g_assert_true (fil_source_set_mode (source, &any, &got, NULL));
  fil_source_get_info (source, &info);
  g_assert_false (info.raw);
}

static void
test_not_on_offer (void)
{
  static const FilSourceMode modes[] = {
    { .fourcc = V4L2_PIX_FMT_Y16 },
    { .fourcc = V4L2_PIX_FMT_HSV24 },   /* on offer, but we can't read it */
    { .width = 60, .height = 32 },
    { .width = 64 },
    { .width = -1, .height = 7 },
    { .roi = { 60, 0, 8, 8 } },
    { .roi = { 0, -1, 8, 8 } },
  };

  fake_reset ();
  for (gsize i = 0; i < G_N_ELEMENTS (modes); i++)
    {
      g_autoptr (FilSource) source = open_fake ();
      g_autoptr (GError) error = NULL;

      g_assert_false (fil_source_set_mode (source, &modes[i], NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
    }
}

static void
test_rates (void)
{
  static const struct { double wanted, got; } rates[] = {
    { 50.0, 50.0 }, { 47.3, 50.0 }, { 0.001, 10.0 }, { 1e30, 50.0 }, { 0.0, 25.0 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (rates); i++)
    {
      g_autoptr (FilSource) source = NULL;
      FilSourceMode wanted = { .fps = rates[i].wanted }, got;

      fake_reset ();
      source = open_fake ();
      g_assert_true (fil_source_set_mode (source, &wanted, &got, NULL));
      g_assert_cmpfloat (got.fps, ==, rates[i].got);
    }
}

static void
spoil_format (struct v4l2_pix_format *pix)
{
  pix->pixelformat = V4L2_PIX_FMT_YUYV;
}

static void
spoil_no_size (struct v4l2_pix_format *pix)
{
  pix->width = 0;
}

static void
spoil_huge (struct v4l2_pix_format *pix)
{
  pix->width = pix->height = G_MAXUINT32;
}

static void
spoil_no_stride (struct v4l2_pix_format *pix)
{
  pix->bytesperline = 0;
}

static void
spoil_short_rows (struct v4l2_pix_format *pix)
{
  pix->bytesperline = 2 * pix->width - 1;
}

static void
spoil_no_buffer (struct v4l2_pix_format *pix)
{
  pix->sizeimage = 0;
}

static void
spoil_small_buffer (struct v4l2_pix_format *pix)
{
  pix->sizeimage = pix->bytesperline * (pix->height - 1) + 2 * pix->width - 1;
}

static void
spoil_vast_buffer (struct v4l2_pix_format *pix)
{
  pix->sizeimage = G_MAXUINT32;
}

static void
spoil_long_rows (struct v4l2_pix_format *pix)
{
  pix->bytesperline = G_MAXUINT32;
}

static void
test_nonsense (void)
{
  static void (*const spoils[]) (struct v4l2_pix_format *) = {
    spoil_format, spoil_no_size, spoil_huge, spoil_no_stride, spoil_short_rows,
    spoil_no_buffer, spoil_small_buffer, spoil_vast_buffer, spoil_long_rows,
  };

  for (gsize i = 0; i < G_N_ELEMENTS (spoils); i++)
    {
      g_autoptr (FilSource) source = NULL;
      g_autoptr (GError) error = NULL;
      FilSourceMode any = { 0 };

      fake_reset ();
      fake.spoil = spoils[i];
      source = open_fake ();
      g_assert_false (fil_source_set_mode (source, &any, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL);
    }
}

static void
spoil_fields (struct v4l2_pix_format *pix)
{
  pix->field = V4L2_FIELD_ALTERNATE;
}

static void
spoil_other_size (struct v4l2_pix_format *pix)
{
  pix->width -= 16;
}

static void
test_other_answers (void)
{
  static void (*const spoils[]) (struct v4l2_pix_format *) = { spoil_fields, spoil_other_size };

  for (gsize i = 0; i < G_N_ELEMENTS (spoils); i++)
    {
      g_autoptr (FilSource) source = NULL;
      g_autoptr (GError) error = NULL;
      FilSourceMode any = { 0 };

      fake_reset ();
      fake.spoil = spoils[i];
      source = open_fake ();
      g_assert_false (fil_source_set_mode (source, &any, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);
    }
}

static void
test_errno (void)
{
  static const struct { unsigned long request; int number; FilSourceError code; } cases[] = {
    { VIDIOC_S_FMT, EBUSY, FIL_SOURCE_ERROR_BUSY },
    { VIDIOC_S_FMT, ENODEV, FIL_SOURCE_ERROR_UNPLUGGED },
    { VIDIOC_S_FMT, EIO, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_G_FMT, EINVAL, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_ENUM_FMT, ENODEV, FIL_SOURCE_ERROR_UNPLUGGED },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (FilSource) source = NULL;
      g_autoptr (GError) error = NULL;
      FilSourceMode any = { 0 };

      fake_reset ();
      source = open_fake ();
      fake_fail (cases[i].request, cases[i].number);
      g_assert_false (fil_source_set_mode (source, &any, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, (int) cases[i].code);
    }
}

static void
test_region (void)
{
  FilSourceMode wanted = { .roi = { 9, 10, 20, 10 } }, got;
  FilSourceInfo info;
  g_autoptr (GError) error = NULL;
  g_autoptr (FilSource) source = NULL;

  /* The driver aligns to 8: what it gives holds what was wanted. */
  fake_reset ();
  fake.crop_step = 8;
  source = open_fake ();
  fil_source_set_mode (source, &wanted, &got, &error);
  g_assert_no_error (error);
  g_assert_cmpint (got.roi.x, ==, 8);
  g_assert_cmpint (got.roi.y, ==, 8);
  g_assert_cmpint (got.roi.width, ==, 24);
  g_assert_cmpint (got.roi.height, ==, 16);
  g_assert_cmpint (got.width, ==, 24);
  g_assert_cmpint (got.height, ==, 16);
  fil_source_get_info (source, &info);
  g_assert_cmpint (info.sensor_width, ==, FAKE_WIDTH);
  g_assert_cmpint (info.sensor_height, ==, FAKE_HEIGHT);

  /* Without a region the whole comes again. */
  wanted = (FilSourceMode) { 0 };
  g_assert_true (fil_source_set_mode (source, &wanted, &got, NULL));
  g_assert_cmpint (got.roi.width, ==, 0);
  g_assert_cmpint (got.width, ==, FAKE_WIDTH);
}

/* A driver that scales the region up, or knows none: the whole comes. */
static void
test_region_left_to_us (void)
{
  for (int i = 0; i < 3; i++)
    {
      FilSourceMode wanted = { .roi = { 9, 10, 20, 10 } }, got;
      g_autoptr (GError) error = NULL;
      g_autoptr (FilSource) source = NULL;

      fake_reset ();
      fake.crop_step = i == 0 ? 0 : 8;
      fake.crop_scales = i == 1;
      if (i == 1)
        wanted.roi.width = 2, wanted.roi.height = 2;   /* smaller than a picture can be */
      if (i == 2)
        wanted.width = FAKE_WIDTH, wanted.height = FAKE_HEIGHT;   /* within a given size */
      source = open_fake ();
      fil_source_set_mode (source, &wanted, &got, &error);
      g_assert_no_error (error);
      g_assert_cmpint (got.roi.width, ==, 0);
      g_assert_cmpint (got.width, ==, FAKE_WIDTH);
      g_assert_cmpint (got.height, ==, FAKE_HEIGHT);
      g_assert_cmpuint (fake.crop.width, ==, FAKE_WIDTH);
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/v4l2/capabilities", test_capabilities);
  g_test_add_func ("/v4l2/nodes", test_nodes);
  g_test_add_func ("/v4l2/info", test_info);
  g_test_add_func ("/v4l2/discrete", test_discrete);
  g_test_add_func ("/v4l2/ranges", test_ranges);
  g_test_add_func ("/v4l2/endless", test_endless);
  g_test_add_func ("/v4l2/choice", test_choice);
  g_test_add_func ("/v4l2/not-on-offer", test_not_on_offer);
  g_test_add_func ("/v4l2/rates", test_rates);
  g_test_add_func ("/v4l2/nonsense", test_nonsense);
  g_test_add_func ("/v4l2/other-answers", test_other_answers);
  g_test_add_func ("/v4l2/errno", test_errno);
  g_test_add_func ("/v4l2/region", test_region);
  g_test_add_func ("/v4l2/region-left-to-us", test_region_left_to_us);

  return g_test_run ();
}
