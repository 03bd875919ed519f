/* fil-picture-layout.c: where the picture and what lies over it stand
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-overlay.h"
#include "fil-picture-private.h"

#define MARGIN         18    /* from the widget's edges, logical pixels */
#define GAP            8     /* between a line and its plate */
#define LONGEST_BAR    220.0
#define SMALLEST_EARTH 6.0
#define LARGEST_EARTH  0.6   /* of the lower side of the widget */

static double
get_scale (FilPicture *self)
{
  return gtk_widget_get_scale_factor (GTK_WIDGET (self));
}

/* From picture pixels to logical ones. */
static void
place_rect (FilPicture            *self,
            const graphene_rect_t *rect,
            graphene_rect_t       *placed)
{
  double scale = get_scale (self);
  double left, top, x1, y1, x2, y2;

  fil_view_get_origin (&self->view, &left, &top);
  x1 = round (left + self->view.zoom * (double) rect->origin.x);
  y1 = round (top + self->view.zoom * (double) rect->origin.y);
  x2 = round (left + self->view.zoom * (double) (rect->origin.x + rect->size.width));
  y2 = round (top + self->view.zoom * (double) (rect->origin.y + rect->size.height));
  *placed = GRAPHENE_RECT_INIT ((float) (x1 / scale), (float) (y1 / scale),
                                (float) ((x2 - x1) / scale), (float) ((y2 - y1) / scale));
}

/* Where the patch is drawn, logical pixels. */
void
fil_picture_get_patch_area (FilPicture      *self,
                            graphene_rect_t *area)
{
  graphene_rect_t patch = GRAPHENE_RECT_INIT ((float) self->patch.x, (float) self->patch.y,
                                              (float) self->patch.width,
                                              (float) self->patch.height);

  place_rect (self, &patch, area);
}

static void
set_shown (GtkWidget *child,
           gboolean   shown)
{
  gtk_widget_set_child_visible (child, shown);
}

/* Above the patch, below it, or inside, beginning at its left, where there is
 * room and no other plate. */
static gboolean
find_caption_room (FilPicture            *self,
                   const graphene_rect_t *area,
                   int                    width,
                   int                    height,
                   graphene_rect_t       *room)
{
  const float border = FIL_PICTURE_PATCH_BORDER;
  float top = area->origin.y, bottom = area->origin.y + area->size.height;
  float most_x = (float) width - room->size.width;
  const float tries[] = { top - border - GAP + 2 - room->size.height, bottom + border + GAP - 2,
                          MAX (top, 0) + GAP,
                          MIN (bottom, (float) height) - GAP - room->size.height };

  for (gsize i = 0; i < G_N_ELEMENTS (tries); i++)
    {
      room->origin.y = floorf (tries[i]);
      if (room->origin.y < 0 || room->origin.y + room->size.height > (float) height)
        continue;
      for (room->origin.x = floorf (CLAMP (area->origin.x - border, 0, MAX (most_x, 0)));
           room->origin.x <= MIN (most_x, area->origin.x + area->size.width);
           room->origin.x += 4)
        if (fil_picture_is_free (self, room))
          return TRUE;
    }

  return FALSE;
}

static void
place_patch (FilPicture *self,
             int         width,
             int         height)
{
  const int border = FIL_PICTURE_PATCH_BORDER;
  gboolean shown = fil_picture_has_patch (self);
  graphene_rect_t view = GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height);
  graphene_rect_t area;
  graphene_rect_t room;
  int plate_width, plate_height;

  set_shown (self->patch_box, shown);
  if (!shown)
    {
      set_shown (self->patch_caption, FALSE);
      return;
    }

  fil_picture_get_patch_area (self, &area);
  fil_picture_place (self->patch_box, (int) area.origin.x - border, (int) area.origin.y - border,
                     (int) area.size.width + 2 * border, (int) area.size.height + 2 * border);

  /* What isn't in view needs no name. */
  fil_picture_measure_plate (self->patch_caption, &plate_width, &plate_height);
  room = GRAPHENE_RECT_INIT (0, 0, (float) plate_width, (float) plate_height);
  shown = graphene_rect_intersection (&area, &view, NULL) &&
          find_caption_room (self, &area, width, height, &room);
  set_shown (self->patch_caption, shown);
  if (shown)
    fil_picture_place_plate (self, self->patch_caption, (int) room.origin.x, (int) room.origin.y,
                             plate_width, plate_height);
}

/* Names of lines don't stand on the patch's line. */
static void
take_patch_border (FilPicture *self)
{
  const float border = FIL_PICTURE_PATCH_BORDER;
  graphene_rect_t area;
  float right, bottom;

  if (!fil_picture_has_patch (self))
    return;

  fil_picture_get_patch_area (self, &area);
  graphene_rect_inset (&area, -border, -border);
  right = area.origin.x + area.size.width - border;
  bottom = area.origin.y + area.size.height - border;
  fil_picture_take (self, &GRAPHENE_RECT_INIT (area.origin.x, area.origin.y, area.size.width,
                                               border));
  fil_picture_take (self, &GRAPHENE_RECT_INIT (area.origin.x, bottom, area.size.width, border));
  fil_picture_take (self, &GRAPHENE_RECT_INIT (area.origin.x, area.origin.y, border,
                                               area.size.height));
  fil_picture_take (self, &GRAPHENE_RECT_INIT (right, area.origin.y, border, area.size.height));
}

/* The lower left corner of what is seen of the picture, logical pixels. */
static void
get_corner (FilPicture *self,
            int        *left,
            int        *bottom)
{
  int scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  FilRect shown = { 0 };
  FilRegion region;

  fil_view_get_shown (&self->view, &shown, &region);
  *left = shown.x / scale + MARGIN;
  *bottom = (shown.y + shown.height) / scale - MARGIN;
}

static void
place_scale (FilPicture *self)
{
  double px_per_px = self->view.zoom / get_scale (self);
  int plate_width, plate_height, left, bottom;
  double arcsec_per_px, km_per_px;
  FilScaleBar bar;

  fil_picture_get_scale (self, &arcsec_per_px, &km_per_px);
  self->bar_shown = self->show_scale && self->frame != NULL &&
                    !fil_picture_has_message (self) &&
                    fil_scale_bar_choose (&bar, arcsec_per_px, km_per_px,
                                          LONGEST_BAR / px_per_px);
  set_shown (self->bar_caption, self->bar_shown);
  if (!self->bar_shown)
    return;

  if (strcmp (gtk_label_get_label (GTK_LABEL (self->bar_caption)), bar.text) != 0)
    gtk_label_set_label (GTK_LABEL (self->bar_caption), bar.text);
  fil_picture_measure_plate (self->bar_caption, &plate_width, &plate_height);
  get_corner (self, &left, &bottom);
  self->bar_at = GRAPHENE_RECT_INIT ((float) left, (float) bottom,
                                     (float) round (bar.length * px_per_px), 0);
  fil_picture_place_plate (self, self->bar_caption, left, bottom - 14 - GAP - plate_height,
                           plate_width, plate_height);
  fil_picture_take (self, &GRAPHENE_RECT_INIT ((float) left, (float) bottom - 16.0f,
                                               self->bar_at.size.width, 18.0f));
}

/* To the right of the scale bar and its plate. */
static void
place_earth (FilPicture *self,
             int         width,
             int         height)
{
  double px_per_px = self->view.zoom / get_scale (self);
  int plate_width, plate_height, left, bottom;
  double bar_end = 0.0, arcsec_per_px, km_per_px, diameter;
  float x, y;

  fil_picture_get_scale (self, &arcsec_per_px, &km_per_px);
  diameter = FIL_EARTH_DIAMETER_KM / km_per_px * px_per_px;

  self->earth_shown = self->show_earth && self->frame != NULL &&
                      !fil_picture_has_message (self) && isfinite (diameter) &&
                      diameter >= SMALLEST_EARTH &&
                      diameter <= LARGEST_EARTH * MIN (width, height);
  set_shown (self->earth_caption, self->earth_shown);
  if (!self->earth_shown)
    return;

  if (self->bar_shown)
    {
      fil_picture_measure_plate (self->bar_caption, &plate_width, &plate_height);
      bar_end = MAX (plate_width, (double) self->bar_at.size.width) + MARGIN;
    }
  fil_picture_measure_plate (self->earth_caption, &plate_width, &plate_height);
  get_corner (self, &left, &bottom);
  x = (float) (left + bar_end);
  y = (float) (bottom - diameter);
  self->earth_at = GRAPHENE_RECT_INIT (x, y, (float) diameter, (float) diameter);
  fil_picture_take (self, &self->earth_at);

  if (diameter > plate_width + 2 * GAP)
    fil_picture_place_plate (self, self->earth_caption,
                             (int) ((double) x + (diameter - plate_width) / 2),
                             (int) ((double) y + (diameter - plate_height) / 2), plate_width,
                             plate_height);
  else
    fil_picture_place_plate (self, self->earth_caption, (int) ((double) x + diameter) + GAP,
                             MIN ((int) ((double) y + (diameter - plate_height) / 2),
                                  bottom - plate_height + 2),
                             plate_width, plate_height);
}

static void
place_where (FilPicture *self,
             int         width,
             int         height)
{
  gboolean zoomed = !self->view.fit && self->frame != NULL && !fil_picture_has_message (self);
  gboolean right = self->inset_corner == GTK_CORNER_BOTTOM_RIGHT ||
                   self->inset_corner == GTK_CORNER_TOP_RIGHT;
  gboolean bottom = self->inset_corner == GTK_CORNER_BOTTOM_RIGHT ||
                    self->inset_corner == GTK_CORNER_BOTTOM_LEFT;
  gboolean had_inset = gtk_widget_get_visible (self->inset);
  g_autofree char *text = NULL;
  int plate_width, plate_height;

  set_shown (self->where, zoomed);
  if (!zoomed)
    return;

  text = g_strdup_printf (_("%.0f %%"), 100.0 * self->view.zoom);
  if (strcmp (gtk_label_get_label (GTK_LABEL (self->zoom_caption)), text) != 0)
    gtk_label_set_label (GTK_LABEL (self->zoom_caption), text);
  if (had_inset != self->show_inset)
    gtk_widget_set_visible (self->inset, self->show_inset);
  fil_picture_inset_set_view (FIL_PICTURE_INSET (self->inset), &self->view);

  fil_picture_measure_plate (self->where, &plate_width, &plate_height);
  fil_picture_place_plate (self, self->where, right ? width - MARGIN - plate_width : MARGIN,
                           bottom ? height - MARGIN - plate_height : MARGIN, plate_width,
                           plate_height);
}

static void
place_message (FilPicture *self,
               int         width,
               int         height)
{
  GtkRequisition least;

  set_shown (self->message, fil_picture_has_message (self));
  if (!fil_picture_has_message (self))
    return;

  gtk_widget_get_preferred_size (self->message, &least, NULL);
  fil_picture_place (self->message, 0, 0, MAX (width, least.width), MAX (height, least.height));
}

static void
fil_picture_size_allocate (GtkWidget *widget,
                           int        width,
                           int        height,
                           int        baseline)
{
  FilPicture *self = FIL_PICTURE (widget);
  int scale = gtk_widget_get_scale_factor (widget);

  if (self->view.width != width * scale || self->view.height != height * scale)
    {
      fil_view_set_size (&self->view, width * scale, height * scale);
      fil_picture_post_now (self);
    }

  g_array_set_size (self->taken, 0);
  place_scale (self);
  place_earth (self, width, height);
  place_where (self, width, height);
  fil_picture_sky_place (self);
  place_patch (self, width, height);
  take_patch_border (self);
  fil_picture_sky_place_rest (self);
  place_message (self, width, height);
}

static void
fil_picture_measure (GtkWidget      *widget,
                     GtkOrientation  orientation,
                     int             for_size,
                     int            *minimum,
                     int            *natural,
                     int            *minimum_baseline,
                     int            *natural_baseline)
{
  FilPicture *self = FIL_PICTURE (widget);

  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? 160 : 120;
  *natural = 2 * *minimum;
  if (fil_picture_has_message (self))
    {
      int least;

      gtk_widget_measure (self->message, orientation, -1, &least, NULL, NULL, NULL);
      *minimum = MAX (*minimum, least);
      *natural = MAX (*natural, *minimum);
    }
}

/* The newest drawing, where its part of the picture lies in the view of now:
 * while a newer one is being made, it moves and grows with the view. */
static void
append_picture (FilPicture  *self,
                GtkSnapshot *snapshot)
{
  graphene_rect_t region = GRAPHENE_RECT_INIT ((float) self->texture_region.x,
                                               (float) self->texture_region.y,
                                               (float) self->texture_region.width,
                                               (float) self->texture_region.height);
  graphene_rect_t placed;
  FilRegion wanted;
  FilRect shown;

  if (!fil_view_get_shown (&self->view, &shown, &wanted))
    return;

  if (wanted.x == self->texture_region.x && wanted.y == self->texture_region.y &&
      wanted.width == self->texture_region.width && wanted.height == self->texture_region.height)
    {
      float scale = (float) get_scale (self);

      placed = GRAPHENE_RECT_INIT ((float) shown.x / scale, (float) shown.y / scale,
                                   (float) shown.width / scale, (float) shown.height / scale);
    }
  else
    place_rect (self, &region, &placed);
  gtk_snapshot_append_texture (snapshot, self->texture, &placed);
  if (self->texture_fresh)
    self->n_drawn++;
  self->texture_fresh = FALSE;
}

static void
append_lines (FilPicture  *self,
              GtkSnapshot *snapshot)
{
  const graphene_rect_t *earth = &self->earth_at;

  fil_picture_sky_append (self, snapshot);
  if (self->bar_shown)
    fil_overlay_append_scale_bar (snapshot, self->bar_at.origin.x, self->bar_at.origin.y,
                                  self->bar_at.size.width);
  if (self->earth_shown)
    fil_overlay_append_circle (snapshot, earth->origin.x + earth->size.width / 2.0f,
                               earth->origin.y + earth->size.height / 2.0f,
                               earth->size.width, FIL_OVERLAY_EARTH);
}

static void
append_focus (GtkWidget   *widget,
              GtkSnapshot *snapshot)
{
  const float inset = 4.0f;   /* the frame's line lies outside of what it frames */
  graphene_rect_t inside = GRAPHENE_RECT_INIT (inset, inset,
                                               (float) gtk_widget_get_width (widget) - 2 * inset,
                                               (float) gtk_widget_get_height (widget) - 2 * inset);

  fil_overlay_append_frame (snapshot, &inside, FIL_OVERLAY_AMBER);
}

static void
fil_picture_snapshot (GtkWidget   *widget,
                      GtkSnapshot *snapshot)
{
  FilPicture *self = FIL_PICTURE (widget);

  if (self->texture != NULL && !fil_picture_has_message (self))
    append_picture (self, snapshot);
  append_lines (self, snapshot);

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    gtk_widget_snapshot_child (widget, child, snapshot);
  fil_picture_sky_append_arrow (self, snapshot);
  fil_picture_pick_append (self, snapshot);
  if (gtk_widget_has_visible_focus (widget))
    append_focus (widget, snapshot);
}

static void
inset_moved_cb (FilPictureInset *inset,
                double           x,
                double           y,
                FilPicture      *self)
{
  fil_picture_centre_on (self, x, y);
}

static void
make_where (FilPicture *self)
{
  self->where = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_add_css_class (self->where, "plate");
  self->zoom_caption = gtk_label_new ("");
  gtk_label_set_xalign (GTK_LABEL (self->zoom_caption), 0.0f);
  gtk_box_append (GTK_BOX (self->where), self->zoom_caption);
  self->inset = GTK_WIDGET (fil_picture_inset_new ());
  g_signal_connect (self->inset, "moved", G_CALLBACK (inset_moved_cb), self);
  gtk_box_append (GTK_BOX (self->where), self->inset);
  gtk_widget_set_parent (self->where, GTK_WIDGET (self));
}

void
fil_picture_layout_init (FilPicture *self)
{
  self->taken = g_array_new (FALSE, FALSE, sizeof (graphene_rect_t));
  self->patch_box = GTK_WIDGET (fil_picture_patch_new ());
  gtk_widget_set_parent (self->patch_box, GTK_WIDGET (self));
  self->patch_caption = fil_picture_plate_new (self, _("patch"));
  self->bar_caption = fil_picture_plate_new (self, "");
  self->earth_caption = fil_picture_plate_new (self, _("Earth"));
  make_where (self);
  fil_picture_sky_init (self);
}

void
fil_picture_layout_class (GtkWidgetClass *widget_class)
{
  widget_class->size_allocate = fil_picture_size_allocate;
  widget_class->measure = fil_picture_measure;
  widget_class->snapshot = fil_picture_snapshot;
}
