/* fil-picture-zoom.c: how large the picture is shown, and which part
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-picture-private.h"

/* Screen pixels a picture pixel. */
double
fil_picture_get_zoom (FilPicture *self)
{
  g_return_val_if_fail (FIL_IS_PICTURE (self), 1.0);

  return self->view.zoom;
}

gboolean
fil_picture_get_fit (FilPicture *self)
{
  g_return_val_if_fail (FIL_IS_PICTURE (self), TRUE);

  return self->view.fit;
}

/* Shows the whole picture, and keeps to it when the window is resized. */
void
fil_picture_fit (FilPicture *self)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  fil_view_set_fit (&self->view);
  fil_picture_view_changed (self);
}

/**
 * fil_picture_zoom_to:
 * @zoom: screen pixels a picture pixel, 1 for 1:1; brought into the limits
 *
 * The middle of the view stays where it is.
 */
void
fil_picture_zoom_to (FilPicture *self,
                     double      zoom)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  fil_view_zoom_about (&self->view, zoom, self->view.width / 2.0, self->view.height / 2.0);
  fil_picture_view_changed (self);
}

/* @steps: in (above 0) or out (below 0) */
void
fil_picture_zoom_steps (FilPicture *self,
                        int         steps)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  fil_picture_zoom_to (self, fil_view_get_step (&self->view, steps));
}

/* @x, @y: picture pixels that come into the middle, so far as the edges let
 * them */
void
fil_picture_centre_on (FilPicture *self,
                       double      x,
                       double      y)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  fil_view_centre_on (&self->view, x, y);
  fil_picture_view_changed (self);
}

/* What of the picture is seen, picture pixels; all 0 where nothing is. */
void
fil_picture_get_region (FilPicture *self,
                        FilRegion  *region)
{
  FilRect shown;

  g_return_if_fail (FIL_IS_PICTURE (self) && region != NULL);

  if (!fil_view_get_shown (&self->view, &shown, region))
    *region = (FilRegion) { 0 };
}
