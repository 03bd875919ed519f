/* cmd-bench.c: what this computer and disk sustain
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "cli.h"
#include "fil-figures.h"
#include "fil-optics.h"
#include "fil-recorder.h"
#include "fil-sharpness.h"

#define MIB 1048576.0

/* Long enough to reach the disk itself, short enough to be waited for. */
#define STAGE_SECONDS 2.5
#define DISK_BYTES    (G_GINT64_CONSTANT (1) << 30)

#define N_DIFFERENT 4
#define SHOWN_WIDTH 1280

extern const FilCommand fil_command_bench;

typedef struct
{
  FilRig      *rig;
  const char  *folder;
  char        *path;
  int          width, height;
  FilFrame    *frames[N_DIFFERENT];
  JsonBuilder *json;           /* NULL: words */
} Bench;

static double
seconds_since (gint64 begin_us)
{
  return (double) (g_get_monotonic_time () - begin_us) / G_USEC_PER_SEC;
}

static void
add_stage (Bench      *bench,
           const char *name,
           double      value,
           const char *unit)
{
  if (bench->json == NULL)
    {
      printf ("%-40s %8.1f %s\n", name, value, unit);
      return;
    }

  json_builder_begin_object (bench->json);
  fil_cli_json_string (bench->json, "name", name);
  fil_cli_json_number (bench->json, "value", value);
  fil_cli_json_string (bench->json, "unit", unit);
  json_builder_end_object (bench->json);
}

/* A surface with detail of every size and some noise; the same every time. */
static FilFrame *
make_frame (const Bench *bench,
            guint32      seed)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y12"), bench->width,
                                         bench->height);
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  guint16 *pixels;

  if (frame == NULL)
    return NULL;

  pixels = (guint16 *) (guintptr) frame->data;
  for (int y = 0; y < bench->height; y++)
    for (int x = 0; x < bench->width; x++)
      {
        guint32 noise = g_rand_int (rand);
        int count = 2000 + ((x ^ y) & 0xff) + (int) (noise & 0x3f);

        pixels[(gsize) y * (gsize) bench->width + (gsize) x] = GUINT16_TO_LE ((guint16) count);
      }
  frame->exposure_ms = 5.0;

  return frame;
}

static gboolean
bench_disk (Bench   *bench,
            double  *mib_per_s,
            GError **error)
{
  gsize frame_bytes = bench->frames[0]->size;
  gint64 begin_us = g_get_monotonic_time (), written = 0;
  int fd = open (bench->path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  gboolean ok = fd >= 0;

  while (ok && written < DISK_BYTES && seconds_since (begin_us) < STAGE_SECONDS)
    {
      const FilFrame *frame = bench->frames[(gsize) written / frame_bytes % N_DIFFERENT];

      ok = write (fd, frame->data, frame_bytes) == (ssize_t) frame_bytes;
      written += (gint64) frame_bytes;
    }
  ok = ok && fdatasync (fd) == 0;
  *mib_per_s = (double) written / MIB / seconds_since (begin_us);
  if (!ok)
    g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (errno), "%s",
                 g_strerror (errno));
  if (fd >= 0)
    {
      close (fd);
      g_unlink (bench->path);
    }

  return ok;
}

static gboolean
bench_recording (Bench             *bench,
                 FilRecorderStatus *status,
                 GError           **error)
{
  FilRecorderOptions options = { .path = bench->path, .max_seconds = STAGE_SECONDS,
                                 .wait = TRUE };
  FilClipInfo info = {
    .width = bench->width, .height = bench->height, .raw = TRUE, .fourcc = "Y12 ",
    .rig = bench->rig, .exposure_ms = 5.0, .gain = NAN, .black_level = NAN,
    .fps_nominal = NAN, .detector = "bench", .driver = "", .simulated = "simulated Sun",
    .confirmed_utc_ns = G_MININT64, .sharp_cutoff_cycles_per_px = NAN,
  };
  g_autoptr (FilRecorder) recorder = fil_recorder_new (&options, &info, error);
  gboolean whole;

  if (recorder == NULL)
    return FALSE;

  for (guint64 i = 0;; i++)
    {
      FilFrame *frame = bench->frames[i % N_DIFFERENT];

      frame->sequence = i;
      frame->time_ns = g_get_monotonic_time () * 1000;
      if (!fil_recorder_offer (recorder, frame))
        break;
    }
  whole = fil_recorder_finish (recorder, status, error);
  g_unlink (bench->path);

  return whole;
}

static double
bench_measuring (Bench *bench)
{
  g_autoptr (FilFigureMeter) figure_meter = fil_figure_meter_new ();
  g_autoptr (FilSharpnessMeter) sharpness_meter = fil_sharpness_meter_new ();
  gint64 begin_us = g_get_monotonic_time ();
  FilSharpness sharpness;
  FilFigures figures;
  FilRect patch;
  guint n = 0;

  fil_sharpness_meter_set (sharpness_meter, 0.5, 0.0);
  do
    {
      const FilFrame *frame = bench->frames[n++ % N_DIFFERENT];

      if (!fil_figure_meter_measure (figure_meter, frame, NULL,
                                     FIL_FIGURES_BASIC | FIL_FIGURES_HISTOGRAM, &figures,
                                     NULL))
        return NAN;
      if (fil_sharpness_default_patch (frame->width, frame->height, &patch) &&
          !fil_sharpness_meter_measure (sharpness_meter, frame, &patch, &sharpness, NULL))
        return NAN;
    }
  while (seconds_since (begin_us) < STAGE_SECONDS / 2);

  return n / seconds_since (begin_us);
}

/* Every pixel of the smaller picture is the mean of the counts it covers. */
static void
scale_row (const uint16_t *pixels,
           int             width,
           int             step,
           int             row,
           guint8         *shown)
{
  for (int x = 0; x < width / step; x++)
    {
      guint sum = 0;

      for (int dy = 0; dy < step; dy++)
        for (int dx = 0; dx < step; dx++)
          sum += pixels[(gsize) (row * step + dy) * (gsize) width + (gsize) (x * step + dx)];
      shown[x] = (guint8) (sum / (guint) (step * step) >> 4);
    }
}

static double
bench_showing (Bench *bench)
{
  int step = MAX (1, bench->width / SHOWN_WIDTH);
  gsize n_pixels = (gsize) bench->width * (gsize) bench->height;
  g_autofree uint16_t *pixels = g_new (uint16_t, n_pixels);
  g_autofree guint8 *shown = g_new (guint8, n_pixels);
  gint64 begin_us = g_get_monotonic_time ();
  guint n = 0;

  do
    {
      if (!fil_frame_unpack (bench->frames[n++ % N_DIFFERENT], NULL, pixels, NULL))
        return NAN;
      for (int row = 0; row < bench->height / step; row++)
        scale_row (pixels, bench->width, step, row,
                   shown + (gsize) row * (gsize) (bench->width / step));
    }
  while (seconds_since (begin_us) < STAGE_SECONDS / 2);

  return n / seconds_since (begin_us);
}

static gboolean
run_stages (Bench   *bench,
            GError **error)
{
  FilRecorderStatus status = { 0 };
  double mib_per_s = NAN;

  if (!bench_disk (bench, &mib_per_s, error) || !bench_recording (bench, &status, error))
    return FALSE;

  add_stage (bench, "disk", mib_per_s, "MiB/s");
  add_stage (bench, "recorded", (double) status.frames / status.seconds, "frames/s");
  add_stage (bench, "recorded-bytes", (double) status.bytes / MIB / status.seconds, "MiB/s");
  add_stage (bench, "measured", bench_measuring (bench), "frames/s");
  add_stage (bench, "shown", bench_showing (bench), "frames/s");

  return TRUE;
}

/* The rig's sensor; without one, a common size. */
static gboolean
set_up (Bench *bench)
{
  const FilElement *camera;

  bench->width = 1920;
  bench->height = 1080;
  camera = bench->rig != NULL ? fil_rig_find (bench->rig, FIL_ELEMENT_CAMERA) : NULL;
  if (camera != NULL && camera->columns > 0 && camera->rows > 0)
    {
      bench->width = camera->columns;
      bench->height = camera->rows;
    }

  bench->path = g_strdup_printf ("%s/.filigree-bench-%d-%08x", bench->folder, (int) getpid (),
                                 g_random_int ());
  for (guint i = 0; i < N_DIFFERENT; i++)
    {
      bench->frames[i] = make_frame (bench, i);
      if (bench->frames[i] == NULL)
        return FALSE;
    }

  return TRUE;
}

static void
tear_down (Bench *bench)
{
  for (guint i = 0; i < N_DIFFERENT; i++)
    g_clear_pointer (&bench->frames[i], fil_frame_unref);
  g_clear_pointer (&bench->rig, fil_rig_unref);
  g_clear_object (&bench->json);
  g_clear_pointer (&bench->path, g_free);
}

static int
bench_all (Bench *bench)
{
  g_autoptr (GError) error = NULL;

  if (!set_up (bench))
    {
      g_set_error (&error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
                   _("there is no memory for pictures of %d × %d"), bench->width,
                   bench->height);
      return fil_cli_fail ("bench", error);
    }

  if (bench->json != NULL)
    {
      json_builder_begin_object (bench->json);
      fil_cli_json_int (bench->json, "width", bench->width);
      fil_cli_json_int (bench->json, "height", bench->height);
      json_builder_set_member_name (bench->json, "stages");
      json_builder_begin_array (bench->json);
    }
  else
    printf (_("Pictures of %d × %d, 12 bits; files in %s\n"), bench->width, bench->height,
            bench->folder);

  if (!run_stages (bench, &error))
    return fil_cli_fail (bench->folder, error);

  if (bench->json != NULL)
    {
      json_builder_end_array (bench->json);
      json_builder_end_object (bench->json);
      fil_cli_json_print (bench->json);
    }

  return FIL_EXIT_DONE;
}

static int
run (int    argc,
     char **argv)
{
  g_autofree char *rig = NULL;
  g_autofree char *folder = NULL;
  gboolean json = FALSE;
  g_autoptr (GError) error = NULL;
  Bench bench = { .rig = NULL };
  int status;
  const GOptionEntry entries[] = {
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &rig, N_("pictures of this rig’s sensor"), "RIG" },
    { "dir", 0, 0, G_OPTION_ARG_FILENAME, &folder, N_("the folder whose disk is tried; without it, the present one"), "DIR" },
    { "json", 0, 0, G_OPTION_ARG_NONE, &json, N_("print one JSON object"), NULL },
    { NULL, 0, 0, 0, NULL, NULL, NULL }
  };

  if (!fil_cli_parse (&fil_command_bench, entries, &argc, &argv, 0, 0, &status))
    return status;

  if (rig != NULL)
    {
      bench.rig = fil_rig_load (rig, &error);
      if (bench.rig == NULL)
        return fil_cli_fail (rig, error);
    }
  bench.folder = folder != NULL ? folder : ".";
  bench.json = json ? json_builder_new () : NULL;
  status = bench_all (&bench);
  tear_down (&bench);

  return status;
}

const FilCommand fil_command_bench = {
  "bench", "[--rig RIG] [--dir DIR]", N_("try what this computer and disk sustain"), run
};
