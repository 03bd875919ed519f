/* fil-live-events.c: what the main thread makes of what the others tell
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <inttypes.h>

#include <glib/gi18n-lib.h>

#include "fil-gate.h"
#include "fil-live-private.h"

typedef struct
{
  FilPost         posted;
  FilSourceState  source_state;
  GError         *source_error;
  GArray         *changed_controls;
  FilAlarmCause   alarm;
} News;

static News
collect_news (FilLive *self)
{
  News news;

  pthread_mutex_lock (&self->lock);
  news = (News) { self->posted, self->source_state, g_steal_pointer (&self->source_error),
                  self->changed_controls, self->alarm };
  self->posted = 0;
  self->changed_controls = g_array_new (FALSE, FALSE, sizeof (guint32));
  pthread_mutex_unlock (&self->lock);

  return news;
}

static const char *
why (const News *news,
     const char *otherwise)
{
  return news->source_error != NULL ? news->source_error->message : otherwise;
}

/* With a clip running, the message says what became of it. */
static char *
tell (FilLive    *self,
      const char *what,
      const char *to_do)
{
  FilRecorderStatus status;

  if (!fil_live_is_recording (self))
    return g_strdup_printf ("%s. %s", what, to_do);

  fil_live_get_recording (self, &status);

  return g_strdup_printf (_("%s. The clip was closed with the %" PRIu64
                            " frames that had come. %s"), what, status.frames, to_do);
}

static void
on_alarm (FilLive       *self,
          FilAlarmCause  cause)
{
  g_autofree char *reason = NULL;

  reason = g_strdup_printf (_("the gate’s alarm stopped the camera: %s"),
                            fil_alarm_cause_to_text (cause));
  fil_live_record_cut_short (self, reason);
  fil_live_halt (self);
  fil_live_forget_pass (self);
  fil_live_set_state (self, FIL_LIVE_ALARM,
                      _("Cap the telescope from the side. Don’t look through it or into "
                        "its beam."));
}

static void
on_stall (FilLive    *self,
          const News *news)
{
  const char *reason = why (news, _("no frame comes from the camera"));
  g_autofree char *message = NULL;

  message = tell (self, reason, _("It goes on by itself when frames come again; else "
                                  "check the cable, and unplug the camera and plug it "
                                  "in again."));
  fil_live_record_cut_short (self, reason);
  fil_live_set_state (self, FIL_LIVE_STALLED, message);
}

static void
lose (FilLive    *self,
      const char *reason,
      gboolean    unplugged)
{
  g_autofree char *message = NULL;

  message = tell (self, reason,
                  unplugged ? _("Plug the camera in again and confirm the filter anew.")
                            : _("Open the source again."));
  fil_live_record_cut_short (self, reason);
  fil_live_halt (self);
  fil_live_forget_pass (self);
  fil_live_set_state (self, unplugged ? FIL_LIVE_UNPLUGGED : FIL_LIVE_FAILED, message);
}

static void
on_lost (FilLive    *self,
         const News *news)
{
  lose (self, why (news, _("the source failed")),
        g_error_matches (news->source_error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_UNPLUGGED));
}

/**
 * fil_live_unplugged:
 *
 * For whoever hears of it elsewhere: the camera that is open was pulled out,
 * streaming or not. A running clip is closed, the pass ends. What the alarm
 * says stays.
 */
void
fil_live_unplugged (FilLive *self)
{
  g_return_if_fail (FIL_IS_LIVE (self));

  if (!self->info.live || self->state == FIL_LIVE_UNPLUGGED || self->state == FIL_LIVE_ALARM)
    return;

  lose (self, _("the camera was unplugged"), TRUE);
}

static void
on_end (FilLive *self)
{
  fil_live_record_cut_short (self, _("the replayed file came to its end"));
  fil_live_halt (self);
  fil_live_set_state (self, FIL_LIVE_ENDED, _("The file came to its end."));
}

static void
on_source_state (FilLive    *self,
                 const News *news)
{
  switch (news->source_state)
    {
    case FIL_SOURCE_STREAMING:
      if (self->state == FIL_LIVE_STALLED)
        fil_live_set_state (self, FIL_LIVE_RUNNING, NULL);
      break;

    case FIL_SOURCE_STALLED:
      on_stall (self, news);
      break;

    case FIL_SOURCE_ENDED:
      on_end (self);
      break;

    case FIL_SOURCE_LOST:
      on_lost (self, news);
      break;

    case FIL_SOURCE_CLOSED:
    default:
      break;
    }
}

static void
on_frame (FilLive *self)
{
  if (self->state == FIL_LIVE_STARTING)
    fil_live_set_state (self, FIL_LIVE_RUNNING, NULL);
  fil_live_emit (self, "frame");
}

static void
on_controls (FilLive      *self,
             const GArray *ids)
{
  if (self->source != NULL)
    fil_live_read_black_level (self);
  for (guint i = 0; i < ids->len; i++)
    g_signal_emit_by_name (self, "control-changed", g_array_index (ids, guint32, i));
}

/* The alarm comes first. What is told of a stream that has been stopped since
 * is dropped, frames and states alike. */
void
fil_live_dispatch (FilLive *self)
{
  News news = collect_news (self);

  if (self->streaming && (news.posted & FIL_POST_ALARM))
    on_alarm (self, news.alarm);
  if (self->streaming && (news.posted & FIL_POST_FRAME))
    on_frame (self);
  if (self->streaming && (news.posted & FIL_POST_SOURCE))
    on_source_state (self, &news);
  if (news.posted & FIL_POST_CONTROL)
    on_controls (self, news.changed_controls);
  if (self->streaming && (news.posted & FIL_POST_READING))
    fil_live_emit (self, "reading");
  if (news.posted & FIL_POST_DRIFT)
    fil_live_emit (self, "drift-changed");
  if (news.posted & FIL_POST_RECORDING)
    fil_live_record_collect (self);

  g_clear_error (&news.source_error);
  g_array_unref (news.changed_controls);
}

/* A clip that runs at the deadline is finished first, within the grace. */
static gboolean
has_grace (FilLive *self,
           gint64   remaining_s)
{
  gint64 now_us = g_get_monotonic_time ();

  if (self->expired_us == 0)
    self->expired_us = now_us;

  return fil_live_is_recording (self) && remaining_s > -FIL_GATE_GRACE_MINUTES * 60 &&
         now_us - self->expired_us < FIL_GATE_GRACE_MINUTES * 60 * G_USEC_PER_SEC;
}

static void
watch_deadline (FilLive *self)
{
  gint64 remaining_s = fil_live_get_pass_remaining_s (self);

  if (!self->noticed && remaining_s <= FIL_GATE_NOTICE_MINUTES * 60)
    {
      self->noticed = TRUE;
      fil_live_emit (self, "pass-changed");
    }

  if (remaining_s > 0 || has_grace (self, remaining_s))
    return;

  fil_live_record_cut_short (self, _("the confirmation of the filter ran out"));
  fil_live_halt (self);
  fil_live_forget_pass (self);
  fil_live_set_state (self, FIL_LIVE_GATE_CLOSED,
                      _("The confirmation of the filter ran out, so the camera was stopped. "
                        "Look at the filter and confirm it again to go on."));
}

/* A few times a second. */
void
fil_live_tick (FilLive *self)
{
  if (self->streaming && self->pass != NULL)
    watch_deadline (self);
  fil_live_record_tick (self);
}
