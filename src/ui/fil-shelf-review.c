/* fil-shelf-review.c: the clips of the folder, opened and played
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>

#include <glib/gi18n.h>

#include "fil-clip-item.h"
#include "fil-folder.h"
#include "fil-shelf-review.h"
#include "fil-trace-graph.h"

struct _FilShelfReview
{
  GtkBox              parent_instance;

  GSettings          *settings;
  GListStore         *items;         /* of FilClipItem */
  GtkSingleSelection *selection;
  GCancellable       *listing;       /* of the listing under way; NULL: none */
  FilPlayer          *player;        /* NULL: no clip is open */
  char               *open_path;
  gboolean            moving;        /* the program moves the position */

  GtkStack           *clips_stack;
  GtkLabel           *none_label, *position_label, *play_label;
  GtkListView        *list_view;
  FilTraceGraph      *graph;
  GtkScale           *position_scale;
  GtkAdjustment      *position_adjustment;
  GtkButton          *play_button;
};

enum
{
  SIGNAL_FRAME,
  SIGNAL_OPENED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilShelfReview, fil_shelf_review, GTK_TYPE_BOX)

/* The list --------------------------------------------------------------- */

static void
setup_cb (GtkSignalListItemFactory *factory,
          GtkListItem              *list_item,
          gpointer                  user_data)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  GtkWidget *picture = gtk_picture_new ();
  GtkWidget *title = gtk_label_new (NULL), *detail = gtk_label_new (NULL);

  gtk_widget_set_size_request (picture, 132, 75);
  gtk_widget_set_overflow (picture, GTK_OVERFLOW_HIDDEN);
  gtk_widget_add_css_class (picture, "thumbnail");
  gtk_label_set_xalign (GTK_LABEL (title), 0.0);
  gtk_label_set_ellipsize (GTK_LABEL (title), PANGO_ELLIPSIZE_END);
  gtk_label_set_max_width_chars (GTK_LABEL (title), 16);
  gtk_widget_add_css_class (title, "clip-time");
  gtk_label_set_xalign (GTK_LABEL (detail), 0.0);
  gtk_label_set_ellipsize (GTK_LABEL (detail), PANGO_ELLIPSIZE_END);
  gtk_label_set_max_width_chars (GTK_LABEL (detail), 18);
  gtk_widget_add_css_class (detail, "caption");
  gtk_box_append (GTK_BOX (box), picture);
  gtk_box_append (GTK_BOX (box), title);
  gtk_box_append (GTK_BOX (box), detail);
  gtk_list_item_set_child (list_item, box);
}

static void
bind_cb (GtkSignalListItemFactory *factory,
         GtkListItem              *list_item,
         gpointer                  user_data)
{
  FilClipItem *item = gtk_list_item_get_item (list_item);
  GtkWidget *picture = gtk_widget_get_first_child (gtk_list_item_get_child (list_item));
  GtkWidget *title = gtk_widget_get_next_sibling (picture);
  GtkWidget *detail = gtk_widget_get_next_sibling (title);

  gtk_picture_set_paintable (GTK_PICTURE (picture), fil_clip_item_get_picture (item));
  gtk_label_set_text (GTK_LABEL (title), fil_clip_item_get_title (item));
  gtk_label_set_text (GTK_LABEL (detail), fil_clip_item_get_detail (item));
  gtk_widget_set_tooltip_text (gtk_list_item_get_child (list_item),
                               fil_clip_item_get_path (item));
}

static void
listed_cb (GObject      *object,
           GAsyncResult *result,
           gpointer      user_data)
{
  g_autoptr (FilShelfReview) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) items = fil_clip_item_list_finish (result, &error);
  g_autofree char *folder = NULL, *text = NULL;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED) || self->settings == NULL)
    return;

  g_clear_object (&self->listing);
  g_list_store_splice (self->items, 0, g_list_model_get_n_items (G_LIST_MODEL (self->items)),
                       items != NULL ? items->pdata : NULL, items != NULL ? items->len : 0);
  folder = fil_folder_dup (self->settings);
  text = g_strdup_printf (_("No clips yet in “%s”. What you record appears here."), folder);
  gtk_label_set_text (self->none_label, text);
  gtk_stack_set_visible_child_name (self->clips_stack,
                                    items != NULL && items->len > 0 ? "clips" : "none");
}

/* Looks into the folder again. */
void
fil_shelf_review_reload (FilShelfReview *self)
{
  g_autofree char *folder = NULL;

  g_return_if_fail (FIL_IS_SHELF_REVIEW (self));

  if (self->listing != NULL)
    g_cancellable_cancel (self->listing);
  g_clear_object (&self->listing);
  self->listing = g_cancellable_new ();
  folder = fil_folder_dup (self->settings);
  fil_clip_item_list_async (folder, self->listing, listed_cb, g_object_ref (self));
}

/* The player -------------------------------------------------------------- */

static void
show_play_text (FilShelfReview *self,
                const char     *text)
{
  gtk_label_set_text (self->play_label, text);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->play_button),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

static void
show_position (FilShelfReview *self)
{
  guint64 n = fil_player_get_n_frames (self->player);
  guint64 position = fil_player_get_position (self->player);
  const FilClipRow *rows = fil_player_get_rows (self->player);
  const char *error = fil_player_get_error (self->player);
  g_autofree char *name = g_path_get_basename (self->open_path);
  g_autofree char *text = NULL;

  self->moving = TRUE;
  gtk_adjustment_set_value (self->position_adjustment, (double) position);
  self->moving = FALSE;

  if (error != NULL)
    text = g_strdup_printf (_("%s: %s"), name, error);
  else if (rows != NULL && isfinite (rows[position].sharpness))
    text = g_strdup_printf (_("frame %" PRIu64 " of %" PRIu64
                              " · %.2f s · sharpness %.2f %% · %s"),
                            position + 1, n, rows[position].time_s, rows[position].sharpness,
                            name);
  else
    text = g_strdup_printf (_("frame %" PRIu64 " of %" PRIu64 " · %s"),
                            position + 1, n, name);
  gtk_label_set_text (self->position_label, text);
  show_play_text (self, fil_player_is_playing (self->player) ? _("Pause") : _("Play"));
}

static void
player_frame_cb (FilShelfReview *self)
{
  g_signal_emit (self, signals[SIGNAL_FRAME], 0);
}

static void
show_graph (FilShelfReview *self)
{
  const FilClipRow *rows = fil_player_get_rows (self->player);
  guint64 n = fil_player_get_n_frames (self->player);
  g_autoptr (GArray) dots = g_array_new (FALSE, FALSE, sizeof (FilLiveDot));
  guint64 step = MAX (1, n / 2000);

  for (guint64 i = 0; rows != NULL && i < n; i += step)
    {
      FilLiveDot dot = { (gint64) (rows[i].time_s * 1e9), rows[i].sharpness, NAN, NAN, 0 };

      g_array_append_val (dots, dot);
    }
  if (dots->len > 1)
    fil_trace_graph_set_dots (self->graph, (const FilLiveDot *) (void *) dots->data, dots->len,
                              MAX (rows[n - 1].time_s, 0.1));
  else
    fil_trace_graph_clear (self->graph);
}

static gboolean
open_path (FilShelfReview *self,
           const char     *path,
           GError        **error)
{
  FilClip *clip = fil_clip_open (path, error);

  if (clip == NULL)
    return FALSE;

  if (self->player != NULL)
    g_signal_handlers_disconnect_by_data (self->player, self);
  g_clear_object (&self->player);
  g_free (self->open_path);
  self->open_path = g_strdup (path);
  self->player = fil_player_new (clip);
  g_signal_connect_object (self->player, "frame", G_CALLBACK (player_frame_cb), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->player, "state", G_CALLBACK (show_position), self,
                           G_CONNECT_SWAPPED);
  self->moving = TRUE;
  gtk_adjustment_configure (self->position_adjustment, 0.0, 0.0,
                            MAX (1.0, (double) fil_player_get_n_frames (self->player) - 1.0),
                            1.0, 25.0, 0.0);
  self->moving = FALSE;
  gtk_widget_set_sensitive (GTK_WIDGET (self->position_scale),
                            fil_player_get_n_frames (self->player) > 1);
  show_graph (self);
  show_position (self);
  g_signal_emit (self, signals[SIGNAL_OPENED], 0);

  return TRUE;
}

/* Opens a clip, wherever it lies. */
gboolean
fil_shelf_review_open (FilShelfReview *self,
                       const char     *path,
                       GError        **error)
{
  g_return_val_if_fail (FIL_IS_SHELF_REVIEW (self), FALSE);

  return open_path (self, path, error);
}

static void
selected_cb (FilShelfReview *self)
{
  FilClipItem *item = gtk_single_selection_get_selected_item (self->selection);
  g_autoptr (GError) error = NULL;

  if (item == NULL || g_strcmp0 (fil_clip_item_get_path (item), self->open_path) == 0)
    return;
  if (!open_path (self, fil_clip_item_get_path (item), &error))
    gtk_label_set_text (self->position_label, error->message);
}

static void
position_changed_cb (FilShelfReview *self)
{
  if (self->moving || self->player == NULL)
    return;

  fil_player_set_playing (self->player, FALSE);
  fil_player_seek (self->player,
                   (guint64) llround (gtk_adjustment_get_value (self->position_adjustment)));
}

static void
fil_shelf_review_dispose (GObject *object)
{
  FilShelfReview *self = FIL_SHELF_REVIEW (object);

  if (self->listing != NULL)
    g_cancellable_cancel (self->listing);
  g_clear_object (&self->listing);
  g_clear_object (&self->settings);
  g_clear_object (&self->player);
  g_clear_object (&self->selection);
  g_clear_object (&self->items);
  g_clear_pointer (&self->open_path, g_free);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_REVIEW);

  G_OBJECT_CLASS (fil_shelf_review_parent_class)->dispose (object);
}

static void
fil_shelf_review_class_init (FilShelfReviewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_review_dispose;

  signals[SIGNAL_FRAME] = g_signal_new ("frame", FIL_TYPE_SHELF_REVIEW, G_SIGNAL_RUN_LAST, 0,
                                        NULL, NULL, NULL, G_TYPE_NONE, 0);

  signals[SIGNAL_OPENED] = g_signal_new ("opened", FIL_TYPE_SHELF_REVIEW, G_SIGNAL_RUN_LAST, 0,
                                         NULL, NULL, NULL, G_TYPE_NONE, 0);

  g_type_ensure (FIL_TYPE_TRACE_GRAPH);
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-review.ui");
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, clips_stack);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, none_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, position_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, play_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, list_view);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, graph);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, position_scale);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, position_adjustment);
  gtk_widget_class_bind_template_child (widget_class, FilShelfReview, play_button);
}

static void
fil_shelf_review_init (FilShelfReview *self)
{
  GtkListItemFactory *factory;

  gtk_widget_init_template (GTK_WIDGET (self));
  fil_trace_graph_set_whole (self->graph, TRUE);

  self->items = g_list_store_new (FIL_TYPE_CLIP_ITEM);
  self->selection = gtk_single_selection_new (g_object_ref (G_LIST_MODEL (self->items)));
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  gtk_single_selection_set_can_unselect (self->selection, TRUE);
  factory = gtk_signal_list_item_factory_new ();
  g_signal_connect (factory, "setup", G_CALLBACK (setup_cb), NULL);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_cb), NULL);
  gtk_list_view_set_model (self->list_view, GTK_SELECTION_MODEL (self->selection));
  gtk_list_view_set_factory (self->list_view, factory);
  g_object_unref (factory);
  g_signal_connect_object (self->selection, "notify::selected-item", G_CALLBACK (selected_cb),
                           self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->position_adjustment, "value-changed",
                           G_CALLBACK (position_changed_cb), self, G_CONNECT_SWAPPED);
  gtk_label_set_text (self->position_label, _("no clip is open"));
  show_play_text (self, _("Play"));
}

void
fil_shelf_review_set_settings (FilShelfReview *self,
                               GSettings      *settings)
{
  g_return_if_fail (FIL_IS_SHELF_REVIEW (self) && self->settings == NULL);

  self->settings = g_object_ref (settings);
}

/* @full: (out): the count at which its pixels are full, NaN: unknown
 *
 * Returns: (transfer full) (nullable): the frame to show, %NULL: no clip is open */
FilFrame *
fil_shelf_review_dup_frame (FilShelfReview *self,
                            double         *full)
{
  g_return_val_if_fail (FIL_IS_SHELF_REVIEW (self), NULL);

  if (self->player == NULL)
    return NULL;

  *full = fil_player_get_full (self->player);

  return fil_player_dup_frame (self->player);
}

void
fil_shelf_review_pause (FilShelfReview *self)
{
  g_return_if_fail (FIL_IS_SHELF_REVIEW (self));

  if (self->player != NULL)
    fil_player_set_playing (self->player, FALSE);
}

void
fil_shelf_review_toggle (FilShelfReview *self)
{
  g_return_if_fail (FIL_IS_SHELF_REVIEW (self));

  if (self->player != NULL)
    fil_player_set_playing (self->player, !fil_player_is_playing (self->player));
}

const char *
fil_shelf_review_get_path (FilShelfReview *self)
{
  g_return_val_if_fail (FIL_IS_SHELF_REVIEW (self), NULL);

  return self->open_path;
}

/* Returns: whether the clip that is open tells how it lies on the Sun */
gboolean
fil_shelf_review_get_sky (FilShelfReview *self,
                          FilPlace       *place,
                          FilSun         *sun)
{
  g_return_val_if_fail (FIL_IS_SHELF_REVIEW (self), FALSE);

  return self->player != NULL && fil_player_get_sky (self->player, place, sun);
}

double
fil_shelf_review_get_scale (FilShelfReview *self)
{
  g_return_val_if_fail (FIL_IS_SHELF_REVIEW (self), NAN);

  return self->player != NULL ? fil_player_get_scale (self->player) : NAN;
}
