/* fil-sim-source.c: the simulated Sun as a source of frames
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <pthread.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "fil-sim-knobs.h"
#include "fil-sim-moment.h"
#include "fil-sim-run.h"
#include "fil-source-backend.h"


#define FIL_TYPE_SIM_SOURCE (fil_sim_source_get_type ())
G_DECLARE_FINAL_TYPE (FilSimSource, fil_sim_source, FIL, SIM_SOURCE, FilSource)

struct _FilSimSource
{
  FilSource        parent_instance;

  FilSimSettings   settings;      /* width, height and bits filled in */
  FilSimOptics     optics;
  FilSimView       view;          /* not while streaming */
  FilSourceSink    sink;
  gpointer         user_data;

  pthread_mutex_t  lock;          /* guards what follows */
  FilSimPanel      panel;
  FilSimRun       *run;           /* NULL: not streaming */
};

G_DEFINE_FINAL_TYPE (FilSimSource, fil_sim_source, FIL_TYPE_SOURCE)

static const double standard_fps[] = { 200, 100, 60, 50, 30, 25, 20, 15, 10, 5 };

static const struct
{
  int width, height;
} standard_sizes[] = {
  { 1920, 1080 }, { 1280, 960 }, { 1280, 720 }, { 1024, 768 }, { 800, 600 },
  { 640, 480 }, { 512, 512 }, { 320, 240 }, { 256, 256 },
};

static const int depths[] = { 8, 10, 12, 14, 16 };

static void
set_level (FilSimSource *self)
{
  fil_sim_panel_set_level (&self->panel, &self->settings, &self->optics, self->view.format);
}

static void
sim_get_info (FilSource     *source,
              FilSourceInfo *info)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);

  info->name = _("Simulated Sun");
  info->identity = "sim";
  info->waits = !self->settings.paced;
  info->raw = TRUE;
  info->sensor_width = self->settings.width;
  info->sensor_height = self->settings.height;
  info->sky_utc_ns = FIL_SIM_SKY_UTC_NS;
}

static void
add_size (FilSourceFormat *format,
          int              width,
          int              height)
{
  FilSourceSize *size = fil_source_format_add_size (format, width, height);

  g_array_append_vals (size->fps, standard_fps, G_N_ELEMENTS (standard_fps));
}

static void
add_sizes (const FilSimSource *self,
           FilSourceFormat    *format)
{
  add_size (format, self->settings.width, self->settings.height);
  for (gsize i = 0; i < G_N_ELEMENTS (standard_sizes); i++)
    if (standard_sizes[i].width <= self->settings.width &&
        standard_sizes[i].height <= self->settings.height &&
        (standard_sizes[i].width < self->settings.width ||
         standard_sizes[i].height < self->settings.height))
      add_size (format, standard_sizes[i].width, standard_sizes[i].height);
}

static GPtrArray *
sim_list_formats (FilSource *source,
                  GError   **error)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  GPtrArray *formats = fil_source_formats_new ();

  /* The sensor's own first, then the other depths, then other filters. */
  for (int pass = 0; pass < 3; pass++)
    for (FilPattern pattern = FIL_PATTERN_NONE; pattern <= FIL_PATTERN_BGGR; pattern++)
      for (gsize i = 0; i < G_N_ELEMENTS (depths); i++)
        {
          const FilPixelFormat *pixels = fil_sim_settings_find_format (pattern, depths[i]);
          gboolean own_pattern = pattern == self->settings.pattern;
          gboolean own = own_pattern && depths[i] == self->settings.bits;

          if (pass == (own ? 0 : own_pattern ? 1 : 2))
            add_sizes (self, fil_source_formats_add (formats, pixels->fourcc));
        }

  return formats;
}

static gboolean
is_on_offer (const FilPixelFormat *format)
{
  for (FilPattern pattern = FIL_PATTERN_NONE; pattern <= FIL_PATTERN_BGGR; pattern++)
    for (gsize i = 0; i < G_N_ELEMENTS (depths); i++)
      if (fil_sim_settings_find_format (pattern, depths[i]) == format)
        return TRUE;

  return FALSE;
}

/* The part of the sensor that a mode asks for: a region, or the middle. */
static gboolean
choose_view (const FilSimSource  *self,
             const FilSourceMode *wanted,
             FilSimView          *view,
             GError             **error)
{
  int width = wanted->width != 0 ? wanted->width : self->view.width;
  int height = wanted->height != 0 ? wanted->height : self->view.height;

  if (wanted->fourcc != 0)
    view->format = fil_pixel_format_from_fourcc (wanted->fourcc);
  if (view->format == NULL || !is_on_offer (view->format))
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                           _("The simulated Sun doesn't offer this pixel format"));
      return FALSE;
    }

  if (wanted->roi.width != 0)
    {
      if (!fil_rect_is_inside (&wanted->roi, self->settings.width, self->settings.height) ||
          (wanted->width != 0 && wanted->width != wanted->roi.width &&
           wanted->width != self->settings.width) ||
          (wanted->height != 0 && wanted->height != wanted->roi.height &&
           wanted->height != self->settings.height))
        {
          g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                       _("The region doesn't lie on the sensor of %d × %d pixels"),
                       self->settings.width, self->settings.height);
          return FALSE;
        }
      view->x = wanted->roi.x;
      view->y = wanted->roi.y;
      view->width = wanted->roi.width;
      view->height = wanted->roi.height;
      return TRUE;
    }

  if (width < 1 || height < 1 || width > self->settings.width || height > self->settings.height)
    {
      g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                   _("The simulated sensor has %d × %d pixels, not %d × %d"),
                   self->settings.width, self->settings.height, width, height);
      return FALSE;
    }
  view->width = width;
  view->height = height;
  /* Even places keep the pattern of the colour filters. */
  view->x = (self->settings.width - width) / 2 & ~1;
  view->y = (self->settings.height - height) / 2 & ~1;

  return TRUE;
}

static gboolean
sim_set_mode (FilSource           *source,
              const FilSourceMode *wanted,
              FilSourceMode       *got,
              GError             **error)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  FilSimView view = self->view;
  gboolean streams, changed;

  pthread_mutex_lock (&self->lock);
  streams = self->run != NULL;
  pthread_mutex_unlock (&self->lock);
  if (streams)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE,
                           _("The simulated Sun is streaming: stop it before its mode is changed"));
      return FALSE;
    }
  if (!choose_view (self, wanted, &view, error))
    return FALSE;

  changed = view.format != self->view.format;
  self->view = view;
  if (wanted->fps > 0.0 && wanted->fps != self->settings.fps)
    {
      self->settings.fps = CLAMP (wanted->fps, 0.01, 1000.0);
      changed = TRUE;
    }
  if (changed)
    {
      pthread_mutex_lock (&self->lock);
      set_level (self);
      pthread_mutex_unlock (&self->lock);
    }

  *got = (FilSourceMode) {
    .fourcc = view.format->fourcc,
    .width = view.width,
    .height = view.height,
    .fps = self->settings.fps,
    .roi = wanted->roi,
  };

  return TRUE;
}

static GPtrArray *
sim_list_controls (FilSource *source)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  GPtrArray *controls;

  pthread_mutex_lock (&self->lock);
  controls = fil_sim_panel_list (&self->panel);
  pthread_mutex_unlock (&self->lock);

  return controls;
}

static FilControl *
sim_dup_control (FilSource *source,
                 guint32    id)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  FilControl *control;

  pthread_mutex_lock (&self->lock);
  control = fil_sim_panel_dup (&self->panel, id);
  pthread_mutex_unlock (&self->lock);

  return control;
}

static gboolean
sim_set_control (FilSource *source,
                 guint32    id,
                 GVariant  *value,
                 GError   **error)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  gboolean done, streams;

  pthread_mutex_lock (&self->lock);
  done = fil_sim_panel_set (&self->panel, id, value, error);
  streams = self->run != NULL;
  if (done && streams)
    fil_sim_run_set_knobs (self->run, &self->panel.knobs, self->panel.target);
  pthread_mutex_unlock (&self->lock);

  if (done && streams && self->sink.control != NULL)
    self->sink.control (source, id, self->user_data);

  return done;
}

static gboolean
sim_set_exposure (FilSource *source,
                  double     ms,
                  GError   **error)
{
  g_autoptr (GVariant) value = g_variant_ref_sink (g_variant_new_double (ms));

  return sim_set_control (source, FIL_SIM_KNOB_EXPOSURE, value, error);
}

static double
sim_get_exposure (FilSource *source)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  double ms;

  pthread_mutex_lock (&self->lock);
  ms = self->panel.knobs.exposure_ms;
  pthread_mutex_unlock (&self->lock);

  return ms;
}

static gboolean
sim_start (FilSource           *source,
           const FilGatePass   *pass,
           const FilSourceSink *sink,
           gpointer             user_data,
           GError             **error)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  FilSimRunOptions options = {
    .source = source,
    .settings = self->settings,
    .optics = self->optics,
    .view = self->view,
    .sink = sink,
    .user_data = user_data,
  };
  gboolean started;

  pthread_mutex_lock (&self->lock);
  if (self->run != NULL)
    {
      pthread_mutex_unlock (&self->lock);
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY,
                           _("The simulated Sun is streaming already"));
      return FALSE;
    }
  self->sink = *sink;
  self->user_data = user_data;
  options.knobs = self->panel.knobs;
  options.settings.target = self->panel.target;
  self->run = fil_sim_run_start (&options, error);
  started = self->run != NULL;
  pthread_mutex_unlock (&self->lock);

  return started;
}

static void
sim_stop (FilSource *source)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  FilSimRun *run;

  /* Not under the lock: callbacks that are on their way may ask for it. */
  pthread_mutex_lock (&self->lock);
  run = g_steal_pointer (&self->run);
  pthread_mutex_unlock (&self->lock);
  fil_sim_run_stop (run);
}

static guint64
sim_get_gaps (FilSource *source)
{
  FilSimSource *self = FIL_SIM_SOURCE (source);
  guint64 gaps;

  pthread_mutex_lock (&self->lock);
  gaps = self->run != NULL ? fil_sim_run_get_gaps (self->run) : 0;
  pthread_mutex_unlock (&self->lock);

  return gaps;
}

static void
fil_sim_source_finalize (GObject *object)
{
  FilSimSource *self = FIL_SIM_SOURCE (object);

  sim_stop (FIL_SOURCE (self));
  pthread_mutex_destroy (&self->lock);

  G_OBJECT_CLASS (fil_sim_source_parent_class)->finalize (object);
}

static void
fil_sim_source_class_init (FilSimSourceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  FilSourceClass *source_class = FIL_SOURCE_CLASS (klass);

  object_class->finalize = fil_sim_source_finalize;
  source_class->get_info = sim_get_info;
  source_class->list_formats = sim_list_formats;
  source_class->set_mode = sim_set_mode;
  source_class->list_controls = sim_list_controls;
  source_class->dup_control = sim_dup_control;
  source_class->set_control = sim_set_control;
  source_class->set_exposure = sim_set_exposure;
  source_class->get_exposure = sim_get_exposure;
  source_class->start = sim_start;
  source_class->stop = sim_stop;
  source_class->get_gaps = sim_get_gaps;
}

static void
fil_sim_source_init (FilSimSource *self)
{
  pthread_mutex_init (&self->lock, NULL);
}

static gboolean
claims (const char *name)
{
  return g_str_has_prefix (name, "sim:");
}

static FilSource *
open_sim (const char             *name,
          const FilSourceOptions *options,
          GError                **error)
{
  g_autoptr (FilRig) demo = NULL;
  g_autoptr (FilSimSource) self = NULL;
  const FilRig *rig = options->rig;
  FilSimSettings settings;
  FilSimOptics optics;

  if (!fil_sim_settings_parse (name, &settings, error))
    return NULL;
  if (rig == NULL)
    rig = demo = fil_rig_new_demo ();
  if (!fil_sim_optics_init (&optics, rig, error))
    return NULL;

  self = g_object_new (FIL_TYPE_SIM_SOURCE, NULL);
  fil_sim_settings_fill_in (&settings, &optics);
  self->settings = settings;
  self->optics = optics;
  self->view = (FilSimView) {
    .format = fil_sim_settings_find_format (settings.pattern, settings.bits),
    .width = settings.width,
    .height = settings.height,
  };
  fil_sim_panel_init (&self->panel, &settings);
  set_level (self);

  return FIL_SOURCE (g_steal_pointer (&self));
}

static void
list_sim (GPtrArray *listings)
{
  FilSourceListing *listing = g_new0 (FilSourceListing, 1);

  listing->path = g_strdup ("sim:");
  listing->name = g_strdup (_("Simulated Sun"));
  listing->driver = g_strdup ("");
  listing->bus = g_strdup ("");
  g_ptr_array_add (listings, listing);
}

const FilSourceBackend fil_source_backend_sim = {
  .claims = claims,
  .live = FALSE,
  .open = open_sim,
  .list = list_sim,
};
