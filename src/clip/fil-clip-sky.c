/* fil-clip-sky.c: the Sun in the header of a clip
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: Thompson 2006, A&A 449, 791, for the observer's and the Sun's
 * keywords and helioprojective coordinates; FITS Standard 4.0, section 8, for
 * CRDERi. */

#include <math.h>

#include "fil-clip-header.h"
#include "fil-disc.h"
#include "fil-optics.h"
#include "fil-place.h"
#include "fil-utc.h"

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

/* What was measured, with its errors, and what is taken from the rig. */
static void
add_orientation (FilCards          *cards,
                 const FilClipInfo *info,
                 const FilPlace    *place)
{
  g_autofree char *measured = NULL;

  fil_cards_add_string (cards, "WCSANGLE", place->oriented ? "measured" : "nominal",
                        place->oriented ? "angle and scale were measured"
                                        : "up is taken for celestial north");
  fil_cards_add_double (cards, "POSANGLE", place->position_angle_deg,
                        place->oriented ? "[deg] of up, from celestial north through east"
                                        : "[deg] of up, taken for north: nominal");
  fil_cards_add_string (cards, "SCALESRC", place->oriented ? "measured" : "rig",
                        "where CDELT1 and CDELT2 come from");
  if (place->oriented)
    {
      measured = fil_utc_format (place->oriented_utc_ns);
      fil_cards_add_double (cards, "ANGLERR", place->position_angle_error_deg,
                            "[deg] 1 sigma of POSANGLE");
      fil_cards_add_double (cards, "SCALEERR", place->plate_scale_error,
                            "[arcsec/pixel] 1 sigma of the scale");
      fil_cards_add_string (cards, "ANGLDATE", measured, "when they were measured, UTC");
    }
  fil_cards_add_bool (cards, "MIRRORED", place->mirrored,
                      "T: east lies clockwise of north");
  fil_cards_add_bool (cards, "FLIPX", info->flip_x, "driver turns left and right round");
  fil_cards_add_bool (cards, "FLIPY", info->flip_y, "driver turns top and bottom round");
  fil_cards_add_string (cards, "WCSPLACE", place->placed ? "measured" : "nominal",
                        place->placed ? "the disc's centre was measured"
                                      : "the disc's centre is taken for the middle");
  if (place->placed)
    fil_cards_add_double (cards, "CENTRERR", place->centre_error_px,
                          "[pixel] 1 sigma of the disc's centre");
}

static void
add_axis (FilCards     *cards,
          const FilWcs *wcs,
          double        error_arcsec,
          int           i)
{
  static const char *const names[] = { "HPLN-TAN", "HPLT-TAN" };
  char keyword[16];

  g_snprintf (keyword, sizeof keyword, "CTYPE%d", i + 1);
  fil_cards_add_string (cards, keyword, names[i], i == 0 ? "solar west" : "solar north");
  g_snprintf (keyword, sizeof keyword, "CUNIT%d", i + 1);
  fil_cards_add_string (cards, keyword, "arcsec", "unit");
  g_snprintf (keyword, sizeof keyword, "CRPIX%d", i + 1);
  fil_cards_add_double (cards, keyword, wcs->crpix[i], "[pixel] of the disc's centre");
  g_snprintf (keyword, sizeof keyword, "CRVAL%d", i + 1);
  fil_cards_add_double (cards, keyword, wcs->crval_arcsec[i], "[arcsec] there");
  for (int j = 0; j < 2; j++)
    {
      g_snprintf (keyword, sizeof keyword, "PC%d_%d", i + 1, j + 1);
      fil_cards_add_double (cards, keyword, wcs->pc[i][j], "rotation and mirroring");
    }
  g_snprintf (keyword, sizeof keyword, "CDELT%d", i + 1);
  fil_cards_add_double (cards, keyword, wcs->cdelt_arcsec[i], "[arcsec/pixel] scale");
  g_snprintf (keyword, sizeof keyword, "CRDER%d", i + 1);
  fil_cards_add_double (cards, keyword, error_arcsec,
                        "[arcsec] random error, 1 sigma, in the middle");
}

static void
add_wcs (FilCards          *cards,
         const FilClipInfo *info,
         const FilPlace    *place,
         const FilSun      *sun)
{
  FilPlaceErrors errors = { NAN, NAN, NAN, NAN };
  FilWcs wcs;

  fil_wcs_from_place (place, sun, &wcs);
  fil_place_get_errors (place, sun, 0.5 * (info->width + 1), 0.5 * (info->height + 1), &errors);

  fil_cards_add_string (cards, "WCSNAME", "Helioprojective-cartesian", "Thompson 2006");
  add_orientation (cards, info, place);
  fil_cards_add_int (cards, "WCSAXES", 3, "x, y, frames");
  add_axis (cards, &wcs, errors.x_arcsec, 0);
  add_axis (cards, &wcs, errors.y_arcsec, 1);
}

/* Where on the Sun the patch lies: only where place and angle were measured,
 * and the patch is on the disc. */
static void
add_patch (FilCards          *cards,
           const FilClipInfo *info,
           const FilPlace    *place,
           const FilSun      *sun)
{
  const FilRect *patch = &info->patch;
  FilPlaceErrors errors = { NAN, NAN, NAN, NAN };
  double x, y, latitude_deg, longitude_deg, mu;

  if (patch->width <= 0)
    return;

  /* Rows of the patch count from the top, FITS rows from the bottom. */
  x = patch->x + 0.5 * (patch->width + 1);
  y = info->height - patch->y - 0.5 * (patch->height - 1);
  fil_cards_add_double (cards, "PATCHX", x, "[pixel] middle of the patch");
  fil_cards_add_double (cards, "PATCHY", y, "[pixel] middle of the patch");
  if (!place->placed || !place->oriented ||
      !fil_place_to_disc (place, sun, x, y, &latitude_deg, &longitude_deg, &mu))
    return;

  fil_place_get_errors (place, sun, x, y, &errors);
  fil_cards_add_double (cards, "HGLN", longitude_deg,
                        "[deg] the patch's Stonyhurst longitude, + west");
  fil_cards_add_double (cards, "HGLT", latitude_deg, "[deg] the patch's heliographic latitude");
  fil_cards_add_double (cards, "HGLNERR", errors.longitude_deg, "[deg] 1 sigma of HGLN");
  fil_cards_add_double (cards, "HGLTERR", errors.latitude_deg, "[deg] 1 sigma of HGLT");
  fil_cards_add_double (cards, "CRLN", fil_disc_carrington_deg (sun, longitude_deg),
                        "[deg] the patch's Carrington longitude");
  fil_cards_add_double (cards, "PATCHMU", mu, "cosine of vertical and line of sight");
}

static gboolean
get_place (const FilClipInfo *info,
           FilPlace          *place)
{
  FilOptics optics = { .plate_scale_arcsec_per_px = NAN };

  if (info->place != NULL)
    *place = *info->place;
  else
    {
      if (info->rig != NULL)
        fil_optics_compute (info->rig, &optics);
      fil_place_init (place, &optics,
                      fil_place_is_mirrored (optics.reflections, info->flip_x, info->flip_y),
                      info->width, info->height);
    }

  return isfinite (place->plate_scale_arcsec_per_px);
}

/**
 * fil_clip_add_sky:
 * @utc_begin_ns: when the clip begins
 *
 * The Sun as seen then, and where the pixels lie on it: as measured, or by the
 * rig's numbers.
 *
 * Returns: whether the axes 1 and 2 were described: not without a scale
 */
gboolean
fil_clip_add_sky (FilCards          *cards,
                  const FilClipInfo *info,
                  gint64             utc_begin_ns)
{
  double latitude_deg, longitude_deg, height_m;
  FilPlace place;
  FilSun sun;

  latitude_deg = longitude_deg = height_m = NAN;
  if (info->rig != NULL)
    fil_rig_get_site (info->rig, &latitude_deg, &longitude_deg, &height_m);
  if (!fil_sun_compute (utc_begin_ns, latitude_deg, longitude_deg,
                        isfinite (height_m) ? height_m : 0.0, &sun, NULL))
    return FALSE;
  add_sun (cards, &sun);

  if (!get_place (info, &place))
    return FALSE;
  add_wcs (cards, info, &place, &sun);
  add_patch (cards, info, &place, &sun);

  return TRUE;
}
