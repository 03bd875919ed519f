/* fil-live.c: the running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-gate.h"
#include "fil-live-private.h"
#include "fil-optics.h"

enum
{
  STATE_CHANGED,
  READING,
  FRAME,
  RECORDING_CHANGED,
  CONTROL_CHANGED,
  DRIFT_CHANGED,
  PASS_CHANGED,
  N_SIGNALS
};

static guint signals[N_SIGNALS];

G_DEFINE_QUARK (fil-live-error-quark, fil_live_error)
G_DEFINE_FINAL_TYPE (FilLive, fil_live, G_TYPE_OBJECT)

/* Any thread: the main thread is to look at @what. Needs no memory and holds
 * no lock of ours, so a capture thread may call it at any rate. */
void
fil_live_post (FilLive *self,
               FilPost  what)
{
  gboolean idle;

  pthread_mutex_lock (&self->lock);
  idle = self->posted == 0;
  self->posted |= what;
  pthread_mutex_unlock (&self->lock);

  if (idle)
    g_source_set_ready_time (self->poke, 0);
}

void
fil_live_emit (FilLive    *self,
               const char *signal)
{
  g_signal_emit_by_name (self, signal);
}

void
fil_live_set_state (FilLive      *self,
                    FilLiveState  state,
                    const char   *message)
{
  if (self->state == state && g_strcmp0 (self->message, message) == 0)
    return;

  self->state = state;
  g_free (self->message);
  self->message = g_strdup (message);
  g_signal_emit (self, signals[STATE_CHANGED], 0);
}

static gboolean
poke_dispatch (GSource     *source,
               GSourceFunc  callback,
               gpointer     user_data)
{
  g_source_set_ready_time (source, -1);

  return callback (user_data);
}

static GSourceFuncs poke_funcs = { .dispatch = poke_dispatch };

static gboolean
poke_cb (gpointer user_data)
{
  g_autoptr (FilLive) self = g_object_ref (user_data);

  fil_live_dispatch (self);

  return G_SOURCE_CONTINUE;
}

static gboolean
tick_cb (gpointer user_data)
{
  g_autoptr (FilLive) self = g_object_ref (user_data);

  fil_live_tick (self);

  return G_SOURCE_CONTINUE;
}

static GSource *
attach (FilLive     *self,
        GSource     *source,
        GSourceFunc  callback)
{
  g_source_set_callback (source, callback, self, NULL);
  g_source_attach (source, self->context);

  return source;
}

static void
fil_live_init (FilLive *self)
{
  pthread_mutex_init (&self->lock, NULL);
  pthread_cond_init (&self->offered, NULL);
  fil_mailbox_init (&self->mailbox);
  fil_mailbox_close (&self->mailbox);

  self->dots = g_new0 (FilLiveDot, FIL_LIVE_N_DOTS);
  self->changed_controls = g_array_new (FALSE, FALSE, sizeof (guint32));
  self->remaining = fil_gate_pass_get_remaining_s;
  self->cutoff_cycles_per_px = FIL_LIVE_NO_RIG_CUTOFF;
  self->context = g_main_context_ref_thread_default ();
  self->poke = attach (self, g_source_new (&poke_funcs, sizeof (GSource)), poke_cb);
  self->tick = attach (self, g_timeout_source_new (FIL_LIVE_TICK_MS), tick_cb);
}

static void
fil_live_dispose (GObject *object)
{
  FilLive *self = FIL_LIVE (object);

  fil_live_close (self);
  if (self->poke != NULL)
    {
      g_source_destroy (self->poke);
      g_source_destroy (self->tick);
    }
  g_clear_pointer (&self->poke, g_source_unref);
  g_clear_pointer (&self->tick, g_source_unref);

  G_OBJECT_CLASS (fil_live_parent_class)->dispose (object);
}

static void
fil_live_finalize (GObject *object)
{
  FilLive *self = FIL_LIVE (object);

  fil_mailbox_clear (&self->mailbox);
  g_free (self->dots);
  g_array_unref (self->changed_controls);
  g_clear_error (&self->source_error);
  g_clear_error (&self->record_error);
  g_free (self->record_path);
  g_free (self->sky.target);
  g_free (self->message);
  g_main_context_unref (self->context);
  pthread_cond_destroy (&self->offered);
  pthread_mutex_destroy (&self->lock);

  G_OBJECT_CLASS (fil_live_parent_class)->finalize (object);
}

static guint
new_signal (const char *name,
            guint       n_arguments)
{
  return g_signal_new (name, FIL_TYPE_LIVE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                       G_TYPE_NONE, n_arguments, G_TYPE_UINT);
}

static void
fil_live_class_init (FilLiveClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->dispose = fil_live_dispose;
  object_class->finalize = fil_live_finalize;

  signals[STATE_CHANGED] = new_signal ("state-changed", 0);
  signals[READING] = new_signal ("reading", 0);
  signals[FRAME] = new_signal ("frame", 0);
  signals[RECORDING_CHANGED] = new_signal ("recording-changed", 0);
  signals[CONTROL_CHANGED] = new_signal ("control-changed", 1);
  signals[DRIFT_CHANGED] = new_signal ("drift-changed", 0);
  signals[PASS_CHANGED] = new_signal ("pass-changed", 0);
}

/**
 * fil_live_new:
 *
 * An instrument without a source. Its signals come on the thread-default main
 * context of the calling thread.
 */
FilLive *
fil_live_new (void)
{
  return g_object_new (FIL_TYPE_LIVE, NULL);
}

/* Runs the main context once, for commands that have no loop of their own. */
void
fil_live_iterate (FilLive  *self,
                  gboolean  may_block)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  g_main_context_iteration (self->context, may_block);
}

gboolean
fil_live_check_open (FilLive *self,
                     GError **error)
{
  if (self->source != NULL)
    return TRUE;

  g_set_error_literal (error, FIL_LIVE_ERROR, FIL_LIVE_ERROR_NO_SOURCE,
                       _("No camera is chosen"));

  return FALSE;
}

static void
show_open (FilLive *self)
{
  if (self->info.live && self->pass == NULL)
    fil_live_set_state (self, FIL_LIVE_GATE_CLOSED,
                        _("The gate is closed. The camera starts when the filter "
                          "has been confirmed."));
  else
    fil_live_set_state (self, FIL_LIVE_IDLE, NULL);
}

/**
 * fil_live_open:
 * @source_name: as fil_source_open() takes it
 * @rig: (nullable): the light path; a reference is taken
 * @mode: (nullable): format, size, rate, region; %NULL leaves them to the source
 *
 * Opens a source in place of the one before. Nothing streams yet. May block
 * for as long as a driver takes to answer.
 */
gboolean
fil_live_open (FilLive             *self,
               const char          *source_name,
               FilRig              *rig,
               const FilSourceMode *mode,
               GError             **error)
{
  FilSourceOptions options = { .rig = rig };
  g_autoptr (FilSource) source = NULL;

  g_return_val_if_fail (FIL_IS_LIVE (self) && source_name != NULL, FALSE);

  fil_live_close (self);
  source = fil_source_open (source_name, &options, error);
  if (source == NULL)
    return FALSE;

  return fil_live_open_source (self, source, source_name, rig, mode, error);
}

/* As fil_live_open(), with a source that is open already; a reference is taken. */
gboolean
fil_live_open_source (FilLive             *self,
                      FilSource           *source,
                      const char          *source_name,
                      FilRig              *rig,
                      const FilSourceMode *mode,
                      GError             **error)
{
  static const FilSourceMode any = { 0 };
  FilSourceMode got = { 0 };

  g_return_val_if_fail (FIL_IS_LIVE (self) && FIL_IS_SOURCE (source), FALSE);

  fil_live_close (self);
  if (!fil_source_set_mode (source, mode != NULL ? mode : &any, &got, error))
    return FALSE;

  self->source = g_object_ref (source);
  self->source_name = g_strdup (source_name);
  self->mode = got;
  fil_source_get_info (source, &self->info);
  fil_live_take_rig (self, rig);
  fil_live_read_black_level (self);
  pthread_mutex_lock (&self->lock);
  self->depth = (FilDepth) { 0 };
  self->patch = (FilRect) { 0 };
  pthread_mutex_unlock (&self->lock);
  show_open (self);

  return TRUE;
}

/* Stops, closes a running clip whole and gives the source up. The pass ends. */
void
fil_live_close (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  fil_live_stop (self);
  if (fil_live_is_recording (self))
    fil_live_end_recording (self, NULL, NULL);
  g_clear_object (&self->source);
  fil_live_forget_sky (self);
  g_clear_pointer (&self->source_name, g_free);
  g_clear_pointer (&self->rig, fil_rig_unref);
  g_clear_pointer (&self->pass, fil_gate_pass_unref);
  self->info = (FilSourceInfo) { 0 };
  if (self->state != FIL_LIVE_NO_SOURCE)
    fil_live_set_state (self, FIL_LIVE_NO_SOURCE, NULL);
}

static void
reset_readings (FilLive *self)
{
  pthread_mutex_lock (&self->lock);
  self->reading = (FilLiveReading) {
    .figures = { NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN },
    .sharpness = { NAN, NAN, NAN, NAN },
    .trace = { .now = NAN, .crest = NAN, .mark = NAN, .percent_of_mark = NAN },
    .exposure_ms = NAN, .gain = NAN, .full_count = NAN,
  };
  self->n_dots = 0;
  self->posted &= FIL_POST_CONTROL;
  self->alarm = FIL_ALARM_QUIET;
  g_clear_error (&self->source_error);
  pthread_mutex_unlock (&self->lock);
}

/**
 * fil_live_start:
 * @pass: (nullable): leave from the gate, for a live camera; a reference is
 *   kept until the pass ends. %NULL: the one it holds already, if any.
 *
 * Starts streaming and measuring. A fresh pass for what is streaming already
 * only moves the deadline: a clip that is being recorded goes on.
 */
gboolean
fil_live_start (FilLive     *self,
                FilGatePass *pass,
                GError     **error)
{
  g_autoptr (GError) failure = NULL;

  g_return_val_if_fail (FIL_IS_LIVE (self), FALSE);

  if (!fil_live_check_open (self, error))
    return FALSE;

  if (pass != NULL)
    {
      if (!fil_gate_pass_covers (pass, self->info.identity, error))
        return FALSE;
      fil_live_take_pass (self, pass);
      if (self->streaming)
        return fil_source_renew_pass (self->source, pass, error);
    }

  fil_live_halt (self);
  reset_readings (self);
  fil_mailbox_reset (&self->mailbox);
  fil_live_set_state (self, FIL_LIVE_STARTING, NULL);
  self->streaming = TRUE;
  fil_live_measure_start (self);
  if (!fil_source_start (self->source, self->pass, &fil_live_sink, self, &failure))
    {
      fil_live_halt (self);
      if (g_error_matches (failure, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE))
        fil_live_forget_pass (self);
      show_open (self);
      g_propagate_error (error, g_steal_pointer (&failure));
      return FALSE;
    }

  return TRUE;
}

/* Ends all threads but the one that closes a clip; tells nobody. */
void
fil_live_halt (FilLive *self)
{
  if (!self->streaming)
    return;

  fil_live_finish_recording (self);
  fil_source_stop (self->source);
  fil_live_measure_stop (self);
  fil_live_drift_halt (self);
  self->streaming = FALSE;
}

/* Stops streaming. The source stays open and the pass stays; a clip that is
 * being recorded gets no more frames, and is closed in the background. */
void
fil_live_stop (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  if (!self->streaming)
    return;

  fil_live_halt (self);
  show_open (self);
}

FilLiveState
fil_live_get_state (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), FIL_LIVE_NO_SOURCE);

  return self->state;
}

/* Returns: (nullable): what happened, what was kept, what to do */
const char *
fil_live_get_message (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->message;
}

/* Returns: (nullable) (transfer none): what is open */
FilSource *
fil_live_get_source (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->source;
}

const char *
fil_live_get_source_name (FilLive *self)
{
  g_return_val_if_fail (FIL_IS_LIVE (self), NULL);

  return self->source_name;
}
