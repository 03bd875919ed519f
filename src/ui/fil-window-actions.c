/* fil-window-actions.c: what buttons, menus and keys do
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-preferences.h"
#include "fil-window-private.h"

/* Steps ------------------------------------------------------------------- */

static void
set_step (FilWindow  *self,
          const char *step)
{
  gboolean review = g_str_equal (step, "review");

  fil_window_show_page (self, "instrument");
  gtk_stack_set_visible_child_name (self->shelf_stack, step);
  fil_window_update_sky (self);
  g_settings_set_string (self->settings, "step", step);
  if (review)
    fil_shelf_review_reload (self->review);
  else
    fil_shelf_review_pause (self->review);
  fil_window_set_reviewing (self, review && fil_shelf_review_get_path (self->review) != NULL);
}

/* Which of the steps is lit: none while another page is shown. */
void
fil_window_show_step (FilWindow *self)
{
  GAction *action = g_action_map_lookup_action (G_ACTION_MAP (self), "step");
  const char *page = gtk_stack_get_visible_child_name (self->pages);
  const char *step = g_strcmp0 (page, "instrument") == 0
                       ? gtk_stack_get_visible_child_name (self->shelf_stack) : "";

  if (action != NULL)
    g_simple_action_set_state (G_SIMPLE_ACTION (action), g_variant_new_string (step));
}

static void
step_changed_cb (GSimpleAction *action,
                 GVariant      *value,
                 gpointer       user_data)
{
  set_step (user_data, g_variant_get_string (value, NULL));
  fil_window_show_step (user_data);
}

/* A clip was opened in Review: the picture shows it. */
static void
clip_opened_cb (FilWindow *self)
{
  if (g_strcmp0 (gtk_stack_get_visible_child_name (self->shelf_stack), "review") == 0)
    fil_window_set_reviewing (self, TRUE);
}

/* Rig and source ------------------------------------------------------------ */

typedef void (*PathFunc) (FilWindow *self, const char *path);

static void
chooser_response_cb (GtkFileChooserNative *chooser,
                     int                   response,
                     FilWindow            *self)
{
  PathFunc then = (PathFunc) g_object_get_data (G_OBJECT (chooser), "then");
  g_autoptr (GFile) file = NULL;

  if (response == GTK_RESPONSE_ACCEPT)
    file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (chooser));
  g_clear_object (&self->chooser);
  if (file != NULL && g_file_peek_path (file) != NULL)
    then (self, g_file_peek_path (file));
}

static void
choose_file (FilWindow  *self,
             const char *title,
             const char *pattern,
             PathFunc    then)
{
  GtkFileFilter *filter = gtk_file_filter_new ();

  gtk_file_filter_add_pattern (filter, pattern);
  gtk_file_filter_set_name (filter, pattern);
  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self),
                                               GTK_FILE_CHOOSER_ACTION_OPEN, NULL, NULL);
  gtk_file_chooser_add_filter (GTK_FILE_CHOOSER (self->chooser), filter);
  g_object_unref (filter);
  g_object_set_data (G_OBJECT (self->chooser), "then", (gpointer) then);
  g_signal_connect_object (self->chooser, "response", G_CALLBACK (chooser_response_cb), self, 0);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
use_rig (FilWindow  *self,
         const char *path)
{
  g_autoptr (GError) error = NULL;

  if (!fil_window_load_rig (self, path, &error))
    fil_window_toast (self, error->message);
  else if (self->source_name != NULL)
    {
      g_autofree char *source_name = g_strdup (self->source_name);

      fil_window_open_source (self, source_name);
    }
}

static void
use_clip (FilWindow  *self,
          const char *path)
{
  g_autoptr (GError) error = NULL;

  if (!fil_shelf_review_open (self->review, path, &error))
    fil_window_toast (self, error->message);
}

static void
open_rig_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  choose_file (FIL_WINDOW (widget), _("Open a rig file"), "*.rig", use_rig);
}

static void
demo_rig_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autofree char *source_name = g_strdup (self->source_name);

  fil_window_set_rig (self, rig);
  g_settings_set_string (self->settings, "last-rig", "");
  if (source_name != NULL)
    fil_window_open_source (self, source_name);
}

static void
source_cb (GtkWidget  *widget,
           const char *action_name,
           GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  gtk_menu_button_popdown (self->rig_button);
  fil_window_open_source (self, g_variant_get_string (parameter, NULL));
}

static void
choose_source_cb (GtkWidget  *widget,
                  const char *action_name,
                  GVariant   *parameter)
{
  gtk_menu_button_popup (FIL_WINDOW (widget)->rig_button);
}

static void
replay_cb (GtkWidget  *widget,
           const char *action_name,
           GVariant   *parameter)
{
  choose_file (FIL_WINDOW (widget), _("Replay a FITS cube"), "*.fits", fil_window_open_source);
}

static void
restart_cb (GtkWidget  *widget,
            const char *action_name,
            GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);
  g_autofree char *source_name = g_strdup (self->source_name);

  if (source_name != NULL)
    fil_window_open_source (self, source_name);
}

static void
gate_cb (GtkWidget  *widget,
         const char *action_name,
         GVariant   *parameter)
{
  fil_window_ask_gate (FIL_WINDOW (widget));
}

/* Sky ----------------------------------------------------------------------- */

static void
rig_page_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  gtk_menu_button_popdown (self->rig_button);
  fil_window_show_page (self, "rig");
}

/* Question by question, to a rig of one's own. */
static void
rig_guide_cb (GtkWidget  *widget,
              const char *action_name,
              GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  rig_page_cb (widget, action_name, parameter);
  fil_rig_page_start_guide (self->rig_page);
}

static void
sun_page_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  gtk_menu_button_popdown (self->rig_button);
  fil_window_show_page (self, "sun");
}

/* From wherever one is; the run is shown on the first step's shelf. */
static void
measure_angle_cb (GtkWidget  *widget,
                  const char *action_name,
                  GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  gtk_widget_activate_action (widget, "win.step", "s", "aim");
  fil_shelf_aim_begin_run (self->aim);
}

static void
check_angle_cb (GtkWidget  *widget,
                const char *action_name,
                GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  if (!self->place.oriented)
    {
      fil_window_toast (self, _("No angle was measured yet with this rig and this camera."));
      return;
    }
  gtk_widget_activate_action (widget, "win.step", "s", "aim");
  fil_shelf_aim_begin_check (self->aim);
}

static void
place_by_spot_cb (GtkWidget  *widget,
                  const char *action_name,
                  GVariant   *parameter)
{
  fil_window_place_by_spot (FIL_WINDOW (widget));
}

static void
forget_angle_cb (GtkWidget  *widget,
                 const char *action_name,
                 GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  fil_window_forget_angle (self);
  fil_window_toast (self, _("The angle is forgotten. Measure it again before it matters."));
}

static void
aim_next_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_shelf_aim_next (FIL_WINDOW (widget)->aim);
}

static void
aim_back_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_shelf_aim_back (FIL_WINDOW (widget)->aim);
}

/* Picture -------------------------------------------------------------------- */

static void
centre_patch_cb (GtkWidget  *widget,
                 const char *action_name,
                 GVariant   *parameter)
{
  fil_window_centre_patch (FIL_WINDOW (widget));
}

static void
new_mark_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_live_new_mark (FIL_WINDOW (widget)->live);
}

/* The picture has these keys too while it holds the focus; an observer's hand
 * finds them wherever the focus is. */
static void
zoom_in_cb (GtkWidget  *widget,
            const char *action_name,
            GVariant   *parameter)
{
  fil_picture_zoom_steps (FIL_WINDOW (widget)->picture, 1);
}

static void
zoom_out_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_picture_zoom_steps (FIL_WINDOW (widget)->picture, -1);
}

static void
fit_cb (GtkWidget  *widget,
        const char *action_name,
        GVariant   *parameter)
{
  fil_picture_fit (FIL_WINDOW (widget)->picture);
}

static void
one_to_one_cb (GtkWidget  *widget,
               const char *action_name,
               GVariant   *parameter)
{
  fil_picture_zoom_to (FIL_WINDOW (widget)->picture, 1.0);
}

static void
patch_changed_cb (FilWindow *self)
{
  FilRect patch;

  fil_picture_get_patch (self->picture, &patch);
  fil_live_set_patch (self->live, &patch);
}

/* Recording and review --------------------------------------------------------- */

static void
record_cb (GtkWidget  *widget,
           const char *action_name,
           GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  /* A key meant for another page begins nothing; a clip can always be ended. */
  if (fil_live_is_recording (self->live) ||
      g_strcmp0 (gtk_stack_get_visible_child_name (self->pages), "instrument") == 0)
    fil_shelf_record_press (self->record);
}

static void
snapshot_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_shelf_record_snapshot (FIL_WINDOW (widget)->record);
}

static void
play_cb (GtkWidget  *widget,
         const char *action_name,
         GVariant   *parameter)
{
  fil_shelf_review_toggle (FIL_WINDOW (widget)->review);
}

static void
open_clip_cb (GtkWidget  *widget,
              const char *action_name,
              GVariant   *parameter)
{
  choose_file (FIL_WINDOW (widget), _("Open a clip"), "*.fits", use_clip);
}

static void
reload_clips_cb (GtkWidget  *widget,
                 const char *action_name,
                 GVariant   *parameter)
{
  fil_shelf_review_reload (FIL_WINDOW (widget)->review);
}

/* Windows ------------------------------------------------------------------------ */

static void
controls_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  if (self->controls_window == NULL)
    g_set_weak_pointer (&self->controls_window,
                        GTK_WINDOW (fil_controls_window_new (GTK_WINDOW (self), self->live)));
  gtk_window_present (self->controls_window);
}

static void
preferences_cb (GtkWidget  *widget,
                const char *action_name,
                GVariant   *parameter)
{
  FilWindow *self = FIL_WINDOW (widget);

  gtk_window_present (GTK_WINDOW (fil_preferences_new (GTK_WINDOW (self), self->settings)));
}

static void
end_alarm_cb (GtkWidget  *widget,
              const char *action_name,
              GVariant   *parameter)
{
  restart_cb (widget, action_name, parameter);
}

static void
fullscreen_cb (GtkWidget  *widget,
               const char *action_name,
               GVariant   *parameter)
{
  if (gtk_window_is_fullscreen (GTK_WINDOW (widget)))
    gtk_window_unfullscreen (GTK_WINDOW (widget));
  else
    gtk_window_fullscreen (GTK_WINDOW (widget));
}

static const struct
{
  const char               *name;
  GtkWidgetActionActivateFunc run;
  guint                     key;
  GdkModifierType           modifiers;
} plain_actions[] = {
  { "win.open-rig", open_rig_cb, 0, 0 },
  { "win.demo-rig", demo_rig_cb, 0, 0 },
  { "win.choose-source", choose_source_cb, 0, 0 },
  { "win.replay", replay_cb, 0, 0 },
  { "win.restart", restart_cb, 0, 0 },
  { "win.gate", gate_cb, GDK_KEY_g, 0 },
  { "win.rig-page", rig_page_cb, GDK_KEY_F2, 0 },
  { "win.rig-guide", rig_guide_cb, 0, 0 },
  { "win.sun-page", sun_page_cb, GDK_KEY_F3, 0 },
  { "win.measure-angle", measure_angle_cb, GDK_KEY_d, 0 },
  { "win.check-angle", check_angle_cb, 0, 0 },
  { "win.place-by-spot", place_by_spot_cb, 0, 0 },
  { "win.forget-angle", forget_angle_cb, 0, 0 },
  { "win.aim-next", aim_next_cb, GDK_KEY_a, 0 },
  { "win.aim-back", aim_back_cb, GDK_KEY_b, 0 },
  { "win.zoom-in", zoom_in_cb, GDK_KEY_plus, 0 },
  { "win.zoom-in", zoom_in_cb, GDK_KEY_plus, GDK_SHIFT_MASK },
  { "win.zoom-in", zoom_in_cb, GDK_KEY_KP_Add, 0 },
  { "win.zoom-out", zoom_out_cb, GDK_KEY_minus, 0 },
  { "win.zoom-out", zoom_out_cb, GDK_KEY_KP_Subtract, 0 },
  { "win.fit", fit_cb, GDK_KEY_0, 0 },
  { "win.one-to-one", one_to_one_cb, GDK_KEY_1, 0 },
  { "win.centre-patch", centre_patch_cb, GDK_KEY_p, 0 },
  { "win.new-mark", new_mark_cb, GDK_KEY_m, 0 },
  { "win.record", record_cb, GDK_KEY_r, 0 },
  { "win.snapshot", snapshot_cb, GDK_KEY_s, 0 },
  { "win.play", play_cb, GDK_KEY_k, 0 },
  { "win.open-clip", open_clip_cb, GDK_KEY_o, GDK_CONTROL_MASK },
  { "win.reload-clips", reload_clips_cb, GDK_KEY_F5, 0 },
  { "win.controls", controls_cb, GDK_KEY_d, GDK_CONTROL_MASK },
  { "win.preferences", preferences_cb, GDK_KEY_comma, GDK_CONTROL_MASK },
  { "win.end-alarm", end_alarm_cb, 0, 0 },
  { "win.fullscreen", fullscreen_cb, GDK_KEY_F11, 0 },
};

void
fil_window_install_actions (GtkWidgetClass *widget_class)
{
  static const char *const steps[] = { "aim", "focus", "expose", "record", "review" };

  for (gsize i = 0; i < G_N_ELEMENTS (plain_actions); i++)
    {
      gtk_widget_class_install_action (widget_class, plain_actions[i].name, NULL,
                                       plain_actions[i].run);
      if (plain_actions[i].key != 0)
        gtk_widget_class_add_binding_action (widget_class, plain_actions[i].key,
                                             plain_actions[i].modifiers, plain_actions[i].name,
                                             NULL);
    }
  gtk_widget_class_install_action (widget_class, "win.source", "s", source_cb);

  for (gsize i = 0; i < G_N_ELEMENTS (steps); i++)
    gtk_widget_class_add_binding_action (widget_class, GDK_KEY_1 + (guint) i, GDK_ALT_MASK,
                                         "win.step", "s", steps[i]);
}

/* A switch of the settings that is a property of the picture too. */
static void
add_switch (FilWindow  *self,
            const char *key,
            const char *property)
{
  g_autoptr (GAction) action = g_settings_create_action (self->settings, key);

  g_action_map_add_action (G_ACTION_MAP (self), action);
  g_settings_bind (self->settings, key, self->picture, property, G_SETTINGS_BIND_GET);
}

void
fil_window_init_actions (FilWindow *self)
{
  g_autofree char *step = g_settings_get_string (self->settings, "step");
  g_autoptr (GSimpleAction) action = NULL;
  g_autoptr (GtkBuilder) builder = NULL;

  action = g_simple_action_new_stateful ("step", G_VARIANT_TYPE_STRING,
                                         g_variant_new_string (step));
  g_signal_connect_object (action, "change-state", G_CALLBACK (step_changed_cb), self, 0);
  g_action_map_add_action (G_ACTION_MAP (self), G_ACTION (action));

  add_switch (self, "scale-bar", "show-scale");
  add_switch (self, "earth", "show-earth");
  add_switch (self, "compass", "show-compass");
  add_switch (self, "compass-solar", "compass-solar");
  add_switch (self, "grid", "show-grid");
  add_switch (self, "limb", "show-limb");
  add_switch (self, "pointer", "show-pointer");
  add_switch (self, "full-pixels", "paint-full");
  add_switch (self, "raw-view", "mosaic");
  g_signal_connect_object (self->settings, "changed::full-pixels",
                           G_CALLBACK (fil_window_show_look), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->settings, "changed::raw-view",
                           G_CALLBACK (fil_window_show_look), self, G_CONNECT_SWAPPED);

  g_signal_connect_object (self->picture, "patch-changed", G_CALLBACK (patch_changed_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->review, "opened", G_CALLBACK (clip_opened_cb), self,
                           G_CONNECT_SWAPPED);

  builder = gtk_builder_new_from_resource ("/io/github/filigree/Filigree/fil-shortcuts.ui");
  gtk_application_window_set_help_overlay (
    GTK_APPLICATION_WINDOW (self),
    GTK_SHORTCUTS_WINDOW (gtk_builder_get_object (builder, "help_overlay")));

  set_step (self, step);
}

/* Once, to somebody who has no rig yet: the demo rig is a beginning. */
static void
welcome (FilWindow  *self,
         const char *rig_path)
{
  if (rig_path != NULL || g_settings_get_boolean (self->settings, "welcomed"))
    return;

  g_settings_set_boolean (self->settings, "welcomed", TRUE);
  fil_window_offer (self, _("This is the demo rig on a simulated Sun. Describe your own?"),
                    _("Set up a rig…"), "win.rig-guide", NULL);
}

/**
 * fil_window_begin:
 * @rig_path: (nullable): a rig file; %NULL: the last one, or the demo rig
 * @source_name: (nullable): %NULL: the simulated Sun
 */
void
fil_window_begin (FilWindow  *self,
                  const char *rig_path,
                  const char *source_name)
{
  g_autofree char *last = g_settings_get_string (self->settings, "last-rig");
  const char *path = rig_path != NULL ? rig_path : last[0] != '\0' ? last : NULL;
  g_autoptr (GError) error = NULL;

  if (path == NULL || !fil_window_load_rig (self, path, &error))
    {
      g_autoptr (FilRig) demo = fil_rig_new_demo ();

      fil_window_set_rig (self, demo);
      if (error != NULL)
        fil_window_toast (self, error->message);
    }
  fil_window_open_source (self, source_name != NULL ? source_name : "sim:");
  welcome (self, path);
}
