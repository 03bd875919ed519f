/* fil-sim-transfer.c: optical transfer functions of a disturbed pupil
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Incoherent imaging: the point spread is |FFT of the pupil|², the transfer
 * function its transform (Goodman, Introduction to Fourier Optics, ch. 6;
 * from memory). Sampled at the scene's step, so that a pupil as wide as the
 * cut-off times the grid fits it exactly. */

#include <math.h>
#include <string.h>

#include "fil-fftw-lock.h"
#include "fil-sim-kernels.h"
#include "fil-sim-math.h"
#include "fil-sim-transfer.h"

#define LEAST_GRID     256
#define MOST_GRID      1024
#define LEAST_DIAMETER 32.0   /* samples over the aperture: coarser ones lose accuracy */
#define EDGE_DIVISIONS 16     /* how finely samples on the rim are weighed */

struct _FilSimTransfer
{
  int               grid;          /* of pupil and point spread */
  int               tile;          /* of the transfer function */
  double            cutoff;        /* cycles a sample */
  int               n_points;
  FilSimPupilPoint *points;
  int               first_row, n_rows;   /* of the pupil on its grid */
  fftwf_complex    *field;         /* grid², pupil then amplitude */
  float            *spread;        /* tile², summed */
  float            *pixel;         /* the pixel's own transfer along one axis, tile values */
  double            perfect_peak;  /* of one undisturbed pupil */
  double            area;          /* of the aperture, samples of the pupil */
  int               n_added;
  fftwf_plan        rows, columns, forward;
};

/* Share of the sample round (x, y), in radii, that light passes. */
static float
weigh_sample (double x,
              double y,
              double size,
              double obstruction)
{
  double nearest = hypot (x, y) - size, furthest = hypot (x, y) + size;
  int hits = 0;

  if (nearest > 1.0 || furthest < obstruction)
    return 0.0f;
  if (furthest < 1.0 && nearest > obstruction)
    return 1.0f;

  for (int i = 0; i < EDGE_DIVISIONS * EDGE_DIVISIONS; i++)
    {
      double dx = ((i % EDGE_DIVISIONS + 0.5) / EDGE_DIVISIONS - 0.5) * size;
      double dy = ((i / EDGE_DIVISIONS + 0.5) / EDGE_DIVISIONS - 0.5) * size;
      double r = hypot (x + dx, y + dy);

      hits += r <= 1.0 && r >= obstruction;
    }

  return (float) hits / (EDGE_DIVISIONS * EDGE_DIVISIONS);
}

static void
make_points (FilSimTransfer *transfer,
             double          obstruction)
{
  double radius = 0.5 * transfer->cutoff * transfer->grid;
  int reach = (int) ceil (radius + 0.5);
  GArray *points = g_array_new (FALSE, FALSE, sizeof (FilSimPupilPoint));

  transfer->first_row = transfer->grid / 2 - reach;
  transfer->n_rows = 2 * reach + 1;
  for (int iy = -reach; iy <= reach; iy++)
    for (int ix = -reach; ix <= reach; ix++)
      {
        double x = ix / radius, y = iy / radius;
        FilSimPupilPoint point = {
          .x = (float) x,
          .y = (float) y,
          .weight = weigh_sample (x, y, 1.0 / radius, obstruction),
          .index = (iy + transfer->grid / 2) * transfer->grid + ix + transfer->grid / 2,
        };

        if (point.weight > 0.0f)
          g_array_append_val (points, point);
        transfer->area += (double) point.weight;
      }

  transfer->n_points = (int) points->len;
  transfer->points = (FilSimPupilPoint *) (gpointer) g_array_free (points, FALSE);
}

static void
make_plans (FilSimTransfer *transfer)
{
  const int grid = transfer->grid, tile = transfer->tile;
  fftwf_complex *otf = fftwf_alloc_complex ((gsize) tile * (gsize) (tile / 2 + 1));
  fftwf_complex *first = transfer->field + (gsize) transfer->first_row * (gsize) grid;

  fil_fftw_lock ();
  /* Rows without pupil stay zero: no need to transform them. */
  transfer->rows = fftwf_plan_many_dft (1, &grid, transfer->n_rows, first, NULL, 1, grid,
                                        first, NULL, 1, grid, FFTW_FORWARD, FFTW_ESTIMATE);
  transfer->columns = fftwf_plan_many_dft (1, &grid, grid, transfer->field, NULL, grid, 1,
                                           transfer->field, NULL, grid, 1,
                                           FFTW_FORWARD, FFTW_ESTIMATE);
  transfer->forward = fftwf_plan_dft_r2c_2d (tile, tile, transfer->spread, otf,
                                             FFTW_ESTIMATE | FFTW_PRESERVE_INPUT);
  fil_fftw_unlock ();
  fftwf_free (otf);
}

/* A square pixel of @width samples averages over itself: sin(πfw)/(πfw). */
static float *
make_pixel_transfer (int    tile,
                     double width)
{
  float *pixel = g_new (float, tile);

  for (int i = 0; i < tile; i++)
    {
      double f = (i <= tile / 2 ? i : i - tile) / (double) tile;
      double x = M_PI * f * width;

      pixel[i] = i == 0 || width <= 0.0 ? 1.0f : (float) (sin (x) / x);
    }

  return pixel;
}

static double
find_peak (const FilSimTransfer *transfer)
{
  float peak = 0.0f;

  for (gsize i = 0; i < (gsize) transfer->tile * (gsize) transfer->tile; i++)
    peak = MAX (peak, transfer->spread[i]);

  return (double) peak;
}

/**
 * fil_sim_transfer_new:
 * @cutoff_cycles_per_sample: the optics' cut-off, > 0; beyond 0.5 it is cut there
 * @obstruction_ratio: of the diameter, 0 to below 1
 * @pixel_samples: width of the sensor's pixel, which averages; 0: a point
 * @tile: size of the transfer functions, samples
 *
 * Returns: (transfer full)
 */
FilSimTransfer *
fil_sim_transfer_new (double cutoff_cycles_per_sample,
                      double obstruction_ratio,
                      double pixel_samples,
                      int    tile)
{
  FilSimTransfer *transfer = g_new0 (FilSimTransfer, 1);
  float *flat;

  transfer->cutoff = MIN (cutoff_cycles_per_sample, 0.49);
  transfer->tile = tile;
  transfer->grid = LEAST_GRID;
  while (transfer->grid < MOST_GRID && transfer->cutoff * transfer->grid < LEAST_DIAMETER)
    transfer->grid *= 2;

  make_points (transfer, obstruction_ratio);
  transfer->field = fftwf_alloc_complex ((gsize) transfer->grid * (gsize) transfer->grid);
  transfer->spread = fftwf_alloc_real ((gsize) tile * (gsize) tile);
  transfer->pixel = make_pixel_transfer (tile, pixel_samples);
  make_plans (transfer);

  flat = g_new0 (float, transfer->n_points);
  fil_sim_transfer_clear (transfer);
  fil_sim_transfer_add (transfer, flat);
  transfer->perfect_peak = find_peak (transfer);
  g_free (flat);

  return transfer;
}

void
fil_sim_transfer_free (FilSimTransfer *transfer)
{
  if (transfer == NULL)
    return;

  fil_fftw_lock ();
  fftwf_destroy_plan (transfer->rows);
  fftwf_destroy_plan (transfer->columns);
  fftwf_destroy_plan (transfer->forward);
  fil_fftw_unlock ();
  fftwf_free (transfer->field);
  fftwf_free (transfer->spread);
  g_free (transfer->pixel);
  g_free (transfer->points);
  g_free (transfer);
}

const FilSimPupilPoint *
fil_sim_transfer_get_points (const FilSimTransfer *transfer,
                             int                  *n_points)
{
  *n_points = transfer->n_points;

  return transfer->points;
}

void
fil_sim_transfer_clear (FilSimTransfer *transfer)
{
  memset (transfer->spread, 0,
          sizeof (float) * (gsize) transfer->tile * (gsize) transfer->tile);
  transfer->n_added = 0;
}

/* Where a place of the point spread, centred on 0, lies on the tile. */
static int
wrap_onto_tile (int index,
                int grid,
                int tile)
{
  int place = index < grid / 2 ? index : index - grid;

  return ((place % tile) + tile) % tile;
}

/**
 * fil_sim_transfer_add:
 * @phase_rad: (array): wavefront at each pupil point, radians
 *
 * Adds the point spread of one moment.
 */
void
fil_sim_transfer_add (FilSimTransfer *transfer,
                      const float    *phase_rad)
{
  const int grid = transfer->grid, tile = transfer->tile;

  memset (transfer->field, 0, sizeof (fftwf_complex) * (gsize) grid * (gsize) grid);
  for (int i = 0; i < transfer->n_points; i++)
    {
      const FilSimPupilPoint *point = &transfer->points[i];
      float s, c;

      sincosf (phase_rad[i], &s, &c);
      transfer->field[point->index][0] = point->weight * c;
      transfer->field[point->index][1] = point->weight * s;
    }
  fftwf_execute (transfer->rows);
  fftwf_execute (transfer->columns);

  for (int y = 0; y < grid; y++)
    {
      const fftwf_complex *row = transfer->field + (gsize) y * (gsize) grid;
      float *into = transfer->spread + (gsize) wrap_onto_tile (y, grid, tile) * (gsize) tile;

      if (grid == tile)
        fil_sim_kernel_add_power (row[0], grid / FIL_SIM_BLOCK, into);
      else
        for (int x = 0; x < grid; x++)
          into[wrap_onto_tile (x, grid, tile)] += row[x][0] * row[x][0] + row[x][1] * row[x][1];
    }
  transfer->n_added++;
}

/* The slope of the phase over the frequencies that matter: a plain shift. */
static void
find_shift (const FilSimTransfer *transfer,
            const fftwf_complex  *otf,
            double               *shift_x,
            double               *shift_y)
{
  const int tile = transfer->tile, half = tile / 2 + 1;
  const int reach = MAX ((int) (0.4 * transfer->cutoff * tile), 1);
  double xx = 0.0, xy = 0.0, yy = 0.0, px = 0.0, py = 0.0, determinant;

  for (int y = -reach; y <= reach; y++)
    for (int x = 0; x <= reach; x++)
      {
        const float *value = otf[((y + tile) % tile) * half + x];
        double power = (double) value[0] * value[0] + (double) value[1] * value[1];
        double angle = atan2 ((double) value[1], (double) value[0]);

        xx += power * x * x;
        xy += power * x * y;
        yy += power * y * y;
        px += power * x * angle;
        py += power * y * angle;
      }
  determinant = xx * yy - xy * xy;
  *shift_x = -(yy * px - xy * py) / determinant * tile / (2.0 * M_PI);
  *shift_y = -(xx * py - xy * px) / determinant * tile / (2.0 * M_PI);
}

static void
multiply_by_pixel (const FilSimTransfer *transfer,
                   fftwf_complex        *otf,
                   float                 scale)
{
  const int tile = transfer->tile, half = tile / 2 + 1;

  for (int y = 0; y < tile; y++)
    for (int x = 0; x < half; x++)
      {
        float factor = scale * transfer->pixel[y] * transfer->pixel[x];

        otf[y * half + x][0] *= factor;
        otf[y * half + x][1] *= factor;
      }
}

/**
 * fil_sim_transfer_finish:
 * @otf: (out): tile × (tile/2 + 1) values, 1 at zero frequency, the pixel's
 *   own averaging included
 * @shift_x: (out): samples to the right by which @otf moves a picture,
 *   besides blurring it
 * @shift_y: (out): the same, down
 *
 * Returns: the Strehl ratio: peak over that of the undisturbed pupil, 0 to 1
 */
double
fil_sim_transfer_finish (FilSimTransfer *transfer,
                         fftwf_complex  *otf,
                         double         *shift_x,
                         double         *shift_y)
{
  double strehl = find_peak (transfer) / (transfer->perfect_peak * transfer->n_added);
  double scale = 1.0 / (transfer->area * transfer->n_added * transfer->grid * transfer->grid);

  fftwf_execute_dft_r2c (transfer->forward, transfer->spread, otf);
  find_shift (transfer, otf, shift_x, shift_y);
  multiply_by_pixel (transfer, otf, (float) scale);
  /* Where the function has its cusp, samples weighed by area fall short of
   * it: the aperture's area is what the rest must be measured by. */
  otf[0][0] = 1.0f;
  otf[0][1] = 0.0f;

  return MIN (strehl, 1.0);
}
