/* fil-shelf-record.c: recording clips
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Starting takes one press, ending takes two within a second (never Esc): a
 * clip must not end by a brush of the hand. */

#include <inttypes.h>
#include <math.h>

#include <glib/gi18n.h>

#include "fil-file-name.h"
#include "fil-folder.h"
#include "fil-pace.h"
#include "fil-shelf-record.h"
#include "fil-trace-graph.h"

#define DOTS_MOST       2048
#define SECOND_PRESS_US G_USEC_PER_SEC

struct _FilShelfRecord
{
  GtkBox         parent_instance;

  FilLive       *live;
  gint64         shown_us;       /* when the reading was last shown */
  GSettings     *settings;
  FilLiveDot    *dots;           /* scratch, DOTS_MOST of them */
  guint64        free_bytes;
  guint          room_timer;
  gint64         first_press_us; /* of the two that end a clip; 0: none */
  gboolean       was_recording;

  GtkButton     *record_button;
  GtkLabel      *record_label, *hint_label;
  FilTraceGraph *graph;
  GtkSpinButton *length_spin;
  GtkDropDown   *unit_drop;
  GtkLabel      *full_label, *rate_label, *room_caption, *room_label, *lost_label,
                *elapsed_label;
  GtkLevelBar   *queue_bar;
};

enum
{
  SIGNAL_MESSAGE,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (FilShelfRecord, fil_shelf_record, GTK_TYPE_BOX)

static void
tell (FilShelfRecord *self,
      const char     *text)
{
  g_signal_emit (self, signals[SIGNAL_MESSAGE], 0, text);
}

static gboolean
counts_frames (FilShelfRecord *self)
{
  return g_settings_get_enum (self->settings, "record-by") == 0;
}

static char *
describe_duration (double seconds)
{
  if (seconds < 100.0)
    return g_strdup_printf (_("%.0f s"), seconds);
  if (seconds < 6000.0)
    return g_strdup_printf (_("%.0f min"), seconds / 60.0);

  return g_strdup_printf (_("%.1f h"), seconds / 3600.0);
}

/* Button ---------------------------------------------------------------- */

static void
show_button (FilShelfRecord *self,
             const char     *text,
             const char     *hint)
{
  gtk_label_set_text (self->record_label, text);
  gtk_label_set_text (self->hint_label, hint);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->record_button),
                                  GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

static void
show_idle_button (FilShelfRecord *self)
{
  g_autofree char *text = NULL;

  if (counts_frames (self))
    text = g_strdup_printf (ngettext ("Record %d frame", "Record %d frames",
                                      (gulong) g_settings_get_int (self->settings, "record-frames")),
                            g_settings_get_int (self->settings, "record-frames"));
  else
    text = g_strdup_printf (_("Record %.0f s"),
                            g_settings_get_double (self->settings, "record-seconds"));
  show_button (self, text, _("R starts · R twice ends"));
  gtk_widget_remove_css_class (GTK_WIDGET (self->record_button), "running");
}

static void
show_running_button (FilShelfRecord          *self,
                     const FilRecorderStatus *status)
{
  g_autofree char *text = NULL;

  if (counts_frames (self))
    text = g_strdup_printf (_("%" PRIu64 " of %d frames"), status->frames,
                            g_settings_get_int (self->settings, "record-frames"));
  else
    text = g_strdup_printf (_("%.0f of %.0f s"), status->seconds,
                            g_settings_get_double (self->settings, "record-seconds"));
  show_button (self, text, self->first_press_us != 0 ? _("press once more to end the clip")
                                                     : _("recording · R twice ends"));
  gtk_widget_add_css_class (GTK_WIDGET (self->record_button), "running");
}

/* Facts ----------------------------------------------------------------- */

static void
show_room (FilShelfRecord *self,
           double          fps)
{
  g_autoptr (FilFrame) frame = fil_live_dup_frame (self->live);
  g_autofree char *size = g_format_size (self->free_bytes);
  g_autofree char *duration = NULL, *text = NULL;

  if (frame != NULL && fps > 0.0)
    {
      double bytes = (double) frame->width * frame->height * (frame->format->bits > 8 ? 2 : 1);

      duration = describe_duration ((double) self->free_bytes / (bytes * fps));
      text = g_strdup_printf ("%s · %s", size, duration);
    }
  gtk_label_set_text (self->room_label, text != NULL ? text : size);
}

static void
show_losses (FilShelfRecord          *self,
             const FilRecorderStatus *status)
{
  g_autofree char *lost = NULL;
  g_autofree char *elapsed = describe_duration (status->seconds);

  if (status->source_gaps > 0)
    lost = g_strdup_printf (_("%" PRIu64 " · source skipped %" PRIu64),
                            status->lost, status->source_gaps);
  else
    lost = g_strdup_printf ("%" G_GUINT64_FORMAT, status->lost);
  gtk_label_set_text (self->lost_label, lost);
  gtk_label_set_text (self->elapsed_label, elapsed);
  gtk_level_bar_set_value (self->queue_bar, CLAMP (status->queue_fill, 0.0, 1.0));
  if (status->queue_fill > 0.7)
    gtk_widget_add_css_class (GTK_WIDGET (self->queue_bar), "strained");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self->queue_bar), "strained");
}

static void
update_recording (FilShelfRecord *self)
{
  FilRecorderStatus status = { 0 };

  if (fil_live_is_recording (self->live))
    {
      fil_live_get_recording (self->live, &status);
      if (self->first_press_us != 0 &&
          g_get_monotonic_time () - self->first_press_us > SECOND_PRESS_US)
        self->first_press_us = 0;
      show_running_button (self, &status);
      show_losses (self, &status);
    }
  else
    show_idle_button (self);
}

static void
update_reading (FilShelfRecord *self)
{
  FilLiveReading reading;
  g_autofree char *full = NULL, *rate = NULL;
  guint n;

  if (!gtk_widget_get_mapped (GTK_WIDGET (self)) || !fil_pace_is_due (&self->shown_us))
    return;

  fil_live_get_reading (self->live, &reading);
  if (isfinite (reading.figures.mean) && reading.full_count > 0.0)
    full = g_strdup_printf (_("%.3f %% · %.0f %%"), 100.0 * reading.figures.full_fraction,
                            100.0 * reading.figures.mean / reading.full_count);
  rate = g_strdup_printf ("%.1f", reading.fps);
  gtk_label_set_text (self->full_label, full != NULL ? full : "–");
  gtk_label_set_text (self->rate_label, rate);
  show_room (self, reading.fps);
  update_recording (self);

  n = fil_live_get_dots (self->live, self->dots, DOTS_MOST);
  fil_trace_graph_set_dots (self->graph, self->dots, n, 30.0);
}

static void
room_ready_cb (GObject      *object,
               GAsyncResult *result,
               gpointer      user_data)
{
  g_autoptr (FilShelfRecord) self = user_data;
  g_autoptr (GFileInfo) info = g_file_query_filesystem_info_finish (G_FILE (object), result,
                                                                    NULL);

  if (info != NULL)
    self->free_bytes = g_file_info_get_attribute_uint64 (info,
                                                         G_FILE_ATTRIBUTE_FILESYSTEM_FREE);
}

/* A folder that is still to be made lies on its nearest parent's disk. */
static GFile *
existing_folder (FilShelfRecord *self)
{
  g_autofree char *path = fil_folder_dup (self->settings);
  GFile *folder = g_file_new_for_path (path);

  while (!g_file_query_exists (folder, NULL))
    {
      GFile *parent = g_file_get_parent (folder);

      if (parent == NULL)
        break;
      g_object_unref (folder);
      folder = parent;
    }

  return folder;
}

static gboolean
ask_room_cb (gpointer user_data)
{
  FilShelfRecord *self = user_data;
  g_autoptr (GFile) folder = existing_folder (self);
  g_autofree char *name = g_file_get_basename (folder);
  g_autofree char *caption = g_strdup_printf (_("room in “%s”"), name);

  gtk_label_set_text (self->room_caption, caption);
  g_file_query_filesystem_info_async (folder, G_FILE_ATTRIBUTE_FILESYSTEM_FREE,
                                      G_PRIORITY_LOW, NULL, room_ready_cb,
                                      g_object_ref (self));

  return G_SOURCE_CONTINUE;
}

/* Length ---------------------------------------------------------------- */

static void
bind_length (FilShelfRecord *self)
{
  const char *key = counts_frames (self) ? "record-frames" : "record-seconds";

  g_settings_unbind (self->length_spin, "value");
  if (counts_frames (self))
    gtk_spin_button_configure (self->length_spin,
                               gtk_adjustment_new (1000, 1, 10000000, 100, 1000, 0), 1.0, 0);
  else
    gtk_spin_button_configure (self->length_spin,
                               gtk_adjustment_new (30, 0.1, 86400, 5, 60, 0), 1.0, 1);
  g_settings_bind (self->settings, key, self->length_spin, "value", G_SETTINGS_BIND_DEFAULT);
}

static void
unit_changed_cb (FilShelfRecord *self)
{
  int unit = (int) gtk_drop_down_get_selected (self->unit_drop);

  if (unit == g_settings_get_enum (self->settings, "record-by"))
    return;

  g_settings_set_enum (self->settings, "record-by", unit);
  bind_length (self);
}

/* Clips ----------------------------------------------------------------- */

static char *
new_path (FilShelfRecord *self,
          const char     *ending,
          GError        **error)
{
  FilRig *rig = fil_live_get_rig (self->live);
  g_autoptr (GDateTime) now = g_date_time_new_now_utc ();
  g_autofree char *folder = NULL;
  g_autofree char *pattern = g_settings_get_string (self->settings, "file-name-pattern");

  if (!fil_folder_ensure (self->settings, &folder, error))
    return NULL;

  return fil_file_name_new_path (folder, pattern, rig != NULL ? fil_rig_get_name (rig) : NULL,
                                 now, ending);
}

static void
start (FilShelfRecord *self)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *path = new_path (self, ".fits", &error);
  FilRecorderOptions options = { 0 };

  if (path == NULL)
    {
      tell (self, error->message);
      return;
    }

  options.path = path;
  options.queue_mib = (guint) g_settings_get_int (self->settings, "queue-mib");
  if (counts_frames (self))
    options.max_frames = (guint64) g_settings_get_int (self->settings, "record-frames");
  else
    options.max_seconds = g_settings_get_double (self->settings, "record-seconds");

  if (!fil_live_record (self->live, &options, &error))
    tell (self, error->message);
}

/* Tells once how a clip ended, whoever ended it. */
static void
recording_changed_cb (FilShelfRecord *self)
{
  gboolean recording = fil_live_is_recording (self->live);
  FilRecorderStatus status;

  if (self->was_recording && !recording)
    {
      const char *problem = fil_live_get_recording_error (self->live);
      g_autofree char *text = NULL;

      fil_live_get_recording (self->live, &status);
      show_losses (self, &status);
      text = problem != NULL
               ? g_strdup (problem)
               : g_strdup_printf (_("%" PRIu64 " frames kept, %" PRIu64
                                    " lost"), status.frames, status.lost);
      tell (self, text);
    }
  if (self->was_recording != recording)
    self->first_press_us = 0;
  self->was_recording = recording;
  gtk_widget_set_sensitive (GTK_WIDGET (self->length_spin), !recording);
  gtk_widget_set_sensitive (GTK_WIDGET (self->unit_drop), !recording);
  update_recording (self);
}

/* Object ---------------------------------------------------------------- */

static void
fil_shelf_record_dispose (GObject *object)
{
  FilShelfRecord *self = FIL_SHELF_RECORD (object);

  g_clear_handle_id (&self->room_timer, g_source_remove);
  g_clear_object (&self->live);
  g_clear_object (&self->settings);
  gtk_widget_dispose_template (GTK_WIDGET (self), FIL_TYPE_SHELF_RECORD);

  G_OBJECT_CLASS (fil_shelf_record_parent_class)->dispose (object);
}

static void
fil_shelf_record_finalize (GObject *object)
{
  g_free (FIL_SHELF_RECORD (object)->dots);

  G_OBJECT_CLASS (fil_shelf_record_parent_class)->finalize (object);
}

static void
fil_shelf_record_class_init (FilShelfRecordClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = fil_shelf_record_dispose;
  G_OBJECT_CLASS (klass)->finalize = fil_shelf_record_finalize;

  signals[SIGNAL_MESSAGE] = g_signal_new ("message", FIL_TYPE_SHELF_RECORD, G_SIGNAL_RUN_LAST,
                                          0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);

  g_type_ensure (FIL_TYPE_TRACE_GRAPH);
  gtk_widget_class_set_template_from_resource (
    widget_class, "/io/github/filigree/Filigree/fil-shelf-record.ui");
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, record_button);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, record_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, hint_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, graph);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, length_spin);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, unit_drop);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, full_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, rate_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, room_caption);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, room_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, lost_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, elapsed_label);
  gtk_widget_class_bind_template_child (widget_class, FilShelfRecord, queue_bar);
}

static void
fil_shelf_record_init (FilShelfRecord *self)
{
  self->dots = g_new (FilLiveDot, DOTS_MOST);
  gtk_widget_init_template (GTK_WIDGET (self));
  /* The focus goes to the button inside, and GTK 4.8 leaves that one nameless. */
  gtk_accessible_update_property (
    GTK_ACCESSIBLE (gtk_widget_get_first_child (GTK_WIDGET (self->unit_drop))),
    GTK_ACCESSIBLE_PROPERTY_LABEL, _("Count the length in"), -1);
  gtk_label_set_text (self->lost_label, "0");
  gtk_label_set_text (self->elapsed_label, "–");
}

void
fil_shelf_record_set_live (FilShelfRecord *self,
                           FilLive        *live)
{
  g_return_if_fail (FIL_IS_SHELF_RECORD (self) && self->live == NULL);

  self->live = g_object_ref (live);
  g_signal_connect_object (live, "reading", G_CALLBACK (update_reading), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (live, "recording-changed", G_CALLBACK (recording_changed_cb), self,
                           G_CONNECT_SWAPPED);
}

/* Once, after fil_shelf_record_set_live(). */
void
fil_shelf_record_set_settings (FilShelfRecord *self,
                               GSettings      *settings)
{
  g_return_if_fail (FIL_IS_SHELF_RECORD (self) && self->settings == NULL);

  self->settings = g_object_ref (settings);
  gtk_drop_down_set_selected (self->unit_drop,
                              (guint) g_settings_get_enum (settings, "record-by"));
  bind_length (self);
  g_signal_connect_object (self->unit_drop, "notify::selected", G_CALLBACK (unit_changed_cb),
                           self, G_CONNECT_SWAPPED);
  g_signal_connect_object (settings, "changed::record-frames", G_CALLBACK (update_recording),
                           self, G_CONNECT_SWAPPED);
  g_signal_connect_object (settings, "changed::record-seconds", G_CALLBACK (update_recording),
                           self, G_CONNECT_SWAPPED);
  g_signal_connect_object (settings, "changed::record-by", G_CALLBACK (update_recording), self,
                           G_CONNECT_SWAPPED);
  ask_room_cb (self);
  self->room_timer = g_timeout_add_seconds (2, ask_room_cb, self);
  update_recording (self);
}

/* The button or its key: starts a clip; twice within a second ends it. */
void
fil_shelf_record_press (FilShelfRecord *self)
{
  gint64 now_us = g_get_monotonic_time ();

  g_return_if_fail (FIL_IS_SHELF_RECORD (self));

  if (!fil_live_is_recording (self->live))
    start (self);
  else if (self->first_press_us != 0 && now_us - self->first_press_us <= SECOND_PRESS_US)
    fil_live_finish_recording (self->live);
  else
    self->first_press_us = now_us;

  update_recording (self);
}

/* Saves the newest frame as PNG and as FITS. */
void
fil_shelf_record_snapshot (FilShelfRecord *self)
{
  static const char *const endings[] = { ".png", ".fits" };
  g_autofree char *told = NULL;

  g_return_if_fail (FIL_IS_SHELF_RECORD (self));

  for (gsize i = 0; i < G_N_ELEMENTS (endings); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autofree char *path = new_path (self, endings[i], &error);

      if (path == NULL || !fil_live_snapshot (self->live, path, &error))
        {
          tell (self, error->message);
          return;
        }
      if (told == NULL)
        told = g_path_get_basename (path);
    }

  {
    g_autofree char *text = g_strdup_printf (_("Snapshot saved: %s"), told);

    tell (self, text);
  }
}
