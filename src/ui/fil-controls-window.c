/* fil-controls-window.c: everything that a camera's driver offers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-control-row.h"
#include "fil-controls-window.h"
#include "fil-mode-group.h"
#include "fil-spoken-name.h"

#define UPDATE_MS 120

struct _FilControlsWindow
{
  AdwWindow            parent_instance;

  FilLive             *live;
  FilSource           *source;   /* whose controls are shown */
  AdwToastOverlay     *toasts;
  GtkWidget           *holder;   /* the page's place */
  GPtrArray           *rows;     /* of FilControlRow, in the page */
  guint                update;   /* a round of questions is due; 0: none */
};

G_DEFINE_FINAL_TYPE (FilControlsWindow, fil_controls_window, ADW_TYPE_WINDOW)

static void
refused_cb (FilControlsWindow *self,
            const char        *text)
{
  g_autofree char *markup = g_markup_escape_text (text, -1);

  adw_toast_overlay_add_toast (self->toasts, adw_toast_new (markup));
}

static void
add_controls (FilControlsWindow  *self,
              AdwPreferencesPage *page,
              FilSource          *source)
{
  g_autoptr (GPtrArray) controls = fil_source_list_controls (source);
  AdwPreferencesGroup *group = ADW_PREFERENCES_GROUP (adw_preferences_group_new ());

  adw_preferences_group_set_title (group, _("Controls of the driver"));
  if (controls->len == 0)
    adw_preferences_group_set_description (group, _("This source has no controls."));
  for (guint i = 0; i < controls->len; i++)
    {
      FilControl *listed = g_ptr_array_index (controls, i);
      FilControl *control = fil_source_dup_control (source, listed->id);
      GtkWidget *row;

      if (control == NULL)
        continue;
      row = fil_control_row_new (self->live, control);
      g_signal_connect_object (row, "refused", G_CALLBACK (refused_cb), self,
                               G_CONNECT_SWAPPED);
      adw_preferences_group_add (group, row);
      g_ptr_array_add (self->rows, row);
    }
  adw_preferences_page_add (page, group);
}

static void
fill (FilControlsWindow *self)
{
  FilSource *source = fil_live_get_source (self->live);
  AdwPreferencesPage *page = ADW_PREFERENCES_PAGE (adw_preferences_page_new ());

  g_set_object (&self->source, source);
  g_ptr_array_set_size (self->rows, 0);
  if (source != NULL)
    {
      GtkWidget *modes = fil_mode_group_new (self->live);

      g_signal_connect_object (modes, "refused", G_CALLBACK (refused_cb), self,
                               G_CONNECT_SWAPPED);
      adw_preferences_page_add (page, ADW_PREFERENCES_GROUP (modes));
      add_controls (self, page, source);
    }
  adw_bin_set_child (ADW_BIN (self->holder), GTK_WIDGET (page));
}

static void
state_changed_cb (FilControlsWindow *self)
{
  if (fil_live_get_source (self->live) != self->source)
    fill (self);
}

/* One control may hold or free others: all flags are asked for again. */
static gboolean
update_cb (gpointer user_data)
{
  FilControlsWindow *self = user_data;

  self->update = 0;
  for (guint i = 0; i < self->rows->len; i++)
    fil_control_row_update (g_ptr_array_index (self->rows, i));

  return G_SOURCE_REMOVE;
}

/* A driver has dozens of controls, and events come in bursts: one round of
 * questions serves them all. */
static void
control_changed_cb (FilControlsWindow *self)
{
  if (self->update == 0)
    self->update = g_timeout_add (UPDATE_MS, update_cb, self);
}

static void
fil_controls_window_dispose (GObject *object)
{
  FilControlsWindow *self = FIL_CONTROLS_WINDOW (object);

  g_clear_handle_id (&self->update, g_source_remove);
  g_clear_object (&self->live);
  g_clear_object (&self->source);
  g_clear_pointer (&self->rows, g_ptr_array_unref);

  G_OBJECT_CLASS (fil_controls_window_parent_class)->dispose (object);
}

static void
fil_controls_window_class_init (FilControlsWindowClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_controls_window_dispose;
  gtk_widget_class_add_binding_action (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0,
                                       "window.close", NULL);
}

static void
fil_controls_window_init (FilControlsWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  self->rows = g_ptr_array_new ();
  self->holder = adw_bin_new ();
  gtk_widget_set_vexpand (self->holder, TRUE);
  self->toasts = ADW_TOAST_OVERLAY (adw_toast_overlay_new ());
  adw_toast_overlay_set_child (self->toasts, self->holder);
  fil_spoken_name_toasts (self->toasts);
  gtk_box_append (GTK_BOX (box), adw_header_bar_new ());
  gtk_box_append (GTK_BOX (box), GTK_WIDGET (self->toasts));
  adw_window_set_content (ADW_WINDOW (self), box);

  gtk_widget_add_css_class (GTK_WIDGET (self), "filigree");
  gtk_window_set_title (GTK_WINDOW (self), _("Camera controls"));
  gtk_window_set_default_size (GTK_WINDOW (self), 560, 680);
}

/* Stays beside the main window, so that the picture shows what a control does. */
FilControlsWindow *
fil_controls_window_new (GtkWindow *parent,
                         FilLive   *live)
{
  FilControlsWindow *self = g_object_new (FIL_TYPE_CONTROLS_WINDOW, "transient-for", parent,
                                          NULL);

  self->live = g_object_ref (live);
  fill (self);
  g_signal_connect_object (live, "state-changed", G_CALLBACK (state_changed_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (live, "control-changed", G_CALLBACK (control_changed_cb), self,
                           G_CONNECT_SWAPPED);

  return self;
}
