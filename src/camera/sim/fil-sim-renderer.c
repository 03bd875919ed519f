/* fil-sim-renderer.c: makes one frame
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The blurred scene is moved by the air, the drift and knocks, differently
 * at each place of the field; dimmed by clouds; counted by the sensor. */

#include <math.h>
#include <string.h>

#include "fil-sim-clouds.h"
#include "fil-sim-field.h"
#include "fil-sim-kernels.h"
#include "fil-sim-math.h"
#include "fil-sim-random.h"
#include "fil-sim-renderer.h"

#define NODE_STEP  FIL_SIM_BLOCK   /* pixels between nodes of the motion */
#define SLACK      24              /* samples of blurred scene beyond what a frame needs */
#define TAPS_LEFT  2
#define TAPS_RIGHT 3

/* Scattered light of a cloud, of the light that it takes (invented). */
#define GLARE_SHARE 0.12

#define READ_NOISE_E 2.4           /* small-pixel sensors (from memory) */
#define ROW_NOISE_E  0.25          /* from memory */
#define DARK_E_PER_S 8.0           /* warm camera in sunshine (from memory) */

/* How far the picture moves at one node, samples, right and down. */
typedef struct
{
  float x, y, transparency;
} Node;

struct _FilSimRenderer
{
  const FilSimStage *stage;
  FilSimField       *field;
  FilSimBlur         blur;
  guint64            serial;         /* of the blur in the field; 0: none */
  gboolean           filled;
  int                need_x0, need_y0, need_x1, need_y1;   /* scene samples that are right */

  int                n_blocks;       /* of 16 pixels in a row */
  int                nodes_x, nodes_y;
  Node              *nodes;
  Node              *row_nodes;      /* those of one row */
  float             *downs;          /* vertical motion of blocks of scene columns */
  FilSimShift       *shifts;
  float             *columns;        /* one row of scene samples */
  int                column_blocks;
  float             *light;          /* one row of pixels */
  guint16           *counts;
};

FilSimRenderer *
fil_sim_renderer_new (const FilSimStage *stage)
{
  FilSimRenderer *renderer = g_new0 (FilSimRenderer, 1);
  int over = stage->oversampling;

  renderer->stage = stage;
  renderer->field = fil_sim_field_new (stage);
  fil_sim_blur_init (&renderer->blur, stage->tiles);
  renderer->n_blocks = (stage->view.width + FIL_SIM_BLOCK - 1) / FIL_SIM_BLOCK;
  renderer->nodes_x = renderer->n_blocks + 1;
  renderer->nodes_y = (stage->view.height + NODE_STEP - 1) / NODE_STEP + 1;
  renderer->nodes = g_new0 (Node, renderer->nodes_x * renderer->nodes_y);
  renderer->row_nodes = g_new0 (Node, renderer->nodes_x);
  renderer->column_blocks = renderer->n_blocks * over + 2;
  renderer->downs = g_new0 (float, renderer->column_blocks + 1);
  renderer->shifts = g_new0 (FilSimShift, renderer->column_blocks);
  renderer->columns = g_new0 (float, renderer->column_blocks * FIL_SIM_BLOCK + 2 * FIL_SIM_BLOCK);
  renderer->light = g_new0 (float, renderer->n_blocks * FIL_SIM_BLOCK);
  renderer->counts = g_new0 (guint16, renderer->n_blocks * FIL_SIM_BLOCK);

  return renderer;
}

void
fil_sim_renderer_free (FilSimRenderer *renderer)
{
  if (renderer == NULL)
    return;

  fil_sim_field_free (renderer->field);
  fil_sim_blur_clear (&renderer->blur);
  g_free (renderer->nodes);
  g_free (renderer->row_nodes);
  g_free (renderer->downs);
  g_free (renderer->shifts);
  g_free (renderer->columns);
  g_free (renderer->light);
  g_free (renderer->counts);
  g_free (renderer);
}

/* Motion and transparency over the view. */
static void
set_nodes (FilSimRenderer     *renderer,
           const FilSimMoment *moment)
{
  const FilSimStage *stage = renderer->stage;
  const double scale = stage->optics.plate_scale_arcsec_per_px;
  const guint32 seed = (guint32) fil_sim_mix (stage->settings.seed ^ FIL_SIM_STREAM_CLOUDS);
  double common_x, common_y;

  fil_sim_air_get_common_tilt (stage->air, &moment->air, &common_x, &common_y);
  common_x += moment->shift_x_arcsec;
  common_y += moment->shift_y_arcsec;
  for (int j = 0; j < renderer->nodes_y; j++)
    for (int i = 0; i < renderer->nodes_x; i++)
      {
        double x = (stage->view.x + i * NODE_STEP - 0.5 * (stage->settings.width - 1)) * scale;
        double y = -(stage->view.y + j * NODE_STEP - 0.5 * (stage->settings.height - 1)) * scale;
        Node *node = &renderer->nodes[j * renderer->nodes_x + i];
        double tilt_x, tilt_y;

        fil_sim_air_get_local_tilt (stage->air, &moment->air, x, y, &tilt_x, &tilt_y);
        node->x = (float) ((tilt_x + common_x) / stage->step_arcsec);
        node->y = (float) (-(tilt_y + common_y) / stage->step_arcsec);
        node->transparency = fil_sim_clouds_get_transparency (seed, moment->clouds,
                                                              moment->time_s, x, y);
      }
}

typedef struct
{
  float min_x, max_x, min_y, max_y;
  float mean_x, mean_y, mean_transparency;
} Range;

static Range
get_range (const FilSimRenderer *renderer)
{
  const int n = renderer->nodes_x * renderer->nodes_y;
  Range range = { G_MAXFLOAT, -G_MAXFLOAT, G_MAXFLOAT, -G_MAXFLOAT, 0, 0, 0 };
  double x = 0.0, y = 0.0, transparency = 0.0;

  for (int i = 0; i < n; i++)
    {
      const Node *node = &renderer->nodes[i];

      range.min_x = MIN (range.min_x, node->x);
      range.max_x = MAX (range.max_x, node->x);
      range.min_y = MIN (range.min_y, node->y);
      range.max_y = MAX (range.max_y, node->y);
      x += (double) node->x;
      y += (double) node->y;
      transparency += (double) node->transparency;
    }
  range.mean_x = (float) (x / n);
  range.mean_y = (float) (y / n);
  range.mean_transparency = (float) (transparency / n);

  return range;
}

static const fftwf_complex *
transfer_at (double   x,
             double   y,
             gpointer user_data)
{
  FilSimRenderer *renderer = user_data;

  return fil_sim_field_at (renderer->field, x, y);
}

/* Makes sure that the blurred scene is that of the moment, and reaches as far
 * as the motion asks for. */
static void
ensure_blur (FilSimRenderer     *renderer,
             const FilSimMoment *moment,
             const Range        *range)
{
  const FilSimView *view = &renderer->stage->view;
  const int over = renderer->stage->oversampling;
  int x0 = over * view->x - (int) ceilf (range->max_x) - TAPS_LEFT - 2 * FIL_SIM_BLOCK;
  int y0 = over * view->y - (int) ceilf (range->max_y) - TAPS_LEFT - 2;
  int x1 = over * (view->x + renderer->n_blocks * FIL_SIM_BLOCK) - (int) floorf (range->min_x) +
           TAPS_RIGHT + 2 * FIL_SIM_BLOCK;
  int y1 = over * (view->y + view->height) - (int) floorf (range->min_y) + TAPS_RIGHT + 2;

  if (renderer->serial != moment->blur.serial)
    {
      fil_sim_field_set (renderer->field, &moment->blur);
      renderer->serial = moment->blur.serial;
      renderer->filled = FALSE;
    }
  if (renderer->filled && x0 >= renderer->need_x0 && y0 >= renderer->need_y0 &&
      x1 <= renderer->need_x1 && y1 <= renderer->need_y1)
    return;

  renderer->need_x0 = x0 - SLACK;
  renderer->need_y0 = y0 - SLACK;
  renderer->need_x1 = x1 + SLACK;
  renderer->need_y1 = y1 + SLACK;
  fil_sim_blur_fill (&renderer->blur, renderer->need_x0, renderer->need_y0,
                     renderer->need_x1 - renderer->need_x0, renderer->need_y1 - renderer->need_y0,
                     transfer_at, renderer);
  renderer->filled = TRUE;
}

/* The nodes' values along pixel row @j. */
static void
set_row_nodes (FilSimRenderer *renderer,
               int             j)
{
  const Node *low = renderer->nodes + j / NODE_STEP * renderer->nodes_x;
  const Node *high = low + renderer->nodes_x;
  const float t = (float) (j % NODE_STEP) / NODE_STEP;

  for (int i = 0; i < renderer->nodes_x; i++)
    renderer->row_nodes[i] = (Node) {
      low[i].x + t * (high[i].x - low[i].x),
      low[i].y + t * (high[i].y - low[i].y),
      low[i].transparency + t * (high[i].transparency - low[i].transparency),
    };
}

/* Vertical motion where each block of scene columns begins, and the last ends. */
static void
set_downs (FilSimRenderer *renderer)
{
  const int over = renderer->stage->oversampling, last = renderer->nodes_x - 1;
  const Node *nodes = renderer->row_nodes;

  for (int block = 0; block <= renderer->column_blocks; block++)
    {
      int place = CLAMP (block - 1, 0, last * over), node = MIN (place / over, last - 1);
      float t = (float) (place - node * over) / (float) over;

      renderer->downs[block] = nodes[node].y + t * (nodes[node + 1].y - nodes[node].y);
    }
}

/* @first: place of the block's first value, which must not be negative where
 * it is to be exact; @growth: beyond a whole step from value to value. */
static inline FilSimShift
make_shift (float first,
            float growth,
            int   low,
            int   high)
{
  int base = CLAMP ((int) (first + growth * (0.5f * FIL_SIM_BLOCK)), low, high);

  return (FilSimShift) { base, first - (float) base, growth };
}

/* Moves pixel row @j of the blurred scene into place: first down, then right. */
static void
move_row (FilSimRenderer *renderer,
          int             j,
          int             first_column)
{
  const FilSimStage *stage = renderer->stage;
  const FilSimBlur *blur = &renderer->blur;
  const int over = stage->oversampling;
  float y = (float) (over * (stage->view.y + j) - blur->y0);
  float x = (float) (over * stage->view.x - blur->x0 - first_column);
  int last_row = blur->height - TAPS_RIGHT - 1;
  int last = (renderer->column_blocks - over) * FIL_SIM_BLOCK - TAPS_RIGHT - 1;

  set_downs (renderer);
  for (int block = 0; block < renderer->column_blocks; block++)
    {
      float from = renderer->downs[block], to = renderer->downs[block + 1];

      renderer->shifts[block] = make_shift (y - from, (from - to) / FIL_SIM_BLOCK, TAPS_LEFT, last_row);
    }
  fil_sim_kernel_shift_columns (blur->light + first_column, (gsize) blur->pitch,
                                renderer->shifts, renderer->column_blocks, renderer->columns);

  for (int block = 0; block < renderer->n_blocks; block++)
    {
      float from = renderer->row_nodes[block].x, to = renderer->row_nodes[block + 1].x;

      renderer->shifts[block] = make_shift (x + (float) (over * block * FIL_SIM_BLOCK) - from,
                                            (from - to) / FIL_SIM_BLOCK, TAPS_LEFT, last);
    }
  fil_sim_kernel_shift_row (renderer->columns, over, renderer->shifts, renderer->n_blocks,
                            renderer->light);
}

/* Clouds, dust and colour filters. */
static void
dim_row (FilSimRenderer *renderer,
         gboolean        clouds,
         int             j)
{
  const FilSimStage *stage = renderer->stage;
  const float *flat = stage->flat + (gsize) j * (gsize) stage->flat_pitch;
  const int n = renderer->n_blocks * FIL_SIM_BLOCK;

  for (int i = 0; clouds && i < n; i++)
    {
      const Node *at = renderer->row_nodes + i / FIL_SIM_BLOCK;
      float t = (float) (i % FIL_SIM_BLOCK) / FIL_SIM_BLOCK;

      renderer->light[i] *= at[0].transparency + t * (at[1].transparency - at[0].transparency);
    }
  for (int i = 0; stage->flat != NULL && i < n; i++)
    renderer->light[i] *= flat[i];
}

static FilSimExposure
make_exposure (const FilSimStage  *stage,
               const FilSimMoment *moment,
               double              transparency)
{
  const double full = (double) ((1 << stage->view.format->bits) - 1);
  const double charge = stage->optics.electrons_per_ms * moment->exposure_ms;
  gboolean noise = stage->settings.noise;

  return (FilSimExposure) {
    .electrons = (float) charge,
    .glare = (float) (GLARE_SHARE * (1.0 - transparency) * charge * stage->mean_light +
                      (noise ? DARK_E_PER_S * moment->exposure_ms * 1e-3 : 0.0)),
    .photon_noise = noise ? 1.0f : 0.0f,
    .read_variance = noise ? (float) (READ_NOISE_E * READ_NOISE_E) : 0.0f,
    .counts_per_e = (float) (full / stage->optics.full_well_e * pow (10.0, moment->gain_db / 20.0)),
    .black = (float) moment->black_counts,
    .full = (float) full,
  };
}

static void
add_hot_pixels (const FilSimRenderer *renderer,
                const FilSimExposure *exposure,
                double                exposure_ms,
                int                   j)
{
  const GArray *hot = renderer->stage->hot_pixels;

  for (guint i = 0; i < hot->len; i++)
    {
      const FilSimHotPixel *pixel = &g_array_index (hot, FilSimHotPixel, i);
      float counts;

      if (pixel->y != j)
        continue;
      counts = (float) renderer->counts[pixel->x] +
               pixel->electrons_per_s * (float) (exposure_ms * 1e-3) * exposure->counts_per_e;
      renderer->counts[pixel->x] = (guint16) MIN (counts, exposure->full);
    }
}

static void
store_row (const FilSimRenderer *renderer,
           guint8               *row)
{
  const FilSimView *view = &renderer->stage->view;

  if (view->format->packing == FIL_PACKING_8)
    for (int i = 0; i < view->width; i++)
      row[i] = (guint8) renderer->counts[i];
  else
    for (int i = 0; i < view->width; i++)
      ((guint16 *) (gpointer) row)[i] = GUINT16_TO_LE (renderer->counts[i]);
}

static void
fill_truth (const FilSimRenderer *renderer,
            const FilSimMoment   *moment,
            const Range          *range,
            FilFrameTruth        *truth)
{
  const FilSimStage *stage = renderer->stage;
  double over = stage->oversampling, x, y;

  fil_sim_field_get_shift (renderer->field, &x, &y);
  *truth = (FilFrameTruth) {
    .known = TRUE,
    .shift_x_px = ((double) range->mean_x + x) / over,
    .shift_y_px = -((double) range->mean_y + y) / over,
    .r0_mm = moment->blur.r0_m * 1e3,
    .defocus_um = fil_sim_field_defocus_um (stage, moment->blur.focus_um, 0.0, 0.0),
    .strehl = fil_sim_field_get_strehl (renderer->field),
    .transparency = (double) range->mean_transparency,
  };
}

/**
 * fil_sim_renderer_render:
 * @moment: what decides the frame; the same one gives the same frame, whatever
 *   was rendered before
 * @pixels: (out): the view's rows without padding, top row first
 * @truth: (out): what was done
 */
void
fil_sim_renderer_render (FilSimRenderer     *renderer,
                         const FilSimMoment *moment,
                         guint8             *pixels,
                         FilFrameTruth      *truth)
{
  const FilSimStage *stage = renderer->stage;
  const FilSimView *view = &stage->view;
  const gsize stride = fil_pixel_format_min_stride (view->format, view->width);
  FilSimRandom random = fil_sim_random_init (stage->settings.seed, FIL_SIM_STREAM_NOISE,
                                             moment->frame + 1);
  gboolean clouds = moment->clouds > 0.0;
  FilSimExposure exposure;
  double black;
  Range range;
  int first_column;

  set_nodes (renderer, moment);
  range = get_range (renderer);
  ensure_blur (renderer, moment, &range);
  exposure = make_exposure (stage, moment, (double) range.mean_transparency);
  black = (double) exposure.black;
  first_column = stage->oversampling * view->x - (int) ceilf (range.mean_x) - FIL_SIM_BLOCK -
                 renderer->blur.x0;

  for (int j = 0; j < view->height; j++)
    {
      guint64 start = fil_sim_random_next (&random) % FIL_SIM_NOISE_LENGTH;

      set_row_nodes (renderer, j);
      move_row (renderer, j, first_column);
      if (clouds || stage->flat != NULL)
        dim_row (renderer, clouds, j);
      if (stage->settings.noise)
        exposure.black = (float) (black + ROW_NOISE_E * (double) exposure.counts_per_e *
                                            fil_sim_random_normal (&random));
      fil_sim_kernel_expose (&exposure, renderer->light, stage->noise + start,
                             renderer->n_blocks, renderer->counts);
      add_hot_pixels (renderer, &exposure, moment->exposure_ms, j);
      store_row (renderer, pixels + (gsize) j * stride);
    }
  fill_truth (renderer, moment, &range, truth);
}
