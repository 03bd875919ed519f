/* fil-snapshot.c: one frame kept as a picture file
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-writer.h"
#include "fil-figures.h"
#include "fil-png.h"
#include "fil-sharpness.h"
#include "fil-snapshot.h"
#include "fil-utc-offset.h"

#define NO_RIG_CUTOFF 0.5  /* cycles a pixel */

G_DEFINE_QUARK (fil-snapshot-error-quark, fil_snapshot_error)

static gboolean
fail_write (const char *path,
            GError    **error)
{
  int code = errno == EEXIST ? FIL_SNAPSHOT_ERROR_EXISTS : FIL_SNAPSHOT_ERROR_WRITE;

  if (errno == EEXIST)
    g_set_error (error, FIL_SNAPSHOT_ERROR, code,
                 _("%s is there already, and is not overwritten"), path);
  else
    g_set_error (error, FIL_SNAPSHOT_ERROR, code, "%s: %s", path, g_strerror (errno));

  return FALSE;
}

/* A name beside @path that nobody else uses. */
static char *
temporary_name (const char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);

  return g_strdup_printf ("%s/.snapshot-%d-%08x", folder, (int) getpid (), g_random_int ());
}

/* Gives a finished file its name, unless the name is taken meanwhile. */
static gboolean
publish (const char *temporary,
         const char *path,
         GError    **error)
{
  if (renameat2 (AT_FDCWD, temporary, AT_FDCWD, path, RENAME_NOREPLACE) == 0)
    return TRUE;

  /* Not every file system knows that call; then a second name does it. */
  if (errno == EINVAL || errno == ENOSYS)
    {
      if (link (temporary, path) == 0)
        {
          unlink (temporary);
          return TRUE;
        }
    }

  return fail_write (path, error);
}

static gint64
frame_utc_ns (const FilFrame *frame)
{
  return frame->time_ns + (frame->clock == FIL_CLOCK_MONOTONIC ? fil_utc_offset_ns () : 0);
}

static char *
utc_text (gint64 utc_ns)
{
  gint64 seconds = utc_ns / 1000000000, ms = utc_ns / 1000000 % 1000;
  g_autoptr (GDateTime) moment = g_date_time_new_from_unix_utc (seconds);
  g_autofree char *text = NULL;

  if (moment == NULL)
    return g_strdup ("");
  text = g_date_time_format (moment, "%Y-%m-%dT%H:%M:%S");

  return g_strdup_printf ("%s.%03dZ", text, (int) ms);
}

static char *
number_text (double      value,
             const char *unit)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];

  if (!isfinite (value))
    return g_strdup ("");

  return g_strdup_printf ("%s%s", g_ascii_formatd (digits, sizeof digits, "%.6g", value), unit);
}

static gboolean
write_png (int                fd,
           const FilFrame    *frame,
           const FilClipInfo *info,
           GError           **error)
{
  FilDepth depth = info->depth;
  gsize n = (gsize) frame->width * (gsize) frame->height;
  g_autofree uint16_t *pixels = g_try_new (uint16_t, n);
  g_autofree char *time = utc_text (frame_utc_ns (frame));
  g_autofree char *exposure = number_text (frame->exposure_ms, " ms");
  g_autofree char *gain = number_text (frame->gain, "");
  g_autofree char *scale = NULL, *rig_text = NULL;
  int shift;

  if (pixels == NULL)
    {
      errno = ENOMEM;
      return fail_write (_("snapshot"), error);
    }
  if (!fil_frame_unpack (frame, NULL, pixels, error))
    return FALSE;

  if (depth.bits <= 0)
    depth = (FilDepth) { .bits = frame->format->bits };
  shift = CLAMP (16 - depth.bits - depth.shift, 0, 15);
  scale = g_strdup_printf ("count x %d", 1 << shift);
  rig_text = info->rig != NULL ? fil_rig_to_text (info->rig) : g_strdup ("");

  {
    const FilPngText texts[] = {
      { "Software", "Filigree " FIL_VERSION },
      { "Creation Time", time },
      { "Source", info->detector != NULL ? info->detector : "" },
      { "Rig", info->rig != NULL ? fil_rig_get_name (info->rig) : "" },
      { "Light Path", rig_text },
      { "Exposure", exposure },
      { "Gain", gain },
      { "Scale", scale },
      { "Filter Confirmed", info->filter_confirmed != NULL ? info->filter_confirmed : "" },
    };

    return fil_png_write_grey16 (fd, pixels, frame->width, frame->height,
                                 MIN (depth.bits + depth.shift, 16), shift, texts,
                                 G_N_ELEMENTS (texts), error);
  }
}

static gboolean
save_png (const char        *temporary,
          const FilFrame    *frame,
          const FilClipInfo *info,
          GError           **error)
{
  int fd = open (temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  gboolean written;

  if (fd < 0)
    return fail_write (temporary, error);

  written = write_png (fd, frame, info, error);
  if (written && fsync (fd) != 0)
    written = fail_write (temporary, error);
  if (close (fd) != 0 && written)
    written = fail_write (temporary, error);

  return written;
}

static void
measure_row (const FilFrame    *frame,
             const FilClipInfo *info,
             FilClipRow        *row)
{
  g_autoptr (FilFigureMeter) figure_meter = fil_figure_meter_new ();
  g_autoptr (FilSharpnessMeter) sharpness_meter = fil_sharpness_meter_new ();
  double cutoff = info->sharp_cutoff_cycles_per_px;
  FilFigures figures;
  FilSharpness sharpness;
  FilRect patch;

  *row = (FilClipRow) {
    .sequence = (gint64) frame->sequence,
    .mean = NAN, .full_fraction = NAN, .sharpness = NAN,
    .exposure_s = frame->exposure_ms / 1000.0,
    .gain = frame->gain,
    .marks = frame->flags & FIL_FRAME_DAMAGED ? FIL_CLIP_MARK_DAMAGED : 0,
  };

  if (info->depth.bits > 0)
    fil_figure_meter_set_full (figure_meter, info->depth.full);
  if (fil_figure_meter_measure (figure_meter, frame, NULL, FIL_FIGURES_BASIC, &figures, NULL))
    {
      row->mean = figures.mean;
      row->full_fraction = figures.full_fraction;
    }

  fil_sharpness_meter_set (sharpness_meter, isfinite (cutoff) ? cutoff : NO_RIG_CUTOFF,
                           isfinite (info->black_level) ? info->black_level : 0.0);
  if (fil_sharpness_default_patch (frame->width, frame->height, &patch) &&
      fil_sharpness_meter_measure (sharpness_meter, frame, &patch, &sharpness, NULL))
    row->sharpness = sharpness.percent;
}

static gboolean
save_fits (const char        *temporary,
           const FilFrame    *frame,
           const FilClipInfo *info,
           GError           **error)
{
  gsize bytes = fil_pixel_format_stored_bytes (frame->format) *
                (gsize) frame->width * (gsize) frame->height;
  g_autofree guint8 *stored = g_try_malloc (bytes);
  FilClipInfo own = *info;
  FilClipWriter *writer;
  FilClipRow row;

  if (stored == NULL)
    {
      errno = ENOMEM;
      return fail_write (temporary, error);
    }
  if (!fil_frame_pack_fits (frame, NULL, stored, error))
    return FALSE;

  own.width = frame->width;
  own.height = frame->height;
  own.pattern = frame->bottom_up ? frame->format->pattern
                                 : fil_pattern_flipped (frame->format->pattern, frame->height);
  own.stored_bytes = (int) fil_pixel_format_stored_bytes (frame->format);
  if (own.depth.bits <= 0)
    own.depth = (FilDepth) { .bits = frame->format->bits,
                             .full = (1u << frame->format->bits) - 1 };
  measure_row (frame, &own, &row);

  writer = fil_clip_writer_new (temporary, &own, frame_utc_ns (frame), FALSE, error);
  if (writer == NULL)
    return FALSE;
  if (!fil_clip_writer_append (writer, stored, &row, 1, error))
    {
      fil_clip_writer_discard (writer);
      return FALSE;
    }

  return fil_clip_writer_close (writer, error);
}

/**
 * fil_snapshot_save:
 * @path: ends in .png, .fits or .fit
 * @frame: the picture
 * @info: what is known of it; width, height and pattern are the frame's
 *
 * PNG: 16-bit grey, top row first, every count times 2ⁿ so that the full
 * count of the true depth comes to the top of 16 bits (12 bits: × 16, the
 * text chunk "Scale" says it); rig, time, exposure and gain are in text
 * chunks. FITS: a clip of one frame. The file appears whole or not at all,
 * and never replaces another. Thread-safe; takes as long as the disk does.
 */
gboolean
fil_snapshot_save (const char        *path,
                   const FilFrame    *frame,
                   const FilClipInfo *info,
                   GError           **error)
{
  g_autofree char *temporary = NULL;
  g_autofree char *lower = NULL;
  gboolean png, fits;
  struct stat there;

  g_return_val_if_fail (path != NULL && frame != NULL && info != NULL, FALSE);

  lower = g_ascii_strdown (path, -1);
  png = g_str_has_suffix (lower, ".png");
  fits = g_str_has_suffix (lower, ".fits") || g_str_has_suffix (lower, ".fit");
  if (!png && !fits)
    {
      g_set_error (error, FIL_SNAPSHOT_ERROR, FIL_SNAPSHOT_ERROR_KIND,
                   _("%s: a snapshot is .png or .fits"), path);
      return FALSE;
    }
  if (!fil_frame_check (frame, error) ||
      (info->rig != NULL && !fil_rig_is_complete (info->rig, error)))
    return FALSE;
  if (lstat (path, &there) == 0)
    {
      errno = EEXIST;
      return fail_write (path, error);
    }

  temporary = temporary_name (path);
  if (!(png ? save_png : save_fits) (temporary, frame, info, error) ||
      !publish (temporary, path, error))
    {
      g_autofree char *journal = g_strconcat (temporary, ".rows", NULL);

      unlink (temporary);
      unlink (journal);
      return FALSE;
    }

  return TRUE;
}
