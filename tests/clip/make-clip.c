/* make-clip.c: writes a clip of known content for the outside references
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * make-clip PATH WIDTH HEIGHT BITS FRAMES [uneven|growing|placed ANGLE FLIPX] */

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip-maker.h"

/* The disc's centre far to the left and below, the patch in a corner. */
static FilPlace
make_place (double   angle_deg,
            gboolean mirrored)
{
  return (FilPlace) {
    .plate_scale_arcsec_per_px = 0.2935, .plate_scale_error = 0.0004,
    .position_angle_deg = angle_deg, .position_angle_error_deg = 0.05, .mirrored = mirrored,
    .oriented = TRUE, .oriented_utc_ns = MAKER_BEGIN_NS - G_GINT64_CONSTANT (3600000000000),
    .placed = TRUE, .centre_x = -1200.25, .centre_y = -800.5, .centre_error_px = 1.5,
  };
}

int
main (int argc, char *argv[])
{
  g_autoptr (GError) error = NULL;
  FilClipInfo info;
  FilClipWriter *writer;
  FilPlace place;

  if (argc < 6)
    return 2;

  info = maker_info (atoi (argv[2]), atoi (argv[3]), atoi (argv[4]));
  if (argc > 8 && strcmp (argv[6], "placed") == 0)
    {
      info.flip_x = atoi (argv[8]) != 0;
      /* The wedge mirrors once. */
      place = make_place (atof (argv[7]), !info.flip_x);
      info.place = &place;
      info.patch = (FilRect) { 3, 5, 16, 8 };
      info.target = "Nordgruppe 3½";
    }
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
