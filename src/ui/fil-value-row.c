/* fil-value-row.c: one key of a rig, with its unit and what it means
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A field, or a button for each word where there are few. What is typed is
 * told at once ("edited"); whoever hears of it may refuse it with a reason,
 * which then stands where the help stood. */

#include <string.h>

#include <glib/gi18n.h>

#include "fil-value-row.h"

#define EMPTY_MS 900   /* until a field that was emptied counts */

struct _FilValueRow
{
  GtkBox      parent_instance;

  const FilRigKey *key;
  char       *value;       /* as it was set last; NULL: not given */
  GtkWidget  *entry;       /* NULL where words are chosen */
  GtkBox     *words_box;
  GtkLabel   *unit_label, *help_label;
  GtkBox     *field_box;
  guint       tell_id;     /* 0: all that was typed was told */
  gboolean    updating;    /* the program changes the field, not the user */
  gboolean    telling;     /* "edited" is on its way: the field is right as it is */
  gboolean    refused;
};

enum
{
  SIGNAL_EDITED,
  SIGNAL_LEFT,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilValueRow, fil_value_row, GTK_TYPE_BOX)

static GtkWidget *
field_of (FilValueRow *self)
{
  return self->entry != NULL ? self->entry : GTK_WIDGET (self->words_box);
}

/* @value: (nullable): "" and NULL are the same: not given */
static void
tell (FilValueRow *self,
      const char  *value)
{
  /* Whoever hears of it may show another element's rows instead. */
  g_object_ref (self);
  self->telling = TRUE;
  g_signal_emit (self, signals[SIGNAL_EDITED], 0,
                 value != NULL && value[0] != '\0' ? value : NULL);
  self->telling = FALSE;
  g_object_unref (self);
}

static void
tell_text (FilValueRow *self)
{
  g_autofree char *text = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->entry))));

  g_clear_handle_id (&self->tell_id, g_source_remove);
  tell (self, text);
}

static gboolean
tell_cb (gpointer user_data)
{
  FilValueRow *self = user_data;

  self->tell_id = 0;
  tell_text (self);

  return G_SOURCE_REMOVE;
}

/* Typing over a selection empties the field before it fills it: told is what
 * stands there afterwards. Who empties a field mostly wants to fill it anew;
 * the value is taken away after a pause. */
static void
text_changed_cb (FilValueRow *self)
{
  gboolean empty = gtk_editable_get_text (GTK_EDITABLE (self->entry))[0] == '\0';

  if (self->updating)
    return;

  g_clear_handle_id (&self->tell_id, g_source_remove);
  self->tell_id = empty ? g_timeout_add (EMPTY_MS, tell_cb, self)
                        : g_idle_add_full (G_PRIORITY_HIGH_IDLE, tell_cb, self, NULL);
}

/* The field is left, or Enter was pressed. */
static void
left_cb (FilValueRow *self)
{
  fil_value_row_flush (self);
  g_signal_emit (self, signals[SIGNAL_LEFT], 0);
}

static void
show_words (FilValueRow *self,
            const char  *value)
{
  GtkWidget *button;

  self->updating = TRUE;
  for (button = gtk_widget_get_first_child (GTK_WIDGET (self->words_box)); button != NULL;
       button = gtk_widget_get_next_sibling (button))
    gtk_toggle_button_set_active (
      GTK_TOGGLE_BUTTON (button),
      g_strcmp0 (g_object_get_data (G_OBJECT (button), "word"), value) == 0);
  self->updating = FALSE;
}

/* A second press takes the word away again. */
static void
word_cb (GtkToggleButton *button,
         FilValueRow     *self)
{
  const char *word = g_object_get_data (G_OBJECT (button), "word");

  if (self->updating)
    return;

  if (!gtk_toggle_button_get_active (button))
    word = NULL;
  show_words (self, word);
  tell (self, word);
}

static void
show_help (FilValueRow *self,
           const char  *reason)
{
  const char *text = reason != NULL ? reason : fil_rig_key_get_help (self->key);
  GtkWidget *label = GTK_WIDGET (self->help_label);

  gtk_label_set_text (self->help_label, text);
  if (reason != NULL)
    gtk_widget_add_css_class (label, "value-refusal");
  else
    gtk_widget_remove_css_class (label, "value-refusal");
  gtk_accessible_update_property (GTK_ACCESSIBLE (field_of (self)),
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

static void
fil_value_row_dispose (GObject *object)
{
  FilValueRow *self = FIL_VALUE_ROW (object);

  g_clear_handle_id (&self->tell_id, g_source_remove);

  G_OBJECT_CLASS (fil_value_row_parent_class)->dispose (object);
}

static void
fil_value_row_finalize (GObject *object)
{
  FilValueRow *self = FIL_VALUE_ROW (object);

  g_free (self->value);

  G_OBJECT_CLASS (fil_value_row_parent_class)->finalize (object);
}

static void
fil_value_row_class_init (FilValueRowClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_value_row_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_value_row_finalize;

  /* the value as text, NULL: taken away */
  signals[SIGNAL_EDITED] = g_signal_new ("edited", FIL_TYPE_VALUE_ROW, G_SIGNAL_RUN_LAST, 0, NULL,
                                         NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
  signals[SIGNAL_LEFT] = g_signal_new ("left", FIL_TYPE_VALUE_ROW, G_SIGNAL_RUN_LAST, 0, NULL,
                                       NULL, NULL, G_TYPE_NONE, 0);
}

static GtkLabel *
new_label (const char *css_class)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_widget_add_css_class (label, css_class);

  return GTK_LABEL (label);
}

static void
fil_value_row_init (FilValueRow *self)
{
  GtkEventController *leave;

  gtk_widget_add_css_class (GTK_WIDGET (self), "value-row");
  gtk_box_set_spacing (GTK_BOX (self), 12);

  self->field_box = GTK_BOX (gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8));
  gtk_widget_add_css_class (GTK_WIDGET (self->field_box), "value-field");
  gtk_widget_set_valign (GTK_WIDGET (self->field_box), GTK_ALIGN_CENTER);

  self->entry = gtk_entry_new ();
  gtk_editable_set_width_chars (GTK_EDITABLE (self->entry), 9);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->entry), 9);
  /* Undo is the rig's, over all of its fields. */
  gtk_editable_set_enable_undo (GTK_EDITABLE (self->entry), FALSE);
  g_signal_connect_object (self->entry, "changed", G_CALLBACK (text_changed_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->entry, "activate", G_CALLBACK (left_cb), self, G_CONNECT_SWAPPED);
  leave = gtk_event_controller_focus_new ();
  g_signal_connect_object (leave, "leave", G_CALLBACK (left_cb), self, G_CONNECT_SWAPPED);
  gtk_widget_add_controller (self->entry, leave);
  gtk_box_append (self->field_box, self->entry);

  self->unit_label = new_label ("value-unit");
  gtk_box_append (self->field_box, GTK_WIDGET (self->unit_label));

  self->help_label = new_label ("caption");
  gtk_label_set_wrap (self->help_label, TRUE);
  gtk_label_set_max_width_chars (self->help_label, 40);
  gtk_widget_set_hexpand (GTK_WIDGET (self->help_label), TRUE);
  gtk_widget_set_valign (GTK_WIDGET (self->help_label), GTK_ALIGN_CENTER);
}

/* A button for each word in place of the field. */
static void
offer_words (FilValueRow *self,
             guint        n)
{
  self->words_box = GTK_BOX (gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0));
  gtk_widget_add_css_class (GTK_WIDGET (self->words_box), "linked");
  for (guint i = 0; i < n; i++)
    {
      const char *text = fil_rig_key_get_word (self->key, i);
      GtkWidget *button = gtk_toggle_button_new_with_label (text);
      g_autofree char *name = g_strdup_printf ("%s: %s", fil_rig_key_get_label (self->key), text);

      g_object_set_data (G_OBJECT (button), "word", (gpointer) self->key->words[i]);
      gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                      -1);
      gtk_widget_add_css_class (button, "value-word");
      g_signal_connect (button, "toggled", G_CALLBACK (word_cb), self);
      gtk_box_append (self->words_box, button);
    }

  gtk_box_remove (self->field_box, self->entry);
  self->entry = NULL;
  gtk_box_prepend (self->field_box, GTK_WIDGET (self->words_box));
}

/* For sentences: the field takes the room there is. */
static void
make_wide (FilValueRow *self)
{
  gtk_editable_set_width_chars (GTK_EDITABLE (self->entry), 20);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->entry), 20);
  gtk_widget_set_hexpand (self->entry, TRUE);
  gtk_widget_set_hexpand_set (GTK_WIDGET (self->field_box), TRUE);
  gtk_widget_set_visible (GTK_WIDGET (self->unit_label), FALSE);
}

/* @key: a row of the table: label, unit, help, words */
GtkWidget *
fil_value_row_new (const FilRigKey *key)
{
  FilValueRow *self = g_object_new (FIL_TYPE_VALUE_ROW, NULL);
  GtkLabel *title_label = new_label ("value-title");

  g_return_val_if_fail (key != NULL, GTK_WIDGET (self));

  self->key = key;
  gtk_label_set_text (title_label, fil_rig_key_get_label (key));
  gtk_label_set_wrap (title_label, TRUE);
  gtk_label_set_text (self->unit_label, key->unit != NULL ? key->unit : "");
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (title_label));
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->field_box));
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->help_label));

  if (fil_rig_key_get_n_words (key) > 0)
    offer_words (self, fil_rig_key_get_n_words (key));
  else if (key->type == FIL_VALUE_LINE || key->type == FIL_VALUE_TEXT)
    make_wide (self);
  gtk_accessible_update_property (GTK_ACCESSIBLE (field_of (self)), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  fil_rig_key_get_label (key), -1);
  show_help (self, NULL);

  return GTK_WIDGET (self);
}

/* Returns: the row of the table that it shows; static */
const FilRigKey *
fil_value_row_get_key (FilValueRow *self)
{
  g_return_val_if_fail (FIL_IS_VALUE_ROW (self), NULL);

  return self->key;
}

/* The keyboard goes to the field, or to the first of its words. */
void
fil_value_row_take_focus (FilValueRow *self)
{
  g_return_if_fail (FIL_IS_VALUE_ROW (self));

  gtk_widget_grab_focus (self->entry != NULL
                           ? self->entry
                           : gtk_widget_get_first_child (GTK_WIDGET (self->words_box)));
}

/* @fields: of all rows of a form: what stands behind the fields begins in one
 * line, however many words there are to choose from */
void
fil_value_row_line_up (FilValueRow  *self,
                       GtkSizeGroup *fields)
{
  g_return_if_fail (FIL_IS_VALUE_ROW (self));

  gtk_size_group_add_widget (fields, GTK_WIDGET (self->field_box));
}

/**
 * fil_value_row_set_value:
 * @value: (nullable): %NULL: not given
 *
 * Shows what the rig has. A text that is being typed stays as it is, and so
 * does a refused one until the rig's own value changes.
 */
void
fil_value_row_set_value (FilValueRow *self,
                         const char  *value)
{
  gboolean same;

  g_return_if_fail (FIL_IS_VALUE_ROW (self));

  same = g_strcmp0 (value, self->value) == 0;
  g_free (self->value);
  self->value = g_strdup (value);
  if (self->telling || self->tell_id != 0 || (self->refused && same))
    return;

  fil_value_row_set_refusal (self, NULL);
  if (self->entry == NULL)
    show_words (self, value);
  else if (!same || (gtk_widget_get_state_flags (self->entry) & GTK_STATE_FLAG_FOCUS_WITHIN) == 0)
    {
      self->updating = TRUE;
      gtk_editable_set_text (GTK_EDITABLE (self->entry), value != NULL ? value : "");
      self->updating = FALSE;
    }
}

/* Returns: (transfer full) (nullable): what stands in the field, refused or not */
char *
fil_value_row_dup_value (FilValueRow *self)
{
  GtkWidget *button;

  g_return_val_if_fail (FIL_IS_VALUE_ROW (self), NULL);

  if (self->entry != NULL)
    {
      g_autofree char *text =
        g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->entry))));

      return text[0] != '\0' ? g_steal_pointer (&text) : NULL;
    }

  for (button = gtk_widget_get_first_child (GTK_WIDGET (self->words_box)); button != NULL;
       button = gtk_widget_get_next_sibling (button))
    if (gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (button)))
      return g_strdup (g_object_get_data (G_OBJECT (button), "word"));

  return NULL;
}

/* @reason: (nullable): translated; why what stands in the field isn't taken */
void
fil_value_row_set_refusal (FilValueRow *self,
                           const char  *reason)
{
  g_autofree char *text = NULL;

  g_return_if_fail (FIL_IS_VALUE_ROW (self));

  self->refused = reason != NULL;
  if (self->refused && self->value != NULL)
    text = g_strdup_printf (_("%s. The rig keeps %s."), reason, self->value);
  show_help (self, text != NULL ? text : reason);
  gtk_accessible_update_state (GTK_ACCESSIBLE (field_of (self)), GTK_ACCESSIBLE_STATE_INVALID,
                               self->refused ? GTK_ACCESSIBLE_INVALID_TRUE
                                             : GTK_ACCESSIBLE_INVALID_FALSE, -1);
  if (self->refused)
    gtk_widget_add_css_class (field_of (self), "refused-value");
  else
    gtk_widget_remove_css_class (field_of (self), "refused-value");
}

/* Tells at once what was typed and not told yet. */
void
fil_value_row_flush (FilValueRow *self)
{
  g_return_if_fail (FIL_IS_VALUE_ROW (self));

  if (self->tell_id != 0)
    tell_text (self);
}
