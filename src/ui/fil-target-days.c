/* fil-target-days.c: where a target stands today and on the next days
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-target-days.h"
#include "fil-target-text.h"

#define N_DAYS    8   /* today and seven more */
#define N_COLUMNS 4

struct _FilTargetDays
{
  GtkWidget  parent_instance;

  GtkWidget *grid;
  GtkLabel  *cells[N_DAYS][N_COLUMNS];
};

G_DEFINE_FINAL_TYPE (FilTargetDays, fil_target_days, GTK_TYPE_WIDGET)

static GtkLabel *
add_cell (FilTargetDays *self,
          int            column,
          int            row)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), column == 0 ? 0.0f : 1.0f);
  gtk_widget_add_css_class (label, "target-day");
  gtk_grid_attach (GTK_GRID (self->grid), label, column, row, 1, 1);

  return GTK_LABEL (label);
}

static void
fil_target_days_dispose (GObject *object)
{
  g_clear_pointer (&FIL_TARGET_DAYS (object)->grid, gtk_widget_unparent);

  G_OBJECT_CLASS (fil_target_days_parent_class)->dispose (object);
}

static void
fil_target_days_class_init (FilTargetDaysClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_target_days_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "targetdays");
}

static void
fil_target_days_init (FilTargetDays *self)
{
  const char *const headings[N_COLUMNS] = { "", _("longitude"), _("from the centre"), "μ" };

  self->grid = gtk_grid_new ();
  gtk_grid_set_column_spacing (GTK_GRID (self->grid), 20);
  gtk_widget_set_halign (self->grid, GTK_ALIGN_START);
  gtk_grid_set_row_spacing (GTK_GRID (self->grid), 2);
  gtk_widget_set_parent (self->grid, GTK_WIDGET (self));
  for (int column = 0; column < N_COLUMNS; column++)
    {
      GtkLabel *heading = add_cell (self, column, 0);

      gtk_label_set_text (heading, headings[column]);
      gtk_widget_add_css_class (GTK_WIDGET (heading), "heading");
      for (int day = 0; day < N_DAYS; day++)
        self->cells[day][column] = add_cell (self, column, day + 1);
    }
}

GtkWidget *
fil_target_days_new (void)
{
  return g_object_new (FIL_TYPE_TARGET_DAYS, NULL);
}

static void
set_cell (FilTargetDays *self,
          int            day,
          int            column,
          const char    *text)
{
  GtkLabel *cell = self->cells[day][column];

  if (g_strcmp0 (gtk_label_get_text (cell), text) != 0)
    gtk_label_set_text (cell, text);
}

static void
show_day (FilTargetDays        *self,
          int                   day,
          const FilTargetPlace *place)
{
  g_autoptr (GDateTime) moment = g_date_time_new_from_unix_local (place->utc_ns / 1000000000);
  /* Translators: weekday and date, as g_date_time_format() takes them */
  g_autofree char *date = g_date_time_format (moment, _("%a %-e %b"));
  g_autofree char *longitude = fil_target_text_longitude (place->longitude_deg);
  g_autofree char *across = NULL, *along = NULL, *offset = NULL, *mu = NULL;

  across = g_strdup_printf (place->west_arcmin < 0.0 ? _("%.1f′ E") : _("%.1f′ W"),
                            fabs (place->west_arcmin));
  along = g_strdup_printf (place->north_arcmin < 0.0 ? _("%.1f′ S") : _("%.1f′ N"),
                           fabs (place->north_arcmin));
  offset = g_strdup_printf ("%s  %s", across, along);
  mu = g_strdup_printf ("%.2f", place->mu);
  set_cell (self, day, 0, day == 0 ? C_("day of the table", "Today") : date);
  set_cell (self, day, 1, longitude);
  set_cell (self, day, 2, place->seen ? offset : _("behind the limb"));
  set_cell (self, day, 3, place->seen ? mu : "–");
  for (int column = 0; column < N_COLUMNS; column++)
    if (place->seen)
      gtk_widget_remove_css_class (GTK_WIDGET (self->cells[day][column]), "hidden");
    else
      gtk_widget_add_css_class (GTK_WIDGET (self->cells[day][column]), "hidden");
}

/* @target: (nullable): none empties the table, which keeps its size */
void
fil_target_days_show (FilTargetDays   *self,
                      const FilTarget *target,
                      FilRotation      rotation,
                      gint64           utc_ns)
{
  FilTargetPlace places[N_DAYS];
  guint n = 0;

  g_return_if_fail (FIL_IS_TARGET_DAYS (self));

  if (target != NULL)
    n = fil_target_get_days (target, rotation, utc_ns, places, N_DAYS);
  for (guint day = 0; day < n; day++)
    show_day (self, (int) day, &places[day]);
  for (guint day = n; day < N_DAYS; day++)
    for (int column = 0; column < N_COLUMNS; column++)
      set_cell (self, (int) day, column, column == 0 ? "–" : "");
}
