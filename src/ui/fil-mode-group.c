/* fil-mode-group.c: format, size and rate of a source
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Three menus, each dependent on the one before it; the mode is set when one
 * is changed by hand. Stepped sizes offer their largest, and fractions of it. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-mode-group.h"

struct _FilModeGroup
{
  AdwPreferencesGroup parent_instance;

  FilLive            *live;
  GPtrArray          *formats;     /* of FilSourceFormat that we read, borrowed from all */
  GPtrArray          *all;         /* what the source listed, owned */
  GArray             *sizes;       /* of Size: what the size menu shows */
  GArray             *rates;       /* of double */
  AdwComboRow        *format_row, *size_row, *rate_row;
  gboolean            filling;
};

typedef struct
{
  int                  width, height;
  const FilSourceSize *offer;
} Size;

enum
{
  SIGNAL_REFUSED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilModeGroup, fil_mode_group, ADW_TYPE_PREFERENCES_GROUP)

static const FilSourceFormat *
selected_format (FilModeGroup *self)
{
  guint i = adw_combo_row_get_selected (self->format_row);

  return i < self->formats->len ? g_ptr_array_index (self->formats, i) : NULL;
}

static const Size *
selected_size (FilModeGroup *self)
{
  guint i = adw_combo_row_get_selected (self->size_row);

  return i < self->sizes->len ? &g_array_index (self->sizes, Size, i) : NULL;
}

static void
apply (FilModeGroup *self)
{
  const FilSourceFormat *format = selected_format (self);
  const Size *size = selected_size (self);
  guint rate = adw_combo_row_get_selected (self->rate_row);
  g_autoptr (GError) error = NULL;
  FilSourceMode mode = { 0 };

  if (format == NULL || size == NULL)
    return;

  mode.fourcc = format->fourcc;
  mode.width = size->width;
  mode.height = size->height;
  mode.fps = rate < self->rates->len ? g_array_index (self->rates, double, rate) : 0.0;
  if (!fil_live_set_mode (self->live, &mode, &error))
    g_signal_emit (self, signals[SIGNAL_REFUSED], 0, error->message);
}

static void
set_model (AdwComboRow   *row,
           GtkStringList *model,
           guint          selected)
{
  adw_combo_row_set_model (row, G_LIST_MODEL (model));
  adw_combo_row_set_selected (row, selected);
  gtk_widget_set_sensitive (GTK_WIDGET (row), g_list_model_get_n_items (G_LIST_MODEL (model)) > 1);
  g_object_unref (model);
}

static void
add_size (FilModeGroup        *self,
          GtkStringList       *model,
          const FilSourceSize *offer,
          int                  width,
          int                  height)
{
  Size size = { width, height, offer };
  g_autofree char *text = g_strdup_printf ("%d × %d", width, height);

  g_array_append_val (self->sizes, size);
  gtk_string_list_append (model, text);
}

static void
add_stepped (FilModeGroup        *self,
             GtkStringList       *model,
             const FilSourceSize *offer)
{
  for (int divisor = 1; divisor <= 8; divisor *= 2)
    {
      int width = offer->max_width / divisor, height = offer->max_height / divisor;

      width = offer->min_width + (width - offer->min_width) / MAX (offer->step_width, 1) *
                                   MAX (offer->step_width, 1);
      height = offer->min_height + (height - offer->min_height) / MAX (offer->step_height, 1) *
                                     MAX (offer->step_height, 1);
      if (width >= offer->min_width && height >= offer->min_height)
        add_size (self, model, offer, width, height);
    }
}

static void
fill_rates (FilModeGroup *self,
            double        fps)
{
  const Size *size = selected_size (self);
  GtkStringList *model = gtk_string_list_new (NULL);
  guint selected = 0;

  g_array_set_size (self->rates, 0);
  for (guint i = 0; size != NULL && i < size->offer->fps->len; i++)
    {
      double rate = g_array_index (size->offer->fps, double, i);
      g_autofree char *text = g_strdup_printf (_("%.4g a second"), rate);

      if (fabs (rate - fps) < 0.01 * rate)
        selected = i;
      g_array_append_val (self->rates, rate);
      gtk_string_list_append (model, text);
    }
  set_model (self->rate_row, model, selected);
}

static void
fill_sizes (FilModeGroup        *self,
            const FilSourceMode *mode)
{
  const FilSourceFormat *format = selected_format (self);
  GtkStringList *model = gtk_string_list_new (NULL);
  guint selected = 0;

  g_array_set_size (self->sizes, 0);
  for (guint i = 0; format != NULL && i < format->sizes->len; i++)
    {
      const FilSourceSize *offer = g_ptr_array_index (format->sizes, i);

      if (offer->step_width > 0 || offer->step_height > 0)
        add_stepped (self, model, offer);
      else
        add_size (self, model, offer, offer->max_width, offer->max_height);
    }
  for (guint i = 0; i < self->sizes->len; i++)
    {
      const Size *size = &g_array_index (self->sizes, Size, i);

      if (size->width == mode->width && size->height == mode->height)
        selected = i;
    }
  set_model (self->size_row, model, selected);
  fill_rates (self, mode->fps);
}

static void
fill_formats (FilModeGroup        *self,
              const FilSourceMode *mode)
{
  GtkStringList *model = gtk_string_list_new (NULL);
  guint selected = 0;

  for (guint i = 0; self->all != NULL && i < self->all->len; i++)
    {
      FilSourceFormat *format = g_ptr_array_index (self->all, i);
      g_autofree char *name = NULL, *text = NULL;

      if (format->format == NULL)
        continue;
      name = g_strchomp (g_strndup (format->format->name, 4));
      text = g_strdup_printf (
        format->format->kind == FIL_KIND_LUMA || format->format->kind == FIL_KIND_COMPRESSED
          ? _("%s · %d bit · not raw")
          : _("%s · %d bit"),
        name, format->format->bits);
      if (format->fourcc == mode->fourcc)
        selected = self->formats->len;
      g_ptr_array_add (self->formats, format);
      gtk_string_list_append (model, text);
    }
  set_model (self->format_row, model, selected);
}

static void
changed_cb (AdwComboRow  *row,
            GParamSpec   *pspec,
            FilModeGroup *self)
{
  const Size *size;
  FilSourceMode mode = { 0 };

  if (self->filling)
    return;

  self->filling = TRUE;
  size = selected_size (self);
  fil_live_get_mode (self->live, &mode);
  if (size != NULL)
    {
      mode.width = size->width;
      mode.height = size->height;
    }
  if (row == self->format_row)
    fill_sizes (self, &mode);
  else if (row == self->size_row)
    fill_rates (self, mode.fps);
  self->filling = FALSE;

  apply (self);
}

static AdwComboRow *
add_row (FilModeGroup *self,
         const char   *title)
{
  AdwComboRow *row = ADW_COMBO_ROW (adw_combo_row_new ());

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (self), GTK_WIDGET (row));
  g_signal_connect_object (row, "notify::selected", G_CALLBACK (changed_cb), self, 0);

  return row;
}

static void
fil_mode_group_dispose (GObject *object)
{
  FilModeGroup *self = FIL_MODE_GROUP (object);

  g_clear_object (&self->live);
  g_clear_pointer (&self->formats, g_ptr_array_unref);
  g_clear_pointer (&self->all, g_ptr_array_unref);
  g_clear_pointer (&self->sizes, g_array_unref);
  g_clear_pointer (&self->rates, g_array_unref);

  G_OBJECT_CLASS (fil_mode_group_parent_class)->dispose (object);
}

static void
fil_mode_group_class_init (FilModeGroupClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = fil_mode_group_dispose;

  signals[SIGNAL_REFUSED] = g_signal_new ("refused", FIL_TYPE_MODE_GROUP, G_SIGNAL_RUN_LAST, 0,
                                          NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
fil_mode_group_init (FilModeGroup *self)
{
  self->formats = g_ptr_array_new ();
  self->sizes = g_array_new (FALSE, FALSE, sizeof (Size));
  self->rates = g_array_new (FALSE, FALSE, sizeof (double));
  self->filling = TRUE;
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (self), _("Picture"));
  self->format_row = add_row (self, _("Format"));
  self->size_row = add_row (self, _("Size"));
  self->rate_row = add_row (self, _("Frames"));
}

/* Shows what @live's source offers, and its present mode. */
GtkWidget *
fil_mode_group_new (FilLive *live)
{
  FilModeGroup *self = g_object_new (FIL_TYPE_MODE_GROUP, NULL);
  g_autoptr (GError) error = NULL;
  FilSourceMode mode = { 0 };

  self->live = g_object_ref (live);
  self->all = fil_source_list_formats (fil_live_get_source (live), &error);
  if (self->all == NULL)
    adw_preferences_group_set_description (ADW_PREFERENCES_GROUP (self), error->message);
  fil_live_get_mode (live, &mode);
  fill_formats (self, &mode);
  fill_sizes (self, &mode);
  self->filling = FALSE;

  return GTK_WIDGET (self);
}
