/* fil-clip-picture.c: which unit of a FITS file holds the picture, and how
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>
#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"

#define MAX_SIDE 100000           /* pixels; a frame's own limit */
#define MAX_COMPRESSION 5000      /* no tile coder packs tighter than about 1000 : 1 */

static gboolean
refuse (GError    **error,
        const char *why)
{
  g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT, why);

  return FALSE;
}

/* Width, height, and at most one axis more that isn't of length 1. */
static gboolean
take_axes (FilClip       *clip,
           const guint64 *axes,
           int            n_axes,
           GError       **error)
{
  if (axes[0] < 1 || axes[0] > MAX_SIDE || axes[1] < 1 || axes[1] > MAX_SIDE)
    {
      g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT,
                   _("a picture of %" PRIu64 " × %" PRIu64
                     " pixels can't be read"), axes[0], axes[1]);
      return FALSE;
    }

  clip->width = (int) axes[0];
  clip->height = (int) axes[1];
  clip->n_axes = n_axes;
  clip->n_frames = 1;
  clip->frame_axis = -1;
  for (int i = 2; i < n_axes; i++)
    {
      if (axes[i] == 1)
        continue;
      if (clip->frame_axis >= 0)
        return refuse (error, _("a cube of more than three dimensions can't be read"));
      clip->frame_axis = i;
      clip->n_frames = axes[i];
    }

  return TRUE;
}

static void
take_scale (FilClip        *clip,
            const FilCards *cards)
{
  clip->bscale = 1.0;
  clip->bzero = 0.0;
  fil_cards_get_double (cards, "BSCALE", &clip->bscale);
  fil_cards_get_double (cards, "BZERO", &clip->bzero);
  clip->has_blank = clip->bitpix > 0 && fil_cards_get_int (cards, "BLANK", &clip->blank);
}

static gboolean
take_plain (FilClip    *clip,
            FilFitsHdu *hdu,
            GError    **error)
{
  gboolean groups = FALSE;

  if (fil_cards_get_bool (hdu->cards, "GROUPS", &groups) && groups && hdu->axes[0] == 0)
    return refuse (error, _("random groups are no picture"));
  if (!take_axes (clip, hdu->axes, hdu->naxis, error))
    return FALSE;

  clip->bitpix = (int) hdu->bitpix;
  clip->frame_bytes = (guint64) clip->width * (guint64) clip->height *
                      (guint64) (ABS (clip->bitpix) / 8);
  take_scale (clip, hdu->cards);

  return TRUE;
}

static gboolean
take_compressed (FilClip    *clip,
                 FilFitsHdu *hdu,
                 GError    **error)
{
  guint64 axes[8] = { 0 }, bytes = 1;
  gint64 n_axes, bitpix;

  if (!fil_cards_get_int (hdu->cards, "ZNAXIS", &n_axes) || n_axes < 2 || n_axes > 6 ||
      !fil_cards_get_int (hdu->cards, "ZBITPIX", &bitpix) ||
      (bitpix != 8 && bitpix != 16 && bitpix != 32 && bitpix != -32 && bitpix != -64))
    return refuse (error, _("the compressed picture's header makes no sense"));

  for (int i = 0; i < n_axes; i++)
    {
      char keyword[9];
      gint64 length;

      g_snprintf (keyword, sizeof keyword, "ZNAXIS%d", i + 1);
      if (!fil_cards_get_int (hdu->cards, keyword, &length) || length < 1)
        return refuse (error, _("the compressed picture's header makes no sense"));
      axes[i] = (guint64) length;
      if (__builtin_mul_overflow (bytes, axes[i], &bytes))
        return refuse (error, _("the compressed picture's header makes no sense"));
    }
  if (!take_axes (clip, axes, (int) n_axes, error))
    return FALSE;
  if (bytes / MAX_COMPRESSION > clip->file_size)
    return refuse (error, _("the compressed picture's tiles make no sense"));

  clip->compressed = TRUE;
  clip->bitpix = (int) bitpix;
  take_scale (clip, hdu->cards);

  return TRUE;
}

/**
 * fil_clip_choose_picture:
 * @hdu: a unit, borrowed
 *
 * Takes the unit's picture if it holds one and none was taken before.
 *
 * Returns: %FALSE with @error where a picture is there but can't be read;
 *   %TRUE otherwise, a picture or not
 */
gboolean
fil_clip_choose_picture (FilClip    *clip,
                         FilFitsHdu *hdu,
                         GError    **error)
{
  gboolean tiles = FALSE;
  gboolean taken;

  if (hdu->naxis >= 2 && (hdu->start == 0 || fil_fits_hdu_is (hdu, "IMAGE", NULL)))
    taken = take_plain (clip, hdu, error);
  else if (fil_fits_hdu_is (hdu, "BINTABLE", NULL) &&
           fil_cards_get_bool (hdu->cards, "ZIMAGE", &tiles) && tiles)
    taken = take_compressed (clip, hdu, error);
  else
    return TRUE;

  if (taken)
    clip->picture = hdu;

  return taken;
}
