/* fil-orientation-file.c: measured scales and angles, kept for the next time
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A group a pair of rig and camera. An angle holds until the camera is turned,
 * which only the observer knows; a scale holds until the rig's own number
 * changes, which is seen here. */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-optics.h"
#include "fil-orientation-file.h"

#define SAME_SCALE 1e-4
#define NS         G_GINT64_CONSTANT (1000000000)

G_DEFINE_QUARK (fil-orientation-error-quark, fil_orientation_error)

/* Returns: (transfer full): where the window keeps them */
char *
fil_orientation_path (void)
{
  return g_build_filename (g_get_user_data_dir (), "filigree", "orientations", NULL);
}

static double
nominal_scale (const FilRig *rig)
{
  FilOptics optics;

  fil_optics_compute (rig, &optics);

  return optics.plate_scale_arcsec_per_px;
}

/* Names may hold anything; a group's name may not. */
static char *
group_name (const FilRig *rig,
            const char   *camera)
{
  g_autofree char *rig_name = g_uri_escape_string (fil_rig_get_name (rig), " ", TRUE);
  g_autofree char *camera_name = g_uri_escape_string (camera, " :,=", TRUE);

  return g_strdup_printf ("%s, %s", rig_name, camera_name);
}

static GKeyFile *
read_file (const char *path,
           GError    **error)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autoptr (GError) failure = NULL;

  if (g_key_file_load_from_file (file, path, G_KEY_FILE_KEEP_COMMENTS, &failure) ||
      g_error_matches (failure, G_FILE_ERROR, G_FILE_ERROR_NOENT))
    return g_steal_pointer (&file);

  g_set_error (error, FIL_ORIENTATION_ERROR, FIL_ORIENTATION_ERROR_FILE,
               _("%s holds no angles and was left as it is: %s. Move it away, then measure again."),
               path, failure->message);

  return NULL;
}

static gboolean
get_number (GKeyFile   *file,
            const char *group,
            const char *key,
            double      least,
            double      most,
            double     *value)
{
  g_autoptr (GError) failure = NULL;
  double number = g_key_file_get_double (file, group, key, &failure);

  if (failure != NULL || !(number >= least && number <= most))
    return FALSE;
  *value = number;

  return TRUE;
}

static gboolean
get_time (GKeyFile   *file,
          const char *group,
          gint64     *utc_ns)
{
  g_autofree char *text = g_key_file_get_string (file, group, "measured", NULL);
  g_autoptr (GDateTime) time = text != NULL ? g_date_time_new_from_iso8601 (text, NULL) : NULL;

  if (time == NULL)
    return FALSE;
  *utc_ns = g_date_time_to_unix (time) * NS;

  return TRUE;
}

/**
 * fil_orientation_load:
 * @camera: the source's name
 * @place: (inout): by the rig alone; scale and angle are put in where they
 *   were measured with this rig, as it is now, and this camera
 *
 * A file that can't be read is one that holds nothing.
 *
 * Returns: whether anything was put in
 */
gboolean
fil_orientation_load (const char   *path,
                      const FilRig *rig,
                      const char   *camera,
                      FilPlace     *place)
{
  g_autoptr (GKeyFile) file = NULL;
  g_autofree char *group = NULL;
  FilPlace found = *place;
  double rig_scale;

  g_return_val_if_fail (path != NULL && rig != NULL && camera != NULL && place != NULL, FALSE);

  file = read_file (path, NULL);
  group = group_name (rig, camera);
  if (file == NULL ||
      !get_number (file, group, "plate_scale_arcsec_per_px", 1e-4, 1e4,
                   &found.plate_scale_arcsec_per_px) ||
      !get_number (file, group, "plate_scale_error", 0.0, 1e4, &found.plate_scale_error) ||
      !get_number (file, group, "position_angle_deg", 0.0, 360.0, &found.position_angle_deg) ||
      !get_number (file, group, "position_angle_error_deg", 0.0, 360.0,
                   &found.position_angle_error_deg) ||
      !get_number (file, group, "rig_scale_arcsec_per_px", 1e-4, 1e4, &rig_scale) ||
      !get_time (file, group, &found.oriented_utc_ns))
    return FALSE;

  if (!(fabs (rig_scale / nominal_scale (rig) - 1.0) < SAME_SCALE) ||
      g_key_file_get_boolean (file, group, "mirrored", NULL) != place->mirrored)
    return FALSE;

  found.oriented = TRUE;
  *place = found;

  return TRUE;
}

static void
set_number (GKeyFile   *file,
            const char *group,
            const char *key,
            double      value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  g_key_file_set_string (file, group, key, g_ascii_dtostr (text, sizeof text, value));
}

static gboolean
write_file (GKeyFile   *file,
            const char *path,
            GError    **error)
{
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *text = g_key_file_to_data (file, NULL, NULL);
  g_autoptr (GError) failure = NULL;

  g_mkdir_with_parents (folder, 0755);
  if (g_file_set_contents_full (path, text, -1,
                                G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                0644, &failure))
    return TRUE;

  g_set_error (error, FIL_ORIENTATION_ERROR, FIL_ORIENTATION_ERROR_FILE,
               _("The angle holds for now, but couldn’t be kept for the next time: %s"),
               failure->message);

  return FALSE;
}

/**
 * fil_orientation_save:
 * @place: oriented
 *
 * In place of what was kept of this rig and camera before.
 */
gboolean
fil_orientation_save (const char      *path,
                      const FilRig    *rig,
                      const char      *camera,
                      const FilPlace  *place,
                      GError         **error)
{
  g_autoptr (GKeyFile) file = NULL;
  g_autoptr (GDateTime) time = NULL;
  g_autofree char *group = NULL, *measured = NULL;

  g_return_val_if_fail (path != NULL && rig != NULL && camera != NULL, FALSE);
  g_return_val_if_fail (place != NULL && place->oriented, FALSE);

  file = read_file (path, error);
  if (file == NULL)
    return FALSE;

  group = group_name (rig, camera);
  time = g_date_time_new_from_unix_utc (place->oriented_utc_ns / NS);
  measured = time != NULL ? g_date_time_format_iso8601 (time) : g_strdup ("");
  set_number (file, group, "plate_scale_arcsec_per_px", place->plate_scale_arcsec_per_px);
  set_number (file, group, "plate_scale_error", place->plate_scale_error);
  set_number (file, group, "position_angle_deg", place->position_angle_deg);
  set_number (file, group, "position_angle_error_deg", place->position_angle_error_deg);
  set_number (file, group, "rig_scale_arcsec_per_px", nominal_scale (rig));
  g_key_file_set_boolean (file, group, "mirrored", place->mirrored);
  g_key_file_set_string (file, group, "measured", measured);

  return write_file (file, path, error);
}

/* The camera was turned. */
gboolean
fil_orientation_forget (const char    *path,
                        const FilRig  *rig,
                        const char    *camera,
                        GError       **error)
{
  g_autoptr (GKeyFile) file = NULL;
  g_autofree char *group = NULL;

  g_return_val_if_fail (path != NULL && rig != NULL && camera != NULL, FALSE);

  file = read_file (path, error);
  if (file == NULL)
    return FALSE;

  group = group_name (rig, camera);
  if (!g_key_file_remove_group (file, group, NULL))
    return TRUE;

  return write_file (file, path, error);
}
