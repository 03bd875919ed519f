/* fil-clip-tiles.c: whether compressed tiles may be handed to a decoder
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cfitsio decodes tiles, and allocates, divides and reads by what the header
 * and the heap's descriptors say. All of that is checked here before it sees
 * the file. Source: FITS Standard 4.0, section 10. */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"
#include "fil-fits-table.h"

#define MAX_TILE_PIXELS (1 << 26)
#define ROWS_AT_ONCE 1024
#define MAX_ROW_BYTES 4096   /* a few descriptors and numbers */

static gboolean
refuse (GError    **error,
        const char *why)
{
  g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT, why);

  return FALSE;
}

/* Each tile within the picture, and a row for each. */
static gboolean
check_sizes (const FilFitsHdu *hdu)
{
  guint64 n_tiles = 1, tile_pixels = 1;
  gint64 n_axes = 0;

  fil_cards_get_int (hdu->cards, "ZNAXIS", &n_axes);
  for (int i = 1; i <= n_axes; i++)
    {
      char keyword[9];
      gint64 axis = 0, length;

      g_snprintf (keyword, sizeof keyword, "ZNAXIS%d", i);
      fil_cards_get_int (hdu->cards, keyword, &axis);
      length = i == 1 ? axis : 1;
      g_snprintf (keyword, sizeof keyword, "ZTILE%d", i);
      if (fil_cards_find (hdu->cards, keyword) >= 0 &&
          !fil_cards_get_int (hdu->cards, keyword, &length))
        return FALSE;
      if (length < 1 || length > axis ||
          __builtin_mul_overflow (tile_pixels, (guint64) length, &tile_pixels) ||
          tile_pixels > MAX_TILE_PIXELS ||
          __builtin_mul_overflow (n_tiles, (guint64) ((axis - 1) / length + 1), &n_tiles))
        return FALSE;
    }

  return hdu->naxis == 2 && hdu->axes[1] == n_tiles;
}

/* Rice's parameters; other names mean nothing to the coders that we take. */
static gboolean
check_parameters (const FilFitsHdu *hdu)
{
  gint64 dither = 1;

  /* An index into a table of 10000 random numbers. */
  if (fil_cards_find (hdu->cards, "ZDITHER0") >= 0 &&
      (!fil_cards_get_int (hdu->cards, "ZDITHER0", &dither) || dither < 1 || dither > 10000))
    return FALSE;

  for (int i = 1; i <= 9; i++)
    {
      char keyword[9];
      g_autofree char *name = NULL;
      gint64 value;

      g_snprintf (keyword, sizeof keyword, "ZNAME%d", i);
      name = fil_cards_dup_value (hdu->cards, keyword);
      if (name == NULL)
        continue;
      g_snprintf (keyword, sizeof keyword, "ZVAL%d", i);
      if (g_ascii_strcasecmp (name, "BLOCKSIZE") == 0 &&
          (!fil_cards_get_int (hdu->cards, keyword, &value) || (value != 16 && value != 32)))
        return FALSE;
      if (g_ascii_strcasecmp (name, "BYTEPIX") == 0 &&
          (!fil_cards_get_int (hdu->cards, keyword, &value) ||
           (value != 1 && value != 2 && value != 4)))
        return FALSE;
    }

  return TRUE;
}

static gboolean
check_coder (const FilFitsHdu *hdu,
             GError          **error)
{
  static const char *const taken[] = { "RICE_1", "RICE_ONE", "GZIP_1", "GZIP_2", NULL };
  g_autofree char *coder = fil_cards_dup_value (hdu->cards, "ZCMPTYPE");

  if (coder != NULL && g_strv_contains (taken, coder))
    return TRUE;

  g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT,
               _("tiles compressed by %s can't be read; Rice and gzip can"),
               coder != NULL ? coder : "?");

  return FALSE;
}

static guint64
big_endian (const guint8 *at,
            guint64       n_bytes)
{
  guint64 value = 0;

  for (guint64 i = 0; i < n_bytes; i++)
    value = value << 8 | at[i];

  return value;
}

/* Descriptors of some rows: a number of elements and where they begin. */
static gboolean
check_rows (const guint8        *rows,
            guint64              n_rows,
            guint64              row_bytes,
            const FilFitsColumn *column,
            guint64              heap_bytes)
{
  const guint64 half = column->type == 'P' ? 4 : 8;

  for (guint64 i = 0; i < n_rows; i++)
    {
      const guint8 *at = rows + i * row_bytes + column->offset;
      const guint64 count = big_endian (at, half), place = big_endian (at + half, half);

      if (place > heap_bytes || count > heap_bytes - place)
        return FALSE;
    }

  return TRUE;
}

/* Every column of descriptors points into the heap. */
static gboolean
check_descriptors (const FilClip      *clip,
                   const FilFitsTable *table,
                   guint64             heap_bytes)
{
  g_autofree guint8 *rows = NULL;

  if (table->row_bytes > MAX_ROW_BYTES)
    return FALSE;

  rows = g_malloc (ROWS_AT_ONCE * MAX (table->row_bytes, 1));
  for (guint64 first = 0; first < table->n_rows; first += ROWS_AT_ONCE)
    {
      const guint64 n = MIN (table->n_rows - first, ROWS_AT_ONCE);

      if (!fil_fits_read_at (clip->fd, table->data_start + first * table->row_bytes,
                             rows, n * table->row_bytes, NULL))
        return FALSE;
      for (guint i = 0; i < table->columns->len; i++)
        {
          const FilFitsColumn *column = g_ptr_array_index (table->columns, i);

          if ((column->type == 'P' || column->type == 'Q') &&
              (column->repeat > 1 ||
               (column->repeat == 1 &&
                !check_rows (rows, n, table->row_bytes, column, heap_bytes))))
            return FALSE;
        }
    }

  return TRUE;
}

static gboolean
check_table (const FilClip    *clip,
             const FilFitsHdu *hdu)
{
  g_autoptr (FilFitsTable) table = fil_fits_table_new (clip->fd, hdu);
  const guint64 rows_bytes = hdu->axes[0] * hdu->axes[1];
  gint64 theap = (gint64) rows_bytes;

  if (table == NULL || fil_fits_table_find (table, "COMPRESSED_DATA") < 0)
    return FALSE;
  if (fil_cards_find (hdu->cards, "THEAP") >= 0 &&
      (!fil_cards_get_int (hdu->cards, "THEAP", &theap) || theap < (gint64) rows_bytes ||
       theap > (gint64) hdu->data_bytes))
    return FALSE;

  return check_descriptors (clip, table, hdu->data_bytes - (guint64) theap);
}

/**
 * fil_clip_check_tiles:
 *
 * Returns: %FALSE where the picture is compressed, and by a coder that we
 *   don't take or with a header or heap of nonsense
 */
gboolean
fil_clip_check_tiles (FilClip *clip,
                      GError **error)
{
  if (!clip->compressed)
    return TRUE;
  if (!check_coder (clip->picture, error))
    return FALSE;

  return (check_sizes (clip->picture) && check_parameters (clip->picture) &&
          check_table (clip, clip->picture)) ||
         refuse (error, _("the compressed picture's tiles make no sense"));
}
