/* fil-clip-light-path.c: the rig's elements, as a clip tells them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-clip-private.h"

#define MAX_ROWS 100
#define MAX_COLUMNS 64

/* Returns: (nullable): the cell as text; "" for a bare yes; %NULL where it
 * holds no value */
static char *
dup_cell (const FilFitsTable *table,
          int                 column,
          guint64             row)
{
  const FilFitsColumn *c = g_ptr_array_index (table->columns, (guint) column);
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  char *cell;
  double value;

  if (fil_fits_table_is_number (table, column))
    return fil_fits_table_read_double (table, column, row, &value, 1) && isfinite (value)
             ? g_strdup (g_ascii_formatd (text, sizeof text, "%.6g", value)) : NULL;

  cell = fil_fits_table_dup_text (table, column, row);
  if (c->type == 'L' && cell != NULL)
    {
      gboolean yes = cell[0] == 'T';

      g_free (cell);
      cell = yes ? g_strdup ("") : NULL;
    }

  return cell;
}

/* "FOCAL_LENGTH_MM" becomes "focal length" and gives its unit away. */
static char *
dup_label (const FilFitsColumn *column,
           const char         **unit)
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
describe_row (const FilFitsTable *table,
              guint64             row)
{
  g_autoptr (GString) line = g_string_new (NULL);

  for (int i = 0; i < (int) MIN (table->columns->len, MAX_COLUMNS); i++)
    {
      g_autofree char *cell = dup_cell (table, i, row);
      const char *unit;
      g_autofree char *label = dup_label (g_ptr_array_index (table->columns, (guint) i), &unit);

      if (cell == NULL)
        continue;
      if (line->len > 0)
        g_string_append (line, ", ");
      if (!g_str_equal (label, "kind") && !g_str_equal (label, "type"))
        g_string_append_printf (line, "%s%s", label, cell[0] != '\0' ? " " : "");
      g_string_append (line, cell);
      if (unit != NULL)
        g_string_append_printf (line, " %s", unit);
    }

  return g_utf8_make_valid (line->str, -1);
}

static void
describe_table (int               fd,
                const FilFitsHdu *hdu,
                GPtrArray        *lines)
{
  g_autoptr (FilFitsTable) table = fil_fits_table_new (fd, hdu);

  for (guint64 row = 0; table != NULL && row < MIN (table->n_rows, MAX_ROWS); row++)
    g_ptr_array_add (lines, describe_row (table, row));
}

/* The journal holds the table as it will be. */
static void
describe_journal (const FilJournal *journal,
                  GPtrArray        *lines)
{
  const guint64 length = g_bytes_get_size (journal->parts[FIL_JOURNAL_LIGHT_PATH]);
  g_autoptr (FilFitsHdu) hdu = NULL;

  if (length == 0)
    return;

  hdu = fil_fits_hdu_read (journal->fd, journal->first_record - length,
                           journal->first_record, NULL);
  if (hdu != NULL && hdu->end <= journal->first_record)
    describe_table (journal->fd, hdu, lines);
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

  g_return_val_if_fail (clip != NULL, NULL);

  if (clip->light_path_table != NULL)
    describe_table (clip->fd, clip->light_path_table, lines);
  else if (clip->journal != NULL)
    describe_journal (clip->journal, lines);

  return g_steal_pointer (&lines);
}
