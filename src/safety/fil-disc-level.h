/* fil-disc-level.h: how bright the clear disc is, learnt while watching
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to this folder. */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_DISC_LEVEL_READINGS 120

/* One steady stretch; @level is counts a millisecond, or counts where the
 * exposure's unit is unknown. */
typedef struct
{
  double   level;
  gboolean inner;   /* the whole field was on the disc, away from the limb */
} FilDiscReading;

typedef struct
{
  FilDiscReading readings[FIL_DISC_LEVEL_READINGS];   /* the newest, a ring */
  guint          n, next;
  guint          n_readings;    /* ever since it was cleared */

  gint64         run_from_ns;   /* the stretch that is going on */
  guint          run_n;
  double         run_low, run_high, run_sum;
  gboolean       run_inner;

  double         reference;     /* NaN: not learnt yet */
  double         headroom;      /* the disc's brightest part may be so many times brighter */
} FilDiscLevel;

void fil_disc_level_clear   (FilDiscLevel *disc);
void fil_disc_level_restart (FilDiscLevel *disc);
void fil_disc_level_add     (FilDiscLevel *disc,
                             gint64        time_ns,
                             double        level,
                             gboolean      inner);

G_END_DECLS
