/* fil-overlay.c: lines and scales that lie over the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-overlay.h"

#define OUTLINE 2.0f   /* the dark outside of a line, logical pixels */
#define LINE    2.0f   /* its light inside */
#define HANDLE  12.0f  /* side of a square on a corner */
#define TICK    12.0f  /* upright ends of the scale bar */

#define NARROW_SPACE "\342\200\257"   /* U+202F, between groups of three digits */

/* Round lengths: arcseconds and arcminutes go by 60, kilometres by 10. */
static const double round_arcsec[] = {
  0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800,
};

/* The largest round length of at most @longest; 0: there is none. */
static double
choose_arcsec (double longest)
{
  double chosen = 0.0;

  for (gsize i = 0; i < G_N_ELEMENTS (round_arcsec); i++)
    if (round_arcsec[i] <= longest)
      chosen = round_arcsec[i];

  return chosen;
}

static double
choose_km (double longest)
{
  double power = pow (10.0, floor (log10 (longest)));
  double mantissa = longest / power;

  return power * (mantissa >= 5.0 ? 5.0 : mantissa >= 2.0 ? 2.0 : 1.0);
}

/* Kilometres to three figures, digits in groups. */
static char *
format_km (double km)
{
  double power = km >= 1000.0 ? pow (10.0, floor (log10 (km)) - 2.0) : 1.0;
  int value = (int) (round (km / power) * power);
  g_autofree char *digits = NULL;

  if (value >= 1000000)
    digits = g_strdup_printf ("%d" NARROW_SPACE "%03d" NARROW_SPACE "%03d", value / 1000000,
                              value / 1000 % 1000, value % 1000);
  else if (value >= 10000)
    digits = g_strdup_printf ("%d" NARROW_SPACE "%03d", value / 1000, value % 1000);
  else
    digits = g_strdup_printf ("%d", value);

  return g_strdup_printf (_("%s km"), digits);
}

static char *
format_arcsec (double arcsec)
{
  if (arcsec >= 60.0)
    return g_strdup_printf ("%.0f′", arcsec / 60.0);

  return g_strdup_printf (arcsec < 1.0 ? "%.1f″" : "%.0f″", arcsec);
}

static gboolean
is_scale (double value)
{
  return isfinite (value) && value > 0.0;
}

/**
 * fil_scale_bar_choose:
 * @bar: (out): untouched where there is none
 * @arcsec_per_px: picture's scale; NaN: unknown
 * @km_per_px: on the Sun, at the disc's centre; NaN: unknown
 * @longest_px: so long at most, picture pixels, > 0
 *
 * A bar of a round length in arcseconds, or kilometres where they alone are
 * known.
 *
 * Returns: whether there is one
 */
gboolean
fil_scale_bar_choose (FilScaleBar *bar,
                      double       arcsec_per_px,
                      double       km_per_px,
                      double       longest_px)
{
  g_autofree char *angle = NULL;
  g_autofree char *length = NULL;
  double arcsec;

  if (!is_scale (longest_px))
    return FALSE;
  if (!is_scale (arcsec_per_px))
    {
      if (!is_scale (km_per_px) || km_per_px * longest_px < 1.0 ||
          km_per_px * longest_px > 1e9)
        return FALSE;
      bar->length = choose_km (km_per_px * longest_px) / km_per_px;
      length = format_km (bar->length * km_per_px);
      g_strlcpy (bar->text, length, sizeof bar->text);
      return TRUE;
    }

  arcsec = choose_arcsec (arcsec_per_px * longest_px);
  if (arcsec == 0.0)
    return FALSE;

  bar->length = arcsec / arcsec_per_px;
  angle = format_arcsec (arcsec);
  if (!is_scale (km_per_px) || km_per_px * bar->length > 1e9)
    {
      g_strlcpy (bar->text, angle, sizeof bar->text);
      return TRUE;
    }
  length = format_km (bar->length * km_per_px);
  g_snprintf (bar->text, sizeof bar->text, "%s · %s", angle, length);

  return TRUE;
}

static GdkRGBA
colour_of (const char *name)
{
  GdkRGBA colour = { 0 };

  gdk_rgba_parse (&colour, name);

  return colour;
}

static void
append_border (GtkSnapshot           *snapshot,
               const graphene_rect_t *rect,
               float                  radius,
               float                  width,
               const char            *name)
{
  GdkRGBA colour = colour_of (name);
  GskRoundedRect outline;

  gsk_rounded_rect_init_from_rect (&outline, rect, radius);
  gtk_snapshot_append_border (snapshot, &outline,
                              (float[4]) { width, width, width, width },
                              (GdkRGBA[4]) { colour, colour, colour, colour });
}

/* A line just outside @rect, dark outside and inside, so that it is seen on
 * any picture and covers none of what it frames but one pixel. */
void
fil_overlay_append_frame (GtkSnapshot           *snapshot,
                          const graphene_rect_t *rect,
                          const char            *colour)
{
  graphene_rect_t dark, light;

  graphene_rect_inset_r (rect, -(OUTLINE + LINE), -(OUTLINE + LINE), &dark);
  graphene_rect_inset_r (rect, -LINE, -LINE, &light);
  append_border (snapshot, &dark, 5.0f, OUTLINE + LINE + 1.0f, FIL_OVERLAY_DARK);
  append_border (snapshot, &light, 3.0f, LINE, colour);
}

static void
append_box (GtkSnapshot *snapshot,
            float        x,
            float        y,
            float        width,
            float        height,
            float        grow,
            const char  *name)
{
  GdkRGBA colour = colour_of (name);

  gtk_snapshot_append_color (snapshot, &colour,
                             &GRAPHENE_RECT_INIT (x - grow, y - grow, width + 2 * grow,
                                                  height + 2 * grow));
}

/* Squares on the four corners of a frame, as it has the focus. */
void
fil_overlay_append_handles (GtkSnapshot           *snapshot,
                            const graphene_rect_t *rect,
                            const char            *colour)
{
  for (int i = 0; i < 4; i++)
    {
      float x = rect->origin.x + (i % 2 ? rect->size.width : 0.0f) - HANDLE / 2.0f;
      float y = rect->origin.y + (i / 2 ? rect->size.height : 0.0f) - HANDLE / 2.0f;

      append_box (snapshot, x, y, HANDLE, HANDLE, OUTLINE, FIL_OVERLAY_DARK);
      append_box (snapshot, x, y, HANDLE, HANDLE, 0.0f, colour);
    }
}

/**
 * fil_overlay_append_scale_bar:
 * @x: left end
 * @y: bottom of the bar, logical pixels
 *
 * A line of @length with an upright tick inside each end.
 */
void
fil_overlay_append_scale_bar (GtkSnapshot *snapshot,
                              float        x,
                              float        y,
                              float        length)
{
  static const char *const colours[] = { FIL_OVERLAY_DARK, FIL_OVERLAY_WHITE };

  for (int i = 0; i < 2; i++)
    {
      float grow = i == 0 ? OUTLINE : 0.0f;

      append_box (snapshot, x, y - LINE, length, LINE, grow, colours[i]);
      append_box (snapshot, x, y - TICK, LINE, TICK, grow, colours[i]);
      append_box (snapshot, x + length - LINE, y - TICK, LINE, TICK, grow, colours[i]);
    }
}

/* A ring of @diameter along the middle of its line. */
void
fil_overlay_append_circle (GtkSnapshot *snapshot,
                           float        x,
                           float        y,
                           float        diameter,
                           const char  *colour)
{
  float half = (diameter + LINE) / 2.0f;
  graphene_rect_t light = GRAPHENE_RECT_INIT (x - half, y - half, 2 * half, 2 * half);
  graphene_rect_t dark;

  graphene_rect_inset_r (&light, -OUTLINE, -OUTLINE, &dark);
  append_border (snapshot, &dark, half + OUTLINE, LINE + 2 * OUTLINE, FIL_OVERLAY_DARK);
  append_border (snapshot, &light, half, LINE, colour);
}
