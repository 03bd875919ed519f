/* fil-picture-plates.c: text over the picture, and that nothing lies on it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-picture-private.h"

#define BETWEEN 6.0f   /* from one plate to the next, logical pixels */

GtkWidget *
fil_picture_plate_new (FilPicture *self,
                       const char *text)
{
  GtkWidget *plate = gtk_label_new (text);

  gtk_widget_add_css_class (plate, "plate");
  gtk_widget_set_can_target (plate, FALSE);
  gtk_widget_set_parent (plate, GTK_WIDGET (self));

  return plate;
}

void
fil_picture_place (GtkWidget *child,
                   int        x,
                   int        y,
                   int        width,
                   int        height)
{
  gtk_widget_size_allocate (child, &(GtkAllocation) { x, y, width, height }, -1);
}

/* The same, and the place is taken. */
void
fil_picture_place_plate (FilPicture *self,
                         GtkWidget  *plate,
                         int         x,
                         int         y,
                         int         width,
                         int         height)
{
  fil_picture_place (plate, x, y, width, height);
  fil_picture_take (self, &GRAPHENE_RECT_INIT ((float) x, (float) y, (float) width,
                                               (float) height));
}

void
fil_picture_measure_plate (GtkWidget *plate,
                           int       *width,
                           int       *height)
{
  GtkRequisition natural;

  gtk_widget_get_preferred_size (plate, NULL, &natural);
  *width = natural.width;
  *height = natural.height;
}

/* Until all is laid out anew, nothing else is put there. */
void
fil_picture_take (FilPicture            *self,
                  const graphene_rect_t *rect)
{
  g_array_append_val (self->taken, *rect);
}

/* Whether a plate may stand there, with some room around it. */
gboolean
fil_picture_is_free (FilPicture            *self,
                     const graphene_rect_t *rect)
{
  graphene_rect_t wide;

  graphene_rect_inset_r (rect, -BETWEEN, -BETWEEN, &wide);
  for (guint i = 0; i < self->taken->len; i++)
    if (graphene_rect_intersection (&wide, &g_array_index (self->taken, graphene_rect_t, i),
                                    NULL))
      return FALSE;

  return TRUE;
}

/**
 * fil_picture_get_shown:
 * @shown: (out): the part of the widget that the picture covers, logical pixels
 *
 * Returns: %FALSE where nothing of a picture is to be seen
 */
gboolean
fil_picture_get_shown (FilPicture      *self,
                       graphene_rect_t *shown)
{
  float scale = (float) gtk_widget_get_scale_factor (GTK_WIDGET (self));
  FilRegion region;
  FilRect rect;

  if (self->frame == NULL || fil_picture_has_message (self) ||
      !fil_view_get_shown (&self->view, &rect, &region))
    return FALSE;

  *shown = GRAPHENE_RECT_INIT ((float) rect.x / scale, (float) rect.y / scale,
                               (float) rect.width / scale, (float) rect.height / scale);

  return TRUE;
}

/* From picture pixels to logical ones. */
void
fil_picture_from_point (FilPicture        *self,
                        const FilSkyPoint *point,
                        double            *x,
                        double            *y)
{
  double scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  double left, top;

  fil_view_get_origin (&self->view, &left, &top);
  *x = (left + self->view.zoom * point->x) / scale;
  *y = (top + self->view.zoom * point->y) / scale;
}

void
fil_picture_to_point (FilPicture  *self,
                      double       x,
                      double       y,
                      FilSkyPoint *point)
{
  double scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));

  fil_view_to_picture (&self->view, x * scale, y * scale, &point->x, &point->y);
}
