/* fil-clip-tiles.c: whether compressed tiles may be handed to a decoder
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cfitsio decodes tiles, and allocates, divides and reads by what the header
 * and the heap's descriptors say. All of that is checked here before it sees
 * the file. Source: FITS Standard 4.0, section 10. */

#include <string.h>

#include <gio/gio.h>
#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"
#include "fil-rice.h"

#define MAX_TILE_PIXELS (1 << 26)
#define ROWS_AT_ONCE 1024
#define OUT_BYTES 65536
#define MAX_ROW_BYTES 4096   /* a few descriptors and numbers */

static gboolean
refuse (GError    **error,
        const char *why)
{
  g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT, why);

  return FALSE;
}

/* One axis of the picture and its tiles. */
static gboolean
read_axis (const FilCards *cards,
           int             number,
           guint64        *axis,
           guint64        *tile)
{
  char keyword[9];
  gint64 axis_length, tile_length;

  g_snprintf (keyword, sizeof keyword, "ZNAXIS%d", number);
  if (!fil_cards_get_int (cards, keyword, &axis_length))
    return FALSE;
  tile_length = number == 1 ? axis_length : 1;
  g_snprintf (keyword, sizeof keyword, "ZTILE%d", number);
  if (fil_cards_find (cards, keyword) >= 0 && !fil_cards_get_int (cards, keyword, &tile_length))
    return FALSE;
  *axis = (guint64) axis_length;
  *tile = (guint64) tile_length;

  return tile_length >= 1 && tile_length <= axis_length;
}

/* Each tile within the picture, and a row for each. */
static gboolean
check_sizes (FilClip *clip)
{
  const FilFitsHdu *hdu = clip->picture;
  guint64 n_tiles = 1;

  clip->tile_pixels = clip->tiles_a_frame = clip->frames_a_tile = 1;
  for (int i = 0; i < clip->n_axes; i++)
    {
      guint64 axis, tile;

      if (!read_axis (hdu->cards, i + 1, &axis, &tile) ||
          __builtin_mul_overflow (clip->tile_pixels, tile, &clip->tile_pixels) ||
          clip->tile_pixels > MAX_TILE_PIXELS)
        return FALSE;
      clip->axis[i] = axis;
      clip->tile[i] = tile;
      if (i == clip->frame_axis)
        {
          clip->tiles_a_frame = n_tiles;
          clip->frames_a_tile = tile;
        }
      if (__builtin_mul_overflow (n_tiles, (axis - 1) / tile + 1, &n_tiles))
        return FALSE;
    }
  if (clip->frame_axis < 0)
    clip->tiles_a_frame = n_tiles;

  return hdu->naxis == 2 && hdu->axes[1] == n_tiles;
}

static gboolean
is_rice (const FilFitsHdu *hdu)
{
  g_autofree char *coder = fil_cards_dup_value (hdu->cards, "ZCMPTYPE");

  return coder != NULL && g_str_has_prefix (coder, "RICE");
}

/* Rice's parameters; other names mean nothing to the coders that we take. */
static gboolean
check_parameters (FilClip *clip)
{
  const FilFitsHdu *hdu = clip->picture;
  gint64 dither = 1;

  /* An index into a table of 10000 random numbers. */
  if (fil_cards_find (hdu->cards, "ZDITHER0") >= 0 &&
      (!fil_cards_get_int (hdu->cards, "ZDITHER0", &dither) || dither < 1 || dither > 10000))
    return FALSE;

  clip->rice_block = 32;
  clip->rice_bytes = 4;
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
      if (g_ascii_strcasecmp (name, "BLOCKSIZE") == 0)
        {
          if (!fil_cards_get_int (hdu->cards, keyword, &value) || (value != 16 && value != 32))
            return FALSE;
          clip->rice_block = (int) value;
        }
      else if (g_ascii_strcasecmp (name, "BYTEPIX") == 0)
        {
          if (!fil_cards_get_int (hdu->cards, keyword, &value) ||
              (value != 1 && value != 2 && value != 4))
            return FALSE;
          clip->rice_bytes = (int) value;
        }
    }

  /* The decoder's buffer is made for the picture's own type. */
  return clip->rice_bytes == (clip->bitpix > 0 ? clip->bitpix / 8 : 4) ||
         !is_rice (hdu);
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

          const gboolean points = column->type == 'P' || column->type == 'Q';

          if (!points && g_str_has_suffix (column->name, "COMPRESSED_DATA"))
            return FALSE;
          if (points && (column->repeat > 1 ||
                         (column->repeat == 1 &&
                          !check_rows (rows, n, table->row_bytes, column, heap_bytes))))
            return FALSE;
        }
    }

  return TRUE;
}

static gboolean
check_table (FilClip *clip)
{
  const FilFitsHdu *hdu = clip->picture;
  const guint64 rows_bytes = hdu->axes[0] * hdu->axes[1];
  gint64 theap = (gint64) rows_bytes;

  clip->tiles = fil_fits_table_new (clip->fd, hdu);
  if (clip->tiles == NULL || fil_fits_table_find (clip->tiles, "COMPRESSED_DATA") < 0)
    return FALSE;
  if (fil_cards_find (hdu->cards, "THEAP") >= 0 &&
      (!fil_cards_get_int (hdu->cards, "THEAP", &theap) || theap < (gint64) rows_bytes ||
       theap > (gint64) hdu->data_bytes))
    return FALSE;
  clip->heap_start = hdu->data_start + (guint64) theap;

  return check_descriptors (clip, clip->tiles, hdu->data_bytes - (guint64) theap);
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

  return (check_sizes (clip) && check_parameters (clip) && check_table (clip)) ||
         refuse (error, _("the compressed picture's tiles make no sense"));
}

/* Unpacks to nowhere, and stops where there is more than @limit. A stream
 * that doesn't end is refused too: cfitsio would wait for its end for ever,
 * with ever more memory. */
static gboolean
unpacks_within (const guint8 *packed,
           gsize         length,
           guint64       limit)
{
  g_autoptr (GZlibDecompressor) gzip = g_zlib_decompressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP);
  g_autofree guint8 *out = g_malloc (OUT_BYTES);
  guint64 total = 0;

  while (total <= limit)
    {
      gsize taken, given;
      GConverterResult result = g_converter_convert (G_CONVERTER (gzip), packed, length,
                                                     out, OUT_BYTES, G_CONVERTER_INPUT_AT_END,
                                                     &taken, &given, NULL);

      if (result == G_CONVERTER_ERROR)
        return FALSE;
      packed += taken;
      length -= taken;
      total += given;
      if (result == G_CONVERTER_FINISHED)
        return total <= limit;
    }

  return FALSE;
}

/* Tiles at the picture's edges are smaller. */
static guint64
pixels_of_tile (const FilClip *clip,
                guint64        row)
{
  guint64 n_pixels = 1;

  for (int i = 0; i < clip->n_axes; i++)
    {
      const guint64 n_tiles = (clip->axis[i] - 1) / clip->tile[i] + 1;
      const guint64 begin = row % n_tiles * clip->tile[i];

      n_pixels *= MIN (clip->tile[i], clip->axis[i] - begin);
      row /= n_tiles;
    }

  return n_pixels;
}

/* @gzip: FALSE for Rice */
static gboolean
check_cell (FilClip             *clip,
            const FilFitsColumn *column,
            guint64              row,
            gboolean             gzip)
{
  const guint64 half = column->type == 'P' ? 4 : 8, limit = 8 * clip->tile_pixels;
  guint8 bytes[16];
  g_autofree guint8 *packed = NULL;
  guint64 length;

  if (column->repeat == 0)
    return TRUE;
  if (!fil_fits_read_at (clip->fd, clip->tiles->data_start + row * clip->tiles->row_bytes +
                                     column->offset, bytes, 2 * half, NULL))
    return FALSE;

  /* Neither coder makes more of it but by a few bytes. */
  length = big_endian (bytes, half);
  if (length == 0)   /* the other column has the tile */
    return TRUE;
  if (length > limit + 65536)
    return FALSE;
  packed = g_malloc (length);

  if (!fil_fits_read_at (clip->fd, clip->heap_start + big_endian (bytes + half, half),
                         packed, length, NULL))
    return FALSE;

  return gzip ? unpacks_within (packed, length, limit)
              : fil_rice_is_sound (packed, length, pixels_of_tile (clip, row),
                                   clip->rice_block, clip->rice_bytes);
}

/**
 * fil_clip_check_unpacked:
 *
 * Gzip can blow up a thousandfold, and cfitsio follows; Rice it reads past the
 * end. So the tiles of a frame are unpacked once without being kept.
 *
 * Returns: %FALSE where a tile is longer than its pixels or has no end
 */
gboolean
fil_clip_check_unpacked (FilClip *clip,
                         guint64  frame,
                         GError **error)
{
  static const char *const names[] = { "COMPRESSED_DATA", "GZIP_COMPRESSED_DATA" };
  const gboolean rice = is_rice (clip->picture);
  const guint64 first = frame / clip->frames_a_tile * clip->tiles_a_frame;

  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      int column = fil_fits_table_find (clip->tiles, names[i]);

      const gboolean gzip = i == 1 || !rice;

      if (column < 0)
        continue;
      for (guint64 row = first; row < first + clip->tiles_a_frame; row++)
        if (!check_cell (clip, g_ptr_array_index (clip->tiles->columns, (guint) column), row,
                         gzip))
          {
            g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                                 _("a compressed tile is damaged"));
            return FALSE;
          }
    }

  return TRUE;
}
