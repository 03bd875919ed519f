/* sharpness-of.c: measures one raw file, for reference_sharpness.py
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sharpness-of FILE WIDTH HEIGHT CUTOFF BLACK: native doubles, the bottom row
 * first. One line a path: name, percent, fine, coarse, noise. Counts that fit
 * 16 bits go through the running meter too, in plain and in vector code. */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "fil-cpu.h"
#include "fil-sharpness.h"

static void
print_sharpness (const char         *path,
                 const FilSharpness *s)
{
  printf ("%s %.17g %.17g %.17g %.17g\n", path, s->percent, s->fine, s->coarse_percent,
          s->noise_percent);
}

static FilFrame *
make_frame (const double *pixels,
            int           width,
            int           height)
{
  FilFrame *frame = fil_frame_new_alloc (fil_pixel_format_from_name ("Y16"), width, height);
  guint8 *bytes = (guint8 *) frame->data;

  frame->bottom_up = TRUE;
  for (int i = 0; i < width * height; i++)
    {
      gboolean fits = pixels[i] >= 0.0 && pixels[i] <= 65535.0;
      guint count = fits ? (guint) pixels[i] : 0;

      if (!fits || (double) count != pixels[i])
        {
          fil_frame_unref (frame);
          return NULL;
        }
      bytes[2 * i] = count & 255;
      bytes[2 * i + 1] = (guint8) (count >> 8);
    }

  return frame;
}

int
main (int   argc,
      char *argv[])
{
  g_autoptr (FilSharpnessMeter) meter = fil_sharpness_meter_new ();
  g_autoptr (FilFrame) frame = NULL;
  g_autofree char *bytes = NULL;
  int width, height;
  gsize length;
  FilSharpness s;

  if (argc != 6 || !g_file_get_contents (argv[1], &bytes, &length, NULL))
    return 2;
  width = atoi (argv[2]);
  height = atoi (argv[3]);
  if (width < 1 || height < 1 || length != sizeof (double) * (gsize) width * (gsize) height)
    return 2;
  fil_sharpness_meter_set (meter, g_ascii_strtod (argv[4], NULL), g_ascii_strtod (argv[5], NULL));

  fil_sharpness_meter_measure_double (meter, (const double *) (gconstpointer) bytes, width,
                                      height, width, &s);
  print_sharpness ("double", &s);

  frame = make_frame ((const double *) (gconstpointer) bytes, width, height);
  for (int level = FIL_CPU_SCALAR; frame != NULL && level <= FIL_CPU_AVX2; level++)
    {
      FilRect all = { 0, 0, width, height };

      fil_cpu_set_level ((FilCpuLevel) level);
      if (!fil_sharpness_meter_measure (meter, frame, &all, &s, NULL))
        return 1;
      print_sharpness (level == FIL_CPU_SCALAR ? "plain" : "vector", &s);
    }

  return 0;
}
