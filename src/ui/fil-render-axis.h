/* fil-render-axis.h: which picture pixels make up each shown one, along one axis
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>
#include <stdint.h>

G_BEGIN_DECLS

/**
 * FilRenderAxis:
 * @begin: first shown pixel that has any picture in it
 * @end: one past the last
 * @source_begin: first picture pixel that any of them needs
 * @source_end: one past the last; equal to @source_begin: nothing is shown
 * @n_taps: the most picture pixels that one shown pixel takes
 * @first: (array length=end−begin): its first picture pixel, less @source_begin
 * @count: how many, 1 to @n_taps
 * @weights: of tap k of shown pixel begin + i at [k × (end−begin) + i]; they
 *   add up to 1, unused ones are 0
 */
typedef struct
{
  int      begin, end;
  int      source_begin, source_end;
  int      n_taps;
  int32_t *first;
  int32_t *count;
  float   *weights;

  /*< private >*/
  gsize    room_first, room_weights;
} FilRenderAxis;

void fil_render_axis_set   (FilRenderAxis *axis,
                            double         start,
                            double         length,
                            int            n_shown,
                            int            n_source);
void fil_render_axis_clear (FilRenderAxis *axis);

G_END_DECLS
