/* fil-picture-patch.c: the rectangle in which sharpness is measured, and its handles
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-overlay.h"
#include "fil-picture-patch.h"

#define GRIP 10.0   /* logical pixels from an edge that still hold it */

struct _FilPicturePatch
{
  GtkWidget parent_instance;
};

enum {
  SIGNAL_NUDGE,
  N_SIGNALS
};

G_DEFINE_FINAL_TYPE (FilPicturePatch, fil_picture_patch, GTK_TYPE_WIDGET)

static guint signals[N_SIGNALS];

static void
span_keep_inside (int *start,
                  int *length,
                  int  extent)
{
  *length = CLAMP (*length, MIN (FIL_PATCH_LEAST, extent), extent);
  *start = CLAMP (*start, 0, extent - *length);
}

/**
 * fil_patch_keep_inside:
 * @patch: any rectangle, pixels
 * @width: of the picture, pixels, > 0
 *
 * Returns: the nearest patch that lies in the picture, at least 128 pixels
 *   wide and high so far as the picture is
 */
FilRect
fil_patch_keep_inside (const FilRect *patch,
                       int            width,
                       int            height)
{
  FilRect kept = *patch;

  span_keep_inside (&kept.x, &kept.width, width);
  span_keep_inside (&kept.y, &kept.height, height);

  return kept;
}

/* The other edge stays where it is. */
static void
span_drag (int     *start,
           int     *length,
           gboolean low,
           gboolean high,
           double   by,
           int      extent)
{
  int least = MIN (FIL_PATCH_LEAST, extent);
  int end = *start + *length;
  int step = (int) CLAMP (round (by), -extent, extent);

  if (low && high)
    *start = CLAMP (*start + step, 0, extent - *length);
  else if (low)
    {
      *start = CLAMP (*start + step, 0, end - least);
      *length = end - *start;
    }
  else if (high)
    *length = CLAMP (end + step, *start + least, extent) - *start;
}

/**
 * fil_patch_drag:
 * @patch: inside the picture
 * @part: what is held
 * @dx: picture pixels to the right
 * @dy: picture pixels down
 * @width: of the picture, pixels
 *
 * Returns: the patch after the drag, inside the picture
 */
FilRect
fil_patch_drag (const FilRect *patch,
                FilPatchPart   part,
                double         dx,
                double         dy,
                int            width,
                int            height)
{
  FilRect dragged = fil_patch_keep_inside (patch, width, height);

  span_drag (&dragged.x, &dragged.width, (part & FIL_PATCH_LEFT) != 0,
             (part & FIL_PATCH_RIGHT) != 0, dx, width);
  span_drag (&dragged.y, &dragged.height, (part & FIL_PATCH_TOP) != 0,
             (part & FIL_PATCH_BOTTOM) != 0, dy, height);

  return dragged;
}

static guint
hit_span (double at,
          double start,
          double length,
          guint  low,
          guint  high)
{
  double grip = MIN (GRIP, length / 4.0);

  if (fabs (at - start) <= grip)
    return low;
  if (fabs (at - start - length) <= grip)
    return high;

  return 0;
}

/* What of a patch drawn as @drawn lies under the pointer, same pixels. */
FilPatchPart
fil_patch_hit (const graphene_rect_t *drawn,
               double                 x,
               double                 y)
{
  graphene_rect_t near;
  guint part;

  graphene_rect_inset_r (drawn, -(float) GRIP, -(float) GRIP, &near);
  if (!graphene_rect_contains_point (&near, &GRAPHENE_POINT_INIT ((float) x, (float) y)))
    return FIL_PATCH_NOTHING;

  part = hit_span (x, drawn->origin.x, drawn->size.width, FIL_PATCH_LEFT, FIL_PATCH_RIGHT) |
         hit_span (y, drawn->origin.y, drawn->size.height, FIL_PATCH_TOP, FIL_PATCH_BOTTOM);
  if (part != 0)
    return (FilPatchPart) part;

  return graphene_rect_contains_point (drawn, &GRAPHENE_POINT_INIT ((float) x, (float) y))
           ? FIL_PATCH_ALL : FIL_PATCH_NOTHING;
}

const char *
fil_patch_get_cursor (FilPatchPart part)
{
  switch ((guint) part)
    {
    case FIL_PATCH_ALL:
      return "move";
    case FIL_PATCH_LEFT:
    case FIL_PATCH_RIGHT:
      return "ew-resize";
    case FIL_PATCH_TOP:
    case FIL_PATCH_BOTTOM:
      return "ns-resize";
    case FIL_PATCH_LEFT | FIL_PATCH_TOP:
    case FIL_PATCH_RIGHT | FIL_PATCH_BOTTOM:
      return "nwse-resize";
    case FIL_PATCH_RIGHT | FIL_PATCH_TOP:
    case FIL_PATCH_LEFT | FIL_PATCH_BOTTOM:
      return "nesw-resize";
    default:
      return NULL;
    }
}

static void
fil_picture_patch_snapshot (GtkWidget   *widget,
                            GtkSnapshot *snapshot)
{
  const float border = FIL_PICTURE_PATCH_BORDER;
  graphene_rect_t patch = GRAPHENE_RECT_INIT (border, border,
                                              (float) gtk_widget_get_width (widget) - 2 * border,
                                              (float) gtk_widget_get_height (widget) - 2 * border);

  fil_overlay_append_frame (snapshot, &patch, FIL_OVERLAY_AMBER);
  if (gtk_widget_has_visible_focus (widget))
    fil_overlay_append_handles (snapshot, &patch, FIL_OVERLAY_AMBER);
}

static gboolean
nudge_cb (GtkWidget *widget,
          GVariant  *args,
          gpointer   user_data)
{
  int part, dx, dy;

  g_variant_get (args, "(iii)", &part, &dx, &dy);
  g_signal_emit (widget, signals[SIGNAL_NUDGE], 0, part, dx, dy);

  return TRUE;
}

static void
bind_arrow (GtkWidgetClass *widget_class,
            guint           key,
            guint           keypad_key,
            int             dx,
            int             dy)
{
  const guint keys[] = { key, keypad_key };
  const int corner = FIL_PATCH_RIGHT | FIL_PATCH_BOTTOM;

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      gtk_widget_class_add_binding (widget_class, keys[i], 0, nudge_cb, "(iii)",
                                    (int) FIL_PATCH_ALL, 8 * dx, 8 * dy);
      gtk_widget_class_add_binding (widget_class, keys[i], GDK_CONTROL_MASK, nudge_cb,
                                    "(iii)", (int) FIL_PATCH_ALL, dx, dy);
      gtk_widget_class_add_binding (widget_class, keys[i], GDK_SHIFT_MASK, nudge_cb,
                                    "(iii)", corner, 8 * dx, 8 * dy);
      gtk_widget_class_add_binding (widget_class, keys[i],
                                    GDK_SHIFT_MASK | GDK_CONTROL_MASK, nudge_cb, "(iii)",
                                    corner, dx, dy);
    }
}

static void
fil_picture_patch_class_init (FilPicturePatchClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->snapshot = fil_picture_patch_snapshot;

  signals[SIGNAL_NUDGE] =
    g_signal_new ("nudge", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                  NULL, G_TYPE_NONE, 3, G_TYPE_INT, G_TYPE_INT, G_TYPE_INT);

  gtk_widget_class_set_css_name (widget_class, "filpatch");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);

  bind_arrow (widget_class, GDK_KEY_Left, GDK_KEY_KP_Left, -1, 0);
  bind_arrow (widget_class, GDK_KEY_Right, GDK_KEY_KP_Right, 1, 0);
  bind_arrow (widget_class, GDK_KEY_Up, GDK_KEY_KP_Up, 0, -1);
  bind_arrow (widget_class, GDK_KEY_Down, GDK_KEY_KP_Down, 0, 1);
}

static void
fil_picture_patch_init (FilPicturePatch *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  /* The picture sorts out what a press belongs to. */
  gtk_widget_set_can_target (GTK_WIDGET (self), FALSE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL, _("Patch"),
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  _("Where sharpness is measured. Arrow keys move it, with "
                                    "Shift they resize it; with Ctrl by single pixels."),
                                  -1);
}

FilPicturePatch *
fil_picture_patch_new (void)
{
  return g_object_new (FIL_TYPE_PICTURE_PATCH, NULL);
}
