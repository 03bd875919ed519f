/* make-clip.c: writes a clip of known content for the outside references
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * make-clip PATH WIDTH HEIGHT BITS FRAMES [uneven|growing] */

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip-maker.h"

int
main (int argc, char *argv[])
{
  g_autoptr (GError) error = NULL;
  FilClipInfo info;
  FilClipWriter *writer;

  if (argc < 6)
    return 2;

  info = maker_info (atoi (argv[2]), atoi (argv[3]), atoi (argv[4]));
  writer = fil_clip_writer_new (argv[1], &info, MAKER_BEGIN_NS, FALSE, &error);
  if (writer == NULL)
    g_error ("%s", error->message);
  maker_append (writer, &info, strtoul (argv[5], NULL, 10));

  if (argc > 6 && strcmp (argv[6], "growing") == 0)
    {
      if (!fil_clip_writer_flush (writer, &error))
        g_error ("%s", error->message);
      _exit (0);
    }
  if (argc > 6 && strcmp (argv[6], "uneven") == 0)
    {
      g_autofree guint8 *stored = g_malloc0 (2 * (gsize) info.width * (gsize) info.height);
      FilClipRow late = maker_row (1000);

      if (!fil_clip_writer_append (writer, stored, &late, 1, &error))
        g_error ("%s", error->message);
    }
  if (!fil_clip_writer_close (writer, &error))
    g_error ("%s", error->message);

  return 0;
}
