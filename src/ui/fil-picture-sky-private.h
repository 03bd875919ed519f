/* fil-picture-sky-private.h: what placing and drawing of the sky share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-picture-private.h"

G_BEGIN_DECLS

#define FIL_ARROW_LENGTH 44.0f   /* to the disc's centre, logical pixels */
#define FIL_NAME_PADDING 6.0f   /* of a line's name, left and right */

/* fil-picture-sky-plates.c */
void fil_picture_place_compass   (FilPicture            *self,
                                  const graphene_rect_t *shown);
void fil_picture_place_note      (FilPicture            *self,
                                  const graphene_rect_t *shown);
void fil_picture_place_pointer   (FilPicture            *self,
                                  const graphene_rect_t *shown);
void fil_picture_place_arrow     (FilPicture            *self);

/* fil-picture-sky-names.c */
void fil_picture_sky_place_names (FilPicture            *self,
                                  const graphene_rect_t *shown);

G_END_DECLS
