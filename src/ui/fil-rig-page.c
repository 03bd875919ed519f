/* fil-rig-page.c: the instrument, seen and changed
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is changed is shown at once; it is saved, and told to the window, once
 * the hands rest for a moment, and only while the rig is complete: until then
 * the last complete one stays in use. */

#include <string.h>

#include <glib/gi18n.h>

#include "fil-findings.h"
#include "fil-kind-popover.h"
#include "fil-rig-page-private.h"
#include "fil-spoken-name.h"

#define SETTLE_MS 500   /* of rest, before a change is saved and put in force */

enum
{
  SIGNAL_RIG_CHANGED,
  SIGNAL_DONE,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilRigPage, fil_rig_page, GTK_TYPE_BOX)

/* What is shown -------------------------------------------------------------- */

static guint
count_level (FilRigPage *self,
             int         level)
{
  guint n = 0;

  for (guint i = 0; self->findings != NULL && i < self->findings->len; i++)
    if ((int) ((FilFinding *) g_ptr_array_index (self->findings, i))->level == level)
      n++;

  return n;
}

static char *
dup_findings_text (FilRigPage *self)
{
  guint refused = count_level (self, FIL_FINDING_REFUSE);
  guint warned = count_level (self, FIL_FINDING_WARN);

  if (refused > 0)
    return g_strdup_printf (ngettext ("%u thing is refused", "%u things are refused", refused),
                            refused);
  if (warned > 0)
    return g_strdup_printf (ngettext ("%u warning", "%u warnings", warned), warned);

  return NULL;
}

static const char *
saved_text (FilRigPage *self)
{
  if (self->demo && !fil_rig_document_is_dirty (self->document))
    return _("demo rig: the first change makes a copy of your own");
  if (fil_rig_document_get_path (self->document) == NULL ||
      fil_rig_document_is_dirty (self->document))
    return _("changed");

  return _("saved");
}

static const char *
missing_text (FilRig *rig)
{
  if (fil_rig_find (rig, FIL_ELEMENT_OBJECTIVE) == NULL)
    return _("not complete yet: an objective is missing – the last complete rig stays in use");
  if (fil_rig_find (rig, FIL_ELEMENT_CAMERA) == NULL)
    return _("not complete yet: a camera is missing – the last complete rig stays in use");

  return NULL;
}

static void
show_state (FilRigPage *self)
{
  const char *missing = missing_text (fil_rig_document_get_rig (self->document));
  g_autofree char *found = dup_findings_text (self);
  g_autofree char *text = NULL;

  if (missing != NULL)
    text = g_strdup (missing);
  else
    text = g_strconcat (saved_text (self), found != NULL ? " · " : NULL, found, NULL);
  if (strcmp (text, gtk_label_get_text (self->state_label)) != 0)
    gtk_label_set_text (self->state_label, text);
}

static void
show_notice (FilRigPage *self)
{
  const char *text = self->problem;

  if (text == NULL && self->pass_held)
    text = _("A filter check is in force. The first change of the rig ends it, and the gate asks "
             "again.");

  gtk_label_set_text (self->notice_label, text != NULL ? text : "");
  gtk_widget_set_visible (GTK_WIDGET (self->notice_label), text != NULL);
  if (self->problem != NULL)
    gtk_widget_add_css_class (GTK_WIDGET (self->notice_label), "problem");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self->notice_label), "problem");
}

static void
enable_actions (FilRigPage *self,
                FilRig     *rig)
{
  GtkWidget *widget = GTK_WIDGET (self);
  int selected = fil_light_view_get_selected (self->view);
  int n = (int) fil_rig_get_n_elements (rig);

  gtk_widget_action_set_enabled (widget, "rig.undo", fil_rig_document_can_undo (self->document));
  gtk_widget_action_set_enabled (widget, "rig.redo", fil_rig_document_can_redo (self->document));
  gtk_widget_action_set_enabled (widget, "rig.earlier", selected > 0);
  gtk_widget_action_set_enabled (widget, "rig.later", selected >= 0 && selected + 1 < n);
  gtk_widget_action_set_enabled (widget, "rig.remove", selected >= 0);
  gtk_widget_action_set_enabled (widget, "rig.trash",
                                 fil_rig_document_get_path (self->document) != NULL);
}

/* A menu button with a child of its own leaves its button nameless. */
static void
show_name (FilRigPage *self,
           const char *name)
{
  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (self->rig_button));

  gtk_label_set_text (self->rig_name_label, name);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

/* Shows what the document has now; cheap enough for every key that is typed. */
void
fil_rig_page_show (FilRigPage *self)
{
  FilRig *rig = fil_rig_document_get_rig (self->document);

  fil_rig_ref (rig);
  g_clear_pointer (&self->shown, fil_rig_unref);
  self->shown = rig;
  g_clear_pointer (&self->findings, g_ptr_array_unref);
  if (fil_rig_is_complete (rig, NULL))
    self->findings = fil_findings_list (rig);

  self->showing = TRUE;
  fil_light_view_set_rig (self->view, rig, self->findings);
  self->showing = FALSE;
  fil_rig_card_show (self->card, fil_light_view_get_selected (self->view), self->findings);
  fil_numbers_pane_set_rig (self->numbers, rig);
  show_name (self, fil_rig_get_name (rig));
  enable_actions (self, rig);
  show_state (self);
  show_notice (self);
}

/* @problem: (nullable): translated; stays until something is done */
void
fil_rig_page_show_problem (FilRigPage *self,
                           const char *problem)
{
  char *copy = g_strdup (problem);

  g_free (self->problem);
  self->problem = copy;
  show_notice (self);
}

/* Into force ------------------------------------------------------------------ */

/* Tells the window which rig is in use from now on, if it is complete. */
void
fil_rig_page_put_in_force (FilRigPage *self)
{
  FilRig *rig = fil_rig_document_get_rig (self->document);
  const char *path = fil_rig_document_get_path (self->document);

  if (fil_rig_is_complete (rig, NULL))
    g_signal_emit (self, signals[SIGNAL_RIG_CHANGED], 0, rig, path != NULL ? path : "");
}

/* Saves a complete rig that was changed, and puts it in force. */
void
fil_rig_page_settle (FilRigPage *self)
{
  g_autoptr (GError) error = NULL;

  if (self->settle_timer == 0)
    return;

  g_clear_handle_id (&self->settle_timer, g_source_remove);
  if (!fil_rig_is_complete (fil_rig_document_get_rig (self->document), NULL))
    return;

  /* The demo rig, once changed, is the user's own. */
  if (fil_rig_document_save (self->document, &error))
    self->demo = FALSE;
  fil_rig_page_put_in_force (self);
  fil_rig_page_show_problem (self, error != NULL ? error->message : NULL);
  fil_rig_page_show (self);
}

static gboolean
settle_cb (gpointer user_data)
{
  fil_rig_page_settle (user_data);

  return G_SOURCE_REMOVE;
}

static void
settle_soon (FilRigPage *self)
{
  if (self->settle_timer != 0)
    g_source_remove (self->settle_timer);
  self->settle_timer = g_timeout_add (SETTLE_MS, settle_cb, self);
}

/* The document also tells when it was saved. */
static void
changed_cb (FilRigPage *self)
{
  if (fil_rig_document_get_rig (self->document) != self->shown)
    {
      g_clear_pointer (&self->problem, g_free);
      settle_soon (self);
    }
  fil_rig_page_show (self);
}

/**
 * fil_rig_page_take_document:
 * @document: (transfer full)
 * @demo: nobody's own
 *
 * Edits that document from now on.
 */
void
fil_rig_page_take_document (FilRigPage     *self,
                            FilRigDocument *document,
                            gboolean        demo)
{
  g_clear_handle_id (&self->settle_timer, g_source_remove);
  if (self->document != NULL)
    g_signal_handlers_disconnect_by_data (self->document, self);
  g_clear_object (&self->document);
  g_clear_pointer (&self->problem, g_free);

  self->document = document;
  self->demo = demo;
  self->showing = TRUE;
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  fil_rig_card_set_document (self->card, document);
  fil_light_view_set_rig (self->view, fil_rig_document_get_rig (document), NULL);
  fil_light_view_select (self->view, FIL_LIGHT_VIEW_SKY);
  self->showing = FALSE;
  fil_rig_page_show (self);
}

/* The page's own controls ------------------------------------------------------ */

static void
selected_cb (FilRigPage *self,
             int         index)
{
  if (self->showing)
    return;

  /* What is still being typed may bring other findings. */
  fil_rig_card_flush (self->card);
  fil_rig_card_show (self->card, index, self->findings);
  enable_actions (self, fil_rig_document_get_rig (self->document));
}

/* Arrow keys work at once. Whoever shows the page may move the keyboard's
 * focus after it is mapped: it is taken with the first frame. */
static gboolean
first_frame_cb (GtkWidget     *widget,
                GdkFrameClock *clock,
                gpointer       user_data)
{
  if (FIL_RIG_PAGE (widget)->document != NULL)
    fil_light_view_take_focus (FIL_RIG_PAGE (widget)->view);

  return G_SOURCE_REMOVE;
}

static void
map_cb (FilRigPage *self)
{
  gtk_widget_add_tick_callback (GTK_WIDGET (self), first_frame_cb, NULL, NULL);
}

static void
done_cb (GtkWidget  *widget,
         const char *action,
         GVariant   *parameter)
{
  FilRigPage *self = FIL_RIG_PAGE (widget);

  fil_rig_card_flush (self->card);
  fil_rig_page_settle (self);
  g_signal_emit (self, signals[SIGNAL_DONE], 0);
}

static void
fil_rig_page_dispose (GObject *object)
{
  FilRigPage *self = FIL_RIG_PAGE (object);

  if (self->document != NULL)
    g_signal_handlers_disconnect_by_data (self->document, self);
  /* The program ends within the moment of rest. */
  if (self->settle_timer != 0 && fil_rig_is_complete (self->shown, NULL))
    fil_rig_document_save (self->document, NULL);
  g_clear_handle_id (&self->settle_timer, g_source_remove);
  if (self->guide != NULL)
    gtk_window_destroy (self->guide);
  g_clear_weak_pointer (&self->guide);
  g_clear_object (&self->document);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_RIG_PAGE);

  G_OBJECT_CLASS (fil_rig_page_parent_class)->dispose (object);
}

static void
fil_rig_page_finalize (GObject *object)
{
  FilRigPage *self = FIL_RIG_PAGE (object);

  g_clear_pointer (&self->shown, fil_rig_unref);
  g_clear_pointer (&self->findings, g_ptr_array_unref);
  g_free (self->problem);

  G_OBJECT_CLASS (fil_rig_page_parent_class)->finalize (object);
}

static void
bind_template (GtkWidgetClass *widget_class)
{
  g_type_ensure (FIL_TYPE_LIGHT_VIEW);
  g_type_ensure (FIL_TYPE_RIG_CARD);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/io/github/filigree/Filigree/fil-rig-page.ui");
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, toasts);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, rig_button);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, rig_name_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, add_button);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, state_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, notice_label);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, view);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, card);
  gtk_widget_class_bind_template_child (widget_class, FilRigPage, numbers_box);
}

static void
fil_rig_page_class_init (FilRigPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_rig_page_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_rig_page_finalize;

  signals[SIGNAL_RIG_CHANGED] =
    g_signal_new ("rig-changed", FIL_TYPE_RIG_PAGE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 2, G_TYPE_POINTER, G_TYPE_STRING);
  signals[SIGNAL_DONE] = g_signal_new ("done", FIL_TYPE_RIG_PAGE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 0);

  bind_template (widget_class);
  gtk_widget_class_install_action (widget_class, "rig.done", NULL, done_cb);
  fil_rig_page_install_edits (widget_class);
  fil_rig_page_install_files (widget_class);
}

static void
fil_rig_page_init (FilRigPage *self)
{
  GtkWidget *kinds = fil_kind_popover_new ();

  gtk_widget_init_template (GTK_WIDGET (self));
  fil_spoken_name_toasts (self->toasts);
  self->numbers = FIL_NUMBERS_PANE (fil_numbers_pane_new ());
  gtk_widget_set_vexpand (GTK_WIDGET (self->numbers), TRUE);
  gtk_box_append (self->numbers_box, GTK_WIDGET (self->numbers));
  fil_rig_page_prepare_menu (self);
  show_name (self, _("All rigs"));
  g_signal_connect (self, "map", G_CALLBACK (map_cb), NULL);
  gtk_menu_button_set_popover (self->add_button, kinds);
  g_signal_connect_object (kinds, "chosen", G_CALLBACK (fil_rig_page_add), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->view, "selected", G_CALLBACK (selected_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->view, "entered", G_CALLBACK (fil_rig_card_take_focus), self->card,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->view, "moved", G_CALLBACK (fil_rig_page_move), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->view, "removed", G_CALLBACK (fil_rig_page_remove), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->card, "mend", G_CALLBACK (fil_rig_page_mend), self,
                           G_CONNECT_SWAPPED);
}

GtkWidget *
fil_rig_page_new (void)
{
  return g_object_new (FIL_TYPE_RIG_PAGE, NULL);
}

/**
 * fil_rig_page_set_rig:
 * @path: (nullable): its file; %NULL: nobody's own, such as the demo rig
 *
 * Shows the rig that is in use. What the page itself has told by
 * "rig-changed" changes nothing.
 */
void
fil_rig_page_set_rig (FilRigPage *self,
                      FilRig     *rig,
                      const char *path)
{
  g_return_if_fail (FIL_IS_RIG_PAGE (self) && rig != NULL);

  if (self->document != NULL && fil_rig_document_get_rig (self->document) == rig)
    return;

  g_clear_handle_id (&self->settle_timer, g_source_remove);
  fil_rig_page_take_document (self, fil_rig_document_new (rig, path), path == NULL);
}

/* @held: a filter check is in force, which a change would end */
void
fil_rig_page_set_pass_held (FilRigPage *self,
                            gboolean    held)
{
  g_return_if_fail (FIL_IS_RIG_PAGE (self));

  self->pass_held = held;
  show_notice (self);
}

/* Returns: (transfer none): the numbers beside the rig, to be told of the Sun
 *   and the air */
FilNumbersPane *
fil_rig_page_get_numbers (FilRigPage *self)
{
  g_return_val_if_fail (FIL_IS_RIG_PAGE (self), NULL);

  return self->numbers;
}
