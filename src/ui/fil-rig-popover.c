/* fil-rig-popover.c: which rig and which camera, and what the rig's numbers are
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-findings.h"
#include "fil-optics.h"
#include "fil-rig-popover.h"
#include "fil-source.h"

struct _FilRigPopover
{
  GtkPopover parent_instance;

  char      *source_name;
  GtkWidget *leader;         /* of the sources' group: a group of one is no choice */
  GtkLabel  *path_label;
  GtkBox    *findings_box, *sources_box;
  GtkGrid   *numbers_grid;
};

G_DEFINE_FINAL_TYPE (FilRigPopover, fil_rig_popover, GTK_TYPE_POPOVER)

static void
empty (GtkWidget *container,
       void     (*remove) (GtkWidget *container, GtkWidget *child))
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (container)) != NULL)
    remove (container, child);
}

static void
remove_from_box (GtkWidget *container,
                 GtkWidget *child)
{
  gtk_box_remove (GTK_BOX (container), child);
}

static void
remove_from_grid (GtkWidget *container,
                  GtkWidget *child)
{
  gtk_grid_remove (GTK_GRID (container), child);
}

/* @text: (transfer full): the value with its unit */
static void
add_number (FilRigPopover *self,
            int           *row,
            const char    *name,
            double         value,
            char          *text)
{
  g_autofree char *held = text;
  GtkWidget *name_label, *value_label;

  if (!isfinite (value))
    return;

  name_label = gtk_label_new (name);
  value_label = gtk_label_new (held);
  gtk_label_set_xalign (GTK_LABEL (name_label), 0.0);
  gtk_label_set_xalign (GTK_LABEL (value_label), 1.0);
  gtk_widget_set_hexpand (value_label, TRUE);
  gtk_grid_attach (self->numbers_grid, name_label, 0, *row, 1, 1);
  gtk_grid_attach (self->numbers_grid, value_label, 1, *row, 1, 1);
  (*row)++;
}

static void
show_numbers (FilRigPopover *self,
              FilRig        *rig)
{
  FilOptics o;
  int row = 0;

  empty (GTK_WIDGET (self->numbers_grid), remove_from_grid);
  fil_optics_compute (rig, &o);
  add_number (self, &row, _("focal length"), o.focal_length_mm,
              g_strdup_printf (_("%.0f mm"), o.focal_length_mm));
  add_number (self, &row, _("focal ratio"), o.focal_ratio,
              g_strdup_printf ("f/%.1f", o.focal_ratio));
  add_number (self, &row, _("plate scale"), o.plate_scale_arcsec_per_px,
              g_strdup_printf (_("%.3f″ a pixel"), o.plate_scale_arcsec_per_px));
  add_number (self, &row, _("on the Sun"), o.km_per_px,
              g_strdup_printf (_("%.0f km a pixel"), o.km_per_px));
  add_number (self, &row, _("finest period"), o.cutoff_arcsec,
              g_strdup_printf ("%.2f″", o.cutoff_arcsec));
  add_number (self, &row, _("pixels in it"), o.samples_per_cutoff,
              g_strdup_printf ("%.1f", o.samples_per_cutoff));
  add_number (self, &row, _("depth of focus"), o.depth_of_focus_um,
              g_strdup_printf (_("± %.0f µm at the sensor"), o.depth_of_focus_um));
  add_number (self, &row, _("at the focuser"), o.focuser_depth_of_focus_um,
              g_strdup_printf ("± %.0f µm", o.focuser_depth_of_focus_um));
  add_number (self, &row, _("Sun’s image"), o.sun_diameter_mm,
              g_strdup_printf (_("%.1f mm"), o.sun_diameter_mm));
}

static void
show_path (FilRigPopover *self,
           FilRig        *rig)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *line = fil_element_describe (fil_rig_get_element (rig, i));

      g_string_append_printf (text, "%s%u  %s", i > 0 ? "\n" : "", i + 1, line);
    }
  gtk_label_set_text (self->path_label, text->str);
}

static void
show_findings (FilRigPopover *self,
               FilRig        *rig)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);

  empty (GTK_WIDGET (self->findings_box), remove_from_box);
  for (guint i = 0; i < findings->len; i++)
    {
      FilFinding *finding = g_ptr_array_index (findings, i);
      GtkWidget *label = gtk_label_new (finding->text);

      gtk_label_set_xalign (GTK_LABEL (label), 0.0);
      gtk_label_set_wrap (GTK_LABEL (label), TRUE);
      gtk_label_set_max_width_chars (GTK_LABEL (label), 44);
      if (finding->level == FIL_FINDING_REFUSE)
        gtk_widget_add_css_class (label, "refusal");
      gtk_box_append (self->findings_box, label);
    }
}

static void
add_source (FilRigPopover *self,
            const char    *source_name,
            const char    *text)
{
  GtkWidget *button = gtk_check_button_new_with_label (text);
  gboolean current = g_strcmp0 (source_name, self->source_name) == 0 ||
                     (g_str_has_prefix (source_name, "sim:") && self->source_name != NULL &&
                      g_str_has_prefix (self->source_name, "sim:"));

  gtk_check_button_set_group (GTK_CHECK_BUTTON (button), GTK_CHECK_BUTTON (self->leader));
  gtk_check_button_set_active (GTK_CHECK_BUTTON (button), current);
  gtk_actionable_set_action_target (GTK_ACTIONABLE (button), "s", source_name);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), "win.source");
  gtk_box_append (self->sources_box, button);
}

/* Looked up each time it opens: cameras come and go. */
static void
show_sources (FilRigPopover *self)
{
  g_autoptr (GPtrArray) listings = fil_source_list ();
  gboolean simulated = FALSE;

  empty (GTK_WIDGET (self->sources_box), remove_from_box);
  for (guint i = 0; i < listings->len; i++)
    {
      FilSourceListing *listing = g_ptr_array_index (listings, i);
      g_autofree char *text = g_str_has_prefix (listing->path, "sim:")
                                ? g_strdup (_("Simulated Sun"))
                                : g_strdup_printf ("%s · %s", listing->name, listing->path);

      simulated = simulated || g_str_has_prefix (listing->path, "sim:");
      add_source (self, listing->path, text);
    }
  if (!simulated)
    add_source (self, "sim:", _("Simulated Sun"));
}

static void
fil_rig_popover_finalize (GObject *object)
{
  g_free (FIL_RIG_POPOVER (object)->source_name);

  G_OBJECT_CLASS (fil_rig_popover_parent_class)->finalize (object);
}

static void
fil_rig_popover_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), FIL_TYPE_RIG_POPOVER);
  g_clear_object (&FIL_RIG_POPOVER (object)->leader);

  G_OBJECT_CLASS (fil_rig_popover_parent_class)->dispose (object);
}

static void
fil_rig_popover_class_init (FilRigPopoverClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = fil_rig_popover_finalize;
  G_OBJECT_CLASS (klass)->dispose = fil_rig_popover_dispose;
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-rig-popover.ui");
  gtk_widget_class_bind_template_child (widget_class, FilRigPopover, path_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigPopover, findings_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigPopover, sources_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigPopover, numbers_grid);
}

static void
fil_rig_popover_init (FilRigPopover *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->leader = g_object_ref_sink (gtk_check_button_new ());
  g_signal_connect (self, "map", G_CALLBACK (show_sources), NULL);
}

void
fil_rig_popover_set_rig (FilRigPopover *self,
                         FilRig        *rig)
{
  g_return_if_fail (FIL_IS_RIG_POPOVER (self) && rig != NULL);

  show_path (self, rig);
  show_findings (self, rig);
  show_numbers (self, rig);
}

/* @source_name: (nullable): which one is in use */
void
fil_rig_popover_set_source (FilRigPopover *self,
                            const char    *source_name)
{
  g_return_if_fail (FIL_IS_RIG_POPOVER (self));

  g_free (self->source_name);
  self->source_name = g_strdup (source_name);
}
