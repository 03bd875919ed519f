/* test-rig-edit.c: rigs changed value by value and element by element
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-optics.h"
#include "fil-rig-keys.h"

/* Comments, blanks, unknown keys and groups in odd places. */
static const char quirky[] =
  "# the file's own head\n"
  "\n"
  "[rig]\n"
  "name = Quirk  \n"
  "# about the objective\n"
  "# in two lines\n"
  "[element 1]\n"
  "kind=objective\n"
  "polish=by hand\n"
  "aperture_mm=100\n"
  "# behind the objective\n"
  "\n"
  "[dome]\n"
  "shutter=left\n"
  "\n"
  "  [element 2]  \n"
  "kind=wedge\n"
  "\n"
  "# about the camera\n"
  "[element 3]\n"
  "kind=camera\n"
  "cooled=-10, or so";

static FilRig *
load (const char *base)
{
  g_autofree char *path = g_build_filename (FIL_DATA_DIR, "rigs", base, NULL);
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_load (path, &error);

  g_assert_no_error (error);

  return rig;
}

static FilRig *
draft (const char *text)
{
  g_autoptr (GError) error = NULL;
  FilRig *rig = fil_rig_parse_draft (text, -1, "r.rig", &error);

  g_assert_no_error (error);

  return rig;
}

static void
assert_text (const FilRig *rig,
             const char   *expected)
{
  g_autofree char *text = NULL;

  g_assert_nonnull (rig);
  text = fil_rig_to_text (rig);
  g_assert_cmpstr (text, ==, expected);
}

/* What goes in comes out again, and the file is the same to the letter. */
static void
test_there_and_back (gconstpointer data)
{
  g_autoptr (FilRig) rig = load (data);
  guint n = fil_rig_get_n_elements (rig);

  for (guint i = 0; i <= n; i++)
    for (guint kind = 0; kind < FIL_ELEMENT_N_KINDS; kind++)
      {
        g_autoptr (GError) error = NULL;
        g_autoptr (FilRig) with = fil_rig_with_element (rig, kind, i, &error);
        g_autoptr (FilRig) back = NULL;

        g_assert_no_error (error);
        g_assert_cmpuint (fil_rig_get_n_elements (with), ==, n + 1);
        g_assert_cmpint (fil_rig_get_element (with, i)->kind, ==, (int) kind);
        back = fil_rig_without_element (with, i, &error);
        g_assert_true (fil_rig_equal (back, rig));
      }

  for (guint from = 0; from < n; from++)
    for (guint to = 0; to < n; to++)
      {
        g_autoptr (FilRig) moved = fil_rig_with_element_moved (rig, from, to, NULL);
        g_autoptr (FilRig) back = fil_rig_with_element_moved (moved, to, from, NULL);

        g_assert_cmpuint (fil_rig_get_n_elements (moved), ==, n);
        g_assert_cmpint (fil_rig_get_element (moved, to)->kind, ==,
                         fil_rig_get_element (rig, from)->kind);
        g_assert_true (fil_rig_equal (back, rig));
      }
}

/* Every key of every element set to what it says already, taken away, and put
 * back: the same content. */
static void
test_values_there_and_back (gconstpointer data)
{
  g_autoptr (FilRig) rig = load (data);
  guint n_values = 0;

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    {
      g_autofree char *group = g_strdup_printf ("element %u", i + 1);
      FilElementKind kind = fil_rig_get_element (rig, i)->kind;
      g_autofree const FilRigKey **keys = fil_element_list_keys (kind, NULL);

      for (guint k = 0; keys[k] != NULL; k++)
        {
          g_autofree char *value = fil_rig_dup_value (rig, group, keys[k]->key);
          g_autoptr (FilRig) same = NULL;
          g_autoptr (FilRig) without = NULL;
          g_autoptr (FilRig) back = NULL;

          if (value == NULL)
            continue;
          same = fil_rig_with_value (rig, group, keys[k]->key, value, NULL);
          g_assert_true (fil_rig_equal (same, rig));
          without = fil_rig_with_value (rig, group, keys[k]->key, NULL, NULL);
          g_assert_cmpstr (fil_rig_get_digest (without), !=, fil_rig_get_digest (rig));
          back = fil_rig_with_value (without, group, keys[k]->key, value, NULL);
          g_assert_cmpstr (fil_rig_get_digest (back), ==, fil_rig_get_digest (rig));
          n_values++;
        }
    }
  g_assert_cmpuint (n_values, >=, 10);
}

static void
test_move_takes_along (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (FilRig) last = fil_rig_with_element_moved (rig, 0, 2, NULL);
  g_autoptr (FilRig) first = fil_rig_with_element_moved (rig, 2, 0, NULL);

  assert_text (last, "# the file's own head\n\n[rig]\nname = Quirk  \n"
                     "  [element 1]  \nkind=wedge\n\n"
                     "[dome]\nshutter=left\n\n"
                     "# about the camera\n[element 2]\nkind=camera\ncooled=-10, or so\n\n"
                     "# about the objective\n# in two lines\n[element 3]\nkind=objective\n"
                     "polish=by hand\naperture_mm=100\n# behind the objective\n");
  assert_text (first, "# the file's own head\n\n[rig]\nname = Quirk  \n"
                      "# about the camera\n[element 1]\nkind=camera\ncooled=-10, or so\n\n"
                      "[dome]\nshutter=left\n\n"
                      "# about the objective\n# in two lines\n[element 2]\nkind=objective\n"
                      "polish=by hand\naperture_mm=100\n# behind the objective\n\n"
                      "  [element 3]  \nkind=wedge\n");
}

static void
test_remove_takes_along (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (FilRig) without = fil_rig_without_element (rig, 0, NULL);
  g_autoptr (FilRig) without_last = fil_rig_without_element (rig, 2, NULL);
  g_autoptr (FilRig) without_both = fil_rig_without_element (without, 1, NULL);

  assert_text (without, "# the file's own head\n\n[rig]\nname = Quirk  \n"
                        "[dome]\nshutter=left\n\n  [element 1]  \nkind=wedge\n\n"
                        "# about the camera\n[element 2]\nkind=camera\ncooled=-10, or so");
  assert_text (without_last, "# the file's own head\n\n[rig]\nname = Quirk  \n"
                             "# about the objective\n# in two lines\n[element 1]\nkind=objective\n"
                             "polish=by hand\naperture_mm=100\n# behind the objective\n\n"
                             "[dome]\nshutter=left\n\n  [element 2]  \nkind=wedge\n");
  assert_text (without_both, "# the file's own head\n\n[rig]\nname = Quirk  \n"
                             "[dome]\nshutter=left\n\n  [element 1]  \nkind=wedge\n");
  g_assert_false (fil_rig_is_complete (without_both, NULL));
}

static void
test_insert (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (FilRig) middle = fil_rig_with_element (rig, FIL_ELEMENT_AMPLIFIER, 2, NULL);
  g_autoptr (FilRig) end = fil_rig_with_element (rig, FIL_ELEMENT_BANDPASS, 3, NULL);
  g_autofree char *middle_text = fil_rig_to_text (middle);
  g_autofree char *end_text = fil_rig_to_text (end);

  g_assert_nonnull (strstr (middle_text, "kind=wedge\n\n[element 3]\nkind=amplifier\nfactor=2\n\n"
                                         "# about the camera\n[element 4]\nkind=camera\n"));
  g_assert_true (g_str_has_suffix (end_text, "cooled=-10, or so\n\n[element 4]\nkind=bandpass\n"
                                             "centre_nm=540\nwidth_nm=10\n"));
}

/* Line ends are kept as they are; a file of one line needs none. */
static void
test_line_ends (void)
{
  g_autoptr (FilRig) dos = draft ("\xef\xbb\xbf[rig]\r\nname=a\r\n\r\n[element 1]\r\nkind=wedge");
  g_autoptr (FilRig) dos_more = fil_rig_with_element (dos, FIL_ELEMENT_CAMERA, 1, NULL);
  g_autoptr (FilRig) dos_site = fil_rig_with_value (dos, "site", "latitude_deg", "47", NULL);
  g_autoptr (FilRig) mark = draft ("\xef\xbb\xbf");
  g_autoptr (FilRig) mark_more = fil_rig_with_element (mark, FIL_ELEMENT_WEDGE, 0, NULL);
  g_autoptr (FilRig) mark_named = fil_rig_with_value (mark, "rig", "name", "a", NULL);
  g_autoptr (FilRig) remark = draft ("# only a remark");
  g_autoptr (FilRig) remark_more = fil_rig_with_element (remark, FIL_ELEMENT_WEDGE, 0, NULL);

  assert_text (dos_more, "\xef\xbb\xbf[rig]\r\nname=a\r\n\r\n[element 1]\r\nkind=wedge\r\n\r\n"
                         "[element 2]\r\nkind=camera\r\n");
  assert_text (dos_site, "\xef\xbb\xbf[rig]\r\nname=a\r\n\r\n[element 1]\r\nkind=wedge\r\n\r\n"
                         "[site]\r\nlatitude_deg=47\r\n");
  assert_text (mark_more, "\xef\xbb\xbf[element 1]\nkind=wedge\n");
  assert_text (mark_named, "\xef\xbb\xbf[rig]\nname=a\n");
  assert_text (remark_more, "# only a remark\n[element 1]\nkind=wedge\n");
}

static void
test_head_stays (void)
{
  g_autoptr (FilRig) rig = draft ("# licence\n[element 1]\nkind=wedge\n[element 2]\nkind=camera\n");
  g_autoptr (FilRig) moved = fil_rig_with_element_moved (rig, 0, 1, NULL);
  g_autoptr (FilRig) without = fil_rig_without_element (rig, 0, NULL);

  assert_text (moved, "# licence\n[element 1]\nkind=camera\n[element 2]\nkind=wedge\n");
  assert_text (without, "# licence\n[element 1]\nkind=camera\n");
}

static void
test_refusals (void)
{
  static const struct { const char *group, *key, *value; FilRigError code; } cases[] = {
    { "element 1", "aperture_mm", "-1", FIL_RIG_ERROR_VALUE },
    { "element 1", "aperture_mm", "2,5", FIL_RIG_ERROR_VALUE },
    { "element 1", "aperture_mm", "", FIL_RIG_ERROR_VALUE },
    { "element 1", "obstruction_mm", "100", FIL_RIG_ERROR_VALUE },
    { "element 1", "kind", "prism", FIL_RIG_ERROR_VALUE },
    { "element 1", "kind", NULL, FIL_RIG_ERROR_VALUE },
    { "element 5", "note", "x", FIL_RIG_ERROR_SYNTAX },
    { "element 4", "note", "x", FIL_RIG_ERROR_VALUE },
    { "element 01", "note", "x", FIL_RIG_ERROR_SYNTAX },
    { "rig", "altazimuth", "perhaps", FIL_RIG_ERROR_VALUE },
    { "rig", "name", "a\nb", FIL_RIG_ERROR_VALUE },
    { "rig", "name", "a\033[2J", FIL_RIG_ERROR_SYNTAX },
    { "rig", "name", "\xff", FIL_RIG_ERROR_SYNTAX },
    { "site", "latitude_deg", "90.5", FIL_RIG_ERROR_VALUE },
    { "rig", "a=b", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", "#a", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", "[a", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", " a", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", "", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", "a\nb", "c", FIL_RIG_ERROR_SYNTAX },
    { "rig", "a=1\nb", "c", FIL_RIG_ERROR_SYNTAX },
    { "x]\n[y", "a", "c", FIL_RIG_ERROR_SYNTAX },
    { "", "a", "c", FIL_RIG_ERROR_SYNTAX },
  };
  g_autoptr (FilRig) rig = draft (quirky);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (fil_rig_with_value (rig, cases[i].group, cases[i].key, cases[i].value,
                                         &error));
      g_test_message ("%s", error->message);
      g_assert_error (error, FIL_RIG_ERROR, (int) cases[i].code);
      g_assert_true (g_utf8_validate (error->message, -1, NULL));
      g_assert_true (g_str_has_suffix (error->message, fil_rig_error_get_reason (error)));
      assert_text (rig, quirky);
    }
}

static void
test_error_parts (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (GError) error = NULL;
  g_autoptr (GError) copy = NULL;
  g_autoptr (GError) other = g_error_new_literal (G_FILE_ERROR, G_FILE_ERROR_IO, "other");

  g_assert_null (fil_rig_with_value (rig, "element 3", "pixel_um", "0", &error));
  copy = g_error_copy (error);
  g_assert_cmpstr (fil_rig_error_get_key (copy), ==, "pixel_um");
  g_assert_cmpuint (fil_rig_error_get_line (copy), ==, 23);
  g_assert_cmpstr (copy->message, ==,
                   "r.rig:23: pixel_um: 0: it must be above 0; leave the key out if it isn’t "
                   "known");
  g_assert_cmpstr (fil_rig_error_get_reason (copy), ==,
                   "0: it must be above 0; leave the key out if it isn’t known");
  g_assert_cmpstr (fil_rig_error_get_reason (other), ==, "other");
  g_assert_null (fil_rig_error_get_key (other));
}

static void
test_drafts (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) empty = fil_rig_new_empty ("Balcony\n80");
  g_autoptr (FilRig) unnamed = fil_rig_new_empty (NULL);
  g_autoptr (FilRig) half = fil_rig_with_element (empty, FIL_ELEMENT_CAMERA, 0, NULL);
  g_autoptr (FilRig) whole = fil_rig_with_element (half, FIL_ELEMENT_OBJECTIVE, 0, NULL);

  assert_text (empty, "[rig]\nname=Balcony 80\n");
  assert_text (unnamed, "[rig]\n");
  g_assert_cmpstr (fil_rig_get_name (empty), ==, "Balcony 80");
  g_assert_false (fil_rig_is_complete (empty, &error));
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_INCOMPLETE);
  g_assert_cmpstr (fil_rig_error_get_reason (error), ==,
                   "the rig is incomplete, it still needs: objective (kind=objective), camera "
                   "(kind=camera)");
  g_clear_error (&error);
  g_assert_false (fil_rig_is_complete (half, &error));
  g_assert_nonnull (strstr (error->message, "kind=objective"));
  g_assert_null (strstr (error->message, "kind=camera"));
  g_assert_true (fil_rig_is_complete (whole, NULL));
  assert_text (whole, "[rig]\nname=Balcony 80\n[element 1]\nkind=objective\n"
                      "[element 2]\nkind=camera\n");
}

/* All numbers of a rig that isn't whole are NaN or finite, and nothing falls
 * over. */
static void
test_optics_of_drafts (void)
{
  g_autoptr (FilRig) empty = fil_rig_new_empty ("a");

  for (guint a = 0; a < FIL_ELEMENT_N_KINDS; a++)
    for (guint b = 0; b < FIL_ELEMENT_N_KINDS; b++)
      {
        g_autoptr (FilRig) one = fil_rig_with_element (empty, a, 0, NULL);
        g_autoptr (FilRig) two = fil_rig_with_element (one, b, 1, NULL);
        FilOptics optics;

        fil_optics_compute (empty, &optics);
        g_assert_true (isnan (optics.focal_length_mm) && isnan (optics.electrons_per_ms));
        fil_optics_compute (two, &optics);
        g_assert_true (isnan (optics.plate_scale_arcsec_per_px));
        g_assert_false (isinf (optics.magnification));
      }
}

/* The usual values vouch for nothing that a finding or the gate goes by. */
static void
test_usual_values (void)
{
  static const char *const never[] = { "type", "density", "material", "rear_group",
                                       "aperture_limit_mm", "aperture_mm", "reflectance_percent" };
  g_autoptr (FilRig) empty = fil_rig_new_empty ("a");

  for (guint kind = 0; kind < FIL_ELEMENT_N_KINDS; kind++)
    {
      g_autoptr (FilRig) rig = fil_rig_with_element (empty, kind, 0, NULL);

      for (gsize i = 0; i < G_N_ELEMENTS (never); i++)
        g_assert_null (fil_rig_dup_value (rig, "element 1", never[i]));
    }
}

static void
test_dup_value (void)
{
  g_autoptr (FilRig) rig = draft ("[rig]\nname=\\sa\npath=C:\\pictures\nempty=\n"
                                  "[element 1]\nkind=density\ndensity=2.0\n");
  g_autofree char *name = fil_rig_dup_value (rig, "rig", "name");
  g_autofree char *path = fil_rig_dup_value (rig, "rig", "path");
  g_autofree char *density = fil_rig_dup_value (rig, "element 1", "density");
  g_autofree char *empty = fil_rig_dup_value (rig, "rig", "empty");

  g_assert_cmpstr (name, ==, " a");
  g_assert_cmpstr (path, ==, "C:\\pictures");   /* an unknown key's own backslash */
  g_assert_cmpstr (density, ==, "2.0");
  g_assert_cmpstr (empty, ==, "");
  g_assert_null (fil_rig_dup_value (rig, "site", "latitude_deg"));
}

static void
test_altazimuth (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (FilRig) yes = fil_rig_with_value (rig, "rig", "altazimuth", "yes", NULL);
  g_autoptr (FilRig) no = fil_rig_with_value (yes, "rig", "altazimuth", "no", NULL);

  g_assert_false (fil_rig_get_altazimuth (rig));
  g_assert_true (fil_rig_get_altazimuth (yes));
  g_assert_false (fil_rig_get_altazimuth (no));
}

static void
test_site (void)
{
  g_autoptr (FilRig) rig = draft (quirky);
  g_autoptr (FilRig) half = fil_rig_with_value (rig, "site", "latitude_deg", "-47.5", NULL);
  g_autoptr (FilRig) whole = fil_rig_with_value (half, "site", "longitude_deg", "8.25", NULL);
  double latitude = 1, longitude = 2, height = 3;

  g_assert_false (fil_rig_get_site (half, &latitude, &longitude, &height));
  g_assert_cmpfloat (latitude, ==, 1);
  g_assert_true (fil_rig_get_site (whole, &latitude, &longitude, &height));
  g_assert_cmpfloat (latitude, ==, -47.5);
  g_assert_cmpfloat (longitude, ==, 8.25);
  g_assert_cmpfloat (height, ==, 0);
}

/* An element too many is refused in words. */
static void
test_too_many (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_empty ("a");
  g_autoptr (GError) error = NULL;

  for (guint i = 0; error == NULL; i++)
    {
      FilRig *more = fil_rig_with_element (rig, FIL_ELEMENT_DIAGONAL, i / 2, &error);

      g_assert_cmpuint (i, <=, 200);
      g_assert_true (more != NULL || i == 200);
      if (more == NULL)
        break;
      fil_rig_unref (rig);
      rig = more;
    }
  g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_SYNTAX);
  g_assert_nonnull (strstr (error->message, "200"));
  g_assert_cmpuint (fil_rig_get_n_elements (rig), ==, 200);
}

/* What the walk below expects: the marks of the elements, from the sky. */
static void
assert_marks (const FilRig *rig,
              const GArray *marks)
{
  g_assert_cmpuint (fil_rig_get_n_elements (rig), ==, marks->len);
  for (guint i = 0; i < marks->len; i++)
    {
      g_autofree char *group = g_strdup_printf ("element %u", i + 1);
      g_autofree char *mark = fil_rig_dup_value (rig, group, "mark");

      g_assert_cmpuint (g_ascii_strtoull (mark, NULL, 10), ==, g_array_index (marks, guint, i));
    }
}

/* Gives the element an unknown key, so that it is known again. */
static FilRig *
with_mark (FilRig *rig,
           guint   index,
           guint   mark)
{
  g_autofree char *group = g_strdup_printf ("element %u", index + 1);
  g_autofree char *text = g_strdup_printf ("%u", mark);
  FilRig *marked = fil_rig_with_value (rig, group, "mark", text, NULL);

  fil_rig_unref (rig);

  return marked;
}

static FilRig *
edit_elements (GRand        *random,
               const FilRig *rig,
               GArray       *marks,
               guint         step)
{
  guint n = marks->len;
  guint from = n > 0 ? (guint) g_rand_int_range (random, 0, (int) n) : 0;
  guint to = n > 0 ? (guint) g_rand_int_range (random, 0, (int) n) : 0;
  int choice = g_rand_int_range (random, 0, n < 3 ? 1 : n > 12 ? 4 : 3);
  guint mark;

  if (choice == 0)
    {
      g_array_insert_val (marks, to, step);
      return with_mark (fil_rig_with_element (rig, (FilElementKind) g_rand_int_range (random, 0, 11),
                                              to, NULL),
                        to, step);
    }

  mark = g_array_index (marks, guint, from);
  g_array_remove_index (marks, from);
  if (choice != 1)
    return fil_rig_without_element (rig, from, NULL);

  g_array_insert_val (marks, to, mark);

  return fil_rig_with_element_moved (rig, from, to, NULL);
}

static FilRig *
edit_value (GRand        *random,
            const FilRig *rig)
{
  static const char *const values[] = { "yes", "no", "lens", "film", "1", "0", "12.5", "-3", "nan",
                                        "ä\\ ß", "# no remark", "[x]", "a=b", " a ", "", NULL };
  static const char *const groups[] = { "rig", "site", "dome", "element 1", "element 2",
                                        "element 3" };
  static const char *const keys[] = { "name", "observer", "finder", "altazimuth", "latitude_deg",
                                      "height_m", "note", "aperture_mm", "factor", "type", "colour",
                                      "obstruction_mm", "columns", "kind" };

  return fil_rig_with_value (rig, groups[g_rand_int_range (random, 0, G_N_ELEMENTS (groups))],
                             keys[g_rand_int_range (random, 0, G_N_ELEMENTS (keys))],
                             values[g_rand_int_range (random, 0, G_N_ELEMENTS (values))], NULL);
}

/* 10,000 edits one after another: each result is read again as the same rig,
 * the elements stand where they were put, with their unknown keys, and what is
 * refused changes nothing. */
static void
test_random_walk (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (540);
  g_autoptr (GArray) marks = g_array_new (FALSE, FALSE, sizeof (guint));
  g_autoptr (FilRig) rig = draft ("# head\n[rig]\nname=a\n\n[dome]\nshutter=left\n");
  guint n_refused = 0, n_most = 0;

  for (guint step = 0; step < 10000; step++)
    {
      g_autoptr (FilRig) again = NULL;
      g_autofree char *text = NULL;
      FilRig *next = step % 3 == 0 ? edit_value (random, rig)
                                   : edit_elements (random, rig, marks, step);

      if (next == NULL)
        {
          g_assert_cmpuint (step % 3, ==, 0);
          n_refused++;
          continue;
        }
      fil_rig_unref (rig);
      rig = next;

      text = fil_rig_to_text (rig);
      again = fil_rig_parse_draft (text, -1, "again", NULL);
      g_assert_nonnull (again);
      g_assert_cmpstr (fil_rig_get_digest (again), ==, fil_rig_get_digest (rig));
      assert_marks (rig, marks);
      g_assert_true (g_str_has_prefix (text, "# head\n"));
      g_assert_nonnull (strstr (text, "\n[dome]\nshutter=left\n"));
      n_most = MAX (n_most, marks->len);
    }
  g_test_message ("%u refused, up to %u elements", n_refused, n_most);
  g_assert_cmpuint (n_refused, >, 100);
  g_assert_cmpuint (n_refused, <, 3000);
  g_assert_cmpuint (n_most, >, 8);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_data_func ("/rig-edit/roof-there-and-back", "roof-102.rig", test_there_and_back);
  g_test_add_data_func ("/rig-edit/disc-there-and-back", "disc-60.rig", test_there_and_back);
  g_test_add_data_func ("/rig-edit/roof-values", "roof-102.rig", test_values_there_and_back);
  g_test_add_data_func ("/rig-edit/disc-values", "disc-60.rig", test_values_there_and_back);
  g_test_add_func ("/rig-edit/move-takes-along", test_move_takes_along);
  g_test_add_func ("/rig-edit/remove-takes-along", test_remove_takes_along);
  g_test_add_func ("/rig-edit/insert", test_insert);
  g_test_add_func ("/rig-edit/line-ends", test_line_ends);
  g_test_add_func ("/rig-edit/head-stays", test_head_stays);
  g_test_add_func ("/rig-edit/refusals", test_refusals);
  g_test_add_func ("/rig-edit/error-parts", test_error_parts);
  g_test_add_func ("/rig-edit/drafts", test_drafts);
  g_test_add_func ("/rig-edit/optics-of-drafts", test_optics_of_drafts);
  g_test_add_func ("/rig-edit/usual-values", test_usual_values);
  g_test_add_func ("/rig-edit/dup-value", test_dup_value);
  g_test_add_func ("/rig-edit/altazimuth", test_altazimuth);
  g_test_add_func ("/rig-edit/site", test_site);
  g_test_add_func ("/rig-edit/too-many", test_too_many);
  g_test_add_func ("/rig-edit/random-walk", test_random_walk);

  return g_test_run ();
}
