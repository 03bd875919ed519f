/* fil-siren.c: the sound of the alarm
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Once a second until it is ended, by the desktop's sounds and by its bell:
 * either may be silent on a given computer, and nobody has the time to find
 * out which. */

#include <gsound.h>

#include "fil-siren.h"

#define PERIOD_S 1

struct _FilSiren
{
  GtkWidget     *widget;    /* in the window that rings; outlives the siren */
  GSoundContext *sounds;    /* NULL: the desktop has none */
  guint          timer;     /* 0: silent */
};

static gboolean
ring_cb (gpointer user_data)
{
  FilSiren *siren = user_data;
  GtkNative *native = gtk_widget_get_native (siren->widget);
  g_autoptr (GError) error = NULL;

  if (native != NULL && gtk_native_get_surface (native) != NULL)
    gdk_surface_beep (gtk_native_get_surface (native));

  if (siren->sounds != NULL &&
      !gsound_context_play_simple (siren->sounds, NULL, &error,
                                   GSOUND_ATTR_EVENT_ID, "alarm-clock-elapsed",
                                   GSOUND_ATTR_CANBERRA_CACHE_CONTROL, "permanent", NULL))
    g_debug ("the alarm has no sound but the bell: %s", error->message);

  return G_SOURCE_CONTINUE;
}

/* @widget: in the window that rings; must outlive the siren. Main thread. */
FilSiren *
fil_siren_new (GtkWidget *widget)
{
  FilSiren *siren = g_new0 (FilSiren, 1);
  g_autoptr (GError) error = NULL;

  siren->widget = widget;
  siren->sounds = gsound_context_new (NULL, &error);
  if (siren->sounds == NULL)
    g_debug ("no sounds: %s", error->message);

  return siren;
}

void
fil_siren_free (FilSiren *siren)
{
  if (siren == NULL)
    return;

  g_clear_handle_id (&siren->timer, g_source_remove);
  g_clear_object (&siren->sounds);
  g_free (siren);
}

/* Begins at once, or falls silent. */
void
fil_siren_sound (FilSiren *siren,
                 gboolean  sounding)
{
  g_return_if_fail (siren != NULL);

  if (sounding == (siren->timer != 0))
    return;

  g_clear_handle_id (&siren->timer, g_source_remove);
  if (sounding)
    {
      siren->timer = g_timeout_add_seconds (PERIOD_S, ring_cb, siren);
      ring_cb (siren);
    }
}
