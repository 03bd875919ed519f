/* fil-clip-place.c: how a clip's picture lies on the Sun, as its header says
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-clip.h"
#include "fil-utc.h"

#define SAME 1e-6   /* of the matrix's elements, so far as cards tell them */

typedef struct
{
  const char *keyword;
  double      least, most;   /* what makes sense */
  double     *value;
} Card;

static gboolean
read_cards (const FilClip *clip,
            const Card    *cards,
            gsize          n)
{
  for (gsize i = 0; i < n; i++)
    if (!fil_clip_get_card_double (clip, cards[i].keyword, cards[i].value) ||
        *cards[i].value < cards[i].least || *cards[i].value > cards[i].most)
      return FALSE;

  return TRUE;
}

/* A clip tells of the Sun what its pictures need; the rest is NaN. */
static gboolean
read_sun (const FilClip *clip,
          FilSun        *sun)
{
  double distance_m, carrington;
  const Card cards[] = {
    { "SOLAR_P0", -30.0, 30.0, &sun->p_deg },
    { "HGLT_OBS", -10.0, 10.0, &sun->b0_deg },
    { "CRLN_OBS", 0.0, 360.0, &sun->l0_deg },
    { "DSUN_OBS", 0.9 * FIL_AU_KM * 1e3, 1.1 * FIL_AU_KM * 1e3, &distance_m },
    { "CAR_ROT", -1e6, 1e6, &carrington },
  };

  *sun = (FilSun) { .ra_deg = NAN, .dec_deg = NAN, .altitude_deg = NAN, .azimuth_deg = NAN,
                    .refraction_deg = NAN, .parallactic_angle_deg = NAN, .airmass = NAN,
                    .hour_angle_rate_arcsec_per_s = NAN };
  if (!read_cards (clip, cards, G_N_ELEMENTS (cards)))
    return FALSE;

  sun->carrington_rotation = carrington;
  sun->distance_au = distance_m / (FIL_AU_KM * 1e3);
  sun->semidiameter_arcsec = asin (FIL_SUN_RADIUS_KM * 1e3 / distance_m) * 180.0 / G_PI * 3600.0;

  return TRUE;
}

static gboolean
says (FilClip    *clip,
      const char *keyword,
      const char *wanted)
{
  return g_strcmp0 (fil_clip_get_card (clip, keyword), wanted) == 0;
}

/* What was measured, and how well; a file that claims it has to tell all of it. */
static gboolean
read_measured (FilClip  *clip,
               FilPlace *place)
{
  const Card angle[] = {
    { "ANGLERR", 0.0, 180.0, &place->position_angle_error_deg },
    { "SCALEERR", 0.0, 1e3, &place->plate_scale_error },
  };
  const Card centre[] = { { "CENTRERR", 0.0, 1e9, &place->centre_error_px } };
  const char *when = fil_clip_get_card (clip, "ANGLDATE");

  place->oriented = says (clip, "WCSANGLE", "measured");
  place->placed = says (clip, "WCSPLACE", "measured");
  place->plate_scale_error = place->position_angle_error_deg = place->centre_error_px = NAN;
  if (place->oriented && (!read_cards (clip, angle, G_N_ELEMENTS (angle)) || when == NULL ||
                          !fil_utc_parse (when, &place->oriented_utc_ns)))
    return FALSE;

  return !place->placed || read_cards (clip, centre, G_N_ELEMENTS (centre));
}

/* The matrix has to say the same as angle and mirroring: another program may
 * have cut or turned the picture, and left our own cards as they were. */
static gboolean
is_matrix_right (const FilClip  *clip,
                 const FilPlace *place,
                 const FilSun   *sun)
{
  double pc[4], up = 0.0, other_scale = 0.0;
  const Card cards[] = {
    { "PC1_1", -2.0, 2.0, &pc[0] }, { "PC1_2", -2.0, 2.0, &pc[1] },
    { "PC2_1", -2.0, 2.0, &pc[2] }, { "PC2_2", -2.0, 2.0, &pc[3] },
    { "CRVAL1", 0.0, 0.0, &up },    { "CRVAL2", 0.0, 0.0, &up },
    { "CDELT2", 1e-4, 1e3, &other_scale },
  };
  FilWcs wcs;

  if (!read_cards (clip, cards, G_N_ELEMENTS (cards)))
    return FALSE;

  fil_wcs_from_place (place, sun, &wcs);
  for (int i = 0; i < 4; i++)
    if (fabs (pc[i] - wcs.pc[i / 2][i % 2]) > SAME)
      return FALSE;

  return fabs (other_scale - place->plate_scale_arcsec_per_px) <= SAME * other_scale;
}

/**
 * fil_clip_get_sky:
 * @place: (out): as it was when the clip was recorded
 * @sun: (out): as it was seen then; NaN what a header doesn't tell
 *
 * Returns: %FALSE, and both of no use, for a clip that isn't ours, tells of no
 *   coordinates, or of such as don't agree with each other
 */
gboolean
fil_clip_get_sky (FilClip  *clip,
                  FilPlace *place,
                  FilSun   *sun)
{
  const Card cards[] = {
    { "CDELT1", 1e-4, 1e3, &place->plate_scale_arcsec_per_px },
    { "POSANGLE", -360.0, 360.0, &place->position_angle_deg },
    { "CRPIX1", -1e9, 1e9, &place->centre_x },
    { "CRPIX2", -1e9, 1e9, &place->centre_y },
  };

  g_return_val_if_fail (clip != NULL && place != NULL && sun != NULL, FALSE);

  memset (place, 0, sizeof *place);
  if (!fil_clip_is_ours (clip) || !says (clip, "CTYPE1", "HPLN-TAN") ||
      !says (clip, "CTYPE2", "HPLT-TAN") || !read_sun (clip, sun) ||
      !read_cards (clip, cards, G_N_ELEMENTS (cards)) || !read_measured (clip, place))
    return FALSE;

  place->mirrored = says (clip, "MIRRORED", "T");

  return is_matrix_right (clip, place, sun);
}
