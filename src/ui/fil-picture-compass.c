/* fil-picture-compass.c: where north and east are on the picture
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-overlay.h"
#include "fil-picture-compass.h"

#define SIDE       92.0   /* of the dial, logical pixels */
#define NORTH_ARM  28.0
#define EAST_ARM   20.0
#define HEAD       9.0    /* of the arrow */
#define TO_LETTER  11.0   /* from an arm's end to the middle of its letter */
#define TO_CENTRE  3.0    /* arms begin there */

struct _FilPictureCompass
{
  GtkWidget     parent_instance;

  FilSkyCompass compass;
  gboolean      solar, nominal;

  GtkWidget    *caption;
};

G_DEFINE_FINAL_TYPE (FilPictureCompass, fil_picture_compass, GTK_TYPE_WIDGET)

/* All lengths are for letters so high; the dial grows with its letters. */
#define LETTER_HEIGHT 18.0

static PangoLayout *
letter_new (FilPictureCompass *self,
            const char        *text,
            int               *width,
            int               *height)
{
  PangoLayout *letter = gtk_widget_create_pango_layout (GTK_WIDGET (self), text);

  pango_layout_get_pixel_size (letter, width, height);

  return letter;
}

static double
get_growth (FilPictureCompass *self)
{
  int width, height;
  PangoLayout *letter = letter_new (self, "N", &width, &height);

  g_object_unref (letter);

  return MAX (height / LETTER_HEIGHT, 1.0);
}

static double
get_side (FilPictureCompass *self)
{
  return round (SIDE * get_growth (self));
}

static void
draw_arm (FilPictureCompass *self,
          cairo_t           *cr,
          const FilSkyPoint *way,
          double             length,
          gboolean           headed)
{
  static const double dashes[] = { 4.0, 3.0 };
  double end = headed ? length - HEAD + 1.0 : length;

  cairo_set_line_width (cr, headed ? 3.0 : 2.0);
  if (self->nominal)
    cairo_set_dash (cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  cairo_move_to (cr, TO_CENTRE * way->x, TO_CENTRE * way->y);
  cairo_line_to (cr, end * way->x, end * way->y);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  if (!headed)
    return;

  cairo_move_to (cr, length * way->x, length * way->y);
  for (int side = -1; side <= 1; side += 2)
    cairo_line_to (cr, (length - HEAD) * way->x + 0.55 * HEAD * side * way->y,
                   (length - HEAD) * way->y - 0.55 * HEAD * side * way->x);
  cairo_close_path (cr);
  cairo_fill (cr);
}

static void
draw_letter (FilPictureCompass *self,
             cairo_t           *cr,
             const FilSkyPoint *way,
             double             length,
             const char        *text)
{
  int width, height;
  PangoLayout *letter = letter_new (self, text, &width, &height);
  double away = (length + TO_LETTER) * get_growth (self);

  cairo_move_to (cr, round (away * way->x - width / 2.0), round (away * way->y - height / 2.0));
  pango_cairo_show_layout (cr, letter);
  g_object_unref (letter);
}

static void
fil_picture_compass_snapshot (GtkWidget   *widget,
                              GtkSnapshot *snapshot)
{
  FilPictureCompass *self = FIL_PICTURE_COMPASS (widget);
  double side = get_side (self), growth = get_growth (self);
  graphene_rect_t all = GRAPHENE_RECT_INIT (0, 0, (float) gtk_widget_get_width (widget),
                                            (float) side);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &all);

  cairo_translate (cr, gtk_widget_get_width (widget) / 2.0, side / 2.0);
  cairo_save (cr);
  cairo_scale (cr, growth, growth);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_arc (cr, 0.0, 0.0, 2.0, 0.0, 2.0 * G_PI);
  cairo_fill (cr);
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.3);
  cairo_set_line_width (cr, 1.0);
  cairo_arc (cr, 0.0, 0.0, EAST_ARM, 0.0, 2.0 * G_PI);
  cairo_stroke (cr);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  draw_arm (self, cr, &self->compass.north, NORTH_ARM, TRUE);
  draw_arm (self, cr, &self->compass.east, EAST_ARM, FALSE);
  cairo_restore (cr);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  /* Translators: north and east on a compass, one letter each. */
  draw_letter (self, cr, &self->compass.north, NORTH_ARM, C_("compass", "N"));
  draw_letter (self, cr, &self->compass.east, EAST_ARM + 2.0, C_("compass", "E"));
  cairo_destroy (cr);

  gtk_widget_snapshot_child (widget, self->caption, snapshot);
}

static void
fil_picture_compass_measure (GtkWidget      *widget,
                             GtkOrientation  orientation,
                             int             for_size,
                             int            *minimum,
                             int            *natural,
                             int            *minimum_baseline,
                             int            *natural_baseline)
{
  FilPictureCompass *self = FIL_PICTURE_COMPASS (widget);
  int side = (int) get_side (self), caption;

  gtk_widget_measure (self->caption, orientation, -1, NULL, &caption, NULL, NULL);
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? MAX (side, caption)
                                                                  : side + caption;
}

static void
fil_picture_compass_size_allocate (GtkWidget *widget,
                                   int        width,
                                   int        height,
                                   int        baseline)
{
  FilPictureCompass *self = FIL_PICTURE_COMPASS (widget);
  int side = (int) get_side (self);

  gtk_widget_size_allocate (self->caption,
                            &(GtkAllocation) { 0, side, width, height - side }, -1);
}

/* Degrees clockwise from up, 0 to 359. */
static int
get_turn (const FilSkyPoint *way)
{
  return ((int) lround (atan2 (way->x, -way->y) * 180.0 / G_PI) + 360) % 360;
}

static void
describe (FilPictureCompass *self)
{
  g_autofree char *text = NULL;

  text = g_strdup_printf (self->solar
                            ? _("Solar north is %d° clockwise from up, solar east %d°")
                            : _("Celestial north is %d° clockwise from up, celestial east %d°"),
                          get_turn (&self->compass.north), get_turn (&self->compass.east));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

/**
 * fil_picture_compass_set:
 * @compass: unit vectors
 * @solar: of the Sun's axis; %FALSE: of the sky
 * @nominal: not measured; dashed then
 */
void
fil_picture_compass_set (FilPictureCompass   *self,
                         const FilSkyCompass *compass,
                         gboolean             solar,
                         gboolean             nominal)
{
  g_return_if_fail (FIL_IS_PICTURE_COMPASS (self) && compass != NULL);

  if (solar == self->solar && nominal == self->nominal &&
      compass->north.x == self->compass.north.x && compass->north.y == self->compass.north.y &&
      compass->east.x == self->compass.east.x && compass->east.y == self->compass.east.y)
    return;

  self->compass = *compass;
  self->solar = solar;
  self->nominal = nominal;
  gtk_label_set_label (GTK_LABEL (self->caption), solar ? _("solar") : _("celestial"));
  describe (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
fil_picture_compass_dispose (GObject *object)
{
  g_clear_pointer (&FIL_PICTURE_COMPASS (object)->caption, gtk_widget_unparent);

  G_OBJECT_CLASS (fil_picture_compass_parent_class)->dispose (object);
}

static void
fil_picture_compass_class_init (FilPictureCompassClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_picture_compass_dispose;
  widget_class->measure = fil_picture_compass_measure;
  widget_class->size_allocate = fil_picture_compass_size_allocate;
  widget_class->snapshot = fil_picture_compass_snapshot;

  gtk_widget_class_set_css_name (widget_class, "filcompass");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_picture_compass_init (FilPictureCompass *self)
{
  glong longest = MAX (g_utf8_strlen (_("celestial"), -1), g_utf8_strlen (_("solar"), -1));

  self->caption = gtk_label_new (_("celestial"));
  gtk_label_set_width_chars (GTK_LABEL (self->caption), (int) longest);
  gtk_widget_set_parent (self->caption, GTK_WIDGET (self));
  gtk_widget_add_css_class (GTK_WIDGET (self), "plate");
  gtk_widget_set_can_target (GTK_WIDGET (self), FALSE);
}

FilPictureCompass *
fil_picture_compass_new (void)
{
  return g_object_new (FIL_TYPE_PICTURE_COMPASS, NULL);
}
