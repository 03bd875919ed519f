/* fil-clip-light-path.c: the rig's elements, as a clip tells them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-clip-private.h"

#define MAX_ROWS 100
#define MAX_COLUMNS 64
#define MAX_TEXT 1024

typedef struct
{
  char name[FLEN_VALUE];
  char unit[FLEN_VALUE];
  int  type;
  long width;
} Column;

static void
read_key (fitsfile   *fits,
          const char *stem,
          int         number,
          char        value[FLEN_VALUE])
{
  char keyword[FLEN_KEYWORD];
  int status = 0;

  g_snprintf (keyword, sizeof keyword, "%s%d", stem, number);
  value[0] = '\0';
  fits_read_key (fits, TSTRING, keyword, value, NULL, &status);
  fits_clear_errmsg ();
}

static int
read_columns (fitsfile *fits,
              Column    columns[MAX_COLUMNS])
{
  int n = 0, status = 0;

  fits_get_num_cols (fits, &n, &status);
  if (status != 0)
    return 0;

  n = MIN (n, MAX_COLUMNS);
  for (int i = 0; i < n; i++)
    {
      long repeat;

      read_key (fits, "TTYPE", i + 1, columns[i].name);
      read_key (fits, "TUNIT", i + 1, columns[i].unit);
      fits_get_coltype (fits, i + 1, &columns[i].type, &repeat, &columns[i].width, &status);
      if (status != 0 || (columns[i].type == TSTRING ? repeat >= MAX_TEXT : repeat != 1))
        columns[i].type = 0;
      status = 0;
    }

  return n;
}

/* Returns: (nullable): the cell as text, %NULL where it holds no value */
static char *
dup_cell (fitsfile     *fits,
          const Column *column,
          int           number,
          LONGLONG      row)
{
  int status = 0, any_null = 0;

  if (column->type == TSTRING)
    {
      char text[MAX_TEXT + 1] = "", *pointer = text;

      fits_read_col_str (fits, number, row, 1, 1, NULL, &pointer, &any_null, &status);

      g_strstrip (text);

      return status == 0 && text[0] != '\0' ? g_utf8_make_valid (text, -1) : NULL;
    }
  if (column->type == TLOGICAL)
    {
      char flag = 0, null_flag = 2;

      fits_read_col (fits, TLOGICAL, number, row, 1, 1, &null_flag, &flag, &any_null, &status);

      return status == 0 && flag == 1 ? g_strdup ("") : NULL;
    }
  if (column->type == TDOUBLE || column->type == TLONG)
    {
      double value = NAN, null_value = NAN;
      char text[G_ASCII_DTOSTR_BUF_SIZE];

      fits_read_col (fits, TDOUBLE, number, row, 1, 1, &null_value, &value, &any_null, &status);

      return status == 0 && isfinite (value)
               ? g_strdup (g_ascii_formatd (text, sizeof text, "%.6g", value)) : NULL;
    }

  return NULL;
}

/* "FOCAL_LENGTH_MM" becomes "focal length" and gives its unit away. */
static char *
dup_label (const Column *column,
           const char  **unit)
{
  static const struct { const char *suffix, *unit; } suffixes[] = {
    { "_mm", "mm" }, { "_nm", "nm" }, { "_um", "µm" }, { "_percent", "%" }, { "_e", "e⁻" },
  };
  char *label = g_ascii_strdown (column->name, -1);

  *unit = column->unit[0] != '\0' ? column->unit : NULL;
  for (gsize i = 0; i < G_N_ELEMENTS (suffixes); i++)
    if (g_str_has_suffix (label, suffixes[i].suffix))
      {
        label[strlen (label) - strlen (suffixes[i].suffix)] = '\0';
        *unit = suffixes[i].unit;
        break;
      }

  return g_strdelimit (label, "_", ' ');
}

static char *
describe_row (fitsfile     *fits,
              const Column *columns,
              int           n_columns,
              LONGLONG      row)
{
  g_autoptr (GString) line = g_string_new (NULL);

  for (int i = 0; i < n_columns; i++)
    {
      g_autofree char *cell = dup_cell (fits, &columns[i], i + 1, row);
      const char *unit;
      g_autofree char *label = dup_label (&columns[i], &unit);

      if (cell == NULL)
        continue;
      if (line->len > 0)
        g_string_append (line, ", ");
      if (!g_str_equal (label, "kind") && !g_str_equal (label, "type"))
        g_string_append (line, label);
      if (cell[0] != '\0')
        g_string_append_printf (line, "%s%s", line->len > 0 && !g_str_has_suffix (line->str, ", ")
                                                ? " " : "", cell);
      if (unit != NULL)
        g_string_append_printf (line, " %s", unit);
    }
  fits_clear_errmsg ();

  return g_string_free (g_steal_pointer (&line), FALSE);
}

static void
describe_table (fitsfile  *fits,
                GPtrArray *lines)
{
  Column columns[MAX_COLUMNS];
  int n_columns = read_columns (fits, columns), status = 0;
  LONGLONG n_rows = 0;

  fits_get_num_rowsll (fits, &n_rows, &status);
  for (LONGLONG row = 1; status == 0 && row <= MIN (n_rows, MAX_ROWS); row++)
    g_ptr_array_add (lines, describe_row (fits, columns, n_columns, row));
  fits_clear_errmsg ();
}

/* The journal holds the table as it will be: behind an empty primary unit it
 * makes a file. */
static void
describe_journal (FilClip   *clip,
                  GPtrArray *lines)
{
  GBytes *unit = clip->journal->parts[FIL_JOURNAL_LIGHT_PATH];
  g_autoptr (FilCards) cards = fil_cards_new ();
  GString *file;
  void *memory;
  size_t length;
  fitsfile *fits = NULL;
  int status = 0, type;

  if (g_bytes_get_size (unit) == 0)
    return;

  fil_cards_add_bool (cards, "SIMPLE", TRUE, "nothing but a table");
  fil_cards_add_int (cards, "BITPIX", 8, "no data");
  fil_cards_add_int (cards, "NAXIS", 0, "no data");
  file = fil_cards_finish (cards);
  g_string_append_len (file, g_bytes_get_data (unit, NULL), (gssize) g_bytes_get_size (unit));

  memory = file->str;
  length = file->len;
  fits_open_memfile (&fits, "journal", READONLY, &memory, &length, 0, NULL, &status);
  if (status == 0)
    {
      fits_movabs_hdu (fits, 2, &type, &status);
      if (status == 0)
        describe_table (fits, lines);
      status = 0;
      fits_close_file (fits, &status);
    }
  fits_clear_errmsg ();
  g_string_free (file, TRUE);
}

/**
 * fil_clip_dup_light_path:
 *
 * Returns: (transfer full) (element-type utf8): a line an element, from the
 *   sky to the sensor, in the words of a rig file ("wedge", "density, density
 *   2"); empty where the file doesn't tell
 */
GPtrArray *
fil_clip_dup_light_path (FilClip *clip)
{
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  fitsfile *fits;

  g_return_val_if_fail (clip != NULL, NULL);

  if (clip->light_path_number > 0)
    {
      fits = fil_clip_get_fits (clip, clip->light_path_number, NULL);
      if (fits != NULL)
        describe_table (fits, lines);
    }
  else if (clip->journal != NULL)
    describe_journal (clip, lines);

  return g_steal_pointer (&lines);
}
