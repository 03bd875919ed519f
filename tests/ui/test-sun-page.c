/* test-sun-page.c: what the Sun page tells, and what it says is missing
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs with GTK's own accessibility backend for tests, to read the words that
 * a screen reader gets. */

#include <string.h>

#include "fil-day-graph.h"
#include "fil-sun-page.h"
#include "fil-sun-sketch.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)
#define BODY     "[element 1]\nkind=objective\naperture_mm=60\nfocal_length_mm=360\n" \
                 "[element 2]\nkind=camera\n"

typedef struct
{
  GtkWidget *window, *page;
  guint      n_edits, n_dones;
} Fixture;

static void
collect (GtkWidget *widget,
         GType      type,
         GPtrArray *found)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type))
    g_ptr_array_add (found, widget);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    collect (child, type, found);
}

static GPtrArray *
list_of (Fixture *fixture,
         GType    type)
{
  GPtrArray *found = g_ptr_array_new ();

  collect (fixture->page, type, found);

  return found;
}

/* On the page's stacks only what is in front can be seen. */
static gboolean
is_seen (GtkWidget *widget)
{
  for (; widget != NULL; widget = gtk_widget_get_parent (widget))
    if (!gtk_widget_get_visible (widget) || !gtk_widget_get_child_visible (widget))
      return FALSE;

  return TRUE;
}

static GtkWidget *
find_label (Fixture    *fixture,
            const char *part)
{
  g_autoptr (GPtrArray) labels = list_of (fixture, GTK_TYPE_LABEL);

  for (guint i = 0; i < labels->len; i++)
    if (strstr (gtk_label_get_text (g_ptr_array_index (labels, i)), part) != NULL &&
        is_seen (g_ptr_array_index (labels, i)))
      return g_ptr_array_index (labels, i);

  return NULL;
}

/* The label beside, or below, the one that reads so. */
static const char *
value_of (Fixture    *fixture,
          const char *name)
{
  g_autoptr (GPtrArray) labels = list_of (fixture, GTK_TYPE_LABEL);

  for (guint i = 0; i < labels->len; i++)
    if (strcmp (gtk_label_get_text (g_ptr_array_index (labels, i)), name) == 0 &&
        is_seen (g_ptr_array_index (labels, i)))
      return gtk_label_get_text (
        GTK_LABEL (gtk_widget_get_next_sibling (g_ptr_array_index (labels, i))));

  g_test_message ("no label “%s” is seen", name);
  g_assert_not_reached ();
}

static GtkWidget *
find_button (Fixture    *fixture,
             const char *label)
{
  g_autoptr (GPtrArray) buttons = list_of (fixture, GTK_TYPE_BUTTON);

  for (guint i = 0; i < buttons->len; i++)
    if (g_strcmp0 (gtk_button_get_label (g_ptr_array_index (buttons, i)), label) == 0)
      return g_ptr_array_index (buttons, i);

  g_assert_not_reached ();
}

static void
press (Fixture    *fixture,
       const char *label)
{
  GtkWidget *button = find_button (fixture, label);

  g_assert_true (is_seen (button));
  g_assert_true (gtk_widget_is_sensitive (button));
  g_signal_emit_by_name (button, "clicked");
}

static void
count_cb (GtkWidget *page G_GNUC_UNUSED,
          guint     *n)
{
  (*n)++;
}

static void
set_rig (Fixture    *fixture,
         const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) rig = fil_rig_parse (text, -1, "test.rig", &error);

  g_assert_no_error (error);
  fil_sun_page_set_rig (FIL_SUN_PAGE (fixture->page), rig);
}

static void
set_time (Fixture    *fixture,
          const char *iso8601,
          const char *zone_name)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_identifier (zone_name);
  g_autoptr (GDateTime) moment = g_date_time_new_from_iso8601 (iso8601, zone);

  g_assert_nonnull (moment);
  fil_sun_page_set_time_for_test (FIL_SUN_PAGE (fixture->page),
                                  g_date_time_to_unix (moment) * NS_PER_S, zone);
}

static void
set_up (Fixture      *fixture,
        gconstpointer unused G_GNUC_UNUSED)
{
  fixture->window = gtk_window_new ();
  fixture->page = fil_sun_page_new ();
  g_signal_connect (fixture->page, "edit-rig", G_CALLBACK (count_cb), &fixture->n_edits);
  g_signal_connect (fixture->page, "done", G_CALLBACK (count_cb), &fixture->n_dones);
  set_time (fixture, "2026-06-21T10:42:31", "Europe/Zurich");
  set_rig (fixture, "[site]\nlatitude_deg=47\nlongitude_deg=8\nheight_m=500\n" BODY);
  gtk_window_set_child (GTK_WINDOW (fixture->window), fixture->page);
  gtk_window_present (GTK_WINDOW (fixture->window));
}

static void
tear_down (Fixture      *fixture,
           gconstpointer unused G_GNUC_UNUSED)
{
  gtk_window_destroy (GTK_WINDOW (fixture->window));
}

static void
assert_described (Fixture    *fixture,
                  GType       type,
                  const char *words)
{
  g_autoptr (GPtrArray) found = list_of (fixture, type);
  g_autofree char *differs = NULL;

  g_assert_cmpuint (found->len, ==, 1);
  differs = gtk_test_accessible_check_property (g_ptr_array_index (found, 0),
                                                GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, words);
  g_assert_cmpstr (differs, ==, NULL);
}

/* Rise, transit and set of that day by PyEphem 4.1.4: 03:32:53, 11:29:49 and
 * 19:26:44 UTC (tests/optics/day-golden.py); the numbers by sunpy 4.1.2 and
 * astropy 5.2.1 at 08:42:31 UTC: P −7.04, B0 1.74, L0 197.93, 49.22° high at
 * azimuth 110.51°. */
static void
test_numbers (Fixture      *fixture,
              gconstpointer unused G_GNUC_UNUSED)
{
  g_assert_cmpstr (value_of (fixture, "sunrise"), ==, "05:33");
  g_assert_cmpstr (value_of (fixture, "transit"), ==, "13:30 · 66.4°");
  g_assert_cmpstr (value_of (fixture, "sunset"), ==, "21:27");
  g_assert_cmpstr (value_of (fixture, "P, tilt of the axis"), ==, "−7.04°");
  g_assert_cmpstr (value_of (fixture, "B0, latitude of the middle"), ==, "+1.74°");
  g_assert_cmpstr (value_of (fixture, "L0, longitude of the middle"), ==, "197.93°");
  g_assert_cmpstr (value_of (fixture, "Altitude"), ==, "49.22°");
  g_assert_cmpstr (value_of (fixture, "Azimuth"), ==, "east · 110.51°");
  g_assert_nonnull (find_label (fixture, "Now, 10:42:31"));
  g_assert_nonnull (find_label (fixture, "UTC+02:00"));
  g_assert_null (find_label (fixture, "hardly the zone"));
  assert_described (fixture, FIL_TYPE_DAY_GRAPH,
                    "Sunrise 05:33, transit 13:30 at 66.4°, sunset 21:27. Above 30° from 08:48 to "
                    "18:12. Now 10:42, altitude 49°.");
  assert_described (fixture, FIL_TYPE_SUN_SKETCH,
                    "Celestial north is up, east is left. Solar north is 7.0° towards west from "
                    "north; the disc’s centre has latitude 1.7°.");
}

static void
test_days (Fixture      *fixture,
           gconstpointer unused G_GNUC_UNUSED)
{
  g_assert_false (gtk_widget_is_sensitive (find_button (fixture, "Today")));
  press (fixture, "›");
  g_assert_nonnull (find_label (fixture, "Monday, 22 June 2026"));
  g_assert_nonnull (find_label (fixture, "On that day at 10:42:31"));
  press (fixture, "‹");
  g_assert_nonnull (find_label (fixture, "Now, 10:42:31"));
  press (fixture, "‹");
  press (fixture, "‹");
  g_assert_nonnull (find_label (fixture, "Friday, 19 June 2026"));
  press (fixture, "Today");
  g_assert_nonnull (find_label (fixture, "Sunday, 21 June 2026"));
  g_assert_false (gtk_widget_is_sensitive (find_button (fixture, "Today")));
}

static void
test_calendar (Fixture      *fixture,
               gconstpointer unused G_GNUC_UNUSED)
{
  g_autoptr (GPtrArray) calendars = list_of (fixture, GTK_TYPE_CALENDAR);
  g_autoptr (GDateTime) winter = g_date_time_new_utc (2026, 12, 20, 12, 0, 0);
  g_autoptr (GDateTime) far = g_date_time_new_utc (2345, 12, 31, 12, 0, 0);

  g_assert_cmpuint (calendars->len, ==, 1);
  gtk_calendar_select_day (g_ptr_array_index (calendars, 0), winter);
  g_assert_nonnull (find_label (fixture, "Sunday, 20 December 2026"));
  g_assert_nonnull (find_label (fixture, "UTC+01:00"));
  g_assert_cmpstr (value_of (fixture, "above 30°"), ==, "never");

  /* The ephemeris ends with 2099; its last day's end lies beyond. */
  gtk_calendar_select_day (g_ptr_array_index (calendars, 0), far);
  g_assert_nonnull (find_label (fixture, "31 December 2099"));
  g_assert_false (gtk_widget_is_sensitive (find_button (fixture, "›")));
  press (fixture, "Today");
  g_assert_nonnull (find_label (fixture, "21 June 2026"));
}

static void
test_limit (Fixture      *fixture,
            gconstpointer unused G_GNUC_UNUSED)
{
  g_assert_cmpstr (value_of (fixture, "above 30°"), ==, "08:48–18:12");
  g_object_set (fixture->page, "limit-deg", 60.0, NULL);
  g_assert_nonnull (find_label (fixture, "above 60°"));
  g_object_set (fixture->page, "limit-deg", 70.0, NULL);
  g_assert_cmpstr (value_of (fixture, "above 70°"), ==, "never");
}

static void
test_polar (Fixture      *fixture,
            gconstpointer unused G_GNUC_UNUSED)
{
  set_rig (fixture, "[site]\nlatitude_deg=69.65\nlongitude_deg=18.96\n" BODY);
  g_assert_cmpstr (value_of (fixture, "sunrise"), ==, "none");
  g_assert_cmpstr (value_of (fixture, "sunset"), ==, "none");
  g_object_set (fixture->page, "limit-deg", 0.0, NULL);
  g_assert_cmpstr (value_of (fixture, "above 0°"), ==, "all day");
  set_time (fixture, "2026-12-21T12:00:00", "Europe/Oslo");
  g_assert_cmpstr (value_of (fixture, "above 0°"), ==, "never");
  g_assert_cmpstr (value_of (fixture, "Airmass"), ==, "–");
}

/* A rig without a site, and no rig: what needs none is told all the same. */
static void
test_no_site (Fixture      *fixture,
              gconstpointer unused G_GNUC_UNUSED)
{
  for (int i = 0; i < 2; i++)
    {
      if (i == 0)
        set_rig (fixture, "[site]\nlatitude_deg=47\n" BODY);
      else
        fil_sun_page_set_rig (FIL_SUN_PAGE (fixture->page), NULL);
      g_assert_nonnull (find_label (fixture, "Latitude and longitude are missing"));
      g_assert_cmpstr (value_of (fixture, "Altitude"), ==, "–");
      g_assert_cmpstr (value_of (fixture, "P, tilt of the axis"), ==, "−7.04°");
      press (fixture, "Give the site…");
      g_assert_cmpuint (fixture->n_edits, ==, (guint) i + 1);
      press (fixture, "›");
      press (fixture, "Today");
    }
  set_rig (fixture, "[site]\nlatitude_deg=47\nlongitude_deg=8\n" BODY);
  g_assert_cmpstr (value_of (fixture, "sunrise"), ==, "05:33");
  press (fixture, "Done");
  g_assert_cmpuint (fixture->n_dones, ==, 1);
}

static void
test_wrong_clock (Fixture      *fixture,
                  gconstpointer unused G_GNUC_UNUSED)
{
  static const struct { const char *time, *says; } clocks[] = {
    { "1970-01-01T00:03:00", "1 January 1970" },
    { "2019-12-31T23:59:59", "31 December 2019" },
    { "2150-05-03T12:00:00", "3 May 2150" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (clocks); i++)
    {
      g_autofree char *words = g_strdup_printf ("The clock of this computer says %s. Set it",
                                                clocks[i].says);

      set_time (fixture, clocks[i].time, "UTC");
      g_assert_nonnull (find_label (fixture, words));
      g_assert_null (find_label (fixture, "Carrington"));
      g_assert_false (is_seen (find_button (fixture, "Today")));
      press (fixture, "Done");
    }
  set_time (fixture, "2020-01-01T00:00:00", "UTC");
  g_assert_null (find_label (fixture, "The clock of this computer"));
  g_assert_nonnull (find_label (fixture, "Carrington"));
}

static void
test_other_zone (Fixture      *fixture,
                 gconstpointer unused G_GNUC_UNUSED)
{
  set_time (fixture, "2026-06-21T10:42:31", "Asia/Tokyo");
  g_assert_nonnull (find_label (fixture, "UTC+09:00: hardly the zone of the rig’s site"));
  g_assert_cmpstr (value_of (fixture, "sunrise"), ==, "12:33");
}

/* The page's clock goes by itself; the labels stay the same objects. */
static void
test_ticks (Fixture      *fixture,
            gconstpointer unused G_GNUC_UNUSED)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_utc ();
  g_autofree char *before = NULL;
  GtkWidget *label;

  fil_sun_page_set_time_for_test (FIL_SUN_PAGE (fixture->page), G_MININT64, zone);
  label = find_label (fixture, "Now, ");
  g_assert_nonnull (label);
  before = g_strdup (gtk_label_get_text (GTK_LABEL (label)));
  while (strcmp (before, gtk_label_get_text (GTK_LABEL (label))) == 0)
    g_main_context_iteration (NULL, TRUE);
  g_assert_true (label == find_label (fixture, "Now, "));
}

#define ADD(path, function) \
  g_test_add (path, Fixture, NULL, set_up, function, tear_down)

int
main (int   argc,
      char *argv[])
{
  gtk_test_init (&argc, &argv);
  adw_init ();

  ADD ("/sun-page/numbers", test_numbers);
  ADD ("/sun-page/days", test_days);
  ADD ("/sun-page/calendar", test_calendar);
  ADD ("/sun-page/limit", test_limit);
  ADD ("/sun-page/polar", test_polar);
  ADD ("/sun-page/no-site", test_no_site);
  ADD ("/sun-page/wrong-clock", test_wrong_clock);
  ADD ("/sun-page/other-zone", test_other_zone);
  ADD ("/sun-page/ticks", test_ticks);

  return g_test_run ();
}
