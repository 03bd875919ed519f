/* fil-light-drawing.c: where the light path's elements and its cone are drawn
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A scheme, not to scale: every element has an equal share of the width, so
 * that a tube of a metre and filters a finger's breadth apart are both seen.
 * The cone is true to the instrument in its order alone: an amplifier makes
 * it slimmer, a reducer steeper, and it ends in a point on the sensor. */

#include <math.h>

#include "fil-light-drawing.h"

#define EDGE_PX        10.0
#define RADIUS_SHARE   0.33   /* of the height: the whole beam */
#define RIM_PX         7.0    /* glass that stands out over the beam */
#define SMALLEST_PX    17.0   /* half height of what stands near the focus */
#define SLIMMEST       5.0    /* stronger amplifiers are drawn like this one */
#define WEAKENED       0.45   /* how much lighter the beam is drawn behind a filter */

static FilElementKind
kind_at (const FilRig *rig,
         guint         index)
{
  return fil_rig_get_element (rig, index)->kind;
}

/* The first element of that kind at or behind @from; the rig's number of
 * elements where there is none. */
static guint
find_kind (const FilRig  *rig,
           FilElementKind kind,
           guint          from)
{
  guint i = from;

  while (i < fil_rig_get_n_elements (rig) && kind_at (rig, i) != kind)
    i++;

  return i;
}

/* How steep the cone is behind each element, the objective's own cone being
 * 1; 0 where the light still goes straight. */
static double
steepness_behind (const FilRig *rig,
                  guint         objective,
                  guint         index)
{
  double magnification = 1.0;

  if (index < objective)
    return 0.0;
  for (guint i = objective + 1; i <= index; i++)
    {
      const FilElement *element = fil_rig_get_element (rig, i);

      if ((element->kind == FIL_ELEMENT_AMPLIFIER || element->kind == FIL_ELEMENT_REDUCER) &&
          isfinite (element->factor))
        magnification = CLAMP (magnification * element->factor, 1e-6, 1e6);
    }

  return 1.0 / CLAMP (magnification, 1.0 / SLIMMEST, SLIMMEST);
}

static void
add_element (FilLightDrawing *drawing,
             int              index,
             double           slot_width)
{
  FilDrawnElement element = { .index = index, .slot_width = slot_width };

  element.slot_x = EDGE_PX + (index + 1) * slot_width;
  element.x = element.slot_x + slot_width / 2.0;
  g_array_append_val (drawing->elements, element);
}

static FilDrawnElement *
element_at (const FilLightDrawing *drawing,
            guint                  position)
{
  return &g_array_index (drawing->elements, FilDrawnElement, position);
}

/* The radius in each plane: whole up to the objective, 0 where the light ends. */
static void
place_cone (FilLightDrawing *drawing,
            const FilRig    *rig,
            guint            objective,
            guint            end,
            double           whole)
{
  double fall = 0.0, radius = whole;

  for (guint i = objective; i < end; i++)
    fall += steepness_behind (rig, objective, i);

  for (guint i = 0; i < drawing->elements->len; i++)
    {
      FilDrawnElement *element = element_at (drawing, i);
      int before = element->index - 1;

      if (before >= 0 && fall > 0.0)
        radius -= whole * steepness_behind (rig, objective, (guint) before) / fall;
      element->lit = element->index <= (int) end;
      element->radius = element->lit ? CLAMP (radius, 0.0, whole) : 0.0;
      element->half_height = MAX (element->radius + RIM_PX, SMALLEST_PX);
    }
}

static void
pass_filter (FilDrawnBeam     *beam,
             const FilElement *element)
{
  if (element->kind == FIL_ELEMENT_FRONT_FILTER || element->kind == FIL_ELEMENT_WEDGE ||
      element->kind == FIL_ELEMENT_DENSITY)
    beam->strength *= WEAKENED;
  if (element->kind == FIL_ELEMENT_BANDPASS && isfinite (element->centre_nm))
    beam->wavelength_nm = element->centre_nm;
}

static double
slant_of (const FilRig          *rig,
          const FilDrawnElement *element)
{
  FilElementKind kind;

  if (element->index < 0)
    return 0.0;

  kind = kind_at (rig, (guint) element->index);

  return kind == FIL_ELEMENT_WEDGE || kind == FIL_ELEMENT_DIAGONAL ? FIL_DRAWN_SLANT : 0.0;
}

static void
add_beams (FilLightDrawing *drawing,
           const FilRig    *rig,
           double           whole)
{
  FilDrawnBeam beam = { .r0 = whole, .r1 = whole, .strength = 1.0, .wavelength_nm = NAN };

  for (guint i = 0; i < drawing->elements->len && element_at (drawing, i)->lit; i++)
    {
      const FilDrawnElement *element = element_at (drawing, i);

      beam.x1 = element->x;
      beam.r1 = element->radius;
      beam.slant1 = slant_of (rig, element);
      g_array_append_val (drawing->beams, beam);
      if (element->index >= 0)
        pass_filter (&beam, fil_rig_get_element (rig, (guint) element->index));
      beam.x0 = beam.x1;
      beam.r0 = beam.r1;
      beam.slant0 = beam.slant1;
    }
}

/**
 * fil_light_drawing_new:
 * @rig: complete or not: without an objective the light goes straight on,
 *   without a camera it ends in the last element
 * @width: pixels, above 0
 * @height: pixels for the elements, without their labels, above 0
 *
 * Returns: (transfer full): free with fil_light_drawing_free()
 */
FilLightDrawing *
fil_light_drawing_new (const FilRig *rig,
                       double        width,
                       double        height)
{
  FilLightDrawing *drawing;
  guint n, objective, camera;
  double slot_width;

  g_return_val_if_fail (rig != NULL && width > 0.0 && height > 0.0, NULL);

  drawing = g_new0 (FilLightDrawing, 1);
  drawing->width = width;
  drawing->height = height;
  drawing->axis_y = height / 2.0;
  drawing->elements = g_array_new (FALSE, FALSE, sizeof (FilDrawnElement));
  drawing->beams = g_array_new (FALSE, FALSE, sizeof (FilDrawnBeam));

  n = fil_rig_get_n_elements (rig);
  slot_width = MAX (width - 2.0 * EDGE_PX, 1.0) / (n + 1);
  for (int i = -1; i < (int) n; i++)
    add_element (drawing, i, slot_width);

  camera = find_kind (rig, FIL_ELEMENT_CAMERA, 0);
  objective = MIN (find_kind (rig, FIL_ELEMENT_OBJECTIVE, 0), n);
  place_cone (drawing, rig, objective, camera < n ? camera : MAX (n, 1) - 1,
              RADIUS_SHARE * height);
  add_beams (drawing, rig, RADIUS_SHARE * height);

  return drawing;
}

void
fil_light_drawing_free (FilLightDrawing *drawing)
{
  if (drawing == NULL)
    return;

  g_array_unref (drawing->elements);
  g_array_unref (drawing->beams);
  g_free (drawing);
}

/* Returns: the index of the element whose place @x is in; −1: the sky's;
 *   −2: none's */
int
fil_light_drawing_find (const FilLightDrawing *drawing,
                        double                 x)
{
  g_return_val_if_fail (drawing != NULL, -2);

  for (guint i = 0; i < drawing->elements->len; i++)
    {
      const FilDrawnElement *element = element_at (drawing, i);

      if (x >= element->slot_x && x < element->slot_x + element->slot_width)
        return element->index;
    }

  return -2;
}

/* Returns: the cone's radius at @x, pixels; 0 where there is no light */
double
fil_light_drawing_radius_at (const FilLightDrawing *drawing,
                             double                 x)
{
  g_return_val_if_fail (drawing != NULL, 0.0);

  for (guint i = 0; i < drawing->beams->len; i++)
    {
      const FilDrawnBeam *beam = &g_array_index (drawing->beams, FilDrawnBeam, i);

      if (x >= beam->x0 && x <= beam->x1)
        return beam->r0 + (beam->r1 - beam->r0) * (x - beam->x0) / MAX (beam->x1 - beam->x0, 1e-9);
    }

  return 0.0;
}
