/* fil-picture.c: the picture, and everything that lies over it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-picture-private.h"

enum {
  PROP_0,
  PROP_SHOW_PATCH,
  PROP_SHOW_SCALE,
  PROP_SHOW_EARTH,
  PROP_SHOW_INSET,
  PROP_SHOW_COMPASS,
  PROP_COMPASS_SOLAR,
  PROP_SHOW_GRID,
  PROP_SHOW_LIMB,
  PROP_SHOW_POINTER,
  PROP_PAINT_FULL,
  PROP_PAINT_EMPTY,
  PROP_MOSAIC,
  PROP_ZOOM,
  N_PROPS
};

enum {
  SIGNAL_PATCH_CHANGED,
  SIGNAL_PICKED,
  SIGNAL_PICK_CANCELLED,
  N_SIGNALS
};

#define AT(field) G_STRUCT_OFFSET (FilPicture, field)

static const struct
{
  const char *name;
  gsize       offset;      /* of a gboolean */
  gboolean    standard;
} switches[N_PROPS] = {
  [PROP_SHOW_PATCH] = { "show-patch", AT (show_patch), TRUE },
  [PROP_SHOW_SCALE] = { "show-scale", AT (show_scale), TRUE },
  [PROP_SHOW_EARTH] = { "show-earth", AT (show_earth), FALSE },
  [PROP_SHOW_INSET] = { "show-inset", AT (show_inset), TRUE },
  [PROP_SHOW_COMPASS] = { "show-compass", AT (sky.show_compass), TRUE },
  [PROP_COMPASS_SOLAR] = { "compass-solar", AT (sky.compass_solar), FALSE },
  [PROP_SHOW_GRID] = { "show-grid", AT (sky.show_grid), FALSE },
  [PROP_SHOW_LIMB] = { "show-limb", AT (sky.show_limb), TRUE },
  [PROP_SHOW_POINTER] = { "show-pointer", AT (sky.show_pointer), TRUE },
  [PROP_PAINT_FULL] = { "paint-full", AT (look.paint_full), TRUE },
  [PROP_PAINT_EMPTY] = { "paint-empty", AT (look.paint_empty), FALSE },
  [PROP_MOSAIC] = { "mosaic", AT (look.mosaic), FALSE },
};

G_DEFINE_FINAL_TYPE (FilPicture, fil_picture, GTK_TYPE_WIDGET)

static GParamSpec *properties[N_PROPS];
static guint signals[N_SIGNALS];

gboolean
fil_picture_has_message (FilPicture *self)
{
  return gtk_widget_get_visible (self->message);
}

/* Whether there is a patch to be seen and held. */
gboolean
fil_picture_has_patch (FilPicture *self)
{
  return self->show_patch && self->patch.width > 0 && self->frame != NULL &&
         !fil_picture_has_message (self);
}

/* Something over the picture has another place, text or state. */
void
fil_picture_overlay_changed (FilPicture *self)
{
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* Another part of the picture is seen, or at another zoom. */
void
fil_picture_view_changed (FilPicture *self)
{
  fil_picture_overlay_changed (self);
  fil_picture_post_now (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_ZOOM]);
}

/* The full count a format promises, until the look is set. */
static void
adopt_format (FilPicture *self)
{
  if (self->look_set || self->frame->format == NULL)
    return;

  self->look.full = (1u << self->frame->format->bits) - 1u;
  self->look.black = 0.0;
  self->look.white = self->look.full;
}

/**
 * fil_picture_set_frame:
 * @frame: (nullable): the newest one; a reference is held until the next.
 *   %NULL: no picture
 *
 * May be called as often as frames come: the newest is drawn, at most 30
 * times a second.
 */
void
fil_picture_set_frame (FilPicture *self,
                       FilFrame   *frame)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  if (frame == self->frame)
    return;

  if (frame != NULL)
    fil_frame_ref (frame);
  g_clear_pointer (&self->frame, fil_frame_unref);
  self->frame = frame;
  self->fresh = frame != NULL;
  if (frame == NULL)
    {
      g_clear_object (&self->texture);
      fil_picture_overlay_changed (self);
      return;
    }

  adopt_format (self);
  if (frame->width != self->view.picture_width || frame->height != self->view.picture_height)
    {
      fil_view_set_picture (&self->view, frame->width, frame->height);
      if (self->patch.width > 0)
        self->patch = fil_patch_keep_inside (&self->patch, frame->width, frame->height);
      g_clear_object (&self->texture);
      fil_picture_view_changed (self);
    }
  fil_picture_post (self);
}

/* Returns: (nullable) (transfer none) */
FilFrame *
fil_picture_get_frame (FilPicture *self)
{
  g_return_val_if_fail (FIL_IS_PICTURE (self), NULL);

  return self->frame;
}

/* Frames that have reached the screen; views of the same frame count once. */
guint64
fil_picture_get_n_drawn (FilPicture *self)
{
  g_return_val_if_fail (FIL_IS_PICTURE (self), 0);

  return self->n_drawn;
}

static void
notify_look (FilPicture    *self,
             const FilLook *old)
{
  if (self->look.paint_full != old->paint_full)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_PAINT_FULL]);
  if (self->look.paint_empty != old->paint_empty)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_PAINT_EMPTY]);
  if (self->look.mosaic != old->mosaic)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_MOSAIC]);
}

/**
 * fil_picture_set_look:
 * @look: copied; black and white finite
 *
 * Shown only. Until it is set, black is 0 and white what the frame's format
 * promises.
 */
void
fil_picture_set_look (FilPicture    *self,
                      const FilLook *look)
{
  FilLook old;

  g_return_if_fail (FIL_IS_PICTURE (self) && look != NULL);
  g_return_if_fail (isfinite (look->black) && isfinite (look->white));

  old = self->look;
  self->look_set = TRUE;
  if (fil_look_is_equal (&old, look))
    return;

  self->look = *look;
  notify_look (self, &old);
  fil_picture_post_now (self);
}

void
fil_picture_get_look (FilPicture *self,
                      FilLook    *look)
{
  g_return_if_fail (FIL_IS_PICTURE (self) && look != NULL);

  *look = self->look;
}

/**
 * fil_picture_stretch:
 *
 * Sets black and white by the frame's own counts, once.
 *
 * Returns: %FALSE without a frame that can be read
 */
gboolean
fil_picture_stretch (FilPicture *self)
{
  g_autoptr (FilRenderer) renderer = NULL;
  FilLook look;

  g_return_val_if_fail (FIL_IS_PICTURE (self), FALSE);

  if (self->frame == NULL)
    return FALSE;

  renderer = fil_renderer_new ();
  look = self->look;
  if (!fil_renderer_stretch (renderer, self->frame, &look, NULL))
    return FALSE;
  fil_picture_set_look (self, &look);

  return TRUE;
}

static void
describe_patch (FilPicture *self)
{
  g_autofree char *text = NULL;

  text = g_strdup_printf (_("Patch, %d by %d pixels at %d, %d"), self->patch.width,
                          self->patch.height, self->patch.x, self->patch.y);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->patch_box),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

static void
apply_patch (FilPicture    *self,
             const FilRect *patch)
{
  self->patch = *patch;
  if (patch->width > 0 && self->frame != NULL)
    self->patch = fil_patch_keep_inside (patch, self->frame->width, self->frame->height);
  describe_patch (self);
  fil_picture_overlay_changed (self);
}

/* By the user's hand. */
void
fil_picture_move_patch (FilPicture    *self,
                        const FilRect *patch)
{
  apply_patch (self, patch);
  if (self->part == FIL_PATCH_NOTHING)
    g_signal_emit (self, signals[SIGNAL_PATCH_CHANGED], 0);
}

/* The user has said where. */
void
fil_picture_emit_picked (FilPicture *self,
                         double      x_fits,
                         double      y_fits)
{
  g_signal_emit (self, signals[SIGNAL_PICKED], 0, x_fits, y_fits);
}

void
fil_picture_emit_pick_cancelled (FilPicture *self)
{
  g_signal_emit (self, signals[SIGNAL_PICK_CANCELLED], 0);
}

/**
 * fil_picture_set_patch:
 * @patch: (nullable): picture pixels from the top left; brought inside the
 *   picture. %NULL or width 0: none
 *
 * Emits nothing. Without effect while the user drags the patch.
 */
void
fil_picture_set_patch (FilPicture    *self,
                       const FilRect *patch)
{
  FilRect none = { 0 };

  g_return_if_fail (FIL_IS_PICTURE (self));

  if (self->part != FIL_PATCH_NOTHING)
    return;

  apply_patch (self, patch != NULL && patch->width > 0 && patch->height > 0 ? patch : &none);
}

/* @patch: (out): width 0: none */
void
fil_picture_get_patch (FilPicture *self,
                       FilRect    *patch)
{
  g_return_if_fail (FIL_IS_PICTURE (self) && patch != NULL);

  *patch = self->patch;
}

/* @caption: translated; "patch" at first */
void
fil_picture_set_patch_caption (FilPicture *self,
                               const char *caption)
{
  g_return_if_fail (FIL_IS_PICTURE (self) && caption != NULL);

  gtk_label_set_label (GTK_LABEL (self->patch_caption), caption);
}

/**
 * fil_picture_set_scale:
 * @arcsec_per_px: of the picture; NaN: unknown
 * @km_per_px: on the Sun; NaN: unknown
 *
 * Scale bar and Earth are hidden where they can't be known.
 */
void
fil_picture_set_scale (FilPicture *self,
                       double      arcsec_per_px,
                       double      km_per_px)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  self->arcsec_per_px = arcsec_per_px;
  self->km_per_px = km_per_px;
  fil_picture_overlay_changed (self);
}

/* Where the zoom and the inset stand; bottom right at first. */
void
fil_picture_set_inset_corner (FilPicture   *self,
                              GtkCornerType corner)
{
  g_return_if_fail (FIL_IS_PICTURE (self));

  self->inset_corner = corner;
  fil_picture_overlay_changed (self);
}

static gboolean *
find_switch (FilPicture *self,
             guint       prop_id)
{
  if (prop_id >= N_PROPS || switches[prop_id].name == NULL)
    return NULL;

  return G_STRUCT_MEMBER_P (self, switches[prop_id].offset);
}

static void
fil_picture_get_property (GObject    *object,
                          guint       prop_id,
                          GValue     *value,
                          GParamSpec *pspec)
{
  FilPicture *self = FIL_PICTURE (object);
  gboolean *found = find_switch (self, prop_id);

  if (found != NULL)
    g_value_set_boolean (value, *found);
  else if (prop_id == PROP_ZOOM)
    g_value_set_double (value, self->view.zoom);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
fil_picture_set_property (GObject      *object,
                          guint         prop_id,
                          const GValue *value,
                          GParamSpec   *pspec)
{
  FilPicture *self = FIL_PICTURE (object);
  gboolean *found = find_switch (self, prop_id);

  if (found == NULL)
    {
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
      return;
    }
  if (*found == g_value_get_boolean (value))
    return;

  *found = g_value_get_boolean (value);
  g_object_notify_by_pspec (object, pspec);
  fil_picture_overlay_changed (self);
  fil_picture_post_now (self);
}

static void
fil_picture_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (fil_picture_parent_class)->map (widget);
  fil_picture_show_begin (FIL_PICTURE (widget));
}

static void
fil_picture_unmap (GtkWidget *widget)
{
  fil_picture_show_end (FIL_PICTURE (widget));
  GTK_WIDGET_CLASS (fil_picture_parent_class)->unmap (widget);
}

static void
fil_picture_dispose (GObject *object)
{
  FilPicture *self = FIL_PICTURE (object);
  GtkWidget *child;

  fil_picture_show_end (self);
  fil_picture_sky_end (self);
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_widget_unparent (child);
  g_clear_pointer (&self->frame, fil_frame_unref);
  g_clear_object (&self->texture);
  g_clear_pointer (&self->taken, g_array_unref);

  G_OBJECT_CLASS (fil_picture_parent_class)->dispose (object);
}

static void
add_switches (void)
{
  for (guint i = 0; i < N_PROPS; i++)
    if (switches[i].name != NULL)
      properties[i] =
        g_param_spec_boolean (switches[i].name, NULL, NULL, switches[i].standard,
                              G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS |
                              G_PARAM_EXPLICIT_NOTIFY);
}

static void
add_signals (GType type)
{
  signals[SIGNAL_PATCH_CHANGED] =
    g_signal_new ("patch-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 0);
  signals[SIGNAL_PICKED] =
    g_signal_new ("picked", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
  signals[SIGNAL_PICK_CANCELLED] =
    g_signal_new ("pick-cancelled", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                  G_TYPE_NONE, 0);
}

static void
fil_picture_class_init (FilPictureClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = fil_picture_dispose;
  object_class->get_property = fil_picture_get_property;
  object_class->set_property = fil_picture_set_property;
  widget_class->map = fil_picture_map;
  widget_class->unmap = fil_picture_unmap;
  fil_picture_layout_class (widget_class);
  fil_picture_input_class (widget_class);

  add_switches ();
  properties[PROP_ZOOM] =
    g_param_spec_double ("zoom", NULL, NULL, 0.0, FIL_VIEW_LARGEST_ZOOM, 1.0,
                         G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  add_signals (G_TYPE_FROM_CLASS (klass));

  gtk_widget_class_set_css_name (widget_class, "filpicture");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_picture_init (FilPicture *self)
{
  GtkWidget *widget = GTK_WIDGET (self);

  self->arcsec_per_px = self->km_per_px = NAN;
  fil_look_init (&self->look, G_MAXUINT16);
  for (guint i = 0; i < N_PROPS; i++)
    if (switches[i].name != NULL)
      *find_switch (self, i) = switches[i].standard;
  self->inset_corner = GTK_CORNER_BOTTOM_RIGHT;
  fil_view_init (&self->view);

  gtk_widget_set_focusable (widget, TRUE);
  gtk_widget_set_overflow (widget, GTK_OVERFLOW_HIDDEN);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("The picture"), -1);
  fil_picture_layout_init (self);
  fil_picture_message_init (self);
  fil_picture_input_init (self);
}

GtkWidget *
fil_picture_new (void)
{
  return g_object_new (FIL_TYPE_PICTURE, NULL);
}
