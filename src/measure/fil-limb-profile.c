/* fil-limb-profile.c: what blur makes of the limb's light
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The disc doesn't end in a step: it darkens towards the limb, steeper and
 * steeper, and then falls to nothing. Blurred by a Gaussian of σ, light falls
 * steepest a little inside of the limb: by 0.03 σ where σ is 1e-4 of the
 * radius, by 0.09 σ at 1e-3, by 0.2 σ at a hundredth. That is at 541.76 nm,
 * and taken off at any wavelength; at 430 nm it would be 1.6 to 1.8 times as
 * much, at 656 nm 0.75, at 850 nm 0.6 (Neckel 2005, Solar Physics 229, 13). So
 * what is left is below 0.03 σ in long arcs of long focal lengths, and at most
 * 0.13 σ where a whole disc is a few dozen pixels wide and seen in the blue. */

#include <math.h>

#include "fil-limb-private.h"

/* Nodes of the table, σ over the radius from LEAST, times FACTOR a node. */
#define N_NODES 16
#define LEAST   1e-5
#define FACTOR  1.8

#define REACH   4.5      /* σ, over which the Gaussian is summed */
#define FINE    0.01     /* σ, steps of the sum */
#define N_FINE  900      /* twice REACH over FINE */

typedef struct
{
  double bias;           /* σ, how far inside of the limb */
  double half_width;     /* σ, from there outward to half of the steepest fall */
} Node;

/* Neckel & Labs 1994, Solar Physics 153, 91, Table I, 541.76 nm: brightness
 * over that of the disc's centre, @mu the cosine of the angle from the
 * vertical. */
double
fil_limb_profile_light (double mu)
{
  return 0.26073 + mu * (1.27428 + mu * (-1.30352 + mu * (1.47085 + mu * (-0.96618 + mu * 0.26384))));
}

/* The fall of the blurred light at @x (σ, + outward): the sum over the disc
 * of its light times the Gaussian's slope. */
static double
find_fall (double        x,
           const double *disc)
{
  double sum = 0.0;

  for (int i = 0; i < N_FINE; i++)
    {
      double depth = (i + 0.5) * FINE, u = x + depth;

      if (u > -REACH && u < REACH)
        sum += disc[i] * u * exp (-0.5 * u * u);
    }

  return sum;
}

static Node
make_node (double share)
{
  static const double step = 0.02;
  double disc[N_FINE];
  double best = 0.0, at = 0.0, x, fall = 0.0, before = 0.0;

  for (int i = 0; i < N_FINE; i++)
    {
      double r = MAX (1.0 - (i + 0.5) * FINE * share, 0.0);

      disc[i] = fil_limb_profile_light (sqrt (1.0 - r * r));
    }

  for (x = -2.0; x < 0.5; x += step)
    {
      fall = find_fall (x, disc);
      if (fall <= best)
        continue;
      best = fall;
      at = x;
    }
  for (x = at; x < REACH && (fall = find_fall (x, disc)) > 0.5 * best; x += step)
    before = fall;
  if (before > fall)
    x -= step * (0.5 * best - fall) / (before - fall);

  return (Node) { -at, x - at };
}

static const Node *
get_nodes (void)
{
  static Node nodes[N_NODES];
  static gsize made = 0;

  if (g_once_init_enter (&made))
    {
      for (int i = 0; i < N_NODES; i++)
        nodes[i] = make_node (LEAST * pow (FACTOR, i));
      g_once_init_leave (&made, 1);
    }

  return nodes;
}

static Node
look_up (double share)
{
  const Node *nodes = get_nodes ();
  double place = CLAMP (log (MAX (share, 1e-30) / LEAST) / log (FACTOR), 0.0, N_NODES - 1.001);
  int i = (int) place;
  double t = place - i;

  return (Node) {
    nodes[i].bias + t * (nodes[i + 1].bias - nodes[i].bias),
    nodes[i].half_width + t * (nodes[i + 1].half_width - nodes[i].half_width),
  };
}

/**
 * fil_limb_profile_blur:
 * @outer_half_width: from where light falls steepest outward to where it
 *   falls half as steeply, pixels
 * @radius: of the disc, pixels
 *
 * Returns: σ of the blur, pixels
 */
double
fil_limb_profile_blur (double outer_half_width,
                       double radius)
{
  double blur = outer_half_width / 1.1774;   /* √(2 ln 2): a bare step */

  for (int i = 0; i < 4; i++)
    blur = outer_half_width / look_up (blur / radius).half_width;

  return blur;
}

/* Returns: how far inside of the limb light falls steepest, pixels */
double
fil_limb_profile_bias (double blur,
                       double radius)
{
  return blur * look_up (blur / radius).bias;
}
