/* clip-exercise.c: asks a file of unknown content for everything
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "clip-exercise.h"
#include "fil-clip.h"

#define MAX_PIXELS (4 << 20)

static void
read_pixels (FilClip *clip,
             guint64  frame)
{
  const gsize n = (gsize) fil_clip_get_width (clip) * (gsize) fil_clip_get_height (clip);
  g_autofree double *doubles = g_new (double, n);
  g_autofree uint16_t *counts = g_new (uint16_t, n);
  g_autoptr (GError) error = NULL;
  g_autoptr (FilFrame) picture = NULL;

  if (!fil_clip_read_double (clip, frame, doubles, &error))
    g_assert_nonnull (error);
  g_clear_error (&error);
  if (!fil_clip_read_u16 (clip, frame, counts, &error))
    g_assert_nonnull (error);
  g_clear_error (&error);
  picture = fil_clip_read_frame (clip, frame, &error);
  g_assert_true ((picture != NULL) == (error == NULL));
  if (picture != NULL)
    g_assert_true (fil_frame_check (picture, NULL));
}

static void
read_words (FilClip *clip)
{
  g_autofree char *end = fil_clip_dup_date_end (clip);
  g_autoptr (GPtrArray) lines = fil_clip_dup_light_path (clip);
  guint64 lost, gaps;
  FilPlace place;
  FilSun sun;
  double fps = fil_clip_get_fps (clip);

  g_assert_true (end == NULL || g_utf8_validate (end, -1, NULL));
  for (guint i = 0; i < lines->len; i++)
    g_assert_true (g_utf8_validate (g_ptr_array_index (lines, i), -1, NULL));
  g_assert_true (isnan (fps) || (isfinite (fps) && fps > 0.0));
  fil_clip_get_losses (clip, &lost, &gaps);
  fil_clip_get_depth (clip);
  fil_clip_get_full_scale (clip);
  fil_clip_get_black_level (clip);
  fil_clip_get_utc_begin_ns (clip);
  fil_clip_get_card (clip, "TELESCOP");
  if (fil_clip_get_sky (clip, &place, &sun))
    g_assert_true (isfinite (place.centre_x) && place.plate_scale_arcsec_per_px > 0.0 &&
                   sun.semidiameter_arcsec > 0.0);
  fil_clip_is_raw (clip);
  g_assert_cmpint (fil_clip_get_pattern (clip), <=, FIL_PATTERN_BGGR);
}

/* Returns: whether it could be opened; either way an answer came. */
gboolean
exercise_clip (const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilClip) clip = fil_clip_open (path, &error);
  guint64 n_frames;

  g_assert_true ((clip != NULL) == (error == NULL));
  if (clip == NULL)
    {
      g_assert_cmpuint (error->message[0], !=, '\0');
      return FALSE;
    }

  n_frames = fil_clip_get_n_frames (clip);
  g_assert_true (n_frames > 0 || !fil_clip_is_complete (clip));
  read_words (clip);
  fil_clip_verify (clip);
  if (n_frames > 0 &&
      (gint64) fil_clip_get_width (clip) * fil_clip_get_height (clip) <= MAX_PIXELS)
    {
      read_pixels (clip, 0);
      read_pixels (clip, n_frames - 1);
    }

  return TRUE;
}
