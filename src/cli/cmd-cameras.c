/* cmd-cameras.c: what can be opened
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-source.h"

static int run (int    argc,
                char **argv);

const FilCommand fil_command_cameras = {
  "cameras", "", N_("list the cameras that can be opened, and their formats"), run
};

/* What is known of one camera; the rest stays NULL where it can't be asked. */
typedef struct
{
  const FilSourceListing *listing;
  FilSource              *source;
  FilSourceInfo           info;
  GPtrArray              *formats;
  GError                 *error;
} Camera;

static void
camera_free (gpointer data)
{
  Camera *camera = data;

  g_clear_pointer (&camera->formats, g_ptr_array_unref);
  g_clear_object (&camera->source);
  g_clear_error (&camera->error);
  g_free (camera);
}

/* Opens the camera and asks; it doesn't stream. What is no camera after all
 * isn't listed; one that is busy is, with what is known. */
static Camera *
ask (const FilSourceListing *listing)
{
  Camera *camera = g_new0 (Camera, 1);

  camera->listing = listing;
  camera->info = (FilSourceInfo) {
    .name = listing->name, .driver = listing->driver, .bus = listing->bus,
  };
  camera->source = fil_source_open (listing->path, NULL, &camera->error);
  if (g_error_matches (camera->error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_A_CAMERA))
    {
      camera_free (camera);
      return NULL;
    }

  if (camera->source != NULL)
    {
      fil_source_get_info (camera->source, &camera->info);
      camera->formats = fil_source_list_formats (camera->source, &camera->error);
    }

  return camera;
}

static GPtrArray *
ask_all (GPtrArray *listings)
{
  GPtrArray *cameras = g_ptr_array_new_with_free_func (camera_free);

  for (guint i = 0; i < listings->len; i++)
    {
      Camera *camera = ask (g_ptr_array_index (listings, i));

      if (camera != NULL)
        g_ptr_array_add (cameras, camera);
    }

  return cameras;
}

/* As it is typed after --format: four characters without trailing spaces, and
 * "-BE" for the big-endian twin. */
static char *
dup_fourcc (guint32 fourcc)
{
  char text[5] = { 0 };
  gboolean big_endian = (fourcc & (1u << 31)) != 0;

  for (int i = 0; i < 4; i++)
    {
      char c = (char) (fourcc >> 8 * i & 0x7f);

      text[i] = g_ascii_isprint (c) ? c : '?';
    }
  g_strchomp (text);

  return g_strconcat (text, big_endian ? "-BE" : NULL, NULL);
}

static void
add_size (JsonBuilder         *builder,
          const FilSourceSize *size)
{
  json_builder_begin_object (builder);
  fil_cli_json_int (builder, "width", size->max_width);
  fil_cli_json_int (builder, "height", size->max_height);
  json_builder_set_member_name (builder, "fps");
  json_builder_begin_array (builder);
  for (guint i = 0; i < size->fps->len; i++)
    fil_cli_json_number (builder, NULL, g_array_index (size->fps, double, i));
  json_builder_end_array (builder);
  fil_cli_json_bool (builder, "fps_is_range", size->fps_is_range);
  if (size->step_width > 0 || size->step_height > 0)
    {
      fil_cli_json_int (builder, "min_width", size->min_width);
      fil_cli_json_int (builder, "min_height", size->min_height);
      fil_cli_json_int (builder, "step_width", size->step_width);
      fil_cli_json_int (builder, "step_height", size->step_height);
    }
  json_builder_end_object (builder);
}

/* Formats that we don't read are left out: they can't be chosen. */
static void
add_format (JsonBuilder           *builder,
            const FilSourceFormat *format)
{
  g_autofree char *fourcc = dup_fourcc (format->fourcc);

  if (format->format == NULL)
    return;

  json_builder_begin_object (builder);
  fil_cli_json_string (builder, "fourcc", fourcc);
  fil_cli_json_string (builder, "kind", fil_pixel_kind_to_string (format->format->kind));
  fil_cli_json_int (builder, "bits", format->format->bits);
  json_builder_set_member_name (builder, "sizes");
  json_builder_begin_array (builder);
  for (guint i = 0; i < format->sizes->len; i++)
    add_size (builder, g_ptr_array_index (format->sizes, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);
}

static void
add_camera (JsonBuilder  *builder,
            const Camera *camera)
{
  json_builder_begin_object (builder);
  fil_cli_json_string (builder, "path", camera->listing->path);
  fil_cli_json_string (builder, "name", camera->info.name);
  fil_cli_json_string (builder, "driver", camera->info.driver);
  fil_cli_json_string (builder, "bus", camera->info.bus);
  fil_cli_json_string (builder, "error", camera->error != NULL ? camera->error->message : NULL);
  json_builder_set_member_name (builder, "formats");
  json_builder_begin_array (builder);
  for (guint i = 0; camera->formats != NULL && i < camera->formats->len; i++)
    add_format (builder, g_ptr_array_index (camera->formats, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);
}

static void
print_json (GPtrArray *cameras)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  json_builder_set_member_name (builder, "cameras");
  json_builder_begin_array (builder);
  for (guint i = 0; i < cameras->len; i++)
    add_camera (builder, g_ptr_array_index (cameras, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  fil_cli_json_print (builder);
}

static void
print_size (const FilSourceSize *size)
{
  if (size->step_width > 0 || size->step_height > 0)
    printf (_("    %d × %d to %d × %d, in steps of %d × %d"), size->min_width, size->min_height,
            size->max_width, size->max_height, size->step_width, size->step_height);
  else
    printf ("    %d × %d", size->max_width, size->max_height);

  if (size->fps->len > 0)
    {
      double fastest = g_array_index (size->fps, double, 0);
      double slowest = g_array_index (size->fps, double, size->fps->len - 1);

      printf (_(", %.4g to %.4g frames/s"), slowest, fastest);
    }
  putchar ('\n');
}

static gboolean
sizes_alike (const FilSourceSize *a,
             const FilSourceSize *b)
{
  return a->min_width == b->min_width && a->max_width == b->max_width &&
         a->min_height == b->min_height && a->max_height == b->max_height &&
         a->step_width == b->step_width && a->step_height == b->step_height &&
         a->fps->len == b->fps->len &&
         (a->fps->len == 0 ||
          memcmp (a->fps->data, b->fps->data, a->fps->len * sizeof (double)) == 0);
}

static gboolean
offers_alike (const FilSourceFormat *a,
              const FilSourceFormat *b)
{
  if (a->sizes->len != b->sizes->len)
    return FALSE;
  for (guint i = 0; i < a->sizes->len; i++)
    if (!sizes_alike (g_ptr_array_index (a->sizes, i), g_ptr_array_index (b->sizes, i)))
      return FALSE;

  return TRUE;
}

/* Whether the next format that we read comes in other sizes or rates. Most
 * cameras offer all of theirs alike, and the list is told once, after the last. */
static gboolean
is_last_of_its_offer (GPtrArray *formats,
                      guint      i)
{
  const FilSourceFormat *format = g_ptr_array_index (formats, i);

  for (guint j = i + 1; j < formats->len; j++)
    {
      const FilSourceFormat *next = g_ptr_array_index (formats, j);

      if (next->format != NULL)
        return !offers_alike (format, next);
    }

  return TRUE;
}

static void
print_camera (const Camera *camera)
{
  printf ("%s  %s", camera->listing->path, camera->info.name);
  if (camera->info.driver[0] != '\0')
    printf (" (%s, %s)", camera->info.driver, camera->info.bus);
  putchar ('\n');
  if (camera->error != NULL)
    printf ("  %s\n", camera->error->message);

  for (guint i = 0; camera->formats != NULL && i < camera->formats->len; i++)
    {
      const FilSourceFormat *format = g_ptr_array_index (camera->formats, i);
      g_autofree char *fourcc = dup_fourcc (format->fourcc);

      if (format->format == NULL)
        continue;
      printf (_("  %s  %s, %d bit\n"), fourcc, fil_pixel_kind_to_string (format->format->kind),
              format->format->bits);
      for (guint j = 0; is_last_of_its_offer (camera->formats, i) && j < format->sizes->len; j++)
        print_size (g_ptr_array_index (format->sizes, j));
    }
}

static gboolean
any_live (GPtrArray *cameras)
{
  for (guint i = 0; i < cameras->len; i++)
    {
      const Camera *camera = g_ptr_array_index (cameras, i);

      if (fil_source_name_is_live (camera->listing->path))
        return TRUE;
    }

  return FALSE;
}

static int
run (int    argc,
     char **argv)
{
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &json, N_("print one JSON object"), NULL },
    { 0 }
  };
  g_autoptr (GPtrArray) listings = NULL;
  g_autoptr (GPtrArray) cameras = NULL;
  int status;

  if (!fil_cli_parse (&fil_command_cameras, entries, &argc, &argv, 0, 0, &status))
    return status;

  listings = fil_source_list ();
  cameras = ask_all (listings);
  if (json)
    print_json (cameras);
  else
    for (guint i = 0; i < cameras->len; i++)
      print_camera (g_ptr_array_index (cameras, i));
  if (!json && !any_live (cameras))
    puts (_("No camera is plugged in. “sim:” is the simulated Sun."));

  return FIL_EXIT_DONE;
}
