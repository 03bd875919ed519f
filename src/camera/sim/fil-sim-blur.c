/* fil-sim-blur.c: the scene seen through a transfer function, in tiles
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tiles lie fixed in the scene and overlap. Each is blurred by itself; a rim
 * as wide as the guard is thrown away, since light wraps round there, and
 * where two tiles overlap one fades into the other, so no seam shows. Small
 * transforms stay in the processor's caches, and each tile can have its own
 * transfer function. */

#include <pthread.h>
#include <string.h>

#include "fil-fftw-lock.h"
#include "fil-sim-blur.h"
#include "fil-sim-kernels.h"
#include "fil-sim-math.h"
#include "fil-sim-parallel.h"

#define MAX_CACHE_BYTES (192u << 20)

typedef struct
{
  int            tx, ty;
  guint          refs;       /* guarded by the tiles' lock; the table holds one */
  guint64        used;       /* the tiles' clock when it was last asked for */
  fftwf_complex *spectrum;
} Tile;

struct _FilSimTiles
{
  const FilSimScene *scene;
  int                size, guard, ramp, step;
  int                origin_x, origin_y;   /* scene sample where tile (0, 0) is fully itself */
  int                reach;        /* frequencies from 0 that optics pass, in blocks of 16 */
  float             *window;       /* step + ramp weights along one axis */
  fftwf_plan         forward;

  pthread_mutex_t    lock;         /* guards what follows */
  GHashTable        *table;        /* of Tile */
  guint64            clock;
  guint              max_tiles;
};

static guint
tile_hash (gconstpointer key)
{
  const Tile *tile = key;

  return (guint) tile->tx * 2654435761u ^ (guint) tile->ty * 40503u;
}

static gboolean
tile_equal (gconstpointer a,
            gconstpointer b)
{
  const Tile *one = a, *other = b;

  return one->tx == other->tx && one->ty == other->ty;
}

static gsize
spectrum_length (const FilSimTiles *tiles)
{
  return (gsize) tiles->size * (gsize) (tiles->size / 2 + 1);
}

/* The lock is held. */
static void
tile_unref (gpointer data)
{
  Tile *tile = data;

  if (--tile->refs > 0)
    return;

  fftwf_free (tile->spectrum);
  g_free (tile);
}

static float *
make_window (int step,
             int ramp)
{
  float *window = g_new (float, step + ramp);

  for (int i = 0; i < step + ramp; i++)
    window[i] = 1.0f;
  for (int i = 0; i < ramp; i++)
    {
      double s = sin (0.5 * M_PI * (i + 0.5) / ramp);

      /* sin² + cos² = 1: the overlap keeps its brightness. */
      window[i] = (float) (s * s);
      window[step + i] = (float) (1.0 - s * s);
    }

  return window;
}

/**
 * fil_sim_tiles_new:
 * @scene: must live longer
 * @size: samples, a power of two from 256; an eighth on each side is guard, so
 *   that point spreads should be narrower than that
 * @gradual: transfer functions differ over the field: tiles overlap by half,
 *   so that blur changes evenly from one to the next
 * @cutoff_cycles_per_sample: transfer functions are 0 beyond
 * @origin_x: scene sample where a tile is to begin: well placed, few tiles do
 * @origin_y: the same
 *
 * Returns: (transfer full)
 */
FilSimTiles *
fil_sim_tiles_new (const FilSimScene *scene,
                   int                size,
                   gboolean           gradual,
                   double             cutoff_cycles_per_sample,
                   int                origin_x,
                   int                origin_y)
{
  FilSimTiles *tiles = g_new0 (FilSimTiles, 1);
  fftwf_complex *spectrum;
  float *light = fftwf_alloc_real ((gsize) size * (gsize) size);

  tiles->scene = scene;
  tiles->size = size;
  tiles->guard = size / 8;
  tiles->ramp = gradual ? 3 * size / 8 : size / 16;
  tiles->step = size - 2 * tiles->guard - tiles->ramp;
  tiles->origin_x = origin_x - tiles->ramp;
  tiles->origin_y = origin_y - tiles->ramp;
  tiles->reach = ((int) ceil (cutoff_cycles_per_sample * size) + 1 + 15) / 16 * 16;
  tiles->reach = MIN (tiles->reach, size / 2);
  tiles->window = make_window (tiles->step, tiles->ramp);
  pthread_mutex_init (&tiles->lock, NULL);
  tiles->table = g_hash_table_new_full (tile_hash, tile_equal, NULL, tile_unref);
  tiles->max_tiles = MAX (MAX_CACHE_BYTES / (guint) (sizeof (fftwf_complex) * spectrum_length (tiles)),
                          16u);

  spectrum = fftwf_alloc_complex (spectrum_length (tiles));
  fil_fftw_lock ();
  /* Estimated, not measured: the same plan in every run, hence the same sums. */
  tiles->forward = fftwf_plan_dft_r2c_2d (size, size, light, spectrum, FFTW_ESTIMATE);
  fil_fftw_unlock ();
  fftwf_free (spectrum);
  fftwf_free (light);

  return tiles;
}

void
fil_sim_tiles_free (FilSimTiles *tiles)
{
  if (tiles == NULL)
    return;

  g_hash_table_unref (tiles->table);
  pthread_mutex_destroy (&tiles->lock);
  fil_fftw_lock ();
  fftwf_destroy_plan (tiles->forward);
  fil_fftw_unlock ();
  g_free (tiles->window);
  g_free (tiles);
}

int
fil_sim_tiles_get_size (const FilSimTiles *tiles)
{
  return tiles->size;
}

/* Returns: frequencies along one axis, from 0, beyond which nothing passes;
 * a multiple of 16, at most half the size */
int
fil_sim_tiles_get_reach (const FilSimTiles *tiles)
{
  return tiles->reach;
}

static Tile *
draw_tile (const FilSimTiles *tiles,
           int                tx,
           int                ty)
{
  Tile *tile = g_new0 (Tile, 1);
  const int size = tiles->size;
  float *light = fftwf_alloc_real ((gsize) size * (gsize) size);

  tile->tx = tx;
  tile->ty = ty;
  tile->refs = 1;
  tile->spectrum = fftwf_alloc_complex (spectrum_length (tiles));
  fil_sim_scene_draw (tiles->scene, tiles->origin_x + tx * tiles->step - tiles->guard,
                      tiles->origin_y + ty * tiles->step - tiles->guard, size, light);
  fftwf_execute_dft_r2c (tiles->forward, light, tile->spectrum);
  fftwf_free (light);

  return tile;
}

/* The lock is held: makes room by dropping the tile unused for longest. */
static void
drop_oldest (FilSimTiles *tiles)
{
  GHashTableIter iter;
  gpointer key;
  Tile *oldest = NULL;

  g_hash_table_iter_init (&iter, tiles->table);
  while (g_hash_table_iter_next (&iter, &key, NULL))
    {
      Tile *tile = key;

      if (oldest == NULL || tile->used < oldest->used)
        oldest = tile;
    }
  if (oldest != NULL)
    g_hash_table_remove (tiles->table, oldest);
}

/* Returns: the tile with a reference of the caller's */
static Tile *
take_tile (FilSimTiles *tiles,
           int          tx,
           int          ty)
{
  Tile key = { .tx = tx, .ty = ty };
  Tile *tile, *fresh;

  pthread_mutex_lock (&tiles->lock);
  tile = g_hash_table_lookup (tiles->table, &key);
  if (tile == NULL)
    {
      /* Drawn unlocked; when two threads draw the same one, the first stays. */
      pthread_mutex_unlock (&tiles->lock);
      fresh = draw_tile (tiles, tx, ty);
      pthread_mutex_lock (&tiles->lock);
      tile = g_hash_table_lookup (tiles->table, &key);
      if (tile == NULL)
        {
          while (g_hash_table_size (tiles->table) >= tiles->max_tiles)
            drop_oldest (tiles);
          tile = fresh;
          g_hash_table_insert (tiles->table, tile, tile);
        }
      else
        tile_unref (fresh);
    }
  tile->refs++;
  tile->used = ++tiles->clock;
  pthread_mutex_unlock (&tiles->lock);

  return tile;
}

static void
give_tile (FilSimTiles *tiles,
           Tile        *tile)
{
  pthread_mutex_lock (&tiles->lock);
  tile_unref (tile);
  pthread_mutex_unlock (&tiles->lock);
}

/* What the optics don't pass needn't be transformed, nor rows of the guard. */
static void
make_plans (FilSimBlur *blur)
{
  const FilSimTiles *tiles = blur->tiles;
  const int size = tiles->size, half = size / 2 + 1;
  fftwf_complex *first = blur->product + (gsize) tiles->guard * (gsize) half;

  fil_fftw_lock ();
  blur->columns = fftwf_plan_many_dft (1, &size, MIN (tiles->reach, half), blur->product, NULL, half, 1,
                                       blur->product, NULL, half, 1, FFTW_BACKWARD, FFTW_ESTIMATE);
  blur->rows = fftwf_plan_many_dft_c2r (1, &size, tiles->step + tiles->ramp, first, NULL, 1, half,
                                        blur->tile, NULL, 1, size, FFTW_ESTIMATE);
  fil_fftw_unlock ();
}

static int
floor_divide (int a,
              int b)
{
  return a >= 0 ? a / b : -((-a + b - 1) / b);
}

/* The tiles that hold a part of the scene. */
typedef struct
{
  FilSimTiles *tiles;
  int          tx0, ty0, tx1, ty1;
} Part;

static Part
find_part (FilSimTiles *tiles,
           int          x0,
           int          y0,
           int          width,
           int          height)
{
  return (Part) {
    tiles,
    floor_divide (x0 - tiles->origin_x - tiles->ramp, tiles->step),
    floor_divide (y0 - tiles->origin_y - tiles->ramp, tiles->step),
    floor_divide (x0 - tiles->origin_x + width - 1, tiles->step),
    floor_divide (y0 - tiles->origin_y + height - 1, tiles->step),
  };
}

static void
prepare_tile (int      index,
              gpointer user_data)
{
  const Part *part = user_data;
  int n = part->tx1 - part->tx0 + 1;

  give_tile (part->tiles, take_tile (part->tiles, part->tx0 + index % n, part->ty0 + index / n));
}

/**
 * fil_sim_tiles_prepare:
 *
 * Draws what a part of the scene needs on all processors; otherwise each tile
 * is drawn when it is first asked for.
 */
void
fil_sim_tiles_prepare (FilSimTiles *tiles,
                       int          x0,
                       int          y0,
                       int          width,
                       int          height)
{
  Part part = find_part (tiles, x0, y0, width, height);

  fil_sim_parallel ((part.tx1 - part.tx0 + 1) * (part.ty1 - part.ty0 + 1), prepare_tile, &part);
}

void
fil_sim_blur_init (FilSimBlur  *blur,
                   FilSimTiles *tiles)
{
  *blur = (FilSimBlur) {
    .tiles = tiles,
    .product = fftwf_alloc_complex (spectrum_length (tiles)),
    .tile = fftwf_alloc_real ((gsize) tiles->size * (gsize) (tiles->step + tiles->ramp)),
  };
  make_plans (blur);
}

void
fil_sim_blur_clear (FilSimBlur *blur)
{
  fil_fftw_lock ();
  fftwf_destroy_plan (blur->columns);
  fftwf_destroy_plan (blur->rows);
  fil_fftw_unlock ();
  fftwf_free (blur->product);
  fftwf_free (blur->tile);
  fftwf_free (blur->light);
  *blur = (FilSimBlur) { 0 };
}

/* Blurs one tile: its rows between the guards. */
static void
blur_tile (FilSimBlur          *blur,
           const fftwf_complex *spectrum,
           const fftwf_complex *otf)
{
  const FilSimTiles *tiles = blur->tiles;
  const int size = tiles->size, half = size / 2 + 1;

  memset (blur->product, 0, sizeof (fftwf_complex) * spectrum_length (tiles));
  for (int y = -tiles->reach; y < tiles->reach; y++)
    {
      gsize row = (gsize) ((y + size) % size) * (gsize) half;

      fil_sim_kernel_multiply (spectrum[row], otf[row], tiles->reach / FIL_SIM_BLOCK,
                               blur->product[row]);
    }
  fftwf_execute (blur->columns);
  fftwf_execute (blur->rows);
}

/* Adds the tile, weighed, to the buffer. */
static void
lay_tile (FilSimBlur *blur,
          int         tx,
          int         ty)
{
  const FilSimTiles *tiles = blur->tiles;
  const int length = tiles->step + tiles->ramp;
  const float scale = 1.0f / ((float) tiles->size * (float) tiles->size);
  float *into = blur->light +
                (gsize) (tiles->origin_y + ty * tiles->step - blur->y0) * (gsize) blur->pitch +
                (tiles->origin_x + tx * tiles->step - blur->x0);

  for (int y = 0; y < length; y++)
    fil_sim_kernel_add_weighed (blur->tile + (gsize) y * (gsize) tiles->size + tiles->guard,
                                tiles->window, scale * tiles->window[y],
                                length / FIL_SIM_BLOCK, into + (gsize) y * (gsize) blur->pitch);
}

/* Makes the buffer hold whole tiles from (tx0, ty0) to (tx1, ty1). */
static void
make_room (FilSimBlur *blur,
           int         tx0,
           int         ty0,
           int         tx1,
           int         ty1)
{
  const FilSimTiles *tiles = blur->tiles;
  gsize needed;

  blur->x0 = tiles->origin_x + tx0 * tiles->step;
  blur->y0 = tiles->origin_y + ty0 * tiles->step;
  blur->width = (tx1 - tx0 + 1) * tiles->step + tiles->ramp;
  blur->height = (ty1 - ty0 + 1) * tiles->step + tiles->ramp;
  blur->pitch = (blur->width + 15) / 16 * 16;
  needed = (gsize) blur->pitch * (gsize) blur->height;
  if (needed > blur->allocated)
    {
      fftwf_free (blur->light);
      blur->light = fftwf_alloc_real (needed);
      blur->allocated = needed;
    }
  memset (blur->light, 0, needed * sizeof (float));
}

/**
 * fil_sim_blur_fill:
 * @x0: first scene sample that must be right
 * @y0: first row
 * @width: samples
 * @height: samples
 * @transfer_at: transfer function for a tile, tile × (tile/2 + 1) values
 *
 * Fills the buffer with the blurred scene; it becomes larger than asked for,
 * up to whole tiles.
 */
void
fil_sim_blur_fill (FilSimBlur       *blur,
                   int               x0,
                   int               y0,
                   int               width,
                   int               height,
                   FilSimTransferAt  transfer_at,
                   gpointer          user_data)
{
  FilSimTiles *tiles = blur->tiles;
  const Part part = find_part (tiles, x0, y0, width, height);

  make_room (blur, part.tx0, part.ty0, part.tx1, part.ty1);
  for (int ty = part.ty0; ty <= part.ty1; ty++)
    for (int tx = part.tx0; tx <= part.tx1; tx++)
      {
        Tile *tile = take_tile (tiles, tx, ty);
        double middle = 0.5 * (tiles->step + tiles->ramp);
        const fftwf_complex *otf = transfer_at (tiles->origin_x + tx * tiles->step + middle,
                                                tiles->origin_y + ty * tiles->step + middle,
                                                user_data);

        blur_tile (blur, tile->spectrum, otf);
        give_tile (tiles, tile);
        lay_tile (blur, tx, ty);
      }
}
