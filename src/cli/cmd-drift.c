/* cmd-drift.c: plate scale and camera angle from clips with the drive stopped
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "cli-frames.h"
#include "fil-drift.h"
#include "fil-optics.h"
#include "fil-utc.h"

/* What the options and the clips tell beside the pictures. */
typedef struct
{
  FilRig     *rig;              /* NULL: none was named */
  double      rig_scale;        /* NaN: unknown */
  gboolean    mirrored;
  double      fps;              /* 0: by the files' own times */
  gboolean    have_time;
  gint64      utc_ns;
  GPtrArray  *trackers;         /* of FilDriftTracker */
  double      rate_sum;         /* of the clips, arcsec/s */
} Job;

extern const FilCommand fil_command_drift;

static void
job_clear (Job *job)
{
  g_clear_pointer (&job->rig, fil_rig_unref);
  g_clear_pointer (&job->trackers, g_ptr_array_unref);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Job, job_clear)
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (FilCliFrames, fil_cli_frames_clear)

/* The moment of the clip's first frame: as told, else of the sky that was
 * simulated, else its own. */
static gboolean
find_moment (const Job *job,
             FilClip   *clip,
             gint64    *utc_ns,
             GError   **error)
{
  const char *sky = fil_clip_get_card (clip, "SKYDATE");

  *utc_ns = fil_clip_get_utc_begin_ns (clip);
  if (sky != NULL)
    fil_utc_parse (sky, utc_ns);
  if (job->have_time)
    *utc_ns = job->utc_ns;
  if (*utc_ns != G_MININT64)
    return TRUE;

  g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_TIME,
                       _("the file doesn’t tell when it was taken, and the Sun’s motion depends "
                         "on the day: give --time"));

  return FALSE;
}

/* The rate at which the Sun crosses the sky, by its own hour angle. */
static gboolean
add_rate (Job     *job,
          FilClip *clip,
          GError **error)
{
  gint64 utc_ns;
  FilSun sun;

  if (!find_moment (job, clip, &utc_ns, error) ||
      !fil_sun_compute (utc_ns, NAN, NAN, 0.0, &sun, error))
    return FALSE;

  job->rate_sum += sun.hour_angle_rate_arcsec_per_s * cos (sun.dec_deg * G_PI / 180.0);

  return TRUE;
}

static gboolean
card_is_true (FilClip    *clip,
              const char *keyword)
{
  return g_strcmp0 (fil_clip_get_card (clip, keyword), "T") == 0;
}

/* Clips of ours carry what their rig was. */
static gboolean
add_rig (Job      *job,
         FilClip  *clip,
         gboolean  first,
         GError  **error)
{
  double reflections = 0.0, scale = NAN;
  gboolean mirrored;

  fil_clip_get_card_double (clip, "REFLECTS", &reflections);
  fil_clip_get_card_double (clip, "PXSCALE", &scale);
  if (job->rig != NULL)
    {
      FilOptics optics;

      fil_optics_compute (job->rig, &optics);
      reflections = optics.reflections;
      scale = optics.plate_scale_arcsec_per_px;
    }
  mirrored = fil_place_is_mirrored ((int) CLAMP (reflections, 0.0, 1000.0),
                                    card_is_true (clip, "FLIPX"), card_is_true (clip, "FLIPY"));
  if (!first && mirrored != job->mirrored)
    {
      g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_SIZE,
                           _("it is mirrored where the clips before are not, or the other way "
                             "round: give one --rig for all"));
      return FALSE;
    }
  job->mirrored = mirrored;
  if (scale > 0.0 && isnan (job->rig_scale))
    job->rig_scale = scale;

  return TRUE;
}

static gboolean
find_time_s (const Job        *job,
             const FilClipRow *rows,
             guint64           index,
             double           *time_s,
             GError          **error)
{
  if (job->fps > 0.0)
    *time_s = (double) index / job->fps;
  else if (rows != NULL)
    *time_s = rows[index].time_s;
  else
    {
      g_set_error_literal (error, FIL_DRIFT_ERROR, FIL_DRIFT_ERROR_TIME,
                           _("the file doesn’t tell the frames’ times: give --fps"));
      return FALSE;
    }

  return TRUE;
}

static gboolean
track_frames (Job             *job,
              FilCliFrames    *frames,
              FilDriftTracker *tracker,
              GError         **error)
{
  guint64 n = fil_clip_get_n_frames (frames->clip);
  gboolean have_times = FALSE, good = TRUE;
  const FilClipRow *rows = fil_clip_get_rows (frames->clip, &have_times);

  for (guint64 i = 0; i < n && good; i++)
    {
      g_autoptr (FilFrame) frame = NULL;
      double time_s;

      fil_cli_progress (_("following"), i, n);
      good = find_time_s (job, have_times ? rows : NULL, i, &time_s, error);
      if (good)
        frame = fil_cli_frames_read (frames, i, error);
      good = frame != NULL && fil_drift_tracker_add (tracker, frame, time_s, error);
    }
  fil_cli_progress (_("following"), n, n);
  fil_drift_tracker_flush (tracker);

  return good;
}

static gboolean
track_clip (Job        *job,
            const char *path,
            GError    **error)
{
  g_auto (FilCliFrames) frames = { .clip = fil_clip_open (path, error) };
  FilDriftTracker *tracker;

  if (frames.clip == NULL)
    return FALSE;
  if (!fil_clip_is_complete (frames.clip))
    fprintf (stderr, _("filigree-cli: warning: %s: recording was interrupted; its %"
                       PRIu64 " whole frames are used\n"),
             path, fil_clip_get_n_frames (frames.clip));
  if (!add_rate (job, frames.clip, error) ||
      !add_rig (job, frames.clip, job->trackers->len == 0, error))
    return FALSE;

  tracker = fil_drift_tracker_new ();
  g_ptr_array_add (job->trackers, tracker);

  return track_frames (job, &frames, tracker, error);
}

static gboolean
solve (const Job *job,
       FilDrift  *drift,
       GError   **error)
{
  const guint n = job->trackers->len;
  g_autofree FilDriftTrack *tracks = g_new0 (FilDriftTrack, n);
  FilDriftTerms terms = {
    .rate_arcsec_per_s = job->rate_sum / n,
    .mirrored = job->mirrored,
    .expected_scale_arcsec_per_px = job->rig_scale,
  };

  for (guint i = 0; i < n; i++)
    tracks[i].points = fil_drift_tracker_get_points (g_ptr_array_index (job->trackers, i),
                                                     &tracks[i].n_points);

  return fil_drift_solve (tracks, n, &terms, drift, error);
}

static void
print_json (const Job      *job,
            const FilDrift *drift)
{
  g_autoptr (JsonBuilder) json = json_builder_new ();

  json_builder_begin_object (json);
  fil_cli_json_number (json, "plate_scale_arcsec_per_px", drift->plate_scale_arcsec_per_px);
  fil_cli_json_number (json, "plate_scale_error_arcsec_per_px", drift->plate_scale_error);
  fil_cli_json_number (json, "position_angle_deg", drift->position_angle_deg);
  fil_cli_json_number (json, "position_angle_error_deg", drift->position_angle_error_deg);
  fil_cli_json_bool (json, "mirrored", drift->mirrored);
  fil_cli_json_number (json, "residual_px", drift->residual_px);
  fil_cli_json_number (json, "speed_px_per_s", drift->speed_px_per_s);
  fil_cli_json_number (json, "sky_rate_arcsec_per_s",
                       drift->plate_scale_arcsec_per_px * drift->speed_px_per_s);
  fil_cli_json_number (json, "seconds", drift->seconds);
  fil_cli_json_int (json, "frames", drift->n_frames);
  fil_cli_json_number (json, "rig_plate_scale_arcsec_per_px", job->rig_scale);
  fil_cli_json_bool (json, "scale_differs", fil_drift_scale_differs (drift, job->rig_scale));
  json_builder_end_object (json);

  fil_cli_json_print (json);
}

static void
print_text (const Job      *job,
            const FilDrift *drift)
{
  g_autofree char *why = job->rig != NULL ? fil_drift_explain (drift, job->rig) : NULL;

  printf (_("plate scale        %.5f ± %.5f ″/px\n"), drift->plate_scale_arcsec_per_px,
          drift->plate_scale_error);
  printf (_("position angle     %.3f ± %.3f °, of the picture’s up, from celestial north "
            "through east\n"),
          drift->position_angle_deg, drift->position_angle_error_deg);
  printf (_("mirrored           %s\n"), drift->mirrored ? _("yes") : _("no"));
  printf (_("motion             %.3f px/s over %.1f s, %u frames, %.2f px rms beside the line\n"),
          drift->speed_px_per_s, drift->seconds, drift->n_frames, drift->residual_px);
  if (why != NULL)
    printf ("\n%s\n", why);
  else if (fil_drift_scale_differs (drift, job->rig_scale))
    printf (_("\nThe clip’s rig says %.5f ″/px.\n"), job->rig_scale);
  else if (isfinite (job->rig_scale))
    printf (_("\nThe rig’s scale, %.5f ″/px, agrees.\n"), job->rig_scale);
}

static int
run_job (Job        *job,
         int         argc,
         char      **argv,
         gboolean    as_json)
{
  g_autoptr (GError) error = NULL;
  FilDrift drift;

  for (int i = 1; i < argc; i++)
    if (!track_clip (job, argv[i], &error))
      return fil_cli_fail (argv[i], error);
  if (!solve (job, &drift, &error))
    return fil_cli_fail (argc == 2 ? argv[1] : "drift", error);

  if (as_json)
    print_json (job, &drift);
  else
    print_text (job, &drift);

  return FIL_EXIT_DONE;
}

static int
run (int    argc,
     char **argv)
{
  gboolean as_json = FALSE;
  g_autofree char *rig_path = NULL;
  g_autofree char *time_text = NULL;
  g_autofree char *fps_text = NULL;
  const GOptionEntry entries[] = {
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &rig_path,
      N_("take mirror and nominal scale from this rig"), N_("RIG") },
    { "time", 0, 0, G_OPTION_ARG_STRING, &time_text,
      N_("when the first frame was taken, UTC; otherwise the file’s own DATE-BEG"),
      N_("ISO8601") },
    { "fps", 0, 0, G_OPTION_ARG_STRING, &fps_text,
      N_("frames a second, where the file has no times"), N_("F") },
    { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, N_("print one JSON object"), NULL },
    { 0 }
  };
  g_auto (Job) job = { .rig_scale = NAN };
  g_autoptr (GError) error = NULL;
  int status;

  if (!fil_cli_parse (&fil_command_drift, entries, &argc, &argv, 1, -1, &status))
    return status;
  job.have_time = time_text != NULL;
  if (time_text != NULL && !fil_cli_parse_time (time_text, &job.utc_ns, &error))
    return fil_cli_usage_error (&fil_command_drift, "--time: %s", error->message);
  if (fps_text != NULL && (!fil_cli_parse_number (fps_text, &job.fps) ||
                           !(job.fps > 0.0 && job.fps <= 1e6)))
    return fil_cli_usage_error (&fil_command_drift, _("--fps: “%s” is no number of frames a "
                                                      "second"), fps_text);

  if (rig_path != NULL)
    {
      job.rig = fil_rig_load (rig_path, &error);
      if (job.rig == NULL)
        return fil_cli_fail ("drift", error);
    }
  job.trackers = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_drift_tracker_free);

  return run_job (&job, argc, argv, as_json);
}

const FilCommand fil_command_drift = {
  "drift", "CLIP…", N_("plate scale and camera angle from clips with the drive stopped"), run
};
