/* fil-clip-rows.c: what a clip says of each frame
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"
#include "fil-utc.h"

#define RECORDS_AT_ONCE 256

static const FilClipRow unknown_row = { NAN, 0, NAN, NAN, NAN, NAN, NAN, 0 };

/* A foreign table may count in other units; those that we know. */
static double
seconds_in_unit (const char *unit)
{
  static const struct { const char *name; double seconds; } units[] = {
    { "s", 1.0 }, { "ms", 1e-3 }, { "us", 1e-6 }, { "ns", 1e-9 },
    { "min", 60.0 }, { "h", 3600.0 }, { "d", 86400.0 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (units); i++)
    if (strcmp (unit, units[i].name) == 0)
      return units[i].seconds;

  return 1.0;
}

/* Fills one member of every row; a column that isn't there leaves it alone. */
static void
read_real (FilClip            *clip,
           const FilFitsTable *table,
           const char         *name,
           gsize               member,
           double             *values)
{
  int column = fil_fits_table_find (table, name);
  double factor = 1.0;

  if (column < 0 || !fil_fits_table_read_double (table, column, 0, values, clip->n_frames))
    return;

  if (member == G_STRUCT_OFFSET (FilClipRow, time_s))
    {
      const FilFitsColumn *time = g_ptr_array_index (table->columns, (guint) column);

      factor = seconds_in_unit (time->unit);
    }
  for (guint64 i = 0; i < clip->n_frames; i++)
    *(double *) (gpointer) ((guint8 *) &clip->rows[i] + member) = factor * values[i];
}

static gboolean
read_whole (FilClip            *clip,
            const FilFitsTable *table,
            const char         *name,
            gint64             *values)
{
  int column = fil_fits_table_find (table, name);

  return column >= 0 && fil_fits_table_read_int (table, column, 0, values, clip->n_frames);
}

static gboolean
times_are_finite (const FilClip *clip)
{
  for (guint64 i = 0; i < clip->n_frames; i++)
    if (!isfinite (clip->rows[i].time_s) || fabs (clip->rows[i].time_s) > 1e9)
      return FALSE;

  return clip->n_frames > 0;
}

static void
read_table (FilClip *clip)
{
  static const struct { const char *name; gsize member; } reals[] = {
    { "TIME", G_STRUCT_OFFSET (FilClipRow, time_s) },
    { "MEAN", G_STRUCT_OFFSET (FilClipRow, mean) },
    { "FULL", G_STRUCT_OFFSET (FilClipRow, full_fraction) },
    { "SHARP", G_STRUCT_OFFSET (FilClipRow, sharpness) },
    { "XPOSURE", G_STRUCT_OFFSET (FilClipRow, exposure_s) },
    { "GAIN", G_STRUCT_OFFSET (FilClipRow, gain) },
  };
  g_autoptr (FilFitsTable) table = fil_fits_table_new (clip->fd, clip->frames_table);
  g_autofree double *values = g_try_new (double, clip->n_frames);
  g_autofree gint64 *whole = g_try_new (gint64, clip->n_frames);

  if (table == NULL || table->n_rows != clip->n_frames || values == NULL || whole == NULL)
    return;

  for (gsize i = 0; i < G_N_ELEMENTS (reals); i++)
    read_real (clip, table, reals[i].name, reals[i].member, values);
  if (read_whole (clip, table, "SEQ", whole))
    for (guint64 i = 0; i < clip->n_frames; i++)
      clip->rows[i].sequence = whole[i];
  if (read_whole (clip, table, "MARKS", whole))
    for (guint64 i = 0; i < clip->n_frames; i++)
      clip->rows[i].marks = (gint32) whole[i];
}

static void
read_journal (FilClip *clip)
{
  const guint64 n = MIN (clip->n_frames, clip->journal->n_records);

  for (guint64 i = 0; i < n;)
    {
      FilJournalRecord records[RECORDS_AT_ONCE];
      guint step = (guint) MIN (n - i, RECORDS_AT_ONCE);

      if (!fil_journal_read (clip->journal, i, records, step, NULL))
        return;
      for (guint j = 0; j < step; j++)
        clip->rows[i + j] = records[j].row;
      i += step;
    }
}

/**
 * fil_clip_get_rows:
 * @have_times: (out) (optional): whether every frame's time is known
 *
 * The FRAMES table, or the journal of an interrupted clip. What isn't known
 * is NaN, a missing SEQ or MARKS 0. Read when first asked for.
 *
 * Returns: (nullable) (array): a row for each frame, owned by the clip;
 *   %NULL where memory doesn't suffice or there is no frame
 */
const FilClipRow *
fil_clip_get_rows (FilClip  *clip,
                   gboolean *have_times)
{
  g_return_val_if_fail (clip != NULL, NULL);

  if (!clip->rows_read)
    {
      clip->rows_read = TRUE;
      clip->rows = g_try_new (FilClipRow, clip->n_frames);
      for (guint64 i = 0; clip->rows != NULL && i < clip->n_frames; i++)
        clip->rows[i] = unknown_row;
      if (clip->rows != NULL && clip->frames_table != NULL)
        read_table (clip);
      else if (clip->rows != NULL && clip->journal != NULL)
        read_journal (clip);
      clip->have_times = clip->rows != NULL && times_are_finite (clip);
    }
  if (have_times != NULL)
    *have_times = clip->have_times;

  return clip->rows;
}

/* The journal's last word, of an interrupted clip. */
static gboolean
last_record (const FilClip    *clip,
             FilJournalRecord *record)
{
  return clip->journal != NULL && clip->journal->n_records > 0 &&
         fil_journal_read (clip->journal, clip->journal->n_records - 1, record, 1, NULL);
}

/**
 * fil_clip_get_losses:
 * @lost: (out): frames lost while recording, for want of disk or memory
 * @source_gaps: (out): frames that the source itself skipped
 *
 * Returns: %FALSE, outputs untouched, where the file doesn't tell
 */
gboolean
fil_clip_get_losses (const FilClip *clip,
                     guint64       *lost,
                     guint64       *source_gaps)
{
  FilJournalRecord record;
  gint64 card_lost, card_gaps = 0;

  g_return_val_if_fail (clip != NULL && lost != NULL && source_gaps != NULL, FALSE);

  if (last_record (clip, &record))
    {
      *lost = record.lost;
      *source_gaps = record.source_gaps;
      return TRUE;
    }
  if (!clip->ours || !fil_cards_get_int (clip->picture->cards, "FRMLOST", &card_lost))
    return FALSE;

  fil_cards_get_int (clip->picture->cards, "SRCGAPS", &card_gaps);
  *lost = (guint64) MAX (card_lost, 0);
  *source_gaps = (guint64) MAX (card_gaps, 0);

  return TRUE;
}

/* Returns: frames a second by the frames' own times, else by the header's
 * rate; NaN: unknown */
double
fil_clip_get_fps (FilClip *clip)
{
  gboolean have_times;
  const FilClipRow *rows;
  double cadence_s;

  g_return_val_if_fail (clip != NULL, NAN);

  rows = fil_clip_get_rows (clip, &have_times);
  if (have_times && clip->n_frames > 1)
    {
      double span_s = rows[clip->n_frames - 1].time_s - rows[0].time_s;

      if (span_s > 1e-9 * (double) clip->n_frames)
        return (double) (clip->n_frames - 1) / span_s;
    }
  if ((fil_clip_get_card_double (clip, "CADAVG", &cadence_s) ||
       fil_clip_get_card_double (clip, "CADENCE", &cadence_s)) && cadence_s > 1e-9)
    return 1.0 / cadence_s;

  return NAN;
}

/**
 * fil_clip_dup_date_end:
 *
 * Returns: (nullable): the end of the last exposure, as FITS writes times:
 *   DATE-END, or from the last frame's row; %NULL where neither is known
 */
char *
fil_clip_dup_date_end (FilClip *clip)
{
  gint64 begin_ns = fil_clip_get_utc_begin_ns (clip);
  const char *text = fil_clip_get_card (clip, "DATE-END");
  gboolean have_times;
  const FilClipRow *rows;
  double length_s;

  g_return_val_if_fail (clip != NULL, NULL);

  if (text != NULL)
    return g_strdup (text);

  rows = fil_clip_get_rows (clip, &have_times);
  if (!have_times || begin_ns == G_MININT64)
    return NULL;

  length_s = rows[clip->n_frames - 1].time_s;
  if (isfinite (rows[clip->n_frames - 1].exposure_s))
    length_s += rows[clip->n_frames - 1].exposure_s;

  return fil_utc_format (begin_ns + (gint64) llrint (CLAMP (length_s, -1e9, 1e9) * 1e9));
}

/* Full scales of a depth: 2ⁿ − 1, n from 1 to 53. */
static gboolean
bits_of_full (double full,
              int   *bits)
{
  int exponent;

  if (!(full >= 1.0) || frexp (full + 1.0, &exponent) != 0.5)
    return FALSE;
  *bits = exponent - 1;

  return TRUE;
}

/**
 * fil_clip_get_full_scale:
 *
 * Returns: the count from which a pixel is full: DATAMAX if it is 2ⁿ − 1,
 *   else the largest number that BITPIX with BZERO and BSCALE can say; NaN
 *   for floating point without such a DATAMAX
 */
double
fil_clip_get_full_scale (const FilClip *clip)
{
  double full;
  int bits;

  g_return_val_if_fail (clip != NULL, NAN);

  if (fil_clip_get_card_double (clip, "DATAMAX", &full) && bits_of_full (full, &bits))
    return full;
  if (clip->bitpix < 0)
    return NAN;

  full = clip->bitpix == 8 ? 255.0 : ldexp (1.0, clip->bitpix - 1) - 1.0;

  return clip->bzero + clip->bscale * full;
}

/**
 * fil_clip_get_depth:
 *
 * The true depth, as far as the file tells: our own cards, the journal of an
 * interrupted clip, a DATAMAX of 2ⁿ − 1, or |BITPIX|.
 */
FilDepth
fil_clip_get_depth (const FilClip *clip)
{
  FilDepth depth = { 0 };
  FilJournalRecord record;
  gint64 bits, shift = 0;
  double full = NAN;

  g_return_val_if_fail (clip != NULL, depth);

  if (last_record (clip, &record))
    return record.depth;

  depth.bits = ABS (clip->bitpix);
  if (fil_clip_get_card_double (clip, "DATAMAX", &full) && bits_of_full (full, &depth.bits))
    depth.learnt = TRUE;
  else if (!clip->ours || !(full > 0.0))
    full = fil_clip_get_full_scale (clip);
  depth.full = full > 0.0 ? (guint32) MIN (full, (double) G_MAXUINT32) : 0;

  if (clip->ours && fil_cards_get_int (clip->picture->cards, "BITDEPTH", &bits) &&
      bits >= 1 && bits <= 16)
    {
      fil_cards_get_int (clip->picture->cards, "ZEROBITS", &shift);
      depth.bits = (int) bits;
      depth.shift = (int) CLAMP (shift, 0, 15);
      depth.learnt = TRUE;
    }

  return depth;
}

/* In counts: BLACKCNT, 0 where absent. */
double
fil_clip_get_black_level (const FilClip *clip)
{
  double level = 0.0;

  g_return_val_if_fail (clip != NULL, 0.0);

  fil_clip_get_card_double (clip, "BLACKCNT", &level);

  return level;
}

/* Of the stored pixels: the first two of the bottom row, then those above. */
FilPattern
fil_clip_get_pattern (const FilClip *clip)
{
  FilPattern pattern = FIL_PATTERN_NONE;
  const char *text;

  g_return_val_if_fail (clip != NULL, FIL_PATTERN_NONE);

  text = fil_clip_get_card ((FilClip *) clip, "BAYERPAT");
  if (text != NULL)
    fil_pattern_from_string (text, &pattern);

  return pattern;
}

/**
 * fil_clip_is_raw:
 *
 * Returns: %FALSE where the file says that a gamma curve or edge enhancement
 *   has been at the pixels; a foreign file that tells nothing counts as raw
 */
gboolean
fil_clip_is_raw (const FilClip *clip)
{
  gboolean raw = TRUE;

  g_return_val_if_fail (clip != NULL, FALSE);

  if (!fil_cards_get_bool (clip->picture->cards, "RAWDATA", &raw))
    fil_cards_get_bool (clip->primary->cards, "RAWDATA", &raw);

  return raw;
}
