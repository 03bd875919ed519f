/* fil-target-row.c: one target of the list, with its place now
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Texts change only where they differ, so that nothing flickers as time goes
 * on. The way to the limb takes some milliseconds to find, and is found anew
 * only when it is over or the target is another. */

#include <glib/gi18n.h>

#include "fil-target-row.h"
#include "fil-target-text.h"

struct _FilTargetRow
{
  GtkListBoxRow   parent_instance;

  FilTarget      *target;       /* a copy of what is shown */
  FilRotation     rotation;
  gboolean        has_limb;     /* the three below hold */
  gboolean        seen, found;
  gint64          asked_ns, limb_ns;
  gboolean        setting;      /* the program moves the check */

  GtkCheckButton *check;
  GtkLabel       *name, *place, *limb;
};

static guint toggled_signal;

G_DEFINE_FINAL_TYPE (FilTargetRow, fil_target_row, GTK_TYPE_LIST_BOX_ROW)

static void
set_text (GtkLabel   *label,
          const char *text)
{
  if (g_strcmp0 (gtk_label_get_text (label), text) != 0)
    gtk_label_set_text (label, text);
}

static GtkLabel *
make_label (const char *css_class)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);

  return GTK_LABEL (label);
}

static void
toggled_cb (FilTargetRow *self)
{
  if (!self->setting)
    g_signal_emit (self, toggled_signal, 0, gtk_check_button_get_active (self->check));
}

static void
fil_target_row_finalize (GObject *object)
{
  fil_target_free (FIL_TARGET_ROW (object)->target);

  G_OBJECT_CLASS (fil_target_row_parent_class)->finalize (object);
}

static void
fil_target_row_class_init (FilTargetRowClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = fil_target_row_finalize;
  toggled_signal = g_signal_new ("current-toggled", FIL_TYPE_TARGET_ROW, G_SIGNAL_RUN_LAST, 0,
                                 NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_BOOLEAN);
}

static void
fil_target_row_init (FilTargetRow *self)
{
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 10);
  GtkWidget *column = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);

  self->name = make_label ("target-name");
  self->place = make_label ("target-place");
  self->limb = make_label ("caption");
  gtk_widget_set_hexpand (column, TRUE);
  gtk_box_append (GTK_BOX (column), GTK_WIDGET (self->name));
  gtk_box_append (GTK_BOX (column), GTK_WIDGET (self->place));
  gtk_box_append (GTK_BOX (column), GTK_WIDGET (self->limb));

  self->check = GTK_CHECK_BUTTON (gtk_check_button_new ());
  gtk_widget_set_valign (GTK_WIDGET (self->check), GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self->check),
                               _("This is what I record: its name goes into the clips"));
  g_signal_connect_swapped (self->check, "toggled", G_CALLBACK (toggled_cb), self);
  gtk_box_append (GTK_BOX (line), GTK_WIDGET (self->check));
  gtk_box_append (GTK_BOX (line), column);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (self), line);
}

GtkWidget *
fil_target_row_new (void)
{
  return g_object_new (FIL_TYPE_TARGET_ROW, NULL);
}

static gboolean
is_same (const FilTarget *a,
         const FilTarget *b)
{
  return a != NULL && a->latitude_deg == b->latitude_deg &&
         a->carrington_deg == b->carrington_deg && a->sighted_utc_ns == b->sighted_utc_ns;
}

static void
find_limb (FilTargetRow         *self,
           const FilTargetPlace *place)
{
  if (self->has_limb && self->seen == place->seen && place->utc_ns >= self->asked_ns &&
      (!self->found || place->utc_ns < self->limb_ns))
    return;

  self->has_limb = TRUE;
  self->seen = place->seen;
  self->asked_ns = place->utc_ns;
  self->found = fil_target_find_limb (self->target, self->rotation, place->utc_ns, place->seen,
                                      &self->limb_ns);
}

static void
show_words (FilTargetRow         *self,
            const FilTargetPlace *place)
{
  g_autofree char *offset = fil_target_text_offset (place), *text = NULL, *label = NULL;
  g_autofree char *limb = fil_target_text_limb (place->seen, self->found, self->limb_ns,
                                                place->utc_ns);
  g_autofree char *check = g_strdup_printf (_("Record “%s”"), self->target->name);

  /* Translators: the offset from the disc's centre, and the cosine of the
   * angle between the vertical there and the line of sight */
  text = place->seen ? g_strdup_printf (_("%s · μ %.2f"), offset, place->mu)
                     : g_strdup (_("behind the limb"));
  set_text (self->name, self->target->name);
  set_text (self->place, text);
  set_text (self->limb, limb);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), self->target->note);

  label = g_strdup_printf ("%s: %s, %s", self->target->name, text, limb);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                  -1);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->check), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  check, -1);
}

/* @current: it is the one that is recorded */
void
fil_target_row_show (FilTargetRow    *self,
                     const FilTarget *target,
                     FilRotation      rotation,
                     gint64           utc_ns,
                     const FilSun    *sun,
                     gboolean         current)
{
  FilTarget *copy;
  FilTargetPlace place;

  g_return_if_fail (FIL_IS_TARGET_ROW (self) && target != NULL && sun != NULL);

  if (!is_same (self->target, target) || self->rotation != rotation)
    self->has_limb = FALSE;
  copy = fil_target_copy (target);
  fil_target_free (self->target);
  self->target = copy;
  self->rotation = rotation;
  fil_target_get_place (copy, rotation, utc_ns, sun, &place);
  find_limb (self, &place);
  show_words (self, &place);

  self->setting = TRUE;
  gtk_check_button_set_active (self->check, current);
  self->setting = FALSE;
}

const char *
fil_target_row_get_name (FilTargetRow *self)
{
  g_return_val_if_fail (FIL_IS_TARGET_ROW (self), NULL);

  return self->target != NULL ? self->target->name : NULL;
}
