/* fil-rig-card.c: one element of the rig, or the rig itself, with all it says
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A row for each key of the table; what was found about the element stands
 * above them. The card writes into the document and shows what the document
 * then has. */

#include <glib/gi18n.h>

#include "fil-finding-row.h"
#include "fil-light-view.h"
#include "fil-rig-card.h"
#include "fil-rig-keys.h"
#include "fil-value-row.h"

struct _FilRigCard
{
  GtkBox          parent_instance;

  FilRigDocument *document;
  int             index;       /* FIL_LIGHT_VIEW_SKY: [rig] and [site] */
  int             kind;        /* of the element whose rows are shown; −1: none yet */
  GPtrArray      *rows;        /* of FilValueRow, borrowed */
  GtkSizeGroup   *fields;
  GtkBox         *findings_box, *rows_box, *rare_box;
  GtkToggleButton *more_button;
  GtkLabel       *title_label, *help_label;
  GtkWidget      *element_buttons;
};

#define KIND_RIG 1000          /* as a kind: the card of the rig itself */

enum
{
  SIGNAL_MEND,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilRigCard, fil_rig_card, GTK_TYPE_BOX)

static void
empty (GtkBox *box)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (box))) != NULL)
    gtk_box_remove (box, child);
}

/* The group of a row's key: an element's number is known only now, since
 * elements move. */
static char *
dup_group (FilRigCard  *self,
           FilValueRow *row)
{
  const char *group = g_object_get_data (G_OBJECT (row), "group");

  return group != NULL ? g_strdup (group) : g_strdup_printf ("element %d", self->index + 1);
}

static void
edited_cb (FilValueRow *row,
           const char  *value,
           FilRigCard  *self)
{
  const FilRigKey *key = fil_value_row_get_key (row);
  g_autofree char *group = dup_group (self, row);
  g_autoptr (GError) error = NULL;

  if (fil_rig_document_set_value (self->document, group, key->key, value, &error))
    fil_value_row_set_refusal (row, NULL);
  else
    fil_value_row_set_refusal (row, fil_rig_error_get_reason (error));
}

/* What is typed into the same field later is another step of undo. */
static void
left_cb (FilRigCard *self)
{
  fil_rig_document_seal (self->document);
}

/* @group: (nullable): static; %NULL: the element's own */
static void
add_row (FilRigCard      *self,
         const char      *group,
         const FilRigKey *key)
{
  GtkWidget *row = fil_value_row_new (key);

  g_object_set_data (G_OBJECT (row), "group", (gpointer) group);
  g_signal_connect (row, "edited", G_CALLBACK (edited_cb), self);
  g_signal_connect_object (row, "left", G_CALLBACK (left_cb), self, G_CONNECT_SWAPPED);
  gtk_box_append (key->rank == FIL_KEY_RARE ? self->rare_box : self->rows_box, row);
  g_ptr_array_add (self->rows, row);
  fil_value_row_line_up (FIL_VALUE_ROW (row), self->fields);
}

static void
add_rows (FilRigCard       *self,
          const char       *group,
          const FilRigKey **keys,
          guint             n)
{
  for (guint i = 0; i < n; i++)
    add_row (self, group, keys[i]);
}

static void
make_rows (FilRigCard *self,
           int         kind)
{
  g_autofree const FilRigKey **keys = NULL, **site_keys = NULL;
  guint n = 0, n_site = 0;

  g_ptr_array_set_size (self->rows, 0);
  empty (self->rows_box);
  empty (self->rare_box);
  self->kind = kind;
  gtk_toggle_button_set_active (self->more_button, FALSE);

  if (kind == KIND_RIG)
    {
      keys = fil_rig_list_keys (&n);
      site_keys = fil_site_list_keys (&n_site);
      add_rows (self, "rig", keys, n);
      add_rows (self, "site", site_keys, n_site);
    }
  else
    {
      keys = fil_element_list_keys ((FilElementKind) kind, &n);
      add_rows (self, NULL, keys, n);
    }
  /* The rig's own rows have the wider fields. */
  if (kind == KIND_RIG)
    gtk_widget_add_css_class (GTK_WIDGET (self), "of-rig");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self), "of-rig");
  gtk_widget_set_visible (GTK_WIDGET (self->more_button),
                          gtk_widget_get_first_child (GTK_WIDGET (self->rare_box)) != NULL);
}

static void
show_values (FilRigCard *self,
             FilRig     *rig)
{
  for (guint i = 0; i < self->rows->len; i++)
    {
      FilValueRow *row = g_ptr_array_index (self->rows, i);
      const FilRigKey *key = fil_value_row_get_key (row);
      g_autofree char *group = dup_group (self, row);
      g_autofree char *value = fil_rig_dup_value (rig, group, key->key);

      fil_value_row_set_value (row, value);
    }
}

static void
show_title (FilRigCard *self)
{
  g_autofree char *title = NULL;

  if (self->kind == KIND_RIG)
    title = g_strdup (_("The rig and its place"));
  else
    {
      g_autofree char *heading = fil_element_kind_dup_heading ((FilElementKind) self->kind);

      title = g_strdup_printf ("%d  %s", self->index + 1, heading);
    }

  gtk_label_set_text (self->title_label, title);
  gtk_label_set_text (self->help_label,
                      self->kind == KIND_RIG
                        ? _("Whose it is and where it stands. The light path follows to its right.")
                        : fil_element_kind_to_help ((FilElementKind) self->kind));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  gtk_widget_set_visible (self->element_buttons, self->kind != KIND_RIG);
}

static void
mend_cb (FilRigCard *self,
         int         number)
{
  g_signal_emit (self, signals[SIGNAL_MEND], 0, number);
}

static void
show_findings (FilRigCard      *self,
               const GPtrArray *findings)
{
  empty (self->findings_box);
  for (guint i = 0; findings != NULL && i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);
      GtkWidget *row;

      if (finding->element != self->index)
        continue;
      row = fil_finding_row_new (finding, (int) i, TRUE);
      g_signal_connect_object (row, "mend", G_CALLBACK (mend_cb), self, G_CONNECT_SWAPPED);
      gtk_box_append (self->findings_box, row);
    }
  gtk_widget_set_visible (GTK_WIDGET (self->findings_box),
                          gtk_widget_get_first_child (GTK_WIDGET (self->findings_box)) != NULL);
}

static void
fil_rig_card_dispose (GObject *object)
{
  FilRigCard *self = FIL_RIG_CARD (object);

  g_clear_object (&self->document);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_RIG_CARD);

  G_OBJECT_CLASS (fil_rig_card_parent_class)->dispose (object);
}

static void
fil_rig_card_finalize (GObject *object)
{
  g_ptr_array_unref (FIL_RIG_CARD (object)->rows);
  g_object_unref (FIL_RIG_CARD (object)->fields);

  G_OBJECT_CLASS (fil_rig_card_parent_class)->finalize (object);
}

static void
fil_rig_card_class_init (FilRigCardClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_rig_card_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_rig_card_finalize;

  /* the number of the finding in the list that was shown */
  signals[SIGNAL_MEND] = g_signal_new ("mend", FIL_TYPE_RIG_CARD, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);

  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/io/github/filigree/Filigree/fil-rig-card.ui");
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, findings_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, rows_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, rare_box);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, more_button);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, title_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, help_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigCard, element_buttons);
}

static void
fil_rig_card_init (FilRigCard *self)
{
  self->rows = g_ptr_array_new ();
  self->fields = gtk_size_group_new (GTK_SIZE_GROUP_HORIZONTAL);
  self->index = FIL_LIGHT_VIEW_SKY;
  self->kind = -1;
  gtk_widget_init_template (GTK_WIDGET (self));
}

/* Into the document with what was typed and isn't there yet. */
void
fil_rig_card_flush (FilRigCard *self)
{
  g_return_if_fail (FIL_IS_RIG_CARD (self));

  for (guint i = 0; i < self->rows->len; i++)
    fil_value_row_flush (g_ptr_array_index (self->rows, i));
}

/* Which document is edited from now on. */
void
fil_rig_card_set_document (FilRigCard     *self,
                           FilRigDocument *document)
{
  g_return_if_fail (FIL_IS_RIG_CARD (self) && FIL_IS_RIG_DOCUMENT (document));

  if (self->document != NULL)
    fil_rig_card_flush (self);
  g_set_object (&self->document, document);
  self->kind = -1;
}

static int
kind_of (FilRigCard *self,
         int         index)
{
  FilRig *rig = fil_rig_document_get_rig (self->document);

  return index < 0 ? KIND_RIG : (int) fil_rig_get_element (rig, (guint) index)->kind;
}

/**
 * fil_rig_card_show:
 * @index: of the element, or FIL_LIGHT_VIEW_SKY
 * @findings: (nullable) (element-type FilFinding): of the document's rig
 *
 * Shows what the document has now. The rows stay, and with them the keyboard,
 * where it is the same element as before.
 */
void
fil_rig_card_show (FilRigCard      *self,
                   int              index,
                   const GPtrArray *findings)
{
  /* Flushing may let the caller make new ones, and drop these. */
  g_autoptr (GPtrArray) held = findings != NULL ? g_ptr_array_ref ((GPtrArray *) findings) : NULL;
  FilRig *rig;

  g_return_if_fail (FIL_IS_RIG_CARD (self) && self->document != NULL);

  if (index != self->index || kind_of (self, index) != self->kind)
    fil_rig_card_flush (self);
  /* The document may have changed by that, and the card with it. */
  if (index != self->index || kind_of (self, index) != self->kind)
    {
      self->index = index;
      make_rows (self, kind_of (self, index));
    }

  rig = fil_rig_document_get_rig (self->document);
  show_values (self, rig);
  show_title (self);
  show_findings (self, held);
}

/* The keyboard goes to the first field. */
void
fil_rig_card_take_focus (FilRigCard *self)
{
  g_return_if_fail (FIL_IS_RIG_CARD (self));

  if (self->rows->len > 0)
    fil_value_row_take_focus (g_ptr_array_index (self->rows, 0));
}
