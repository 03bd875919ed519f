/* fil-source.c: where frames come from, whatever makes them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-source-backend.h"
#include "fil-source-backends.h"
#include "fil-source.h"

G_DEFINE_QUARK (fil-source-error-quark, fil_source_error)
G_DEFINE_ABSTRACT_TYPE (FilSource, fil_source, G_TYPE_OBJECT)

#define BACKEND_EXTERN(name) extern const FilSourceBackend fil_source_backend_##name;
#define BACKEND_ENTRY(name) &fil_source_backend_##name,

FIL_SOURCE_BACKENDS (BACKEND_EXTERN)

/* In the order of src/camera/meson.build; ends with NULL. */
static const FilSourceBackend *const backends[] = {
  FIL_SOURCE_BACKENDS (BACKEND_ENTRY)
  NULL
};

static void
fil_source_class_init (FilSourceClass *klass)
{
}

static void
fil_source_init (FilSource *self)
{
}

static const FilSourceBackend *
find_backend (const char *name)
{
  for (gsize i = 0; backends[i] != NULL; i++)
    if (backends[i]->claims (name))
      return backends[i];

  return NULL;
}

static void
set_no_backend (GError    **error,
                const char *name)
{
  g_set_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NAME,
               _("“%s” is no source: give /dev/videoN, sim: or a FITS file"), name);
}

static void
listing_free (gpointer data)
{
  FilSourceListing *listing = data;

  g_free (listing->path);
  g_free (listing->name);
  g_free (listing->driver);
  g_free (listing->bus);
  g_free (listing);
}

/**
 * fil_source_list:
 *
 * Cameras that are plugged in now, and the simulated Sun. Opens none of them.
 *
 * Returns: (transfer full) (element-type FilSourceListing): what can be opened
 */
GPtrArray *
fil_source_list (void)
{
  GPtrArray *listings = g_ptr_array_new_with_free_func (listing_free);

  for (gsize i = 0; backends[i] != NULL; i++)
    if (backends[i]->list != NULL)
      backends[i]->list (listings);

  return listings;
}

/* Whether sunlight would reach a sensor through @name: it needs a pass. */
gboolean
fil_source_name_is_live (const char *name)
{
  const FilSourceBackend *backend = find_backend (name);

  return backend != NULL && backend->live;
}

/**
 * fil_source_dup_identity:
 * @name: a live source's name
 *
 * What a pass is bound to: this plugging-in of this device, learnt without
 * opening it.
 *
 * Returns: (transfer full): the identity, or %NULL with @error set
 */
char *
fil_source_dup_identity (const char *name,
                         GError    **error)
{
  const FilSourceBackend *backend = find_backend (name);

  if (backend == NULL || backend->dup_identity == NULL)
    {
      set_no_backend (error, name);
      return NULL;
    }

  return backend->dup_identity (name, error);
}

/**
 * fil_source_open:
 * @name: "/dev/videoN", "sim:" with settings, or a path to a FITS cube
 * @options: (nullable): how
 *
 * Opens a source; nothing streams yet. May block for as long as a driver
 * takes to answer.
 *
 * Returns: (transfer full): a source, or %NULL with a %FIL_SOURCE_ERROR;
 *   %FIL_SOURCE_ERROR_NAME means wrong usage
 */
FilSource *
fil_source_open (const char             *name,
                 const FilSourceOptions *options,
                 GError                **error)
{
  static const FilSourceOptions nothing = { 0 };
  const FilSourceBackend *backend;

  g_return_val_if_fail (name != NULL, NULL);

  backend = find_backend (name);
  if (backend == NULL)
    {
      set_no_backend (error, name);
      return NULL;
    }

  return backend->open (name, options != NULL ? options : &nothing, error);
}

/* Fills @info; its strings live as long as @self. Any thread. */
void
fil_source_get_info (FilSource     *self,
                     FilSourceInfo *info)
{
  g_return_if_fail (FIL_IS_SOURCE (self) && info != NULL);

  *info = (FilSourceInfo) { .name = "", .driver = "", .bus = "", .identity = "" };
  FIL_SOURCE_GET_CLASS (self)->get_info (self, info);
}

/* Returns: (transfer full) (element-type FilSourceFormat): what is on offer */
GPtrArray *
fil_source_list_formats (FilSource *self,
                         GError   **error)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), NULL);

  return FIL_SOURCE_GET_CLASS (self)->list_formats (self, error);
}

/**
 * fil_source_set_mode:
 * @wanted: what is asked for; zeros leave the choice to the source
 * @got: (out) (nullable): what the source will deliver
 *
 * Chooses format, size, rate and region; not while streaming. A format, size
 * or region that is not on offer is refused; the nearest rate is taken.
 */
gboolean
fil_source_set_mode (FilSource           *self,
                     const FilSourceMode *wanted,
                     FilSourceMode       *got,
                     GError             **error)
{
  FilSourceMode unused;

  g_return_val_if_fail (FIL_IS_SOURCE (self) && wanted != NULL, FALSE);

  return FIL_SOURCE_GET_CLASS (self)->set_mode (self, wanted, got != NULL ? got : &unused,
                                                error);
}

/* Returns: (transfer full) (element-type FilControl): all of the driver's controls */
GPtrArray *
fil_source_list_controls (FilSource *self)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), NULL);

  if (FIL_SOURCE_GET_CLASS (self)->list_controls == NULL)
    return g_ptr_array_new_with_free_func ((GDestroyNotify) fil_control_free);

  return FIL_SOURCE_GET_CLASS (self)->list_controls (self);
}

/* Returns: (transfer full) (nullable): how control @id stands now */
FilControl *
fil_source_dup_control (FilSource *self,
                        guint32    id)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), NULL);

  if (FIL_SOURCE_GET_CLASS (self)->dup_control == NULL)
    return NULL;

  return FIL_SOURCE_GET_CLASS (self)->dup_control (self, id);
}

/* Returns: (transfer full) (nullable): the first control with that role */
FilControl *
fil_source_dup_role (FilSource      *self,
                     FilControlRole  role)
{
  g_autoptr (GPtrArray) controls = fil_source_list_controls (self);

  for (guint i = 0; i < controls->len; i++)
    {
      FilControl *control = g_ptr_array_index (controls, i);

      if (control->role == role)
        return fil_source_dup_control (self, control->id);
    }

  return NULL;
}

/**
 * fil_source_set_control:
 * @value: (nullable): of the control's type; %NULL for buttons. A floating
 *   reference is taken.
 *
 * Any thread. The driver may round the value; the sink's control callback
 * tells what became of it.
 */
gboolean
fil_source_set_control (FilSource *self,
                        guint32    id,
                        GVariant  *value,
                        GError   **error)
{
  g_autoptr (GVariant) held = value != NULL ? g_variant_ref_sink (value) : NULL;

  g_return_val_if_fail (FIL_IS_SOURCE (self), FALSE);

  if (FIL_SOURCE_GET_CLASS (self)->set_control == NULL)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                           _("This source has no controls"));
      return FALSE;
    }

  return FIL_SOURCE_GET_CLASS (self)->set_control (self, id, held, error);
}

/* Any thread. Fails where the driver tells no unit of time. */
gboolean
fil_source_set_exposure_ms (FilSource *self,
                            double     exposure_ms,
                            GError   **error)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), FALSE);
  g_return_val_if_fail (isfinite (exposure_ms) && exposure_ms > 0.0, FALSE);

  if (FIL_SOURCE_GET_CLASS (self)->set_exposure == NULL)
    {
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_CONTROL,
                           _("This source has no exposure in units of time"));
      return FALSE;
    }

  return FIL_SOURCE_GET_CLASS (self)->set_exposure (self, exposure_ms, error);
}

/* Returns: milliseconds, or NaN where the driver tells no unit of time */
double
fil_source_get_exposure_ms (FilSource *self)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), NAN);

  if (FIL_SOURCE_GET_CLASS (self)->get_exposure == NULL)
    return NAN;

  return FIL_SOURCE_GET_CLASS (self)->get_exposure (self);
}

/**
 * fil_source_start:
 * @pass: (nullable): leave from the gate; a live source refuses to start without
 * @sink: where frames go; copied
 *
 * Starts the capture thread. Fails with %FIL_SOURCE_ERROR_GATE for a live
 * source whose pass is missing, ended, or for another device.
 */
gboolean
fil_source_start (FilSource           *self,
                  const FilGatePass   *pass,
                  const FilSourceSink *sink,
                  gpointer             user_data,
                  GError             **error)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), FALSE);
  g_return_val_if_fail (sink != NULL && sink->frame != NULL, FALSE);

  return FIL_SOURCE_GET_CLASS (self)->start (self, pass, sink, user_data, error);
}

/* Ends streaming and joins the capture thread: no callback comes after. Not
 * from a callback. */
void
fil_source_stop (FilSource *self)
{
  g_return_if_fail (FIL_IS_SOURCE (self));

  FIL_SOURCE_GET_CLASS (self)->stop (self);
}

/* Returns: frames that the source itself lost since it started. Any thread. */
guint64
fil_source_get_gaps (FilSource *self)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), 0);

  if (FIL_SOURCE_GET_CLASS (self)->get_gaps == NULL)
    return 0;

  return FIL_SOURCE_GET_CLASS (self)->get_gaps (self);
}

/**
 * fil_source_renew_pass:
 * @pass: a new leave from the gate, for this device
 *
 * Takes the place of the pass that the source was started with, so that it
 * need not stop. Any thread. A source that needs none takes any.
 */
gboolean
fil_source_renew_pass (FilSource         *self,
                       const FilGatePass *pass,
                       GError           **error)
{
  g_return_val_if_fail (FIL_IS_SOURCE (self), FALSE);

  if (FIL_SOURCE_GET_CLASS (self)->renew_pass == NULL)
    return TRUE;

  return FIL_SOURCE_GET_CLASS (self)->renew_pass (self, pass, error);
}

void
fil_control_free (FilControl *control)
{
  if (control == NULL)
    return;

  g_free (control->name);
  g_free (control->unit);
  if (control->items != NULL)
    for (guint i = 0; i < control->items->len; i++)
      g_free (g_array_index (control->items, FilControlItem, i).label);
  g_clear_pointer (&control->items, g_array_unref);
  g_clear_pointer (&control->value, g_variant_unref);
  g_free (control);
}

/* Returns: its value where that is a number; NaN otherwise */
double
fil_control_get_number (const FilControl *control)
{
  g_return_val_if_fail (control != NULL, NAN);

  if (control->value == NULL)
    return NAN;
  if (g_variant_is_of_type (control->value, G_VARIANT_TYPE_DOUBLE))
    return g_variant_get_double (control->value);
  if (g_variant_is_of_type (control->value, G_VARIANT_TYPE_INT64))
    return (double) g_variant_get_int64 (control->value);

  return NAN;
}
