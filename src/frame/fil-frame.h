/* fil-frame.h: one picture of a camera, shared by counting references
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <stdint.h>

#include "fil-pixel-format.h"
#include "fil-rect.h"

G_BEGIN_DECLS

typedef struct _FilFrame FilFrame;

/* Where FilFrame.time_ns counts from. */
typedef enum
{
  FIL_CLOCK_MONOTONIC,  /* CLOCK_MONOTONIC: the consumer adds one offset to UTC a clip */
  FIL_CLOCK_UTC,        /* nanoseconds since 1970-01-01T00:00:00 UTC, leap seconds not counted */
} FilClock;

/* What the driver's stamp marked before it was turned into the start of the
 * exposure. */
typedef enum
{
  FIL_STAMP_EXPOSURE_START,  /* the start itself, or derived from the end and a known exposure */
  FIL_STAMP_FRAME_END,       /* end of frame; the exposure's unit is unknown, so it stays */
  FIL_STAMP_FRAME_START,     /* the driver's 'start of exposure' flag, taken as it is */
} FilStamp;

typedef enum
{
  FIL_FRAME_OK       = 0,
  FIL_FRAME_DAMAGED  = 1 << 0,  /* the driver flagged an error: data may be missing or torn */
} FilFrameFlags;

/* What the simulated Sun did to this frame; the tests' ground truth. */
typedef struct
{
  gboolean known;          /* FALSE for every real camera */
  double   shift_x_px;     /* whole-picture shift against the still scene, + right */
  double   shift_y_px;     /* + up */
  double   r0_mm;          /* Fried's parameter of this moment, at the rig's wavelength */
  double   defocus_um;     /* distance of the sensor from best focus, centre of the picture */
  double   strehl;         /* peak of the transfer's point spread over the perfect one's, 0 to 1 */
  double   transparency;   /* 1 clear, 0 black; clouds */
} FilFrameTruth;

typedef void (*FilFrameRelease) (FilFrame *frame,
                                 gpointer  user_data);

/**
 * FilFrame:
 * @data: first byte of the first row in memory
 * @size: bytes that may be read from @data
 * @stride: bytes from one row to the next; 0 for compressed pictures
 * @bottom_up: the first row in memory is the bottom row of the picture
 * @sequence: the source's own count; gaps are frames the source lost
 * @time_ns: start of the exposure, see @stamp and @clock
 * @exposure_ms: milliseconds, NaN when the source doesn't tell its unit
 * @gain: in the source's own unit, NaN when unknown
 *
 * Filled in by its maker before anyone else sees it; read-only from then on,
 * from any thread. Holders call fil_frame_ref() and fil_frame_unref(); the
 * last one gives the memory back to the maker.
 */
struct _FilFrame
{
  const FilPixelFormat *format;
  int                   width, height;
  const guint8         *data;
  gsize                 size;
  gsize                 stride;
  gboolean              bottom_up;

  guint64               sequence;
  gint64                time_ns;
  FilClock              clock;
  FilStamp              stamp;
  double                exposure_ms;
  double                gain;
  FilFrameFlags         flags;
  FilFrameTruth         truth;

  /*< private >*/
  int                   refs;      /* C11 atomic access only, see fil-frame.c */
  FilFrameRelease       release;
  gpointer              release_data;
};

FilFrame *fil_frame_new        (FilFrameRelease       release,
                                gpointer              user_data);
FilFrame *fil_frame_new_alloc  (const FilPixelFormat *format,
                                int                   width,
                                int                   height);
FilFrame *fil_frame_ref        (FilFrame             *frame);
void      fil_frame_unref      (FilFrame             *frame);
gboolean  fil_frame_check      (const FilFrame       *frame,
                                GError              **error);
gboolean  fil_frame_check_rect (const FilFrame       *frame,
                                const FilRect        *rect,
                                FilRect              *inside,
                                GError              **error);
gboolean  fil_frame_unpack     (const FilFrame       *frame,
                                const FilRect        *rect,
                                uint16_t             *pixels,
                                GError              **error);
gboolean  fil_frame_pack_fits  (const FilFrame       *frame,
                                const FilRect        *rect,
                                guint8               *stored,
                                GError              **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilFrame, fil_frame_unref)

G_END_DECLS
