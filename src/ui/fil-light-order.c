/* fil-light-order.c: where along the light path an element usually stands
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-light-order.h"

/* Common practice, no source. */
static const int places[FIL_ELEMENT_N_KINDS] = {
  [FIL_ELEMENT_FRONT_FILTER] = 0, [FIL_ELEMENT_OBJECTIVE] = 1, [FIL_ELEMENT_WEDGE] = 2,
  [FIL_ELEMENT_DENSITY] = 3,      [FIL_ELEMENT_DIAGONAL] = 4,  [FIL_ELEMENT_POLARISER] = 5,
  [FIL_ELEMENT_AMPLIFIER] = 6,    [FIL_ELEMENT_REDUCER] = 6,   [FIL_ELEMENT_BANDPASS] = 7,
  [FIL_ELEMENT_BLOCKER] = 7,      [FIL_ELEMENT_CAMERA] = 8,
};

/* Returns: the index at which a new element of @kind goes into @rig: before
 *   the first that usually stands behind it */
guint
fil_light_order_place (const FilRig  *rig,
                       FilElementKind kind)
{
  guint i = 0;

  g_return_val_if_fail (rig != NULL && (guint) kind < FIL_ELEMENT_N_KINDS, 0);

  while (i < fil_rig_get_n_elements (rig) &&
         places[fil_rig_get_element (rig, i)->kind] <= places[kind])
    i++;

  return i;
}
