/* fil-picture-sky.c: directions, grid, limb and pointer over the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-picture-compass.h"
#include "fil-picture-private.h"
#include "fil-picture-sky-private.h"

#define MARGIN 18.0f   /* from the picture's edges, logical pixels */
#define GAP    8.0f    /* between plates that belong together */

/* What is known ------------------------------------------------------------- */

/**
 * fil_picture_set_sky:
 * @place: (nullable): copied; FITS pixels of the frames shown. %NULL: nothing
 *   of the sky is drawn
 * @sun: as it is seen now; copied. %NULL with @place alone
 *
 * What isn't measured yet is drawn dashed, and a plate says so. The scale bar
 * and the Earth go by this plate scale and the Sun's distance of the day.
 */
void
fil_picture_set_sky (FilPicture     *self,
                     const FilPlace *place,
                     const FilSun   *sun)
{
  FilPictureSky *sky;

  g_return_if_fail (FIL_IS_PICTURE (self));
  g_return_if_fail (place == NULL || sun != NULL);

  sky = &self->sky;
  if (place == NULL && !sky->known)
    return;
  if (place != NULL && sky->known && memcmp (place, &sky->place, sizeof *place) == 0 &&
      memcmp (sun, &sky->sun, sizeof *sun) == 0)
    return;

  sky->known = place != NULL;
  if (sky->known)
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
 */
void
fil_picture_set_limb (FilPicture    *self,
                      const FilLimb *limb)
{
  FilPictureSky *sky;
  gboolean seen = limb != NULL && limb->seen;

  g_return_if_fail (FIL_IS_PICTURE (self));

  sky = &self->sky;
  if (!seen && !sky->limb_seen)
    return;

  sky->limb_seen = seen;
  if (seen)
    {
      sky->limb[0] = limb->centre_x;
      sky->limb[1] = limb->centre_y;
      sky->limb[2] = limb->radius_px;
    }
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

/* Plates ----------------------------------------------------------------------- */

static void
set_text (GtkWidget  *label,
          const char *text)
{
  if (strcmp (gtk_label_get_label (GTK_LABEL (label)), text) != 0)
    gtk_label_set_label (GTK_LABEL (label), text);
}

/* Down from @y until there is room. */
static void
place_down (FilPicture *self,
            GtkWidget  *plate,
            float       x,
            float       y,
            int         width,
            int         height)
{
  graphene_rect_t at = GRAPHENE_RECT_INIT (x, y, (float) width, (float) height);
  float end = (float) gtk_widget_get_height (GTK_WIDGET (self)) - (float) height;

  while (!fil_picture_is_free (self, &at) && at.origin.y < end)
    at.origin.y += 4.0f;
  fil_picture_place_plate (self, plate, (int) at.origin.x, (int) at.origin.y, width, height);
}

static void
place_compass (FilPicture            *self,
               const graphene_rect_t *shown)
{
  FilPictureSky *sky = &self->sky;
  FilSkyCompass compass;
  gboolean visible = sky->usable && sky->show_compass &&
                     fil_sky_get_compass (&sky->view, sky->compass_solar, &compass);
  int width, height;

  gtk_widget_set_child_visible (sky->compass, visible);
  if (!visible)
    return;

  fil_picture_compass_set (FIL_PICTURE_COMPASS (sky->compass), &compass, sky->compass_solar,
                           !sky->place.oriented);
  fil_picture_measure_plate (sky->compass, &width, &height);
  place_down (self, sky->compass, shown->origin.x + MARGIN, shown->origin.y + MARGIN, width,
              height);
}

/* What the lines stand for, and what of them isn't measured. */
static char *
dup_note (const FilPictureSky *sky)
{
  gboolean lines = sky->lines_for_grid && sky->lines->step_deg > 0.0;
  g_autoptr (GString) text = g_string_new (NULL);

  if (lines)
    g_string_append_printf (text, _("grid %.0f°"), sky->lines->step_deg);
  if ((lines || sky->show_compass) && !sky->place.oriented)
    g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "",
                            _("nominal: angle not measured yet"));
  else if (lines && !sky->place.placed)
    g_string_append_printf (text, "\n%s", _("nominal: place not measured yet"));

  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
place_note (FilPicture            *self,
            const graphene_rect_t *shown)
{
  FilPictureSky *sky = &self->sky;
  g_autofree char *text = sky->usable ? dup_note (sky) : g_strdup ("");
  int width, height;

  gtk_widget_set_child_visible (sky->note, *text != '\0');
  if (*text == '\0')
    return;

  set_text (sky->note, text);
  fil_picture_measure_plate (sky->note, &width, &height);
  place_down (self, sky->note, shown->origin.x + MARGIN, shown->origin.y + MARGIN, width, height);
}

static char *
format_place (const FilPictureSky *sky,
              const FilSkyPlace   *place)
{
  double latitude = fabs (place->latitude_deg), longitude = fabs (place->longitude_deg);

  if (!place->on_disc)
    return g_strdup (_("beside the disc"));
  if (!sky->place.oriented)
    return g_strdup_printf ("μ %.2f", place->mu);
  if (place->latitude_deg >= 0.0)
    return g_strdup_printf (place->longitude_deg >= 0.0 ? _("N %.1f° W %.1f° · μ %.2f")
                                                        : _("N %.1f° E %.1f° · μ %.2f"),
                            latitude, longitude, place->mu);

  return g_strdup_printf (place->longitude_deg >= 0.0 ? _("S %.1f° W %.1f° · μ %.2f")
                                                      : _("S %.1f° E %.1f° · μ %.2f"),
                          latitude, longitude, place->mu);
}

static gboolean
dup_pointed_text (FilPicture *self,
                  char      **text)
{
  FilPictureSky *sky = &self->sky;
  FilSkyPoint at;
  FilSkyPlace place;

  if (!sky->usable || !sky->show_pointer || !sky->place.placed)
    return FALSE;
  if (sky->picking)
    at = sky->cross;
  else if (sky->pointed)
    fil_picture_to_point (self, sky->x, sky->y, &at);
  else
    return FALSE;
  if (at.x < 0.0 || at.y < 0.0 || at.x > sky->view.width || at.y > sky->view.height ||
      !fil_sky_get_place (&sky->view, &at, &place))
    return FALSE;

  *text = format_place (sky, &place);

  return TRUE;
}

/* Top right; both places are kept free of all else, so that nothing jumps when
 * it makes way for the pointer. */
static void
place_pointer (FilPicture            *self,
               const graphene_rect_t *shown)
{
  FilPictureSky *sky = &self->sky;
  g_autofree char *text = NULL, *sizing = NULL;
  gboolean visible = dup_pointed_text (self, &text);
  int width, height, least;
  graphene_rect_t first, second, near;

  gtk_widget_set_child_visible (sky->pointer, visible);
  if (!sky->usable || !sky->show_pointer || !sky->place.placed)
    return;

  /* The widest letters and as many digits as there can be. */
  sizing = g_strdup_printf (_("N %.1f° W %.1f° · μ %.2f"), 88.8, 88.8, 0.88);
  set_text (sky->pointer_sizer, sizing);
  if (visible)
    set_text (sky->pointer, text);
  fil_picture_measure_plate (sky->pointer, &least, &height);
  fil_picture_measure_plate (sky->pointer_sizer, &width, &height);
  width = MAX (width, least);
  first = GRAPHENE_RECT_INIT (shown->origin.x + shown->size.width - MARGIN - (float) width,
                              shown->origin.y + MARGIN, (float) width, (float) height);
  while (!fil_picture_is_free (self, &first) &&
         first.origin.y + 3.0f * (float) height < shown->origin.y + shown->size.height)
    first.origin.y += 4.0f;
  second = first;
  second.origin.y += (float) height + 3.0f * GAP;
  fil_picture_take (self, &first);
  fil_picture_take (self, &second);
  if (!visible)
    return;

  graphene_rect_inset_r (&first, -GAP, -GAP, &near);
  if (graphene_rect_contains_point (&near, &GRAPHENE_POINT_INIT ((float) sky->x, (float) sky->y)))
    first = second;
  fil_picture_place (sky->pointer, (int) first.origin.x, (int) first.origin.y, width, height);
}

/* How far from a plate's middle its edge is, that way. */
static float
get_reach (const FilSkyPoint *way,
           int                width,
           int                height)
{
  double across = fabs (way->x) > 1e-6 ? width / 2.0 / fabs (way->x) : HUGE_VAL;
  double down = fabs (way->y) > 1e-6 ? height / 2.0 / fabs (way->y) : HUGE_VAL;

  return (float) MIN (across, down);
}

/* From the picture's edge inward until arrow and plate find room. */
static void
find_arrow_room (FilPicture      *self,
                 int              width,
                 int              height,
                 graphene_rect_t *plate)
{
  FilPictureSky *sky = &self->sky;
  const FilSkyPoint *way = &sky->centre.edge_towards;
  float half = FIL_ARROW_LENGTH / 2.0f;
  float back = FIL_ARROW_LENGTH + 1.5f * GAP + get_reach (way, width, height);
  graphene_rect_t all, shown, arrow;
  double x, y;

  fil_picture_from_point (self, &sky->centre.edge, &x, &y);
  fil_picture_get_shown (self, &all);
  graphene_rect_inset_r (&all, GAP, GAP, &shown);
  for (float in = GAP; in < 400.0f; in += 4.0f)
    {
      float tip_x = (float) (x - in * way->x), tip_y = (float) (y - in * way->y);
      float middle_x = tip_x - half * (float) way->x, middle_y = tip_y - half * (float) way->y;

      sky->arrow_x = tip_x;
      sky->arrow_y = tip_y;
      arrow = GRAPHENE_RECT_INIT (middle_x - half, middle_y - half, FIL_ARROW_LENGTH,
                                  FIL_ARROW_LENGTH);
      *plate = GRAPHENE_RECT_INIT (tip_x - back * (float) way->x - (float) width / 2.0f,
                                   tip_y - back * (float) way->y - (float) height / 2.0f,
                                   (float) width, (float) height);
      /* It may slide along the edge, so that it lies in the picture. */
      plate->origin.x = CLAMP (plate->origin.x, shown.origin.x,
                               MAX (shown.origin.x + shown.size.width - (float) width,
                                    shown.origin.x));
      plate->origin.y = CLAMP (plate->origin.y, shown.origin.y,
                               MAX (shown.origin.y + shown.size.height - (float) height,
                                    shown.origin.y));
      if (fil_picture_is_free (self, &arrow) && fil_picture_is_free (self, plate))
        break;
    }
  fil_picture_take (self, &arrow);
}

static void
place_arrow (FilPicture *self)
{
  FilPictureSky *sky = &self->sky;
  const FilRegion *region = &sky->view.region;
  gboolean placed = sky->usable && sky->place.placed &&
                    fil_sky_get_centre (&sky->view, &sky->centre);
  gboolean seen = placed && sky->centre.at.x >= region->x && sky->centre.at.y >= region->y &&
                  sky->centre.at.x <= region->x + region->width &&
                  sky->centre.at.y <= region->y + region->height;
  g_autofree char *text = NULL;
  gboolean arrow_shown = placed && !seen && sky->show_arrow;
  gboolean centre_shown = seen && (sky->show_limb || sky->show_grid);
  double x = sky->arrow_x, y = sky->arrow_y;
  graphene_rect_t plate;
  int width, height;

  sky->node_stale |= arrow_shown != sky->arrow_shown || centre_shown != sky->centre_shown;
  sky->centre_shown = centre_shown;
  sky->arrow_shown = arrow_shown;
  gtk_widget_set_child_visible (sky->arrow, sky->arrow_shown);
  if (!sky->arrow_shown)
    return;

  /* Translators: arcminutes, and widths of the field. */
  text = g_strdup_printf (_("centre %.0f′ this way · %.1f fields"), sky->centre.distance_arcmin,
                          sky->centre.distance_fields);
  set_text (sky->arrow, text);
  fil_picture_measure_plate (sky->arrow, &width, &height);
  find_arrow_room (self, width, height, &plate);
  sky->node_stale |= x != sky->arrow_x || y != sky->arrow_y;
  fil_picture_place_plate (self, sky->arrow, (int) plate.origin.x, (int) plate.origin.y, width,
                           height);
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
  place_compass (self, &shown);
  place_note (self, &shown);
  place_pointer (self, &shown);
  place_arrow (self);
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
