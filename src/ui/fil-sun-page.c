/* fil-sun-page.c: the Sun now, and over the day
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * On another day than today the numbers are those of the same time of day. */

#include <math.h>

#include <glib/gi18n.h>

#include "fil-day-graph.h"
#include "fil-sun-clock.h"
#include "fil-sun-page.h"
#include "fil-sun-pane.h"
#include "fil-sun-sketch.h"
#include "fil-targets-pane.h"

#define NS_PER_MINUTE (60 * G_GINT64_CONSTANT (1000000000))
#define FAR_ZONE_H    3.0   /* beyond this the zone is hardly the site's */

enum { FACT_RISE, FACT_TRANSIT, FACT_SET, FACT_ABOVE, N_FACTS };

struct _FilSunPage
{
  AdwBin         parent_instance;

  GtkStack      *stack, *day_stack;
  GtkBox        *date_box, *facts_box, *slots, *disc_slot, *targets_slot;
  GtkButton     *earlier_button, *later_button, *today_button, *done_button, *rig_button;
  GtkMenuButton *date_button;
  GtkCalendar   *calendar;
  GtkLabel      *zone_label, *clock_label, *message_label, *when_label;
  GtkLabel      *names[N_FACTS], *facts[N_FACTS];
  FilDayGraph   *graph;
  GtkAdjustment *limit;
  FilSunSketch  *sketch;
  FilSunPane    *pane;

  gboolean       has_site;
  double         latitude_deg, longitude_deg, height_m;
  FilSunClock    clock;
  gint64         targets_ns;      /* the time that map and targets show */
  gboolean       stale;           /* the day has to be computed anew */
  gboolean       has_day;
  FilDay         day;
  gboolean       setting;         /* the program moves the calendar */
  guint          timer;
};

enum { PROP_0, PROP_LIMIT_DEG, N_PROPS };
enum { SIGNAL_EDIT_RIG, SIGNAL_DONE, N_SIGNALS };

static GParamSpec *properties[N_PROPS];
static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilSunPage, fil_sun_page, ADW_TYPE_BIN)

static void
set_text (GtkLabel   *label,
          const char *text)
{
  if (g_strcmp0 (gtk_label_get_text (label), text) != 0)
    gtk_label_set_text (label, text);
}

/* "08:51–18:04", one after the other where the day has two. */
static char *
dup_above (FilSunPage *self)
{
  FilDaySpan spans[FIL_DAY_MAX_SPANS];
  guint n = fil_day_graph_get_spans (self->graph, spans);
  GString *text = g_string_new (NULL);

  if (n == 1 && spans[0].from_ns == self->day.start_ns && spans[0].until_ns == self->day.end_ns)
    g_string_append (text, _("all day"));
  else
    for (guint i = 0; i < n; i++)
      {
        g_autofree char *from = fil_day_graph_dup_clock (self->graph, spans[i].from_ns);
        g_autofree char *until = fil_day_graph_dup_clock (self->graph, spans[i].until_ns);

        g_string_append_printf (text, "%s%s–%s", i > 0 ? ", " : "", from,
                                spans[i].until_ns == self->day.end_ns ? "24:00" : until);
      }
  if (n == 0)
    g_string_append (text, _("never"));

  return g_string_free (text, FALSE);
}

static void
show_facts (FilSunPage *self)
{
  g_autofree char *rise = fil_day_graph_dup_clock (self->graph, self->day.rise_ns);
  g_autofree char *noon = fil_day_graph_dup_clock (self->graph, self->day.transit_ns);
  g_autofree char *set = fil_day_graph_dup_clock (self->graph, self->day.set_ns);
  g_autofree char *transit = g_strdup_printf ("%s · %.1f°", noon, self->day.transit_altitude_deg);
  g_autofree char *above = dup_above (self);
  g_autofree char *name = g_strdup_printf (_("above %.0f°"),
                                           gtk_adjustment_get_value (self->limit));

  set_text (self->facts[FACT_RISE], self->day.rise_ns != FIL_DAY_NEVER ? rise : _("none"));
  set_text (self->facts[FACT_SET], self->day.set_ns != FIL_DAY_NEVER ? set : _("none"));
  set_text (self->facts[FACT_TRANSIT], transit);
  set_text (self->names[FACT_ABOVE], name);
  set_text (self->facts[FACT_ABOVE], above);
}

static void
show_date (FilSunPage *self)
{
  g_autoptr (GDateTime) noon = fil_sun_clock_dup_noon (&self->clock);
  g_autofree char *text = NULL;

  /* Translators: a date as g_date_time_format() takes it: Sunday, 21 June 2026 */
  text = g_date_time_format (noon, _("%A, %-d %B %Y"));
  gtk_menu_button_set_label (self->date_button, text);
  gtk_widget_set_sensitive (GTK_WIDGET (self->earlier_button),
                            fil_sun_clock_can_step (&self->clock, -1));
  gtk_widget_set_sensitive (GTK_WIDGET (self->later_button),
                            fil_sun_clock_can_step (&self->clock, 1));
  gtk_widget_set_sensitive (GTK_WIDGET (self->today_button), !self->clock.follows);

  self->setting = TRUE;
  gtk_calendar_select_day (self->calendar, noon);
  self->setting = FALSE;
}

/* A computer that was taken along may still live in another zone: then the
 * hours are right for its clock and strange for the place. */
static void
show_zone (FilSunPage *self)
{
  g_autoptr (GDateTime) noon = fil_sun_clock_dup_noon (&self->clock);
  double offset_h = (double) g_date_time_get_utc_offset (noon) / 3.6e9;
  g_autofree char *offset = g_date_time_format (noon, "%:z");
  g_autofree char *text = NULL;

  if (self->has_site &&
      fabs (remainder (offset_h - self->longitude_deg / 15.0, 24.0)) > FAR_ZONE_H)
    text = g_strdup_printf (_("Clock times, UTC%s: hardly the zone of the rig’s site"), offset);
  else
    text = g_strdup_printf (_("Clock times, UTC%s"), offset);
  set_text (self->zone_label, text);
}

static void
show_message (FilSunPage *self,
              const char *text,
              gboolean    about_site)
{
  set_text (self->message_label, text);
  gtk_widget_set_visible (GTK_WIDGET (self->rig_button), about_site);
  gtk_stack_set_visible_child_name (self->day_stack, "message");
}

/* The curve and its facts: only where the day, the zone or the site changed. */
static void
update_day (FilSunPage *self)
{
  g_autoptr (GError) error = NULL;
  gint64 start_ns, end_ns;

  self->stale = FALSE;
  self->has_day = FALSE;
  show_date (self);
  show_zone (self);
  if (!self->has_site)
    {
      fil_day_graph_set_day (self->graph, NULL, self->clock.zone);
      show_message (self, _("The rig doesn’t say where it stands. Latitude and longitude are "
                            "missing: without them there is no altitude, no sunrise and no curve "
                            "of the day."), TRUE);
      return;
    }

  fil_sun_clock_get_bounds (&self->clock, &start_ns, &end_ns);
  self->has_day = fil_day_compute (start_ns, end_ns, self->latitude_deg, self->longitude_deg,
                                   self->height_m, &self->day, &error);
  fil_day_graph_set_day (self->graph, self->has_day ? &self->day : NULL, self->clock.zone);
  if (!self->has_day)
    {
      show_message (self, error->message, FALSE);
      return;
    }
  show_facts (self);
  gtk_stack_set_visible_child_name (self->day_stack, "day");
}

static void
show_when (FilSunPage *self,
           gint64      shown_ns)
{
  g_autoptr (GDateTime) local = fil_sun_clock_to_local (&self->clock, shown_ns);
  g_autofree char *clock = g_date_time_format (local, "%H:%M:%S");
  g_autofree char *text = NULL;

  if (self->clock.follows)
    text = g_strdup_printf (_("Now, %s"), clock);
  else
    text = g_strdup_printf (_("On that day at %s"), clock);
  set_text (self->when_label, text);
}

/* Targets, and the map with them, know the minute by themselves while the
 * clock runs. */
static void
show_targets (FilSunPage *self,
              gint64      shown_ns)
{
  GtkWidget *pane = gtk_widget_get_first_child (GTK_WIDGET (self->targets_slot));
  gint64 time_ns = shown_ns / NS_PER_MINUTE * NS_PER_MINUTE;

  if (self->clock.follows && self->clock.fixed_ns == FIL_SUN_CLOCK_RUNS)
    time_ns = FIL_TARGETS_CLOCK;
  if (time_ns == self->targets_ns || !FIL_IS_TARGETS_PANE (pane))
    return;

  self->targets_ns = time_ns;
  fil_targets_pane_set_time (FIL_TARGETS_PANE (pane), time_ns);
}

static void
show_moment (FilSunPage *self,
             gint64      shown_ns)
{
  FilSun sun;

  if (!fil_sun_compute (shown_ns, self->has_site ? self->latitude_deg : NAN,
                        self->has_site ? self->longitude_deg : NAN, self->height_m, &sun, NULL))
    return;

  show_when (self, shown_ns);
  show_targets (self, shown_ns);
  fil_sun_pane_set_sun (self->pane, &sun);
  fil_sun_sketch_set_sun (self->sketch, &sun);
  fil_day_graph_set_now (self->graph, self->clock.follows ? shown_ns : FIL_DAY_NEVER, sun.altitude_deg);
}

/* Returns: whether the computer's clock can be believed */
static gboolean
check_clock (FilSunPage *self)
{
  gint64 now_ns = fil_sun_clock_get_now (&self->clock);
  FilSun sun;
  gboolean good = now_ns >= FIL_SUN_CLOCK_SET_NS &&
                  fil_sun_compute (now_ns, NAN, NAN, NAN, &sun, NULL);

  if (!good)
    {
      g_autoptr (GDateTime) now = fil_sun_clock_to_local (&self->clock, now_ns);
      g_autofree char *date = g_date_time_format (now, _("%-d %B %Y"));
      g_autofree char *text = NULL;

      text = g_strdup_printf (_("The clock of this computer says %s. Set it: the Sun’s place "
                                "would be wrong."), date);
      set_text (self->clock_label, text);
    }
  gtk_widget_set_visible (GTK_WIDGET (self->date_box), good);
  gtk_stack_set_visible_child_name (self->stack, good ? "sky" : "clock");

  return good;
}

/* Once a second, and after every change. */
static void
update (FilSunPage *self)
{
  if (!check_clock (self))
    return;

  if (fil_sun_clock_follow (&self->clock) || self->stale)
    update_day (self);
  show_moment (self, fil_sun_clock_get_shown (&self->clock));
}

static gboolean
tick_cb (gpointer user_data)
{
  update (user_data);

  return G_SOURCE_CONTINUE;
}

static void
day_changed (FilSunPage *self)
{
  self->stale = TRUE;
  update (self);
}

static void
earlier_cb (FilSunPage *self)
{
  fil_sun_clock_step (&self->clock, -1);
  day_changed (self);
}

static void
later_cb (FilSunPage *self)
{
  fil_sun_clock_step (&self->clock, 1);
  day_changed (self);
}

static void
today_cb (FilSunPage *self)
{
  fil_sun_clock_go_today (&self->clock);
  day_changed (self);
}

/* Its arrows change the month or the year alone, which "day-selected" doesn't
 * tell; a day may change all three at once. */
static void
day_selected_cb (FilSunPage *self)
{
  g_autoptr (GDateTime) chosen = NULL;
  GDate before = self->clock.date;

  if (self->setting)
    return;

  chosen = gtk_calendar_get_date (self->calendar);
  fil_sun_clock_go_to (&self->clock, g_date_time_get_year (chosen),
                       g_date_time_get_month (chosen), g_date_time_get_day_of_month (chosen));
  if (g_date_compare (&before, &self->clock.date) != 0)
    day_changed (self);
}

static void
limit_cb (FilSunPage *self)
{
  fil_day_graph_set_limit (self->graph, gtk_adjustment_get_value (self->limit));
  if (self->has_day)
    show_facts (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_LIMIT_DEG]);
}

static void
edit_rig_cb (FilSunPage *self)
{
  g_signal_emit (self, signals[SIGNAL_EDIT_RIG], 0);
}

static void
done_cb (FilSunPage *self)
{
  g_signal_emit (self, signals[SIGNAL_DONE], 0);
}

static gboolean
escape_cb (GtkWidget *widget,
           GVariant  *arguments G_GNUC_UNUSED,
           gpointer   user_data G_GNUC_UNUSED)
{
  done_cb (FIL_SUN_PAGE (widget));

  return TRUE;
}

/* The keyboard begins at the day, not in a field whose number the next key
 * would replace. */
static gboolean
first_frame_cb (GtkWidget     *widget,
                GdkFrameClock *clock,
                gpointer       user_data)
{
  gtk_widget_grab_focus (GTK_WIDGET (FIL_SUN_PAGE (widget)->date_button));

  return G_SOURCE_REMOVE;
}

/* The clock runs only while somebody can see it. */
static void
map_cb (FilSunPage *self)
{
  update (self);
  gtk_widget_add_tick_callback (GTK_WIDGET (self), first_frame_cb, NULL, NULL);
  if (self->timer == 0)
    self->timer = g_timeout_add_seconds (1, tick_cb, self);
}

static void
unmap_cb (FilSunPage *self)
{
  g_clear_handle_id (&self->timer, g_source_remove);
}

static void
add_facts (FilSunPage *self)
{
  const char *const names[N_FACTS] = { _("sunrise"), _("transit"), _("sunset"), "" };

  for (guint i = 0; i < N_FACTS; i++)
    {
      GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

      self->names[i] = GTK_LABEL (gtk_label_new (names[i]));
      self->facts[i] = GTK_LABEL (gtk_label_new ("–"));
      gtk_label_set_xalign (self->names[i], 0.0);
      gtk_label_set_xalign (self->facts[i], 0.0);
      gtk_widget_add_css_class (GTK_WIDGET (self->names[i]), "caption");
      gtk_widget_add_css_class (GTK_WIDGET (self->facts[i]), "fact");
      gtk_accessible_update_relation (GTK_ACCESSIBLE (self->facts[i]),
                                      GTK_ACCESSIBLE_RELATION_LABELLED_BY, self->names[i], NULL,
                                      -1);
      gtk_box_append (GTK_BOX (box), GTK_WIDGET (self->names[i]));
      gtk_box_append (GTK_BOX (box), GTK_WIDGET (self->facts[i]));
      gtk_box_append (self->facts_box, box);
    }
}

/* The calendar's four arrows carry icons alone; they come in this order. */
static void
name_arrows (GtkWidget *widget,
             guint     *n)
{
  const char *const names[] = {
    _("The month before"), _("The month after"), _("The year before"), _("The year after"),
  };

  if (GTK_IS_BUTTON (widget) && *n < G_N_ELEMENTS (names))
    {
      gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                      names[*n], -1);
      gtk_widget_set_tooltip_text (widget, names[(*n)++]);
    }
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    name_arrows (child, n);
}

static void
fil_sun_page_get_property (GObject    *object,
                           guint       prop_id,
                           GValue     *value,
                           GParamSpec *pspec)
{
  if (prop_id == PROP_LIMIT_DEG)
    g_value_set_double (value, gtk_adjustment_get_value (FIL_SUN_PAGE (object)->limit));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
fil_sun_page_set_property (GObject      *object,
                           guint         prop_id,
                           const GValue *value,
                           GParamSpec   *pspec)
{
  if (prop_id == PROP_LIMIT_DEG)
    gtk_adjustment_set_value (FIL_SUN_PAGE (object)->limit, g_value_get_double (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
fil_sun_page_dispose (GObject *object)
{
  g_clear_handle_id (&FIL_SUN_PAGE (object)->timer, g_source_remove);
  gtk_widget_dispose_template (GTK_WIDGET (object), FIL_TYPE_SUN_PAGE);

  G_OBJECT_CLASS (fil_sun_page_parent_class)->dispose (object);
}

static void
fil_sun_page_finalize (GObject *object)
{
  fil_sun_clock_clear (&FIL_SUN_PAGE (object)->clock);

  G_OBJECT_CLASS (fil_sun_page_parent_class)->finalize (object);
}

static void
bind_children (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-sun-page.ui");
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, stack);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, day_stack);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, date_box);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, facts_box);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, slots);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, disc_slot);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, targets_slot);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, earlier_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, later_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, today_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, done_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, rig_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, date_button);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, calendar);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, zone_label);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, clock_label);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, message_label);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, when_label);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, graph);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, limit);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, sketch);
  gtk_widget_class_bind_template_child (widget_class, FilSunPage, pane);
}

static void
fil_sun_page_class_init (FilSunPageClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->dispose = fil_sun_page_dispose;
  object_class->finalize = fil_sun_page_finalize;
  object_class->get_property = fil_sun_page_get_property;
  object_class->set_property = fil_sun_page_set_property;

  properties[PROP_LIMIT_DEG] = g_param_spec_double ("limit-deg", NULL, NULL, 0.0, 85.0, 30.0,
                                                    G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS |
                                                      G_PARAM_EXPLICIT_NOTIFY);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  signals[SIGNAL_EDIT_RIG] = g_signal_new ("edit-rig", FIL_TYPE_SUN_PAGE, G_SIGNAL_RUN_LAST, 0,
                                           NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_DONE] = g_signal_new ("done", FIL_TYPE_SUN_PAGE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 0);

  g_type_ensure (FIL_TYPE_DAY_GRAPH);
  g_type_ensure (FIL_TYPE_SUN_SKETCH);
  g_type_ensure (FIL_TYPE_SUN_PANE);
  bind_children (GTK_WIDGET_CLASS (klass));
  gtk_widget_class_add_binding (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0, escape_cb, NULL);
}

static void
connect_children (FilSunPage *self)
{
  const struct { gpointer object; const char *signal; GCallback callback; } ends[] = {
    { self->earlier_button, "clicked", G_CALLBACK (earlier_cb) },
    { self->later_button, "clicked", G_CALLBACK (later_cb) },
    { self->today_button, "clicked", G_CALLBACK (today_cb) },
    { self->done_button, "clicked", G_CALLBACK (done_cb) },
    { self->rig_button, "clicked", G_CALLBACK (edit_rig_cb) },
    { self->calendar, "notify::day", G_CALLBACK (day_selected_cb) },
    { self->calendar, "notify::month", G_CALLBACK (day_selected_cb) },
    { self->calendar, "notify::year", G_CALLBACK (day_selected_cb) },
    { self->limit, "value-changed", G_CALLBACK (limit_cb) },
    { self, "map", G_CALLBACK (map_cb) },
    { self, "unmap", G_CALLBACK (unmap_cb) },
  };

  for (guint i = 0; i < G_N_ELEMENTS (ends); i++)
    g_signal_connect_object (ends[i].object, ends[i].signal, ends[i].callback, self,
                             G_CONNECT_SWAPPED);
}

static void
fil_sun_page_init (FilSunPage *self)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_local ();
  guint n_arrows = 0;

  gtk_widget_init_template (GTK_WIDGET (self));
  fil_sun_clock_init (&self->clock, zone, FIL_SUN_CLOCK_RUNS);
  self->stale = TRUE;
  self->targets_ns = FIL_TARGETS_CLOCK;
  add_facts (self);
  name_arrows (GTK_WIDGET (self->calendar), &n_arrows);
  connect_children (self);
}

/**
 * fil_sun_page_new:
 *
 * Fills the window below its header bar. Without a rig, and with one that has
 * no site, it tells what it can and says what is missing.
 */
GtkWidget *
fil_sun_page_new (void)
{
  return g_object_new (FIL_TYPE_SUN_PAGE, NULL);
}

/* @rig: (nullable): only its site is looked at, and copied */
void
fil_sun_page_set_rig (FilSunPage *self,
                      FilRig     *rig)
{
  g_return_if_fail (FIL_IS_SUN_PAGE (self));

  self->has_site = rig != NULL && fil_rig_get_site (rig, &self->latitude_deg,
                                                    &self->longitude_deg, &self->height_m);
  day_changed (self);
}

/* Where a map of the disc goes. */
GtkBox *
fil_sun_page_get_disc_slot (FilSunPage *self)
{
  g_return_val_if_fail (FIL_IS_SUN_PAGE (self), NULL);

  gtk_widget_set_visible (GTK_WIDGET (self->slots), TRUE);

  return self->disc_slot;
}

/* Where the pane of targets goes; it is given the time that the page shows. */
GtkBox *
fil_sun_page_get_targets_slot (FilSunPage *self)
{
  g_return_val_if_fail (FIL_IS_SUN_PAGE (self), NULL);

  gtk_widget_set_visible (GTK_WIDGET (self->slots), TRUE);

  return self->targets_slot;
}

/**
 * fil_sun_page_set_time_for_test:
 * @utc_ns: where the clock stands still; %G_MININT64: it runs again
 * @zone: the computer's time zone
 */
void
fil_sun_page_set_time_for_test (FilSunPage *self,
                                gint64      utc_ns,
                                GTimeZone  *zone)
{
  g_return_if_fail (FIL_IS_SUN_PAGE (self) && zone != NULL);

  fil_sun_clock_clear (&self->clock);
  fil_sun_clock_init (&self->clock, zone, utc_ns);
  day_changed (self);
}
