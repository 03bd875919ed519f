/* live-bench.h: a running instrument on the bench, and what to wait for
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fake-source.h"
#include "fil-live-private.h"

typedef struct
{
  char       *folder, *path;
  FilLive    *live;
  FakeSource *camera;
  FilRig     *rig;
  guint       frames, readings, passes, recordings;   /* signals that came */
} Bench;

typedef gboolean (*Condition) (Bench *bench);

void bench_add (const char *path,
                void      (*test) (Bench *, gconstpointer));

void bench_open_camera (Bench    *bench,
                        gboolean  live,
                        gboolean  waits);
/* Turns the main loop until @condition holds. */
void bench_wait_for (Bench     *bench,
                     Condition  condition);
void bench_turn_for_ms (Bench *bench, guint ms);

gboolean bench_is_running (Bench *bench);
gboolean bench_is_measured (Bench *bench);
gboolean bench_has_recorded_some (Bench *bench);
gboolean bench_is_recorded (Bench *bench);
gboolean bench_is_stalled (Bench *bench);
gboolean bench_is_unplugged (Bench *bench);
gboolean bench_is_failed (Bench *bench);
gboolean bench_is_ended (Bench *bench);
gboolean bench_is_alarmed (Bench *bench);
gboolean bench_is_closed (Bench *bench);

FilGatePass *bench_make_pass (FilRig *rig);
void bench_start (Bench *bench, FilGatePass *pass);
void bench_start_live_camera (Bench *bench);
void bench_record (Bench *bench, guint64 max_frames);
guint64 bench_count_frames_in_clip (Bench *bench);

/* The clip in hand ends whole, and its error tells @reason. */
void bench_assert_kept (Bench *bench, const char *reason);
