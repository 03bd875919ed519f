/* fil-picture-input.c: the picture by pointer and by keys
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-picture-private.h"

#define ARROW_SHARE 0.1   /* of the widget that an arrow key pans */
#define PICK_STEP   10.0  /* that it moves the cross, logical pixels */

/* Pointer places come in logical pixels, the view counts those of the screen. */
static double
to_screen (FilPicture *self,
           double      logical)
{
  return logical * gtk_widget_get_scale_factor (GTK_WIDGET (self));
}

static void
zoom_about_pointer (FilPicture *self,
                    double      zoom)
{
  fil_view_zoom_about (&self->view, zoom, to_screen (self, self->pointer_x),
                       to_screen (self, self->pointer_y));
  fil_picture_view_changed (self);
}

static gboolean
can_be_moved (FilPicture *self)
{
  return self->frame != NULL && !fil_picture_has_message (self);
}

/* Nothing is held where the view lies wholly inside the patch: a drag pans. */
static FilPatchPart
part_at (FilPicture *self,
         double      x,
         double      y)
{
  graphene_rect_t area, view;

  if (!fil_picture_has_patch (self) || self->sky.picking)
    return FIL_PATCH_NOTHING;

  view = GRAPHENE_RECT_INIT (0, 0, (float) gtk_widget_get_width (GTK_WIDGET (self)),
                             (float) gtk_widget_get_height (GTK_WIDGET (self)));
  fil_picture_get_patch_area (self, &area);
  if (graphene_rect_contains_rect (&area, &view))
    return FIL_PATCH_NOTHING;

  return fil_patch_hit (&area, x, y);
}

/* By what a press would do. */
void
fil_picture_show_cursor (FilPicture *self)
{
  const char *name = NULL;

  if (self->panning)
    name = "grabbing";
  else if (self->sky.picking)
    name = "crosshair";
  else if (can_be_moved (self))
    name = fil_patch_get_cursor (self->part != FIL_PATCH_NOTHING
                                   ? self->part
                                   : part_at (self, self->pointer_x, self->pointer_y));
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), name);
}

static void
motion_cb (GtkEventControllerMotion *motion,
           double                    x,
           double                    y,
           FilPicture               *self)
{
  /* A pointer that rests is told of too, whenever something else is laid out:
   * it mustn't take the cross away from the keys. */
  if (x != self->pointer_x || y != self->pointer_y)
    fil_picture_pick_move (self, x, y);
  self->pointer_x = x;
  self->pointer_y = y;
  fil_picture_sky_point_at (self, TRUE, x, y);
  fil_picture_show_cursor (self);
}

static void
leave_cb (GtkEventControllerMotion *motion,
          FilPicture               *self)
{
  fil_picture_sky_point_at (self, FALSE, self->pointer_x, self->pointer_y);
}

static gboolean
scroll_cb (GtkEventControllerScroll *scroll,
           double                    dx,
           double                    dy,
           FilPicture               *self)
{
  int steps;

  if (!can_be_moved (self))
    return GDK_EVENT_PROPAGATE;

  /* Smooth wheels and pads send parts of a step. */
  self->scrolled -= dy;
  steps = (int) self->scrolled;
  self->scrolled -= steps;
  if (steps != 0)
    zoom_about_pointer (self, fil_view_get_step (&self->view, steps));

  return GDK_EVENT_STOP;
}

static void
pinch_begin_cb (GtkGesture       *gesture,
                GdkEventSequence *sequence,
                FilPicture       *self)
{
  self->pinch_from = self->view.zoom;
}

static void
pinch_cb (GtkGestureZoom *gesture,
          double          scale,
          FilPicture     *self)
{
  double x, y;

  if (!can_be_moved (self) || !(scale > 0.0) ||
      !gtk_gesture_get_bounding_box_center (GTK_GESTURE (gesture), &x, &y))
    return;

  self->pointer_x = x;
  self->pointer_y = y;
  zoom_about_pointer (self, self->pinch_from * scale);
}

static void
pressed_cb (GtkGestureClick *gesture,
            int              n_press,
            double           x,
            double           y,
            FilPicture      *self)
{
  self->pointer_x = x;
  self->pointer_y = y;
  if (fil_picture_pick_press (self, x, y) || !can_be_moved (self) || n_press != 2)
    return;

  if (self->view.fit)
    zoom_about_pointer (self, 1.0);
  else
    fil_picture_fit (self);
}

static void
released_cb (GtkGestureClick *gesture,
             int              n_press,
             double           x,
             double           y,
             FilPicture      *self)
{
  fil_picture_pick_release (self, x, y);
}

static void
drag_begin_cb (GtkGestureDrag *gesture,
               double          x,
               double          y,
               FilPicture     *self)
{
  guint button = gtk_gesture_single_get_current_button (GTK_GESTURE_SINGLE (gesture));

  if (!can_be_moved (self))
    {
      gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_DENIED);
      return;
    }

  self->part = button == GDK_BUTTON_PRIMARY ? part_at (self, x, y) : FIL_PATCH_NOTHING;
  self->part_from = self->patch;
  self->pan_from = self->view;
  self->panning = self->part == FIL_PATCH_NOTHING;
  gtk_widget_grab_focus (self->panning ? GTK_WIDGET (self) : self->patch_box);
  fil_picture_show_cursor (self);
}

static void
drag_update_cb (GtkGestureDrag *gesture,
                double          dx,
                double          dy,
                FilPicture     *self)
{
  double across = to_screen (self, dx);
  double down = to_screen (self, dy);
  FilRect patch;

  if (self->frame == NULL)
    return;
  if (self->panning)
    {
      self->view.x = self->pan_from.x;
      self->view.y = self->pan_from.y;
      fil_view_pan (&self->view, across, down);
      fil_picture_view_changed (self);
      return;
    }

  patch = fil_patch_drag (&self->part_from, self->part, across / self->view.zoom,
                          down / self->view.zoom, self->frame->width, self->frame->height);
  fil_picture_move_patch (self, &patch);
}

static void
drag_end_cb (GtkGestureDrag *gesture,
             double          dx,
             double          dy,
             FilPicture     *self)
{
  FilPatchPart held = self->part;
  FilRect patch = self->patch;

  self->part = FIL_PATCH_NOTHING;
  self->panning = FALSE;
  fil_picture_show_cursor (self);
  if (held != FIL_PATCH_NOTHING && memcmp (&patch, &self->part_from, sizeof patch) != 0)
    fil_picture_move_patch (self, &patch);
}

static void
nudge_cb (FilPicturePatch *box,
          int              part,
          int              dx,
          int              dy,
          FilPicture      *self)
{
  FilRect patch;

  if (!fil_picture_has_patch (self))
    return;

  patch = fil_patch_drag (&self->patch, (FilPatchPart) part, dx, dy, self->frame->width,
                          self->frame->height);
  if (memcmp (&patch, &self->patch, sizeof patch) != 0)
    fil_picture_move_patch (self, &patch);
}

void
fil_picture_input_init (FilPicture *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  GtkEventController *motion = gtk_event_controller_motion_new ();
  GtkEventController *scroll =
    gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_VERTICAL);
  GtkGesture *pinch = gtk_gesture_zoom_new ();
  GtkGesture *click = gtk_gesture_click_new ();
  GtkGesture *drag = gtk_gesture_drag_new ();

  gtk_gesture_single_set_button (GTK_GESTURE_SINGLE (drag), 0);
  g_signal_connect (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (leave_cb), self);
  g_signal_connect (scroll, "scroll", G_CALLBACK (scroll_cb), self);
  g_signal_connect (pinch, "begin", G_CALLBACK (pinch_begin_cb), self);
  g_signal_connect (pinch, "scale-changed", G_CALLBACK (pinch_cb), self);
  g_signal_connect (click, "pressed", G_CALLBACK (pressed_cb), self);
  g_signal_connect (click, "released", G_CALLBACK (released_cb), self);
  g_signal_connect (drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  g_signal_connect (drag, "drag-end", G_CALLBACK (drag_end_cb), self);
  gtk_widget_add_controller (widget, motion);
  gtk_widget_add_controller (widget, scroll);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (pinch));
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (click));
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (drag));
  g_signal_connect (self->patch_box, "nudge", G_CALLBACK (nudge_cb), self);
}

static void
zoom_in_cb (GtkWidget  *widget,
            const char *action_name,
            GVariant   *parameter)
{
  fil_picture_zoom_steps (FIL_PICTURE (widget), 1);
}

static void
zoom_out_cb (GtkWidget  *widget,
             const char *action_name,
             GVariant   *parameter)
{
  fil_picture_zoom_steps (FIL_PICTURE (widget), -1);
}

static void
fit_cb (GtkWidget  *widget,
        const char *action_name,
        GVariant   *parameter)
{
  fil_picture_fit (FIL_PICTURE (widget));
}

static void
one_to_one_cb (GtkWidget  *widget,
               const char *action_name,
               GVariant   *parameter)
{
  fil_picture_zoom_to (FIL_PICTURE (widget), 1.0);
}

static gboolean
arrow_cb (GtkWidget *widget,
          GVariant  *args,
          gpointer   user_data)
{
  FilPicture *self = FIL_PICTURE (widget);
  double step = ARROW_SHARE * MIN (self->view.width, self->view.height);
  int dx, dy;

  g_variant_get (args, "(ii)", &dx, &dy);
  if (fil_picture_pick_step (self, PICK_STEP * dx, PICK_STEP * dy))
    return TRUE;

  /* With the whole picture in view the arrows are left to the focus. */
  if (!can_be_moved (self) || self->view.fit)
    return FALSE;

  fil_view_pan (&self->view, -dx * step, -dy * step);
  fil_picture_view_changed (self);

  return TRUE;
}

/* One pixel of the screen. */
static gboolean
fine_arrow_cb (GtkWidget *widget,
               GVariant  *args,
               gpointer   user_data)
{
  int dx, dy;

  g_variant_get (args, "(ii)", &dx, &dy);

  return fil_picture_pick_step (FIL_PICTURE (widget), dx, dy);
}

static void
bind_arrow (GtkWidgetClass *widget_class,
            guint           key,
            guint           keypad_key,
            int             dx,
            int             dy)
{
  gtk_widget_class_add_binding (widget_class, key, 0, arrow_cb, "(ii)", dx, dy);
  gtk_widget_class_add_binding (widget_class, keypad_key, 0, arrow_cb, "(ii)", dx, dy);
  gtk_widget_class_add_binding (widget_class, key, GDK_CONTROL_MASK, fine_arrow_cb, "(ii)", dx,
                                dy);
}

void
fil_picture_input_class (GtkWidgetClass *widget_class)
{
  static const struct
  {
    guint       key;
    const char *action;
  } keys[] = {
    { GDK_KEY_plus, "picture.zoom-in" },      { GDK_KEY_equal, "picture.zoom-in" },
    { GDK_KEY_KP_Add, "picture.zoom-in" },    { GDK_KEY_minus, "picture.zoom-out" },
    { GDK_KEY_KP_Subtract, "picture.zoom-out" },
    { GDK_KEY_0, "picture.fit" },             { GDK_KEY_KP_0, "picture.fit" },
    { GDK_KEY_1, "picture.one-to-one" },      { GDK_KEY_KP_1, "picture.one-to-one" },
  };

  gtk_widget_class_install_action (widget_class, "picture.zoom-in", NULL, zoom_in_cb);
  gtk_widget_class_install_action (widget_class, "picture.zoom-out", NULL, zoom_out_cb);
  gtk_widget_class_install_action (widget_class, "picture.fit", NULL, fit_cb);
  gtk_widget_class_install_action (widget_class, "picture.one-to-one", NULL, one_to_one_cb);
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    gtk_widget_class_add_binding_action (widget_class, keys[i].key, 0, keys[i].action, NULL);
  /* Keyboards have + on a shifted key. */
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_plus, GDK_SHIFT_MASK,
                                       "picture.zoom-in", NULL);

  bind_arrow (widget_class, GDK_KEY_Left, GDK_KEY_KP_Left, -1, 0);
  bind_arrow (widget_class, GDK_KEY_Right, GDK_KEY_KP_Right, 1, 0);
  bind_arrow (widget_class, GDK_KEY_Up, GDK_KEY_KP_Up, 0, -1);
  bind_arrow (widget_class, GDK_KEY_Down, GDK_KEY_KP_Down, 0, 1);
  fil_picture_pick_class (widget_class);
}
