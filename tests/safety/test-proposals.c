/* test-proposals.c: what findings propose, carried out
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-findings.h"
#include "fil-gate.h"
#include "rigs.h"

#define DENSITY "kind=density\ndensity=3"

typedef struct
{
  const char *path;
  const char *head;
  const char *elements;
  const char *code;
  const char *expected;   /* the kinds of the changed rig; NULL: no proposal */
} Case;

static const Case cases[] = {
  { "no-filter", FINDER, LENS "|" CAMERA, "no-filter", "front-filter objective camera" },
  { "no-filter-behind-something", FINDER, "kind=blocker|" MIRROR "|" CAMERA, "no-filter",
    "blocker front-filter objective camera" },
  { "wedge-out-of-place", FINDER, "kind=wedge|" LENS "|" CAMERA, "no-filter",
    "wedge front-filter objective camera" },
  { "polariser-only", FINDER, LENS "|kind=polariser|" CAMERA, "polariser-only",
    "front-filter objective polariser camera" },
  { "polariser-behind-wedge", FINDER, LENS "|kind=wedge|kind=polariser|" CAMERA, "polariser-only",
    "objective wedge density polariser camera" },
  { "eyepiece-end", FINDER, LENS "|" DENSITY "|" CAMERA, "filter-behind-objective",
    "front-filter objective density camera" },
  { "film-behind", FINDER, LENS "|kind=bandpass|" FILM "|" CAMERA, "filter-behind-objective",
    "front-filter objective bandpass camera" },
  { "before-wedge", FINDER, LENS "|kind=amplifier|kind=wedge|" DENSITY "|" CAMERA,
    "element-before-wedge", "objective wedge density amplifier camera" },
  { "two-before-wedge", FINDER, LENS "|kind=diagonal|kind=amplifier|kind=wedge|" DENSITY "|" CAMERA,
    "element-before-wedge", "objective amplifier wedge density diagonal camera" },
  { "density-before-wedge", FINDER, LENS "|" DENSITY "|kind=wedge|" CAMERA, "element-before-wedge",
    "objective wedge density camera" },
  { "film-before-wedge", FINDER, LENS "|" FILM "|kind=wedge|" DENSITY "|" CAMERA,
    "element-before-wedge", "front-filter objective wedge density camera" },
  { "mirror-with-film", FINDER, FILM "|" MIRROR "|kind=wedge|" DENSITY "|" CAMERA,
    "wedge-behind-mirror", "front-filter objective density camera" },
  { "mirror-without", FINDER, MIRROR "|kind=wedge|" DENSITY "|" CAMERA, "wedge-behind-mirror",
    "front-filter objective density camera" },
  { "mirror-two-wedges", FINDER, MIRROR "|kind=wedge|kind=wedge|" CAMERA, "wedge-behind-mirror",
    "front-filter objective camera" },
  { "wedge-bare", FINDER, LENS "|kind=wedge|kind=amplifier|" CAMERA, "wedge-without-density",
    "objective wedge density amplifier camera" },
  { "camera-first", FINDER, CAMERA "|" FILM "|" LENS, "objective-behind-camera",
    "front-filter objective camera" },
  { "two-objectives", FINDER, FILM "|" LENS "|" MIRROR "|" CAMERA, "second-objective",
    "front-filter objective camera" },
  { "behind-camera", FINDER, FILM "|" LENS "|" CAMERA "|kind=amplifier", "behind-camera",
    "front-filter objective amplifier camera" },
  { "two-cameras", FINDER, FILM "|" LENS "|" CAMERA "|" CAMERA, "behind-camera",
    "front-filter objective camera" },
  { "wedge-behind-camera", FINDER, FILM "|" LENS "|" CAMERA "|kind=wedge", "behind-camera",
    "front-filter objective camera" },

  /* What only the observer can tell, and what hides another refusal. */
  { "type", FINDER, "kind=objective|kind=wedge|" DENSITY "|" CAMERA, "objective-type-unknown",
    NULL },
  { "limit", FINDER, LENS "|kind=wedge\naperture_limit_mm=50|" DENSITY "|" CAMERA,
    "aperture-above-limit", NULL },
  { "rear-group", FINDER, FILM "|" LENS "\nrear_group=yes|" CAMERA, "rear-group", NULL },
  { "camera-only", FINDER, "kind=front-filter|" LENS "|" CAMERA, "camera-only", NULL },
  { "finder", "", FILM "|" LENS "|" CAMERA, "finder-not-mentioned", NULL },
  { "hidden", FINDER, CAMERA "|" LENS "|kind=diagonal|kind=wedge", "objective-behind-camera", NULL },
};

static const FilFinding *
find (const GPtrArray *findings,
      const char      *code)
{
  for (guint i = 0; i < findings->len; i++)
    if (strcmp (((FilFinding *) g_ptr_array_index (findings, i))->code, code) == 0)
      return g_ptr_array_index (findings, i);

  return NULL;
}

static char *
list_kinds (const FilRig *rig)
{
  g_autoptr (GString) kinds = g_string_new (NULL);

  for (guint i = 0; i < fil_rig_get_n_elements (rig); i++)
    g_string_append_printf (kinds, "%s%s", i > 0 ? " " : "",
                            fil_element_kind_to_key (fil_rig_get_element (rig, i)->kind));

  return g_string_free (g_steal_pointer (&kinds), FALSE);
}

static guint
count (const GPtrArray *findings,
       const char      *code)
{
  guint n = 0;

  for (guint i = 0; i < findings->len; i++)
    n += strcmp (((FilFinding *) g_ptr_array_index (findings, i))->code, code) == 0;

  return n;
}

/* The promise of every proposal, whatever the rig. */
static void
assert_better (const GPtrArray *before,
               const FilRig    *changed,
               const char      *code)
{
  g_autoptr (GPtrArray) after = fil_findings_list (changed);

  g_assert_cmpuint (count (after, code), <, count (before, code));
  for (guint i = 0; i < after->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (after, i);

      if (finding->level == FIL_FINDING_REFUSE)
        g_assert_cmpuint (count (after, finding->code), <=, count (before, finding->code));
    }
}

static void
test_case (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (FilRig) rig = make_rig (c->head, c->elements);
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  const FilFinding *finding = find (findings, c->code);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilRig) changed = NULL;
  g_autofree char *kinds = NULL;

  g_assert_nonnull (finding);
  changed = fil_finding_propose (finding, rig, &error);
  g_assert_no_error (error);
  if (c->expected == NULL)
    {
      g_assert_null (changed);
      return;
    }

  kinds = list_kinds (changed);
  g_assert_cmpstr (kinds, ==, c->expected);
  g_assert_nonnull (finding->proposal);
  assert_better (findings, changed, c->code);
}

/* Each finding says what to do; where a value would mend it, that is a key of
 * the element that there is. */
static void
test_mend (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (FilRig) rig = make_rig (cases[i].head, cases[i].elements);
      g_autoptr (GPtrArray) findings = fil_findings_list (rig);

      for (guint k = 0; k < findings->len; k++)
        {
          const FilFinding *finding = g_ptr_array_index (findings, k);

          g_assert_cmpuint (strlen (finding->mend), >, 20);
          g_assert_cmpuint (strlen (finding->mend), <, 100);
          g_assert_true (g_str_has_suffix (finding->mend, "."));
          g_assert_null (strstr (finding->mend, " safe"));
          g_assert_true ((finding->group == NULL) == (finding->key == NULL));
        }
    }
}

static void
assert_key (const char *head,
            const char *elements,
            const char *code,
            const char *group,
            const char *key)
{
  g_autoptr (FilRig) rig = make_rig (head, elements);
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  const FilFinding *finding = find (findings, code);

  g_assert_nonnull (finding);
  g_assert_cmpstr (finding->group, ==, group);
  g_assert_cmpstr (finding->key, ==, key);
}

static void
test_keys (void)
{
  assert_key ("", FILM "|" LENS "|" CAMERA, "finder-not-mentioned", "rig", "finder");
  assert_key (FINDER, "kind=blocker|kind=objective|kind=wedge|" DENSITY "|" CAMERA,
              "objective-type-unknown", "element 2", "type");
  assert_key (FINDER, LENS "|kind=wedge\naperture_limit_mm=50|" DENSITY "|" CAMERA,
              "aperture-above-limit", "element 1", "aperture_mm");
  assert_key (FINDER, "kind=front-filter|" LENS "|" CAMERA, "camera-only", "element 1", "density");
  assert_key (FINDER, LENS "|kind=wedge|kind=density\ndensity=1|kind=density|" CAMERA,
              "camera-only", "element 4", "density");
  assert_key (FINDER, LENS "|kind=wedge|kind=density\ndensity=1|" CAMERA, "camera-only", NULL,
              NULL);
}

/* A proposal is one of this rig's findings or nothing. */
static void
test_stale (void)
{
  g_autoptr (FilRig) bare = make_rig (FINDER, LENS "|" CAMERA);
  g_autoptr (FilRig) whole = make_rig (FINDER, FILM "|" LENS "|" CAMERA);
  g_autoptr (GPtrArray) findings = fil_findings_list (bare);
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_finding_propose (find (findings, "no-filter"), whole, &error));
  g_assert_no_error (error);
}

static FilRig *
make_random (GRand *random)
{
  FilRig *rig = fil_rig_new_empty ("random");

  for (int n = g_rand_int_range (random, 0, 9); n > 0; n--)
    {
      FilElementKind kind = (FilElementKind) g_rand_int_range (random, 0, FIL_ELEMENT_N_KINDS);
      FilRig *more = fil_rig_with_element (rig, kind, 0, NULL);

      fil_rig_unref (rig);
      rig = more;
      if (kind == FIL_ELEMENT_OBJECTIVE && g_rand_boolean (random))
        {
          more = fil_rig_with_value (rig, "element 1", "type",
                                     g_rand_boolean (random) ? "lens" : "mirror", NULL);
          fil_rig_unref (rig);
          rig = more;
        }
    }

  return rig;
}

/* Any light path, whole or not: proposals keep their promise, and the gate
 * stays closed to a rig that is refused or incomplete. */
static void
test_random_paths (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (47);
  guint n_proposals = 0, n_open = 0;

  for (guint i = 0; i < 5000; i++)
    {
      g_autoptr (FilRig) rig = make_random (random);
      g_autoptr (GPtrArray) findings = fil_findings_list (rig);
      g_autoptr (GError) error = NULL;
      g_autoptr (FilGate) gate = fil_gate_new (rig, "camera", &error);

      g_assert_cmpint (gate != NULL, ==,
                       fil_rig_is_complete (rig, NULL) && !fil_findings_refuse (findings));
      g_assert_true ((gate == NULL) == (error != NULL));
      n_open += gate != NULL;
      for (guint k = 0; k < findings->len; k++)
        {
          const FilFinding *finding = g_ptr_array_index (findings, k);
          g_autoptr (FilRig) changed = fil_finding_propose (finding, rig, NULL);

          if (changed == NULL)
            continue;
          g_assert_nonnull (finding->proposal);
          assert_better (findings, changed, finding->code);
          n_proposals++;
        }
    }
  g_test_message ("%u proposals, %u gates", n_proposals, n_open);
  g_assert_cmpuint (n_proposals, >, 2000);
  g_assert_cmpuint (n_open, >, 20);
}

/* Button after button, a rig of any mistakes comes to rest. */
static void
test_to_the_end (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (8);

  for (guint i = 0; i < 1000; i++)
    {
      FilRig *rig = make_random (random);
      guint n_steps = 0;

      while (rig != NULL)
        {
          g_autoptr (FilRig) present = rig;
          g_autoptr (GPtrArray) findings = fil_findings_list (present);

          rig = NULL;
          for (guint k = 0; rig == NULL && k < findings->len; k++)
            rig = fil_finding_propose (g_ptr_array_index (findings, k), present, NULL);
          g_assert_cmpuint (n_steps++, <, 40);
        }
    }
}

/* A rig that is only begun is not accused of lacking a filter yet. */
static void
test_empty (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_empty ("a");
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (findings->len, ==, 1);
  g_assert_nonnull (find (findings, "finder-not-mentioned"));
  g_assert_null (fil_gate_new (rig, "camera", &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED);
  g_assert_nonnull (strstr (error->message, "incomplete"));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/proposals/%s", cases[i].path);

      g_test_add_data_func (path, &cases[i], test_case);
    }
  g_test_add_func ("/proposals/mend", test_mend);
  g_test_add_func ("/proposals/keys", test_keys);
  g_test_add_func ("/proposals/stale", test_stale);
  g_test_add_func ("/proposals/random-paths", test_random_paths);
  g_test_add_func ("/proposals/to-the-end", test_to_the_end);
  g_test_add_func ("/proposals/empty", test_empty);

  return g_test_run ();
}
