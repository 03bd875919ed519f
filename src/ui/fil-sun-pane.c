/* fil-sun-pane.c: the Sun's numbers of one moment, as a calm list
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rows stand still: once a second only those texts change that differ. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-sun-pane.h"

typedef char *(*Format) (const FilSun *sun);

typedef struct
{
  const char *title;   /* of the group that begins here, or NULL */
  const char *name;
  Format      format;
} Line;

#define N_LINES 13

struct _FilSunPane
{
  GtkBox    parent_instance;

  GtkLabel *values[N_LINES];
};

G_DEFINE_FINAL_TYPE (FilSunPane, fil_sun_pane, GTK_TYPE_BOX)

/* A proper minus, and a dash for what isn't known. */
static char *
format_signed (double      value,
               int         digits,
               const char *unit)
{
  if (!isfinite (value))
    return g_strdup ("–");

  return g_strdup_printf ("%s%.*f%s", value < 0.0 ? "−" : "+", digits, fabs (value), unit);
}

static char *
format_plain (double      value,
              int         digits,
              const char *unit)
{
  if (!isfinite (value))
    return g_strdup ("–");

  return g_strdup_printf ("%s%.*f%s", value < 0.0 ? "−" : "", digits, fabs (value), unit);
}

static char *
format_p (const FilSun *sun)
{
  return format_signed (sun->p_deg, 2, "°");
}

static char *
format_b0 (const FilSun *sun)
{
  return format_signed (sun->b0_deg, 2, "°");
}

static char *
format_l0 (const FilSun *sun)
{
  return format_plain (sun->l0_deg, 2, "°");
}

static char *
format_rotation (const FilSun *sun)
{
  return format_plain (sun->carrington_rotation, 3, "");
}

static char *
format_semidiameter (const FilSun *sun)
{
  return g_strdup_printf ("%d′ %05.2f″", (int) (sun->semidiameter_arcsec / 60.0),
                          fmod (sun->semidiameter_arcsec, 60.0));
}

static char *
format_distance (const FilSun *sun)
{
  return format_plain (sun->distance_au, 5, _(" au"));
}

static char *
format_altitude (const FilSun *sun)
{
  return format_plain (sun->altitude_deg, 2, "°");
}

static char *
format_azimuth (const FilSun *sun)
{
  static const char *const words[] = {
    N_("north"), N_("north-east"), N_("east"), N_("south-east"),
    N_("south"), N_("south-west"), N_("west"), N_("north-west"),
  };
  g_autofree char *angle = format_plain (sun->azimuth_deg, 2, "°");

  if (!isfinite (sun->azimuth_deg))
    return g_steal_pointer (&angle);

  return g_strdup_printf ("%s · %s", _(words[(int) floor (sun->azimuth_deg / 45.0 + 0.5) % 8]),
                          angle);
}

static char *
format_parallactic (const FilSun *sun)
{
  return format_signed (sun->parallactic_angle_deg, 2, "°");
}

static char *
format_airmass (const FilSun *sun)
{
  return format_plain (sun->airmass, 2, "");
}

static char *
format_refraction (const FilSun *sun)
{
  return format_plain (sun->refraction_deg * 60.0, 1, "′");
}

/* Rounded once, so that 60 never stands among the seconds. */
static char *
format_ra (const FilSun *sun)
{
  int tenths = (int) floor (sun->ra_deg * 2400.0 + 0.5) % 864000;

  return g_strdup_printf ("%02dh %02dm %02d.%ds", tenths / 36000, tenths / 600 % 60,
                          tenths / 10 % 60, tenths % 10);
}

static char *
format_dec (const FilSun *sun)
{
  int seconds = (int) floor (fabs (sun->dec_deg) * 3600.0 + 0.5);

  return g_strdup_printf ("%s%02d° %02d′ %02d″", sun->dec_deg < 0.0 ? "−" : "+", seconds / 3600,
                          seconds / 60 % 60, seconds % 60);
}

static const Line lines[N_LINES] = {
  { N_("The disc"), N_("P, tilt of the axis"), format_p },
  { NULL, N_("B0, latitude of the middle"), format_b0 },
  { NULL, N_("L0, longitude of the middle"), format_l0 },
  { NULL, N_("Carrington rotation"), format_rotation },
  { NULL, N_("Semidiameter"), format_semidiameter },
  { NULL, N_("Distance"), format_distance },
  { N_("In the sky"), N_("Altitude"), format_altitude },
  { NULL, N_("Azimuth"), format_azimuth },
  { NULL, N_("Parallactic angle"), format_parallactic },
  { NULL, N_("Airmass"), format_airmass },
  { NULL, N_("Refraction"), format_refraction },
  { NULL, N_("Right ascension"), format_ra },
  { NULL, N_("Declination"), format_dec },
};

static GtkLabel *
add_label (GtkWidget  *box,
           const char *text,
           const char *css_class,
           float       xalign)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_widget_add_css_class (label, css_class);
  gtk_label_set_xalign (GTK_LABEL (label), xalign);
  gtk_widget_set_valign (label, GTK_ALIGN_BASELINE);
  gtk_box_append (GTK_BOX (box), label);

  return GTK_LABEL (label);
}

static GtkLabel *
add_line (FilSunPane *self,
          const Line *line)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkLabel *name, *value;

  if (line->title != NULL)
    add_label (GTK_WIDGET (self), _(line->title), "numbers-title", 0.0);
  gtk_widget_add_css_class (row, "sun-row");
  gtk_box_append (GTK_BOX (self), row);
  name = add_label (row, _(line->name), "number-name", 0.0);
  gtk_label_set_ellipsize (name, PANGO_ELLIPSIZE_END);
  gtk_widget_set_hexpand (GTK_WIDGET (name), TRUE);
  value = add_label (row, "–", "number-value", 1.0);
  gtk_accessible_update_relation (GTK_ACCESSIBLE (value), GTK_ACCESSIBLE_RELATION_LABELLED_BY,
                                  name, NULL, -1);

  return value;
}

static void
fil_sun_pane_class_init (FilSunPaneClass *klass)
{
  gtk_widget_class_set_css_name (GTK_WIDGET_CLASS (klass), "sunpane");
}

static void
fil_sun_pane_init (FilSunPane *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_widget_add_css_class (GTK_WIDGET (self), "numbers-box");
  for (guint i = 0; i < N_LINES; i++)
    self->values[i] = add_line (self, &lines[i]);
}

/* @sun: what it doesn't know, NaN, becomes a dash */
void
fil_sun_pane_set_sun (FilSunPane   *self,
                      const FilSun *sun)
{
  g_return_if_fail (FIL_IS_SUN_PANE (self) && sun != NULL);

  for (guint i = 0; i < N_LINES; i++)
    {
      g_autofree char *text = lines[i].format (sun);

      if (g_strcmp0 (text, gtk_label_get_text (self->values[i])) != 0)
        gtk_label_set_text (self->values[i], text);
    }
}
