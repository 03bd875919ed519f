/* fil-limb-edges.c: places where light falls as it does at the limb
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-limb-private.h"

/* Of the light above black this share is gone within six samples. The limb
 * loses 0.7 and more; behind thin cloud, whose glare lies over the sky as well,
 * still more than half. Granules lose a tenth, penumbrae a quarter, and the
 * disc's own darkening takes less in any six samples but the last. */
#define MIN_LOSS        0.45

/* The sky's light at most, of the frame's brightest part above black: an
 * umbra has 0.05 to 0.3, but hazy skies come near to it too. */
#define MAX_OUTSIDE     0.40

/* A fall below this share of the frame's range in one sample is no edge; the
 * limb blurred over 6 samples and dimmed to a third by cloud has 0.008. */
#define MIN_SLOPE_SHARE 0.008

/* And none that noise makes: slopes have 0.3 of the noise of a sample. */
#define MIN_SLOPE_NOISE 2.0

#define SIDE            3        /* samples from the edge to where light is compared */
#define BORDER          4        /* samples */

static double
at (const FilLimbPicture *picture,
    double                i,
    double                j)
{
  double middle = 0.5 * (picture->step - 1);

  return fil_limb_picture_at (picture, i * picture->step + middle, j * picture->step + middle);
}

/* The steepest of three along the fall: where it lies, or not here. */
static gboolean
is_crest (const FilLimbPicture *picture,
          double                i,
          double                j,
          double                nx,
          double                ny,
          double               *offset)
{
  double v[5], before, here, after, bend;

  for (int k = 0; k < 5; k++)
    v[k] = at (picture, i + (k - 2) * nx, j + (k - 2) * ny);
  before = v[0] - v[2];
  here = v[1] - v[3];
  after = v[2] - v[4];
  bend = before + after - 2.0 * here;
  if (here < before || here <= after || bend >= 0.0)
    return FALSE;
  *offset = CLAMP (0.5 * (before - after) / bend, -0.5, 0.5);

  return TRUE;
}

static gboolean
falls_like_limb (const FilLimbPicture *picture,
                 const FilLimbLight   *light,
                 double                i,
                 double                j,
                 double                nx,
                 double                ny)
{
  double inside = at (picture, i - SIDE * nx, j - SIDE * ny) - light->black;
  double outside = at (picture, i + SIDE * nx, j + SIDE * ny) - light->black;

  return inside - outside >= MIN_LOSS * inside && outside <= MAX_OUTSIDE * light->bright &&
         inside - outside >= 4.0 * light->noise;
}

static gboolean
look_at (const FilLimbPicture *picture,
         const FilLimbLight   *light,
         int                   i,
         int                   j,
         float                 gx,
         float                 gy,
         FilLimbEdge          *edge)
{
  double length = hypot ((double) gx, (double) gy), offset;
  double nx = -(double) gx / length, ny = -(double) gy / length;
  double middle = 0.5 * (picture->step - 1);

  if (!is_crest (picture, i, j, nx, ny, &offset) ||
      !falls_like_limb (picture, light, i, j, nx, ny))
    return FALSE;

  *edge = (FilLimbEdge) {
    (float) ((i + offset * nx) * picture->step + middle),
    (float) ((j + offset * ny) * picture->step + middle), (float) nx, (float) ny,
  };

  return TRUE;
}

/* One row's candidates; where there are too many every other is dropped, and
 * from then on only every second is taken, and so on. */
typedef struct
{
  FilLimbEdge *edges;
  int          n, stride, skipped;
} Bag;

static void
put (Bag               *bag,
     const FilLimbEdge *edge)
{
  if (++bag->skipped < bag->stride)
    return;
  bag->skipped = 0;
  if (bag->n == FIL_LIMB_MAX_EDGES)
    {
      for (int i = 0; i < FIL_LIMB_MAX_EDGES / 2; i++)
        bag->edges[i] = bag->edges[2 * i];
      bag->n = FIL_LIMB_MAX_EDGES / 2;
      bag->stride *= 2;
    }
  bag->edges[bag->n++] = *edge;
}

/**
 * fil_limb_find_edges:
 * @picture: a reduced one, smoothed
 * @edges: (out): room for FIL_LIMB_MAX_EDGES
 *
 * Returns: how many there are
 */
int
fil_limb_find_edges (const FilLimbPicture *picture,
                     const FilLimbLight   *light,
                     FilLimbEdge          *edges)
{
  const int pitch = picture->width;
  double range = light->bright - light->dark;
  float least = (float) MAX (2.0 * MIN_SLOPE_SHARE * range, 2.0 * MIN_SLOPE_NOISE * 0.3 * light->noise);
  float least2 = least * least;
  Bag bag = { edges, 0, 1, 0 };

  for (int j = BORDER; j < picture->height - BORDER; j++)
    {
      const float *row = picture->values + (gsize) j * (gsize) pitch;

      for (int i = BORDER; i < picture->width - BORDER; i++)
        {
          float gx = row[i + 1] - row[i - 1], gy = row[i + pitch] - row[i - pitch];
          FilLimbEdge edge;

          if (gx * gx + gy * gy >= least2 && look_at (picture, light, i, j, gx, gy, &edge))
            put (&bag, &edge);
        }
    }

  return bag.n;
}
