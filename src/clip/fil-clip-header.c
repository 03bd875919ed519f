/* fil-clip-header.c: the header of a clip's cube
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sources: FITS Standard 4.0 (mandatory and reserved keywords, times: section
 * 9); SOLARNET metadata recommendations (Haugan & Fredvik), part B, wherever
 * it has a keyword for what is said. */

#include <math.h>
#include <string.h>

#include "fil-clip-header.h"
#include "fil-clip-tables.h"
#include "fil-utc.h"

#define SPARE_CARDS 24   /* for what is known at the end only */
#define NS_PER_S 1e9

/* Returns: bytes of a stored pixel, 1 or 2 */
gsize
fil_clip_info_stored_bytes (const FilClipInfo *info)
{
  g_return_val_if_fail (info != NULL, 2);

  if (info->stored_bytes != 0)
    return info->stored_bytes == 1 ? 1 : 2;

  return info->depth.full > 255 ? 2 : 1;
}

static gboolean
is_wide (const FilClipInfo *info)
{
  return fil_clip_info_stored_bytes (info) == 2;
}

static void
add_mandatory (FilCards          *cards,
               const FilClipInfo *info)
{
  fil_cards_add_bool (cards, "SIMPLE", TRUE, "FITS Standard 4.0");
  fil_cards_add_int (cards, "BITPIX", is_wide (info) ? 16 : 8, "bits a pixel as stored");
  fil_cards_add_int (cards, "NAXIS", 3, "a cube: x, y, frames");
  fil_cards_add_int (cards, "NAXIS1", info->width, "x: columns, from the left");
  fil_cards_add_int (cards, "NAXIS2", info->height, "y: rows, row 1 is the bottom one");
  fil_cards_add_int (cards, "NAXIS3", 0, "whole frames on disk");
  fil_cards_add_bool (cards, "EXTEND", TRUE, "tables may follow: FRAMES, LIGHTPATH");
  if (is_wide (info))
    {
      fil_cards_add_double (cards, "BZERO", 32768.0, "unsigned counts: value = stored + BZERO");
      fil_cards_add_double (cards, "BSCALE", 1.0, "counts are never rescaled");
    }
}

static void
add_identity (FilCards   *cards,
              const char *file_name,
              const char *target)
{
  g_autofree char *now = fil_utc_format (g_get_real_time () * 1000);

  now[strlen ("yyyy-mm-ddThh:mm:ss")] = '\0';
  fil_cards_add_string (cards, "EXTNAME", "CLIP", "the recorded cube");
  fil_cards_add_bool (cards, "CLIPDONE", FALSE, "T when closed whole; F: growing or cut off");
  fil_cards_add_string (cards, "FILENAME", file_name, "as recorded");
  fil_cards_add_string (cards, "DATE", now, "header written, UTC");
  fil_cards_add_string (cards, "LONGSTRN", "OGIP 1.0", "strings may go on in CONTINUE cards");
  fil_cards_add_string (cards, "CREATOR", "Filigree " FIL_VERSION, "program");
  fil_cards_add_double (cards, "SOLARNET", 0.5, "SOLARNET keywords, partly");
  fil_cards_add_int (cards, "OBS_HDU", 1, "this unit holds observations");
  fil_cards_add_string (cards, "OBJECT", target, "name of the target");
  fil_cards_add_string (cards, "BTYPE", "phot.count", "what the pixels are");
  fil_cards_add_string (cards, "BUNIT", "adu", "counts of the camera's converter");
}

static void
add_times (FilCards          *cards,
           const FilClipInfo *info,
           gint64             utc_begin_ns)
{
  g_autofree char *begin = fil_utc_format (utc_begin_ns);

  fil_cards_add_string (cards, "DATE-BEG", begin, "start of the first exposure");
  /* Readers of solar coordinates ask for this one. */
  fil_cards_add_string (cards, "DATE-OBS", begin, "the same");
  fil_cards_add_string (cards, "DATEREF", begin, "times in seconds count from here");
  fil_cards_add_string (cards, "TIMESYS", "UTC", "time scale");
  fil_cards_add_string (cards, "TIMEUNIT", "s", "unit of times");
  fil_cards_add_double (cards, "XPOSURE", info->exposure_ms / 1e3, "[s] exposure of one frame");
  if (info->fps_nominal > 0.0)
    fil_cards_add_double (cards, "CADENCE", 1.0 / info->fps_nominal,
                          "[s] frame to frame, as set");
}

static void
add_pixels (FilCards          *cards,
            const FilClipInfo *info)
{
  if (info->pattern != FIL_PATTERN_NONE)
    fil_cards_add_string (cards, "BAYERPAT", fil_pattern_to_string (info->pattern),
                          "colours at (1,1) (2,1) (1,2) (2,2)");
  fil_cards_add_bool (cards, "RAWDATA", info->raw, info->raw ? "linear counts of the sensor"
                                                   : "luma or JPEG: no photometry");
  fil_cards_add_double (cards, "BLACKCNT", info->black_level, "[adu] black level");
  fil_cards_add_int (cards, "DATAMAX", info->depth.full, "[adu] count of a full pixel");
  fil_cards_add_int (cards, "BITDEPTH", info->depth.bits, "significant bits a pixel");
  fil_cards_add_int (cards, "ZEROBITS", info->depth.shift, "constant zero bits below them");
  fil_cards_add_bool (cards, "DEPTHMEA", info->depth.learnt,
                      "depth learnt from data; F: nominal");
  fil_cards_add_string (cards, "PIXFMT", info->fourcc, "pixel format of the camera");
  fil_cards_add_double (cards, "DETGAIN", info->gain, "gain, in the camera's own unit");
  if (info->roi.width > 0)
    {
      fil_cards_add_int (cards, "ROI-X", info->roi.x, "region of the sensor: left, from 0");
      fil_cards_add_int (cards, "ROI-Y", info->roi.y, "top, from 0, downward");
      fil_cards_add_int (cards, "ROI-W", info->roi.width, "columns");
      fil_cards_add_int (cards, "ROI-H", info->roi.height, "rows");
    }
}

static void
add_source (FilCards          *cards,
            const FilClipInfo *info)
{
  g_autofree char *confirmed = NULL;
  g_autofree char *sky = NULL;

  fil_cards_add_string (cards, "SOURCE", info->simulated != NULL ? info->simulated : "camera",
                        "where the light came from");
  if (info->sky_utc_ns != 0)
    {
      sky = fil_utc_format (info->sky_utc_ns);
      fil_cards_add_string (cards, "SKYDATE", sky, "the day that the pictures show");
    }
  fil_cards_add_string (cards, "DETECTOR", info->detector, "camera");
  if (info->driver != NULL && info->driver[0] != '\0')
    fil_cards_add_string (cards, "DRIVER", info->driver, "driver of the camera");
  if (info->filter_confirmed != NULL)
    {
      confirmed = fil_utc_format (info->confirmed_utc_ns);
      fil_cards_add_string (cards, "GATECONF", info->filter_confirmed,
                            "confirmed at the telescope");
      fil_cards_add_string (cards, "GATEDATE", confirmed, "when it was confirmed, UTC");
    }
  fil_cards_add_double (cards, "SHARPFC", info->sharp_cutoff_cycles_per_px,
                        "[cycles/pixel] cut-off used by SHARP");
  fil_cards_add_int (cards, "FRMLOST", 0, "frames lost while recording");
  fil_cards_add_int (cards, "SRCGAPS", 0, "frames the source skipped");
}

static void
add_counting_axis (FilCards   *cards,
                   int         number,
                   const char *name,
                   const char *comment)
{
  const char *const values[] = { "CRPIX%d", "CRVAL%d", "CDELT%d" };
  char keyword[9];

  g_snprintf (keyword, sizeof keyword, "CTYPE%d", number);
  fil_cards_add_string (cards, keyword, name, comment);
  for (gsize i = 0; i < G_N_ELEMENTS (values); i++)
    {
      g_strlcpy (keyword, values[i], sizeof keyword);
      keyword[5] = (char) ('0' + number);
      keyword[6] = '\0';
      fil_cards_add_double (cards, keyword, 1.0, "counted from 1");
    }
}

/* Angles on the sky where the rig gives them, else plain pixels; frames. */
static void
add_axes (FilCards          *cards,
          const FilClipInfo *info,
          gint64             utc_begin_ns)
{
  if (!fil_clip_add_sky (cards, info, utc_begin_ns))
    {
      add_counting_axis (cards, 1, "X", "columns");
      add_counting_axis (cards, 2, "Y", "rows");
    }
  add_counting_axis (cards, 3, "FRAME", "frames, not evenly spaced in time");
}

/**
 * fil_clip_header_new:
 * @file_name: the finished clip's name, without folder
 *
 * The header of a clip of no frames yet, with blank cards for what comes
 * later: it never changes its length.
 *
 * Returns: (transfer full): whole blocks
 */
GBytes *
fil_clip_header_new (const FilClipInfo *info,
                     gint64             utc_begin_ns,
                     const char        *file_name)
{
  g_autoptr (FilCards) cards = fil_cards_new ();
  guint spare = SPARE_CARDS;

  add_mandatory (cards, info);
  add_identity (cards, file_name, info->target);
  add_times (cards, info, utc_begin_ns);
  add_pixels (cards, info);
  add_source (cards, info);
  fil_clip_add_instrument (cards, info);
  fil_clip_add_place (cards, info->rig);
  add_axes (cards, info, utc_begin_ns);

  /* END must stand in the last block, so the spare cards fill it. */
  while ((fil_cards_count (cards) + spare + 1) * FIL_CARD_LENGTH % FIL_FITS_BLOCK != 0)
    spare++;
  fil_cards_add_blank (cards, spare);

  return g_string_free_to_bytes (fil_cards_finish (cards));
}

/* Returns: the one card that moves on with every flush */
char *
fil_clip_header_naxis3 (guint64 n_frames)
{
  g_autoptr (FilCards) cards = fil_cards_new ();

  fil_cards_add_int (cards, "NAXIS3", (gint64) n_frames, "whole frames on disk");

  return g_strdup (cards->text->str);
}

/* A difference of two times, without the digits that its rounding left. */
static double
to_whole_ns (double seconds)
{
  return round (seconds * NS_PER_S) / NS_PER_S;
}

static void
put_times (FilCards             *cards,
           const FilClipSummary *summary)
{
  g_autoptr (FilCards) dates = fil_cards_new ();
  g_autoptr (FilCards) cadences = fil_cards_new ();
  g_autofree char *begin_text = fil_cards_dup_value (cards, "DATE-BEG");
  g_autofree char *end = NULL, *average = NULL;
  double length_s = summary->last_s +
                    (isfinite (summary->last_exposure_s) ? summary->last_exposure_s : 0.0);
  gint64 begin_ns;

  if (begin_text == NULL || !fil_utc_parse (begin_text, &begin_ns) ||
      !(length_s >= 0.0 && length_s < 1e9))
    return;

  end = fil_utc_format (begin_ns + (gint64) llrint (length_s * NS_PER_S));
  average = fil_utc_format (begin_ns + (gint64) llrint (length_s * NS_PER_S / 2));
  fil_cards_add_string (dates, "DATE-END", end, "end of the last exposure");
  fil_cards_add_string (dates, "DATE-AVG", average, "middle between the two");
  fil_cards_put (cards, dates, "DATE-BEG");

  if (summary->n_frames > 1)
    fil_cards_add_double (cadences, "CADAVG", summary->last_s / (double) (summary->n_frames - 1),
                          "[s] frame to frame, average");
  fil_cards_add_double (cadences, "CADMIN", to_whole_ns (summary->cadence_min_s),
                        "[s] shortest");
  fil_cards_add_double (cadences, "CADMAX", to_whole_ns (summary->cadence_max_s),
                        "[s] longest");
  fil_cards_put (cards, cadences, "TIMEUNIT");
}

/* The third axis counts frames, or tells their time where that is the same. */
static void
put_time_axis (FilCards             *cards,
               const FilClipSummary *summary)
{
  g_autoptr (FilCards) axis = fil_cards_new ();

  if (!summary->evenly_spaced)
    return;

  fil_cards_add_string (axis, "CTYPE3", "UTC", "time: evenly spaced to half a frame");
  fil_cards_add_string (axis, "CUNIT3", "s", "seconds after DATEREF");
  fil_cards_add_double (axis, "CRPIX3", 1.0, "first frame");
  fil_cards_add_double (axis, "CRVAL3", 0.0, "[s] its time");
  fil_cards_add_double (axis, "CDELT3", summary->last_s / (double) (summary->n_frames - 1),
                        "[s] frame to frame");
  fil_cards_put (cards, axis, "CTYPE3");
}

static void
put_books (FilCards             *cards,
           const FilClipSummary *summary)
{
  g_autoptr (FilCards) books = fil_cards_new ();
  g_autoptr (FilCards) drift = fil_cards_new ();

  fil_cards_add_int (books, "NAXIS3", (gint64) summary->n_frames, "frames");
  fil_cards_add_bool (books, "CLIPDONE", TRUE, "T: closed whole");
  fil_cards_add_int (books, "DATAMAX", summary->depth.full, "[adu] count of a full pixel");
  fil_cards_add_int (books, "BITDEPTH", summary->depth.bits, "significant bits a pixel");
  fil_cards_add_int (books, "ZEROBITS", summary->depth.shift, "constant zero bits below them");
  fil_cards_add_bool (books, "DEPTHMEA", summary->depth.learnt,
                      "depth learnt from data; F: nominal");
  fil_cards_add_int (books, "FRMLOST", (gint64) summary->lost, "frames lost while recording");
  fil_cards_add_int (books, "SRCGAPS", (gint64) summary->source_gaps,
                     "frames the source skipped");
  fil_cards_put (cards, books, NULL);

  fil_cards_add_double (drift, "CLKDRIFT", summary->clock_drift_s,
                        "[s] drift of the clock against UTC at the end");
  fil_cards_put (cards, drift, "SRCGAPS");
}

/**
 * fil_clip_header_finish:
 * @header: as fil_clip_header_new() gave it
 * @data_sum: of the cube
 *
 * Returns: (transfer full): the closed clip's header, of the same length
 */
GBytes *
fil_clip_header_finish (GBytes               *header,
                        const FilClipSummary *summary,
                        guint32               data_sum)
{
  gsize length;
  const char *text = g_bytes_get_data (header, &length);
  g_autoptr (FilCards) cards = fil_cards_new_from (text, length);

  put_books (cards, summary);
  put_times (cards, summary);
  put_time_axis (cards, summary);
  fil_clip_set_sums (cards, data_sum);

  return g_string_free_to_bytes (fil_cards_finish (cards));
}
