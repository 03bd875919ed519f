/* fil-light-slot.c: one element's place in the picture of the light path
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n.h>

#include "fil-finding-row.h"
#include "fil-light-slot.h"

struct _FilLightSlot
{
  GtkButton  parent_instance;

  int        index;         /* −1: the rig itself */
  GtkLabel  *mark, *title, *detail;
  char      *name;          /* for screen readers, without the selection */
  gboolean   selected;
};

G_DEFINE_FINAL_TYPE (FilLightSlot, fil_light_slot, GTK_TYPE_BUTTON)

static void
show_name (FilLightSlot *self)
{
  g_autofree char *name = g_strdup_printf (self->selected ? _("%s, selected") : "%s", self->name);

  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

static void
show_mark (FilLightSlot *self,
           int           level)
{
  gboolean quiet = level >= FIL_LIGHT_SLOT_QUIET;
  const char *classes[] = { "light-mark", quiet ? NULL : fil_finding_level_to_class (level), NULL };

  /* In words as well as by strength: a colour alone says nothing in glare. */
  gtk_widget_set_css_classes (GTK_WIDGET (self->mark), classes);
  gtk_label_set_text (self->mark, fil_finding_level_to_text (level));
  gtk_widget_set_opacity (GTK_WIDGET (self->mark), quiet ? 0.0 : 1.0);
}

/* As short as it goes: ten elements share the width of the window. */
static const char *
short_name (FilElementKind kind)
{
  static const char *const names[FIL_ELEMENT_N_KINDS] = {
    [FIL_ELEMENT_OBJECTIVE] = NC_("light path", "objective"),
    [FIL_ELEMENT_FRONT_FILTER] = NC_("light path", "front filter"),
    [FIL_ELEMENT_WEDGE] = NC_("light path", "wedge"),
    [FIL_ELEMENT_DIAGONAL] = NC_("light path", "diagonal"),
    [FIL_ELEMENT_DENSITY] = NC_("light path", "density filter"),
    [FIL_ELEMENT_AMPLIFIER] = NC_("light path", "amplifier"),
    [FIL_ELEMENT_REDUCER] = NC_("light path", "reducer"),
    [FIL_ELEMENT_BANDPASS] = NC_("light path", "bandpass filter"),
    [FIL_ELEMENT_BLOCKER] = NC_("light path", "blocking filter"),
    [FIL_ELEMENT_POLARISER] = NC_("light path", "polariser"),
    [FIL_ELEMENT_CAMERA] = NC_("light path", "camera"),
  };

  return g_dpgettext2 (NULL, "light path", names[kind]);
}

/* What tells it from others of its kind: "f = 1020 mm". */
static char *
dup_detail (const FilElement *element)
{
  g_autofree char *whole = fil_element_describe (element);
  const char *kind = fil_element_kind_to_text (element->kind);
  const char *rest = whole;

  if (element->kind == FIL_ELEMENT_OBJECTIVE && isfinite (element->aperture_mm) &&
      isfinite (element->focal_length_mm))
    return g_strdup_printf ("%.6g mm\nf = %.6g mm", element->aperture_mm,
                            element->focal_length_mm);
  if (element->kind == FIL_ELEMENT_BANDPASS && isfinite (element->centre_nm) &&
      isfinite (element->width_nm))
    return g_strdup_printf ("%.6g / %.6g nm", element->centre_nm, element->width_nm);
  if (element->kind == FIL_ELEMENT_CAMERA && element->columns > 0 && element->rows > 0 &&
      isfinite (element->pixel_um))
    return g_strdup_printf ("%d × %d\n%.6g µm", element->columns, element->rows,
                            element->pixel_um);
  if (g_str_has_prefix (whole, kind))
    rest += strlen (kind);
  rest += strspn (rest, " ,");

  return g_strdup (rest);
}

static char *
dup_place (const FilRig *rig)
{
  double latitude_deg, longitude_deg, height_m;

  if (!fil_rig_get_site (rig, &latitude_deg, &longitude_deg, &height_m))
    return g_strdup (_("no place given"));

  return g_strdup_printf ("%.2f° %s\n%.2f° %s", fabs (latitude_deg),
                          latitude_deg < 0.0 ? C_("south", "S") : C_("north", "N"),
                          fabs (longitude_deg),
                          longitude_deg < 0.0 ? C_("west", "W") : C_("east", "E"));
}

static void
fil_light_slot_finalize (GObject *object)
{
  g_free (FIL_LIGHT_SLOT (object)->name);

  G_OBJECT_CLASS (fil_light_slot_parent_class)->finalize (object);
}

static void
fil_light_slot_class_init (FilLightSlotClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_light_slot_finalize;
}

static GtkLabel *
new_label (FilLightSlot *self,
           GtkWidget    *box,
           const char   *css_class)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_CENTER);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_lines (GTK_LABEL (label), 2);
  gtk_box_append (GTK_BOX (box), label);

  return GTK_LABEL (label);
}

static void
fil_light_slot_init (FilLightSlot *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *room = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *texts = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  gtk_widget_add_css_class (GTK_WIDGET (self), "light-slot");
  gtk_widget_add_css_class (GTK_WIDGET (self), "flat");
  self->mark = new_label (self, box, "light-mark");
  gtk_widget_set_halign (GTK_WIDGET (self->mark), GTK_ALIGN_CENTER);
  gtk_widget_set_vexpand (room, TRUE);
  gtk_box_append (GTK_BOX (box), room);
  gtk_widget_add_css_class (texts, "light-texts");
  self->title = new_label (self, texts, "light-title");
  self->detail = new_label (self, texts, "caption");
  gtk_box_append (GTK_BOX (box), texts);
  gtk_button_set_child (GTK_BUTTON (self), box);
}

FilLightSlot *
fil_light_slot_new (int index)
{
  FilLightSlot *self = g_object_new (FIL_TYPE_LIGHT_SLOT, NULL);

  self->index = index;

  return self;
}

int
fil_light_slot_get_index (FilLightSlot *self)
{
  g_return_val_if_fail (FIL_IS_LIGHT_SLOT (self), -1);

  return self->index;
}

/* @level: its worst FilFindingLevel, or FIL_LIGHT_SLOT_QUIET */
void
fil_light_slot_show (FilLightSlot *self,
                     const FilRig *rig,
                     int           level)
{
  g_autofree char *title = NULL, *detail = NULL;

  g_return_if_fail (FIL_IS_LIGHT_SLOT (self));

  if (self->index < 0)
    {
      title = g_strdup (fil_rig_get_name (rig));
      detail = dup_place (rig);
    }
  else
    {
      const FilElement *element = fil_rig_get_element (rig, (guint) self->index);

      title = g_strdup_printf ("%d  %s", self->index + 1, short_name (element->kind));
      detail = dup_detail (element);
    }

  gtk_label_set_text (self->title, title);
  gtk_label_set_text (self->detail, detail);
  show_mark (self, level);
  g_free (self->name);
  self->name = g_strdup_printf ("%s%s%s", title, level < FIL_LIGHT_SLOT_QUIET ? ", " : "",
                                fil_finding_level_to_text (level));
  show_name (self);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  detail, -1);
}

void
fil_light_slot_set_selected (FilLightSlot *self,
                             gboolean      selected)
{
  g_return_if_fail (FIL_IS_LIGHT_SLOT (self));

  self->selected = selected;
  gtk_widget_set_focusable (GTK_WIDGET (self), selected);
  if (selected)
    gtk_widget_add_css_class (GTK_WIDGET (self), "selected");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self), "selected");
  show_name (self);
}
