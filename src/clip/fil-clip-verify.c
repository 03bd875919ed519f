/* fil-clip-verify.c: a file's checksums, against its bytes
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 4.4.2.7. */

#include <string.h>

#include "fil-clip-private.h"
#include "fil-datasum.h"

#define PIECE_BYTES (1 << 20)
#define MAX_UNITS 1000

static gboolean
sum_range (int         fd,
           guint64     from,
           guint64     to,
           guint8     *piece,
           FilDatasum *datasum)
{
  while (from < to)
    {
      gsize step = (gsize) MIN (to - from, PIECE_BYTES);

      if (!fil_fits_read_at (fd, from, piece, step, NULL))
        return FALSE;
      fil_datasum_add (datasum, piece, step);
      from += step;
    }

  return TRUE;
}

/* A card that is there but holds nothing counts as absent, as the Standard
 * says. */
static char *
dup_sum_card (const FilFitsHdu *hdu,
              const char       *keyword)
{
  char *text = fil_cards_dup_value (hdu->cards, keyword);

  if (text != NULL && text[0] == '\0')
    g_clear_pointer (&text, g_free);

  return text;
}

static FilChecksum
verify_unit (int               fd,
             const FilFitsHdu *hdu,
             guint8           *piece)
{
  g_autofree char *checksum = dup_sum_card (hdu, "CHECKSUM");
  g_autofree char *datasum = dup_sum_card (hdu, "DATASUM");
  FilDatasum header = { 0 }, data = { 0 };
  guint64 wanted;

  if (checksum == NULL && datasum == NULL)
    return FIL_CHECKSUM_ABSENT;

  if (!sum_range (fd, hdu->start, hdu->data_start, piece, &header) ||
      !sum_range (fd, hdu->data_start, hdu->end, piece, &data))
    return FIL_CHECKSUM_BAD;
  if (datasum != NULL &&
      (!g_ascii_string_to_unsigned (datasum, 10, 0, G_MAXUINT32, &wanted, NULL) ||
       wanted != fil_datasum_get (&data)))
    return FIL_CHECKSUM_BAD;
  if (checksum != NULL &&
      fil_datasum_join (fil_datasum_get (&header), fil_datasum_get (&data)) != G_MAXUINT32)
    return FIL_CHECKSUM_BAD;

  return FIL_CHECKSUM_OK;
}

/**
 * fil_clip_verify:
 *
 * Reads the whole file, a megabyte at a time, and checks every unit that has
 * a checksum. Slow for large clips: not for the main thread.
 *
 * Returns: bad if any is wrong; absent if no unit has one, and for an
 *   interrupted clip
 */
FilChecksum
fil_clip_verify (FilClip *clip)
{
  g_autofree guint8 *piece = NULL;
  FilChecksum result = FIL_CHECKSUM_ABSENT;
  guint64 at = 0;

  g_return_val_if_fail (clip != NULL, FIL_CHECKSUM_BAD);

  if (clip->ours && !clip->complete)
    return FIL_CHECKSUM_ABSENT;

  piece = g_malloc (PIECE_BYTES);
  for (int n = 0; n < MAX_UNITS; n++)
    {
      g_autoptr (FilFitsHdu) hdu = NULL;
      FilChecksum unit;

      if (n > 0 && !fil_fits_hdu_follows (clip->fd, at, clip->file_size))
        break;
      hdu = fil_fits_hdu_read (clip->fd, at, clip->file_size, NULL);
      if (hdu == NULL)
        return FIL_CHECKSUM_BAD;
      unit = verify_unit (clip->fd, hdu, piece);
      if (unit == FIL_CHECKSUM_BAD)
        return unit;
      if (unit == FIL_CHECKSUM_OK)
        result = FIL_CHECKSUM_OK;
      at = hdu->end;
    }

  return result;
}
