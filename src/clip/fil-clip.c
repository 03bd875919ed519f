/* fil-clip.c: a clip to be read, ours or any FITS cube
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "fil-clip-private.h"
#include "fil-utc.h"

#define MAX_UNITS 1000
#define MAX_FRAMES (1 << 24)

G_DEFINE_QUARK (fil-clip-error-quark, fil_clip_error)

static gboolean
open_file (FilClip *clip,
           GError **error)
{
  struct stat status;
  char begin[9];

  /* Not blocking: somebody may name a pipe. */
  clip->fd = open (clip->path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (clip->fd < 0)
    {
      int code = errno;

      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN, g_strerror (code));
      return FALSE;
    }
  if (fstat (clip->fd, &status) != 0 || !S_ISREG (status.st_mode))
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_OPEN, _("not a file"));
      return FALSE;
    }
  clip->file_size = (guint64) status.st_size;

  if (clip->file_size < sizeof begin ||
      !fil_fits_read_at (clip->fd, 0, begin, sizeof begin, NULL) ||
      memcmp (begin, "SIMPLE  =", sizeof begin) != 0)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT,
                           _("not a FITS file"));
      return FALSE;
    }

  return TRUE;
}

static gboolean
is_cut (const FilClip    *clip,
        const FilFitsHdu *hdu,
        GError          **error)
{
  if (hdu->end <= clip->file_size)
    return FALSE;

  g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
               _("the file is cut off: %" PRIu64 " of %" PRIu64 " bytes"),
               clip->file_size, hdu->end);

  return TRUE;
}

/* A table before the picture that calls itself tiles would be opened as such
 * on the way to it. */
static gboolean
take_picture (FilClip     *clip,
              FilFitsHdu **hdu,
              int          number,
              GError     **error)
{
  if (!fil_clip_choose_picture (clip, *hdu, error))
    return FALSE;

  if (clip->picture != NULL)
    {
      clip->picture_number = number;
      *hdu = NULL;
    }
  else if (fil_cards_find ((*hdu)->cards, "ZIMAGE") >= 0)
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
                           _("a table says that it is a picture, and is none"));
      return FALSE;
    }

  return TRUE;
}

/* Looks through the extensions, for a picture unless there is one already
 * and for our tables. */
static gboolean
scan_extensions (FilClip *clip,
                 GError **error)
{
  guint64 at = clip->primary->end;

  for (int number = 2; number <= MAX_UNITS &&
                       fil_fits_hdu_follows (clip->fd, at, clip->file_size); number++)
    {
      g_autoptr (FilFitsHdu) hdu = fil_fits_hdu_read (clip->fd, at, clip->file_size, error);

      if (hdu == NULL || is_cut (clip, hdu, error))
        return FALSE;
      at = hdu->end;

      if (clip->frames_table == NULL && fil_fits_hdu_is (hdu, "BINTABLE", "FRAMES"))
        clip->frames_table = g_steal_pointer (&hdu);
      else if (clip->light_path_table == NULL && fil_fits_hdu_is (hdu, "BINTABLE", "LIGHTPATH"))
        clip->light_path_table = g_steal_pointer (&hdu);
      else if (clip->picture == NULL && !take_picture (clip, &hdu, number, error))
        return FALSE;
    }

  return TRUE;
}

/* What the disk holds decides, and the journal: NAXIS3 lags behind. */
static void
count_kept_frames (FilClip *clip,
                   gboolean done)
{
  guint64 present = clip->file_size - MIN (clip->file_size, clip->primary->data_start);

  if (!done && clip->journal != NULL)
    clip->n_frames = MAX (clip->n_frames, clip->journal->n_records);
  clip->n_frames = MIN (clip->n_frames, present / clip->frame_bytes);
  clip->complete = FALSE;
}

/* An interrupted clip of ours begins with its cube and may end anywhere. */
static gboolean
read_ours (FilClip *clip,
           gboolean done,
           GError **error)
{
  g_autoptr (GError) cut = NULL;

  clip->ours = TRUE;
  clip->complete = done;
  clip->journal = fil_journal_open (clip->path, NULL);
  if (clip->picture == NULL)
    {
      /* A packed clip: its cube is an extension, and nothing is in it by halves. */
      clip->complete = done && clip->journal == NULL;
      return scan_extensions (clip, error);
    }

  if (!done || clip->journal != NULL || is_cut (clip, clip->primary, &cut))
    count_kept_frames (clip, done);
  if (done && cut == NULL && !scan_extensions (clip, &cut))
    clip->complete = FALSE;

  return TRUE;
}

static gboolean
read_structure (FilClip *clip,
                GError **error)
{
  gboolean done;

  clip->primary = fil_fits_hdu_read (clip->fd, 0, clip->file_size, error);
  if (clip->primary == NULL || !fil_clip_choose_picture (clip, clip->primary, error))
    return FALSE;
  clip->picture_number = 1;

  if (fil_cards_get_bool (clip->primary->cards, "CLIPDONE", &done))
    return read_ours (clip, done, error);

  clip->complete = TRUE;

  return !is_cut (clip, clip->primary, error) && scan_extensions (clip, error);
}

static gboolean
check_picture (FilClip *clip,
               GError **error)
{
  if (clip->picture == NULL || (clip->n_frames == 0 && clip->complete))
    {
      g_set_error_literal (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT,
                           _("there is no picture in the file"));
      return FALSE;
    }
  if (clip->n_frames > MAX_FRAMES)
    {
      g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_FORMAT,
                   _("%" PRIu64 " frames are more than can be read"), clip->n_frames);
      return FALSE;
    }

  return TRUE;
}

/**
 * fil_clip_open:
 * @path: a file, taken literally: brackets and exclamation marks mean nothing
 * @error: return location
 *
 * Opens one of our clips, whole or interrupted, or any FITS file with a
 * picture of two or three dimensions (more if they are of length 1): in the
 * primary unit, else the first image extension, tile-compressed or not.
 * Headers are believed no further than the file is long.
 *
 * Returns: (transfer full): the clip, or %NULL
 */
FilClip *
fil_clip_open (const char *path,
               GError    **error)
{
  g_autoptr (FilClip) clip = g_new0 (FilClip, 1);

  g_return_val_if_fail (path != NULL, NULL);

  clip->path = g_strdup (path);
  clip->values = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  if (!open_file (clip, error) || !read_structure (clip, error) || !check_picture (clip, error) ||
      !fil_clip_check_tiles (clip, error))
    return NULL;

  return g_steal_pointer (&clip);
}

void
fil_clip_close (FilClip *clip)
{
  int status = 0;

  if (clip == NULL)
    return;

  if (clip->fits != NULL)
    fits_close_file (clip->fits, &status);
  if (clip->fd >= 0)
    close (clip->fd);
  if (clip->picture != clip->primary)
    fil_fits_hdu_free (clip->picture);
  fil_fits_hdu_free (clip->primary);
  fil_fits_table_free (clip->tiles);
  fil_fits_hdu_free (clip->frames_table);
  fil_fits_hdu_free (clip->light_path_table);
  fil_journal_close (clip->journal);
  g_clear_pointer (&clip->values, g_hash_table_unref);
  g_free (clip->rows);
  g_free (clip->path);
  g_free (clip);
}

/* Turns cfitsio's status into an error of ours; its own stack is emptied. */
gboolean
fil_clip_fits_error (int      status,
                     GError **error)
{
  char text[FLEN_STATUS];

  if (status == 0)
    return TRUE;

  fits_get_errstatus (status, text);
  fits_clear_errmsg ();
  g_set_error (error, FIL_CLIP_ERROR, FIL_CLIP_ERROR_DAMAGED,
               _("the file can't be read: %s"), text);

  return FALSE;
}

/* Returns: (nullable): cfitsio's handle, set to the picture of tiles */
fitsfile *
fil_clip_get_fits (FilClip *clip,
                   GError **error)
{
  /* By descriptor: the same file even if its name was taken since. */
  g_autofree char *path = g_strdup_printf ("/proc/self/fd/%d", clip->fd);
  int status = 0, type;

  if (clip->fits != NULL)
    return clip->fits;

  fits_open_diskfile (&clip->fits, path, READONLY, &status);
  if (status != 0)
    clip->fits = NULL;
  else
    fits_movabs_hdu (clip->fits, clip->picture_number, &type, &status);
  if (status == 0)
    return clip->fits;

  if (clip->fits != NULL)
    fits_close_file (clip->fits, &(int) { 0 });
  clip->fits = NULL;
  fil_clip_fits_error (status, error);

  return NULL;
}

const char *
fil_clip_get_path (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, NULL);

  return clip->path;
}

/* Returns: whole frames; 0 is possible for an interrupted clip alone */
guint64
fil_clip_get_n_frames (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, 0);

  return clip->n_frames;
}

int
fil_clip_get_width (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, 0);

  return clip->width;
}

int
fil_clip_get_height (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, 0);

  return clip->height;
}

/* FALSE: interrupted or cut off; what fil_clip_get_n_frames() counts is whole */
gboolean
fil_clip_is_complete (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, FALSE);

  return clip->complete;
}

/* Whether this program wrote it. */
gboolean
fil_clip_is_ours (const FilClip *clip)
{
  g_return_val_if_fail (clip != NULL, FALSE);

  return clip->ours;
}

/**
 * fil_clip_get_card:
 * @keyword: at most 8 characters
 *
 * Looks in the picture's header, then in the primary one.
 *
 * Returns: (nullable): the value as text, strings without quotes; owned by
 *   the clip
 */
const char *
fil_clip_get_card (FilClip    *clip,
                   const char *keyword)
{
  gpointer known;
  char *value;

  g_return_val_if_fail (clip != NULL && keyword != NULL, NULL);

  if (g_hash_table_lookup_extended (clip->values, keyword, NULL, &known))
    return known;

  value = fil_cards_dup_value (clip->picture->cards, keyword);
  if (value == NULL && clip->picture != clip->primary)
    value = fil_cards_dup_value (clip->primary->cards, keyword);
  g_hash_table_insert (clip->values, g_strdup (keyword), value);

  return value;
}

/* Returns: %FALSE, and @value untouched, where there is no such finite number */
gboolean
fil_clip_get_card_double (const FilClip *clip,
                          const char    *keyword,
                          double        *value)
{
  g_return_val_if_fail (clip != NULL && keyword != NULL && value != NULL, FALSE);

  return fil_cards_get_double (clip->picture->cards, keyword, value) ||
         fil_cards_get_double (clip->primary->cards, keyword, value);
}

/* Returns: the first frame's start, nanoseconds since 1970 UTC; %G_MININT64: unknown */
gint64
fil_clip_get_utc_begin_ns (const FilClip *clip)
{
  static const char *const keywords[] = { "DATE-BEG", "DATE-OBS" };
  FilClip *mutable_clip = (FilClip *) clip;   /* the cache of cards alone changes */
  const char *system;

  g_return_val_if_fail (clip != NULL, G_MININT64);

  system = fil_clip_get_card (mutable_clip, "TIMESYS");
  if (system != NULL && g_ascii_strcasecmp (system, "UTC") != 0)
    return G_MININT64;

  for (gsize i = 0; i < G_N_ELEMENTS (keywords); i++)
    {
      const char *text = fil_clip_get_card (mutable_clip, keywords[i]);
      gint64 utc_ns;

      if (text != NULL && fil_utc_parse (text, &utc_ns))
        return utc_ns;
    }

  return G_MININT64;
}
