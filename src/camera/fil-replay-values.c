/* fil-replay-values.c: any FITS numbers as a camera's counts
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-replay-values.h"

#define MAX_PIXELS   (1 << 27)
#define LOOK_AT      16          /* frames */
#define LARGEST      65535.0

struct _FilReplayValues
{
  gsize     n_pixels;
  int       bits;
  gboolean  by_header;   /* the header promises counts: read as such */
  gboolean  exact;       /* whole numbers, though the header didn't say so */
  double    low, scale;  /* of a linear map */
  uint16_t *counts;      /* for 8 bits */
  double   *numbers;     /* where not by_header */
};

void
fil_replay_values_free (FilReplayValues *values)
{
  if (values == NULL)
    return;

  g_free (values->counts);
  g_free (values->numbers);
  g_free (values);
}

/* Whether numbers are counts as they are. */
static gboolean
are_counts (const double *numbers,
            gsize         n)
{
  for (gsize i = 0; i < n; i++)
    if (!(numbers[i] >= 0.0 && numbers[i] <= LARGEST) || numbers[i] != floor (numbers[i]))
      return FALSE;

  return TRUE;
}

static void
widen (const double *numbers,
       gsize         n,
       double       *low,
       double       *high)
{
  for (gsize i = 0; i < n; i++)
    if (isfinite (numbers[i]))
      {
        *low = MIN (*low, numbers[i]);
        *high = MAX (*high, numbers[i]);
      }
}

static gboolean
look (FilReplayValues *values,
      FilClip         *clip,
      GError         **error)
{
  guint64 n_frames = fil_clip_get_n_frames (clip);
  guint64 n = MIN (n_frames, LOOK_AT);
  double low = INFINITY, high = -INFINITY;

  values->exact = TRUE;
  for (guint64 i = 0; i < n; i++)
    {
      guint64 frame = n > 1 ? i * (n_frames - 1) / (n - 1) : 0;

      if (!fil_clip_read_double (clip, frame, values->numbers, error))
        return FALSE;
      values->exact = values->exact && are_counts (values->numbers, values->n_pixels);
      widen (values->numbers, values->n_pixels, &low, &high);
    }

  values->bits = 16;
  values->low = isfinite (low) ? low : 0.0;
  values->scale = isfinite (high - low) && high > low ? LARGEST / (high - low) : 1.0;

  return TRUE;
}

/* Bytes stay bytes. Two bytes are of the depth that the header names, for what
 * that is worth: no count is changed by it. */
static int
header_bits (FilClip *clip)
{
  FilDepth depth = fil_clip_get_depth (clip);
  const char *bitpix = fil_clip_get_card (clip, "ZBITPIX");

  if (bitpix == NULL)
    bitpix = fil_clip_get_card (clip, "BITPIX");
  if (g_strcmp0 (bitpix, "8") == 0)
    return 8;

  return CLAMP (depth.bits + depth.shift, 9, 16);
}

/**
 * fil_replay_values_new:
 * @clip: looked into where its header doesn't promise counts
 *
 * Returns: (transfer full): the way from its numbers to counts, or %NULL with
 *   a %FIL_CLIP_ERROR
 */
FilReplayValues *
fil_replay_values_new (FilClip *clip,
                       GError **error)
{
  FilReplayValues *values = g_new0 (FilReplayValues, 1);

  values->n_pixels = (gsize) fil_clip_get_width (clip) * (gsize) fil_clip_get_height (clip);
  values->by_header = fil_clip_is_integer (clip);
  values->bits = header_bits (clip);
  if (values->n_pixels <= MAX_PIXELS && values->by_header)
    values->counts = g_try_new (uint16_t, values->n_pixels);
  else if (values->n_pixels <= MAX_PIXELS)
    values->numbers = g_try_new (double, values->n_pixels);

  if (values->counts == NULL && values->numbers == NULL)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                           _("its pictures are too large for this computer's memory"));
      fil_replay_values_free (values);
      return NULL;
    }
  if (!values->by_header && !look (values, clip, error))
    {
      fil_replay_values_free (values);
      return NULL;
    }

  return values;
}

/* Whether counts are the file's numbers as they are. */
gboolean
fil_replay_values_are_exact (const FilReplayValues *values)
{
  return values->by_header || values->exact;
}

/* Returns: up to 8: a byte a pixel; above: two bytes */
int
fil_replay_values_get_bits (const FilReplayValues *values)
{
  return values->bits;
}

static void
store (FilReplayValues *values,
       const uint16_t  *counts,
       guint8          *pixels)
{
  for (gsize i = 0; i < values->n_pixels; i++)
    if (values->bits <= 8)
      pixels[i] = (guint8) MIN (counts[i], 255);
    else
      {
        pixels[2 * i] = (guint8) (counts[i] & 0xff);
        pixels[2 * i + 1] = (guint8) (counts[i] >> 8);
      }
}

static guint
map_number (const FilReplayValues *values,
            double                 number)
{
  double mapped = (number - values->low) * values->scale;

  return mapped > 0.0 ? (guint) (MIN (mapped, LARGEST) + 0.5) : 0;
}

/**
 * fil_replay_values_read:
 * @pixels: (out caller-allocates): one byte a pixel up to 8 bits, else two,
 *   little endian; bottom row first, no gaps
 */
gboolean
fil_replay_values_read (FilReplayValues *values,
                        FilClip         *clip,
                        guint64          frame,
                        guint8          *pixels,
                        GError         **error)
{
  if (values->by_header)
    {
      if (!fil_clip_read_u16 (clip, frame, values->counts, error))
        return FALSE;
      store (values, values->counts, pixels);
      return TRUE;
    }

  if (!fil_clip_read_double (clip, frame, values->numbers, error))
    return FALSE;
  if (values->exact && !are_counts (values->numbers, values->n_pixels))
    {
      g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_READ,
                   _("frame %" PRIu64 " holds other numbers than the first ones: "
                     "not whole numbers from 0 to 65535"), frame);
      return FALSE;
    }

  for (gsize i = 0; i < values->n_pixels; i++)
    {
      guint count = values->exact ? (guint) values->numbers[i]
                                  : map_number (values, values->numbers[i]);

      pixels[2 * i] = (guint8) (count & 0xff);
      pixels[2 * i + 1] = (guint8) (count >> 8);
    }

  return TRUE;
}
