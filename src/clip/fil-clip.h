/* fil-clip.h: a clip to be read, ours or any FITS cube
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-clip-info.h"
#include "fil-frame.h"

G_BEGIN_DECLS

#define FIL_CLIP_ERROR (fil_clip_error_quark ())

typedef enum
{
  FIL_CLIP_ERROR_OPEN,      /* can't be opened or created */
  FIL_CLIP_ERROR_EXISTS,    /* is there already */
  FIL_CLIP_ERROR_FORMAT,    /* not FITS, or no picture in it */
  FIL_CLIP_ERROR_DAMAGED,   /* FITS, but cut or broken */
  FIL_CLIP_ERROR_READ,
  FIL_CLIP_ERROR_WRITE,
  FIL_CLIP_ERROR_SPACE,     /* no space left */
} FilClipError;

GQuark fil_clip_error_quark (void);

typedef enum { FIL_CHECKSUM_OK, FIL_CHECKSUM_BAD, FIL_CHECKSUM_ABSENT } FilChecksum;

/* A clip belongs to one thread at a time. */
typedef struct _FilClip FilClip;

FilClip    *fil_clip_open            (const char     *path,
                                      GError        **error);
void        fil_clip_close           (FilClip        *clip);
const char *fil_clip_get_path        (const FilClip  *clip);
guint64     fil_clip_get_n_frames    (const FilClip  *clip);
int         fil_clip_get_width       (const FilClip  *clip);
int         fil_clip_get_height      (const FilClip  *clip);
gboolean    fil_clip_is_integer      (const FilClip  *clip);   /* fits 0 to 65535 exactly */
FilDepth    fil_clip_get_depth       (const FilClip  *clip);
double      fil_clip_get_full_scale  (const FilClip  *clip);   /* NaN: unknown */
double      fil_clip_get_black_level (const FilClip  *clip);   /* 0 where absent */
FilPattern  fil_clip_get_pattern     (const FilClip  *clip);
gboolean    fil_clip_is_complete     (const FilClip  *clip);
gboolean    fil_clip_is_ours         (const FilClip  *clip);
gboolean    fil_clip_is_raw          (const FilClip  *clip);
const char *fil_clip_get_card        (FilClip        *clip,
                                      const char     *keyword);
gboolean    fil_clip_get_card_double (const FilClip  *clip,
                                      const char     *keyword,
                                      double         *value);
gboolean    fil_clip_get_sky         (FilClip        *clip,
                                      FilPlace       *place,
                                      FilSun         *sun);
gboolean    fil_clip_get_losses      (const FilClip  *clip,
                                      guint64        *lost,
                                      guint64        *source_gaps);
double      fil_clip_get_fps         (FilClip        *clip);   /* NaN: unknown */
char       *fil_clip_dup_date_end    (FilClip        *clip);   /* NULL: unknown */
GPtrArray  *fil_clip_dup_light_path  (FilClip        *clip);   /* of char *, a line an element */
gint64      fil_clip_get_utc_begin_ns(const FilClip  *clip);   /* G_MININT64: unknown */
const FilClipRow *fil_clip_get_rows  (FilClip        *clip,
                                      gboolean       *have_times);
gboolean    fil_clip_read_u16        (FilClip        *clip,
                                      guint64         frame,
                                      uint16_t       *pixels,
                                      GError        **error);
gboolean    fil_clip_read_double     (FilClip        *clip,
                                      guint64         frame,
                                      double         *pixels,
                                      GError        **error);
/* Every buffer and frame begins with the bottom row of the picture (FITS row 1). */
FilFrame   *fil_clip_read_frame      (FilClip        *clip,
                                      guint64         index,
                                      GError        **error);
const FilPixelFormat *fil_clip_get_format (const FilClip *clip);
FilChecksum fil_clip_verify          (FilClip        *clip);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilClip, fil_clip_close)

G_END_DECLS
