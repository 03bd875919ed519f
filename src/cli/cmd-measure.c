/* cmd-measure.c: every frame of a picture or cube measured
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-clip.h"
#include "fil-figures.h"
#include "fil-optics.h"
#include "fil-sharpness.h"

/* One frame at a time; @numbers holds it where counts don't fit 16 bits, else
 * only the sharpness' patch. */
typedef struct
{
  FilClip           *clip;
  int                width, height;
  FilRect            rect;          /* for the figures */
  FilRect            patch;         /* for the sharpness; width 0: none */
  FilFigureMeter    *figures;
  FilSharpnessMeter *sharpness;
  double            *numbers;
  uint16_t          *counts;        /* of the patch */
} Job;

typedef struct
{
  FilFigures figures;
  double     sharpness;
} Row;

extern const FilCommand fil_command_measure;

static void
job_clear (Job *job)
{
  g_clear_pointer (&job->clip, fil_clip_close);
  g_clear_pointer (&job->figures, fil_figure_meter_free);
  g_clear_pointer (&job->sharpness, fil_sharpness_meter_free);
  g_free (job->numbers);
  g_free (job->counts);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Job, job_clear)

static gsize
area (const FilRect *rect)
{
  return (gsize) rect->width * (gsize) rect->height;
}

static gboolean
job_reserve (Job     *job,
             GError **error)
{
  FilRect frame = { 0, 0, job->width, job->height };
  gsize n = fil_clip_is_integer (job->clip) ? area (&job->patch) : area (&frame);

  job->numbers = g_try_new (double, MAX (n, 1));
  job->counts = g_try_new (uint16_t, MAX (area (&job->patch), 1));
  if (job->numbers != NULL && job->counts != NULL)
    return TRUE;

  g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
               _("there is not enough memory for a frame of %d × %d pixels"), job->width,
               job->height);

  return FALSE;
}

/* @patch: width 0: none given */
static gboolean
job_open (Job           *job,
          const char    *path,
          const FilRect *patch,
          double         cutoff,
          GError       **error)
{
  job->clip = fil_clip_open (path, error);
  if (job->clip == NULL)
    return FALSE;

  job->width = fil_clip_get_width (job->clip);
  job->height = fil_clip_get_height (job->clip);
  job->rect = (FilRect) { 0, 0, job->width, job->height };
  if (patch->width > 0)
    {
      if (!fil_rect_is_inside (patch, job->width, job->height))
        {
          g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                       _("the patch lies beyond its %d × %d pixels"), job->width, job->height);
          return FALSE;
        }
      job->rect = job->patch = *patch;
    }
  else if (!fil_sharpness_default_patch (job->width, job->height, &job->patch))
    job->patch.width = 0;

  job->figures = fil_figure_meter_new ();
  fil_figure_meter_set_full (job->figures, fil_clip_get_full_scale (job->clip));
  job->sharpness = fil_sharpness_meter_new ();
  fil_sharpness_meter_set (job->sharpness, cutoff, fil_clip_get_black_level (job->clip));

  return job_reserve (job, error);
}

static double
sharpness_of (Job          *job,
              const double *pixels,
              int           stride)
{
  FilSharpness sharpness;

  fil_sharpness_meter_measure_double (job->sharpness, pixels, job->patch.width,
                                      job->patch.height, stride, &sharpness);

  return sharpness.percent;
}

/* Counts: the figures in whole numbers, the sharpness in double precision. */
static gboolean
measure_counts (Job     *job,
                guint64  index,
                Row     *row,
                GError **error)
{
  g_autoptr (FilFrame) frame = fil_clip_read_frame (job->clip, index, error);
  gsize width = (gsize) job->patch.width, height = (gsize) job->patch.height;

  if (frame == NULL ||
      !fil_figure_meter_measure (job->figures, frame, &job->rect,
                                 FIL_FIGURES_ALL & ~FIL_FIGURES_HISTOGRAM, &row->figures, error))
    return FALSE;
  if (width == 0)
    return TRUE;

  if (!fil_frame_unpack (frame, &job->patch, job->counts, error))
    return FALSE;
  for (gsize y = 0; y < height; y++)   /* the bottom row comes first */
    for (gsize x = 0; x < width; x++)
      job->numbers[y * width + x] = job->counts[(height - 1 - y) * width + x];
  row->sharpness = sharpness_of (job, job->numbers, job->patch.width);

  return TRUE;
}

/* Where a rectangle, counted from the top left, begins in rows from the bottom. */
static gsize
find_corner (const Job     *job,
             const FilRect *rect)
{
  return (gsize) (job->height - rect->y - rect->height) * (gsize) job->width + (gsize) rect->x;
}

/* Moves a rectangle's rows together, at the beginning of the frame. */
static void
pack_rows (Job           *job,
           const FilRect *rect)
{
  const double *from = job->numbers + find_corner (job, rect);
  double *to = job->numbers;

  for (int y = 0; y < rect->height; y++)
    for (int x = 0; x < rect->width; x++)
      *to++ = from[(gsize) y * (gsize) job->width + (gsize) x];
}

/* Numbers of any kind. */
static gboolean
measure_numbers (Job     *job,
                 guint64  index,
                 Row     *row,
                 GError **error)
{
  if (!fil_clip_read_double (job->clip, index, job->numbers, error))
    return FALSE;

  if (job->patch.width > 0)
    row->sharpness =
      sharpness_of (job, job->numbers + find_corner (job, &job->patch), job->width);
  pack_rows (job, &job->rect);
  fil_figures_measure_double (job->numbers, job->rect.width, job->rect.height,
                              fil_clip_get_full_scale (job->clip), &row->figures);

  return TRUE;
}

static gboolean
measure_frame (Job     *job,
               guint64  index,
               Row     *row,
               GError **error)
{
  row->sharpness = NAN;

  return fil_clip_is_integer (job->clip) ? measure_counts (job, index, row, error)
                                         : measure_numbers (job, index, row, error);
}

/* Row by row: a long clip's tree of nodes would be far larger than its rows. */
static void
print_json_row (const Row *row,
                gboolean   last)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  g_autoptr (JsonNode) root = NULL;
  g_autofree char *text = NULL;
  guint n;
  const FilFigureValue *values = fil_figures_list_values (&n);

  json_builder_begin_object (json);
  for (guint i = 0; i < n; i++)
    fil_cli_json_number (json, values[i].key, fil_figures_get (&row->figures, &values[i]));
  fil_cli_json_number (json, "sharpness", row->sharpness);
  json_builder_end_object (json);

  root = json_builder_get_root (json);
  json_generator_set_root (generator, root);
  text = json_generator_to_data (generator, NULL);
  printf ("    %s%s\n", text, last ? "" : ",");
}

static void
print_json (const GArray *rows)
{
  puts ("{\n  \"frames\" : [");
  for (guint i = 0; i < rows->len; i++)
    print_json_row (&g_array_index (rows, Row, i), i + 1 == rows->len);
  puts ("  ]\n}");
}

/* printf() pads by bytes, a table needs characters. */
static void
print_text (const char *text,
            int         width,
            const char *before)
{
  glong missing = width - g_utf8_strlen (text, -1);

  printf ("%s%*s%s", before, (int) MAX (missing, 0), "", text);
}

static void
print_cell (double value,
            int    width,
            double scale)
{
  if (isfinite (value))
    printf (" %*.*g", width, width - 5, value * scale);
  else
    print_text ("–", width, " ");
}

static void
print_heading (void)
{
  static const int widths[] = { 7, 10, 10, 9, 9, 9, 9, 10, 10, 10, 10, 9 };
  const char *const heads[] = {
    _("frame"), _("mean"), _("sd"), _("min"), _("max"), _("full %"), _("empty %"),
    _("sharpness"), _("Brenner"), _("Tenengrad"), _("Laplacian"), _("MFGS"),
  };

  for (gsize i = 0; i < G_N_ELEMENTS (heads); i++)
    print_text (heads[i], widths[i], i == 0 ? "" : " ");
  putchar ('\n');
}

static void
print_row (guint      index,
           const Row *row)
{
  const FilFigures *f = &row->figures;

  printf ("%7u", index);
  print_cell (f->mean, 10, 1.0);
  print_cell (f->sd, 10, 1.0);
  print_cell (f->min, 9, 1.0);
  print_cell (f->max, 9, 1.0);
  print_cell (f->full_fraction, 9, 100.0);
  print_cell (f->empty_fraction, 9, 100.0);
  print_cell (row->sharpness, 10, 1.0);
  print_cell (f->brenner, 10, 1.0);
  print_cell (f->tenengrad, 10, 1.0);
  print_cell (f->laplacian_variance, 10, 1.0);
  print_cell (f->mfgs, 9, 1.0);
  putchar ('\n');
}

static gboolean
measure_all (Job     *job,
             GArray  *rows,
             GError **error)
{
  guint64 n = fil_clip_get_n_frames (job->clip);

  for (guint64 i = 0; i < n; i++)
    {
      Row row;

      fil_cli_progress (_("measuring"), i, n);
      if (!measure_frame (job, i, &row, error))
        {
          fil_cli_progress (_("measuring"), n, n);
          return FALSE;
        }
      g_array_append_val (rows, row);
    }
  fil_cli_progress (_("measuring"), n, n);

  return TRUE;
}

/* @path: %NULL: no rig, and half a cycle a pixel, the finest that pixels show */
static gboolean
find_cutoff (const char *path,
             double     *cutoff,
             GError    **error)
{
  g_autoptr (FilRig) rig = NULL;
  FilOptics optics;

  *cutoff = 0.5;
  if (path == NULL)
    return TRUE;

  rig = fil_rig_load (path, error);
  if (rig == NULL)
    return FALSE;
  fil_optics_compute (rig, &optics);
  *cutoff = optics.cutoff_cycles_per_px;

  return TRUE;
}

static int
run (int    argc,
     char **argv)
{
  gboolean as_json = FALSE;
  g_autofree char *patch_text = NULL;
  g_autofree char *rig_path = NULL;
  const GOptionEntry entries[] = {
    { "patch", 0, 0, G_OPTION_ARG_STRING, &patch_text,
      N_("measure inside this rectangle, from the top left"), "X,Y,W,H" },
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &rig_path,
      N_("take the optical cut-off from this rig"), N_("RIG") },
    { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, N_("print one JSON object"), NULL },
    { 0 }
  };
  g_auto (Job) job = { 0 };
  g_autoptr (GArray) rows = g_array_new (FALSE, FALSE, sizeof (Row));
  g_autoptr (GError) error = NULL;
  FilRect patch = { 0 };
  double cutoff;
  int status;

  if (!fil_cli_parse (&fil_command_measure, entries, &argc, &argv, 1, 1, &status))
    return status;
  if (patch_text != NULL && !fil_rect_parse (patch_text, &patch, &error))
    return fil_cli_usage_error (&fil_command_measure, "%s", error->message);

  if (!find_cutoff (rig_path, &cutoff, &error))
    return fil_cli_fail (rig_path, error);
  if (!job_open (&job, argv[1], &patch, cutoff, &error))
    return fil_cli_fail (argv[1], error);
  if (!fil_clip_is_complete (job.clip))
    fprintf (stderr, _("filigree-cli: warning: %s: recording was interrupted; its %"
                       PRIu64 " whole frames are measured\n"),
             argv[1], fil_clip_get_n_frames (job.clip));

  if (!measure_all (&job, rows, &error))
    return fil_cli_fail (argv[1], error);
  if (as_json)
    {
      print_json (rows);
      return FIL_EXIT_DONE;
    }

  print_heading ();
  for (guint i = 0; i < rows->len; i++)
    print_row (i, &g_array_index (rows, Row, i));

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_measure = {
  "measure", "FITS", N_("measure every frame of a FITS picture or cube"), run
};
