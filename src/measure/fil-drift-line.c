/* fil-drift-line.c: foretells where the picture will be
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-drift-private.h"

#define MEMORY_S 3.0   /* older places fade */

void
fil_drift_line_add (FilDriftLine *line,
                    double        time_s,
                    double        x,
                    double        y)
{
  double dt = line->n > 0.0 ? time_s - line->time_s : 0.0;
  double fade = exp (-fabs (dt) / MEMORY_S);

  /* Times count from the newest. */
  line->tt = fade * (line->tt - 2.0 * dt * line->t + dt * dt * line->n);
  line->xt = fade * (line->xt - dt * line->x);
  line->yt = fade * (line->yt - dt * line->y);
  line->t = fade * (line->t - dt * line->n);
  line->n = fade * line->n + 1.0;
  line->x = fade * line->x + x;
  line->y = fade * line->y + y;
  line->time_s = time_s;
}

/* Where the picture is at @time_s, and how fast it moves. */
void
fil_drift_line_get (const FilDriftLine *line,
                    double              time_s,
                    double             *x,
                    double             *y,
                    double             *vx,
                    double             *vy)
{
  double spread = line->n > 0.0 ? line->tt - line->t * line->t / line->n : 0.0;
  double dt = time_s - line->time_s;

  *x = *y = *vx = *vy = 0.0;
  if (!(line->n > 0.0))
    return;
  if (spread > 1e-9)
    {
      *vx = (line->xt - line->x * line->t / line->n) / spread;
      *vy = (line->yt - line->y * line->t / line->n) / spread;
    }
  dt -= line->t / line->n;
  *x = line->x / line->n + *vx * dt;
  *y = line->y / line->n + *vy * dt;
}
