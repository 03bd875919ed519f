/* fil-sim-blur.h: the scene seen through a transfer function, in tiles
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <fftw3.h>

#include "fil-sim-scene.h"

G_BEGIN_DECLS

/**
 * FilSimTiles:
 *
 * The scene's tiles, each drawn and transformed when it is first needed, and
 * shared by all threads.
 */
typedef struct _FilSimTiles FilSimTiles;

/**
 * FilSimBlur:
 * @x0: scene sample of the buffer's first column
 * @y0: scene sample of its first row
 * @pitch: floats from row to row
 *
 * A part of the blurred scene. Belongs to one thread.
 */
typedef struct
{
  int    x0, y0, width, height;
  int    pitch;
  float *light;

  /*< private >*/
  FilSimTiles   *tiles;
  gsize          allocated;
  fftwf_complex *product;
  float         *tile;
  fftwf_plan     columns, rows;
} FilSimBlur;

/* Gives the transfer function for the tile whose middle is at a scene sample. */
typedef const fftwf_complex *(*FilSimTransferAt) (double   x,
                                                  double   y,
                                                  gpointer user_data);

FilSimTiles *fil_sim_tiles_new      (const FilSimScene *scene,
                                     int                size,
                                     gboolean           gradual,
                                     double             cutoff_cycles_per_sample,
                                     int                origin_x,
                                     int                origin_y);
void         fil_sim_tiles_free     (FilSimTiles       *tiles);
void         fil_sim_tiles_prepare  (FilSimTiles       *tiles,
                                     int                x0,
                                     int                y0,
                                     int                width,
                                     int                height);
int          fil_sim_tiles_get_size (const FilSimTiles *tiles);
int          fil_sim_tiles_get_reach (const FilSimTiles *tiles);

void         fil_sim_blur_init      (FilSimBlur        *blur,
                                     FilSimTiles       *tiles);
void         fil_sim_blur_clear     (FilSimBlur        *blur);
void         fil_sim_blur_fill      (FilSimBlur        *blur,
                                     int                x0,
                                     int                y0,
                                     int                width,
                                     int                height,
                                     FilSimTransferAt   transfer_at,
                                     gpointer           user_data);

G_END_DECLS
