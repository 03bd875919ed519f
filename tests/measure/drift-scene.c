/* drift-scene.c: a made-up texture that moves through the picture
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sum of plane waves, so that every shift is exact. */

#include <math.h>

#include "drift-scene.h"

enum { MOST_WAVES = 2000, N_SHADOWS = 12, N_BRIGHT = 20 };

typedef struct
{
  double fx, fy, phase;
} Wave;

struct _Scene
{
  SceneOptions options;
  GRand       *rand;
  Wave         waves[MOST_WAVES];
  double       fixed[SCENE_WIDTH * SCENE_HEIGHT];
};

double
scene_gauss (GRand *rand)
{
  double u = g_rand_double_range (rand, 1e-12, 1.0), v = g_rand_double (rand);

  return sqrt (-2.0 * log (u)) * cos (2.0 * G_PI * v);
}

static void
add_shadow (Scene *scene)
{
  double at_x = g_rand_double_range (scene->rand, 0.0, SCENE_WIDTH);
  double at_y = g_rand_double_range (scene->rand, 0.0, SCENE_HEIGHT);
  double size = g_rand_double_range (scene->rand, 1.5, 5.0);

  for (int i = 0; i < SCENE_WIDTH * SCENE_HEIGHT; i++)
    {
      double d = hypot (i % SCENE_WIDTH - at_x, i / SCENE_WIDTH - at_y) / size;

      scene->fixed[i] -= exp (-0.5 * d * d);
    }
}

static void
make_fixed (Scene *scene)
{
  double square = 0.0;

  for (int i = 0; i < N_SHADOWS; i++)
    add_shadow (scene);
  for (int i = 0; i < N_BRIGHT; i++)
    scene->fixed[g_rand_int_range (scene->rand, 0, SCENE_WIDTH * SCENE_HEIGHT)] += 3.0;
  for (int i = 0; i < SCENE_WIDTH * SCENE_HEIGHT; i++)
    square += scene->fixed[i] * scene->fixed[i] / (SCENE_WIDTH * SCENE_HEIGHT);
  for (int i = 0; i < SCENE_WIDTH * SCENE_HEIGHT; i++)
    scene->fixed[i] *= scene->options.fixed / sqrt (square);
}

Scene *
scene_new (const SceneOptions *options)
{
  Scene *scene = g_new0 (Scene, 1);

  scene->options = *options;
  scene->options.n_waves = CLAMP (options->n_waves, 0, MOST_WAVES);
  if (scene->options.n_waves == 0)
    scene->options.n_waves = 40;
  scene->rand = g_rand_new_with_seed (options->seed);
  for (int i = 0; i < scene->options.n_waves; i++)
    {
      double f = g_rand_double_range (scene->rand, 0.03, 0.2);
      double angle = g_rand_double_range (scene->rand, 0.0, 2.0 * G_PI);

      scene->waves[i] = (Wave) { 2.0 * G_PI * f * cos (angle), 2.0 * G_PI * f * sin (angle),
                                 g_rand_double_range (scene->rand, 0.0, 2.0 * G_PI) };
    }
  make_fixed (scene);

  return scene;
}

void
scene_free (Scene *scene)
{
  g_rand_free (scene->rand);
  g_free (scene);
}

/* One wave along a row, turned on from pixel to pixel. */
static void
add_wave (const Wave *wave,
          double      x,
          double      y,
          double     *row)
{
  double phase = wave->phase + wave->fy * y - wave->fx * x;
  double re = cos (phase), im = sin (phase), c = cos (wave->fx), s = sin (wave->fx);

  for (int i = 0; i < SCENE_WIDTH; i++)
    {
      double next = re * c - im * s;

      row[i] += re;
      im = re * s + im * c;
      re = next;
    }
}

FilFrame *
scene_frame (Scene *scene,
             double x,
             double y,
             double dim)
{
  const SceneOptions *o = &scene->options;
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), SCENE_WIDTH,
                                         SCENE_HEIGHT);
  guint8 *bytes = (guint8 *) frame->data;
  double share = o->contrast / sqrt (0.5 * o->n_waves);

  frame->bottom_up = TRUE;
  for (int j = 0; j < SCENE_HEIGHT; j++)
    {
      double row[SCENE_WIDTH] = { 0 };

      for (int k = 0; k < o->n_waves; k++)
        add_wave (&scene->waves[k], x, j - y, row);
      for (int i = 0; i < SCENE_WIDTH; i++)
        {
          int at = j * SCENE_WIDTH + i;
          double count = o->light * (dim * (1.0 + share * row[i] + scene->fixed[at]) +
                                     o->noise * scene_gauss (scene->rand));
          guint whole = (guint) CLAMP (count + 0.5, 0.0, 65535.0);

          bytes[2 * at] = whole & 255;
          bytes[2 * at + 1] = (guint8) (whole >> 8);
        }
    }

  return frame;
}
