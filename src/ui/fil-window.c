/* fil-window.c: the one window
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-spoken-name.h"
#include "fil-window-private.h"

#define OFFER_S 20

G_DEFINE_FINAL_TYPE (FilWindow, fil_window, ADW_TYPE_APPLICATION_WINDOW)

/* Says something in passing; errors stay longer. */
void
fil_window_toast (FilWindow  *self,
                  const char *text)
{
  g_autofree char *markup = g_markup_escape_text (text, -1);
  AdwToast *toast = adw_toast_new (markup);

  adw_toast_set_timeout (toast, g_utf8_strlen (text, -1) > 60 ? 12 : 5);
  adw_toast_overlay_add_toast (self->toasts, toast);
}

/**
 * fil_window_offer:
 * @text: translated, plain
 * @button_label: translated
 * @target: (nullable): of the action; floating
 *
 * Offers something to do, for a while. It ends by itself: libadwaita 1.2
 * frees too much when a toast is dismissed while it is still coming up.
 */
void
fil_window_offer (FilWindow  *self,
                  const char *text,
                  const char *button_label,
                  const char *action_name,
                  GVariant   *target)
{
  g_autofree char *markup = g_markup_escape_text (text, -1);
  AdwToast *toast = adw_toast_new (markup);

  adw_toast_set_timeout (toast, OFFER_S);
  adw_toast_set_button_label (toast, button_label);
  adw_toast_set_action_name (toast, action_name);
  adw_toast_set_action_target_value (toast, target);
  adw_toast_overlay_add_toast (self->toasts, toast);
}

static void
apply_theme (FilWindow *self)
{
  static const AdwColorScheme schemes[] = {
    ADW_COLOR_SCHEME_DEFAULT, ADW_COLOR_SCHEME_FORCE_LIGHT, ADW_COLOR_SCHEME_FORCE_DARK,
    ADW_COLOR_SCHEME_FORCE_LIGHT,
  };
  int theme = g_settings_get_enum (self->settings, "theme");
  gboolean for_daylight = theme == 3;

  adw_style_manager_set_color_scheme (adw_style_manager_get_default (), schemes[theme]);
  fil_application_set_daylight (FIL_APPLICATION (gtk_window_get_application (GTK_WINDOW (self))),
                                for_daylight);
  if (for_daylight)
    gtk_widget_add_css_class (GTK_WIDGET (self), "daylight");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self), "daylight");
}

static void
recording_changed_cb (FilWindow *self)
{
  if (self->closing && !fil_live_is_recording (self->live))
    gtk_window_destroy (GTK_WINDOW (self));
}

static void
save_size (FilWindow *self)
{
  int width, height;

  gtk_window_get_default_size (GTK_WINDOW (self), &width, &height);
  g_settings_set_boolean (self->settings, "window-maximized",
                          gtk_window_is_maximized (GTK_WINDOW (self)));
  if (width >= 360 && height >= 360)
    {
      g_settings_set_int (self->settings, "window-width", width);
      g_settings_set_int (self->settings, "window-height", height);
    }
}

/* A running clip is closed whole before the window goes. */
static gboolean
fil_window_close_request (GtkWindow *window)
{
  FilWindow *self = FIL_WINDOW (window);

  save_size (self);
  fil_window_save_mode (self);
  if (fil_live_is_recording (self->live))
    {
      self->closing = TRUE;
      fil_live_finish_recording (self->live);
      fil_window_toast (self, _("The clip is being closed; the window follows."));
      return GDK_EVENT_STOP;
    }

  return GTK_WINDOW_CLASS (fil_window_parent_class)->close_request (window);
}

static gboolean
badge_tick_cb (gpointer user_data)
{
  FilWindow *self = user_data;

  fil_window_show_badge (self);
  g_debug ("pictures drawn so far: %" G_GUINT64_FORMAT,
           fil_picture_get_n_drawn (self->picture));

  return G_SOURCE_CONTINUE;
}

static gboolean
sky_tick_cb (gpointer user_data)
{
  fil_window_update_sky (user_data);

  return G_SOURCE_CONTINUE;
}

static void
fil_window_dispose (GObject *object)
{
  FilWindow *self = FIL_WINDOW (object);

  g_clear_handle_id (&self->badge_timer, g_source_remove);
  g_clear_handle_id (&self->sky_timer, g_source_remove);
  g_clear_pointer (&self->siren, fil_siren_free);
  g_clear_object (&self->chooser);
  g_clear_object (&self->plug_watch);
  if (self->live != NULL)
    {
      g_signal_handlers_disconnect_by_data (self->live, self);
      fil_live_close (self->live);
    }
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_WINDOW);
  g_clear_object (&self->live);
  g_clear_object (&self->settings);
  g_clear_pointer (&self->rig, fil_rig_unref);
  g_clear_pointer (&self->source_name, g_free);
  g_clear_pointer (&self->open_problem, g_free);
  g_clear_pointer (&self->reviewed, g_free);

  G_OBJECT_CLASS (fil_window_parent_class)->dispose (object);
}

static void
bind_children (GtkWidgetClass *widget_class)
{
  gtk_widget_class_bind_template_child (widget_class, FilWindow, toasts);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, rig_button);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, menu_button);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, rig_popover);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, rig_label);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, numbers_label);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, badge_button);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, picture);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, pages);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, rig_page);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, sun_page);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, shelf_stack);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, aim);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, focus);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, expose);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, record);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, review);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, alarm_box);
  gtk_widget_class_bind_template_child (widget_class, FilWindow, alarm_body);
}

static void
fil_window_class_init (FilWindowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_window_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = fil_window_close_request;

  g_type_ensure (FIL_TYPE_PICTURE);
  g_type_ensure (FIL_TYPE_RIG_PAGE);
  g_type_ensure (FIL_TYPE_RIG_POPOVER);
  g_type_ensure (FIL_TYPE_SHELF_AIM);
  g_type_ensure (FIL_TYPE_SHELF_EXPOSE);
  g_type_ensure (FIL_TYPE_SHELF_FOCUS);
  g_type_ensure (FIL_TYPE_SHELF_RECORD);
  g_type_ensure (FIL_TYPE_SHELF_REVIEW);
  g_type_ensure (FIL_TYPE_SUN_PAGE);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/io/github/filigree/Filigree/fil-window.ui");
  bind_children (widget_class);
  fil_window_install_actions (widget_class);
}

static void
fil_window_init (FilWindow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  fil_spoken_name_menu_button (self->rig_button, _("Rig and source"));
  fil_spoken_name_menu_button (self->menu_button, _("Menu"));
  fil_spoken_name_toasts (self->toasts);
  self->live = fil_live_new ();
  self->siren = fil_siren_new (GTK_WIDGET (self));
  fil_look_init (&self->look, 65535.0);
}

static void
connect_live (FilWindow *self)
{
  fil_shelf_aim_set_live (self->aim, self->live);
  fil_shelf_aim_set_settings (self->aim, self->settings);
  fil_shelf_focus_set_live (self->focus, self->live);
  fil_shelf_expose_set_live (self->expose, self->live);
  fil_shelf_expose_set_settings (self->expose, self->settings);
  fil_shelf_record_set_live (self->record, self->live);
  fil_shelf_record_set_settings (self->record, self->settings);
  fil_shelf_review_set_settings (self->review, self->settings);

  g_signal_connect_swapped (self->live, "frame", G_CALLBACK (fil_window_show_frame), self);
  g_signal_connect_swapped (self->live, "state-changed", G_CALLBACK (fil_window_show_state),
                            self);
  g_signal_connect_swapped (self->live, "pass-changed", G_CALLBACK (fil_window_show_pass), self);
  g_signal_connect_swapped (self->live, "recording-changed", G_CALLBACK (recording_changed_cb),
                            self);
  g_signal_connect_object (self->expose, "stretch-changed", G_CALLBACK (fil_window_set_stretch),
                           self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->aim, "message", G_CALLBACK (fil_window_toast), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->record, "message", G_CALLBACK (fil_window_toast), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->review, "frame", G_CALLBACK (fil_window_show_frame), self,
                           G_CONNECT_SWAPPED);
}

static void
restore (FilWindow *self)
{
  gtk_window_set_default_size (GTK_WINDOW (self),
                               g_settings_get_int (self->settings, "window-width"),
                               g_settings_get_int (self->settings, "window-height"));
  if (g_settings_get_boolean (self->settings, "window-maximized"))
    gtk_window_maximize (GTK_WINDOW (self));
  apply_theme (self);
  g_signal_connect_object (self->settings, "changed::theme", G_CALLBACK (apply_theme), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->settings, "changed::stretch-curve",
                           G_CALLBACK (fil_window_show_look), self, G_CONNECT_SWAPPED);
}

FilWindow *
fil_window_new (FilApplication *application)
{
  FilWindow *self = g_object_new (FIL_TYPE_WINDOW, "application", application, NULL);

  self->settings = g_object_ref (fil_application_get_settings (application));
  restore (self);
  connect_live (self);
  fil_window_init_sky (self);
  fil_window_init_pages (self);
  fil_window_init_targets (self);
  fil_window_init_actions (self);
  gtk_window_set_focus (GTK_WINDOW (self), GTK_WIDGET (self->picture));
  fil_window_watch_plugs (self);
  self->badge_timer = g_timeout_add_seconds (5, badge_tick_cb, self);
  self->sky_timer = g_timeout_add_seconds (1, sky_tick_cb, self);

  return self;
}
