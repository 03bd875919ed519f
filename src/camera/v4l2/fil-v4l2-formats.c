/* fil-v4l2-formats.c: formats, sizes and rates that a driver offers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>

#include <glib/gi18n-lib.h>

#include "fil-source-backend.h"
#include "fil-v4l2-formats.h"

/* A driver that never says "no more" must not hold us up. */
#define MAX_FORMATS   256
#define MAX_SIZES     512
#define MAX_INTERVALS 128

static void
add_rate (GArray                  *fps,
          const struct v4l2_fract *interval)
{
  double rate;

  if (interval->numerator == 0 || interval->denominator == 0)
    return;

  rate = (double) interval->denominator / interval->numerator;
  g_array_append_val (fps, rate);
}

static gint
compare_rates (gconstpointer a,
               gconstpointer b)
{
  double first = *(const double *) a, second = *(const double *) b;

  return (first < second) - (first > second);
}

/* Rates at the largest picture of @size, the slowest one. */
static void
list_rates (const FilV4l2Device *device,
            guint32              fourcc,
            FilSourceSize       *size)
{
  for (guint32 i = 0; i < MAX_INTERVALS; i++)
    {
      struct v4l2_frmivalenum ival = {
        .index = i,
        .pixel_format = fourcc,
        .width = (guint32) size->max_width,
        .height = (guint32) size->max_height,
      };

      if (fil_v4l2_device_call (device, VIDIOC_ENUM_FRAMEINTERVALS, &ival) < 0)
        break;

      if (ival.type == V4L2_FRMIVAL_TYPE_DISCRETE)
        {
          add_rate (size->fps, &ival.discrete);
          continue;
        }

      add_rate (size->fps, &ival.stepwise.min);
      add_rate (size->fps, &ival.stepwise.max);
      size->fps_is_range = size->fps->len == 2;
      break;
    }

  g_array_sort (size->fps, compare_rates);
}

static gboolean
is_believable (guint32 smallest,
               guint32 largest)
{
  return smallest > 0 && smallest <= largest && largest <= FIL_V4L2_MAX_SIDE;
}

/* Returns: (nullable): the size, added; %NULL for one without sense */
static FilSourceSize *
add_size (FilSourceFormat               *format,
          const struct v4l2_frmsizeenum *answer)
{
  FilSourceSize *size;
  struct v4l2_frmsize_stepwise range = answer->stepwise;

  if (answer->type == V4L2_FRMSIZE_TYPE_DISCRETE)
    range = (struct v4l2_frmsize_stepwise) {
      answer->discrete.width, answer->discrete.width, 0,
      answer->discrete.height, answer->discrete.height, 0
    };
  else if (answer->type == V4L2_FRMSIZE_TYPE_CONTINUOUS || range.step_width == 0 ||
           range.step_height == 0)
    range.step_width = range.step_height = 1;

  if (!is_believable (range.min_width, range.max_width) ||
      !is_believable (range.min_height, range.max_height) ||
      range.step_width > FIL_V4L2_MAX_SIDE || range.step_height > FIL_V4L2_MAX_SIDE)
    return NULL;

  size = fil_source_format_add_size (format, (int) range.max_width, (int) range.max_height);
  size->min_width = (int) range.min_width;
  size->step_width = (int) range.step_width;
  size->min_height = (int) range.min_height;
  size->step_height = (int) range.step_height;

  return size;
}

/* Sizes without sense are left out: nothing could be set to them. */
static void
list_sizes (const FilV4l2Device *device,
            FilSourceFormat     *format)
{
  for (guint32 i = 0; i < MAX_SIZES; i++)
    {
      struct v4l2_frmsizeenum answer = { .index = i, .pixel_format = format->fourcc };
      FilSourceSize *size;

      if (fil_v4l2_device_call (device, VIDIOC_ENUM_FRAMESIZES, &answer) < 0)
        return;

      size = add_size (format, &answer);
      if (size != NULL)
        list_rates (device, format->fourcc, size);
      if (answer.type != V4L2_FRMSIZE_TYPE_DISCRETE)
        return;
    }
}

/**
 * fil_v4l2_list_formats:
 *
 * All that the driver offers, in its order, also what we don't read. May take
 * some tens of milliseconds: a question for each format, size and rate. Any
 * thread.
 *
 * Returns: (transfer full) (element-type FilSourceFormat): the offer, or %NULL
 */
GPtrArray *
fil_v4l2_list_formats (const FilV4l2Device *device,
                       GError             **error)
{
  g_autoptr (GPtrArray) formats = fil_source_formats_new ();

  for (guint32 i = 0; i < MAX_FORMATS; i++)
    {
      struct v4l2_fmtdesc answer = { .index = i, .type = V4L2_BUF_TYPE_VIDEO_CAPTURE };

      if (fil_v4l2_device_call (device, VIDIOC_ENUM_FMT, &answer) < 0)
        {
          if (errno != EINVAL)
            {
              fil_v4l2_set_errno (error, errno, _("asking for the formats"));
              return NULL;
            }
          break;
        }

      list_sizes (device, fil_source_formats_add (formats, answer.pixelformat));
    }

  return g_steal_pointer (&formats);
}
