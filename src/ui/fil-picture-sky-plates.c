/* fil-picture-sky-plates.c: compass, notes, the pointer's place, the way to the centre
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-picture-compass.h"
#include "fil-picture-sky-private.h"
#include "fil-target-text.h"

#define MARGIN 18.0f   /* from the picture's edges, logical pixels */
#define GAP    8.0f    /* between plates that belong together */

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

void
fil_picture_place_compass (FilPicture            *self,
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

void
fil_picture_place_note (FilPicture            *self,
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
format_on_disc (double latitude_deg,
                double longitude_deg,
                double mu)
{
  g_autofree char *place = fil_target_text_place (latitude_deg, longitude_deg);

  return g_strdup_printf ("%s · μ %.2f", place, mu);
}

static char *
format_place (const FilPictureSky *sky,
              const FilSkyPlace   *place)
{
  if (!place->on_disc)
    return g_strdup (_("beside the disc"));
  if (!sky->place.oriented)
    return g_strdup_printf ("μ %.2f", place->mu);

  return format_on_disc (place->latitude_deg, place->longitude_deg, place->mu);
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
void
fil_picture_place_pointer (FilPicture            *self,
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
  sizing = format_on_disc (88.8, 88.8, 0.88);
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

/* The plate behind the arrow, as near as it gets without touching it. It may
 * slide along the picture's edge, so that it lies in the picture. */
static void
place_behind (const graphene_rect_t *arrow,
              const FilSkyPoint     *way,
              int                    width,
              int                    height,
              const graphene_rect_t *shown,
              graphene_rect_t       *plate)
{
  float x = arrow->origin.x + arrow->size.width / 2.0f;
  float y = arrow->origin.y + arrow->size.height / 2.0f;
  float first = FIL_ARROW_LENGTH / 2.0f + 1.5f * GAP + get_reach (way, width, height);

  for (float back = first; back < first + (float) width; back += 4.0f)
    {
      *plate = GRAPHENE_RECT_INIT (x - back * (float) way->x - (float) width / 2.0f,
                                   y - back * (float) way->y - (float) height / 2.0f,
                                   (float) width, (float) height);
      plate->origin.x = CLAMP (plate->origin.x, shown->origin.x,
                               MAX (shown->origin.x + shown->size.width - (float) width,
                                    shown->origin.x));
      plate->origin.y = CLAMP (plate->origin.y, shown->origin.y,
                               MAX (shown->origin.y + shown->size.height - (float) height,
                                    shown->origin.y));
      if (!graphene_rect_intersection (plate, arrow, NULL))
        return;
    }
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
      place_behind (&arrow, way, width, height, &shown, plate);
      if (fil_picture_is_free (self, &arrow) && fil_picture_is_free (self, plate))
        break;
    }
  fil_picture_take (self, &arrow);
}

void
fil_picture_place_arrow (FilPicture *self)
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
  graphene_rect_t plate;
  int width, height;

  sky->node_stale |= centre_shown != sky->centre_shown;
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
  fil_picture_place_plate (self, sky->arrow, (int) plate.origin.x, (int) plate.origin.y, width,
                           height);
}
