/* test-numbers-pane.c: the rig's numbers as widgets: they stay, only texts change
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-numbers-pane.h"

#define MIRROR "[element 1]\nkind=objective\ntype=mirror\naperture_mm=200\nfocal_length_mm=1000\n" \
               "[element 2]\nkind=camera\npixel_um=3\ncolumns=1000\nrows=800\n"

static void
collect (GtkWidget *widget,
         GPtrArray *labels)
{
  if (GTK_IS_LABEL (widget))
    g_ptr_array_add (labels, widget);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    collect (child, labels);
}

static GPtrArray *
list_labels (GtkWidget *pane)
{
  GPtrArray *labels = g_ptr_array_new ();

  collect (pane, labels);

  return labels;
}

static GPtrArray *
list_texts (const GPtrArray *labels)
{
  GPtrArray *texts = g_ptr_array_new_with_free_func (g_free);

  for (guint i = 0; i < labels->len; i++)
    g_ptr_array_add (texts, g_strdup (gtk_label_get_text (g_ptr_array_index (labels, i))));

  return texts;
}

/* The label beside the one with that text. */
static GtkWidget *
find_beside (const GPtrArray *labels,
             const char      *name)
{
  for (guint i = 0; i < labels->len; i++)
    if (strcmp (gtk_label_get_text (g_ptr_array_index (labels, i)), name) == 0)
      return gtk_widget_get_next_sibling (g_ptr_array_index (labels, i));

  return NULL;
}

static const char *
value_of (const GPtrArray *labels,
          const char      *name)
{
  GtkWidget *value = find_beside (labels, name);

  g_assert_true (GTK_IS_LABEL (value));

  return gtk_label_get_text (GTK_LABEL (value));
}

static gboolean
is_shown (const GPtrArray *labels,
          const char      *name)
{
  GtkWidget *row = gtk_widget_get_ancestor (find_beside (labels, name), GTK_TYPE_LIST_BOX_ROW);

  return gtk_widget_get_visible (row);
}

static guint
count_changed (const GPtrArray *labels,
               const GPtrArray *before)
{
  guint n = 0;

  for (guint i = 0; i < labels->len; i++)
    n += strcmp (gtk_label_get_text (g_ptr_array_index (labels, i)),
                 g_ptr_array_index (before, i)) != 0;

  return n;
}

static void
test_rig (void)
{
  GtkWidget *pane = g_object_ref_sink (fil_numbers_pane_new ());
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (FilRig) mirror = fil_rig_parse (MIRROR, -1, "mirror", NULL);
  g_autoptr (FilRig) empty = fil_rig_new_empty ("empty");
  g_autoptr (GPtrArray) labels = NULL, later = NULL;

  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), empty);
  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), demo);
  labels = list_labels (pane);
  g_assert_cmpstr (value_of (labels, "Plate scale"), ==, "0.2932″ a pixel");
  g_assert_cmpstr (value_of (labels, "Focal length"), ==, "2040 mm");
  g_assert_true (is_shown (labels, "False colour of the achromat"));
  g_assert_true (gtk_widget_has_css_class (find_beside (labels, "Exposure to start from"),
                                           "unknown"));

  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), mirror);
  later = list_labels (pane);
  g_assert_cmpuint (later->len, ==, labels->len);
  g_assert_cmpint (memcmp (later->pdata, labels->pdata, labels->len * sizeof (gpointer)), ==, 0);
  g_assert_cmpstr (value_of (labels, "Focal length"), ==, "1000 mm");
  g_assert_false (is_shown (labels, "False colour of the achromat"));
  g_assert_false (is_shown (labels, "Heat there behind the wedge"));

  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), demo);
  g_assert_true (is_shown (labels, "False colour of the achromat"));
  g_assert_cmpstr (value_of (labels, "Focal length"), ==, "2040 mm");
  g_object_unref (pane);
}

static void
test_sun (void)
{
  GtkWidget *pane = g_object_ref_sink (fil_numbers_pane_new ());
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  g_autoptr (GPtrArray) labels = NULL, before = NULL, between = NULL;
  FilSun sun = { .distance_au = 1.0167, .semidiameter_arcsec = 943.5,
                 .hour_angle_rate_arcsec_per_s = 15.0 };
  FilAir air = { 100, 5 };

  /* The Sun may come before the rig. */
  fil_numbers_pane_set_sun (FIL_NUMBERS_PANE (pane), &sun);
  fil_numbers_pane_set_sun (FIL_NUMBERS_PANE (pane), NULL);
  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), demo);
  labels = list_labels (pane);
  before = list_texts (labels);
  g_assert_cmpstr (value_of (labels, "On the Sun"), ==, "213 km a pixel");

  fil_numbers_pane_set_sun (FIL_NUMBERS_PANE (pane), &sun);
  g_assert_cmpstr (value_of (labels, "On the Sun"), ==, "216 km a pixel");
  g_assert_cmpuint (count_changed (labels, before), >, 3);
  g_assert_cmpuint (count_changed (labels, before), <, labels->len / 4);

  between = list_texts (labels);
  fil_numbers_pane_set_air (FIL_NUMBERS_PANE (pane), &air);
  g_assert_cmpstr (value_of (labels, "Longest exposure that freezes the air"), ==, "5.00 ms");
  g_assert_cmpuint (count_changed (labels, between), ==, 2);

  fil_numbers_pane_set_air (FIL_NUMBERS_PANE (pane), NULL);
  fil_numbers_pane_set_sun (FIL_NUMBERS_PANE (pane), NULL);
  g_assert_cmpuint (count_changed (labels, before), ==, 0);
  g_object_unref (pane);
}

/* Beside a narrow column for the light path, and no wider than it has to be. */
static void
test_width (void)
{
  GtkWidget *pane = g_object_ref_sink (fil_numbers_pane_new ());
  g_autoptr (FilRig) demo = fil_rig_new_demo ();
  int minimum;

  fil_numbers_pane_set_rig (FIL_NUMBERS_PANE (pane), demo);
  gtk_widget_measure (pane, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  g_assert_cmpint (minimum, <=, 340);
  g_object_unref (pane);
}

int
main (int   argc,
      char *argv[])
{
  gtk_test_init (&argc, &argv, NULL);
  adw_init ();

  g_test_add_func ("/numbers-pane/rig", test_rig);
  g_test_add_func ("/numbers-pane/sun", test_sun);
  g_test_add_func ("/numbers-pane/width", test_width);

  return g_test_run ();
}
