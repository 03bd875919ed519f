/* test-rig-keys.c: the table of keys, and the page that tells of it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-rig-keys.h"

/* Nothing of use is known beyond these; see FilFinding and the gate's checks. */
#define KINDS_TEXT_MIN 10

static void
check_row (const FilRigKey *key)
{
  double smallest, largest;

  g_test_message ("%s", key->key);
  g_assert_cmpuint (strlen (fil_rig_key_get_label (key)), >, 2);
  g_assert_cmpuint (strlen (fil_rig_key_get_help (key)), >, 20);
  g_assert_true (g_str_has_suffix (key->help, "."));
  g_assert_true (g_unichar_isupper (g_utf8_get_char (key->label)));
  if (key->type == FIL_VALUE_YES_NO || key->type == FIL_VALUE_WORD || key->type == FIL_VALUE_TYPE)
    g_assert_cmpuint (fil_rig_key_get_n_words (key), >=, 2);
  for (guint i = 0; i < fil_rig_key_get_n_words (key); i++)
    g_assert_cmpuint (strlen (fil_rig_key_get_word (key, i)), >, 1);
  if (!fil_rig_key_is_number (key))
    return;
  fil_rig_key_get_range (key, &smallest, &largest);
  g_assert_cmpfloat (smallest, <, largest);
  /* The unit on the screen is the one in the key's name. */
  if (g_str_has_suffix (key->key, "_mm"))
    g_assert_cmpstr (key->unit, ==, "mm");
  if (g_str_has_suffix (key->key, "_um"))
    g_assert_cmpstr (key->unit, ==, "µm");
  if (g_str_has_suffix (key->key, "_nm"))
    g_assert_cmpstr (key->unit, ==, "nm");
  if (g_str_has_suffix (key->key, "_percent"))
    g_assert_cmpstr (key->unit, ==, "%");
}

static void
check_list (const FilRigKey **keys,
            guint             n)
{
  for (guint i = 0; i < n; i++)
    {
      check_row (keys[i]);
      if (i > 0)
        g_assert_cmpint (keys[i - 1]->rank, <=, keys[i]->rank);
    }
  g_assert_null (keys[n]);
}

static void
test_rows (void)
{
  guint n;

  for (guint kind = 0; kind < FIL_ELEMENT_N_KINDS; kind++)
    {
      g_autofree const FilRigKey **keys = fil_element_list_keys (kind, &n);

      g_assert_cmpuint (n, >=, 2);
      check_list (keys, n);
      g_assert_cmpuint (strlen (fil_element_kind_to_help (kind)), >, KINDS_TEXT_MIN);
      for (guint i = 0; i < n; i++)
        g_assert_true (fil_element_find_key (kind, keys[i]->key) == keys[i]);
    }
  {
    g_autofree const FilRigKey **rig = fil_rig_list_keys (&n);

    g_assert_cmpuint (n, ==, 4);
    check_list (rig, n);
  }
  {
    g_autofree const FilRigKey **site = fil_site_list_keys (&n);

    g_assert_cmpuint (n, ==, 3);
    check_list (site, n);
  }
}

/* What the table says is what the reader does: each word and the ends of each
 * range are taken, and what lies beyond is refused. */
static void
check_reader (const FilRig    *rig,
              const char      *group,
              const FilRigKey *key)
{
  for (guint i = 0; i < fil_rig_key_get_n_words (key); i++)
    {
      g_autoptr (FilRig) with = fil_rig_with_value (rig, group, key->key, key->words[i], NULL);

      g_assert_nonnull (with);
    }
  if (fil_rig_key_is_number (key))
    {
      g_autoptr (GError) error = NULL;
      char text[G_ASCII_DTOSTR_BUF_SIZE];
      double smallest, largest;

      fil_rig_key_get_range (key, &smallest, &largest);
      if (largest < G_MAXDOUBLE)
        {
          g_autoptr (FilRig) at = fil_rig_with_value (rig, group, key->key,
                                                      g_ascii_dtostr (text, sizeof text, largest),
                                                      NULL);

          g_assert_nonnull (at);
          g_ascii_dtostr (text, sizeof text, largest + 1);
        }
      else
        g_strlcpy (text, "0", sizeof text);
      g_assert_null (fil_rig_with_value (rig, group, key->key, text, &error));
      g_assert_error (error, FIL_RIG_ERROR, FIL_RIG_ERROR_VALUE);
    }
}

static void
test_reader (void)
{
  g_autoptr (FilRig) empty = fil_rig_new_empty ("a");
  g_autofree const FilRigKey **rig_keys = fil_rig_list_keys (NULL);
  g_autofree const FilRigKey **site_keys = fil_site_list_keys (NULL);

  for (guint kind = 0; kind < FIL_ELEMENT_N_KINDS; kind++)
    {
      g_autoptr (FilRig) rig = fil_rig_with_element (empty, kind, 0, NULL);
      g_autofree const FilRigKey **keys = fil_element_list_keys (kind, NULL);

      for (guint i = 0; keys[i] != NULL; i++)
        {
          check_reader (rig, "element 1", keys[i]);
          g_assert_true (fil_rig_find_key (rig, "element 1", keys[i]->key) == keys[i]);
        }
      g_assert_null (fil_rig_find_key (rig, "element 2", "note"));
    }
  for (guint i = 0; rig_keys[i] != NULL; i++)
    {
      check_reader (empty, "rig", rig_keys[i]);
      g_assert_true (fil_rig_find_key (empty, "rig", rig_keys[i]->key) == rig_keys[i]);
    }
  for (guint i = 0; site_keys[i] != NULL; i++)
    check_reader (empty, "site", site_keys[i]);
  g_assert_null (fil_rig_find_key (empty, "dome", "shutter"));
}

static void
assert_told (const char *page,
             const char *word)
{
  g_autofree char *quoted = g_strdup_printf ("`%s`", word);

  g_test_message ("%s", quoted);
  g_assert_nonnull (strstr (page, quoted));
}

static void
assert_all_told (const char       *page,
                 const FilRigKey **keys)
{
  for (guint i = 0; keys[i] != NULL; i++)
    {
      assert_told (page, keys[i]->key);
      for (guint w = 0; w < fil_rig_key_get_n_words (keys[i]); w++)
        assert_told (page, keys[i]->words[w]);
    }
}

/* docs/rig.md leaves out no kind, key or word. */
static void
test_page (void)
{
  g_autofree char *path = g_build_filename (FIL_DATA_DIR, "..", "docs", "rig.md", NULL);
  g_autofree const FilRigKey **rig_keys = fil_rig_list_keys (NULL);
  g_autofree const FilRigKey **site_keys = fil_site_list_keys (NULL);
  g_autofree char *page = NULL;

  g_assert_true (g_file_get_contents (path, &page, NULL, NULL));
  for (guint kind = 0; kind < FIL_ELEMENT_N_KINDS; kind++)
    {
      g_autofree const FilRigKey **keys = fil_element_list_keys (kind, NULL);

      assert_told (page, fil_element_kind_to_key (kind));
      assert_all_told (page, keys);
    }
  assert_all_told (page, rig_keys);
  assert_all_told (page, site_keys);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/rig-keys/rows", test_rows);
  g_test_add_func ("/rig-keys/reader", test_reader);
  g_test_add_func ("/rig-keys/page", test_page);

  return g_test_run ();
}
