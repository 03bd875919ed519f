/* machine-controls.c: every control of the kernel's test camera
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <linux/videodev2.h>

#include "machine-test.h"

/* Buttons that break the camera; test-by-test in machine-faults. */
static gboolean
is_a_fault (const FilControl *control)
{
  return control->type == FIL_CONTROL_BUTTON &&
         (g_str_equal (control->name, "Disconnect") || g_str_has_prefix (control->name, "Inject"));
}

static gint64
number_of (const FilControl *control)
{
  return control->type == FIL_CONTROL_BOOLEAN ? g_variant_get_boolean (control->value)
                                              : g_variant_get_int64 (control->value);
}

static GVariant *
make_number (const FilControl *control,
             gint64            number)
{
  return control->type == FIL_CONTROL_BOOLEAN ? g_variant_new_boolean (number != 0)
                                              : g_variant_new_int64 (number);
}

/* A number that is on offer, but not the present one. */
static gint64
other_number (const FilControl *control)
{
  gint64 now = number_of (control);

  if (control->type == FIL_CONTROL_MENU)
    {
      for (guint i = 0; i < control->items->len; i++)
        if (g_array_index (control->items, FilControlItem, i).value != now)
          return g_array_index (control->items, FilControlItem, i).value;
      return now;
    }
  if (control->type == FIL_CONTROL_BITMASK)
    return now ^ (G_GINT64_CONSTANT (1) << (int) floor (log2 (control->max)));
  if (control->max > 1e18)
    return now == 12345678901 ? 12345678902 : 12345678901;   /* 64 bits */

  return now != (gint64) control->min ? (gint64) control->min
                                      : (gint64) (control->min + control->step);
}

/* As v4l2-ctl reads it: the value in the line with the control's number. */
static char *
read_by_others (guint32 id)
{
  g_autofree char *list = machine_run ("v4l2-ctl -d " DEVICE " -L");
  g_autofree char *number = g_strdup_printf (" 0x%08x ", id);
  const char *line = strstr (list, number);
  const char *value = line != NULL ? strstr (line, " value=") : NULL;
  const char *end = line != NULL ? strchr (line, '\n') : NULL;

  if (value == NULL || (end != NULL && value > end))
    return NULL;
  value += strlen (" value=");
  if (*value == '\'')
    return g_strndup (value + 1, strcspn (value + 1, "'"));

  return g_strndup (value, strcspn (value, " \n"));
}

static void
set_number (FilSource        *source,
            const FilControl *control)
{
  g_autoptr (FilControl) now = fil_source_dup_control (source, control->id);
  gint64 before = number_of (now), wanted = other_number (now);
  g_autoptr (FilControl) after = NULL;
  g_autoptr (GError) error = NULL;

  fil_source_set_control (source, control->id, make_number (control, wanted), &error);
  g_assert_no_error (error);
  after = fil_source_dup_control (source, control->id);
  if ((after->flags & FIL_CONTROL_VOLATILE) == 0)
    g_assert_cmpint (number_of (after), ==, wanted);
  if (before != wanted && (after->flags & FIL_CONTROL_VOLATILE) == 0)
    g_assert_cmpint (number_of (after), !=, before);
}

static void
set_text (FilSource        *source,
          const FilControl *control)
{
  g_autofree char *wanted = g_strnfill ((gsize) control->max, 'q');
  g_autoptr (FilControl) after = NULL;
  g_autoptr (GError) error = NULL;

  fil_source_set_control (source, control->id, g_variant_new_string (wanted), &error);
  g_assert_no_error (error);
  after = fil_source_dup_control (source, control->id);
  g_assert_cmpstr (g_variant_get_string (after->value, NULL), ==, wanted);
}

static void
set_one (FilSource        *source,
         const FilControl *control)
{
  g_autoptr (GError) error = NULL;

  if (control->type == FIL_CONTROL_BUTTON)
    {
      fil_source_set_control (source, control->id, NULL, &error);
      g_assert_no_error (error);
    }
  else if (control->type == FIL_CONTROL_STRING)
    set_text (source, control);
  else if (control->type == FIL_CONTROL_ARRAY)
    {
      g_assert_true (g_variant_is_of_type (control->value, G_VARIANT_TYPE ("ax")));
      g_assert_cmpuint (g_variant_n_children (control->value), >, 0);
    }
  else
    set_number (source, control);
}

/* Each is set to something else and read back, then put back as it was. */
static void
test_all (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autoptr (GPtrArray) controls = fil_source_list_controls (source);
  guint n_set = 0, types = 0;

  for (guint i = 0; i < controls->len; i++)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      g_test_message ("%08x %s", control->id, control->name);
      types |= 1u << control->type;
      if ((control->flags & FIL_CONTROL_READ_ONLY) != 0)
        {
          g_assert_false (fil_source_set_control (source, control->id,
                                                  g_variant_new_int64 (1), NULL));
          continue;
        }
      if (is_a_fault (control))
        continue;

      set_one (source, control);
      n_set++;
    }
  g_test_message ("%u controls, %u set", controls->len, n_set);
  g_assert_cmpuint (n_set, >=, 30);
  /* All kinds but real numbers, which are no driver's. */
  g_assert_cmpuint (types, ==, (1u << FIL_CONTROL_REAL) - 1);

  for (guint i = controls->len; i-- > 0;)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      if (control->value != NULL && control->type != FIL_CONTROL_ARRAY &&
          (control->flags & FIL_CONTROL_READ_ONLY) == 0)
        fil_source_set_control (source, control->id, control->value, NULL);
    }
}

/* Set by us, read by another program. */
static void
test_read_by_others (void)
{
  static const struct { const char *name; gint64 value; } cases[] = {
    { "Brightness", 77 }, { "Hue", -5 }, { "Boolean", 0 }, { "Menu", 4 },
    { "Integer 64 Bits", 1234567890123 }, { "Bitmask", 0x80002000 },
  };
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (FilControl) control = machine_find_control (source, cases[i].name);
      g_autofree char *text = NULL;

      machine_set_number (source, cases[i].name, cases[i].value);
      text = read_by_others (control->id);
      g_test_message ("%s: %s", cases[i].name, text);
      /* Bits are printed with a sign. */
      if (control->type == FIL_CONTROL_BITMASK)
        g_assert_cmpuint ((guint32) g_ascii_strtoll (text, NULL, 0), ==, (guint32) cases[i].value);
      else
        g_assert_cmpint (g_ascii_strtoll (text, NULL, 0), ==, cases[i].value);
    }
}

/* Changed by another program while we stream: we hear of it, and of what it
 * entails. */
static void
test_heard (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  Seen *seen = machine_start (source, 1);
  g_autoptr (FilControl) now = NULL;

  g_free (machine_run ("v4l2-ctl -d " DEVICE " --set-ctrl=brightness=33"));
  g_assert_true (machine_wait_control (seen, V4L2_CID_BRIGHTNESS));
  now = fil_source_dup_control (source, V4L2_CID_BRIGHTNESS);
  g_assert_cmpint (number_of (now), ==, 33);

  /* Through us, too. */
  machine_set_number (source, "Contrast", 99);
  g_assert_true (machine_wait_control (seen, V4L2_CID_CONTRAST));
  machine_stop (source, seen);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/controls/all", test_all);
  g_test_add_func ("/controls/read-by-others", test_read_by_others);
  g_test_add_func ("/controls/heard", test_heard);

  return g_test_run ();
}
