/* fil-picture-inset.c: where a zoomed view lies in the whole picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-overlay.h"
#include "fil-picture-inset.h"

/* The whole picture is shown within this, logical pixels. */
#define LARGEST_WIDTH  180
#define LARGEST_HEIGHT 120

struct _FilPictureInset
{
  GtkWidget   parent_instance;

  FilView     view;
  GdkTexture *texture;   /* nullable */
};

enum {
  SIGNAL_MOVED,
  N_SIGNALS
};

G_DEFINE_FINAL_TYPE (FilPictureInset, fil_picture_inset, GTK_TYPE_WIDGET)

static guint signals[N_SIGNALS];

/* Logical pixels a picture pixel. */
static double
get_scale (FilPictureInset *self)
{
  if (self->view.picture_width <= 0 || self->view.picture_height <= 0)
    return 0.0;

  return MIN ((double) LARGEST_WIDTH / self->view.picture_width,
              (double) LARGEST_HEIGHT / self->view.picture_height);
}

/* Logical pixels; 0 × 0 without a picture. */
void
fil_picture_inset_get_size (FilPictureInset *self,
                            int             *width,
                            int             *height)
{
  double scale = get_scale (self);

  *width = (int) ceil (scale * self->view.picture_width);
  *height = (int) ceil (scale * self->view.picture_height);
}

static void
fil_picture_inset_measure (GtkWidget      *widget,
                           GtkOrientation  orientation,
                           int             for_size,
                           int            *minimum,
                           int            *natural,
                           int            *minimum_baseline,
                           int            *natural_baseline)
{
  int width, height;

  fil_picture_inset_get_size (FIL_PICTURE_INSET (widget), &width, &height);
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? width : height;
}

static void
fil_picture_inset_snapshot (GtkWidget   *widget,
                            GtkSnapshot *snapshot)
{
  FilPictureInset *self = FIL_PICTURE_INSET (widget);
  double scale = get_scale (self);
  graphene_rect_t all = GRAPHENE_RECT_INIT (0, 0, (float) gtk_widget_get_width (widget),
                                            (float) gtk_widget_get_height (widget));
  graphene_rect_t seen;
  FilRect shown;
  FilRegion region;

  if (!fil_view_get_shown (&self->view, &shown, &region))
    return;

  if (self->texture != NULL)
    gtk_snapshot_append_texture (snapshot, self->texture, &all);

  seen = GRAPHENE_RECT_INIT ((float) round (scale * region.x), (float) round (scale * region.y),
                             (float) MAX (round (scale * region.width), 4.0),
                             (float) MAX (round (scale * region.height), 4.0));
  gtk_snapshot_push_clip (snapshot, &all);
  fil_overlay_append_frame (snapshot, &seen, FIL_OVERLAY_WHITE);
  gtk_snapshot_pop (snapshot);
}

static void
move_to (FilPictureInset *self,
         double           x,
         double           y)
{
  double scale = get_scale (self);

  if (scale > 0.0)
    g_signal_emit (self, signals[SIGNAL_MOVED], 0, x / scale, y / scale);
}

static void
drag_begin_cb (GtkGestureDrag  *gesture,
               double           x,
               double           y,
               FilPictureInset *self)
{
  gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
  move_to (self, x, y);
}

static void
drag_update_cb (GtkGestureDrag  *gesture,
                double           dx,
                double           dy,
                FilPictureInset *self)
{
  double x, y;

  if (gtk_gesture_drag_get_start_point (gesture, &x, &y))
    move_to (self, x + dx, y + dy);
}

/* @view: copied */
void
fil_picture_inset_set_view (FilPictureInset *self,
                            const FilView   *view)
{
  gboolean resized = view->picture_width != self->view.picture_width ||
                     view->picture_height != self->view.picture_height;

  self->view = *view;
  if (resized)
    {
      g_clear_object (&self->texture);
      gtk_widget_queue_resize (GTK_WIDGET (self));
    }
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* @texture: (nullable): the whole picture */
void
fil_picture_inset_set_texture (FilPictureInset *self,
                               GdkTexture      *texture)
{
  if (g_set_object (&self->texture, texture))
    gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
fil_picture_inset_dispose (GObject *object)
{
  g_clear_object (&FIL_PICTURE_INSET (object)->texture);

  G_OBJECT_CLASS (fil_picture_inset_parent_class)->dispose (object);
}

static void
fil_picture_inset_class_init (FilPictureInsetClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_picture_inset_dispose;
  widget_class->measure = fil_picture_inset_measure;
  widget_class->snapshot = fil_picture_inset_snapshot;

  signals[SIGNAL_MOVED] =
    g_signal_new ("moved", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                  NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);

  gtk_widget_class_set_css_name (widget_class, "filinset");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_picture_inset_init (FilPictureInset *self)
{
  GtkGesture *drag = gtk_gesture_drag_new ();

  fil_view_init (&self->view);
  g_signal_connect (drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drag));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Where the view lies in the whole picture"), -1);
}

FilPictureInset *
fil_picture_inset_new (void)
{
  return g_object_new (FIL_TYPE_PICTURE_INSET, NULL);
}
