/* fil-v4l2-mode.c: format, size, rate and region, agreed with a driver
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-v4l2-formats.h"
#include "fil-v4l2-mode.h"

#define CROP_TRIES 4

static gboolean
refuse (GError    **error,
        const char *message)
{
  g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE, message);

  return FALSE;
}

static gboolean
is_raw (const FilPixelFormat *format)
{
  return format->kind == FIL_KIND_MONO || format->kind == FIL_KIND_BAYER;
}

/* Raw before luma before compressed; then the deepest; then the driver's order. */
static int
merit (const FilPixelFormat *format)
{
  if (format == NULL)
    return -1;
  if (is_raw (format))
    return 1000 + format->bits;

  return format->kind == FIL_KIND_LUMA ? 1 : 0;
}

static const FilSourceFormat *
choose_format (GPtrArray *formats,
               guint32    fourcc,
               GError   **error)
{
  const FilSourceFormat *best = NULL;
  int best_merit = -1;

  for (guint i = 0; i < formats->len; i++)
    {
      const FilSourceFormat *offer = g_ptr_array_index (formats, i);

      if (fourcc != 0 && offer->fourcc != fourcc)
        continue;
      if (merit (offer->format) > best_merit)
        {
          best = offer;
          best_merit = merit (offer->format);
        }
    }

  if (best == NULL)
    refuse (error, fourcc != 0
                   ? _("The camera doesn't offer this format; “filigree-cli cameras” lists "
                       "what it offers")
                   : _("The camera offers no format that can be read"));

  return best;
}

static gboolean
fits (int value,
      int least,
      int most,
      int step)
{
  return value >= least && value <= most && (step == 0 || (value - least) % step == 0);
}

static gboolean
offers_size (const FilSourceFormat *offer,
             int                    width,
             int                    height)
{
  for (guint i = 0; i < offer->sizes->len; i++)
    {
      const FilSourceSize *size = g_ptr_array_index (offer->sizes, i);

      if (fits (width, size->min_width, size->max_width, size->step_width) &&
          fits (height, size->min_height, size->max_height, size->step_height))
        return TRUE;
    }

  return FALSE;
}

/* The largest on offer; 0 × 0 where the driver lists none. */
static void
largest_size (const FilSourceFormat *offer,
              int                   *width,
              int                   *height)
{
  *width = *height = 0;
  for (guint i = 0; i < offer->sizes->len; i++)
    {
      const FilSourceSize *size = g_ptr_array_index (offer->sizes, i);

      if ((gint64) size->max_width * size->max_height > (gint64) *width * *height)
        {
          *width = size->max_width;
          *height = size->max_height;
        }
    }
}

/* The rectangle that a crop may not leave. */
static gboolean
get_bounds (const FilV4l2Device *device,
            struct v4l2_rect    *bounds)
{
  struct v4l2_selection selection = {
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .target = V4L2_SEL_TGT_CROP_BOUNDS,
  };

  if (fil_v4l2_device_call (device, VIDIOC_G_SELECTION, &selection) < 0 ||
      selection.r.width < 1 || selection.r.width > FIL_V4L2_MAX_SIDE ||
      selection.r.height < 1 || selection.r.height > FIL_V4L2_MAX_SIDE ||
      selection.r.left < -FIL_V4L2_MAX_SIDE || selection.r.left > FIL_V4L2_MAX_SIDE ||
      selection.r.top < -FIL_V4L2_MAX_SIDE || selection.r.top > FIL_V4L2_MAX_SIDE)
    return FALSE;

  *bounds = selection.r;

  return TRUE;
}

/**
 * fil_v4l2_mode_sensor_size:
 *
 * The full field in pixels, where the driver tells.
 */
gboolean
fil_v4l2_mode_sensor_size (const FilV4l2Device *device,
                           int                 *width,
                           int                 *height)
{
  struct v4l2_rect bounds = { 0 };

  if (!get_bounds (device, &bounds))
    return FALSE;

  *width = (int) bounds.width;
  *height = (int) bounds.height;

  return TRUE;
}

static gboolean
set_crop (const FilV4l2Device *device,
          struct v4l2_rect    *rect,
          guint32              flags)
{
  struct v4l2_selection selection = {
    .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
    .target = V4L2_SEL_TGT_CROP,
    .flags = flags,
    .r = *rect,
  };

  if (fil_v4l2_device_call (device, VIDIOC_S_SELECTION, &selection) < 0)
    return FALSE;

  *rect = selection.r;

  return TRUE;
}

/* @to less @from, as far as it lies beyond. */
static int
beyond (int from,
        int to)
{
  return MAX (to - from, 0);
}

/* What was asked for, grown by what the answer lacks of @wanted. */
static FilRect
grow (const FilRect *asked,
      const FilRect *answer,
      const FilRect *wanted,
      int            width,
      int            height)
{
  int left = MAX (asked->x - beyond (wanted->x, answer->x), 0);
  int top = MAX (asked->y - beyond (wanted->y, answer->y), 0);
  int right = asked->x + asked->width +
              beyond (answer->x + answer->width, wanted->x + wanted->width);
  int bottom = asked->y + asked->height +
               beyond (answer->y + answer->height, wanted->y + wanted->height);

  return (FilRect) { left, top, MIN (right, width) - left, MIN (bottom, height) - top };
}

static gboolean
holds (const FilRect *outer,
       const FilRect *inner)
{
  return outer->x <= inner->x && outer->y <= inner->y &&
         outer->x + outer->width >= inner->x + inner->width &&
         outer->y + outer->height >= inner->y + inner->height;
}

/* Asks for a region that the driver can and that holds @wanted. Drivers align
 * edges; not all of them then keep to "at least as large", so we ask again
 * for more. */
static gboolean
crop (const FilV4l2Device    *device,
      const struct v4l2_rect *bounds,
      const FilRect          *wanted,
      FilRect                *got)
{
  const int width = (int) bounds->width, height = (int) bounds->height;
  FilRect asked = *wanted;

  for (int i = 0; i < CROP_TRIES; i++)
    {
      struct v4l2_rect rect = {
        bounds->left + asked.x, bounds->top + asked.y,
        (guint32) asked.width, (guint32) asked.height
      };
      FilRect answer;

      if (!set_crop (device, &rect, V4L2_SEL_FLAG_GE) ||
          rect.width > bounds->width || rect.height > bounds->height)
        return FALSE;

      answer = (FilRect) {
        rect.left - bounds->left, rect.top - bounds->top, (int) rect.width, (int) rect.height
      };
      if (!fil_rect_is_inside (&answer, width, height))
        return FALSE;
      if (holds (&answer, wanted))
        {
          *got = answer;
          return TRUE;
        }
      asked = grow (&asked, &answer, wanted, width, height);
    }

  return FALSE;
}

static gboolean
set_nonsense (GError    **error,
              const char *path,
              const char *why)
{
  g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL,
               _("%s: the driver's answer makes no sense: %s"), path, why);

  return FALSE;
}

/* Whether every row lies in a buffer of the size that the driver states. */
static gboolean
check_layout (const FilV4l2Device          *device,
              const FilPixelFormat         *format,
              const struct v4l2_pix_format *pix,
              GError                      **error)
{
  gsize stride, least;

  if (pix->pixelformat != format->fourcc)
    return set_nonsense (error, device->path, _("another format than was agreed"));
  if (pix->width < 1 || pix->width > FIL_V4L2_MAX_SIDE ||
      pix->height < 1 || pix->height > FIL_V4L2_MAX_SIDE)
    return set_nonsense (error, device->path, _("a picture of an impossible size"));
  if (pix->sizeimage < 1 || pix->sizeimage > FIL_V4L2_MAX_BYTES)
    return set_nonsense (error, device->path, _("buffers of an impossible size"));
  if (pix->field != V4L2_FIELD_NONE && pix->field != V4L2_FIELD_ANY &&
      pix->field != V4L2_FIELD_INTERLACED)
    return refuse (error, _("The camera delivers half pictures (interlaced fields), which "
                            "are not supported"));

  if (format->packing == FIL_PACKING_JPEG)
    return TRUE;

  stride = fil_pixel_format_min_stride (format, (int) pix->width);
  if (pix->bytesperline < stride)
    return set_nonsense (error, device->path, _("rows shorter than their pixels"));

  least = (gsize) pix->bytesperline * (pix->height - 1) + stride;
  if (pix->sizeimage < least)
    return set_nonsense (error, device->path, _("buffers smaller than a picture"));

  return TRUE;
}

static gboolean
set_format (const FilV4l2Device   *device,
            const FilSourceFormat *offer,
            int                    width,
            int                    height,
            FilV4l2Mode           *mode,
            GError               **error)
{
  struct v4l2_format format = { .type = V4L2_BUF_TYPE_VIDEO_CAPTURE };
  struct v4l2_pix_format *pix = &format.fmt.pix;

  if (fil_v4l2_device_call (device, VIDIOC_G_FMT, &format) < 0)
    {
      fil_v4l2_set_errno (error, errno, _("asking for the format"));
      return FALSE;
    }

  pix->pixelformat = offer->fourcc;
  pix->width = width > 0 ? (guint32) width : pix->width;
  pix->height = height > 0 ? (guint32) height : pix->height;
  pix->field = V4L2_FIELD_NONE;
  pix->bytesperline = 0;
  pix->sizeimage = 0;
  if (fil_v4l2_device_call (device, VIDIOC_S_FMT, &format) < 0)
    {
      fil_v4l2_set_errno (error, errno, _("setting the format"));
      return FALSE;
    }

  if (!check_layout (device, offer->format, pix, error))
    return FALSE;
  if (width > 0 && ((int) pix->width != width || (int) pix->height != height))
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                   _("The camera doesn't offer %d × %d pixels; the nearest is %u × %u"),
                   width, height, pix->width, pix->height);
      return FALSE;
    }

  mode->format = offer->format;
  mode->width = (int) pix->width;
  mode->height = (int) pix->height;
  mode->stride = offer->format->packing == FIL_PACKING_JPEG ? 0 : pix->bytesperline;
  mode->frame_bytes = pix->sizeimage;

  return TRUE;
}

static double
read_rate (const struct v4l2_streamparm *parm)
{
  const struct v4l2_fract *interval = &parm->parm.capture.timeperframe;

  if (interval->numerator == 0 || interval->denominator == 0)
    return 0.0;

  return (double) interval->denominator / interval->numerator;
}

/* Asks for a rate; a driver that knows no rates is let be. */
static double
set_rate (const FilV4l2Device *device,
          double               fps)
{
  struct v4l2_streamparm parm = { .type = V4L2_BUF_TYPE_VIDEO_CAPTURE };

  if (fil_v4l2_device_call (device, VIDIOC_G_PARM, &parm) < 0)
    return 0.0;
  if (fps <= 0.0 || (parm.parm.capture.capability & V4L2_CAP_TIMEPERFRAME) == 0)
    return read_rate (&parm);

  /* As a fraction of whole numbers: exact for whole rates, else to a thousandth. */
  parm.parm.capture.timeperframe.numerator = fps == floor (fps) ? 1 : 1000;
  parm.parm.capture.timeperframe.denominator =
    (guint32) CLAMP (fps == floor (fps) ? fps : round (fps * 1000.0), 1.0, 1e9);
  if (fil_v4l2_device_call (device, VIDIOC_S_PARM, &parm) < 0)
    return 0.0;

  return read_rate (&parm);
}

/* The size to ask for: what is wanted, that of the sensor (@bounds, may be
 * %NULL), or the largest there is. Some drivers scale beyond their sensor. */
static gboolean
choose_size (const FilSourceFormat  *offer,
             const struct v4l2_rect *bounds,
             const FilSourceMode    *wanted,
             int                    *width,
             int                    *height,
             GError                **error)
{
  if (wanted->width == 0 && wanted->height == 0)
    {
      if (bounds != NULL && offers_size (offer, (int) bounds->width, (int) bounds->height))
        *width = (int) bounds->width, *height = (int) bounds->height;
      else
        largest_size (offer, width, height);
      return TRUE;
    }
  if (wanted->width <= 0 || wanted->height <= 0)
    return refuse (error, _("A size needs a width and a height"));
  if (offer->sizes->len > 0 && !offers_size (offer, wanted->width, wanted->height))
    return refuse (error, _("The camera doesn't offer this size; “filigree-cli cameras” "
                            "lists what it offers"));

  *width = wanted->width;
  *height = wanted->height;

  return TRUE;
}

/* Cuts in the camera. Undone where the frames then aren't the region 1:1. */
static gboolean
set_region (const FilV4l2Device    *device,
            const FilSourceFormat  *offer,
            const struct v4l2_rect *bounds,
            const FilRect          *wanted,
            FilV4l2Mode            *mode)
{
  struct v4l2_rect whole = *bounds;
  FilRect got;

  if (crop (device, bounds, wanted, &got) &&
      set_format (device, offer, got.width, got.height, mode, NULL))
    {
      struct v4l2_selection now = {
        .type = V4L2_BUF_TYPE_VIDEO_CAPTURE,
        .target = V4L2_SEL_TGT_CROP,
      };

      /* The format may have moved the region again. */
      if (fil_v4l2_device_call (device, VIDIOC_G_SELECTION, &now) == 0 &&
          now.r.left - bounds->left == got.x && now.r.top - bounds->top == got.y &&
          (int) now.r.width == got.width && (int) now.r.height == got.height)
        {
          mode->roi = got;
          return TRUE;
        }
    }

  set_crop (device, &whole, 0);

  return FALSE;
}

/**
 * fil_v4l2_mode_set:
 * @wanted: zeros leave the choice to us: the deepest raw format, the largest
 *   size. With a region and no size the camera is asked to cut; with both,
 *   the region counts within the size and is left to whoever records.
 * @mode: (out): what will come; untouched on failure
 *
 * Agrees on a mode with the driver, and checks its answer.
 *
 * Returns: %TRUE, or %FALSE with %FIL_SOURCE_ERROR_MODE for what is not on
 *   offer and %FIL_SOURCE_ERROR_PROTOCOL for an answer without sense
 */
gboolean
fil_v4l2_mode_set (const FilV4l2Device *device,
                   const FilSourceMode *wanted,
                   FilV4l2Mode         *mode,
                   GError             **error)
{
  g_autoptr (GPtrArray) formats = fil_v4l2_list_formats (device, error);
  const FilSourceFormat *offer;
  struct v4l2_rect bounds = { 0 };
  gboolean can_crop;
  FilV4l2Mode result = { 0 };
  int width = 0, height = 0;

  if (formats == NULL)
    return FALSE;
  offer = choose_format (formats, wanted->fourcc, error);
  can_crop = get_bounds (device, &bounds);
  if (offer == NULL ||
      !choose_size (offer, can_crop ? &bounds : NULL, wanted, &width, &height, error))
    return FALSE;

  if (can_crop)
    {
      struct v4l2_rect whole = bounds;

      set_crop (device, &whole, 0);
    }
  if (!set_format (device, offer, width, height, &result, error))
    return FALSE;

  if (wanted->roi.width > 0)
    {
      int across = wanted->width <= 0 && can_crop ? (int) bounds.width : result.width;
      int down = wanted->width <= 0 && can_crop ? (int) bounds.height : result.height;

      if (!fil_rect_is_inside (&wanted->roi, across, down))
        return refuse (error, _("The region leaves the picture"));
      if (wanted->width <= 0 && can_crop &&
          !set_region (device, offer, &bounds, &wanted->roi, &result) &&
          !set_format (device, offer, width, height, &result, error))
        return FALSE;
      if (result.roi.width == 0 &&
          !fil_rect_is_inside (&wanted->roi, result.width, result.height))
        return refuse (error, _("The region leaves the picture"));
    }

  result.fps = set_rate (device, wanted->fps);
  *mode = result;

  return TRUE;
}
