/* fil-depth.c: the true bit depth, learnt from the pixels
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Drivers deliver 12 bits in the high bits of 16, 10 bits in a 16-bit format,
 * luma that ends at 235, and don't tell. Three marks give them away: low bits
 * that never change, a pile of pixels at 2ⁿ − 1 with nothing above, the same
 * at 235. A dark or dull picture shows none of them, and then nothing is
 * claimed. The thresholds are common practice, no source. */

#include <string.h>

#include "fil-depth.h"

#define N_COUNTS        65536
#define LEAST_PIXELS    1000   /* below that nothing is claimed */
#define LEAST_DEPTH     8      /* no camera has fewer bits */
#define LUMA_WHITE      235    /* ITU-R Recommendation BT.601, section 2.5.1 (from memory) */

/* Low bits of chance are zero in one of two values, independently: 32 bits
 * of such coincidence don't happen. */
#define LEAST_EVIDENCE  32

#define LEAST_LEVELS    6      /* different counts below a pile, else it is a flat picture */
#define LEAST_PILE      16     /* pixels */
#define PILE_SHARE      10000  /* one pixel in so many, at least */
#define PILE_OVER_SLOPE 8      /* pile over the mean of the counts just below */
#define SLOPE_COUNTS    32

struct _FilDepthProbe
{
  const FilPixelFormat *format;
  guint64               n;
  guint64               seen[N_COUNTS];   /* pixels of each count */
};

/**
 * fil_depth_probe_new:
 * @format: of the pixels that will be added
 *
 * Half a MiB of counts; belongs to one thread.
 */
FilDepthProbe *
fil_depth_probe_new (const FilPixelFormat *format)
{
  FilDepthProbe *probe;

  g_return_val_if_fail (format != NULL, NULL);

  probe = g_new0 (FilDepthProbe, 1);
  probe->format = format;

  return probe;
}

void
fil_depth_probe_free (FilDepthProbe *probe)
{
  g_free (probe);
}

/**
 * fil_depth_probe_add:
 * @pixels: counts as fil_frame_unpack() gives them
 * @n: how many
 *
 * The more pictures of different light are added, the more can be learnt.
 */
void
fil_depth_probe_add (FilDepthProbe  *probe,
                     const uint16_t *pixels,
                     gsize           n)
{
  g_return_if_fail (probe != NULL && (pixels != NULL || n == 0));

  for (gsize i = 0; i < n; i++)
    probe->seen[pixels[i]]++;
  probe->n += n;
}

static guint32
find_largest (const FilDepthProbe *probe)
{
  guint32 count = N_COUNTS - 1;

  while (count > 0 && probe->seen[count] == 0)
    count--;

  return count;
}

/* How many low bits never change. @ceiling is left out: some drivers fill
 * the low bits of pure white alone. */
static int
find_shift (const FilDepthProbe *probe,
            guint32              ceiling)
{
  guint32 bits = 0;
  int levels = 0, shift;

  for (guint32 count = 1; count < N_COUNTS; count++)
    if (count != ceiling && probe->seen[count] > 0)
      {
        bits |= count;
        levels++;
      }
  if (bits == 0)
    return 0;

  shift = __builtin_ctz (bits);

  return shift * levels >= LEAST_EVIDENCE ? shift : 0;
}

/* Whether far more pixels stand at @top than the slope towards it leads one
 * to expect. @step: the distance between counts that occur. */
static gboolean
is_pile (const FilDepthProbe *probe,
         guint32              top,
         guint32              step)
{
  guint64 pile = probe->seen[top], slope = 0;
  guint32 n_slope = 0;
  int levels = 0;

  if (pile < LEAST_PILE || pile < probe->n / PILE_SHARE)
    return FALSE;

  for (guint32 count = top; count >= step && n_slope < SLOPE_COUNTS; n_slope++)
    {
      count -= step;
      slope += probe->seen[count];
    }
  for (guint32 count = 0; count < top; count++)
    levels += probe->seen[count] > 0;

  return levels >= LEAST_LEVELS && pile * n_slope >= PILE_OVER_SLOPE * slope;
}

static int
count_bits (guint32 value)
{
  return value == 0 ? 0 : 32 - __builtin_clz (value);
}

static gboolean
is_video_luma (const FilPixelFormat *format)
{
  return format->packing == FIL_PACKING_YUYV || format->packing == FIL_PACKING_UYVY ||
         format->packing == FIL_PACKING_PLANAR;
}

/* A pile at 2ⁿ − 1 in the bits above @shift, or where luma ends. */
static gboolean
is_ceiling (const FilDepthProbe *probe,
            guint32              largest,
            int                  shift)
{
  guint32 value = largest >> shift;
  gboolean all_ones = (value & (value + 1)) == 0 && count_bits (value) >= LEAST_DEPTH;

  if (!all_ones && !(is_video_luma (probe->format) && largest == LUMA_WHITE))
    return FALSE;

  return is_pile (probe, largest, 1u << shift);
}

/**
 * fil_depth_probe_get:
 *
 * What all pixels so far show, or the format's nominal depth. A pile below
 * the format's ceiling can be shown wrong by a later, brighter picture; ask
 * again after adding it. A shift claims no more than that: the bits above it
 * are all taken to be the sensor's unless a pile shows fewer.
 */
FilDepth
fil_depth_probe_get (const FilDepthProbe *probe)
{
  FilDepth depth = { 8, 0, 255, FALSE };
  guint32 ceiling, largest;

  g_return_val_if_fail (probe != NULL, depth);

  depth.bits = probe->format->bits;
  ceiling = (1u << depth.bits) - 1;
  depth.full = ceiling;
  if (probe->n < LEAST_PIXELS)
    return depth;

  largest = find_largest (probe);
  if (largest > ceiling)   /* the format's name promised fewer bits than come */
    {
      depth.bits = count_bits (largest);
      depth.full = ceiling = (1u << depth.bits) - 1;
      depth.learnt = TRUE;
    }

  depth.shift = find_shift (probe, ceiling);
  if (depth.shift > 0)
    {
      depth.bits -= depth.shift;
      depth.full = largest == ceiling ? ceiling : (ceiling >> depth.shift) << depth.shift;
      depth.learnt = TRUE;
    }

  if (is_ceiling (probe, largest, depth.shift))
    {
      depth.bits = count_bits (largest >> depth.shift);
      depth.full = largest;
      depth.learnt = TRUE;
    }

  return depth;
}
