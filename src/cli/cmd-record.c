/* cmd-record.c: record a clip
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <glib-unix.h>
#include <glib/gi18n-lib.h>

#include "cli-gate.h"
#include "cli-record-options.h"
#include "fil-gate.h"

#define MIB 1048576.0

extern const FilCommand fil_command_record;

/* Refusing findings first, then a missing pass; the device stays closed. */
static int
ask_gate (const FilCliRecordOptions *options,
          FilRig                    *rig,
          FilGatePass              **pass)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GError) no_camera = NULL;
  gboolean refused = fil_cli_report_refusals (rig, stderr);
  g_autofree char *identity = NULL;

  identity = fil_source_dup_identity (options->source, &no_camera);
  if (refused)
    g_set_error_literal (&error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED,
                         _("the gate is closed: no pass is given for this light path"));
  else if (identity == NULL)
    g_set_error (&error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED, _("the gate is closed: %s"),
                 no_camera->message);
  else
    *pass = fil_gate_load_pass (rig, identity, &error);

  return *pass != NULL ? FIL_EXIT_DONE : fil_cli_fail (options->source, error);
}

/* The sensor reads the region alone where it can; otherwise it is cut out of
 * the whole picture. */
static gboolean
open_source (FilLive                   *live,
             const FilCliRecordOptions *options,
             FilRig                    *rig,
             FilRect                   *cut,
             GError                   **error)
{
  FilSourceOptions how = { .rig = rig, .fps = options->mode.fps, .loop = options->loop,
                           .unpaced = TRUE };
  FilSourceMode mode = options->mode, got = { 0 };
  g_autoptr (FilSource) source = fil_source_open (options->source, &how, error);

  if (source == NULL)
    return FALSE;

  if (mode.roi.width != 0 && mode.width == 0)
    {
      mode.width = mode.roi.width;
      mode.height = mode.roi.height;
      if (fil_source_set_mode (source, &mode, &got, NULL) &&
          got.width == mode.width && got.height == mode.height &&
          got.roi.x == mode.roi.x && got.roi.y == mode.roi.y &&
          got.roi.width == mode.roi.width && got.roi.height == mode.roi.height)
        return fil_live_open_source (live, source, options->source, rig, &mode, error);
    }

  *cut = mode.roi;
  mode = options->mode;
  mode.roi = (FilRect) { 0 };

  return fil_live_open_source (live, source, options->source, rig, &mode, error);
}

static gboolean
set_gain (FilLive  *live,
          double    gain,
          GError  **error)
{
  g_autoptr (FilControl) control = NULL;
  GVariant *value;

  control = fil_source_dup_role (fil_live_get_source (live), FIL_ROLE_GAIN);
  if (control == NULL)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                           _("this source has no gain to set"));
      return FALSE;
    }

  value = control->type == FIL_CONTROL_REAL ? g_variant_new_double (gain)
                                            : g_variant_new_int64 ((gint64) llround (gain));

  return fil_live_set_control (live, control->id, value, error);
}

static gboolean
set_controls (FilLive                   *live,
              const FilCliRecordOptions *options,
              GError                   **error)
{
  if (isfinite (options->exposure_ms) &&
      !fil_live_set_exposure_ms (live, options->exposure_ms, error))
    return FALSE;

  return !isfinite (options->gain) || set_gain (live, options->gain, error);
}

/* Too little room warns; what fits is recorded. */
static void
warn_of_room (FilLive                   *live,
              const FilCliRecordOptions *options,
              const FilRect             *cut)
{
  g_autofree char *folder = g_path_get_dirname (options->out);
  const FilPixelFormat *format;
  FilSourceMode mode;
  struct statvfs room;
  double frames, needed, there;

  fil_live_get_mode (live, &mode);
  format = fil_pixel_format_from_fourcc (mode.fourcc);
  frames = options->frames > 0 ? (double) options->frames : options->seconds * mode.fps;
  needed = frames * (cut->width != 0 ? cut->width : mode.width) *
           (cut->width != 0 ? cut->height : mode.height) *
           (format != NULL ? (double) fil_pixel_format_stored_bytes (format) : 2.0);
  if (statvfs (folder, &room) != 0)
    return;

  there = (double) room.f_bavail * (double) room.f_frsize;
  if (needed > there)
    fprintf (stderr, _("filigree-cli: warning: about %.0f MiB are needed and %.0f MiB are "
                       "free; recording starts all the same\n"), needed / MIB, there / MIB);
}

static void
show_progress (FilLive  *live,
               gpointer  user_data)
{
  FilRecorderStatus status;

  if (!isatty (STDERR_FILENO))
    return;

  fil_live_get_recording (live, &status);
  fputc ('\r', stderr);
  fprintf (stderr, _("%" PRIu64 " frames, %.1f s, lost %" PRIu64 ", queue %.0f %%"),
           status.frames, status.seconds, status.lost, 100.0 * status.queue_fill);
  fputs (" \033[K", stderr);
  if (!fil_live_is_recording (live))
    fputc ('\n', stderr);
}

/* Five minutes' notice; a running clip may go on a little beyond the end. */
static void
show_notice (FilLive  *live,
             gpointer  user_data)
{
  gint64 remaining_s = fil_live_get_pass_remaining_s (live);

  if (remaining_s > 0 && remaining_s <= FIL_GATE_NOTICE_MINUTES * 60)
    fprintf (stderr, _("filigree-cli: warning: the confirmation of the filter runs out in "
                       "%d minutes; the clip is closed %d minutes later at the latest\n"),
             (int) (remaining_s + 59) / 60, FIL_GATE_GRACE_MINUTES);
}

static gboolean
on_signal (gpointer user_data)
{
  fil_live_finish_recording (user_data);

  return G_SOURCE_CONTINUE;
}

static void
report (const FilCliRecordOptions *options,
        const FilRecorderStatus   *status)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();
  struct stat file;
  double bytes = stat (options->out, &file) == 0 ? (double) file.st_size
                                                 : (double) status->bytes;
  double mib_per_s = status->seconds > 0.0 ? bytes / MIB / status->seconds : NAN;

  if (!options->json)
    {
      printf (_("%s: %" PRIu64 " frames in %.1f s, lost %" PRIu64
                ", lost by the source %" PRIu64 "\n"), options->out,
              status->frames, status->seconds, status->lost, status->source_gaps);
      return;
    }

  json_builder_begin_object (json);
  fil_cli_json_int (json, "frames", (gint64) status->frames);
  fil_cli_json_int (json, "lost", (gint64) status->lost);
  fil_cli_json_int (json, "source_gaps", (gint64) status->source_gaps);
  fil_cli_json_int (json, "damaged", (gint64) status->damaged);
  fil_cli_json_number (json, "seconds", status->seconds);
  fil_cli_json_int (json, "bytes", (gint64) bytes);
  fil_cli_json_number (json, "mib_per_s", mib_per_s);
  fil_cli_json_string (json, "path", options->out);
  json_builder_end_object (json);
  fil_cli_json_print (json);
}

static gboolean
record (FilLive                   *live,
        const FilCliRecordOptions *options,
        const FilRect             *cut,
        FilGatePass               *pass,
        FilRecorderStatus         *status,
        GError                   **error)
{
  FilRecorderOptions how = {
    .path = options->out,
    .replace = options->force,
    .max_frames = options->frames,
    .max_seconds = options->seconds,
    .queue_mib = options->queue_mib,
    .cut = *cut,
  };
  guint interrupt, terminate;
  gboolean started;

  if (!fil_live_record (live, &how, error))
    return FALSE;

  interrupt = g_unix_signal_add (SIGINT, on_signal, live);
  terminate = g_unix_signal_add (SIGTERM, on_signal, live);
  g_signal_connect (live, "recording-changed", G_CALLBACK (show_progress), NULL);
  g_signal_connect (live, "pass-changed", G_CALLBACK (show_notice), NULL);
  started = fil_live_start (live, pass, error);
  while (started && fil_live_is_recording (live))
    fil_live_iterate (live, TRUE);
  g_source_remove (interrupt);
  g_source_remove (terminate);
  fil_live_stop (live);

  return fil_live_end_recording (live, status, started ? error : NULL) && started;
}

static int
run_with (const FilCliRecordOptions *options,
          FilRig                    *rig,
          FilGatePass               *pass)
{
  g_autoptr (FilLive) live = fil_live_new ();
  g_autoptr (GError) error = NULL;
  FilRecorderStatus status = { 0 };
  FilRect cut = { 0 };
  gboolean whole;

  if (!open_source (live, options, rig, &cut, &error))
    {
      gboolean usage = g_error_matches (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME);

      return usage ? fil_cli_usage_error (&fil_command_record, "%s", error->message)
                   : fil_cli_fail (options->source, error);
    }
  if (!set_controls (live, options, &error))
    return fil_cli_fail (options->source, error);

  warn_of_room (live, options, &cut);
  whole = record (live, options, &cut, pass, &status, &error);
  if (whole || status.frames > 0)
    report (options, &status);

  return whole ? FIL_EXIT_DONE : fil_cli_fail (options->out, error);
}

static int
run (int    argc,
     char **argv)
{
  FilCliRecordOptions options;
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (FilGatePass) pass = NULL;
  g_autoptr (GError) error = NULL;
  gboolean live;
  int status;

  if (!fil_cli_record_options_parse (&options, &fil_command_record, argc, argv, &status))
    return status;

  live = fil_source_name_is_live (options.source);
  if (live && options.rig == NULL)
    return fil_cli_usage_error (&fil_command_record, _("a live camera needs --rig"));

  if (options.rig != NULL)
    {
      rig = fil_rig_load (options.rig, &error);
      if (rig == NULL)
        return fil_cli_fail (options.rig, error);
    }
  else if (g_str_has_prefix (options.source, "sim:"))
    rig = fil_rig_new_demo ();

  if (live)
    {
      status = ask_gate (&options, rig, &pass);
      if (status != FIL_EXIT_DONE)
        return status;
    }

  return run_with (&options, rig, pass);
}

const FilCommand fil_command_record = {
  "record",
  "--source S [--rig RIG] (--frames N | --seconds T) --out FILE",
  N_("record a clip"),
  run
};
