/* fil-frame-error.h: what can be wrong with a frame
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_FRAME_ERROR (fil_frame_error_quark ())

typedef enum
{
  FIL_FRAME_ERROR_FORMAT,     /* a pixel format that we don't read */
  FIL_FRAME_ERROR_SIZE,       /* fewer bytes than its size asks for, or a size of nonsense */
  FIL_FRAME_ERROR_DATA,       /* a compressed picture that can't be read */
  FIL_FRAME_ERROR_RECT,       /* a rectangle beyond the picture, or misspelt */
} FilFrameError;

GQuark fil_frame_error_quark (void);

G_END_DECLS
