/* fil-clip-instrument.c: rig and place in the header of a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-clip-header.h"
#include "fil-optics.h"

/* WGS 84 (NIMA TR8350.2): equatorial radius and flattening */
#define EARTH_RADIUS_M 6378137.0
#define EARTH_FLATTENING (1.0 / 298.257223563)

static void
add_geocentric (FilCards *cards,
                double    latitude_deg,
                double    longitude_deg,
                double    height_m)
{
  const double e2 = EARTH_FLATTENING * (2.0 - EARTH_FLATTENING);
  const double b = latitude_deg * G_PI / 180.0, l = longitude_deg * G_PI / 180.0;
  const double normal = EARTH_RADIUS_M / sqrt (1.0 - e2 * sin (b) * sin (b));

  fil_cards_add_double (cards, "OBSGEO-X", (normal + height_m) * cos (b) * cos (l),
                        "[m] observer, geocentric, WGS 84");
  fil_cards_add_double (cards, "OBSGEO-Y", (normal + height_m) * cos (b) * sin (l),
                        "[m] observer, geocentric, WGS 84");
  fil_cards_add_double (cards, "OBSGEO-Z", (normal * (1.0 - e2) + height_m) * sin (b),
                        "[m] observer, geocentric, WGS 84");
}

static gboolean
get_site (const FilRig *rig,
          double       *latitude_deg,
          double       *longitude_deg,
          double       *height_m)
{
  *latitude_deg = *longitude_deg = *height_m = NAN;

  return rig != NULL && fil_rig_get_site (rig, latitude_deg, longitude_deg, height_m);
}

/* Where the observer stood; nothing without a rig that tells. */
void
fil_clip_add_place (FilCards     *cards,
                    const FilRig *rig)
{
  double latitude_deg, longitude_deg, height_m;

  if (!get_site (rig, &latitude_deg, &longitude_deg, &height_m))
    return;

  if (!isfinite (height_m))
    height_m = 0.0;
  fil_cards_add_string (cards, "TREFPOS", "TOPOCENTER", "times are the observer's own");
  fil_cards_add_double (cards, "OBSGEO-B", latitude_deg, "[deg] latitude, geodetic");
  fil_cards_add_double (cards, "OBSGEO-L", longitude_deg, "[deg] longitude, east positive");
  fil_cards_add_double (cards, "OBSGEO-H", height_m, "[m] height");
  add_geocentric (cards, latitude_deg, longitude_deg, height_m);
}

static void
add_band (FilCards        *cards,
          const FilRig    *rig,
          const FilOptics *optics)
{
  const FilElement *bandpass = fil_rig_find (rig, FIL_ELEMENT_BANDPASS);
  char centre[G_ASCII_DTOSTR_BUF_SIZE], width[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *name = NULL;

  fil_cards_add_double (cards, "WAVELNTH", optics->wavelength_nm,
                        bandpass != NULL ? "[nm] centre of the band" : "[nm] assumed");
  fil_cards_add_int (cards, "WAVEUNIT", -9, "wavelengths are in 10**WAVEUNIT m");
  if (bandpass == NULL)
    return;

  g_ascii_formatd (centre, sizeof centre, "%.6g", bandpass->centre_nm);
  g_ascii_formatd (width, sizeof width, "%.6g", bandpass->width_nm);
  name = isfinite (bandpass->width_nm) ? g_strdup_printf ("%s nm / %s nm", centre, width)
                                       : g_strdup_printf ("%s nm", centre);
  fil_cards_add_string (cards, "FILTER", name, "bandpass");
  fil_cards_add_double (cards, "WAVEMIN", bandpass->centre_nm - bandpass->width_nm / 2,
                        "[nm] half of the peak, short side");
  fil_cards_add_double (cards, "WAVEMAX", bandpass->centre_nm + bandpass->width_nm / 2,
                        "[nm] half of the peak, long side");
}

static void
add_optics (FilCards        *cards,
            const FilOptics *optics)
{
  fil_cards_add_double (cards, "APERTURE", optics->aperture_mm, "[mm] clear aperture");
  fil_cards_add_double (cards, "OBSTRUCT", optics->obstruction_ratio,
                        "obstruction, share of the diameter");
  fil_cards_add_double (cards, "FOCLEN", optics->focal_length_mm, "[mm] at the sensor");
  fil_cards_add_double (cards, "FOCRATIO", optics->focal_ratio, "at the sensor");
  fil_cards_add_double (cards, "MAGNIF", optics->magnification, "amplifiers times reducers");
  fil_cards_add_double (cards, "PIXPITCH", optics->pixel_um, "[um] pitch of the pixels");
  fil_cards_add_double (cards, "PXSCALE", optics->plate_scale_arcsec_per_px,
                        "[arcsec/pixel] scale, nominal");
  fil_cards_add_double (cards, "CUTOFF", optics->cutoff_arcsec, "[arcsec] finest period passed");
  fil_cards_add_double (cards, "CUTOFFPX", optics->cutoff_cycles_per_px,
                        "[cycles/pixel] the same on the sensor");
  fil_cards_add_double (cards, "AIRYDIAM", optics->airy_diameter_um,
                        "[um] Airy disc, first dark ring");
  fil_cards_add_double (cards, "FOCDEPTH", optics->depth_of_focus_um,
                        "[um] half depth of focus at the sensor");
  fil_cards_add_double (cards, "DENSITY", optics->density, "optical density of the light path");
  fil_cards_add_int (cards, "REFLECTS", optics->reflections, "reflections; odd: mirrored");
}

/* The rig's name and numbers; nothing without one. */
void
fil_clip_add_instrument (FilCards          *cards,
                         const FilClipInfo *info)
{
  FilOptics optics;

  if (info->rig == NULL)
    return;

  fil_optics_compute (info->rig, &optics);
  fil_cards_add_string (cards, "TELESCOP", fil_rig_get_name (info->rig), "name of the rig");
  fil_cards_add_string (cards, "OBSERVER", fil_rig_get_observer (info->rig), "observer");
  fil_cards_add_string (cards, "RIGHASH", fil_rig_get_digest (info->rig), "SHA-256 of the rig");
  add_band (cards, info->rig, &optics);
  add_optics (cards, &optics);
}
