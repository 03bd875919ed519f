/* cmd-mend.c: completes a clip whose recording was cut short
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"
#include "fil-clip-mend.h"
#include "fil-clip.h"

extern const FilCommand fil_command_mend;

static void
print_json (guint64     n_frames,
            const char *path)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  fil_cli_json_int (builder, "frames", (gint64) n_frames);
  fil_cli_json_string (builder, "path", path);
  json_builder_end_object (builder);
  fil_cli_json_print (builder);
}

/* A clip of ours that is whole already has nothing to mend. */
static gboolean
is_whole (const char *path,
          guint64    *n_frames)
{
  g_autoptr (FilClip) clip = fil_clip_open (path, NULL);

  if (clip == NULL || !fil_clip_is_ours (clip) || !fil_clip_is_complete (clip))
    return FALSE;

  *n_frames = fil_clip_get_n_frames (clip);

  return TRUE;
}

static int
run (int    argc,
     char **argv)
{
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &json, N_("print one JSON object"), NULL },
    G_OPTION_ENTRY_NULL,
  };
  g_autoptr (GError) error = NULL;
  g_autofree char *path = NULL;
  guint64 n_frames = 0;
  int status;

  if (!fil_cli_parse (&fil_command_mend, entries, &argc, &argv, 1, 1, &status))
    return status;
  if (is_whole (argv[1], &n_frames))
    path = g_strdup (argv[1]);
  else if (!fil_clip_mend (argv[1], &n_frames, &path, &error))
    return fil_cli_fail (argv[1], error);

  if (json)
    print_json (n_frames, path);
  else
    printf (_("%s: whole, %" PRIu64 " frames\n"), path, n_frames);

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_mend = {
  "mend", "CLIP", N_("complete a clip whose recording was cut short"), run
};
