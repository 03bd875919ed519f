/* fil-window-pages.c: the pages beside the picture: rig and Sun
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-window-private.h"

/* A page that isn't looked at is not there for a screen reader either. */
static void
hide_rest (FilWindow *self,
           GtkWidget *shown)
{
  GtkWidget *pages[] = { GTK_WIDGET (self->rig_page), GTK_WIDGET (self->sun_page) };

  for (gsize i = 0; i < G_N_ELEMENTS (pages); i++)
    if (pages[i] != shown)
      gtk_widget_set_visible (pages[i], FALSE);
}

/* @page: "instrument", "rig" or "sun"; the last two begin afresh */
void
fil_window_show_page (FilWindow  *self,
                      const char *page)
{
  GtkWidget *shown;

  if (g_strcmp0 (gtk_stack_get_visible_child_name (self->pages), page) == 0)
    return;

  if (g_str_equal (page, "rig"))
    {
      g_autofree char *path = g_settings_get_string (self->settings, "last-rig");

      fil_rig_page_set_rig (self->rig_page, self->rig, path[0] != '\0' ? path : NULL);
      fil_numbers_pane_set_sun (fil_rig_page_get_numbers (self->rig_page),
                                self->has_sun ? &self->sun : NULL);
    }
  shown = gtk_stack_get_child_by_name (self->pages, page);
  gtk_widget_set_visible (shown, TRUE);
  gtk_stack_set_visible_child (self->pages, shown);
  hide_rest (self, shown);
  fil_window_show_step (self);
  if (g_str_equal (page, "instrument"))
    gtk_widget_grab_focus (GTK_WIDGET (self->picture));
}

static void
done_cb (FilWindow *self)
{
  fil_window_show_page (self, "instrument");
}

static void
edit_rig_cb (FilWindow *self)
{
  fil_window_show_page (self, "rig");
}

/* A complete rig is in force: the same source sees through it from now on. A
 * camera's pass ends with the old one. */
static void
rig_changed_cb (FilWindow  *self,
                FilRig     *rig,
                const char *path)
{
  fil_window_set_rig (self, rig);
  g_settings_set_string (self->settings, "last-rig", path != NULL ? path : "");
  self->rig_changed = TRUE;
}

/* The simulated Sun is drawn anew through another rig, once the page is left:
 * each letter typed would take it half a second. */
static void
page_changed_cb (FilWindow *self)
{
  const char *page = gtk_stack_get_visible_child_name (self->pages);
  g_autofree char *source_name = NULL;

  if (!self->rig_changed || g_strcmp0 (page, "rig") == 0)
    return;

  self->rig_changed = FALSE;
  source_name = g_strdup (self->source_name);
  if (source_name != NULL && !fil_live_is_recording (self->live))
    fil_window_open_source (self, source_name);
}

void
fil_window_init_pages (FilWindow *self)
{
  g_signal_connect_object (self->rig_page, "rig-changed", G_CALLBACK (rig_changed_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->rig_page, "done", G_CALLBACK (done_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->sun_page, "done", G_CALLBACK (done_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->sun_page, "edit-rig", G_CALLBACK (edit_rig_cb), self,
                           G_CONNECT_SWAPPED);
  g_settings_bind (self->settings, "limit-altitude", self->sun_page, "limit-deg",
                   G_SETTINGS_BIND_DEFAULT);
  g_signal_connect_object (self->pages, "notify::visible-child", G_CALLBACK (page_changed_cb),
                           self, G_CONNECT_SWAPPED);
}
