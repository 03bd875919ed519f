/* fil-fits-table.c: a binary table, read straight from the file
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 7.3. Only what fits into a row of the
 * file is believed. */

#include <math.h>
#include <string.h>

#include "fil-fits-table.h"

#define PIECE_BYTES (256 << 10)
#define MAX_TEXT 1024

static void
column_free (gpointer data)
{
  FilFitsColumn *column = data;

  g_free (column->name);
  g_free (column->unit);
  g_free (column);
}

/* Bytes of one element; bits are counted apart. */
static guint64
element_bytes (char type)
{
  switch (type)
    {
    case 'L': case 'B': case 'A': case 'X':
      return 1;
    case 'I':
      return 2;
    case 'J': case 'E':
      return 4;
    case 'K': case 'D': case 'C': case 'P':
      return 8;
    case 'M': case 'Q':
      return 16;
    default:
      return 0;
    }
}

static char *
dup_indexed (const FilCards *cards,
             const char     *stem,
             int             number)
{
  char keyword[16];

  g_snprintf (keyword, sizeof keyword, "%s%d", stem, number);

  return fil_cards_dup_value (cards, keyword);
}

/* Reads "12A"; the repeat count may be left out. */
static gboolean
parse_format (FilFitsColumn *column,
              const char    *format)
{
  char *end;

  column->repeat = 1;
  if (g_ascii_isdigit (format[0]))
    {
      column->repeat = g_ascii_strtoull (format, &end, 10);
      format = end;
    }
  column->type = format[0];

  return element_bytes (column->type) > 0 && column->repeat < G_MAXINT32;
}

static FilFitsColumn *
read_column (const FilCards *cards,
             int             number,
             guint64        *offset)
{
  FilFitsColumn *column = g_new0 (FilFitsColumn, 1);
  g_autofree char *format = dup_indexed (cards, "TFORM", number);
  char keyword[16];

  column->name = dup_indexed (cards, "TTYPE", number);
  column->unit = dup_indexed (cards, "TUNIT", number);
  if (column->name == NULL)
    column->name = g_strdup ("");
  if (column->unit == NULL)
    column->unit = g_strdup ("");
  if (format == NULL || !parse_format (column, format))
    {
      column_free (column);
      return NULL;
    }

  column->offset = *offset;
  *offset += column->type == 'X' ? (column->repeat + 7) / 8
                                 : column->repeat * element_bytes (column->type);
  column->scale = 1.0;
  g_snprintf (keyword, sizeof keyword, "TSCAL%d", number);
  fil_cards_get_double (cards, keyword, &column->scale);
  g_snprintf (keyword, sizeof keyword, "TZERO%d", number);
  fil_cards_get_double (cards, keyword, &column->zero);
  g_snprintf (keyword, sizeof keyword, "TNULL%d", number);
  column->has_null = fil_cards_get_int (cards, keyword, &column->null);

  return column;
}

/**
 * fil_fits_table_new:
 * @fd: stays the caller's, for as long as the table lives
 * @hdu: a binary table, wholly in the file
 *
 * Returns: (transfer full) (nullable): %NULL where its header makes no sense
 */
FilFitsTable *
fil_fits_table_new (int               fd,
                    const FilFitsHdu *hdu)
{
  g_autoptr (FilFitsTable) table = g_new0 (FilFitsTable, 1);
  guint64 offset = 0;
  gint64 n_fields;

  table->fd = fd;
  table->columns = g_ptr_array_new_with_free_func (column_free);
  if (hdu->bitpix != 8 || hdu->naxis != 2 ||
      !fil_cards_get_int (hdu->cards, "TFIELDS", &n_fields) || n_fields < 1 || n_fields > 999)
    return NULL;

  table->data_start = hdu->data_start;
  table->row_bytes = hdu->axes[0];
  table->n_rows = hdu->axes[1];
  for (int i = 1; i <= n_fields; i++)
    {
      FilFitsColumn *column = read_column (hdu->cards, i, &offset);

      if (column == NULL)
        return NULL;
      g_ptr_array_add (table->columns, column);
    }

  return offset <= table->row_bytes ? g_steal_pointer (&table) : NULL;
}

void
fil_fits_table_free (FilFitsTable *table)
{
  if (table == NULL)
    return;

  g_ptr_array_unref (table->columns);
  g_free (table);
}

/* Returns: the column's index, −1: there is none of that name, in any case */
int
fil_fits_table_find (const FilFitsTable *table,
                     const char         *name)
{
  for (guint i = 0; i < table->columns->len; i++)
    {
      const FilFitsColumn *column = g_ptr_array_index (table->columns, i);

      if (g_ascii_strcasecmp (column->name, name) == 0)
        return (int) i;
    }

  return -1;
}

/* Whether a cell is one number. */
gboolean
fil_fits_table_is_number (const FilFitsTable *table,
                          int                 column)
{
  const FilFitsColumn *c = g_ptr_array_index (table->columns, (guint) column);

  return c->repeat == 1 && strchr ("BIJKED", c->type) != NULL;
}

static guint64
get_bits (const guint8 *cell,
          guint64       n_bytes)
{
  guint64 bits = 0;

  for (guint64 i = 0; i < n_bytes; i++)
    bits = bits << 8 | cell[i];

  return bits;
}

static gint64
raw_int (const FilFitsColumn *column,
         const guint8        *cell)
{
  guint64 bits = get_bits (cell, element_bytes (column->type));

  switch (column->type)
    {
    case 'I':
      return (gint16) bits;
    case 'J':
      return (gint32) bits;
    default:   /* bytes are unsigned */
      return (gint64) bits;
    }
}

static double
cell_double (const FilFitsColumn *column,
             const guint8        *cell)
{
  guint64 bits;
  guint32 bits_32;
  double value;
  float single;

  switch (column->type)
    {
    case 'D':
      bits = get_bits (cell, 8);
      memcpy (&value, &bits, sizeof value);
      break;
    case 'E':
      bits_32 = (guint32) get_bits (cell, 4);
      memcpy (&single, &bits_32, sizeof single);
      value = single;
      break;
    default:
      if (column->has_null && raw_int (column, cell) == column->null)
        return NAN;
      value = (double) raw_int (column, cell);
      break;
    }

  return column->zero + column->scale * value;
}

/* Whole numbers stay exact to 64 bits unless they are scaled. */
static gint64
cell_int (const FilFitsColumn *column,
          const guint8        *cell)
{
  double value;

  if (column->scale == 1.0 && column->zero == 0.0 && strchr ("BIJK", column->type) != NULL)
    return raw_int (column, cell);

  value = cell_double (column, cell);

  return value > -9.2e18 && value < 9.2e18 ? (gint64) value : 0;
}

typedef void (*CellFunc) (const FilFitsColumn *column,
                          const guint8        *cell,
                          guint64              index,
                          gpointer             values);

static void
store_double (const FilFitsColumn *column,
              const guint8        *cell,
              guint64              index,
              gpointer             values)
{
  ((double *) values)[index] = cell_double (column, cell);
}

static void
store_int (const FilFitsColumn *column,
           const guint8        *cell,
           guint64              index,
           gpointer             values)
{
  ((gint64 *) values)[index] = cell_int (column, cell);
}

/* Many rows at a time where they are short, else cell by cell. */
static gboolean
read_cells (const FilFitsTable *table,
            int                 column,
            guint64             first,
            guint64             n,
            CellFunc            store,
            gpointer            values)
{
  const FilFitsColumn *c = g_ptr_array_index (table->columns, (guint) column);
  const gboolean short_rows = table->row_bytes <= PIECE_BYTES;
  const guint64 at_once = short_rows ? PIECE_BYTES / MAX (table->row_bytes, 1) : 1;
  const guint64 length = short_rows ? table->row_bytes : element_bytes (c->type);
  g_autofree guint8 *piece = NULL;

  if (!fil_fits_table_is_number (table, column) || first > table->n_rows ||
      n > table->n_rows - first)
    return FALSE;

  piece = g_malloc (at_once * length);
  for (guint64 i = 0; i < n;)
    {
      const guint64 step = MIN (n - i, at_once);
      const guint64 at = table->data_start + (first + i) * table->row_bytes;

      if (!fil_fits_read_at (table->fd, short_rows ? at : at + c->offset, piece,
                             step * length, NULL))
        return FALSE;
      for (guint64 j = 0; j < step; j++)
        store (c, piece + j * length + (short_rows ? c->offset : 0), i + j, values);
      i += step;
    }

  return TRUE;
}

/* Returns: %FALSE where the column is none of single numbers or can't be
 * read; nulls become NaN */
gboolean
fil_fits_table_read_double (const FilFitsTable *table,
                            int                 column,
                            guint64             first,
                            double             *values,
                            guint64             n)
{
  return read_cells (table, column, first, n, store_double, values);
}

gboolean
fil_fits_table_read_int (const FilFitsTable *table,
                         int                 column,
                         guint64             first,
                         gint64             *values,
                         guint64             n)
{
  return read_cells (table, column, first, n, store_int, values);
}

/* Returns: (nullable): a cell of text or of one logical ("T", "F"), without
 * spaces around it, UTF-8; %NULL where it is empty or something else */
char *
fil_fits_table_dup_text (const FilFitsTable *table,
                         int                 column,
                         guint64             row)
{
  const FilFitsColumn *c = g_ptr_array_index (table->columns, (guint) column);
  char text[MAX_TEXT + 1] = "";
  char *valid;

  if (c->type != 'A' && !(c->type == 'L' && c->repeat == 1))
    return NULL;
  if (c->repeat > MAX_TEXT || row >= table->n_rows ||
      !fil_fits_read_at (table->fd, table->data_start + row * table->row_bytes + c->offset,
                         text, c->repeat, NULL))
    return NULL;

  g_strstrip (text);
  if (text[0] == '\0')
    return NULL;
  valid = g_utf8_make_valid (text, -1);

  return valid;
}
