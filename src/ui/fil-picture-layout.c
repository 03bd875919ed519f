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
place (GtkWidget *child,
       int        x,
       int        y,
       int        width,
       int        height)
{
  gtk_widget_size_allocate (child, &(GtkAllocation) { x, y, width, height }, -1);
}

static void
measure_plate (GtkWidget *plate,
               int       *width,
               int       *height)
{
  GtkRequisition natural;

  gtk_widget_get_preferred_size (plate, NULL, &natural);
  *width = natural.width;
  *height = natural.height;
}

static void
set_shown (GtkWidget *child,
           gboolean   shown)
{
  gtk_widget_set_child_visible (child, shown);
}

static void
place_patch (FilPicture *self,
             int         width,
             int         height)
{
  const int border = FIL_PICTURE_PATCH_BORDER;
  gboolean shown = fil_picture_has_patch (self);
  graphene_rect_t area;
  int plate_width, plate_height, x, y;

  set_shown (self->patch_box, shown);
  set_shown (self->patch_caption, shown);
  if (!shown)
    return;

  fil_picture_get_patch_area (self, &area);
  place (self->patch_box, (int) area.origin.x - border, (int) area.origin.y - border,
         (int) area.size.width + 2 * border, (int) area.size.height + 2 * border);

  /* Above the patch; below it, or inside, where there is no room. */
  measure_plate (self->patch_caption, &plate_width, &plate_height);
  x = (int) area.origin.x - border;
  y = (int) area.origin.y - border - GAP + 2 - plate_height;
  if (y < 0)
    y = (int) (area.origin.y + area.size.height) + border + GAP - 2;
  if (y + plate_height > height)
    y = MAX ((int) area.origin.y, 0) + GAP;
  place (self->patch_caption, CLAMP (x, 0, MAX (width - plate_width, 0)), y, plate_width,
         plate_height);
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
  FilScaleBar bar;

  self->bar_shown = self->show_scale && self->frame != NULL &&
                    !fil_picture_has_message (self) &&
                    fil_scale_bar_choose (&bar, self->arcsec_per_px, self->km_per_px,
                                          LONGEST_BAR / px_per_px);
  set_shown (self->bar_caption, self->bar_shown);
  if (!self->bar_shown)
    return;

  if (strcmp (gtk_label_get_label (GTK_LABEL (self->bar_caption)), bar.text) != 0)
    gtk_label_set_label (GTK_LABEL (self->bar_caption), bar.text);
  measure_plate (self->bar_caption, &plate_width, &plate_height);
  get_corner (self, &left, &bottom);
  self->bar_at = GRAPHENE_RECT_INIT ((float) left, (float) bottom,
                                     (float) round (bar.length * px_per_px), 0);
  place (self->bar_caption, left, bottom - 14 - GAP - plate_height, plate_width, plate_height);
}

/* To the right of the scale bar and its plate. */
static void
place_earth (FilPicture *self,
             int         width,
             int         height)
{
  double px_per_px = self->view.zoom / get_scale (self);
  double diameter = FIL_EARTH_DIAMETER_KM / self->km_per_px * px_per_px;
  int plate_width, plate_height, left, bottom;
  double bar_end = 0.0;
  float x, y;

  self->earth_shown = self->show_earth && self->frame != NULL &&
                      !fil_picture_has_message (self) && isfinite (diameter) &&
                      diameter >= SMALLEST_EARTH &&
                      diameter <= LARGEST_EARTH * MIN (width, height);
  set_shown (self->earth_caption, self->earth_shown);
  if (!self->earth_shown)
    return;

  if (self->bar_shown)
    {
      measure_plate (self->bar_caption, &plate_width, &plate_height);
      bar_end = MAX (plate_width, (double) self->bar_at.size.width) + MARGIN;
    }
  measure_plate (self->earth_caption, &plate_width, &plate_height);
  get_corner (self, &left, &bottom);
  x = (float) (left + bar_end);
  y = (float) (bottom - diameter);
  self->earth_at = GRAPHENE_RECT_INIT (x, y, (float) diameter, (float) diameter);

  if (diameter > plate_width + 2 * GAP)
    place (self->earth_caption, (int) ((double) x + (diameter - plate_width) / 2),
           (int) ((double) y + (diameter - plate_height) / 2), plate_width, plate_height);
  else
    place (self->earth_caption, (int) ((double) x + diameter) + GAP,
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

  measure_plate (self->where, &plate_width, &plate_height);
  place (self->where, right ? width - MARGIN - plate_width : MARGIN,
         bottom ? height - MARGIN - plate_height : MARGIN, plate_width, plate_height);
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
  place (self->message, 0, 0, MAX (width, least.width), MAX (height, least.height));
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

  place_patch (self, width, height);
  place_scale (self);
  place_earth (self, width, height);
  place_where (self, width, height);
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
  if (gtk_widget_has_visible_focus (widget))
    append_focus (widget, snapshot);
}

static GtkWidget *
plate_new (FilPicture *self,
           const char *text)
{
  GtkWidget *plate = gtk_label_new (text);

  gtk_widget_add_css_class (plate, "plate");
  gtk_widget_set_can_target (plate, FALSE);
  gtk_widget_set_parent (plate, GTK_WIDGET (self));

  return plate;
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
  self->patch_box = GTK_WIDGET (fil_picture_patch_new ());
  gtk_widget_set_parent (self->patch_box, GTK_WIDGET (self));
  self->patch_caption = plate_new (self, _("patch"));
  self->bar_caption = plate_new (self, "");
  self->earth_caption = plate_new (self, _("Earth"));
  make_where (self);
}

void
fil_picture_layout_class (GtkWidgetClass *widget_class)
{
  widget_class->size_allocate = fil_picture_size_allocate;
  widget_class->measure = fil_picture_measure;
  widget_class->snapshot = fil_picture_snapshot;
}
