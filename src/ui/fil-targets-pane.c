/* fil-targets-pane.c: the observer's targets, and where they stand
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Everything is kept at once. A file that can't be read, or that somebody else
 * has changed, is left alone; what is done here then lasts until the program
 * ends, and the pane says so. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-target-days.h"
#include "fil-target-row.h"
#include "fil-targets-pane.h"

#define TICK_S 20

struct _FilTargetsPane
{
  GtkWidget      parent_instance;

  char          *path;
  FilTargetList *list;
  gint64         time_ns;          /* FIL_TARGETS_CLOCK: now */
  FilPatchPlace  patch;
  FilDiscMap    *map;              /* NULL: none */
  FilTarget     *removed;          /* what undo brings back; NULL: nothing */
  int            removed_from;
  gboolean       removed_current;
  gboolean       setting;          /* the program moves a control */
  guint          timer;

  GtkWidget     *box, *rows, *empty, *edit_button, *remove_button, *undo_button, *later, *days;
  GtkDropDown   *tracer_drop;
  GtkLabel      *trouble, *days_title, *tracer_note;
};

static guint changed_signal;

G_DEFINE_FINAL_TYPE (FilTargetsPane, fil_targets_pane, GTK_TYPE_WIDGET)

static gint64
get_time (FilTargetsPane *self)
{
  return self->time_ns != FIL_TARGETS_CLOCK ? self->time_ns : g_get_real_time () * 1000;
}

static FilTargetRow *
row_at (FilTargetsPane *self,
        int             index)
{
  GtkListBoxRow *row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->rows), index);

  return row != NULL ? FIL_TARGET_ROW (row) : NULL;
}

static FilTarget *
get_selected (FilTargetsPane *self)
{
  GtkListBoxRow *row = gtk_list_box_get_selected_row (GTK_LIST_BOX (self->rows));

  if (row == NULL)
    return NULL;

  return fil_target_list_find (self->list, fil_target_row_get_name (FIL_TARGET_ROW (row)));
}

static void
show_trouble (FilTargetsPane *self,
              const char     *text)
{
  gtk_label_set_text (self->trouble, text != NULL ? text : "");
  gtk_widget_set_visible (GTK_WIDGET (self->trouble), text != NULL);
}

/* What is shown --------------------------------------------------------- */

static void
current_toggled_cb (FilTargetsPane *self,
                    gboolean        on,
                    FilTargetRow   *row);

static void
add_row (FilTargetsPane *self)
{
  GtkWidget *row = fil_target_row_new ();

  g_signal_connect_object (row, "current-toggled", G_CALLBACK (current_toggled_cb), self,
                           G_CONNECT_SWAPPED);
  gtk_list_box_append (GTK_LIST_BOX (self->rows), row);
}

static void
show_rows (FilTargetsPane *self,
           const FilSun   *sun,
           gint64          time_ns)
{
  guint n = self->list->targets->len;

  for (guint i = 0; i < n; i++)
    {
      const FilTarget *target = g_ptr_array_index (self->list->targets, i);

      if (row_at (self, (int) i) == NULL)
        add_row (self);
      fil_target_row_show (row_at (self, (int) i), target, self->list->rotation, time_ns, sun,
                           g_strcmp0 (self->list->current, target->name) == 0);
    }
  while (row_at (self, (int) n) != NULL)
    gtk_list_box_remove (GTK_LIST_BOX (self->rows), GTK_WIDGET (row_at (self, (int) n)));
  gtk_widget_set_visible (self->rows, n > 0);
  gtk_widget_set_visible (self->empty, n == 0);
  gtk_widget_set_visible (self->later, n > 0);
}

static void
show_selected (FilTargetsPane *self,
               gint64          time_ns)
{
  const FilTarget *target = get_selected (self);
  g_autofree char *title = NULL;

  if (target != NULL)
    title = g_strdup_printf (_("“%s” at this time of day"), target->name);
  gtk_label_set_text (self->days_title, title != NULL ? title : _("At this time of day"));
  fil_target_days_show (FIL_TARGET_DAYS (self->days), target, self->list->rotation, time_ns);
  gtk_widget_set_sensitive (self->edit_button, target != NULL);
  gtk_widget_set_sensitive (self->remove_button, target != NULL);
}

static void
show_undo (FilTargetsPane *self)
{
  g_autofree char *tip = NULL;

  if (self->removed != NULL)
    tip = g_strdup_printf (_("Brings “%s” back"), self->removed->name);
  gtk_widget_set_sensitive (self->undo_button, self->removed != NULL);
  gtk_widget_set_tooltip_text (self->undo_button, tip);
}

static void
show_tracer (FilTargetsPane *self)
{
  g_autofree char *note = g_strdup_printf (
    _("Carried by %s (%s). Another tracer differs by up to 3 %%: 3° after a week."),
    fil_rotation_to_text (self->list->rotation),
    fil_rotation_get_source (self->list->rotation));

  gtk_label_set_text (self->tracer_note, note);
  self->setting = TRUE;
  gtk_drop_down_set_selected (self->tracer_drop, self->list->rotation);
  self->setting = FALSE;
}

static void
update (FilTargetsPane *self)
{
  gint64 time_ns = get_time (self);
  FilSun sun;

  if (!fil_sun_compute (time_ns, NAN, NAN, NAN, &sun, NULL))
    {
      show_trouble (self, _("The Sun’s place is known from 1900 to 2099 only"));
      return;
    }
  show_rows (self, &sun, time_ns);
  if (gtk_list_box_get_selected_row (GTK_LIST_BOX (self->rows)) == NULL &&
      row_at (self, 0) != NULL)
    gtk_list_box_select_row (GTK_LIST_BOX (self->rows), GTK_LIST_BOX_ROW (row_at (self, 0)));
  show_selected (self, time_ns);
  show_undo (self);
  show_tracer (self);
  if (self->map == NULL)
    return;
  fil_disc_map_set_sun (self->map, &sun, time_ns);
  fil_disc_map_set_targets (self->map, self->list);
}

/* What is done ------------------------------------------------------------ */

/* Keeps the list, and says so where that isn't possible. */
static void
keep (FilTargetsPane *self)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;

  if (!fil_target_list_save (self->list, self->path, &error))
    text = g_strdup_printf (_("%s. What you do here lasts until the program ends."),
                            error->message);
  show_trouble (self, text);
  update (self);
}

static void
set_current (FilTargetsPane *self,
             const char     *name)
{
  if (g_strcmp0 (self->list->current, name) == 0)
    return;
  fil_target_list_set_current (self->list, name);
  g_signal_emit (self, changed_signal, 0);
}

static void
current_toggled_cb (FilTargetsPane *self,
                    gboolean        on,
                    FilTargetRow   *row)
{
  set_current (self, on ? fil_target_row_get_name (row) : NULL);
  keep (self);
}

static void
select_name (FilTargetsPane *self,
             const char     *name)
{
  for (int i = 0; row_at (self, i) != NULL; i++)
    if (g_strcmp0 (fil_target_row_get_name (row_at (self, i)), name) == 0)
      gtk_list_box_select_row (GTK_LIST_BOX (self->rows), GTK_LIST_BOX_ROW (row_at (self, i)));
}

/* Another in its place: the order stays, and so does what is recorded. */
static void
replace_target (FilTargetsPane *self,
                const char     *name,
                FilTarget      *target)
{
  gboolean current = g_strcmp0 (self->list->current, name) == 0;
  g_autofree char *new_name = g_strdup (target->name);
  int position = -1;

  fil_target_free (fil_target_list_take (self->list, name, &position));
  fil_target_list_add (self->list, target, position, NULL);
  if (!current)
    return;
  fil_target_list_set_current (self->list, new_name);
  if (g_strcmp0 (name, new_name) != 0)
    g_signal_emit (self, changed_signal, 0);
}

static void
response_cb (FilTargetDialog *dialog,
             const char      *response,
             FilTargetsPane  *self)
{
  const char *edited = g_object_get_data (G_OBJECT (dialog), "edited");
  FilTarget *target = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *name = NULL;

  if (self->list != NULL && g_str_equal (response, "save"))
    target = fil_target_dialog_dup_target (dialog);
  if (target == NULL)
    return;

  name = g_strdup (target->name);
  if (edited != NULL && fil_target_list_find (self->list, edited) != NULL)
    replace_target (self, edited, target);
  else if (!fil_target_list_add (self->list, target, -1, &error))
    {
      show_trouble (self, error->message);
      return;
    }
  keep (self);
  select_name (self, name);
  show_selected (self, get_time (self));
}

static void
open_dialog (FilTargetsPane  *self,
             const FilTarget *edited)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  FilTargetDialog *dialog = fil_target_dialog_new (GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL,
                                                   self->list, edited, get_time (self),
                                                   &self->patch);

  if (dialog == NULL)
    return;
  g_object_set_data_full (G_OBJECT (dialog), "edited",
                          edited != NULL ? g_strdup (edited->name) : NULL, g_free);
  g_signal_connect_object (dialog, "response", G_CALLBACK (response_cb), self, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

static void
add_cb (FilTargetsPane *self)
{
  open_dialog (self, NULL);
}

static void
edit_cb (FilTargetsPane *self)
{
  const FilTarget *target = get_selected (self);

  if (target != NULL)
    open_dialog (self, target);
}

static void
remove_cb (FilTargetsPane *self)
{
  const FilTarget *target = get_selected (self);
  g_autofree char *name = NULL;

  if (target == NULL)
    return;
  name = g_strdup (target->name);
  fil_target_free (self->removed);
  self->removed_current = g_strcmp0 (self->list->current, name) == 0;
  if (self->removed_current)
    set_current (self, NULL);
  self->removed = fil_target_list_take (self->list, name, &self->removed_from);
  keep (self);
}

static void
undo_cb (FilTargetsPane *self)
{
  g_autofree char *name = NULL;
  g_autoptr (GError) error = NULL;

  if (self->removed == NULL)
    return;
  name = g_strdup (self->removed->name);
  if (!fil_target_list_add (self->list, g_steal_pointer (&self->removed), self->removed_from,
                            &error))
    {
      show_trouble (self, error->message);
      show_undo (self);
      return;
    }
  if (self->removed_current)
    set_current (self, name);
  keep (self);
  select_name (self, name);
}

static void
selected_cb (FilTargetsPane *self)
{
  show_selected (self, get_time (self));
}

static void
tracer_cb (FilTargetsPane *self)
{
  if (self->setting)
    return;
  self->list->rotation = (FilRotation) gtk_drop_down_get_selected (self->tracer_drop);
  keep (self);
}

static gboolean
key_cb (GtkEventControllerKey *controller,
        guint                  keyval,
        guint                  keycode,
        GdkModifierType        state,
        FilTargetsPane        *self)
{
  if (keyval == GDK_KEY_Delete)
    remove_cb (self);
  else if (keyval == GDK_KEY_F2)
    edit_cb (self);
  else if (keyval == GDK_KEY_Insert)
    add_cb (self);
  else
    return FALSE;

  return TRUE;
}

static gboolean
tick_cb (gpointer user_data)
{
  FilTargetsPane *self = user_data;

  if (self->time_ns == FIL_TARGETS_CLOCK)
    update (self);

  return G_SOURCE_CONTINUE;
}

/* Places go on only while somebody can see them. */
static void
map_cb (FilTargetsPane *self)
{
  update (self);
  if (self->timer == 0)
    self->timer = g_timeout_add_seconds (TICK_S, tick_cb, self);
}

static void
unmap_cb (FilTargetsPane *self)
{
  g_clear_handle_id (&self->timer, g_source_remove);
}

/* How it is built ------------------------------------------------------------ */

static GtkLabel *
make_label (const char *text,
            const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);

  return GTK_LABEL (label);
}

static GtkWidget *
add_button (FilTargetsPane *self,
            GtkWidget      *bar,
            const char     *text,
            GCallback       callback)
{
  GtkWidget *button = gtk_button_new_with_label (text);

  g_signal_connect_swapped (button, "clicked", callback, self);
  gtk_box_append (GTK_BOX (bar), button);

  return button;
}

static void
build_list (FilTargetsPane *self)
{
  GtkEventController *keys = gtk_event_controller_key_new ();
  GtkWidget *bar = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);

  self->trouble = make_label (NULL, "refusal");
  gtk_widget_set_visible (GTK_WIDGET (self->trouble), FALSE);
  self->rows = gtk_list_box_new ();
  gtk_widget_add_css_class (self->rows, "target-list");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->rows), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Targets"), -1);
  g_signal_connect_swapped (self->rows, "row-selected", G_CALLBACK (selected_cb), self);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (key_cb), self);
  gtk_widget_add_controller (self->rows, keys);
  self->empty = GTK_WIDGET (make_label (
    _("No targets yet. Name a spot group, and its place is told for the days to come."),
    "caption"));

  gtk_widget_add_css_class (bar, "targets-bar");
  add_button (self, bar, _("Add…"), G_CALLBACK (add_cb));
  self->edit_button = add_button (self, bar, _("Change…"), G_CALLBACK (edit_cb));
  self->remove_button = add_button (self, bar, _("Remove"), G_CALLBACK (remove_cb));
  self->undo_button = add_button (self, bar, _("Undo"), G_CALLBACK (undo_cb));

  gtk_box_append (GTK_BOX (self->box), GTK_WIDGET (make_label (_("Targets"), "targets-title")));
  gtk_box_append (GTK_BOX (self->box), GTK_WIDGET (self->trouble));
  gtk_box_append (GTK_BOX (self->box), self->empty);
  gtk_box_append (GTK_BOX (self->box), self->rows);
  gtk_box_append (GTK_BOX (self->box), bar);
}

static void
build_days (FilTargetsPane *self)
{
  const char *texts[FIL_N_ROTATIONS + 1] = { NULL };

  self->later = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  for (guint i = 0; i < FIL_N_ROTATIONS; i++)
    texts[i] = fil_rotation_to_text ((FilRotation) i);
  self->days_title = make_label (NULL, "targets-title");
  self->days = fil_target_days_new ();
  self->tracer_drop = GTK_DROP_DOWN (gtk_drop_down_new_from_strings (texts));
  self->tracer_note = make_label (NULL, "caption");
  gtk_widget_set_halign (GTK_WIDGET (self->tracer_drop), GTK_ALIGN_START);
  gtk_widget_set_margin_top (GTK_WIDGET (self->tracer_drop), 8);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->tracer_drop),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("What the Sun’s rotation is taken from"), -1);
  g_signal_connect_swapped (self->tracer_drop, "notify::selected", G_CALLBACK (tracer_cb), self);
  gtk_box_append (GTK_BOX (self->later), GTK_WIDGET (self->days_title));
  gtk_box_append (GTK_BOX (self->later), self->days);
  gtk_box_append (GTK_BOX (self->later), GTK_WIDGET (self->tracer_drop));
  gtk_box_append (GTK_BOX (self->later), GTK_WIDGET (self->tracer_note));
  gtk_box_append (GTK_BOX (self->box), self->later);
}

static void
fil_targets_pane_dispose (GObject *object)
{
  FilTargetsPane *self = FIL_TARGETS_PANE (object);

  g_clear_handle_id (&self->timer, g_source_remove);
  g_clear_object (&self->map);
  /* The rows' selection is told while they go. */
  if (self->rows != NULL)
    g_signal_handlers_disconnect_by_data (self->rows, self);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  self->rows = NULL;

  G_OBJECT_CLASS (fil_targets_pane_parent_class)->dispose (object);
}

static void
fil_targets_pane_finalize (GObject *object)
{
  FilTargetsPane *self = FIL_TARGETS_PANE (object);

  fil_target_free (self->removed);
  fil_target_list_free (self->list);
  g_free (self->path);

  G_OBJECT_CLASS (fil_targets_pane_parent_class)->finalize (object);
}

static void
fil_targets_pane_class_init (FilTargetsPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_targets_pane_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_targets_pane_finalize;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "targets");
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
  changed_signal = g_signal_new ("target-changed", FIL_TYPE_TARGETS_PANE, G_SIGNAL_RUN_LAST, 0,
                                 NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
fil_targets_pane_init (FilTargetsPane *self)
{
  self->time_ns = FIL_TARGETS_CLOCK;
  self->list = fil_target_list_new ();
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_widget_add_css_class (self->box, "targets-box");
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  build_list (self);
  build_days (self);
  g_signal_connect (self, "map", G_CALLBACK (map_cb), NULL);
  g_signal_connect (self, "unmap", G_CALLBACK (unmap_cb), NULL);
}

/* As fil_targets_pane_new(), with the list of another file. */
GtkWidget *
fil_targets_pane_new_for_path (const char *path)
{
  FilTargetsPane *self = g_object_new (FIL_TYPE_TARGETS_PANE, NULL);
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;

  self->path = g_strdup (path);
  if (!fil_target_list_load (self->list, path, &error))
    {
      text = g_strdup_printf (_("%s. The file stays as it is. What you do here lasts until the "
                                "program ends."), error->message);
      show_trouble (self, text);
    }
  update (self);

  return GTK_WIDGET (self);
}

/**
 * fil_targets_pane_new:
 *
 * The observer's own list, read at once and kept with every change. It doesn't
 * scroll by itself, and needs some 340 px in width.
 */
GtkWidget *
fil_targets_pane_new (void)
{
  g_autofree char *path = fil_target_list_dup_path ();

  return fil_targets_pane_new_for_path (path);
}

/* @utc_ns: the time that is shown; %FIL_TARGETS_CLOCK: now, which is how it begins */
void
fil_targets_pane_set_time (FilTargetsPane *self,
                           gint64          utc_ns)
{
  g_return_if_fail (FIL_IS_TARGETS_PANE (self));

  self->time_ns = utc_ns;
  update (self);
}

/* @patch: (nullable): where the patch lies on the Sun now; %NULL: not known */
void
fil_targets_pane_set_patch (FilTargetsPane      *self,
                            const FilPatchPlace *patch)
{
  g_return_if_fail (FIL_IS_TARGETS_PANE (self));

  self->patch = patch != NULL ? *patch : (FilPatchPlace) { 0 };
}

/* @map: (nullable): shows the Sun and the targets of the time shown from now on */
void
fil_targets_pane_set_map (FilTargetsPane *self,
                          FilDiscMap     *map)
{
  g_return_if_fail (FIL_IS_TARGETS_PANE (self));

  g_set_object (&self->map, map);
  update (self);
}

/* Returns: (nullable) (transfer none): name of the target that is recorded */
const char *
fil_targets_pane_get_current (FilTargetsPane *self)
{
  g_return_val_if_fail (FIL_IS_TARGETS_PANE (self), NULL);

  return self->list->current;
}

/* Returns: (transfer none): to read, not to change */
FilTargetList *
fil_targets_pane_get_list (FilTargetsPane *self)
{
  g_return_val_if_fail (FIL_IS_TARGETS_PANE (self), NULL);

  return self->list;
}
