/* fil-v4l2-exposure.c: exposure and gain, where their meaning is certain
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-v4l2-controls.h"

#define UNITS_PER_MS 10.0   /* V4L2_CID_EXPOSURE_ABSOLUTE counts 100 µs */

static gboolean
query (const FilV4l2Device        *device,
       guint32                     id,
       struct v4l2_query_ext_ctrl *answer)
{
  *answer = (struct v4l2_query_ext_ctrl) { .id = id };

  return fil_v4l2_device_call (device, VIDIOC_QUERY_EXT_CTRL, answer) == 0 &&
         (answer->flags & V4L2_CTRL_FLAG_DISABLED) == 0;
}

/* Automatic exposure off: the time is then ours to set. */
static gboolean
make_manual (const FilV4l2Device *device,
             GError             **error)
{
  g_autoptr (GVariant) manual = g_variant_ref_sink (g_variant_new_int64 (V4L2_EXPOSURE_MANUAL));
  gint64 now;

  if (!fil_v4l2_get_integer (device, V4L2_CID_EXPOSURE_AUTO, &now) ||
      now == V4L2_EXPOSURE_MANUAL || now == V4L2_EXPOSURE_SHUTTER_PRIORITY)
    return TRUE;

  return fil_v4l2_set_control (device, V4L2_CID_EXPOSURE_AUTO, manual, error);
}

/* Reads one whole number; %FALSE where the control isn't there. Any thread. */
gboolean
fil_v4l2_get_integer (const FilV4l2Device *device,
                      guint32              id,
                      gint64              *value)
{
  struct v4l2_ext_control one = { .id = id };
  struct v4l2_ext_controls set = {
    .which = V4L2_CTRL_WHICH_CUR_VAL, .count = 1, .controls = &one,
  };

  if (fil_v4l2_device_call (device, VIDIOC_G_EXT_CTRLS, &set) < 0)
    return FALSE;

  *value = one.value;

  return TRUE;
}

/**
 * fil_v4l2_set_exposure:
 * @exposure_ms: milliseconds, above 0
 *
 * Switches automatic exposure off and sets the time, rounded to the driver's
 * 100 µs. Fails where the driver has only an exposure without a unit.
 */
gboolean
fil_v4l2_set_exposure (const FilV4l2Device *device,
                       double               exposure_ms,
                       GError             **error)
{
  struct v4l2_query_ext_ctrl answer;
  g_autoptr (GVariant) value = NULL;
  double units = round (exposure_ms * UNITS_PER_MS);

  if (!query (device, V4L2_CID_EXPOSURE_ABSOLUTE, &answer))
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                           _("The camera's driver tells no unit of time for the exposure; "
                             "set its own control instead"));
      return FALSE;
    }
  if (units < (double) answer.minimum || units > (double) answer.maximum)
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                   _("The camera exposes for %.1f to %.1f ms"),
                   (double) answer.minimum / UNITS_PER_MS,
                   (double) answer.maximum / UNITS_PER_MS);
      return FALSE;
    }

  if (!make_manual (device, error))
    return FALSE;

  value = g_variant_ref_sink (g_variant_new_int64 ((gint64) units));

  return fil_v4l2_set_control (device, V4L2_CID_EXPOSURE_ABSOLUTE, value, error);
}

/**
 * fil_v4l2_get_exposure:
 *
 * Returns: milliseconds; NaN where the unit is unknown, or where the camera
 *   chooses by itself and doesn't tell
 */
double
fil_v4l2_get_exposure (const FilV4l2Device *device)
{
  struct v4l2_query_ext_ctrl answer;
  gint64 units, automatic;

  if (!query (device, V4L2_CID_EXPOSURE_ABSOLUTE, &answer) ||
      !fil_v4l2_get_integer (device, V4L2_CID_EXPOSURE_ABSOLUTE, &units) || units < 1)
    return NAN;

  if ((answer.flags & V4L2_CTRL_FLAG_VOLATILE) == 0 &&
      fil_v4l2_get_integer (device, V4L2_CID_EXPOSURE_AUTO, &automatic) &&
      automatic != V4L2_EXPOSURE_MANUAL && automatic != V4L2_EXPOSURE_SHUTTER_PRIORITY)
    return NAN;

  return (double) units / UNITS_PER_MS;
}

/* Returns: in the driver's own unit, or NaN */
double
fil_v4l2_get_gain (const FilV4l2Device *device)
{
  gint64 value;

  if (fil_v4l2_get_integer (device, V4L2_CID_GAIN, &value) ||
      fil_v4l2_get_integer (device, V4L2_CID_ANALOGUE_GAIN, &value))
    return (double) value;

  return NAN;
}
