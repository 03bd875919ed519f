/* test-findings.c: every refusal and warning, and none too many
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-findings.h"
#include "rigs.h"

typedef struct
{
  const char *path;
  const char *head;
  const char *elements;
  const char *expected;   /* "level code@element …", refusals first */
} Case;

static const Case cases[] = {
  { "front-filter", FINDER, FILM "|" LENS "|" CAMERA, "" },
  { "front-filter-on-mirror", FINDER, FILM "|" MIRROR "|kind=diagonal|" CAMERA, "" },
  { "wedge", FINDER, LENS "|kind=wedge|kind=density\ndensity=3|" CAMERA, "" },
  { "both", FINDER, FILM "|" LENS "|kind=wedge|kind=density\ndensity=1|" CAMERA, "" },
  { "amplifier-behind-wedge", FINDER,
    LENS "|kind=wedge|kind=density\ndensity=3|kind=amplifier\nfactor=2|kind=polariser|" CAMERA, "" },

  { "nothing", FINDER, LENS "|" CAMERA, "refuse no-filter@-1 warn camera-only@-1" },
  { "density-in-front", FINDER, "kind=density\ndensity=5|" LENS "|" CAMERA,
    "refuse no-filter@-1 warn camera-only@-1" },
  { "eyepiece-end", FINDER, LENS "|kind=density\ndensity=5|" CAMERA,
    "refuse filter-behind-objective@1 warn camera-only@-1" },
  { "bandpass-only", FINDER, LENS "|kind=bandpass\ncentre_nm=540|" CAMERA,
    "refuse filter-behind-objective@1 warn camera-only@-1" },
  { "blocker-only", FINDER, LENS "|kind=diagonal|kind=blocker\nblocks=infrared|" CAMERA,
    "refuse filter-behind-objective@2 warn camera-only@-1" },
  { "front-filter-behind", FINDER, LENS "|" FILM "|" CAMERA,
    "refuse filter-behind-objective@1 warn camera-only@-1" },
  { "polariser-only", FINDER, LENS "|kind=polariser|" CAMERA,
    "refuse polariser-only@-1 warn camera-only@-1" },
  { "polariser-in-front", FINDER, "kind=polariser|" LENS "|" CAMERA,
    "refuse polariser-only@-1 warn camera-only@-1" },
  { "wedge-with-polariser-only", FINDER, LENS "|kind=wedge|kind=polariser|" CAMERA,
    "refuse polariser-only@-1 warn wedge-without-density@1 warn camera-only@-1" },
  { "wedge-behind-mirror", FINDER, MIRROR "|kind=wedge|kind=density\ndensity=3|" CAMERA,
    "refuse wedge-behind-mirror@1" },
  { "wedge-behind-mirror-with-film", FINDER,
    FILM "|" MIRROR "|kind=wedge|kind=density\ndensity=3|" CAMERA, "refuse wedge-behind-mirror@2" },
  { "wedge-behind-unknown", FINDER,
    "kind=objective\naperture_mm=100|kind=wedge|kind=density\ndensity=3|" CAMERA,
    "refuse objective-type-unknown@0" },
  { "before-wedge", FINDER,
    LENS "|kind=diagonal|kind=amplifier\nfactor=2|kind=wedge|kind=density\ndensity=3|" CAMERA,
    "refuse element-before-wedge@1 refuse element-before-wedge@2" },
  { "blocker-before-wedge", FINDER,
    LENS "|kind=blocker\nblocks=infrared|kind=wedge|kind=density\ndensity=3|" CAMERA,
    "refuse element-before-wedge@1" },
  { "wedge-before-objective", FINDER, "kind=wedge|" LENS "|" CAMERA,
    "refuse no-filter@-1 warn camera-only@-1" },
  { "wedge-behind-camera", FINDER, LENS "|" CAMERA "|kind=wedge",
    "refuse no-filter@-1 warn camera-only@-1 note behind-camera@2" },
  { "camera-first", FINDER, CAMERA "|" FILM "|" LENS,
    "refuse no-filter@-1 refuse objective-behind-camera@-1 warn camera-only@-1 "
    "note behind-camera@1 note behind-camera@2" },

  { "rear-group", FINDER, FILM "|" LENS "\nrear_group=yes|" CAMERA, "warn rear-group@1" },
  { "rear-group-no", FINDER, FILM "|" LENS "\nrear_group=no|" CAMERA, "" },
  { "aperture-limit", FINDER,
    LENS "|kind=wedge\naperture_limit_mm=99.9|kind=density\ndensity=3|" CAMERA,
    "warn aperture-above-limit@0" },
  { "aperture-at-limit", FINDER,
    LENS "|kind=wedge\naperture_limit_mm=100|kind=density\ndensity=3|" CAMERA, "" },
  { "finder", "", FILM "|" LENS "|" CAMERA, "warn finder-not-mentioned@-1" },
  { "finder-empty", "[rig]\nfinder=\n", FILM "|" LENS "|" CAMERA,
    "warn finder-not-mentioned@-1" },
  { "film-for-cameras", FINDER, "kind=front-filter\ndensity=4.99|" LENS "|" CAMERA,
    "warn camera-only@-1" },
  { "film-unknown", FINDER, "kind=front-filter|" LENS "|" CAMERA, "warn camera-only@-1" },
  { "film-and-late-density", FINDER,
    "kind=front-filter\ndensity=3.8|" LENS "|kind=density\ndensity=3|" CAMERA,
    "warn camera-only@-1" },
  { "wedge-for-cameras", FINDER, LENS "|kind=wedge|kind=density\ndensity=2.99|" CAMERA,
    "warn camera-only@-1" },
  { "wedge-two-densities", FINDER,
    LENS "|kind=wedge|kind=density\ndensity=1.8|kind=density\ndensity=1.2|" CAMERA, "" },
  { "wedge-density-unknown", FINDER, LENS "|kind=wedge|kind=density|" CAMERA,
    "warn camera-only@-1" },
  { "wedge-bare", FINDER, LENS "|kind=wedge|" CAMERA,
    "warn wedge-without-density@1 warn camera-only@-1" },
  { "second-objective", FINDER, FILM "|" LENS "|" LENS "|" CAMERA, "warn second-objective@2" },
};

static void
test_case (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (FilRig) rig = make_rig (c->head, c->elements);
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);
  g_autoptr (GString) got = g_string_new (NULL);

  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      g_string_append_printf (got, "%s%s %s@%d", i == 0 ? "" : " ",
                              fil_finding_level_to_string (finding->level), finding->code,
                              finding->element);
      g_assert_cmpuint (strlen (finding->text), >, 40);
      g_assert_null (strstr (finding->text, " safe"));
    }
  g_assert_cmpstr (got->str, ==, c->expected);
  g_assert_cmpint (fil_findings_refuse (findings), ==, strstr (c->expected, "refuse") != NULL);
}

static void
test_demo (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);

  g_assert_false (fil_findings_refuse (findings));
  g_assert_cmpuint (findings->len, ==, 1);
  g_assert_cmpstr (((FilFinding *) g_ptr_array_index (findings, 0))->code, ==, "camera-only");
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/findings/%s", cases[i].path);

      g_test_add_data_func (path, &cases[i], test_case);
    }
  g_test_add_func ("/findings/demo", test_demo);

  return g_test_run ();
}
