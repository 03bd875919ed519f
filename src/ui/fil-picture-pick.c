/* fil-picture-pick.c: pointing at a place on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-overlay.h"
#include "fil-picture-private.h"

#define FARTHEST 5.0    /* from press to release, or it was a drag; logical pixels */
#define CROSS    22.0   /* half of it */
#define HOLE     6.0    /* that it leaves over what is picked */

static void
end (FilPicture *self)
{
  self->sky.picking = FALSE;
  fil_picture_show_cursor (self);
  fil_picture_overlay_changed (self);
}

static void
put_cross (FilPicture  *self,
           double       x,
           double       y)
{
  FilRegion region;
  FilSkyPoint *cross = &self->sky.cross;

  fil_picture_get_region (self, &region);
  fil_picture_to_point (self, x, y, cross);
  cross->x = CLAMP (cross->x, region.x, region.x + region.width);
  cross->y = CLAMP (cross->y, region.y, region.y + region.height);
  fil_picture_overlay_changed (self);
}

static void
pick (FilPicture *self)
{
  double x, y;

  if (self->frame == NULL)
    return;

  /* Frames may have become smaller meanwhile. */
  x = CLAMP (self->sky.cross.x, 0.0, self->frame->width) + 0.5;
  y = self->frame->height - CLAMP (self->sky.cross.y, 0.0, self->frame->height) + 0.5;
  end (self);
  fil_picture_emit_picked (self, x, y);
}

/**
 * fil_picture_set_picking:
 * @picking: whether the user is asked for a place
 *
 * A cross hair follows the pointer, or the arrow keys (with Ctrl one pixel of
 * the screen); it begins in the middle of what is seen. A click or Enter emits
 * "picked" with its FITS pixel, Esc "pick-cancelled"; either ends it. A drag
 * still pans.
 */
void
fil_picture_set_picking (FilPicture *self,
                         gboolean    picking)
{
  FilRegion region;

  g_return_if_fail (FIL_IS_PICTURE (self));

  if (self->sky.picking == !!picking)
    return;

  self->sky.picking = !!picking;
  fil_picture_get_region (self, &region);
  self->sky.cross = (FilSkyPoint) { region.x + region.width / 2.0,
                                    region.y + region.height / 2.0 };
  if (picking)
    gtk_widget_grab_focus (GTK_WIDGET (self));
  fil_picture_show_cursor (self);
  fil_picture_overlay_changed (self);
}

gboolean
fil_picture_get_picking (FilPicture *self)
{
  g_return_val_if_fail (FIL_IS_PICTURE (self), FALSE);

  return self->sky.picking;
}

/* Returns: whether the press is for picking */
gboolean
fil_picture_pick_press (FilPicture *self,
                        double      x,
                        double      y)
{
  self->sky.pressed_x = x;
  self->sky.pressed_y = y;

  return self->sky.picking;
}

/* Returns: whether a place was picked */
gboolean
fil_picture_pick_release (FilPicture *self,
                          double      x,
                          double      y)
{
  graphene_rect_t shown;

  if (!self->sky.picking || !fil_picture_get_shown (self, &shown) ||
      hypot (x - self->sky.pressed_x, y - self->sky.pressed_y) > FARTHEST ||
      !graphene_rect_contains_point (&shown, &GRAPHENE_POINT_INIT ((float) x, (float) y)))
    return FALSE;

  put_cross (self, x, y);
  pick (self);

  return TRUE;
}

void
fil_picture_pick_move (FilPicture *self,
                       double      x,
                       double      y)
{
  if (self->sky.picking && !self->panning)
    put_cross (self, x, y);
}

/**
 * fil_picture_pick_step:
 * @dx: logical pixels to the right
 * @dy: and down
 *
 * Returns: %FALSE where nothing is being picked
 */
gboolean
fil_picture_pick_step (FilPicture *self,
                       double      dx,
                       double      dy)
{
  double x, y;

  if (!self->sky.picking || self->frame == NULL)
    return FALSE;

  fil_picture_from_point (self, &self->sky.cross, &x, &y);
  put_cross (self, x + dx, y + dy);

  return TRUE;
}

static gboolean
enter_cb (GtkWidget *widget,
          GVariant  *args,
          gpointer   user_data)
{
  FilPicture *self = FIL_PICTURE (widget);

  if (!self->sky.picking)
    return FALSE;

  pick (self);

  return TRUE;
}

static gboolean
escape_cb (GtkWidget *widget,
           GVariant  *args,
           gpointer   user_data)
{
  FilPicture *self = FIL_PICTURE (widget);

  if (!self->sky.picking)
    return FALSE;

  end (self);
  fil_picture_emit_pick_cancelled (self);

  return TRUE;
}

void
fil_picture_pick_class (GtkWidgetClass *widget_class)
{
  static const guint enter_keys[] = { GDK_KEY_Return, GDK_KEY_KP_Enter, GDK_KEY_ISO_Enter };

  for (gsize i = 0; i < G_N_ELEMENTS (enter_keys); i++)
    gtk_widget_class_add_binding (widget_class, enter_keys[i], 0, enter_cb, NULL);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Escape, 0, escape_cb, NULL);
}

/* The cross, over everything. */
void
fil_picture_pick_append (FilPicture  *self,
                         GtkSnapshot *snapshot)
{
  static const struct { double width; const char *colour; } strokes[] = {
    { 6.0, FIL_OVERLAY_DARK }, { 2.0, FIL_OVERLAY_AMBER },
  };
  const float half = CROSS + 4.0f;
  double x, y;
  cairo_t *cr;

  if (!self->sky.picking || self->frame == NULL || fil_picture_has_message (self))
    return;

  fil_picture_from_point (self, &self->sky.cross, &x, &y);
  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT ((float) x - half,
                                                                 (float) y - half, 2 * half,
                                                                 2 * half));
  for (gsize i = 0; i < G_N_ELEMENTS (strokes); i++)
    {
      GdkRGBA colour = { 0 };
      double longer = i == 0 ? 2.0 : 0.0;

      gdk_rgba_parse (&colour, strokes[i].colour);
      gdk_cairo_set_source_rgba (cr, &colour);
      cairo_set_line_width (cr, strokes[i].width);
      for (int side = -1; side <= 1; side += 2)
        {
          cairo_move_to (cr, x + side * (HOLE - longer), y);
          cairo_line_to (cr, x + side * (CROSS + longer), y);
          cairo_move_to (cr, x, y + side * (HOLE - longer));
          cairo_line_to (cr, x, y + side * (CROSS + longer));
        }
      cairo_stroke (cr);
    }
  cairo_destroy (cr);
}
