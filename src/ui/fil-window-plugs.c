/* fil-window-plugs.c: cameras that come and go
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <glib/gi18n.h>

#include "fil-gate.h"
#include "fil-window-private.h"

/* Returns: (transfer full): what the camera at @path is called */
static char *
dup_name (const char *path)
{
  g_autoptr (GPtrArray) listings = fil_source_list ();

  for (guint i = 0; i < listings->len; i++)
    {
      const FilSourceListing *listing = g_ptr_array_index (listings, i);

      if (g_str_equal (listing->path, path))
        return g_strdup (listing->name);
    }

  return g_strdup (path);
}

static void
added_cb (FilWindow  *self,
          const char *path)
{
  g_autofree char *name = dup_name (path);
  g_autofree char *text = g_strdup_printf (_("“%s” was plugged in"), name);

  fil_window_offer (self, text, _("Use it"), "win.source", g_variant_new_string (path));
}

static gboolean
is_open (FilWindow  *self,
         const char *identity)
{
  FilSource *source = fil_live_get_source (self->live);
  FilSourceInfo info;

  if (source == NULL)
    return FALSE;
  fil_source_get_info (source, &info);

  return g_str_equal (info.identity, identity);
}

/* Whatever was confirmed of this plugging-in ends with it, used or not. */
static void
removed_cb (FilWindow  *self,
            const char *path,
            const char *identity)
{
  fil_gate_forget (identity);
  if (!is_open (self, identity))
    return;

  if (self->gate_dialog != NULL)
    gtk_window_destroy (self->gate_dialog);
  fil_live_unplugged (self->live);
  fil_window_show_state (self);
}

void
fil_window_watch_plugs (FilWindow *self)
{
  self->plug_watch = fil_plug_watch_new ();
  g_signal_connect_object (self->plug_watch, "added", G_CALLBACK (added_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->plug_watch, "removed", G_CALLBACK (removed_cb), self,
                           G_CONNECT_SWAPPED);
}
