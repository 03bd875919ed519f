/* rigs.h: light paths for the tests of findings and gate
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-rig.h"

/* @elements: the bodies of the elements, separated by "|":
 * "kind=wedge|kind=camera" */
static inline FilRig *
make_rig (const char *head,
          const char *elements)
{
  g_auto (GStrv) bodies = g_strsplit (elements, "|", -1);
  g_autoptr (GString) text = g_string_new (head);
  g_autoptr (GError) error = NULL;
  FilRig *rig;

  for (guint i = 0; bodies[i] != NULL; i++)
    g_string_append_printf (text, "\n[element %u]\n%s\n", i + 1, bodies[i]);

  rig = fil_rig_parse (text->str, -1, "test.rig", &error);
  g_assert_no_error (error);

  return rig;
}

#define FINDER "[rig]\nname=Test\nfinder=none\n"
#define LENS   "kind=objective\ntype=lens\naperture_mm=100\nfocal_length_mm=1000"
#define MIRROR "kind=objective\ntype=mirror\naperture_mm=200\nfocal_length_mm=1200"
#define FILM   "kind=front-filter\nmaterial=film\ndensity=5.0"
#define CAMERA "kind=camera\npixel_um=2.9"
