/* bench-measure.c: how long the measuring stages take, on one thread
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench-measure FILE WIDTH HEIGHT BITS ROUNDS: FILE holds native 16-bit
 * counts. Prints one JSON object a line: the best of the rounds, in ms of the
 * thread's own time; then the figures themselves, so that the caller can see
 * that both sides of a comparison computed the same. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "fil-figures.h"
#include "fil-sharpness.h"

typedef struct
{
  FilFrame          *frame;
  FilFigureMeter    *figures;
  FilSharpnessMeter *sharpness;
  guint8            *stored;
  FilFigures         result;
  FilSharpness       focus;
} Bench;

static double
now_ms (void)
{
  struct timespec t;

  clock_gettime (CLOCK_THREAD_CPUTIME_ID, &t);

  return 1e3 * (double) t.tv_sec + 1e-6 * (double) t.tv_nsec;
}

static void
measure (Bench        *bench,
         FilFiguresSet set)
{
  FilFigures figures;

  if (!fil_figure_meter_measure (bench->figures, bench->frame, NULL, set, &figures, NULL))
    exit (1);
  if (set & FIL_FIGURES_GRADIENTS)
    bench->result = figures;
}

static void
run_figures (Bench *bench)
{
  measure (bench, FIL_FIGURES_BASIC | FIL_FIGURES_HISTOGRAM | FIL_FIGURES_GRADIENTS);
}

static void
run_basic (Bench *bench)
{
  measure (bench, FIL_FIGURES_BASIC);
}

static void
run_mfgs (Bench *bench)
{
  measure (bench, FIL_FIGURES_MFGS);
}

static void
run_sharpness (Bench *bench)
{
  FilRect patch = { (bench->frame->width - 256) / 2, (bench->frame->height - 256) / 2, 256, 256 };

  if (!fil_sharpness_meter_measure (bench->sharpness, bench->frame, &patch, &bench->focus, NULL))
    exit (1);
}

static void
run_pack (Bench *bench)
{
  if (!fil_frame_pack_fits (bench->frame, NULL, bench->stored, NULL))
    exit (1);
}

static void
time_stage (const char *name,
            void      (*stage) (Bench *bench),
            Bench      *bench,
            int         rounds)
{
  double best = 1e9;

  stage (bench);   /* plans, caches, page faults */
  for (int i = 0; i < rounds; i++)
    {
      double begin = now_ms ();

      stage (bench);
      best = MIN (best, now_ms () - begin);
    }
  printf ("{\"name\": \"%s\", \"value\": %.5f, \"unit\": \"ms\"}\n", name, best);
}

int
main (int   argc,
      char *argv[])
{
  g_autofree char *bytes = NULL;
  gsize length;
  int width, height, bits, rounds;
  Bench bench = { 0 };

  if (argc != 6 || !g_file_get_contents (argv[1], &bytes, &length, NULL))
    return 2;
  width = atoi (argv[2]);
  height = atoi (argv[3]);
  bits = atoi (argv[4]);
  rounds = atoi (argv[5]);
  bench.frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), width, height);
  if (bench.frame == NULL || length != bench.frame->size || width < 256 || height < 256)
    return 2;
  memcpy ((guint8 *) bench.frame->data, bytes, length);
  bench.stored = g_malloc0 (length);
  bench.figures = fil_figure_meter_new ();
  fil_figure_meter_set_full (bench.figures, (1 << bits) - 1);
  bench.sharpness = fil_sharpness_meter_new ();

  time_stage ("figures", run_figures, &bench, rounds);
  time_stage ("basic", run_basic, &bench, rounds);
  time_stage ("mfgs", run_mfgs, &bench, rounds);
  time_stage ("sharpness-256", run_sharpness, &bench, 10 * rounds);
  time_stage ("pack", run_pack, &bench, rounds);
  printf ("{\"mean\": %.12g, \"sd\": %.12g, \"brenner\": %.12g, \"tenengrad\": %.12g, "
          "\"laplacian_variance\": %.12g, \"sharpness\": %.12g}\n",
          bench.result.mean, bench.result.sd, bench.result.brenner, bench.result.tenengrad,
          bench.result.laplacian_variance, bench.focus.percent);

  fil_frame_unref (bench.frame);
  fil_figure_meter_free (bench.figures);
  fil_sharpness_meter_free (bench.sharpness);
  g_free (bench.stored);

  return 0;
}
