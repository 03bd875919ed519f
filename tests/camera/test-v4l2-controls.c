/* test-v4l2-controls.c: a driver's controls, read and set
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>
#include <string.h>

#include "fake-driver.h"
#include "fil-source.h"

static FakeControl *
add_control (guint32     id,
             guint32     type,
             const char *name,
             gint64      minimum,
             gint64      maximum,
             guint32     flags)
{
  FakeControl *control = &fake.controls[fake.n_controls++];

  memset (control, 0, sizeof *control);
  control->query.id = id;
  control->query.type = type;
  g_strlcpy (control->query.name, name, sizeof control->query.name);
  control->query.minimum = minimum;
  control->query.maximum = maximum;
  control->query.step = 1;
  control->query.flags = flags;
  control->query.elems = 1;
  control->query.elem_size = type == V4L2_CTRL_TYPE_STRING ? 32 : 4;

  return control;
}

static FilSource *
open_fake (void)
{
  g_autoptr (GError) error = NULL;
  FilSource *source = fake_open (&error);

  g_assert_no_error (error);

  return source;
}

static void
assert_refused (FilSource *source,
                guint32    id,
                GVariant  *value)
{
  g_autoptr (GError) error = NULL;

  g_assert_false (fil_source_set_control (source, id, value, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL);
}

static void
test_roles (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (FilControl) exposure = NULL;
  g_autoptr (FilControl) edge = NULL;
  g_autoptr (FilControl) gain = NULL;

  fake_reset ();
  add_control (V4L2_CID_EXPOSURE, V4L2_CTRL_TYPE_INTEGER, "Exposure", 0, 99, 0);
  add_control (V4L2_CID_GAIN, V4L2_CTRL_TYPE_INTEGER, "Gain", 0, 99, 0);
  add_control (V4L2_CID_SHARPNESS, V4L2_CTRL_TYPE_INTEGER, "Sharpness", 0, 9, 0);
  add_control (V4L2_CID_EXPOSURE_ABSOLUTE, V4L2_CTRL_TYPE_INTEGER, "Exposure Time", 1, 9999, 0);
  add_control (V4L2_CID_ANALOGUE_GAIN, V4L2_CTRL_TYPE_INTEGER, "Analogue Gain", 0, 9, 0);
  source = open_fake ();

  exposure = fil_source_dup_role (source, FIL_ROLE_EXPOSURE);
  g_assert_cmpuint (exposure->id, ==, V4L2_CID_EXPOSURE_ABSOLUTE);
  g_assert_cmpstr (exposure->unit, ==, "100 µs");
  gain = fil_source_dup_role (source, FIL_ROLE_GAIN);
  g_assert_cmpuint (gain->id, ==, V4L2_CID_GAIN);
  edge = fil_source_dup_role (source, FIL_ROLE_EDGE);
  g_assert_cmpstr (edge->name, ==, "edge enhancement (camera)");
}

/* An exposure without a unit is a control like others: it tells no time. */
static void
test_unknown_unit (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (FilControl) exposure = NULL;
  g_autoptr (GError) error = NULL;

  fake_reset ();
  add_control (V4L2_CID_EXPOSURE, V4L2_CTRL_TYPE_INTEGER, "Exposure", 0, 99, 0)->value = 40;
  source = open_fake ();
  exposure = fil_source_dup_role (source, FIL_ROLE_EXPOSURE);
  g_assert_cmpuint (exposure->id, ==, V4L2_CID_EXPOSURE);
  g_assert_null (exposure->unit);
  g_assert_true (isnan (fil_source_get_exposure_ms (source)));
  g_assert_false (fil_source_set_exposure_ms (source, 2.0, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL);
}

/* V4L2_CID_EXPOSURE_ABSOLUTE: "interpreted as 100 µs units, where the value 1
 * stands for 1/10000th of a second" (linux-doc, Camera Control Reference). */
static void
test_exposure (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (GError) error = NULL;
  FakeControl *automatic;

  fake_reset ();
  automatic = add_control (V4L2_CID_EXPOSURE_AUTO, V4L2_CTRL_TYPE_MENU, "Auto", 0, 3, 0);
  automatic->value = V4L2_EXPOSURE_APERTURE_PRIORITY;
  add_control (V4L2_CID_EXPOSURE_ABSOLUTE, V4L2_CTRL_TYPE_INTEGER, "Exposure Time", 1, 1000, 0)
    ->value = 100;
  source = open_fake ();

  /* The camera chooses, and doesn't tell what. */
  g_assert_true (isnan (fil_source_get_exposure_ms (source)));

  fil_source_set_exposure_ms (source, 12.34, &error);
  g_assert_no_error (error);
  g_assert_cmpint (automatic->value, ==, V4L2_EXPOSURE_MANUAL);
  g_assert_cmpint (fake.controls[1].value, ==, 123);
  g_assert_cmpfloat (fil_source_get_exposure_ms (source), ==, 12.3);

  g_assert_false (fil_source_set_exposure_ms (source, 0.04, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL);
  g_clear_error (&error);
  g_assert_false (fil_source_set_exposure_ms (source, 1e300, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL);
}

static void
test_types (void)
{
  g_autoptr (FilSource) source = NULL;
  g_autoptr (GPtrArray) list = NULL;
  FilControl *control;
  const guint32 base = V4L2_CID_USER_BASE + 0x2000;

  fake_reset ();
  add_control (base + 1, V4L2_CTRL_TYPE_BOOLEAN, "Switch", 0, 1, 0)->value = 1;
  add_control (base + 2, V4L2_CTRL_TYPE_MENU, "Menu \xff", 1, 4, 0)->value = 3;
  add_control (base + 3, V4L2_CTRL_TYPE_BUTTON, "Button", 0, 0, V4L2_CTRL_FLAG_WRITE_ONLY);
  add_control (base + 4, V4L2_CTRL_TYPE_INTEGER64, "Wide", G_MININT64, G_MAXINT64, 0)
    ->value = G_MININT64 + 7;
  add_control (base + 5, V4L2_CTRL_TYPE_BITMASK, "Bits", 0, (gint32) 0xffffffff, 0)
    ->value = (gint32) 0x80000001;
  add_control (base + 6, V4L2_CTRL_TYPE_STRING, "Text", 2, 8, V4L2_CTRL_FLAG_HAS_PAYLOAD);
  strcpy (fake.controls[5].text, "ab\xff");
  add_control (base + 7, V4L2_CTRL_TYPE_CTRL_CLASS, "Heading", 0, 0, 0);
  add_control (base + 8, V4L2_CTRL_TYPE_INTEGER, "Off", 0, 1, V4L2_CTRL_FLAG_DISABLED);
  add_control (base + 9, V4L2_CTRL_TYPE_INTEGER, "Flags", -5, 5,
               V4L2_CTRL_FLAG_READ_ONLY | V4L2_CTRL_FLAG_INACTIVE | V4L2_CTRL_FLAG_VOLATILE |
               V4L2_CTRL_FLAG_GRABBED)->value = -3;
  source = open_fake ();
  list = fil_source_list_controls (source);
  g_assert_cmpuint (list->len, ==, 7);

  control = g_ptr_array_index (list, 0);
  g_assert_true (g_variant_get_boolean (control->value));
  control = g_ptr_array_index (list, 1);
  g_assert_true (g_utf8_validate (control->name, -1, NULL));
  g_assert_cmpint (g_variant_get_int64 (control->value), ==, 3);
  g_assert_cmpuint (control->items->len, ==, 3);   /* 1, 3, 4: there is a hole */
  g_assert_cmpint (g_array_index (control->items, FilControlItem, 1).value, ==, 3);
  g_assert_cmpstr (g_array_index (control->items, FilControlItem, 1).label, ==, "item 3");
  control = g_ptr_array_index (list, 2);
  g_assert_null (control->value);
  control = g_ptr_array_index (list, 3);
  g_assert_cmpint (g_variant_get_int64 (control->value), ==, G_MININT64 + 7);
  control = g_ptr_array_index (list, 4);
  g_assert_cmpint (g_variant_get_int64 (control->value), ==, 0x80000001);
  g_assert_cmpfloat (control->max, ==, 4294967295.0);
  control = g_ptr_array_index (list, 5);
  g_assert_true (g_utf8_validate (g_variant_get_string (control->value, NULL), -1, NULL));
  control = g_ptr_array_index (list, 6);
  g_assert_cmpint (control->flags, ==, FIL_CONTROL_READ_ONLY | FIL_CONTROL_INACTIVE |
                                       FIL_CONTROL_VOLATILE | FIL_CONTROL_GRABBED);
  g_assert_cmpint (g_variant_get_int64 (control->value), ==, -3);
}

static void
test_setting (void)
{
  g_autoptr (FilSource) source = NULL;
  const guint32 base = V4L2_CID_USER_BASE + 0x2000;

  fake_reset ();
  add_control (base + 1, V4L2_CTRL_TYPE_INTEGER, "Number", -9, 9, 0);
  add_control (base + 2, V4L2_CTRL_TYPE_STRING, "Text", 2, 8, V4L2_CTRL_FLAG_HAS_PAYLOAD)
    ->query.step = 3;
  add_control (base + 3, V4L2_CTRL_TYPE_INTEGER, "Fixed", 0, 9, V4L2_CTRL_FLAG_READ_ONLY);
  add_control (base + 4, V4L2_CTRL_TYPE_BITMASK, "Bits", 0, (gint32) 0xffffffff, 0);
  add_control (base + 5, V4L2_CTRL_TYPE_U8, "Row", 0, 9, V4L2_CTRL_FLAG_HAS_PAYLOAD)
    ->query.elems = 4;
  source = open_fake ();

  g_assert_true (fil_source_set_control (source, base + 1, g_variant_new_int64 (-9), NULL));
  g_assert_cmpint (fake.controls[0].value, ==, -9);
  assert_refused (source, base + 1, g_variant_new_int64 (10));
  assert_refused (source, base + 1, g_variant_new_int64 (G_MAXINT64));
  assert_refused (source, base + 1, g_variant_new_boolean (TRUE));
  assert_refused (source, base + 1, NULL);

  g_assert_true (fil_source_set_control (source, base + 2, g_variant_new_string ("abcde"), NULL));
  g_assert_cmpstr (fake.controls[1].text, ==, "abcde");
  assert_refused (source, base + 2, g_variant_new_string ("a"));
  assert_refused (source, base + 2, g_variant_new_string ("abc"));
  assert_refused (source, base + 2, g_variant_new_string ("abcdefghijk"));

  assert_refused (source, base + 3, g_variant_new_int64 (1));
  g_assert_true (fil_source_set_control (source, base + 4,
                                         g_variant_new_int64 (0xf0000000), NULL));
  g_assert_cmpuint ((guint32) fake.controls[3].value, ==, 0xf0000000);
  assert_refused (source, base + 4, g_variant_new_int64 (-1));
  assert_refused (source, base + 5, g_variant_new_int64 (1));
  assert_refused (source, base + 77, g_variant_new_int64 (1));

  fake_fail (VIDIOC_S_EXT_CTRLS, EBUSY);
  assert_refused (source, base + 1, g_variant_new_int64 (1));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/controls/roles", test_roles);
  g_test_add_func ("/controls/unknown-unit", test_unknown_unit);
  g_test_add_func ("/controls/exposure", test_exposure);
  g_test_add_func ("/controls/types", test_types);
  g_test_add_func ("/controls/setting", test_setting);

  return g_test_run ();
}
