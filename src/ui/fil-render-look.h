/* fil-render-look.h: how counts become shades on the screen
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef enum
{
  FIL_CURVE_LINEAR,
  FIL_CURVE_ROOT,    /* square root: lifts the shadows */
  FIL_CURVE_ASINH,   /* linear near black, logarithmic further up */
} FilCurve;

#define FIL_N_CURVES 3

/**
 * FilLook:
 * @black: counts shown black
 * @white: counts shown white; not above @black: everything above @black is white
 * @full: counts from which on a pixel is full; 0: none is
 * @paint_full: full pixels are painted, at every zoom
 * @paint_empty: so are pixels of count 0
 * @mosaic: Bayer pixels as they lie on the sensor, grey
 *
 * Shown only: nothing of it reaches a recording.
 */
typedef struct
{
  double   black, white;
  FilCurve curve;
  double   full;
  gboolean paint_full;
  gboolean paint_empty;
  gboolean mosaic;
} FilLook;

#define FIL_SHADES 16384

/* Painted pixels, opaque 0xAARRGGBB: far from every grey, from white and from
 * the amber of the marks; apart for colour-blind eyes too, by their lightness. */
#define FIL_PAINT_FULL  0xffff2e9fu
#define FIL_PAINT_EMPTY 0xff2f8bffu

/**
 * FilShades:
 * @black: counts at entry 0
 * @scale: entries a count
 * @table: the shade of each entry, 0 to 255; three bytes longer than it
 *   needs to be, since vector code reads four at a time
 */
typedef struct
{
  float  black;
  float  scale;
  guint8 table[FIL_SHADES + 3];
} FilShades;

const char *fil_curve_to_string  (FilCurve       curve);
gboolean    fil_curve_from_string (const char    *text,
                                   FilCurve      *curve);
void        fil_look_init        (FilLook        *look,
                                  double          full);
gboolean    fil_look_is_equal    (const FilLook  *a,
                                  const FilLook  *b);
gboolean    fil_look_stretch     (FilLook        *look,
                                  const guint32  *histogram,
                                  guint           n_bins,
                                  double          bin_counts);
void        fil_shades_fill      (FilShades      *shades,
                                  const FilLook  *look);

G_END_DECLS
