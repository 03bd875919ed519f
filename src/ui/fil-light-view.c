/* fil-light-view.c: the light path as one picture, from the sky to the sensor
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The picture is drawn; over it lies a slot for each element, so that pointer,
 * keyboard and screen readers find them. One of them is selected; it alone
 * takes part in going round by Tab, the arrow keys go from one to the next. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-findings.h"
#include "fil-light-shapes.h"
#include "fil-light-slot.h"
#include "fil-light-view.h"
#include "fil-plot.h"

#define LABEL_PX      68     /* of a slot's texts below the picture */
#define PICTURE_PX    186
#define SLOT_PX       100    /* at least: longer light paths are scrolled */
#define DIMENSION_PX  12.0   /* from the picture's lower edge */

struct _FilLightView
{
  GtkWidget        parent_instance;

  FilRig          *rig;
  FilLightDrawing *drawing;    /* NULL until a size is known */
  GPtrArray       *slots;      /* of FilLightSlot, the sky's first; borrowed */
  int              selected;   /* element, or FIL_LIGHT_VIEW_SKY */
};

enum
{
  SIGNAL_SELECTED,
  SIGNAL_MOVED,
  SIGNAL_REMOVED,
  SIGNAL_ENTERED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilLightView, fil_light_view, GTK_TYPE_WIDGET)

/* Slots ------------------------------------------------------------------- */

static FilLightSlot *
slot_of (FilLightView *self,
         int           index)
{
  return g_ptr_array_index (self->slots, index + 1);
}

/* A second press, or Enter, goes on to the element's card. */
static void
slot_clicked_cb (FilLightSlot *slot,
                 FilLightView *self)
{
  if (fil_light_slot_get_index (slot) == self->selected)
    {
      g_signal_emit (self, signals[SIGNAL_ENTERED], 0);
      return;
    }

  fil_light_view_select (self, fil_light_slot_get_index (slot));
  fil_light_view_take_focus (self);
}

/* As many slots as elements; those that stay keep the keyboard's focus. */
static void
make_slots (FilLightView *self,
            guint         n)
{
  while (self->slots->len > n)
    {
      gtk_widget_unparent (g_ptr_array_index (self->slots, self->slots->len - 1));
      g_ptr_array_set_size (self->slots, (int) self->slots->len - 1);
    }
  while (self->slots->len < n)
    {
      FilLightSlot *slot = fil_light_slot_new ((int) self->slots->len - 1);

      g_signal_connect (slot, "clicked", G_CALLBACK (slot_clicked_cb), self);
      gtk_widget_set_parent (GTK_WIDGET (slot), GTK_WIDGET (self));
      g_ptr_array_add (self->slots, slot);
    }
}

static void
show_selection (FilLightView *self)
{
  for (int i = FIL_LIGHT_VIEW_SKY; i + 1 < (int) self->slots->len; i++)
    fil_light_slot_set_selected (slot_of (self, i), i == self->selected);
}

/* The worst finding about an element; a rig-wide one is the sky's. */
static int
worst_level (const GPtrArray *findings,
             int              index)
{
  int worst = FIL_LIGHT_SLOT_QUIET;

  for (guint i = 0; findings != NULL && i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      if (finding->element == index)
        worst = MIN (worst, (int) finding->level);
    }

  return worst;
}

/* Keys --------------------------------------------------------------------- */

static gboolean
go_cb (GtkWidget *widget,
       GVariant  *arguments,
       gpointer   user_data)
{
  FilLightView *self = FIL_LIGHT_VIEW (widget);
  int last = (int) self->slots->len - 2;
  int step;

  g_variant_get (arguments, "(i)", &step);
  fil_light_view_select (self, CLAMP (self->selected + step, FIL_LIGHT_VIEW_SKY, last));
  fil_light_view_take_focus (self);

  return TRUE;
}

static gboolean
move_cb (GtkWidget *widget,
         GVariant  *arguments,
         gpointer   user_data)
{
  int step;

  g_variant_get (arguments, "(i)", &step);
  g_signal_emit (widget, signals[SIGNAL_MOVED], 0, step);

  return TRUE;
}

static gboolean
remove_cb (GtkWidget *widget,
           GVariant  *arguments,
           gpointer   user_data)
{
  g_signal_emit (widget, signals[SIGNAL_REMOVED], 0);

  return TRUE;
}

/* Drawing ------------------------------------------------------------------ */

static double
label_height (FilLightView *self)
{
  return LABEL_PX * fil_plot_text_scale (GTK_WIDGET (self));
}

static void
measure (GtkWidget      *widget,
         GtkOrientation  orientation,
         int             for_size,
         int            *minimum,
         int            *natural,
         int            *minimum_baseline,
         int            *natural_baseline)
{
  FilLightView *self = FIL_LIGHT_VIEW (widget);
  double scale = fil_plot_text_scale (widget);

  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    *minimum = *natural = (int) (self->slots->len * SLOT_PX * scale);
  else
    *minimum = *natural = (int) (PICTURE_PX + label_height (self));
  *minimum_baseline = *natural_baseline = -1;
}

static void
size_allocate (GtkWidget *widget,
               int        width,
               int        height,
               int        baseline)
{
  FilLightView *self = FIL_LIGHT_VIEW (widget);

  g_clear_pointer (&self->drawing, fil_light_drawing_free);
  if (self->rig == NULL)
    return;

  self->drawing = fil_light_drawing_new (self->rig, width, height - label_height (self));
  for (guint i = 0; i < self->slots->len && i < self->drawing->elements->len; i++)
    {
      const FilDrawnElement *drawn = &g_array_index (self->drawing->elements, FilDrawnElement, i);
      GtkWidget *slot = g_ptr_array_index (self->slots, i);
      int x = (int) floor (drawn->slot_x), end = (int) floor (drawn->slot_x + drawn->slot_width);
      int least;

      gtk_widget_measure (slot, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
      gtk_widget_size_allocate (slot, &(GtkAllocation) { x, 0, MAX (end - x, least), height }, -1);
    }
}

/* A known distance, between the middles of two elements. */
static void
draw_dimension (FilLightView *self,
                cairo_t      *cr,
                double        x0,
                double        x1,
                double        distance_mm)
{
  GtkWidget *widget = GTK_WIDGET (self);
  g_autofree char *text = g_strdup_printf (_("%.4g mm"), distance_mm);
  double y = round (self->drawing->height - DIMENSION_PX) + 0.5;

  cairo_set_line_width (cr, fil_plot_line_scale (widget));
  fil_plot_set_color (cr, widget, "quiet_fg");
  cairo_move_to (cr, x0, y);
  cairo_line_to (cr, x1, y);
  for (int side = 0; side < 2; side++)
    {
      double x = side == 0 ? x0 : x1, inward = side == 0 ? 6.0 : -6.0;

      cairo_move_to (cr, x + inward, y - 3.5);
      cairo_line_to (cr, x, y);
      cairo_line_to (cr, x + inward, y + 3.5);
      cairo_move_to (cr, x, y - 7.0);
      cairo_line_to (cr, x, y + 7.0);
    }
  cairo_stroke (cr);
  fil_plot_text (cr, widget, text, (x0 + x1) / 2.0, y - 11.0 * fil_plot_text_scale (widget), 0.5,
                 FALSE);
}

static void
draw_elements (FilLightView *self,
               cairo_t      *cr)
{
  const FilLightDrawing *drawing = self->drawing;

  for (guint i = 1; i < drawing->elements->len; i++)
    {
      const FilDrawnElement *drawn = &g_array_index (drawing->elements, FilDrawnElement, i);
      const FilElement *element = fil_rig_get_element (self->rig, (guint) drawn->index);

      fil_light_shapes_draw_element (cr, GTK_WIDGET (self), drawn, element, drawing->axis_y);
      if (i + 1 < drawing->elements->len && isfinite (element->distance_to_next_mm))
        draw_dimension (self, cr, drawn->x, drawn[1].x, element->distance_to_next_mm);
    }
}

static void
draw_axis (FilLightView *self,
           cairo_t      *cr)
{
  const double dashes[] = { 9.0, 3.0, 2.0, 3.0 };
  double y = round (self->drawing->axis_y) + 0.5;

  cairo_move_to (cr, 0.0, y);
  cairo_line_to (cr, self->drawing->width, y);
  cairo_set_dash (cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  cairo_set_line_width (cr, 1.0);
  fil_plot_set_color (cr, GTK_WIDGET (self), "ray_color");
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

static void
snapshot (GtkWidget   *widget,
          GtkSnapshot *snapshot)
{
  FilLightView *self = FIL_LIGHT_VIEW (widget);
  float width = (float) gtk_widget_get_width (widget);
  float height = (float) gtk_widget_get_height (widget);
  cairo_t *cr;

  if (self->drawing == NULL)
    return;

  /* The slots' grounds lie below the picture, their texts beside it. */
  for (guint i = 0; i < self->slots->len; i++)
    gtk_widget_snapshot_child (widget, g_ptr_array_index (self->slots, i), snapshot);

  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  draw_axis (self, cr);
  fil_light_shapes_draw_beam (cr, widget, self->drawing);
  fil_light_shapes_draw_sun (cr, widget,
                             &g_array_index (self->drawing->elements, FilDrawnElement, 0),
                             self->drawing->axis_y);
  draw_elements (self, cr);
  cairo_destroy (cr);
}

/* Object ------------------------------------------------------------------- */

static void
fil_light_view_dispose (GObject *object)
{
  FilLightView *self = FIL_LIGHT_VIEW (object);

  make_slots (self, 0);
  g_clear_pointer (&self->drawing, fil_light_drawing_free);
  g_clear_pointer (&self->rig, fil_rig_unref);

  G_OBJECT_CLASS (fil_light_view_parent_class)->dispose (object);
}

static void
fil_light_view_finalize (GObject *object)
{
  g_ptr_array_unref (FIL_LIGHT_VIEW (object)->slots);

  G_OBJECT_CLASS (fil_light_view_parent_class)->finalize (object);
}

static void
add_keys (GtkWidgetClass *widget_class)
{
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Left, 0, go_cb, "(i)", -1);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Right, 0, go_cb, "(i)", 1);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Home, 0, go_cb, "(i)", -1000000);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_End, 0, go_cb, "(i)", 1000000);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Left, GDK_ALT_MASK, move_cb, "(i)", -1);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Right, GDK_ALT_MASK, move_cb, "(i)", 1);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Delete, 0, remove_cb, NULL);
}

static void
fil_light_view_class_init (FilLightViewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_light_view_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_light_view_finalize;
  widget_class->measure = measure;
  widget_class->size_allocate = size_allocate;
  widget_class->snapshot = snapshot;
  gtk_widget_class_set_css_name (widget_class, "lightview");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  add_keys (widget_class);

  signals[SIGNAL_SELECTED] = g_signal_new ("selected", FIL_TYPE_LIGHT_VIEW, G_SIGNAL_RUN_LAST, 0,
                                           NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);
  signals[SIGNAL_MOVED] = g_signal_new ("moved", FIL_TYPE_LIGHT_VIEW, G_SIGNAL_RUN_LAST, 0, NULL,
                                        NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);
  signals[SIGNAL_REMOVED] = g_signal_new ("removed", FIL_TYPE_LIGHT_VIEW, G_SIGNAL_RUN_LAST, 0,
                                          NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_ENTERED] = g_signal_new ("entered", FIL_TYPE_LIGHT_VIEW, G_SIGNAL_RUN_LAST, 0,
                                          NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
fil_light_view_init (FilLightView *self)
{
  self->slots = g_ptr_array_new ();
  self->selected = FIL_LIGHT_VIEW_SKY;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Light path, from the sky to the sensor"), -1);
}

/**
 * fil_light_view_set_rig:
 * @rig: complete or not
 * @findings: (nullable) (element-type FilFinding): marked on their elements
 *
 * The selection stays where it is, or goes to the last element there is.
 */
void
fil_light_view_set_rig (FilLightView    *self,
                        FilRig          *rig,
                        const GPtrArray *findings)
{
  guint n;

  g_return_if_fail (FIL_IS_LIGHT_VIEW (self) && rig != NULL);

  fil_rig_ref (rig);
  g_clear_pointer (&self->rig, fil_rig_unref);
  self->rig = rig;
  n = fil_rig_get_n_elements (rig);
  make_slots (self, n + 1);
  for (int i = FIL_LIGHT_VIEW_SKY; i < (int) n; i++)
    fil_light_slot_show (slot_of (self, i), rig, worst_level (findings, i));
  self->selected = MIN (self->selected, (int) n - 1);
  show_selection (self);
  gtk_widget_queue_resize (GTK_WIDGET (self));
}

/* Tells "selected" where that is another one than before. */
void
fil_light_view_select (FilLightView *self,
                       int           index)
{
  g_return_if_fail (FIL_IS_LIGHT_VIEW (self));
  g_return_if_fail (index >= FIL_LIGHT_VIEW_SKY && index + 1 < (int) self->slots->len);

  if (index != self->selected)
    {
      self->selected = index;
      show_selection (self);
      g_signal_emit (self, signals[SIGNAL_SELECTED], 0, index);
    }
  else
    show_selection (self);
}

int
fil_light_view_get_selected (FilLightView *self)
{
  g_return_val_if_fail (FIL_IS_LIGHT_VIEW (self), FIL_LIGHT_VIEW_SKY);

  return self->selected;
}

/* The keyboard goes to the selected element. */
void
fil_light_view_take_focus (FilLightView *self)
{
  g_return_if_fail (FIL_IS_LIGHT_VIEW (self));

  if (self->slots->len > 0)
    gtk_widget_grab_focus (GTK_WIDGET (slot_of (self, self->selected)));
}
