/* fil-picture-sky.c: directions, grid, limb and pointer over the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-picture-compass.h"
#include "fil-picture-sky-private.h"

/* What is known ------------------------------------------------------------- */

/**
 * fil_picture_set_sky:
 * @place: (nullable): copied; FITS pixels of the frames shown. %NULL: nothing
 *   of the sky is drawn
 * @sun: (nullable): as it is seen now; copied. %NULL: the same
 *
 * What isn't measured yet is drawn dashed, and a plate says so. The scale bar
 * and the Earth go by this plate scale and the Sun's distance of the day. May
 * be called as often as frames come: only what changed is drawn anew.
 */
void
fil_picture_set_sky (FilPicture     *self,
                     const FilPlace *place,
                     const FilSun   *sun)
{
  FilPictureSky *sky;
  gboolean known = place != NULL && sun != NULL;

  g_return_if_fail (FIL_IS_PICTURE (self));

  sky = &self->sky;
  if (!known && !sky->known)
    return;
  if (known && sky->known && memcmp (place, &sky->place, sizeof *place) == 0 &&
      memcmp (sun, &sky->sun, sizeof *sun) == 0)
    return;

  sky->known = known;
  if (known)
    {
      sky->place = *place;
      sky->sun = *sun;
    }
  sky->lines_stale = TRUE;
  fil_picture_overlay_changed (self);
}

/**
 * fil_picture_set_limb:
 * @limb: (nullable): found in the frame that is shown; %NULL or unseen: none
 *
 * May be called as often as frames come.
 */
void
fil_picture_set_limb (FilPicture    *self,
                      const FilLimb *limb)
{
  FilPictureSky *sky;
  gboolean seen = limb != NULL && limb->seen;
  double circle[3] = { 0.0, 0.0, 0.0 };

  g_return_if_fail (FIL_IS_PICTURE (self));

  if (seen)
    {
      circle[0] = limb->centre_x;
      circle[1] = limb->centre_y;
      circle[2] = limb->radius_px;
    }
  sky = &self->sky;
  if (seen == sky->limb_seen && memcmp (circle, sky->limb, sizeof circle) == 0)
    return;

  sky->limb_seen = seen;
  memcpy (sky->limb, circle, sizeof circle);
  sky->lines_stale = TRUE;
  fil_picture_overlay_changed (self);
}

/* @shown: whether an arrow leads to the disc's centre while that is out of
 * sight and its place is known */
void
fil_picture_set_centre_arrow (FilPicture *self,
                              gboolean    shown)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  if (self->sky.show_arrow == !!shown)
    return;

  self->sky.show_arrow = !!shown;
  fil_picture_overlay_changed (self);
}

/* The scale to go by: the place's, or what fil_picture_set_scale() told.
 * Kilometres at the Sun's distance of the day. */
void
fil_picture_get_scale (FilPicture *self,
                       double     *arcsec_per_px,
                       double     *km_per_px)
{
  const FilPictureSky *sky = &self->sky;

  *arcsec_per_px = self->arcsec_per_px;
  *km_per_px = self->km_per_px;
  if (!sky->known || !(sky->place.plate_scale_arcsec_per_px > 0.0) ||
      !(sky->sun.distance_au > 0.0))
    return;

  *arcsec_per_px = sky->place.plate_scale_arcsec_per_px;
  *km_per_px = *arcsec_per_px / 3600.0 * G_PI / 180.0 * sky->sun.distance_au * FIL_AU_KM;
}

/* Lines, for the view of now -------------------------------------------------- */

static gboolean
is_same_view (const FilSkyView *a,
              const FilSkyView *b)
{
  return a->width == b->width && a->height == b->height && a->zoom == b->zoom &&
         a->region.x == b->region.x && a->region.y == b->region.y &&
         a->region.width == b->region.width && a->region.height == b->region.height;
}

/* Of the frame, without what lies beside it. */
static void
get_view (FilPicture *self,
          FilSkyView *view)
{
  FilRegion region = { 0 };
  double right, bottom;

  fil_picture_get_region (self, &region);
  *view = (FilSkyView) { .sun = self->sky.sun, .width = self->frame->width,
                         .height = self->frame->height, .zoom = self->view.zoom };
  right = MIN (region.x + region.width, view->width);
  bottom = MIN (region.y + region.height, view->height);
  view->region.x = MAX (region.x, 0.0);
  view->region.y = MAX (region.y, 0.0);
  view->region.width = MAX (right - view->region.x, 0.0);
  view->region.height = MAX (bottom - view->region.y, 0.0);
  if (self->sky.known)
    fil_wcs_from_place (&self->sky.place, &self->sky.sun, &view->wcs);
}

static void
make_lines (FilPictureSky *sky)
{
  fil_sky_lines_clear (sky->lines);
  sky->usable = sky->known && fil_sky_view_is_known (&sky->view);
  if (sky->lines_for_grid)
    fil_sky_lines_add_grid (sky->lines, &sky->view);
  if (sky->lines_for_limb)
    fil_sky_lines_add_limb (sky->lines, &sky->view);
  if (sky->lines_for_fit)
    fil_sky_lines_add_fitted (sky->lines, &sky->view, sky->limb[0], sky->limb[1], sky->limb[2]);
}

/* Follows the curves only where something changed. The limb that was found is
 * drawn in place of the one to be expected. */
static void
update_lines (FilPicture *self)
{
  FilPictureSky *sky = &self->sky;
  gboolean fit = sky->show_limb && sky->limb_seen;
  gboolean limb = sky->show_limb && sky->known && sky->place.placed && !fit;
  gboolean grid = sky->show_grid && sky->known;
  FilSkyView view;

  get_view (self, &view);
  if (!sky->lines_stale && is_same_view (&view, &sky->view) && grid == sky->lines_for_grid &&
      limb == sky->lines_for_limb && fit == sky->lines_for_fit)
    return;

  sky->view = view;
  sky->lines_for_grid = grid;
  sky->lines_for_limb = limb;
  sky->lines_for_fit = fit;
  make_lines (sky);
  sky->lines_stale = FALSE;
  sky->node_stale = TRUE;
}

static void
hide_all (FilPictureSky *sky)
{
  GtkWidget *plates[] = { sky->compass, sky->note, sky->pointer, sky->arrow };

  for (gsize i = 0; i < G_N_ELEMENTS (plates); i++)
    gtk_widget_set_child_visible (plates[i], FALSE);
  sky->usable = sky->arrow_shown = sky->centre_shown = FALSE;
  fil_sky_lines_clear (sky->lines);
  g_array_set_size (sky->texts, 0);
  g_clear_pointer (&sky->node, gsk_render_node_unref);
  sky->lines_stale = TRUE;
}

/* The plates that have a place of their own; after scale and inset. */
void
fil_picture_sky_place (FilPicture *self)
{
  FilPictureSky *sky = &self->sky;
  graphene_rect_t shown;

  if (!fil_picture_get_shown (self, &shown) || (!sky->known && !sky->limb_seen))
    {
      hide_all (sky);
      return;
    }

  update_lines (self);
  fil_picture_place_compass (self, &shown);
  fil_picture_place_note (self, &shown);
  fil_picture_place_pointer (self, &shown);
  fil_picture_place_arrow (self);
}

/* Names of lines, where room is left; after all other plates. */
void
fil_picture_sky_place_rest (FilPicture *self)
{
  graphene_rect_t shown;

  if (!fil_picture_get_shown (self, &shown))
    return;

  fil_picture_sky_place_names (self, &shown);
}

/* @pointed: %FALSE: the pointer has left; @x, @y: logical pixels */
void
fil_picture_sky_point_at (FilPicture *self,
                          gboolean    pointed,
                          double      x,
                          double      y)
{
  FilPictureSky *sky = &self->sky;

  if (pointed == sky->pointed && x == sky->x && y == sky->y)
    return;

  sky->pointed = pointed;
  sky->x = x;
  sky->y = y;
  if (sky->usable && sky->show_pointer && sky->place.placed)
    gtk_widget_queue_allocate (GTK_WIDGET (self));
}

static GtkWidget *
hidden_plate_new (FilPicture *self,
                  const char *text)
{
  GtkWidget *plate = fil_picture_plate_new (self, text);

  gtk_widget_set_child_visible (plate, FALSE);

  return plate;
}

void
fil_picture_sky_init (FilPicture *self)
{
  FilPictureSky *sky = &self->sky;

  sky->lines = fil_sky_lines_new ();
  sky->texts = g_array_new (FALSE, FALSE, sizeof (FilSkyText));
  sky->lines_stale = TRUE;
  sky->compass = GTK_WIDGET (fil_picture_compass_new ());
  gtk_widget_set_parent (sky->compass, GTK_WIDGET (self));
  gtk_widget_set_child_visible (sky->compass, FALSE);
  sky->note = hidden_plate_new (self, "");
  sky->pointer = hidden_plate_new (self, "");
  sky->pointer_sizer = hidden_plate_new (self, "");
  sky->arrow = hidden_plate_new (self, "");
  sky->name = hidden_plate_new (self, "0");
  gtk_widget_add_css_class (sky->name, "small");
}

/* May come more than once. */
void
fil_picture_sky_end (FilPicture *self)
{
  FilPictureSky *sky = &self->sky;

  g_clear_pointer (&sky->lines, fil_sky_lines_free);
  g_clear_pointer (&sky->texts, g_array_unref);
  g_clear_pointer (&sky->node, gsk_render_node_unref);
}
