/* fil-fits-hdu.c: where the parts of a FITS file lie
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Walks a file unit by unit before anything else touches it. A header is
 * believed only as far as the file is long. Source: FITS Standard 4.0,
 * sections 3.3 and 4.4.1 (equations 1, 2 and 4 for the size of the data). */

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip.h"
#include "fil-fits-hdu.h"

/* 36 000 cards; headers of real files have a few hundred. */
#define MAX_HEADER_BLOCKS 1000

/**
 * fil_fits_read_at:
 *
 * Reads all of @length bytes; the end of the file before that is an error.
 */
gboolean
fil_fits_read_at (int       fd,
                  guint64   offset,
                  gpointer  buffer,
                  gsize     length,
                  GError  **error)
{
  guint8 *at = buffer;

  while (length > 0)
    {
      ssize_t got = pread (fd, at, MIN (length, (gsize) 1 << 30), (off_t) offset);

      if (got < 0 && errno == EINTR)
        continue;
      if (got < 0)
        {
          int code = errno;

          g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                       _("reading failed: %s"), g_strerror (code));
          return FALSE;
        }
      if (got == 0)
        {
          g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                               _("the file ends too early"));
          return FALSE;
        }
      at += got;
      offset += (guint64) got;
      length -= (gsize) got;
    }

  return TRUE;
}

/* Appends one block's cards; sets @ended at END. */
static gboolean
take_block (GString    *text,
            const char *block,
            gboolean   *ended,
            GError    **error)
{
  for (gsize at = 0; at < FIL_FITS_BLOCK; at += FIL_CARD_LENGTH)
    {
      if (memcmp (block + at, "END     ", 8) == 0)
        {
          *ended = TRUE;
          return TRUE;
        }
      for (gsize i = 0; i < FIL_CARD_LENGTH; i++)
        if (block[at + i] == '\0' || (block[at + i] & 0x80) != 0)
          {
            g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                                 _("a header holds bytes that are no text"));
            return FALSE;
          }
      g_string_append_len (text, block + at, FIL_CARD_LENGTH);
    }

  return TRUE;
}

static FilCards *
read_header (int       fd,
             guint64   start,
             guint64   file_size,
             guint64  *data_start,
             GError  **error)
{
  g_autoptr (FilCards) cards = fil_cards_new ();
  gboolean ended = FALSE;
  guint64 at = start;

  for (int n = 0; !ended; n++)
    {
      char block[FIL_FITS_BLOCK];

      if (n == MAX_HEADER_BLOCKS || at + FIL_FITS_BLOCK > file_size)
        {
          g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                               _("a header has no END"));
          return NULL;
        }
      if (!fil_fits_read_at (fd, at, block, sizeof block, error) ||
          !take_block (cards->text, block, &ended, error))
        return NULL;
      at += FIL_FITS_BLOCK;
    }
  *data_start = at;

  return g_steal_pointer (&cards);
}

static gboolean
read_axes (FilFitsHdu *hdu)
{
  gint64 naxis;

  if (!fil_cards_get_int (hdu->cards, "BITPIX", &hdu->bitpix) ||
      (hdu->bitpix != 8 && hdu->bitpix != 16 && hdu->bitpix != 32 && hdu->bitpix != 64 &&
       hdu->bitpix != -32 && hdu->bitpix != -64))
    return FALSE;
  if (!fil_cards_get_int (hdu->cards, "NAXIS", &naxis) || naxis < 0 || naxis > 999)
    return FALSE;

  hdu->naxis = (int) naxis;
  for (int i = 0; i < hdu->naxis; i++)
    {
      char keyword[9];
      gint64 length;

      g_snprintf (keyword, sizeof keyword, "NAXIS%d", i + 1);
      if (!fil_cards_get_int (hdu->cards, keyword, &length) || length < 0)
        return FALSE;
      hdu->axes[i] = (guint64) length;
    }

  return TRUE;
}

/* |BITPIX|/8 × GCOUNT × (PCOUNT + product of the axes); FALSE on overflow. */
static gboolean
compute_size (FilFitsHdu *hdu)
{
  gint64 pcount = 0, gcount = 1;
  guint64 product = hdu->naxis > 0, bytes;
  gboolean groups = FALSE;
  int first = 0;

  fil_cards_get_int (hdu->cards, "PCOUNT", &pcount);
  fil_cards_get_int (hdu->cards, "GCOUNT", &gcount);
  if (pcount < 0 || gcount < 0)
    return FALSE;
  if (hdu->naxis > 1 && hdu->axes[0] == 0 &&
      fil_cards_get_bool (hdu->cards, "GROUPS", &groups) && groups)
    first = 1;

  for (int i = first; i < hdu->naxis; i++)
    if (__builtin_mul_overflow (product, hdu->axes[i], &product))
      {
        /* An empty axis further on makes the unit empty, whatever the others say. */
        for (; i < hdu->naxis; i++)
          if (hdu->axes[i] == 0)
            break;
        if (i == hdu->naxis)
          return FALSE;
        product = 0;
        break;
      }
  if (__builtin_add_overflow (product, (guint64) pcount, &bytes) ||
      __builtin_mul_overflow (bytes, (guint64) gcount, &bytes) ||
      __builtin_mul_overflow (bytes, (guint64) ABS (hdu->bitpix) / 8, &bytes) ||
      bytes > G_MAXINT64 - 2 * FIL_FITS_BLOCK - hdu->data_start)
    return FALSE;

  hdu->data_bytes = bytes;
  hdu->end = hdu->data_start + (bytes + FIL_FITS_BLOCK - 1) / FIL_FITS_BLOCK * FIL_FITS_BLOCK;

  return TRUE;
}

/**
 * fil_fits_hdu_read:
 * @start: where a unit begins
 *
 * Reads one header. Whether the data are all there is for the caller to see,
 * from @data_start, @data_bytes and @end.
 *
 * Returns: (transfer full): the unit, or %NULL
 */
FilFitsHdu *
fil_fits_hdu_read (int       fd,
                   guint64   start,
                   guint64   file_size,
                   GError  **error)
{
  g_autoptr (FilFitsHdu) hdu = g_new0 (FilFitsHdu, 1);

  hdu->start = start;
  hdu->cards = read_header (fd, start, file_size, &hdu->data_start, error);
  if (hdu->cards == NULL)
    return NULL;

  if (!read_axes (hdu) || !compute_size (hdu))
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                           _("BITPIX, NAXIS or the axes make no sense"));
      return NULL;
    }

  return g_steal_pointer (&hdu);
}

/* Whether an extension begins at @start; anything else there is none of ours
 * to judge ("special records"). */
gboolean
fil_fits_hdu_follows (int     fd,
                      guint64 start,
                      guint64 file_size)
{
  char begin[9];

  return file_size >= start && file_size - start >= sizeof begin &&
         fil_fits_read_at (fd, start, begin, sizeof begin, NULL) &&
         memcmp (begin, "XTENSION=", sizeof begin) == 0;
}

void
fil_fits_hdu_free (FilFitsHdu *hdu)
{
  if (hdu == NULL)
    return;

  fil_cards_free (hdu->cards);
  g_free (hdu);
}

/* @extname: %NULL matches any */
gboolean
fil_fits_hdu_is (const FilFitsHdu *hdu,
                 const char       *xtension,
                 const char       *extname)
{
  g_autofree char *kind = fil_cards_dup_value (hdu->cards, "XTENSION");
  g_autofree char *name = fil_cards_dup_value (hdu->cards, "EXTNAME");

  return g_strcmp0 (kind, xtension) == 0 &&
         (extname == NULL || (name != NULL && g_ascii_strcasecmp (name, extname) == 0));
}
