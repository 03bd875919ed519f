/* test-window-pass.c: what the window says of a pass that ends soon
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The window is the program's own, with a camera that does as it is told. */

#include <string.h>

#include "fake-source.h"
#include "fil-application.h"
#include "fil-gate.h"
#include "fil-live-private.h"
#include "fil-window-private.h"

#define PATIENCE_S 60

typedef gboolean (*Condition) (FilWindow *window);

static gint64 remaining_s;   /* what the shortened pass says */

static gint64
get_remaining (const FilGatePass *pass)
{
  return remaining_s;
}

static gboolean
wake (gpointer data)
{
  return G_SOURCE_CONTINUE;
}

static void
wait_for (FilWindow *window,
          Condition  condition)
{
  guint waker = g_timeout_add (10, wake, NULL);
  gint64 end_us = g_get_monotonic_time () + PATIENCE_S * G_USEC_PER_SEC;

  while (!condition (window) && g_get_monotonic_time () < end_us)
    g_main_context_iteration (NULL, TRUE);
  g_assert_true (condition (window));
  g_source_remove (waker);
}

/* The first label below @widget that begins so, or NULL. */
static GtkWidget *
find_label (GtkWidget  *widget,
            const char *beginning)
{
  if (GTK_IS_LABEL (widget) && gtk_widget_get_mapped (widget) &&
      g_str_has_prefix (gtk_label_get_text (GTK_LABEL (widget)), beginning))
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = find_label (child, beginning);

      if (found != NULL)
        return found;
    }

  return NULL;
}

static gboolean
is_running (FilWindow *window)
{
  return fil_live_get_state (window->live) == FIL_LIVE_RUNNING;
}

static gboolean
has_notice (FilWindow *window)
{
  return find_label (GTK_WIDGET (window), "The check ends at ") != NULL;
}

static gboolean
has_message (FilWindow *window)
{
  return find_label (GTK_WIDGET (window), "A < B & C") != NULL;
}

static FilGatePass *
make_pass (FilRig *rig)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGate) gate = fil_gate_new (rig, FAKE_IDENTITY, &error);
  FilGatePass *pass;

  g_assert_no_error (error);
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    fil_gate_tick (gate, i, TRUE);
  pass = fil_gate_confirm (gate, fil_gate_list_filters (gate)[0], &error);
  g_assert_no_error (error);

  return pass;
}

static void
start (FilWindow *window)
{
  g_autoptr (FilGatePass) pass = make_pass (window->rig);
  g_autoptr (GError) error = NULL;

  fil_live_start (window->live, pass, &error);
  g_assert_no_error (error);
  wait_for (window, is_running);
}

/* In the window as the program makes it, at work on the simulated Sun. */
static void
put_in_the_camera (FilWindow *window)
{
  g_autoptr (FilSource) camera = fake_source_new (TRUE, FALSE);
  g_autoptr (GError) error = NULL;

  fil_live_open_source (window->live, camera, "/dev/video0", window->rig, NULL, &error);
  g_assert_no_error (error);
  g_free (window->source_name);
  window->source_name = g_strdup ("/dev/video0");
}

static void
test_notice (FilWindow *window)
{
  put_in_the_camera (window);
  remaining_s = 301;
  fil_live_shorten_pass (window->live, get_remaining);
  start (window);
  g_assert_false (has_notice (window));
  g_assert_true (g_str_has_prefix (gtk_button_get_label (window->badge_button), "checked "));

  remaining_s = 299;
  wait_for (window, has_notice);
  g_assert_nonnull (find_label (GTK_WIDGET (window), "Confirm…"));

  /* Confirmed anew: the camera runs on. */
  remaining_s = 3600;
  start (window);
  g_assert_true (is_running (window));

  /* A message is shown as it is, whatever it holds. */
  fil_window_toast (window, "A < B & C");
  wait_for (window, has_message);
}

static gboolean
run_cb (gpointer application)
{
  FilWindow *window = FIL_WINDOW (gtk_application_get_active_window (application));

  test_notice (window);
  g_print ("ok 1 /window-pass/notice\n");
  gtk_window_destroy (GTK_WINDOW (window));

  return G_SOURCE_REMOVE;
}

int
main (void)
{
  g_autoptr (GSettings) settings = g_settings_new (FIL_APP_ID);
  g_autoptr (FilApplication) application = fil_application_new ();
  char *arguments[] = { (char *) "filigree", NULL };

  /* The welcome would keep each later message waiting for its 20 s. */
  g_settings_set_boolean (settings, "welcomed", TRUE);
  g_print ("1..1\n");
  g_idle_add (run_cb, application);

  return g_application_run (G_APPLICATION (application), 1, arguments);
}
