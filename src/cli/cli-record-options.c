/* cli-record-options.c: what a recording was asked to be
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli-record-options.h"

#define LARGEST_SIDE 100000

/* As typed. They live until the program ends, as argv does. */
typedef struct
{
  char *source, *rig, *out;
  char *frames, *seconds, *roi, *format, *size, *fps, *exposure_ms, *gain, *queue_mib;
} Typed;

static gboolean
parse_positive (const char *text,
                double     *value)
{
  double read;

  if (text == NULL)
    return TRUE;
  if (!fil_cli_parse_number (text, &read) || read <= 0.0)
    return FALSE;

  *value = read;

  return TRUE;
}

static gboolean
parse_count (const char *text,
             guint64     max,
             guint64    *value)
{
  return text == NULL || g_ascii_string_to_unsigned (text, 10, 1, max, value, NULL);
}

static gboolean
parse_size (const char *text,
            int        *width,
            int        *height)
{
  g_auto (GStrv) sides = NULL;
  gint64 w, h;

  if (text == NULL)
    return TRUE;

  sides = g_strsplit (text, "x", 3);
  if (g_strv_length (sides) != 2 ||
      !g_ascii_string_to_signed (sides[0], 10, 1, LARGEST_SIDE, &w, NULL) ||
      !g_ascii_string_to_signed (sides[1], 10, 1, LARGEST_SIDE, &h, NULL))
    return FALSE;

  *width = (int) w;
  *height = (int) h;

  return TRUE;
}

/* A code that we can't read goes to the source too, which says what it has. */
static gboolean
parse_format (const char *text,
              guint32    *fourcc)
{
  const FilPixelFormat *format;
  char padded[4] = { ' ', ' ', ' ', ' ' };
  gsize length;

  if (text == NULL)
    return TRUE;

  format = fil_pixel_format_from_name (text);
  length = strlen (text);
  if (format != NULL)
    *fourcc = format->fourcc;
  else if (length >= 1 && length <= 4)
    {
      memcpy (padded, text, length);
      *fourcc = FIL_FOURCC (padded[0], padded[1], padded[2], padded[3]);
    }
  else
    return FALSE;

  return TRUE;
}

/* Returns: (nullable): what is wrong with what was typed */
static char *
find_fault (const Typed         *typed,
            FilCliRecordOptions *options)
{
  g_autoptr (GError) error = NULL;
  guint64 queue_mib = 0;

  if (typed->source == NULL)
    return g_strdup (_("--source is missing"));
  if (typed->out == NULL)
    return g_strdup (_("--out is missing"));
  if ((typed->frames == NULL) == (typed->seconds == NULL))
    return g_strdup (_("give either --frames or --seconds"));
  if (!parse_count (typed->frames, G_MAXINT32, &options->frames))
    return g_strdup_printf (_("--frames %s: no whole number above 0"), typed->frames);
  if (!parse_positive (typed->seconds, &options->seconds))
    return g_strdup_printf (_("--seconds %s: no number above 0"), typed->seconds);
  if (!parse_positive (typed->fps, &options->mode.fps))
    return g_strdup_printf (_("--fps %s: no number above 0"), typed->fps);
  if (!parse_positive (typed->exposure_ms, &options->exposure_ms))
    return g_strdup_printf (_("--exposure-ms %s: no number above 0"), typed->exposure_ms);
  if (typed->gain != NULL && !fil_cli_parse_number (typed->gain, &options->gain))
    return g_strdup_printf (_("--gain %s: no number"), typed->gain);
  if (!parse_count (typed->queue_mib, 1 << 24, &queue_mib))
    return g_strdup_printf (_("--queue-mib %s: no whole number above 0"), typed->queue_mib);
  if (!parse_size (typed->size, &options->mode.width, &options->mode.height))
    return g_strdup_printf (_("--size %s: give WxH in pixels"), typed->size);
  if (!parse_format (typed->format, &options->mode.fourcc))
    return g_strdup_printf (_("--format %s: no four-character code"), typed->format);
  if (typed->roi != NULL && !fil_rect_parse (typed->roi, &options->mode.roi, &error))
    return g_strdup_printf ("--roi: %s", error->message);

  options->queue_mib = (guint) queue_mib;

  return NULL;
}

/**
 * fil_cli_record_options_parse:
 * @status: (out): what to return when this fails
 *
 * Reads the options of `record`; says what is wrong with them.
 */
gboolean
fil_cli_record_options_parse (FilCliRecordOptions *options,
                              const FilCommand    *command,
                              int                  argc,
                              char               **argv,
                              int                 *status)
{
  Typed t = { .source = NULL };
  g_autofree char *fault = NULL;
  const GOptionEntry entries[] = {
    { "source", 0, 0, G_OPTION_ARG_FILENAME, &t.source, N_("where frames come from: /dev/videoN, sim:…, or a FITS cube"), "S" },
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &t.rig, N_("the rig’s file; a live camera needs one"), "RIG" },
    { "frames", 0, 0, G_OPTION_ARG_STRING, &t.frames, N_("end after N frames"), "N" },
    { "seconds", 0, 0, G_OPTION_ARG_STRING, &t.seconds, N_("end after T seconds"), "T" },
    { "roi", 0, 0, G_OPTION_ARG_STRING, &t.roi, N_("only this region, pixels from the top left"), "X,Y,W,H" },
    { "format", 0, 0, G_OPTION_ARG_STRING, &t.format, N_("pixel format, four characters"), "FOURCC" },
    { "size", 0, 0, G_OPTION_ARG_STRING, &t.size, N_("picture size in pixels"), "WxH" },
    { "fps", 0, 0, G_OPTION_ARG_STRING, &t.fps, N_("frames a second"), "F" },
    { "exposure-ms", 0, 0, G_OPTION_ARG_STRING, &t.exposure_ms, N_("exposure in milliseconds"), "E" },
    { "gain", 0, 0, G_OPTION_ARG_STRING, &t.gain, N_("gain in the camera’s own unit"), "G" },
    { "queue-mib", 0, 0, G_OPTION_ARG_STRING, &t.queue_mib, N_("memory for frames on their way to the disk"), "M" },
    { "loop", 0, 0, G_OPTION_ARG_NONE, &options->loop, N_("a replayed file begins again at its end"), NULL },
    { "out", 0, 0, G_OPTION_ARG_FILENAME, &t.out, N_("the clip to be made"), "FILE" },
    { "force", 0, 0, G_OPTION_ARG_NONE, &options->force, N_("replace FILE when the new clip is whole"), NULL },
    { "json", 0, 0, G_OPTION_ARG_NONE, &options->json, N_("print one JSON object"), NULL },
    { NULL, 0, 0, 0, NULL, NULL, NULL }
  };

  *options = (FilCliRecordOptions) { .exposure_ms = NAN, .gain = NAN };
  if (!fil_cli_parse (command, entries, &argc, &argv, 0, 0, status))
    return FALSE;

  options->source = t.source;
  options->rig = t.rig;
  options->out = t.out;
  fault = find_fault (&t, options);
  if (fault != NULL)
    {
      *status = fil_cli_usage_error (command, "%s", fault);
      return FALSE;
    }

  return TRUE;
}
