/* fil-window-targets.c: what is looked for, on the Sun's page and in clips
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-aim-view.h"
#include "fil-window-private.h"

/**
 * fil_window_get_target:
 * @place: (out): where it stands on the day that the source shows
 * @name: (out) (transfer none)
 *
 * Returns: %FALSE where no target is chosen, or the Sun's place isn't known
 */
gboolean
fil_window_get_target (FilWindow       *self,
                       FilTargetPlace  *place,
                       const char     **name)
{
  FilTargetList *list = fil_targets_pane_get_list (self->targets);
  const char *current = fil_targets_pane_get_current (self->targets);
  FilTarget *target = current != NULL ? fil_target_list_find (list, current) : NULL;

  if (target == NULL || !self->has_sun)
    return FALSE;

  fil_target_get_place (target, list->rotation, fil_window_get_sky_time_ns (self), &self->sun,
                        place);
  *name = target->name;

  return TRUE;
}

/* Another target is recorded, or none. */
static void
target_changed_cb (FilWindow *self)
{
  fil_live_set_target (self->live, fil_targets_pane_get_current (self->targets));
}

/* Where the field and the patch lie, for the Sun's page. */
void
fil_window_show_targets (FilWindow *self)
{
  const FilSun *sun = self->has_sun ? &self->sun : NULL;
  FilPatchPlace place = { 0 };
  FilSourceMode mode;
  FilRect patch;
  double mu;

  fil_live_get_mode (self->live, &mode);
  fil_live_get_patch (self->live, &patch);
  if (fil_aim_knows (&self->place, sun, &patch, mode.height))
    place.known = fil_aim_patch (&self->place, sun, &patch, mode.height, &place.latitude_deg,
                                 &place.longitude_deg, &mu);

  fil_targets_pane_set_patch (self->targets, &place);
  fil_disc_map_set_place (self->disc_map, &self->place, mode.width, mode.height);
}

void
fil_window_init_targets (FilWindow *self)
{
  self->disc_map = FIL_DISC_MAP (fil_disc_map_new ());
  self->targets = FIL_TARGETS_PANE (fil_targets_pane_new ());
  gtk_widget_set_hexpand (GTK_WIDGET (self->disc_map), TRUE);
  gtk_widget_set_hexpand (GTK_WIDGET (self->targets), TRUE);
  gtk_box_append (fil_sun_page_get_disc_slot (self->sun_page), GTK_WIDGET (self->disc_map));
  gtk_box_append (fil_sun_page_get_targets_slot (self->sun_page), GTK_WIDGET (self->targets));
  fil_targets_pane_set_map (self->targets, self->disc_map);
  g_signal_connect_object (self->targets, "target-changed", G_CALLBACK (target_changed_cb), self,
                           G_CONNECT_SWAPPED);
  target_changed_cb (self);
}
