/* clip-maker.c: clips of known content, for the tests
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "clip-maker.h"

/* Text that FITS can't hold as it is; an invented school. */
static FilRig *
maker_rig (void)
{
  static const char text[] =
    "[rig]\nname=Dächlein 102 µ\nobserver=Ø. Übung’s class\n"
    "[site]\nlatitude_deg=47.0\nlongitude_deg=8.0\nheight_m=500\n"
    "[element 1]\nkind=objective\ntype=lens\naperture_mm=102\nfocal_length_mm=1020\n"
    "[element 2]\nkind=wedge\n"
    "[element 3]\nkind=density\ndensity=2.0\nnote=90° from the tube\n"
    "[element 4]\nkind=amplifier\nfactor=2.0\n"
    "[element 5]\nkind=bandpass\ncentre_nm=540\nwidth_nm=10\n"
    "[element 6]\nkind=camera\npixel_um=2.9\ncolumns=1936\nrows=1096\n";
  static FilRig *rig;

  if (rig == NULL)
    rig = fil_rig_parse (text, -1, "test.rig", NULL);

  return rig;
}

FilClipInfo
maker_info (int width,
            int height,
            int bits)
{
  return (FilClipInfo) {
    .width = width, .height = height, .pattern = FIL_PATTERN_GRBG, .raw = TRUE,
    .depth = { .bits = bits, .full = (1u << bits) - 1 },
    .fourcc = bits == 8 ? "GREY" : "Y12 ", .rig = maker_rig (),
    .exposure_ms = 2.5, .gain = 100.0, .black_level = 16.0, .fps_nominal = 20.0,
    .detector = "test camera", .driver = "test", .roi = { 8, 16, width, height },
    .filter_confirmed = "wedge: the objective is a lens, nothing stands before the wedge, its "
                        "density filter is fitted, the heat outlet’s clear, the finder is capped",
    .confirmed_utc_ns = MAKER_BEGIN_NS - G_GINT64_CONSTANT (600000000000),
    .simulated = NULL, .stamp_comment = "start of the exposure",
    .sharp_cutoff_cycles_per_px = 0.25,
  };
}

static guint
count_at (const FilClipInfo *info,
          guint64            frame,
          gsize              i)
{
  return (guint) ((frame * 2654435761u + i * 40503u) >> 7) & info->depth.full;
}

/* A frame as a clip stores it. */
void
maker_fill (guint8            *stored,
            const FilClipInfo *info,
            guint64            frame)
{
  const gsize n = (gsize) info->width * (gsize) info->height;

  for (gsize i = 0; i < n; i++)
    {
      guint count = count_at (info, frame, i);

      if (fil_clip_info_stored_bytes (info) == 1)
        stored[i] = (guint8) count;
      else
        {
          stored[2 * i] = (guint8) ((count >> 8) ^ 0x80);
          stored[2 * i + 1] = (guint8) count;
        }
    }
}

gboolean
maker_matches (const guint8      *stored,
               const FilClipInfo *info,
               guint64            frame)
{
  const gsize bytes = (gsize) info->width * (gsize) info->height *
                      fil_clip_info_stored_bytes (info);
  g_autofree guint8 *wanted = g_malloc (bytes);

  maker_fill (wanted, info, frame);

  return memcmp (stored, wanted, bytes) == 0;
}

/* Twenty a second, a little unsteady. */
FilClipRow
maker_row (guint64 frame)
{
  return (FilClipRow) {
    .time_s = frame == 0 ? 0.0 : 0.05 * (double) frame + 0.001 * (double) (frame % 3),
    .sequence = (gint64) frame + 7, .mean = 100.5 + (double) frame, .full_fraction = 0.25,
    .sharpness = frame % 2 == 0 ? 1.5 : NAN, .exposure_s = 0.0025, .gain = 100.0,
    .marks = frame == 3 ? FIL_CLIP_MARK_LOST : 0,
  };
}

void
maker_append (FilClipWriter     *writer,
              const FilClipInfo *info,
              guint64            n_frames)
{
  const gsize bytes = (gsize) info->width * (gsize) info->height *
                      fil_clip_info_stored_bytes (info);
  g_autofree guint8 *stored = g_malloc (3 * bytes);

  for (guint64 i = 0; i < n_frames;)
    {
      g_autoptr (GError) error = NULL;
      FilClipRow rows[3];
      guint n = (guint) MIN (n_frames - i, 1 + i % 3);

      for (guint j = 0; j < n; j++)
        {
          maker_fill (stored + j * bytes, info, i + j);
          rows[j] = maker_row (i + j);
        }
      g_assert_true (fil_clip_writer_append (writer, stored, rows, n, &error));
      g_assert_no_error (error);
      i += n;
    }
}
