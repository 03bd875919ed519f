/* fil-v4l2-controls.c: a driver's controls
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nothing is remembered between calls: ranges, flags and values are the
 * driver's, and it changes them. */

#include <errno.h>
#include <inttypes.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-v4l2-controls.h"

#define MAX_CONTROLS 1024
#define MAX_ITEMS    1024
#define MAX_ELEMENTS 65536
#define MAX_PAYLOAD  (1u << 20) /* bytes of one control's value */

static gboolean
query (const FilV4l2Device        *device,
       guint32                     id,
       struct v4l2_query_ext_ctrl *answer)
{
  memset (answer, 0, sizeof *answer);
  answer->id = id;

  return fil_v4l2_device_call (device, VIDIOC_QUERY_EXT_CTRL, answer) == 0;
}

static gboolean
has_control (const FilV4l2Device *device,
             guint32              id)
{
  struct v4l2_query_ext_ctrl answer;

  return query (device, id, &answer) && (answer.flags & V4L2_CTRL_FLAG_DISABLED) == 0;
}

/* What is known for certain from the number. Where a driver has both of two
 * controls for one thing, the better defined one gets the role. */
static FilControlRole
role_of (const FilV4l2Device *device,
         guint32              id)
{
  switch (id)
    {
    case V4L2_CID_EXPOSURE_ABSOLUTE:
      return FIL_ROLE_EXPOSURE;
    case V4L2_CID_EXPOSURE:
      return has_control (device, V4L2_CID_EXPOSURE_ABSOLUTE) ? FIL_ROLE_NONE
                                                              : FIL_ROLE_EXPOSURE;
    case V4L2_CID_EXPOSURE_AUTO:
      return FIL_ROLE_AUTO_EXPOSURE;
    case V4L2_CID_GAIN:
      return FIL_ROLE_GAIN;
    case V4L2_CID_ANALOGUE_GAIN:
      return has_control (device, V4L2_CID_GAIN) ? FIL_ROLE_NONE : FIL_ROLE_GAIN;
    case V4L2_CID_AUTOGAIN:
      return FIL_ROLE_AUTO_GAIN;
    case V4L2_CID_BLACK_LEVEL:
      return FIL_ROLE_BLACK_LEVEL;
    case V4L2_CID_FOCUS_ABSOLUTE:
      return FIL_ROLE_FOCUS;
    case V4L2_CID_SHARPNESS:
      return FIL_ROLE_EDGE;
    default:
      return FIL_ROLE_NONE;
    }
}

static FilControlType
type_of (const struct v4l2_query_ext_ctrl *answer)
{
  if (answer->elems > 1 || answer->nr_of_dims > 0)
    return FIL_CONTROL_ARRAY;

  switch (answer->type)
    {
    case V4L2_CTRL_TYPE_BOOLEAN:
      return FIL_CONTROL_BOOLEAN;
    case V4L2_CTRL_TYPE_MENU:
    case V4L2_CTRL_TYPE_INTEGER_MENU:
      return FIL_CONTROL_MENU;
    case V4L2_CTRL_TYPE_BUTTON:
      return FIL_CONTROL_BUTTON;
    case V4L2_CTRL_TYPE_BITMASK:
      return FIL_CONTROL_BITMASK;
    case V4L2_CTRL_TYPE_STRING:
      return FIL_CONTROL_STRING;
    case V4L2_CTRL_TYPE_INTEGER:
    case V4L2_CTRL_TYPE_INTEGER64:
    case V4L2_CTRL_TYPE_U8:
    case V4L2_CTRL_TYPE_U16:
    case V4L2_CTRL_TYPE_U32:
      return FIL_CONTROL_INTEGER;
    default:
      /* A structure: its bytes are shown. */
      return FIL_CONTROL_ARRAY;
    }
}

static FilControlFlags
flags_of (guint32 flags)
{
  FilControlFlags result = 0;

  if ((flags & V4L2_CTRL_FLAG_READ_ONLY) != 0)
    result |= FIL_CONTROL_READ_ONLY;
  if ((flags & V4L2_CTRL_FLAG_INACTIVE) != 0)
    result |= FIL_CONTROL_INACTIVE;
  if ((flags & V4L2_CTRL_FLAG_VOLATILE) != 0)
    result |= FIL_CONTROL_VOLATILE;
  if ((flags & V4L2_CTRL_FLAG_GRABBED) != 0)
    result |= FIL_CONTROL_GRABBED;

  return result;
}

static void
add_items (const FilV4l2Device              *device,
           const struct v4l2_query_ext_ctrl *answer,
           FilControl                       *control)
{
  gint64 last = MIN (answer->maximum, answer->minimum + MAX_ITEMS - 1);

  control->items = g_array_new (FALSE, FALSE, sizeof (FilControlItem));
  for (gint64 i = MAX (answer->minimum, 0); i <= last; i++)
    {
      struct v4l2_querymenu menu = { .id = answer->id, .index = (guint32) i };
      FilControlItem item = { .value = i };

      /* Menus may have holes. */
      if (fil_v4l2_device_call (device, VIDIOC_QUERYMENU, &menu) < 0)
        continue;

      if (answer->type == V4L2_CTRL_TYPE_INTEGER_MENU)
        item.label = g_strdup_printf ("%" G_GINT64_FORMAT, (gint64) menu.value);
      else
        {
          g_autofree char *bytes = g_strndup ((const char *) menu.name, sizeof menu.name);

          item.label = g_utf8_make_valid (bytes, -1);
        }
      g_array_append_val (control->items, item);
    }
}

/* The value's bytes; 32-bit ones are widened to 8. */
static GBytes *
get_payload (const FilV4l2Device              *device,
             const struct v4l2_query_ext_ctrl *answer)
{
  struct v4l2_ext_control one = { .id = answer->id };
  struct v4l2_ext_controls set = {
    .which = V4L2_CTRL_WHICH_CUR_VAL, .count = 1, .controls = &one,
  };
  gboolean has_pointer = (answer->flags & V4L2_CTRL_FLAG_HAS_PAYLOAD) != 0 ||
                         answer->type == V4L2_CTRL_TYPE_STRING;
  g_autofree guint8 *memory = NULL;
  gint64 value;

  if (has_pointer)
    {
      gsize size = (gsize) answer->elem_size * answer->elems;

      if (size < 1 || size > MAX_PAYLOAD)
        return NULL;
      memory = g_malloc0 (size + 8);
      one.size = (guint32) size;
      one.ptr = memory;
    }

  if (fil_v4l2_device_call (device, VIDIOC_G_EXT_CTRLS, &set) < 0)
    return NULL;
  if (has_pointer)
    return g_bytes_new (memory, (gsize) answer->elem_size * answer->elems);

  value = answer->type == V4L2_CTRL_TYPE_INTEGER64 ? one.value64
          : answer->type == V4L2_CTRL_TYPE_BITMASK ? (gint64) (guint32) one.value
                                                   : one.value;

  return g_bytes_new (&value, sizeof value);
}

static gint64
read_element (const guint8                     *at,
              const struct v4l2_query_ext_ctrl *answer)
{
  gint64 wide;
  gint32 narrow;
  guint16 half;

  switch (answer->elem_size)
    {
    case 8:
      memcpy (&wide, at, sizeof wide);
      return wide;
    case 4:
      memcpy (&narrow, at, sizeof narrow);
      return answer->type == V4L2_CTRL_TYPE_U32 ? (gint64) (guint32) narrow : narrow;
    case 2:
      memcpy (&half, at, sizeof half);
      return half;
    default:
      return *at;
    }
}

static GVariant *
array_value (const struct v4l2_query_ext_ctrl *answer,
             const guint8                     *bytes,
             gsize                             size)
{
  GVariantBuilder builder;
  gboolean is_structure = answer->type > V4L2_CTRL_TYPE_U32 &&
                          answer->type != V4L2_CTRL_TYPE_INTEGER64;
  gsize step = is_structure || (answer->elem_size != 2 && answer->elem_size != 4 &&
                                answer->elem_size != 8) ? 1 : answer->elem_size;
  struct v4l2_query_ext_ctrl element = *answer;
  gsize n = MIN (size / step, MAX_ELEMENTS);

  element.elem_size = (guint32) step;
  g_variant_builder_init (&builder, G_VARIANT_TYPE ("ax"));
  for (gsize i = 0; i < n; i++)
    g_variant_builder_add (&builder, "x", read_element (bytes + i * step, &element));

  return g_variant_builder_end (&builder);
}

static GVariant *
value_of (const FilV4l2Device              *device,
          const struct v4l2_query_ext_ctrl *answer,
          FilControlType                    type)
{
  g_autoptr (GBytes) payload = NULL;
  const guint8 *bytes;
  gsize size;
  gint64 number = 0;

  if (type == FIL_CONTROL_BUTTON || (answer->flags & V4L2_CTRL_FLAG_WRITE_ONLY) != 0)
    return NULL;

  payload = get_payload (device, answer);
  if (payload == NULL)
    return NULL;
  bytes = g_bytes_get_data (payload, &size);

  if (type == FIL_CONTROL_ARRAY)
    return array_value (answer, bytes, size);
  if (type == FIL_CONTROL_STRING)
    {
      g_autofree char *text = g_strndup ((const char *) bytes, size);

      return g_variant_new_take_string (g_utf8_make_valid (text, -1));
    }

  if (size == sizeof number)
    memcpy (&number, bytes, sizeof number);
  else
    number = read_element (bytes, answer);

  return type == FIL_CONTROL_BOOLEAN ? g_variant_new_boolean (number != 0)
                                     : g_variant_new_int64 (number);
}

static FilControl *
make_control (const FilV4l2Device              *device,
              const struct v4l2_query_ext_ctrl *answer)
{
  FilControl *control = g_new0 (FilControl, 1);
  GVariant *value;

  control->id = answer->id;
  control->type = type_of (answer);
  control->role = role_of (device, answer->id);
  control->flags = flags_of (answer->flags);
  control->min = (double) answer->minimum;
  control->max = (double) answer->maximum;
  control->step = (double) answer->step;
  control->standard = (double) answer->default_value;
  if (answer->type == V4L2_CTRL_TYPE_BITMASK)
    control->max = (double) (guint32) answer->maximum;

  if (control->role == FIL_ROLE_EDGE)
    control->name = g_strdup (_("edge enhancement (camera)"));
  else
    {
      g_autofree char *bytes = g_strndup (answer->name, sizeof answer->name);

      control->name = g_utf8_make_valid (bytes, -1);
    }
  if (answer->id == V4L2_CID_EXPOSURE_ABSOLUTE)
    control->unit = g_strdup ("100 µs");
  if (control->type == FIL_CONTROL_MENU)
    add_items (device, answer, control);

  value = value_of (device, answer, control->type);
  if (value != NULL)
    control->value = g_variant_ref_sink (value);

  return control;
}

/**
 * fil_v4l2_list_controls:
 *
 * Every control that the driver has, but headings and disabled ones. Any
 * thread.
 *
 * Returns: (transfer full) (element-type FilControl): snapshots, in the
 *   driver's order
 */
GPtrArray *
fil_v4l2_list_controls (const FilV4l2Device *device)
{
  const guint32 next = V4L2_CTRL_FLAG_NEXT_CTRL | V4L2_CTRL_FLAG_NEXT_COMPOUND;
  GPtrArray *controls = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_control_free);
  guint32 last = 0;

  for (guint i = 0; i < MAX_CONTROLS; i++)
    {
      struct v4l2_query_ext_ctrl answer;

      /* The numbers grow; a driver that goes back would go round for ever. */
      if (!query (device, last | next, &answer) || (answer.id & ~next) <= last)
        break;

      last = answer.id & ~next;
      if (answer.type == V4L2_CTRL_TYPE_CTRL_CLASS ||
          (answer.flags & V4L2_CTRL_FLAG_DISABLED) != 0)
        continue;

      g_ptr_array_add (controls, make_control (device, &answer));
    }

  return controls;
}

/* Returns: (transfer full) (nullable): how control @id stands now */
FilControl *
fil_v4l2_dup_control (const FilV4l2Device *device,
                      guint32              id)
{
  struct v4l2_query_ext_ctrl answer;

  return query (device, id, &answer) ? make_control (device, &answer) : NULL;
}

static gboolean
set_refused (GError                          **error,
             const struct v4l2_query_ext_ctrl *answer,
             const char                       *why)
{
  g_autofree char *bytes = g_strndup (answer->name, sizeof answer->name);
  g_autofree char *name = g_utf8_make_valid (bytes, -1);

  g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL, "%s: %s", name, why);

  return FALSE;
}

static gboolean
send_value (const FilV4l2Device              *device,
            const struct v4l2_query_ext_ctrl *answer,
            struct v4l2_ext_control          *one,
            GError                          **error)
{
  struct v4l2_ext_controls set = {
    .which = V4L2_CTRL_WHICH_CUR_VAL, .count = 1, .controls = one,
  };

  if (fil_v4l2_device_call (device, VIDIOC_S_EXT_CTRLS, &set) == 0)
    return TRUE;

  switch (errno)
    {
    case ERANGE:
    case EINVAL:
      return set_refused (error, answer, _("the driver refuses this value"));
    case EACCES:
    case EPERM:
      return set_refused (error, answer, _("can only be read"));
    case EBUSY:
      return set_refused (error, answer, _("can't be changed while the camera streams"));
    default:
      fil_v4l2_set_errno (error, errno, _("setting a control"));
      return FALSE;
    }
}

static gboolean
send_text (const FilV4l2Device              *device,
           const struct v4l2_query_ext_ctrl *answer,
           const char                       *text,
           GError                          **error)
{
  g_autofree char *memory = NULL;
  struct v4l2_ext_control one = { .id = answer->id };
  gsize length = strlen (text);

  if (answer->maximum < 0 || answer->maximum >= MAX_PAYLOAD ||
      length > (gsize) answer->maximum || (gint64) length < answer->minimum ||
      (answer->step > 1 && (length - (gsize) answer->minimum) % answer->step != 0))
    {
      g_autofree char *why = g_strdup_printf (
        _("takes a text of %" PRId64 " to %" PRId64 " bytes, in steps of %"
          PRIu64),
        (gint64) answer->minimum, (gint64) answer->maximum, (guint64) answer->step);

      return set_refused (error, answer, why);
    }

  memory = g_malloc0 ((gsize) answer->maximum + 1);
  memcpy (memory, text, length);
  one.size = (guint32) answer->maximum + 1;
  one.string = memory;

  return send_value (device, answer, &one, error);
}

static gboolean
send_number (const FilV4l2Device              *device,
             const struct v4l2_query_ext_ctrl *answer,
             gint64                            number,
             GError                          **error)
{
  struct v4l2_ext_control one = { .id = answer->id };
  gint64 least = answer->minimum, most = answer->maximum;
  guint8 small[8] = { 0 };

  if (answer->type == V4L2_CTRL_TYPE_BITMASK)
    {
      least = 0;
      most = (guint32) answer->maximum;
    }
  if (number < least || number > most)
    {
      g_autofree char *why = g_strdup_printf (
        _("takes %" PRId64 " to %" PRId64), least, most);

      return set_refused (error, answer, why);
    }

  if (answer->type == V4L2_CTRL_TYPE_INTEGER64)
    one.value64 = number;
  else
    one.value = (gint32) number;
  if ((answer->flags & V4L2_CTRL_FLAG_HAS_PAYLOAD) != 0)
    {
      /* A compound control of one element; little and big endian hosts alike. */
      guint32 u32 = (guint32) number;
      guint16 u16 = (guint16) number;

      if (answer->elem_size == 4)
        memcpy (small, &u32, sizeof u32);
      else if (answer->elem_size == 2)
        memcpy (small, &u16, sizeof u16);
      else
        small[0] = (guint8) number;
      one.size = answer->elem_size;
      one.ptr = small;
    }

  return send_value (device, answer, &one, error);
}

/**
 * fil_v4l2_set_control:
 * @value: (nullable): of the control's type; %NULL for buttons
 *
 * Any thread. The driver may round a number.
 */
gboolean
fil_v4l2_set_control (const FilV4l2Device *device,
                      guint32              id,
                      GVariant            *value,
                      GError             **error)
{
  struct v4l2_query_ext_ctrl answer;
  struct v4l2_ext_control button = { .id = id };

  if (!query (device, id, &answer))
    {
      int number = errno;

      if (number == ENODEV)
        fil_v4l2_set_errno (error, number, _("setting a control"));
      else
        g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                             _("The camera has no such control"));
      return FALSE;
    }
  if ((answer.flags & V4L2_CTRL_FLAG_READ_ONLY) != 0)
    return set_refused (error, &answer, _("can only be read"));

  switch (type_of (&answer))
    {
    case FIL_CONTROL_BUTTON:
      return send_value (device, &answer, &button, error);

    case FIL_CONTROL_STRING:
      if (value != NULL && g_variant_is_of_type (value, G_VARIANT_TYPE_STRING))
        return send_text (device, &answer, g_variant_get_string (value, NULL), error);
      break;

    case FIL_CONTROL_BOOLEAN:
      if (value != NULL && g_variant_is_of_type (value, G_VARIANT_TYPE_BOOLEAN))
        return send_number (device, &answer, g_variant_get_boolean (value), error);
      break;

    case FIL_CONTROL_ARRAY:
      return set_refused (error, &answer, _("is shown, but can't be set here"));

    case FIL_CONTROL_INTEGER:
    case FIL_CONTROL_MENU:
    case FIL_CONTROL_BITMASK:
    case FIL_CONTROL_REAL:
    default:
      if (value != NULL && g_variant_is_of_type (value, G_VARIANT_TYPE_INT64))
        return send_number (device, &answer, g_variant_get_int64 (value), error);
      break;
    }

  return set_refused (error, &answer, _("takes a value of another type"));
}

/* Asks to hear of every control's changes, our own included.
 *
 * Returns: whether the driver tells them at all */
gboolean
fil_v4l2_subscribe (const FilV4l2Device *device)
{
  const guint32 next = V4L2_CTRL_FLAG_NEXT_CTRL | V4L2_CTRL_FLAG_NEXT_COMPOUND;
  gboolean any = FALSE;
  guint32 last = 0;

  for (guint i = 0; i < MAX_CONTROLS; i++)
    {
      struct v4l2_query_ext_ctrl answer;
      struct v4l2_event_subscription wish = {
        .type = V4L2_EVENT_CTRL,
        .flags = V4L2_EVENT_SUB_FL_ALLOW_FEEDBACK,
      };

      if (!query (device, last | next, &answer) || (answer.id & ~next) <= last)
        break;

      last = wish.id = answer.id & ~next;
      if (answer.type != V4L2_CTRL_TYPE_CTRL_CLASS &&
          fil_v4l2_device_call (device, VIDIOC_SUBSCRIBE_EVENT, &wish) == 0)
        any = TRUE;
    }

  return any;
}

/* Takes one event from the queue; @id: 0 for one that is no control's. */
gboolean
fil_v4l2_next_event (const FilV4l2Device *device,
                     guint32             *id)
{
  struct v4l2_event event = { 0 };

  if (fil_v4l2_device_call (device, VIDIOC_DQEVENT, &event) < 0)
    return FALSE;

  *id = event.type == V4L2_EVENT_CTRL ? event.id : 0;

  return TRUE;
}
