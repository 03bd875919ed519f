/* fil-rig-keys.c: which keys a rig file has, and what they may say
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One row a key. It is read, checked, written and shown by it. A key that a
 * finding or the gate goes by has no usual value: only who stands at the
 * telescope can say what is fitted. */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-rig-private.h"

#define KIND(name)   (1u << FIL_ELEMENT_##name)
#define EVERY_KIND   (~0u)
#define FIELD(name)  G_STRUCT_OFFSET (FilElement, name)
#define HEAD(name)   G_STRUCT_OFFSET (FilRigHead, name)
#define YES_NO       .words = { "yes", "no" }, .word_texts = { N_("yes"), N_("no") }

static const FilRigKey element_keys[] = {
  { "distance_to_next_mm", EVERY_KIND, FIL_VALUE_POSITIVE, FIL_KEY_RARE,
    FIELD (distance_to_next_mm), N_("Distance to the next"), "mm",
    .help =
      N_("How far it is from here to the next element along the light path. It may be left out.") },
  { "note", EVERY_KIND, FIL_VALUE_TEXT, FIL_KEY_RARE,
    FIELD (note), N_("Note"), NULL,
    .help =
      N_("Anything worth remembering, such as a serial number or when it was last cleaned.") },

  { "type", KIND (OBJECTIVE), FIL_VALUE_TYPE, FIL_KEY_ESSENTIAL,
    FIELD (type), N_("Type"), NULL,
    .help =
      N_("Whether a lens or a mirror makes the image. A wedge is for lenses only."),
    .words = { "lens", "mirror" }, .word_texts = { N_("lens"), N_("mirror") } },
  { "aperture_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (aperture_mm), N_("Aperture"), "mm",
    .help =
      N_("The open diameter of the front lens or of the main mirror. It is usually written on "
         "the tube, often as D.") },
  { "focal_length_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (focal_length_mm), N_("Focal length"), "mm",
    .help =
      N_("Of the telescope alone, without amplifier or reducer. It is usually written on the "
         "tube, often as F; or the aperture times the focal ratio.") },
  { "obstruction_mm", KIND (OBJECTIVE), FIL_VALUE_POSITIVE, FIL_KEY_RARE,
    FIELD (obstruction_mm), N_("Obstruction"), "mm",
    .help =
      N_("The diameter of what stands in the middle of the aperture, such as a second mirror. "
         "Leave it empty for a plain refractor.") },
  { "rear_group", KIND (OBJECTIVE), FIL_VALUE_YES_NO, FIL_KEY_COMMON,
    FIELD (rear_group), N_("Rear lens group"), NULL,
    .help =
      N_("Whether there are lenses inside of the tube near the focus, as some designs with four "
         "or five lenses have. Sunlight can overheat them."), YES_NO },

  { "material", KIND (FRONT_FILTER), FIL_VALUE_WORD, FIL_KEY_COMMON,
    FIELD (material), N_("Material"), NULL,
    .help =
      N_("Whether the filter is a film or a coated glass."),
    .words = { "film", "glass" }, .word_texts = { N_("film"), N_("glass") } },
  { "density", KIND (FRONT_FILTER) | KIND (DENSITY), FIL_VALUE_DENSITY, FIL_KEY_ESSENTIAL,
    FIELD (density), N_("Density"), NULL,
    .help =
      N_("How dark it is, as its maker states it: 5 lets a hundred-thousandth of the light "
         "through, 3 a thousandth. Leave it empty if you don’t know it for certain.") },

  { "reflectance_percent", KIND (WEDGE), FIL_VALUE_PERCENT, FIL_KEY_RARE,
    FIELD (reflectance_percent), N_("Reflected share"), "%",
    .help =
      N_("How much of the light goes on to the camera. Plain glass reflects about 5 per cent; "
         "the rest leaves as heat.") },
  { "aperture_limit_mm", KIND (WEDGE), FIL_VALUE_POSITIVE, FIL_KEY_COMMON,
    FIELD (aperture_limit_mm), N_("Largest aperture"), "mm",
    .help =
      N_("The largest telescope for which the wedge’s maker made it. It is in its instructions.") },

  { "factor", KIND (AMPLIFIER), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (factor), N_("Factor"), "×",
    .help =
      N_("How many times it lengthens the focal length: 2 doubles it. Unless it is telecentric, "
         "more distance to the camera makes it larger."),
    .usual = "2" },
  { "factor", KIND (REDUCER), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (factor), N_("Factor"), "×",
    .help =
      N_("What it leaves of the focal length: 0.5 halves it. It depends on the distance to the "
         "camera."),
    .usual = "0.8" },
  { "telecentric", KIND (AMPLIFIER), FIL_VALUE_YES_NO, FIL_KEY_COMMON,
    FIELD (telecentric), N_("Telecentric"), NULL,
    .help =
      N_("Whether the light leaves it parallel to the axis. Then its factor hardly depends on "
         "the distance to the camera."), YES_NO },

  { "centre_nm", KIND (BANDPASS), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (centre_nm), N_("Centre"), "nm",
    .help =
      N_("The wavelength that the filter lets through: green is about 540, red about 650."),
    .usual = "540" },
  { "width_nm", KIND (BANDPASS), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (width_nm), N_("Width"), "nm",
    .help =
      N_("How wide the band is at half of its peak. It is usually written on the filter’s rim."),
    .usual = "10" },
  { "peak_percent", KIND (BANDPASS), FIL_VALUE_PERCENT, FIL_KEY_RARE,
    FIELD (peak_percent), N_("Peak"), "%",
    .help =
      N_("How much of the light comes through at the centre. Left empty, 90 per cent is assumed.") },

  { "blocks", KIND (BLOCKER), FIL_VALUE_WORD, FIL_KEY_ESSENTIAL,
    FIELD (blocks), N_("Blocks"), NULL,
    .help =
      N_("Which part of the spectrum it keeps out."),
    .words = { "ultraviolet", "infrared" },
    .word_texts = { N_("ultraviolet"), N_("infrared") } },

  { "pixel_um", KIND (CAMERA), FIL_VALUE_POSITIVE, FIL_KEY_ESSENTIAL,
    FIELD (pixel_um), N_("Pixel size"), "µm",
    .help =
      N_("The distance from one pixel to the next. You find it in the sensor’s data sheet or on "
         "the maker’s page of the camera; usually it is 2 to 6 µm.") },
  { "columns", KIND (CAMERA), FIL_VALUE_PIXELS, FIL_KEY_ESSENTIAL,
    FIELD (columns), N_("Columns"), "px",
    .help =
      N_("How many pixels the sensor is wide: the first number of its resolution.") },
  { "rows", KIND (CAMERA), FIL_VALUE_PIXELS, FIL_KEY_ESSENTIAL,
    FIELD (rows), N_("Rows"), "px",
    .help =
      N_("How many pixels the sensor is high: the second number of its resolution.") },
  { "bits", KIND (CAMERA), FIL_VALUE_BITS, FIL_KEY_COMMON,
    FIELD (bits), N_("Bits"), "bit",
    .help =
      N_("How finely the camera counts light: 8, 10, 12, 14 or 16. The simulated Sun goes by it; "
         "a real camera tells itself.") },
  { "shutter", KIND (CAMERA), FIL_VALUE_WORD, FIL_KEY_RARE,
    FIELD (shutter), N_("Shutter"), NULL,
    .help =
      N_("Whether all rows are exposed at once (global) or one after another (rolling)."),
    .words = { "global", "rolling" }, .word_texts = { N_("global"), N_("rolling") } },
  { "full_well_e", KIND (CAMERA), FIL_VALUE_POSITIVE, FIL_KEY_RARE,
    FIELD (full_well_e), N_("Full well"), "e⁻",
    .help =
      N_("How many electrons a pixel holds until it is full. It is in the sensor’s data sheet, "
         "usually 5,000 to 50,000.") },
  { "quantum_efficiency_percent", KIND (CAMERA), FIL_VALUE_PERCENT, FIL_KEY_RARE,
    FIELD (quantum_efficiency_percent), N_("Quantum efficiency"), "%",
    .help =
      N_("How much of the light at this wavelength the sensor counts. Left empty, 60 per cent is "
         "assumed.") },
};

static const FilRigKey rig_keys[] = {
  { "name", 0, FIL_VALUE_LINE, FIL_KEY_ESSENTIAL, HEAD (name), N_("Name"), NULL,
    .help =
      N_("What you call this instrument. Every clip carries it.") },
  { "observer", 0, FIL_VALUE_LINE, FIL_KEY_COMMON, HEAD (observer), N_("Observer"), NULL,
    .help =
      N_("Who observes. Every clip carries it; it may be left empty.") },
  { "finder", 0, FIL_VALUE_LINE, FIL_KEY_ESSENTIAL, HEAD (finder), N_("Finder"), NULL,
    .help =
      N_("What was done about the finder: it is a telescope without a filter, and it blinds and "
         "burns."),
    .words = { "capped", "removed", "none" },
    .word_texts = { N_("capped"), N_("taken off"), N_("there is none") } },
  { "altazimuth", 0, FIL_VALUE_YES_NO, FIL_KEY_COMMON, HEAD (altazimuth), N_("Altazimuth mount"),
    NULL,
    .help =
      N_("Whether the mount turns left and right and up and down, without an axis that points at "
         "the pole. The picture of the sky then turns while you observe."), YES_NO },
};

static const FilRigKey site_keys[] = {
  { "latitude_deg", 0, FIL_VALUE_LATITUDE, FIL_KEY_ESSENTIAL, HEAD (latitude_deg),
    N_("Latitude"), "°",
    .help =
      N_("In degrees, north positive, south negative, as maps show it.") },
  { "longitude_deg", 0, FIL_VALUE_LONGITUDE, FIL_KEY_ESSENTIAL, HEAD (longitude_deg),
    N_("Longitude"), "°",
    .help =
      N_("In degrees, east positive, west negative, as maps show it.") },
  { "height_m", 0, FIL_VALUE_HEIGHT, FIL_KEY_RARE, HEAD (height_m), N_("Height"), "m",
    .help =
      N_("Above the sea; a hundred metres more or less don’t matter.") },
};

/* Returns: (transfer none): all keys of elements, in the order of the table */
const FilRigKey *
fil_rig_key_list_all (gsize *n_keys)
{
  *n_keys = G_N_ELEMENTS (element_keys);

  return element_keys;
}

/* Of those with a bit of @kinds, or all where it is 0. */
static const FilRigKey **
list_by_rank (const FilRigKey *keys,
              gsize            n,
              guint            kinds,
              guint           *n_keys)
{
  const FilRigKey **list = g_new0 (const FilRigKey *, n + 1);
  guint count = 0;

  for (FilKeyRank rank = FIL_KEY_ESSENTIAL; rank <= FIL_KEY_RARE; rank++)
    for (gsize i = 0; i < n; i++)
      if (keys[i].rank == rank && (kinds == 0 || (keys[i].kinds & kinds) != 0))
        list[count++] = &keys[i];

  if (n_keys != NULL)
    *n_keys = count;

  return list;
}

/**
 * fil_element_list_keys:
 * @n_keys: (out) (optional): how many; the array ends with a %NULL besides
 *
 * Returns: (transfer container): the keys of that kind, essential ones first
 */
const FilRigKey **
fil_element_list_keys (FilElementKind kind,
                       guint         *n_keys)
{
  g_return_val_if_fail ((guint) kind < FIL_ELEMENT_N_KINDS, NULL);

  return list_by_rank (element_keys, G_N_ELEMENTS (element_keys), 1u << kind, n_keys);
}

/* As fil_element_list_keys(), of [rig] */
const FilRigKey **
fil_rig_list_keys (guint *n_keys)
{
  return list_by_rank (rig_keys, G_N_ELEMENTS (rig_keys), 0, n_keys);
}

/* As fil_element_list_keys(), of [site] */
const FilRigKey **
fil_site_list_keys (guint *n_keys)
{
  return list_by_rank (site_keys, G_N_ELEMENTS (site_keys), 0, n_keys);
}

static const FilRigKey *
find (const FilRigKey *keys,
      gsize            n,
      guint            kinds,
      const char      *key)
{
  for (gsize i = 0; i < n; i++)
    if ((kinds == 0 || (keys[i].kinds & kinds) != 0) && strcmp (keys[i].key, key) == 0)
      return &keys[i];

  return NULL;
}

/* Returns: (nullable): how @key is read for that kind; %NULL for an unknown key */
const FilRigKey *
fil_element_find_key (FilElementKind kind,
                  const char    *key)
{
  g_return_val_if_fail ((guint) kind < FIL_ELEMENT_N_KINDS && key != NULL, NULL);

  return find (element_keys, G_N_ELEMENTS (element_keys), 1u << kind, key);
}

/* @group: "rig" or "site". Returns: (nullable): %NULL for an unknown key */
const FilRigKey *
fil_rig_key_find (const char *group,
                  const char *key)
{
  if (strcmp (group, "rig") == 0)
    return find (rig_keys, G_N_ELEMENTS (rig_keys), 0, key);
  if (strcmp (group, "site") == 0)
    return find (site_keys, G_N_ELEMENTS (site_keys), 0, key);

  return NULL;
}

const char *
fil_rig_key_get_label (const FilRigKey *key)
{
  g_return_val_if_fail (key != NULL, NULL);

  return _(key->label);
}

const char *
fil_rig_key_get_help (const FilRigKey *key)
{
  g_return_val_if_fail (key != NULL, NULL);

  return _(key->help);
}

guint
fil_rig_key_get_n_words (const FilRigKey *key)
{
  guint n = 0;

  g_return_val_if_fail (key != NULL, 0);

  while (n < FIL_KEY_MAX_WORDS && key->words[n] != NULL)
    n++;

  return n;
}

const char *
fil_rig_key_get_word (const FilRigKey *key,
                      guint            index)
{
  g_return_val_if_fail (key != NULL && index < fil_rig_key_get_n_words (key), NULL);

  return _(key->word_texts[index]);
}

gboolean
fil_rig_key_is_number (const FilRigKey *key)
{
  g_return_val_if_fail (key != NULL, FALSE);

  return key->type <= FIL_VALUE_BITS;
}

/**
 * fil_rig_key_get_range:
 * @key: of a number
 * @smallest: (out): %G_MINDOUBLE: anything above 0
 * @largest: (out): %G_MAXDOUBLE: no limit
 */
void
fil_rig_key_get_range (const FilRigKey *key,
                       double          *smallest,
                       double          *largest)
{
  static const double ranges[][2] = {
    [FIL_VALUE_POSITIVE] = { G_MINDOUBLE, G_MAXDOUBLE },
    [FIL_VALUE_DENSITY] = { G_MINDOUBLE, 10 },
    [FIL_VALUE_PERCENT] = { 0, 100 },
    [FIL_VALUE_LATITUDE] = { -90, 90 },
    [FIL_VALUE_LONGITUDE] = { -360, 360 },
    [FIL_VALUE_HEIGHT] = { -1000, 20000 },
    [FIL_VALUE_PIXELS] = { 1, 100000 },
    [FIL_VALUE_BITS] = { 1, 16 },
  };

  g_return_if_fail (key != NULL && fil_rig_key_is_number (key));
  g_return_if_fail (smallest != NULL && largest != NULL);

  *smallest = ranges[key->type][0];
  *largest = ranges[key->type][1];
}
