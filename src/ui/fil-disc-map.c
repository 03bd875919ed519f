/* fil-disc-map.c: the whole disc with its grid, the camera's field and targets
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Drawn from angles alone: it is a map, not a picture. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-disc-map-private.h"
#include "fil-plot.h"
#include "fil-target-text.h"

#define MARGIN_PX 34.0   /* around the limb, for the letters */
#define LEAST_PX  220

struct _FilDiscMap
{
  GtkWidget      parent_instance;

  FilSun         sun;
  gint64         utc_ns;
  gboolean       has_sun;
  FilPlace       place;
  gboolean       has_place;
  int            width, height;
  FilTargetList *list;            /* a copy of what is to be drawn; NULL: none */
  FilDiscUp      up;

  GtkWidget     *area, *bar;
  GtkLabel      *pointer_label;
  GtkToggleButton *up_buttons[3];
  GPtrArray     *marks;           /* of FilDiscMark, for the time shown */
  FilSkyLines   *lines;           /* for the size and turn drawn last */
  FilSkyView     view;
  double         left, top, radius;
};

G_DEFINE_FINAL_TYPE (FilDiscMap, fil_disc_map, GTK_TYPE_WIDGET)

/* The square that is drawn on ------------------------------------------- */

#define FIL_TYPE_DISC_AREA (fil_disc_area_get_type ())
G_DECLARE_FINAL_TYPE (FilDiscArea, fil_disc_area, FIL, DISC_AREA, GtkWidget)

struct _FilDiscArea
{
  GtkWidget   parent_instance;
  FilDiscMap *map;   /* its parent, which outlives it */
};

G_DEFINE_FINAL_TYPE (FilDiscArea, fil_disc_area, GTK_TYPE_WIDGET)

static gboolean
lay_out (FilDiscMap *self)
{
  int width = gtk_widget_get_width (self->area), height = gtk_widget_get_height (self->area);
  int side = MIN (width, height);

  self->radius = side / 2.0 - MARGIN_PX * fil_plot_text_scale (self->area);
  if (!self->has_sun || self->radius < 20.0)
    return FALSE;

  self->left = floor ((width - side) / 2.0);
  self->top = floor ((height - side) / 2.0);
  fil_disc_view_init (&self->view, self->up, &self->sun, self->has_place ? &self->place : NULL,
                      side, self->radius);
  fil_sky_lines_clear (self->lines);
  fil_sky_lines_add_grid (self->lines, &self->view);

  return TRUE;
}

static void
fil_disc_area_snapshot (GtkWidget   *widget,
                        GtkSnapshot *snapshot)
{
  FilDiscMap *self = FIL_DISC_AREA (widget)->map;
  FilDiscScene scene;
  cairo_t *cr;

  if (!lay_out (self))
    return;

  scene = (FilDiscScene) {
    .view = self->view, .left = self->left, .top = self->top, .radius = self->radius,
    .lines = self->lines, .marks = self->marks, .place = self->has_place ? &self->place : NULL,
    .width = self->width, .height = self->height, .up = self->up,
  };
  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (
    0, 0, gtk_widget_get_width (widget), gtk_widget_get_height (widget)));
  fil_disc_map_draw (widget, cr, &scene);
  cairo_destroy (cr);
}

static void
fil_disc_area_class_init (FilDiscAreaClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = fil_disc_area_snapshot;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "discarea");
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_IMG);
}

static void
fil_disc_area_init (FilDiscArea *self)
{
}

/* What is drawn ------------------------------------------------------------ */

static void
free_mark (gpointer data)
{
  FilDiscMark *mark = data;

  g_free (mark->name);
  g_free (mark->ago);
  g_free (mark);
}

static void
add_mark (FilDiscMap      *self,
          const FilTarget *target)
{
  FilDiscMark *mark = g_new0 (FilDiscMark, 1);

  mark->name = g_strdup (target->name);
  mark->ago = fil_target_text_ago (target->sighted_utc_ns, self->utc_ns);
  mark->current = g_strcmp0 (self->list->current, target->name) == 0;
  fil_target_get_place (target, self->list->rotation, self->utc_ns, &self->sun, &mark->now);
  if (!fil_target_predict (target, self->list->rotation, target->sighted_utc_ns, &mark->then,
                           NULL))
    mark->then = mark->now;
  g_ptr_array_add (self->marks, mark);
}

/* What a screen reader says of the map. */
static void
describe (FilDiscMap *self)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < self->marks->len; i++)
    {
      const FilDiscMark *mark = g_ptr_array_index (self->marks, i);
      g_autofree char *offset = fil_target_text_offset (&mark->now);

      g_string_append_printf (text, "%s%s: %s", i > 0 ? "; " : "", mark->name,
                              mark->now.seen ? offset : _("behind the limb"));
    }
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->area), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Map of the Sun’s disc"),
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text->str, -1);
}

static void
update (FilDiscMap *self)
{
  g_ptr_array_set_size (self->marks, 0);
  if (self->has_sun && self->list != NULL)
    for (guint i = 0; i < self->list->targets->len; i++)
      add_mark (self, g_ptr_array_index (self->list->targets, i));
  describe (self);
  gtk_widget_queue_draw (self->area);
}

static void
show_pointer (FilDiscMap *self,
              double      x,
              double      y)
{
  FilSkyPoint at = { x - self->left, y - self->top };
  g_autofree char *latitude = NULL, *longitude = NULL, *text = NULL;
  FilSkyPlace place;

  if (self->has_sun && fil_sky_get_place (&self->view, &at, &place) && place.on_disc)
    {
      latitude = fil_target_text_latitude (place.latitude_deg);
      longitude = fil_target_text_longitude (place.longitude_deg);
      text = g_strdup_printf ("%s  %s  μ %.2f", latitude, longitude, place.mu);
    }
  gtk_label_set_text (self->pointer_label, text != NULL ? text : "");
}

static void
motion_cb (GtkEventControllerMotion *controller,
           double                    x,
           double                    y,
           FilDiscMap               *self)
{
  show_pointer (self, x, y);
}

static void
leave_cb (GtkEventControllerMotion *controller,
          FilDiscMap               *self)
{
  gtk_label_set_text (self->pointer_label, "");
}

static void
up_toggled_cb (GtkToggleButton *button,
               FilDiscMap      *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (self->up_buttons); i++)
    if (gtk_toggle_button_get_active (self->up_buttons[i]) && self->up != (FilDiscUp) i)
      {
        self->up = (FilDiscUp) i;
        gtk_widget_queue_draw (self->area);
      }
}

static void
add_up_button (FilDiscMap *self,
               FilDiscUp   up,
               const char *text,
               const char *tip)
{
  GtkWidget *button = gtk_toggle_button_new_with_label (text);

  self->up_buttons[up] = GTK_TOGGLE_BUTTON (button);
  gtk_widget_add_css_class (button, "disc-up");
  gtk_widget_set_tooltip_text (button, tip);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, tip, -1);
  if (up != FIL_DISC_UP_SOLAR_NORTH)
    gtk_toggle_button_set_group (self->up_buttons[up], self->up_buttons[0]);
  g_signal_connect (button, "toggled", G_CALLBACK (up_toggled_cb), self);
  gtk_box_append (GTK_BOX (self->bar), button);
}

/* Which way is up, and what lies under the pointer. */
static void
make_bar (FilDiscMap *self)
{
  GtkWidget *up = gtk_label_new (_("Up:"));

  self->bar = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  gtk_widget_add_css_class (self->bar, "disc-bar");
  gtk_widget_add_css_class (up, "caption");
  gtk_widget_set_margin_end (up, 4);
  gtk_box_append (GTK_BOX (self->bar), up);
  add_up_button (self, FIL_DISC_UP_SOLAR_NORTH, _("Solar north"),
                 _("The Sun’s axis upright, solar east on the left"));
  add_up_button (self, FIL_DISC_UP_NORTH, _("Sky north"),
                 _("Celestial north up, east on the left"));
  add_up_button (self, FIL_DISC_UP_PICTURE, _("Picture"),
                 _("Turned and mirrored as the camera has it"));
  gtk_toggle_button_set_active (self->up_buttons[0], TRUE);
  self->pointer_label = GTK_LABEL (gtk_label_new (NULL));
  gtk_widget_add_css_class (GTK_WIDGET (self->pointer_label), "caption");
  gtk_widget_set_hexpand (GTK_WIDGET (self->pointer_label), TRUE);
  gtk_label_set_xalign (self->pointer_label, 1.0f);
  gtk_label_set_ellipsize (self->pointer_label, PANGO_ELLIPSIZE_START);
  gtk_box_append (GTK_BOX (self->bar), GTK_WIDGET (self->pointer_label));
}

static void
fil_disc_map_dispose (GObject *object)
{
  FilDiscMap *self = FIL_DISC_MAP (object);

  g_clear_pointer (&self->area, gtk_widget_unparent);
  g_clear_pointer (&self->bar, gtk_widget_unparent);

  G_OBJECT_CLASS (fil_disc_map_parent_class)->dispose (object);
}

static void
fil_disc_map_finalize (GObject *object)
{
  FilDiscMap *self = FIL_DISC_MAP (object);

  g_ptr_array_unref (self->marks);
  fil_sky_lines_free (self->lines);
  fil_target_list_free (self->list);

  G_OBJECT_CLASS (fil_disc_map_parent_class)->finalize (object);
}

static void
fil_disc_map_class_init (FilDiscMapClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_disc_map_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_disc_map_finalize;
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "discmap");
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BOX_LAYOUT);
}

static void
fil_disc_map_init (FilDiscMap *self)
{
  GtkEventController *motion = gtk_event_controller_motion_new ();

  self->marks = g_ptr_array_new_with_free_func (free_mark);
  self->lines = fil_sky_lines_new ();
  gtk_orientable_set_orientation (
    GTK_ORIENTABLE (gtk_widget_get_layout_manager (GTK_WIDGET (self))),
    GTK_ORIENTATION_VERTICAL);

  self->area = g_object_new (FIL_TYPE_DISC_AREA, "hexpand", TRUE, "vexpand", TRUE, NULL);
  FIL_DISC_AREA (self->area)->map = self;
  gtk_widget_set_size_request (self->area, LEAST_PX, LEAST_PX);
  gtk_widget_set_parent (self->area, GTK_WIDGET (self));
  g_signal_connect (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (leave_cb), self);
  gtk_widget_add_controller (self->area, motion);

  make_bar (self);
  gtk_widget_set_parent (self->bar, GTK_WIDGET (self));
  describe (self);
}

/**
 * fil_disc_map_new:
 *
 * Empty until it knows the Sun; needs 220 px each way, and a row of buttons.
 */
GtkWidget *
fil_disc_map_new (void)
{
  return g_object_new (FIL_TYPE_DISC_MAP, NULL);
}

/* @sun: (nullable): copied; of @utc_ns, the time that is shown */
void
fil_disc_map_set_sun (FilDiscMap   *self,
                      const FilSun *sun,
                      gint64        utc_ns)
{
  g_return_if_fail (FIL_IS_DISC_MAP (self));

  self->has_sun = sun != NULL;
  self->utc_ns = utc_ns;
  if (sun != NULL)
    self->sun = *sun;
  update (self);
}

/**
 * fil_disc_map_set_place:
 * @place: (nullable): of the camera's picture, copied. Where it isn't placed
 *   or oriented its field is dashed, and the words say so; %NULL: no camera
 * @width: of the picture, pixels
 */
void
fil_disc_map_set_place (FilDiscMap     *self,
                        const FilPlace *place,
                        int             width,
                        int             height)
{
  g_return_if_fail (FIL_IS_DISC_MAP (self));

  self->has_place = place != NULL && width > 0 && height > 0;
  if (self->has_place)
    self->place = *place;
  self->width = width;
  self->height = height;
  gtk_widget_set_sensitive (GTK_WIDGET (self->up_buttons[FIL_DISC_UP_PICTURE]), self->has_place);
  if (!self->has_place && self->up == FIL_DISC_UP_PICTURE)
    fil_disc_map_set_up (self, FIL_DISC_UP_SOLAR_NORTH);
  gtk_widget_queue_draw (self->area);
}

/* @list: (nullable): its targets are copied */
void
fil_disc_map_set_targets (FilDiscMap    *self,
                          FilTargetList *list)
{
  g_return_if_fail (FIL_IS_DISC_MAP (self));

  g_clear_pointer (&self->list, fil_target_list_free);
  if (list != NULL)
    {
      self->list = fil_target_list_new ();
      self->list->rotation = list->rotation;
      for (guint i = 0; i < list->targets->len; i++)
        fil_target_list_add (self->list,
                             fil_target_copy (g_ptr_array_index (list->targets, i)), -1, NULL);
      fil_target_list_set_current (self->list, list->current);
    }
  update (self);
}

/* Which way is up; also chosen by the buttons below the map. */
void
fil_disc_map_set_up (FilDiscMap *self,
                     FilDiscUp   up)
{
  g_return_if_fail (FIL_IS_DISC_MAP (self));
  g_return_if_fail ((guint) up < G_N_ELEMENTS (self->up_buttons));

  gtk_toggle_button_set_active (self->up_buttons[up], TRUE);
}

FilDiscUp
fil_disc_map_get_up (FilDiscMap *self)
{
  g_return_val_if_fail (FIL_IS_DISC_MAP (self), FIL_DISC_UP_SOLAR_NORTH);

  return self->up;
}
