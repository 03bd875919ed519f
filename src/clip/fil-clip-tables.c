/* fil-clip-tables.c: the FRAMES and LIGHTPATH tables
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Source: FITS Standard 4.0, section 7.3. Units are those of its section 4.3
 * alone; it knows neither percent nor electrons, so comments name these. */

#include <math.h>
#include <string.h>

#include "fil-clip-header.h"
#include "fil-clip-tables.h"
#include "fil-datasum.h"
#include "fil-journal.h"
#include "fil-utc.h"

#define MAX_TEXT 512   /* bytes of one text in LIGHTPATH */

static void
add_table_start (FilCards *cards,
                 gsize     row_bytes,
                 guint64   n_rows,
                 int       n_fields)
{
  fil_cards_add_string (cards, "XTENSION", "BINTABLE", "binary table");
  fil_cards_add_int (cards, "BITPIX", 8, "bytes");
  fil_cards_add_int (cards, "NAXIS", 2, "rows and columns");
  fil_cards_add_int (cards, "NAXIS1", (gint64) row_bytes, "bytes in a row");
  fil_cards_add_int (cards, "NAXIS2", (gint64) n_rows, "rows");
  fil_cards_add_int (cards, "PCOUNT", 0, "no heap");
  fil_cards_add_int (cards, "GCOUNT", 1, "one group");
  fil_cards_add_int (cards, "TFIELDS", n_fields, "columns");
}

static void
add_column (FilCards   *cards,
            int         number,
            const char *name,
            const char *format,
            const char *unit,
            const char *comment)
{
  char keyword[9];

  g_snprintf (keyword, sizeof keyword, "TTYPE%d", number);
  fil_cards_add_string (cards, keyword, name, comment);
  g_snprintf (keyword, sizeof keyword, "TFORM%d", number);
  fil_cards_add_string (cards, keyword, format, "format");
  g_snprintf (keyword, sizeof keyword, "TUNIT%d", number);
  fil_cards_add_string (cards, keyword, unit, "unit");
}

/**
 * fil_clip_set_sums:
 * @cards: a header with cards DATASUM and CHECKSUM, or blank ones for them
 * @data_sum: of its data unit
 *
 * Nothing else in the header may change after this.
 */
void
fil_clip_set_sums (FilCards *cards,
                   guint32   data_sum)
{
  g_autoptr (FilCards) sums = fil_cards_new ();
  g_autoptr (FilCards) code_card = fil_cards_new ();
  char code[FIL_DATASUM_CODE_LENGTH + 1];
  char text[12];
  FilDatasum header = { 0 };
  GString *finished;

  g_snprintf (text, sizeof text, "%u", data_sum);
  fil_cards_add_string (sums, "DATASUM", text, "checksum of the data unit");
  fil_cards_add_string (sums, "CHECKSUM", "0000000000000000", "checksum of header and data");
  fil_cards_put (cards, sums, NULL);

  finished = fil_cards_finish (cards);
  fil_datasum_add (&header, (const guint8 *) finished->str, finished->len);
  g_string_free (finished, TRUE);
  fil_datasum_encode (fil_datasum_join (fil_datasum_get (&header), data_sum), code);
  fil_cards_add_string (code_card, "CHECKSUM", code, "checksum of header and data");
  fil_cards_put (cards, code_card, NULL);
}

static GBytes *
take_finished (FilCards *cards)
{
  return g_string_free_to_bytes (fil_cards_finish (cards));
}

/**
 * fil_clip_frames_header:
 *
 * The header of FRAMES, of no rows yet; its columns are those that
 * fil_clip_row_encode() writes.
 */
GBytes *
fil_clip_frames_header (const FilClipInfo *info,
                        gint64             utc_begin_ns)
{
  g_autoptr (FilCards) cards = fil_cards_new ();
  g_autofree char *begin = fil_utc_format (utc_begin_ns);

  add_table_start (cards, FIL_CLIP_ROW_BYTES, 0, 8);
  fil_cards_add_string (cards, "EXTNAME", "FRAMES", "one row a frame of the cube");
  add_column (cards, 1, "TIME", "1D", "s",
              info->stamp_comment != NULL ? info->stamp_comment : "start of the exposure");
  add_column (cards, 2, "SEQ", "1K", NULL, "the source's own count of frames");
  add_column (cards, 3, "MEAN", "1D", "adu", "mean of the pixels");
  add_column (cards, 4, "FULL", "1D", NULL, "share of full pixels, 0 to 1");
  add_column (cards, 5, "SHARP", "1D", NULL, "[percent] sharpness: RMS contrast of the band");
  add_column (cards, 6, "XPOSURE", "1D", "s", "exposure time; NaN: unit unknown");
  add_column (cards, 7, "GAIN", "1D", NULL, "gain, in the camera's own unit");
  add_column (cards, 8, "MARKS", "1J", NULL, "1 damaged, 2 gap before, 4 lost before");

  fil_cards_add_string (cards, "DATE-BEG", begin, "start of the first exposure");
  fil_cards_add_string (cards, "DATEREF", begin, "TIME counts from here");
  fil_cards_add_string (cards, "TIMESYS", "UTC", "time scale");
  fil_cards_add_string (cards, "TIMEUNIT", "s", "unit of times");
  fil_clip_add_place (cards, info->rig);
  fil_cards_add_blank (cards, 2);   /* for the checksums */

  return take_finished (cards);
}

typedef enum { CELL_TEXT, CELL_REAL, CELL_WHOLE, CELL_FLAG } CellKind;

/* Reads one element's value; only the fields of its kind are meaningful. */
typedef struct
{
  const char *name;
  const char *unit;
  const char *comment;
  CellKind    kind;
  gsize       member;
  guint       kinds;     /* bits of FilElementKind that have the key */
} Column;

#define OF(kind) (1u << FIL_ELEMENT_##kind)
#define EVERY ((1u << (FIL_ELEMENT_CAMERA + 1)) - 1)
#define MEMBER(name) G_STRUCT_OFFSET (FilElement, name)

/* The keys of a rig file, in capitals. KIND and TYPE come before them. */
static const Column columns[] = {
  { "APERTURE_MM", "mm", "clear aperture", CELL_REAL, MEMBER (aperture_mm), OF (OBJECTIVE) },
  { "FOCAL_LENGTH_MM", "mm", "focal length", CELL_REAL, MEMBER (focal_length_mm), OF (OBJECTIVE) },
  { "OBSTRUCTION_MM", "mm", "diameter of the obstruction", CELL_REAL,
    MEMBER (obstruction_mm), OF (OBJECTIVE) },
  { "REAR_GROUP", NULL, "lens group near the focus", CELL_FLAG, MEMBER (rear_group),
    OF (OBJECTIVE) },
  { "MATERIAL", NULL, "film or glass", CELL_TEXT, MEMBER (material), OF (FRONT_FILTER) },
  { "DENSITY", NULL, "optical density", CELL_REAL, MEMBER (density),
    OF (FRONT_FILTER) | OF (DENSITY) },
  { "REFLECTANCE_PERCENT", NULL, "reflected share", CELL_REAL, MEMBER (reflectance_percent),
    OF (WEDGE) },
  { "APERTURE_LIMIT_MM", "mm", "its maker's limit", CELL_REAL, MEMBER (aperture_limit_mm),
    OF (WEDGE) },
  { "FACTOR", NULL, "of the focal length", CELL_REAL, MEMBER (factor),
    OF (AMPLIFIER) | OF (REDUCER) },
  { "TELECENTRIC", NULL, "telecentric", CELL_FLAG, MEMBER (telecentric), OF (AMPLIFIER) },
  { "CENTRE_NM", "nm", "centre of the band", CELL_REAL, MEMBER (centre_nm), OF (BANDPASS) },
  { "WIDTH_NM", "nm", "full width at half maximum", CELL_REAL, MEMBER (width_nm),
    OF (BANDPASS) },
  { "PEAK_PERCENT", NULL, "transmission at the peak", CELL_REAL, MEMBER (peak_percent),
    OF (BANDPASS) },
  { "BLOCKS", NULL, "what is blocked", CELL_TEXT, MEMBER (blocks), OF (BLOCKER) },
  { "PIXEL_UM", "um", "pitch of the pixels", CELL_REAL, MEMBER (pixel_um), OF (CAMERA) },
  { "COLUMNS", "pixel", "of the sensor", CELL_WHOLE, MEMBER (columns), OF (CAMERA) },
  { "ROWS", "pixel", "of the sensor", CELL_WHOLE, MEMBER (rows), OF (CAMERA) },
  { "BITS", "bit", "depth", CELL_WHOLE, MEMBER (bits), OF (CAMERA) },
  { "SHUTTER", NULL, "global or rolling", CELL_TEXT, MEMBER (shutter), OF (CAMERA) },
  { "FULL_WELL_E", NULL, "[electrons] full well", CELL_REAL, MEMBER (full_well_e), OF (CAMERA) },
  { "QUANTUM_EFFICIENCY_PERCENT", NULL, "quantum efficiency", CELL_REAL,
    MEMBER (quantum_efficiency_percent), OF (CAMERA) },
  { "DISTANCE_TO_NEXT_MM", "mm", "to the next element", CELL_REAL,
    MEMBER (distance_to_next_mm), EVERY },
  { "NOTE", NULL, "note", CELL_TEXT, MEMBER (note), EVERY },
};

static gboolean
has_key (const FilElement *element,
         const Column     *column)
{
  return (column->kinds & (1u << element->kind)) != 0;
}

/* A text cell in ASCII; "" where it isn't given. */
static char *
dup_text (const FilElement *element,
          const Column     *column)
{
  const char *text = NULL;
  char *ascii;

  if (has_key (element, column))
    memcpy (&text, (const guint8 *) element + column->member, sizeof text);
  ascii = fil_cards_to_ascii (text != NULL ? text : "");
  if (strlen (ascii) > MAX_TEXT)
    ascii[MAX_TEXT] = '\0';

  return ascii;
}

static gsize
text_width (const FilRig *rig,
            const Column *column)
{
  gsize width = 1;

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *text = dup_text (fil_rig_get_element (rig, i), column);

      width = MAX (width, strlen (text));
    }

  return width;
}

static void
append_text (GByteArray *row,
             const char *text,
             gsize       width)
{
  for (gsize i = 0, length = strlen (text); i < width; i++)
    g_byte_array_append (row, (const guint8 *) (i < length ? text + i : " "), 1);
}

static void
append_cell (GByteArray       *row,
             const FilElement *element,
             const Column     *column,
             gsize             width)
{
  const guint8 *member = (const guint8 *) element + column->member;
  gboolean known = has_key (element, column);

  if (column->kind == CELL_TEXT)
    {
      g_autofree char *text = dup_text (element, column);

      append_text (row, text, width);
    }
  else if (column->kind == CELL_REAL)
    {
      double value = NAN;
      guint64 bits;

      if (known)
        memcpy (&value, member, sizeof value);
      memcpy (&bits, &value, sizeof bits);
      bits = GUINT64_TO_BE (bits);
      g_byte_array_append (row, (const guint8 *) &bits, sizeof bits);
    }
  else
    {
      int value = 0;
      guint32 bits;

      if (known)
        memcpy (&value, member, sizeof value);
      bits = GUINT32_TO_BE ((guint32) value);
      if (column->kind == CELL_FLAG)   /* a logical: 0 says "no value" */
        g_byte_array_append (row, (const guint8 *) (known ? value ? "T" : "F" : "\0"), 1);
      else
        g_byte_array_append (row, (const guint8 *) &bits, sizeof bits);
    }
}

static const char *
type_key (const FilElement *element)
{
  if (element->kind != FIL_ELEMENT_OBJECTIVE)
    return "";

  return element->type == FIL_OBJECTIVE_MIRROR ? "mirror" : "lens";
}

#define KIND_WIDTH 12
#define TYPE_WIDTH 6

static GByteArray *
encode_rows (const FilRig *rig,
             const gsize  *widths)
{
  GByteArray *rows = g_byte_array_new ();

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      const FilElement *element = fil_rig_get_element (rig, i);

      append_text (rows, fil_element_kind_to_key (element->kind), KIND_WIDTH);
      append_text (rows, type_key (element), TYPE_WIDTH);
      for (gsize c = 0; c < G_N_ELEMENTS (columns); c++)
        append_cell (rows, element, &columns[c], widths[c]);
    }

  return rows;
}

static void
add_light_path_columns (FilCards    *cards,
                        const gsize *widths)
{
  static const char formats[] = { 'A', 'D', 'J', 'L' };
  char format[16];

  add_column (cards, 1, "KIND", G_STRINGIFY (KIND_WIDTH) "A", NULL, "kind of element");
  add_column (cards, 2, "TYPE", G_STRINGIFY (TYPE_WIDTH) "A", NULL, "lens or mirror");
  for (gsize c = 0; c < G_N_ELEMENTS (columns); c++)
    {
      g_snprintf (format, sizeof format, "%d%c",
                  columns[c].kind == CELL_TEXT ? (int) widths[c] : 1, formats[columns[c].kind]);
      add_column (cards, (int) c + 3, columns[c].name, format, columns[c].unit,
                  columns[c].comment);
      if (columns[c].kind == CELL_WHOLE)
        {
          g_snprintf (format, sizeof format, "TNULL%d", (int) c + 3);
          fil_cards_add_int (cards, format, 0, "not given");
        }
    }
}

/**
 * fil_clip_light_path:
 * @rig: (nullable): the instrument
 *
 * Returns: (transfer full): the whole LIGHTPATH unit, one row an element from
 *   the sky to the sensor, checksums included; empty without a rig
 */
GBytes *
fil_clip_light_path (const FilRig *rig)
{
  g_autoptr (FilCards) cards = NULL;
  g_autoptr (GByteArray) rows = NULL;
  gsize widths[G_N_ELEMENTS (columns)];
  FilDatasum datasum = { 0 };
  guint n_rows;
  GString *unit;

  if (rig == NULL || fil_rig_get_n_elements (rig) == 0)
    return g_bytes_new (NULL, 0);

  for (gsize c = 0; c < G_N_ELEMENTS (columns); c++)
    widths[c] = columns[c].kind == CELL_TEXT ? text_width (rig, &columns[c]) : 0;
  rows = encode_rows (rig, widths);
  n_rows = fil_rig_get_n_elements (rig);

  cards = fil_cards_new ();
  add_table_start (cards, rows->len / n_rows, n_rows, G_N_ELEMENTS (columns) + 2);
  fil_cards_add_string (cards, "EXTNAME", "LIGHTPATH", "one row an element, from the sky on");
  add_light_path_columns (cards, widths);
  fil_cards_add_string (cards, "LONGSTRN", "OGIP 1.0", "strings may go on in CONTINUE cards");
  fil_cards_add_string (cards, "TELESCOP", fil_rig_get_name (rig), "name of the rig");
  fil_cards_add_string (cards, "RIGHASH", fil_rig_get_digest (rig), "SHA-256 of the rig");
  fil_cards_add_blank (cards, 2);

  fil_datasum_add (&datasum, rows->data, rows->len);
  fil_clip_set_sums (cards, fil_datasum_get (&datasum));
  unit = fil_cards_finish (cards);
  g_string_append_len (unit, (const char *) rows->data, rows->len);
  while (unit->len % FIL_FITS_BLOCK != 0)
    g_string_append_c (unit, '\0');

  return g_string_free_to_bytes (unit);
}
