/* fil-clip-sky.c: the Sun in the header of a clip
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: Thompson 2006, A&A 449, 791, for the observer's and the Sun's
 * keywords and helioprojective coordinates. */

#include <math.h>

#include "fil-clip-header.h"
#include "fil-optics.h"
#include "fil-sun.h"
#include "fil-wcs.h"

static void
add_sun (FilCards     *cards,
         const FilSun *sun)
{
  fil_cards_add_double (cards, "RSUN_REF", FIL_SUN_RADIUS_KM * 1e3, "[m] radius of the Sun");
  fil_cards_add_double (cards, "RSUN_OBS", sun->semidiameter_arcsec, "[arcsec] semidiameter");
  fil_cards_add_double (cards, "DSUN_OBS", sun->distance_au * FIL_AU_KM * 1e3,
                        "[m] distance of the Sun");
  fil_cards_add_double (cards, "HGLN_OBS", 0.0, "[deg] observer, Stonyhurst longitude");
  fil_cards_add_double (cards, "HGLT_OBS", sun->b0_deg, "[deg] observer's latitude, B0");
  fil_cards_add_double (cards, "CRLN_OBS", sun->l0_deg, "[deg] Carrington longitude, L0");
  fil_cards_add_double (cards, "CRLT_OBS", sun->b0_deg, "[deg] Carrington latitude, B0");
  fil_cards_add_double (cards, "CAR_ROT", sun->carrington_rotation, "Carrington rotation");
  fil_cards_add_double (cards, "SOLAR_P0", sun->p_deg, "[deg] position angle of the axis");
  fil_cards_add_double (cards, "ELEV_ANG", sun->altitude_deg,
                        "[deg] altitude of the Sun, no refraction");
}

static void
add_wcs (FilCards     *cards,
         const FilWcs *wcs)
{
  static const char *const names[] = { "HPLN-TAN", "HPLT-TAN" };
  char keyword[16];

  fil_cards_add_string (cards, "WCSNAME", "Helioprojective-cartesian", "Thompson 2006");
  fil_cards_add_string (cards, "WCSANGLE", wcs->measured ? "measured" : "nominal",
                        wcs->measured ? "place and angle were measured"
                                      : "place and angle by the rig alone");
  fil_cards_add_int (cards, "WCSAXES", 3, "x, y, frames");
  for (int i = 0; i < 2; i++)
    {
      g_snprintf (keyword, sizeof keyword, "CTYPE%d", i + 1);
      fil_cards_add_string (cards, keyword, names[i], i == 0 ? "solar west" : "solar north");
      g_snprintf (keyword, sizeof keyword, "CUNIT%d", i + 1);
      fil_cards_add_string (cards, keyword, "arcsec", "unit");
      g_snprintf (keyword, sizeof keyword, "CRPIX%d", i + 1);
      fil_cards_add_double (cards, keyword, wcs->crpix[i], "[pixel] reference");
      g_snprintf (keyword, sizeof keyword, "CRVAL%d", i + 1);
      fil_cards_add_double (cards, keyword, wcs->crval_arcsec[i], "[arcsec] there");
      for (int j = 0; j < 2; j++)
        {
          g_snprintf (keyword, sizeof keyword, "PC%d_%d", i + 1, j + 1);
          fil_cards_add_double (cards, keyword, wcs->pc[i][j], "rotation and mirroring");
        }
      g_snprintf (keyword, sizeof keyword, "CDELT%d", i + 1);
      fil_cards_add_double (cards, keyword, wcs->cdelt_arcsec[i], "[arcsec/pixel] scale");
    }
}

/**
 * fil_clip_add_sky:
 * @utc_begin_ns: when the clip begins
 *
 * The Sun as seen then, and where the pixels lie on it by the rig's numbers.
 *
 * Returns: whether the axes 1 and 2 were described: with a complete rig alone
 */
gboolean
fil_clip_add_sky (FilCards          *cards,
                  const FilClipInfo *info,
                  gint64             utc_begin_ns)
{
  double latitude_deg, longitude_deg, height_m;
  FilOptics optics;
  FilSun sun;
  FilWcs wcs;

  latitude_deg = longitude_deg = height_m = NAN;
  if (info->rig != NULL)
    fil_rig_get_site (info->rig, &latitude_deg, &longitude_deg, &height_m);
  if (!fil_sun_compute (utc_begin_ns, latitude_deg, longitude_deg,
                        isfinite (height_m) ? height_m : 0.0, &sun, NULL))
    return FALSE;
  add_sun (cards, &sun);

  if (info->rig == NULL)
    return FALSE;
  fil_optics_compute (info->rig, &optics);
  if (!isfinite (optics.plate_scale_arcsec_per_px))
    return FALSE;
  fil_wcs_nominal (&optics, &sun, info->width, info->height, optics.reflections % 2 != 0, &wcs);
  add_wcs (cards, &wcs);

  return TRUE;
}
