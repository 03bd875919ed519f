/* fil-sim-spots.c: a spot group with umbrae, penumbrae and pores
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A leading spot with a full penumbra, smaller companions, and pores strung
 * between and behind. Sizes and light from memory: penumbra 25 to 30 arcsec
 * across, the umbra 0.4 of that; umbra 0.05 to 0.3, penumbra 0.75 to 0.85
 * of the photosphere near 550 nm. The group is invented. */

#include "fil-sim-math.h"
#include "fil-sim-noise.h"
#include "fil-sim-random.h"
#include "fil-sim-spots.h"

#define MAX_SPOTS 3
#define MAX_PORES 24
#define REACH     1.7f   /* of a spot's radius: beyond it nothing changes */

typedef struct
{
  float    x, y;          /* arcsec from the group's centre, + west, + north */
  float    radius;        /* mean, of the penumbra's outer edge */
  float    umbra;         /* mean radius of the umbra */
  float    darkness;      /* the umbra's core, of the photosphere */
  float    stretch;       /* along the group's axis */
  float    cover_from, cover_width;   /* angle where penumbra lacks, and how much; width 0: full */
  guint32  seed;
} Spot;

typedef struct
{
  float   x, y, radius, depth;
  guint32 seed;
} Pore;

struct _FilSimSpots
{
  Spot spots[MAX_SPOTS];
  Pore pores[MAX_PORES];
  int  n_pores;
};

/* Distance from a spot in units of its ragged outline, and angle. */
typedef struct
{
  float radius;      /* arcsec */
  float angle;       /* radians, -π to π */
  float outer;       /* arcsec, penumbra's edge in this direction */
  float inner;       /* arcsec, umbra's edge in this direction */
  float thread;      /* -1 to 1: dark to bright filament */
} Place;

/* Filaments: noise that is narrow across, long along the radius; periodic in
 * the angle. Threads split and bend outwards. */
static float
threads (const Spot *spot,
         float       angle,
         float       radius)
{
  float turns = angle * (float) (0.5 / M_PI);
  float bend = 0.007f * fil_sim_noise_ring (spot->seed + 11, turns, 24, radius * 0.25f);
  float girth = (float) (2.0 * M_PI) * spot->radius;
  int coarse = (int) (girth / 2.4f), fine = (int) (girth / 1.15f), finest = (int) (girth / 0.55f);

  turns += bend;

  return 0.60f * fil_sim_noise_ring (spot->seed + 1, turns, coarse, radius * 0.13f) +
         0.95f * fil_sim_noise_ring (spot->seed + 2, turns, fine, radius * 0.22f) +
         0.60f * fil_sim_noise_ring (spot->seed + 3, turns, finest, radius * 0.35f);
}

static Place
place_in (const Spot *spot,
          float       x,
          float       y)
{
  float dx = (x - spot->x) / spot->stretch, dy = (y - spot->y) * spot->stretch;
  Place p = { .radius = sqrtf (dx * dx + dy * dy), .angle = atan2f (dy, dx) };
  float turns = p.angle * (float) (0.5 / M_PI);
  float wide = fil_sim_noise_ring (spot->seed + 5, turns, 5, 0.5f);
  float middle = fil_sim_noise_ring (spot->seed + 6, turns, 13, 0.5f);
  float bays = fil_sim_noise_ring (spot->seed + 7, turns, 9, p.radius * 0.08f);
  float notch = fil_sim_noise_ring (spot->seed + 8, turns, 37, p.radius * 0.2f);

  p.thread = threads (spot, p.angle, p.radius);
  p.outer = spot->radius * (1.0f + 0.20f * wide + 0.11f * middle) + 1.05f * p.thread;
  p.inner = spot->umbra * (1.0f + 0.34f * wide + 0.30f * bays + 0.14f * notch) -
            0.55f * p.thread;

  return p;
}

/* The umbra: nuclei, a faint bridge of light, dots. */
static float
umbra_light (const Spot *spot,
             float       x,
             float       y,
             const Place *p)
{
  float cloudy = fil_sim_noise (spot->seed + 21, x * 0.28f, y * 0.28f);
  float mottled = fil_sim_noise (spot->seed + 22, x * 0.75f, y * 0.75f);
  float dots = fil_sim_noise (spot->seed + 23, x * 1.9f, y * 1.9f);
  float bridge = fil_sim_noise (spot->seed + 24, x * 0.14f + 3.0f, y * 0.14f);
  float rim = p->radius / p->inner;
  float light = spot->darkness * (1.0f + 0.45f * cloudy + 0.25f * mottled);

  light += 0.10f * rim * rim * rim * rim;
  light += 0.12f * fil_sim_smoothstep (0.45f, 0.8f, dots) * (0.4f + rim);
  bridge = 1.0f - fil_sim_smoothstep (0.0f, 0.085f, fabsf (bridge + 0.12f));

  return light + 0.24f * bridge * (0.6f + 0.4f * dots);
}

/* The penumbra: bright threads from bright heads near the umbra, dark between. */
static float
penumbra_light (const Spot  *spot,
                const Place *p)
{
  float across = (p->radius - p->inner) / (p->outer - p->inner);
  float wave = p->thread > 1.0f ? 1.0f : p->thread < -1.0f ? -1.0f : p->thread;
  float contrast = 0.27f - 0.07f * across;

  return 0.70f + 0.13f * across + contrast * wave;
}

/* Multiplies what is there by one spot's light. */
static void
look_at_spot (const Spot *spot,
              float       x,
              float       y,
              float      *level,
              float      *granulation)
{
  Place p;
  float outside, dark, light, cover = 1.0f;

  if (hypotf (x - spot->x, y - spot->y) > REACH * spot->radius)
    return;

  p = place_in (spot, x, y);
  if (spot->cover_width > 0.0f)
    {
      float away = fabsf (remainderf (p.angle - spot->cover_from, (float) (2.0 * M_PI)));

      cover = fil_sim_smoothstep (spot->cover_width - 0.35f, spot->cover_width + 0.35f,
                                  away + 0.25f * p.thread);
    }
  p.outer = p.inner + (p.outer - p.inner) * (0.10f + 0.90f * cover);

  outside = fil_sim_smoothstep (-0.35f, 0.45f, p.radius - p.outer);
  dark = 1.0f - fil_sim_smoothstep (-0.55f, 0.50f, p.radius - p.inner);
  light = penumbra_light (spot, &p);
  if (dark > 0.0f)
    light += dark * (umbra_light (spot, x, y, &p) - light);
  /* A spot's surroundings are a little bright, and calmer. */
  *level *= outside * (1.0f + 0.02f * expf (-(p.radius - p.outer) / 4.0f * outside)) +
            (1.0f - outside) * light;
  *granulation *= outside;
}

static void
look_at_pore (const Pore *pore,
              float       x,
              float       y,
              float      *level,
              float      *granulation)
{
  float dx = x - pore->x, dy = y - pore->y;
  float distance, edge, dark;

  if (fabsf (dx) > 2.5f * pore->radius + 1.0f || fabsf (dy) > 2.5f * pore->radius + 1.0f)
    return;

  distance = hypotf (dx, dy);
  edge = pore->radius * (1.0f + 0.45f * fil_sim_noise (pore->seed, dx * 0.9f, dy * 0.9f)) +
         0.30f * fil_sim_noise (pore->seed + 1, dx * 2.1f, dy * 2.1f);
  dark = 1.0f - fil_sim_smoothstep (-0.65f, 0.45f, distance - edge);
  *level *= 1.0f - pore->depth * dark;
  *granulation *= 1.0f - 0.9f * dark;
}

/**
 * fil_sim_spots_look:
 * @x: arcsec from the group's centre, + west
 * @y: the same, + north
 * @level: (inout): multiplied by the spots' light, 1 beside them
 * @granulation: (inout): multiplied by what they leave of the granulation
 */
void
fil_sim_spots_look (const FilSimSpots *spots,
                    float              x,
                    float              y,
                    float             *level,
                    float             *granulation)
{
  for (int i = 0; i < MAX_SPOTS; i++)
    look_at_spot (&spots->spots[i], x, y, level, granulation);
  for (int i = 0; i < spots->n_pores; i++)
    look_at_pore (&spots->pores[i], x, y, level, granulation);
}

/* Returns: whether the square of half-width @reach round a point may hold any */
gboolean
fil_sim_spots_touch (const FilSimSpots *spots,
                     double             x,
                     double             y,
                     double             reach)
{
  for (int i = 0; i < MAX_SPOTS; i++)
    {
      const Spot *spot = &spots->spots[i];
      double far = (double) (REACH * spot->radius) + reach;

      if (fabs (x - (double) spot->x) < far && fabs (y - (double) spot->y) < far)
        return TRUE;
    }
  for (int i = 0; i < spots->n_pores; i++)
    {
      const Pore *pore = &spots->pores[i];
      double far = 2.5 * (double) pore->radius + 1.0 + reach;

      if (fabs (x - (double) pore->x) < far && fabs (y - (double) pore->y) < far)
        return TRUE;
    }

  return FALSE;
}

static void
add_pore (FilSimSpots  *spots,
          FilSimRandom *random,
          double        x,
          double        y,
          double        radius)
{
  spots->pores[spots->n_pores++] = (Pore) {
    .x = (float) x,
    .y = (float) y,
    .radius = (float) radius,
    .depth = (float) MIN (0.35 + 0.25 * radius, 0.75) * fil_sim_random_range (random, 0.8, 1.0),
    .seed = (guint32) fil_sim_random_next (random),
  };
}

/* @n pores along the group's axis, scattered beside it. */
static void
add_chain (FilSimSpots  *spots,
           FilSimRandom *random,
           int           n,
           double        from,
           double        to,
           double        scatter,
           double        largest)
{
  for (int i = 0; i < n; i++)
    {
      double along = fil_sim_random_range (random, from, to);
      double beside = 1.0 - 0.17 * along + scatter * fil_sim_clamp (fil_sim_random_normal (random), -1.6, 1.6);
      double size = fil_sim_random_uniform (random);

      add_pore (spots, random, along, beside, 0.4 + (largest - 0.4) * size * size);
    }
}

/**
 * fil_sim_spots_new:
 * @seed: which group
 *
 * The leading spot lies in the west and nearer to the equator, as such groups
 * do (Joy's rule, from memory); the rest follows east of it.
 *
 * Returns: (transfer full): a group
 */
FilSimSpots *
fil_sim_spots_new (guint64 seed)
{
  FilSimSpots *spots = g_new0 (FilSimSpots, 1);
  FilSimRandom random = fil_sim_random_init (seed, FIL_SIM_STREAM_SPOTS, 0);

  spots->spots[0] = (Spot) {
    .x = 27.0f, .y = -5.0f,
    .radius = 14.5f, .umbra = 6.0f,
    .darkness = 0.10f,
    .stretch = 1.05f,
    .seed = (guint32) fil_sim_random_next (&random),
  };
  spots->spots[1] = (Spot) {
    .x = -41.0f, .y = 8.0f,
    .radius = 9.5f, .umbra = 4.4f,
    .darkness = 0.15f,
    .stretch = 1.16f,
    .cover_from = 0.5f, .cover_width = 0.9f,
    .seed = (guint32) fil_sim_random_next (&random),
  };
  spots->spots[2] = (Spot) {
    .x = -14.0f, .y = 7.5f,
    .radius = 5.0f, .umbra = 2.7f,
    .darkness = 0.22f,
    .stretch = 0.92f,
    .cover_from = 2.9f, .cover_width = 1.6f,
    .seed = (guint32) fil_sim_random_next (&random),
  };

  add_chain (spots, &random, 13, -32.0, 9.0, 5.5, 2.3);    /* between the two */
  add_chain (spots, &random, 5, -62.0, -50.0, 5.0, 1.7);   /* behind the follower */
  add_chain (spots, &random, 5, -50.0, 60.0, 22.0, 0.8);   /* stragglers */

  return spots;
}

void
fil_sim_spots_free (FilSimSpots *spots)
{
  g_free (spots);
}
