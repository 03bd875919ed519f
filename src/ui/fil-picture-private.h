/* fil-picture-private.h: what the parts of the picture share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-picture-inset.h"
#include "fil-picture-patch.h"
#include "fil-picture-sky.h"
#include "fil-picture-view.h"
#include "fil-picture-worker.h"
#include "fil-picture.h"

G_BEGIN_DECLS

struct _FilPicture
{
  GtkWidget         parent_instance;

  /* What is shown */
  FilFrame         *frame;          /* nullable */
  FilLook           look;
  gboolean          look_set;       /* FALSE: follows the frame's format */
  FilView           view;
  double            arcsec_per_px, km_per_px;   /* NaN: unknown */

  /* Making it ready */
  FilPictureWorker *worker;         /* while mapped */
  gboolean          fresh;          /* the frame wasn't posted yet */
  guint             post_id;        /* 0: no post is waiting for its time */
  gint64            posted_us;      /* monotonic */
  gint64            inset_us;
  guint64           shown_token;
  GdkTexture       *texture;        /* nullable */
  FilRegion         texture_region; /* what of the picture it shows */
  gboolean          texture_fresh;  /* a frame that wasn't drawn yet */
  guint64           n_drawn;

  /* Over it */
  FilRect           patch;          /* width 0: none */
  gboolean          show_patch, show_scale, show_earth, show_inset;
  GtkCornerType     inset_corner;
  gboolean          bar_shown, earth_shown;     /* by the last allocation */
  graphene_rect_t   bar_at;         /* logical pixels; its line is the bottom */
  graphene_rect_t   earth_at;

  GtkWidget        *patch_box;      /* FilPicturePatch */
  GtkWidget        *patch_caption;
  GtkWidget        *bar_caption;
  GtkWidget        *earth_caption;
  GtkWidget        *where;          /* zoom and inset on one plate */
  GtkWidget        *zoom_caption;
  GtkWidget        *inset;          /* FilPictureInset */

  FilPictureSky     sky;            /* directions, grid, limb */
  GArray           *taken;          /* of graphene_rect_t: where plates stand */

  GtkWidget        *message;
  GtkWidget        *message_title;
  GtkWidget        *message_body;
  GtkWidget        *message_button;

  /* A drag under way */
  FilPatchPart      part;           /* what of the patch is held */
  FilRect           part_from;
  FilView           pan_from;
  gboolean          panning;
  double            pointer_x, pointer_y;       /* logical pixels */
  double            pinch_from;     /* zoom */
  double            scrolled;       /* steps not yet taken */
};

/* fil-picture.c */
void     fil_picture_view_changed    (FilPicture        *self);
void     fil_picture_overlay_changed (FilPicture        *self);
void     fil_picture_move_patch      (FilPicture        *self,
                                      const FilRect     *patch);
void     fil_picture_emit_picked     (FilPicture        *self,
                                      double             x_fits,
                                      double             y_fits);
void     fil_picture_emit_pick_cancelled (FilPicture    *self);
gboolean fil_picture_has_message     (FilPicture        *self);
gboolean fil_picture_has_patch       (FilPicture        *self);

/* fil-picture-show.c: frames to textures */
void     fil_picture_post            (FilPicture        *self);
void     fil_picture_post_now        (FilPicture        *self);
void     fil_picture_show_begin      (FilPicture        *self);
void     fil_picture_show_end        (FilPicture        *self);

/* fil-picture-layout.c: where all of it lies */
void     fil_picture_layout_init     (FilPicture        *self);
void     fil_picture_layout_class    (GtkWidgetClass    *widget_class);
void     fil_picture_get_patch_area  (FilPicture        *self,
                                      graphene_rect_t   *area);

GtkWidget *fil_picture_plate_new     (FilPicture        *self,
                                      const char        *text);
void     fil_picture_place           (GtkWidget         *child,
                                      int                x,
                                      int                y,
                                      int                width,
                                      int                height);
void     fil_picture_place_plate     (FilPicture        *self,
                                      GtkWidget         *plate,
                                      int                x,
                                      int                y,
                                      int                width,
                                      int                height);
void     fil_picture_measure_plate   (GtkWidget         *plate,
                                      int               *width,
                                      int               *height);
void     fil_picture_take            (FilPicture        *self,
                                      const graphene_rect_t *rect);
gboolean fil_picture_is_free         (FilPicture        *self,
                                      const graphene_rect_t *rect);
gboolean fil_picture_get_shown       (FilPicture        *self,
                                      graphene_rect_t   *shown);
void     fil_picture_from_point      (FilPicture        *self,
                                      const FilSkyPoint *point,
                                      double            *x,
                                      double            *y);
void     fil_picture_to_point        (FilPicture        *self,
                                      double             x,
                                      double             y,
                                      FilSkyPoint       *point);

/* fil-picture-sky.c: directions, grid, limb, and the plates that go with them */
void     fil_picture_get_scale       (FilPicture        *self,
                                      double            *arcsec_per_px,
                                      double            *km_per_px);
void     fil_picture_sky_init        (FilPicture        *self);
void     fil_picture_sky_end         (FilPicture        *self);
void     fil_picture_sky_place       (FilPicture        *self);
void     fil_picture_sky_place_rest  (FilPicture        *self);
void     fil_picture_sky_append      (FilPicture        *self,
                                      GtkSnapshot       *snapshot);
void     fil_picture_sky_append_arrow (FilPicture       *self,
                                      GtkSnapshot       *snapshot);
void     fil_picture_sky_point_at    (FilPicture        *self,
                                      gboolean           pointed,
                                      double             x,
                                      double             y);

/* fil-picture-pick.c: pointing at a place */
gboolean fil_picture_pick_press      (FilPicture        *self,
                                      double             x,
                                      double             y);
gboolean fil_picture_pick_release    (FilPicture        *self,
                                      double             x,
                                      double             y);
void     fil_picture_pick_move       (FilPicture        *self,
                                      double             x,
                                      double             y);
gboolean fil_picture_pick_step       (FilPicture        *self,
                                      double             dx,
                                      double             dy);
void     fil_picture_pick_class      (GtkWidgetClass    *widget_class);
void     fil_picture_pick_append     (FilPicture        *self,
                                      GtkSnapshot       *snapshot);

/* fil-picture-input.c: pointer and keys */
void     fil_picture_input_init      (FilPicture        *self);
void     fil_picture_input_class     (GtkWidgetClass    *widget_class);
void     fil_picture_show_cursor     (FilPicture        *self);

/* fil-picture-message.c: words where the picture would be */
void     fil_picture_message_init    (FilPicture        *self);

G_END_DECLS
