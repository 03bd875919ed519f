/* test-light-drawing.c: the light path's picture, as numbers
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is checked is what a ray diagram has to show, by geometry alone: no
 * library draws these. That an amplifier divides the cone's slope by its
 * factor, and a reducer likewise, is the definition of the factor (the focal
 * ratio behind it is the factor times that before it). */

#include <math.h>

#include <glib.h>

#include "fil-light-drawing.h"
#include "fil-light-order.h"

#define WIDTH  1240.0
#define HEIGHT 186.0

static FilRig *
make_rig (const char *const *elements)
{
  g_autoptr (GString) text = g_string_new ("[rig]\nname=Trial\n");
  g_autoptr (GError) error = NULL;
  FilRig *rig;

  for (guint i = 0; elements[i] != NULL; i++)
    g_string_append_printf (text, "[element %u]\n%s\n", i + 1, elements[i]);
  rig = fil_rig_parse_draft (text->str, (gssize) text->len, "trial.rig", &error);
  g_assert_no_error (error);

  return rig;
}

#define LENS   "kind=objective\ntype=lens\naperture_mm=102\nfocal_length_mm=1020"
#define CAMERA "kind=camera\npixel_um=2.9\ncolumns=1936\nrows=1096"

static const FilDrawnElement *
element_at (const FilLightDrawing *drawing,
            guint                  position)
{
  g_assert_cmpuint (position, <, drawing->elements->len);

  return &g_array_index (drawing->elements, FilDrawnElement, position);
}

/* How much the radius falls for each pixel to the right of @position. */
static double
slope_behind (const FilLightDrawing *drawing,
              guint                  position)
{
  const FilDrawnElement *from = element_at (drawing, position), *to = from + 1;

  return (from->radius - to->radius) / (to->x - from->x);
}

static void
test_order (void)
{
  static const char *const path[] = { LENS, "kind=wedge", "kind=density\ndensity=2",
                                      "kind=amplifier\nfactor=2", CAMERA, NULL };
  g_autoptr (FilRig) rig = make_rig (path);
  g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);

  g_assert_cmpuint (drawing->elements->len, ==, 6);
  for (guint i = 0; i < drawing->elements->len; i++)
    {
      const FilDrawnElement *element = element_at (drawing, i);

      g_assert_cmpint (element->index, ==, (int) i - 1);
      g_assert_true (element->lit);
      g_assert_cmpint (fil_light_drawing_find (drawing, element->x), ==, element->index);
      if (i > 0)
        g_assert_cmpfloat (element->x, >, element_at (drawing, i - 1)->x);
    }
  g_assert_cmpint (fil_light_drawing_find (drawing, -5.0), ==, -2);
  g_assert_cmpint (fil_light_drawing_find (drawing, WIDTH + 5.0), ==, -2);
}

/* Labels have their slots; the slots of ten elements and the sky's are wide
 * enough for the longest kind (16 letters at 13.5 px take about 105 px, as
 * seen on the screen), and none reaches into another or over the edge. */
static void
test_labels (void)
{
  for (guint n = 0; n <= 10; n++)
    {
      const char *path[11] = { NULL };
      g_autoptr (FilRig) rig = NULL;
      g_autoptr (FilLightDrawing) drawing = NULL;

      for (guint i = 0; i < n; i++)
        path[i] = i == 0 ? LENS : i + 1 == n ? CAMERA : "kind=blocker\nblocks=infrared";
      rig = make_rig (path);
      drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);
      g_assert_cmpuint (drawing->elements->len, ==, n + 1);

      for (guint i = 0; i <= n; i++)
        {
          const FilDrawnElement *element = element_at (drawing, i);

          g_assert_cmpfloat (element->slot_width, >=, 105.0);
          g_assert_cmpfloat (element->slot_x, >=, 0.0);
          g_assert_cmpfloat (element->slot_x + element->slot_width, <=, WIDTH);
          g_assert_cmpfloat (element->x, >, element->slot_x);
          if (i < n)
            g_assert_cmpfloat (element->slot_x + element->slot_width, <=,
                               element_at (drawing, i + 1)->slot_x + 1e-6);
        }
    }
}

/* Straight before the objective, then ever slimmer, to a point on the sensor;
 * never outside of the picture. */
static void
test_cone (void)
{
  static const char *const path[] = { "kind=front-filter\ndensity=5", LENS, "kind=diagonal",
                                      "kind=amplifier\nfactor=4", "kind=bandpass\ncentre_nm=540",
                                      "kind=reducer\nfactor=0.5", CAMERA, NULL };
  g_autoptr (FilRig) rig = make_rig (path);
  g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);
  double last = HEIGHT / 2.0;

  for (double x = 0.0; x <= element_at (drawing, 7)->x; x += 0.5)
    {
      double radius = fil_light_drawing_radius_at (drawing, x);

      g_assert_cmpfloat (radius, <=, last);
      g_assert_cmpfloat (radius, >=, 0.0);
      last = radius;
    }
  g_assert_cmpfloat_with_epsilon (element_at (drawing, 0)->radius,
                                  element_at (drawing, 2)->radius, 1e-9);
  g_assert_cmpfloat (element_at (drawing, 3)->radius, <, element_at (drawing, 2)->radius);
  g_assert_cmpfloat_with_epsilon (element_at (drawing, 7)->radius, 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (fil_light_drawing_radius_at (drawing, WIDTH), 0.0, 1e-9);

  /* ×4, then ×0.5 on top of it */
  g_assert_cmpfloat_with_epsilon (slope_behind (drawing, 3) / slope_behind (drawing, 4), 4.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (slope_behind (drawing, 5) / slope_behind (drawing, 6), 0.5, 1e-6);
}

/* Filters weaken the light that is drawn, a bandpass gives it its colour. */
static void
test_light (void)
{
  static const char *const path[] = { LENS, "kind=wedge", "kind=density\ndensity=3",
                                      "kind=bandpass\ncentre_nm=540\nwidth_nm=10", CAMERA, NULL };
  g_autoptr (FilRig) rig = make_rig (path);
  g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);
  const FilDrawnBeam *beams = (const FilDrawnBeam *) (void *) drawing->beams->data;

  g_assert_cmpuint (drawing->beams->len, ==, 6);
  g_assert_cmpfloat_with_epsilon (beams[0].x0, 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (beams[2].strength, 1.0, 1e-9);
  g_assert_cmpfloat (beams[3].strength, <, beams[2].strength);
  g_assert_cmpfloat (beams[4].strength, <, beams[3].strength);
  g_assert_true (isnan (beams[4].wavelength_nm));
  g_assert_cmpfloat_with_epsilon (beams[5].wavelength_nm, 540.0, 1e-9);
  for (guint i = 1; i < drawing->beams->len; i++)
    {
      g_assert_cmpfloat_with_epsilon (beams[i].x0, beams[i - 1].x1, 1e-9);
      g_assert_cmpfloat_with_epsilon (beams[i].r0, beams[i - 1].r1, 1e-9);
    }
}

/* What stands behind the camera gets no light. */
static void
test_behind_camera (void)
{
  static const char *const path[] = { LENS, CAMERA, "kind=diagonal", NULL };
  g_autoptr (FilRig) rig = make_rig (path);
  g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);

  g_assert_true (element_at (drawing, 2)->lit);
  g_assert_false (element_at (drawing, 3)->lit);
  g_assert_cmpfloat_with_epsilon (element_at (drawing, 3)->radius, 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (
    fil_light_drawing_radius_at (drawing, element_at (drawing, 3)->x), 0.0, 1e-9);
}

/* Without an objective nothing bends the light; nothing at all is a picture too. */
static void
test_incomplete (void)
{
  static const char *const nothing[] = { NULL };
  static const char *const camera_alone[] = { "kind=density\ndensity=3", CAMERA, NULL };
  static const char *const backwards[] = { CAMERA, LENS, NULL };
  const char *const *const paths[] = { nothing, camera_alone, backwards };

  for (gsize i = 0; i < G_N_ELEMENTS (paths); i++)
    {
      g_autoptr (FilRig) rig = make_rig (paths[i]);
      g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, WIDTH, HEIGHT);
      double whole = element_at (drawing, 0)->radius;

      g_assert_cmpfloat (whole, >, 0.0);
      for (guint j = 0; j < drawing->elements->len; j++)
        if (element_at (drawing, j)->lit)
          g_assert_cmpfloat_with_epsilon (element_at (drawing, j)->radius, whole, 1e-9);
    }
}

/* Whatever a file says, the picture has finite numbers inside of its frame. */
static void
test_hostile_factors (void)
{
  static const char *const path[] = { LENS, "kind=amplifier\nfactor=1e300",
                                      "kind=amplifier\nfactor=1e300", "kind=reducer\nfactor=1e-300",
                                      "kind=reducer\nfactor=1e-300", "kind=reducer\nfactor=1e-300",
                                      CAMERA, NULL };
  g_autoptr (FilRig) rig = make_rig (path);
  g_autoptr (FilLightDrawing) drawing = fil_light_drawing_new (rig, 20.0, 1.0);

  for (guint i = 0; i < drawing->elements->len; i++)
    {
      const FilDrawnElement *element = element_at (drawing, i);

      g_assert_true (isfinite (element->x) && isfinite (element->radius));
      g_assert_cmpfloat (element->radius, >=, 0.0);
      g_assert_cmpfloat (element->radius, <=, 0.5);
    }
}

/* A light path that is added in any order comes out as it usually stands
 * (common practice, no source). */
static void
test_place_of_new (void)
{
  static const FilElementKind added[] = {
    FIL_ELEMENT_CAMERA,    FIL_ELEMENT_BANDPASS,     FIL_ELEMENT_DENSITY, FIL_ELEMENT_OBJECTIVE,
    FIL_ELEMENT_AMPLIFIER, FIL_ELEMENT_FRONT_FILTER, FIL_ELEMENT_WEDGE,
  };
  static const FilElementKind expected[] = {
    FIL_ELEMENT_FRONT_FILTER, FIL_ELEMENT_OBJECTIVE, FIL_ELEMENT_WEDGE,  FIL_ELEMENT_DENSITY,
    FIL_ELEMENT_AMPLIFIER,    FIL_ELEMENT_BANDPASS,  FIL_ELEMENT_CAMERA,
  };
  FilRig *rig = fil_rig_new_empty ("Trial");

  for (gsize i = 0; i < G_N_ELEMENTS (added); i++)
    {
      g_autoptr (GError) error = NULL;
      FilRig *larger = fil_rig_with_element (rig, added[i], fil_light_order_place (rig, added[i]),
                                             &error);

      g_assert_no_error (error);
      fil_rig_unref (rig);
      rig = larger;
    }
  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    g_assert_cmpint (fil_rig_get_element (rig, i)->kind, ==, expected[i]);
  fil_rig_unref (rig);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/light-drawing/order", test_order);
  g_test_add_func ("/light-drawing/labels", test_labels);
  g_test_add_func ("/light-drawing/cone", test_cone);
  g_test_add_func ("/light-drawing/light", test_light);
  g_test_add_func ("/light-drawing/behind-camera", test_behind_camera);
  g_test_add_func ("/light-drawing/incomplete", test_incomplete);
  g_test_add_func ("/light-drawing/hostile-factors", test_hostile_factors);
  g_test_add_func ("/light-drawing/place-of-new", test_place_of_new);

  return g_test_run ();
}
