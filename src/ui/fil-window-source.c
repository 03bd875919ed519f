/* fil-window-source.c: rig, source and gate, and what their state looks like
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-camera-mode.h"
#include "fil-gate.h"
#include "fil-gate-dialog.h"
#include "fil-optics.h"
#include "fil-window-private.h"

/* Rig -------------------------------------------------------------------- */

static void
show_numbers (FilWindow *self)
{
  g_autoptr (GString) text = g_string_new (NULL);
  FilOptics optics;

  fil_optics_compute (self->rig, &optics);
  if (isfinite (optics.aperture_mm))
    g_string_append_printf (text, _("%.0f mm"), optics.aperture_mm);
  if (isfinite (optics.focal_ratio))
    g_string_append_printf (text, " · f/%.0f", optics.focal_ratio);
  g_string_append_printf (text, _(" · %.0f nm"), optics.wavelength_nm);
  if (isfinite (optics.plate_scale_arcsec_per_px))
    g_string_append_printf (text, _(" · %.3f″/px"), optics.plate_scale_arcsec_per_px);
  gtk_label_set_text (self->numbers_label, text->str);
}

/* Another rig ends a pass that is held; the live instrument sees to it. */
void
fil_window_set_rig (FilWindow *self,
                    FilRig    *rig)
{
  fil_rig_ref (rig);
  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig;

  gtk_label_set_text (self->rig_label, fil_rig_get_name (rig));
  show_numbers (self);
  fil_window_show_scale (self);
  fil_rig_popover_set_rig (self->rig_popover, rig);
  fil_shelf_aim_set_rig (self->aim, rig);
  fil_live_set_rig (self->live, rig);
  fil_sun_page_set_rig (self->sun_page, rig);
  fil_window_reset_place (self);
}

gboolean
fil_window_load_rig (FilWindow  *self,
                     const char *path,
                     GError    **error)
{
  g_autoptr (FilRig) rig = fil_rig_load (path, error);

  if (rig == NULL)
    return FALSE;

  fil_window_set_rig (self, rig);
  g_settings_set_string (self->settings, "last-rig", path);

  return TRUE;
}

/* Source ------------------------------------------------------------------ */

static void
start (FilWindow   *self,
       FilGatePass *pass)
{
  g_autoptr (GError) error = NULL;

  if (!fil_live_start (self->live, pass, &error))
    fil_window_toast (self, error->message);
  fil_shelf_expose_update_controls (self->expose);
  fil_window_show_state (self);
}

/* The open camera's name; its text lives as long as the source. NULL: none. */
static const char *
camera_name (FilWindow *self)
{
  FilSource *source = fil_live_get_source (self->live);
  FilSourceInfo info;

  if (source == NULL)
    return NULL;
  fil_source_get_info (source, &info);

  return info.live ? info.name : NULL;
}

/* Keeps what the open camera is set to, for the next time. */
void
fil_window_save_mode (FilWindow *self)
{
  const char *name = camera_name (self);
  FilSourceMode mode;

  if (name == NULL)
    return;

  fil_live_get_mode (self->live, &mode);
  fil_camera_mode_save (self->settings, name, &mode);
}

/* What a camera doesn't offer any more leaves it as it is. */
static void
restore_mode (FilWindow *self)
{
  const char *name = camera_name (self);
  FilSourceMode mode;

  if (name != NULL && fil_camera_mode_load (self->settings, name, &mode))
    fil_live_set_mode (self->live, &mode, NULL);
}

/**
 * fil_window_open_source:
 * @source_name: "/dev/videoN", "sim:" or a file
 *
 * Opens it in place of the present one. A camera waits for its gate; the rest
 * begins at once.
 */
void
fil_window_open_source (FilWindow  *self,
                        const char *source_name)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *name = g_strdup (source_name);

  fil_window_save_mode (self);
  g_clear_pointer (&self->open_problem, g_free);
  g_free (self->source_name);
  self->source_name = g_steal_pointer (&name);
  fil_rig_popover_set_source (self->rig_popover, self->source_name);
  self->patch_placed = FALSE;
  fil_shelf_aim_restart (self->aim);

  if (!fil_live_open (self->live, self->source_name, self->rig, NULL, &error))
    {
      self->open_problem = g_strdup (error->message);
      fil_window_show_state (self);
      return;
    }

  g_settings_set_string (self->settings, "last-source", self->source_name);
  fil_window_reset_place (self);
  if (fil_source_name_is_live (self->source_name))
    {
      restore_mode (self);
      fil_shelf_expose_update_controls (self->expose);
      fil_window_show_state (self);
      fil_window_ask_gate (self);
    }
  else
    start (self, NULL);
}

/* Gate -------------------------------------------------------------------- */

static void
confirmed_cb (FilWindow   *self,
              FilGatePass *pass)
{
  start (self, pass);
}

static gboolean
is_lost (FilWindow *self)
{
  FilLiveState state = fil_live_get_state (self->live);

  return self->open_problem != NULL || state == FIL_LIVE_UNPLUGGED || state == FIL_LIVE_FAILED;
}

/* The lost camera's node, or, where that is gone, the node of the only camera
 * there is: plugged in again while somebody still held the old node, a camera
 * comes back under another number. Its gate asks everything all the same. */
static char *
dup_returned_source (FilWindow *self)
{
  g_autoptr (GPtrArray) listings = NULL;
  const char *only = NULL;

  if (g_file_test (self->source_name, G_FILE_TEST_EXISTS))
    return g_strdup (self->source_name);

  listings = fil_source_list ();
  for (guint i = 0; i < listings->len; i++)
    {
      const FilSourceListing *listing = g_ptr_array_index (listings, i);

      if (!fil_source_name_is_live (listing->path))
        continue;
      if (only != NULL)
        return g_strdup (self->source_name);
      only = listing->path;
    }

  return g_strdup (only != NULL ? only : self->source_name);
}

/* Asks for the confirmation, or for a fresh one while one is held; does
 * nothing where none is needed. A camera that was lost is opened anew first. */
void
fil_window_ask_gate (FilWindow *self)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *identity = NULL;
  FilGateDialog *dialog = NULL;

  if (self->source_name == NULL || !fil_source_name_is_live (self->source_name))
    {
      fil_window_toast (self, _("Nothing to confirm: no sunlight reaches a camera here."));
      return;
    }
  if (self->gate_dialog != NULL)
    return;
  if (is_lost (self))
    {
      g_autofree char *source_name = dup_returned_source (self);

      fil_window_open_source (self, source_name);
      return;
    }

  identity = fil_source_dup_identity (self->source_name, &error);
  if (identity != NULL)
    dialog = fil_gate_dialog_new (GTK_WINDOW (self), self->rig, identity, &error);
  if (dialog == NULL)
    {
      fil_window_toast (self, error->message);
      return;
    }

  g_set_weak_pointer (&self->gate_dialog, GTK_WINDOW (dialog));
  g_signal_connect_object (dialog, "confirmed", G_CALLBACK (confirmed_cb), self,
                           G_CONNECT_SWAPPED);
  gtk_window_present (GTK_WINDOW (dialog));
}

static char *
clock_time (gint64 unix_s)
{
  g_autoptr (GDateTime) time = g_date_time_new_from_unix_local (unix_s);

  return time != NULL ? g_date_time_format (time, "%H:%M") : g_strdup ("–");
}

static char *
describe_pass (FilWindow *self)
{
  FilGatePass *pass = fil_live_get_pass (self->live);
  gint64 remaining_s = pass != NULL ? fil_gate_pass_get_remaining_s (pass) : -1;
  g_autofree char *checked = NULL, *again = NULL;

  if (remaining_s <= 0)
    return g_strdup (_("gate closed"));

  checked = clock_time (fil_gate_pass_get_confirmed_utc_ns (pass) /
                        G_GINT64_CONSTANT (1000000000));
  again = clock_time (g_get_real_time () / G_USEC_PER_SEC + remaining_s);

  return g_strdup_printf (_("checked %s · again %s"), checked, again);
}

void
fil_window_show_badge (FilWindow *self)
{
  g_autofree char *text = NULL;

  if (self->source_name == NULL)
    text = g_strdup (_("no source"));
  else if (fil_source_name_is_live (self->source_name))
    text = describe_pass (self);
  else if (g_str_has_prefix (self->source_name, "sim:"))
    text = g_strdup (_("simulated Sun"));
  else
    text = g_strdup (_("replay"));

  if (g_strcmp0 (gtk_button_get_label (self->badge_button), text) != 0)
    gtk_button_set_label (self->badge_button, text);
}

/* Five minutes before the pass ends. */
static void
show_notice (FilWindow *self)
{
  gint64 remaining_s = fil_live_get_pass_remaining_s (self->live);
  g_autofree char *end = NULL, *text = NULL;

  if (remaining_s <= 0 || remaining_s > FIL_GATE_NOTICE_MINUTES * 60)
    return;

  end = clock_time (g_get_real_time () / G_USEC_PER_SEC + remaining_s);
  text = g_strdup_printf (_("The check ends at %s. Confirm the filter again to go on."), end);
  fil_window_offer (self, text, _("Confirm…"), "win.gate", NULL);
}

/* The pass came, ends soon, or ended. */
void
fil_window_show_pass (FilWindow *self)
{
  show_notice (self);
  fil_window_show_state (self);
}

/* State ------------------------------------------------------------------- */

static void
show_message (FilWindow    *self,
              FilLiveState  state)
{
  const char *detail = fil_live_get_message (self->live);

  if (self->open_problem != NULL)
    {
      fil_picture_set_message (self->picture, _("This source can’t be opened"),
                               self->open_problem, _("Choose a source"), "win.choose-source");
      return;
    }

  switch (state)
    {
    case FIL_LIVE_NO_SOURCE:
      fil_picture_set_message (self->picture, _("No camera"),
                               _("Plug one in and choose it, or look at the simulated Sun."),
                               _("Choose a source"), "win.choose-source");
      break;
    case FIL_LIVE_GATE_CLOSED:
      fil_picture_set_message (self->picture, _("The gate is closed"),
                               detail != NULL && detail[0] != '\0'
                                 ? detail
                                 : _("The camera stays closed until the filter is confirmed."),
                               _("Confirm the filter…"), "win.gate");
      break;
    case FIL_LIVE_STALLED:
      fil_picture_set_message (self->picture, _("No frames are coming"), detail,
                               _("Start again"), "win.restart");
      break;
    case FIL_LIVE_UNPLUGGED:
      fil_picture_set_message (self->picture, _("The camera was unplugged"), detail,
                               _("Choose a source"), "win.choose-source");
      break;
    case FIL_LIVE_FAILED:
      fil_picture_set_message (self->picture, _("The source has failed"), detail,
                               _("Start again"), "win.restart");
      break;
    case FIL_LIVE_ENDED:
      fil_picture_set_message (self->picture, _("The file has come to its end"), detail,
                               _("Once more"), "win.restart");
      break;
    case FIL_LIVE_IDLE:
    case FIL_LIVE_ALARM:
    case FIL_LIVE_STARTING:
    case FIL_LIVE_RUNNING:
    default:
      fil_picture_set_message (self->picture, NULL, NULL, NULL, NULL);
      break;
    }
}

/* Shows the live instrument's state: message, badge, alarm, what can be done. */
void
fil_window_show_state (FilWindow *self)
{
  FilLiveState state = fil_live_get_state (self->live);
  gboolean alarm = state == FIL_LIVE_ALARM;

  fil_siren_sound (self->siren, alarm);
  gtk_widget_set_visible (self->alarm_box, alarm);
  if (alarm)
    gtk_label_set_text (self->alarm_body, fil_live_get_message (self->live));

  fil_rig_page_set_pass_held (self->rig_page, fil_live_get_pass (self->live) != NULL);
  if (self->reviewing)
    fil_picture_set_message (self->picture, NULL, NULL, NULL, NULL);
  else
    show_message (self, state);
  fil_window_show_badge (self);

  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.record", state == FIL_LIVE_RUNNING);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.snapshot", state == FIL_LIVE_RUNNING);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.controls",
                                 fil_live_get_source (self->live) != NULL);
}
