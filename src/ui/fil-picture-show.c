/* fil-picture-show.c: frames to textures, no more often than they can be seen
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include "fil-picture-private.h"

#define FRAME_US (G_USEC_PER_SEC / 31)   /* a hair more often than 30 a second */
#define INSET_US (G_USEC_PER_SEC / 4)

static GdkTexture *
texture_new (GBytes *pixels,
             int     width,
             int     height)
{
  return gdk_memory_texture_new (width, height, GDK_MEMORY_B8G8R8, pixels,
                                 3 * (gsize) width);
}

static void
done_cb (FilPictureDrawing *drawing,
         gpointer           user_data)
{
  FilPicture *self = user_data;
  const FilPictureJob *job = &drawing->job;

  if (self->frame == NULL || drawing->token <= self->shown_token)
    return;

  self->shown_token = drawing->token;
  if (drawing->inset != NULL)
    {
      g_autoptr (GdkTexture) inset = texture_new (drawing->inset, job->inset_width,
                                                  job->inset_height);

      fil_picture_inset_set_texture (FIL_PICTURE_INSET (self->inset), inset);
    }
  if (drawing->pixels == NULL)
    return;

  g_clear_object (&self->texture);
  self->texture = texture_new (drawing->pixels, job->width, job->height);
  self->texture_region = job->region;
  self->texture_fresh |= job->fresh;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
ask_for_inset (FilPicture    *self,
               FilPictureJob *job,
               gint64         now_us)
{
  int scale = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  int width, height;

  if (!gtk_widget_get_visible (self->inset) || now_us - self->inset_us < INSET_US)
    return;

  fil_picture_inset_get_size (FIL_PICTURE_INSET (self->inset), &width, &height);
  job->inset_width = width * scale;
  job->inset_height = height * scale;
  self->inset_us = now_us;
}

/* Has the frame drawn as it is to be seen now. */
void
fil_picture_post_now (FilPicture *self)
{
  FilPictureJob job = { 0 };
  FilRect shown;

  if (self->worker == NULL || self->frame == NULL || fil_picture_has_message (self) ||
      !fil_view_get_shown (&self->view, &shown, &job.region))
    return;

  g_clear_handle_id (&self->post_id, g_source_remove);
  job.frame = self->frame;
  job.width = shown.width;
  job.height = shown.height;
  job.look = self->look;
  job.fresh = self->fresh;
  if (job.fresh)
    self->posted_us = g_get_monotonic_time ();
  ask_for_inset (self, &job, g_get_monotonic_time ());
  fil_picture_worker_post (self->worker, &job);
  self->fresh = FALSE;
}

static gboolean
post_cb (gpointer user_data)
{
  FilPicture *self = user_data;

  self->post_id = 0;
  fil_picture_post_now (self);

  return G_SOURCE_REMOVE;
}

/* As fil_picture_post_now(), when it is time for another frame. */
void
fil_picture_post (FilPicture *self)
{
  gint64 early_us = self->posted_us + FRAME_US - g_get_monotonic_time ();

  if (early_us <= 0)
    fil_picture_post_now (self);
  else if (self->post_id == 0 && self->worker != NULL)
    self->post_id = g_timeout_add ((guint) (early_us / 1000) + 1, post_cb, self);
}

void
fil_picture_show_begin (FilPicture *self)
{
  if (self->worker == NULL)
    self->worker = fil_picture_worker_new (done_cb, self);
  self->shown_token = 0;
  fil_picture_post_now (self);
}

void
fil_picture_show_end (FilPicture *self)
{
  g_clear_handle_id (&self->post_id, g_source_remove);
  g_clear_pointer (&self->worker, fil_picture_worker_free);
}
