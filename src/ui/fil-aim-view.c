/* fil-aim-view.c: what the Aim shelf says, of what is known
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-aim-view.h"

#define DEG (G_PI / 180.0)

/* Returns: whether it can be told where on the Sun a patch lies; @sun may be
 * %NULL, and @patch empty */
gboolean
fil_aim_knows (const FilPlace *place,
               const FilSun   *sun,
               const FilRect  *patch,
               int             height)
{
  return place->placed && place->oriented && sun != NULL && patch->width > 0 && height > 0;
}

/**
 * fil_aim_patch:
 * @patch: from the top left of a picture that is @height pixels high
 * @latitude_deg: (out): heliographic, of the patch's middle
 * @longitude_deg: (out): Stonyhurst, west positive
 * @mu: (out)
 *
 * Only where fil_aim_knows().
 *
 * Returns: %FALSE where the patch lies beside the disc
 */
gboolean
fil_aim_patch (const FilPlace *place,
               const FilSun   *sun,
               const FilRect  *patch,
               int             height,
               double         *latitude_deg,
               double         *longitude_deg,
               double         *mu)
{
  return fil_place_to_disc (place, sun, patch->x + 0.5 * (patch->width + 1),
                            height - patch->y - 0.5 * (patch->height - 1), latitude_deg,
                            longitude_deg, mu);
}

/**
 * fil_aim_offset:
 * @sun: (nullable): for the mount that counts by altitude
 * @offset: (out)
 *
 * The way on the sky is told where the angle was measured, else NaN. Left and
 * up are those of somebody who faces the Sun's direction with a head upright.
 *
 * Returns: %FALSE, @offset untouched, where the disc's centre isn't known
 */
gboolean
fil_aim_offset (const FilPlace *place,
                const FilSun   *sun,
                int             width,
                int             height,
                FilAimOffset   *offset)
{
  double dx = place->centre_x - 0.5 * (width + 1), dy = place->centre_y - 0.5 * (height + 1);
  double scale = place->plate_scale_arcsec_per_px / 60.0;
  double angle, turned;

  if (!place->placed || width <= 0 || !isfinite (scale))
    return FALSE;

  *offset = (FilAimOffset) {
    .distance_arcmin = hypot (dx, dy) * scale,
    .fields = hypot (dx, dy) / width,
    .error_arcmin = place->centre_error_px * scale,
    .screen_deg = atan2 (dy, dx) / DEG,
    .east_arcmin = NAN, .north_arcmin = NAN, .left_arcmin = NAN, .up_arcmin = NAN,
  };
  if (!place->oriented)
    return TRUE;

  /* Counter-clockwise from up; a mirror turns the sky the other way round. */
  turned = atan2 (-dx, dy) / DEG;
  angle = place->position_angle_deg + (place->mirrored ? -turned : turned);
  offset->east_arcmin = offset->distance_arcmin * sin (angle * DEG);
  offset->north_arcmin = offset->distance_arcmin * cos (angle * DEG);
  if (sun != NULL && isfinite (sun->parallactic_angle_deg))
    {
      angle -= sun->parallactic_angle_deg;
      offset->left_arcmin = offset->distance_arcmin * sin (angle * DEG);
      offset->up_arcmin = offset->distance_arcmin * cos (angle * DEG);
    }

  return TRUE;
}

/* "5.1′ west and 4.8′ north"; what is less than a tenth isn't told. */
static char *
describe_way (double      first_arcmin,
              const char *first_plus,
              const char *first_minus,
              double      second_arcmin,
              const char *second_plus,
              const char *second_minus)
{
  const char *first = first_arcmin > 0.0 ? first_plus : first_minus;
  const char *second = second_arcmin > 0.0 ? second_plus : second_minus;

  if (fabs (first_arcmin) < 0.1 && fabs (second_arcmin) < 0.1)
    return g_strdup (_("nowhere: the disc’s centre is here"));
  if (fabs (first_arcmin) < 0.1)
    return g_strdup_printf ("%.1f′ %s", fabs (second_arcmin), second);
  if (fabs (second_arcmin) < 0.1)
    return g_strdup_printf ("%.1f′ %s", fabs (first_arcmin), first);

  return g_strdup_printf (_("%.1f′ %s and %.1f′ %s"), fabs (first_arcmin), first,
                          fabs (second_arcmin), second);
}

static char *
describe_hand (const FilAimFacts  *facts,
               const FilAimOffset *offset)
{
  g_autofree char *way = NULL;

  if (!isfinite (offset->east_arcmin))
    return NULL;
  if (facts->altazimuth && isfinite (offset->left_arcmin))
    way = describe_way (offset->left_arcmin, C_("motion", "left"), C_("motion", "right"),
                        offset->up_arcmin, C_("motion", "up"), C_("motion", "down"));
  else
    way = describe_way (offset->east_arcmin, C_("motion", "east"), C_("motion", "west"),
                        offset->north_arcmin, C_("motion", "north"), C_("motion", "south"));

  return g_strdup_printf (_("Move the telescope %s"), way);
}

static void
show_rise (FilAimView        *view,
           const FilAimFacts *facts)
{
  double rise = facts->light.glow.rise;

  view->shows_bar = TRUE;
  if (!isfinite (rise))
    {
      view->figure = g_strdup ("–");
      view->caption = g_strdup (_("waiting for light"));
    }
  else
    {
      view->figure = g_strdup_printf (rise < 9.95 ? "×%.1f" : "×%.0f", MIN (rise, 999.0));
      view->arrow_deg = facts->light.glow.direction == 0 ? NAN : 90.0 * facts->light.glow.direction;
      view->caption = g_strdup (facts->light.glow.direction > 0   ? _("brighter than 3 s ago")
                                : facts->light.glow.direction < 0 ? _("fainter than 3 s ago")
                                                            : _("as bright as 3 s ago"));
    }
  view->second_caption = g_strdup_printf (_("exposure %.3g ms, by itself from %.2g to %.3g ms"),
                                          facts->exposure_ms, facts->light.shortest_ms,
                                          facts->light.longest_ms);
}

static void
show_capped (FilAimView        *view,
             const FilAimFacts *facts)
{
  view->shows_bar = TRUE;
  view->figure = g_strdup ("–");
  view->caption = g_strdup (_("the cap is on"));
  view->title = g_strdup (_("Cap on: make the tube’s shadow smallest"));
  view->text = g_strdup (_("Nobody looks along the tube, and the finder stays capped. When the "
                           "shadow is as small as it gets, take the cap off: the filter is in "
                           "place, and the light below leads on."));
  view->primary = _("The cap comes off");
}

static void
show_searching (FilAimView        *view,
                const FilAimFacts *facts)
{
  show_rise (view, facts);
  view->title = g_strdup_printf (_("Move slowly towards more light · %.0f s left"),
                                 ceil (facts->light.left_s));
  view->text = g_strdup (_("Bar and tone rise towards the Sun. Nobody looks along the tube. A "
                           "Sun beside the axis heats the tube’s inside: after a minute the cap "
                           "goes on again."));
  view->primary = _("The cap is on again");
}

static void
show_overdue (FilAimView        *view,
              const FilAimFacts *facts)
{
  show_rise (view, facts);
  view->title = g_strdup (_("Put the cap on, from the side"));
  view->text = g_strdup (_("A minute without the disc: the Sun may stand beside the axis and heat "
                           "the tube’s inside. Cap it, let it cool, and begin again with the "
                           "smallest shadow."));
  view->primary = _("The cap is on");
}

static void
show_limb (FilAimView        *view,
           const FilAimFacts *facts)
{
  FilAimOffset offset;

  if (!fil_aim_offset (&facts->place, facts->sun, facts->width, facts->height, &offset))
    {
      view->figure = g_strdup ("–");
      view->caption = g_strdup (_("the limb is in view"));
      view->title = g_strdup (_("A limb, but no scale"));
      view->text = g_strdup (_("The rig doesn’t tell how large a pixel is on the sky; with "
                               "objective and camera it would."));
      return;
    }

  view->figure = g_strdup_printf ("%.1f", offset.distance_arcmin);
  view->unit = g_strdup ("′");
  view->arrow_deg = offset.distance_arcmin >= 0.1 ? offset.screen_deg : NAN;
  view->caption = g_strdup_printf (_("to the disc’s centre · %.1f fields"), offset.fields);
  if (offset.error_arcmin < 0.95)
    view->second_caption = g_strdup_printf (_("± %.0f″ · %.0f° of limb in view"),
                                            MAX (60.0 * offset.error_arcmin, 1.0),
                                            facts->limb.arc_deg);
  else
    view->second_caption = g_strdup_printf (_("± %.1f′ · %.0f° of limb in view"),
                                            offset.error_arcmin, facts->limb.arc_deg);
  view->title = describe_hand (facts, &offset);
  if (view->title == NULL)
    {
      view->title = g_strdup (_("The disc’s centre lies that way"));
      view->text = g_strdup (_("Which way that is for the hand isn’t known yet: measure the "
                               "angle, or try a small move and watch."));
    }
  else
    view->text = g_strdup (_("That brings the disc’s centre into the middle. Follow the arrow "
                             "until the limb has left the picture."));
}

static void
show_disc (FilAimView        *view,
           const FilAimFacts *facts)
{
  FilAimOffset offset;

  view->figure = isfinite (facts->mean_percent)
                   ? g_strdup_printf ("%.0f", facts->mean_percent) : g_strdup ("–");
  view->unit = g_strdup (_("%"));
  view->caption = g_strdup (_("of full: the picture’s brightness"));
  view->second_caption = g_strdup_printf (_("at %.3g ms"), facts->exposure_ms);
  view->text = g_strdup (_("A spot in view? Drag the patch onto it, or press P to bring the "
                           "patch to the middle. No spot? Move slowly, or go to the limb: it "
                           "tells where on the disc this is."));
  if (fil_aim_offset (&facts->place, facts->sun, facts->width, facts->height, &offset))
    view->title = g_strdup_printf (_("On the disc, %.1f′ from its centre"),
                                   offset.distance_arcmin);
  else
    view->title = g_strdup (_("On the disc; no limb in view"));
}

/* @view: (out): to be cleared with fil_aim_view_clear() */
void
fil_aim_view_init (FilAimView        *view,
                   const FilAimFacts *facts)
{
  static void (*const shows[]) (FilAimView *view, const FilAimFacts *facts) = {
    [FIL_AIM_CAPPED] = show_capped, [FIL_AIM_SEARCHING] = show_searching,
    [FIL_AIM_OVERDUE] = show_overdue, [FIL_AIM_LIMB] = show_limb, [FIL_AIM_DISC] = show_disc,
  };

  g_return_if_fail (view != NULL && facts != NULL);

  *view = (FilAimView) { .arrow_deg = NAN };
  shows[facts->light.state] (view, facts);
}

void
fil_aim_view_clear (FilAimView *view)
{
  g_return_if_fail (view != NULL);

  g_free (view->figure);
  g_free (view->unit);
  g_free (view->caption);
  g_free (view->second_caption);
  g_free (view->title);
  g_free (view->text);
  *view = (FilAimView) { .arrow_deg = NAN };
}
