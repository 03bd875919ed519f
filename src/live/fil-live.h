/* fil-live.h: the running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-figures.h"
#include "fil-gate-pass.h"
#include "fil-limb.h"
#include "fil-place.h"
#include "fil-recorder.h"
#include "fil-rig.h"
#include "fil-sharpness.h"
#include "fil-source.h"
#include "fil-trace.h"

G_BEGIN_DECLS

#define FIL_LIVE_ERROR (fil_live_error_quark ())

typedef enum
{
  FIL_LIVE_ERROR_NO_SOURCE,   /* nothing is open */
  FIL_LIVE_ERROR_NO_FRAME,    /* nothing has come yet */
  FIL_LIVE_ERROR_RECORDING,   /* not while a clip is recorded, or none is */
  FIL_LIVE_ERROR_CLOCK,       /* the computer's clock isn't set */
} FilLiveError;

GQuark fil_live_error_quark (void);

typedef enum
{
  FIL_LIVE_NO_SOURCE,
  FIL_LIVE_GATE_CLOSED,   /* a camera is chosen, and waits for its pass */
  FIL_LIVE_STARTING,
  FIL_LIVE_RUNNING,
  FIL_LIVE_STALLED,
  FIL_LIVE_UNPLUGGED,
  FIL_LIVE_FAILED,
  FIL_LIVE_ALARM,         /* stopped: cap the telescope from the side */
  FIL_LIVE_ENDED,         /* a replayed file came to its end */
  FIL_LIVE_IDLE,          /* open, and may be started: it needs no pass */
} FilLiveState;

/* The newest measurement, coalesced: newest wins. */
typedef struct
{
  guint64         n_frames;        /* since the start */
  double          fps;             /* measured over the last second */
  FilFigures      figures;         /* whole frame */
  FilSharpness    sharpness;       /* in the patch */
  FilTraceReading trace;
  FilLimb         limb;            /* steadied; all 0 while none is looked for */
  double          exposure_ms, gain;
  double          full_count;      /* the ceiling the figures were counted against */
  gboolean        alarm_ready;     /* the alarm knows the clear disc; FALSE where none is kept */
  guint32         histogram[256];  /* folded: bin i holds counts i·(full+1)/256 … */
} FilLiveReading;

/* One dot of the running graph. */
typedef struct
{
  gint64 time_ns;
  double sharpness, crest, mark;
  guint  segment;
} FilLiveDot;

#define FIL_TYPE_LIVE (fil_live_get_type ())
G_DECLARE_FINAL_TYPE (FilLive, fil_live, FIL, LIVE, GObject)

/* All functions for the main thread. Signals, emitted there:
 *   "state-changed" (): state or message;
 *   "reading" (): a newer reading;
 *   "frame" (): a newer frame may be taken;
 *   "recording-changed" (): it began, goes on (5 times a second), or is closed;
 *   "control-changed" (guint id);
 *   "drift-changed" (): a step of the guided run, see fil-live-drift.h;
 *   "pass-changed" (): the pass came, has five minutes left, or ended.
 * A signal tells the newest only: what comes faster than the main loop turns
 * is passed over. Where there is no main loop (a command), fil_live_iterate()
 * runs one. */
FilLive        *fil_live_new             (void);
gboolean        fil_live_open            (FilLive             *self,
                                          const char          *source_name,
                                          FilRig              *rig,
                                          const FilSourceMode *mode,
                                          GError             **error);
gboolean        fil_live_open_source     (FilLive             *self,
                                          FilSource           *source,
                                          const char          *source_name,
                                          FilRig              *rig,
                                          const FilSourceMode *mode,
                                          GError             **error);
void            fil_live_close           (FilLive             *self);
void            fil_live_iterate         (FilLive             *self,
                                          gboolean             may_block);
gboolean        fil_live_start           (FilLive             *self,
                                          FilGatePass         *pass,
                                          GError             **error);
void            fil_live_stop            (FilLive             *self);
/* The camera that is open was pulled out, as a FilPlugWatch tells. */
void            fil_live_unplugged       (FilLive             *self);
FilLiveState    fil_live_get_state       (FilLive             *self);
const char     *fil_live_get_message     (FilLive             *self);
FilSource      *fil_live_get_source      (FilLive             *self);
const char     *fil_live_get_source_name (FilLive             *self);
void            fil_live_get_mode        (FilLive             *self,
                                          FilSourceMode       *mode);
FilGatePass    *fil_live_get_pass        (FilLive             *self);
FilRig         *fil_live_get_rig         (FilLive             *self);
void            fil_live_set_rig         (FilLive             *self,
                                          FilRig              *rig);
FilFrame       *fil_live_dup_frame       (FilLive             *self);
void            fil_live_get_reading     (FilLive             *self,
                                          FilLiveReading      *reading);
guint           fil_live_get_dots        (FilLive             *self,
                                          FilLiveDot          *dots,
                                          guint                max_dots);
void            fil_live_set_patch       (FilLive             *self,
                                          const FilRect       *patch);
void            fil_live_get_patch       (FilLive             *self,
                                          FilRect             *patch);
/* How the picture lies on the sky, for whoever draws and for clips. */
void            fil_live_set_place       (FilLive             *self,
                                          const FilPlace      *place);
gboolean        fil_live_get_place       (FilLive             *self,
                                          FilPlace            *place);
void            fil_live_set_target      (FilLive             *self,
                                          const char          *name);
const char     *fil_live_get_target      (FilLive             *self);
void            fil_live_set_limb_wanted (FilLive             *self,
                                          double               radius_px,
                                          gboolean             fit_radius);
/* Begins a new segment of the trace: the mark is forgotten. */
void            fil_live_new_mark        (FilLive             *self);
/* As the source's own, and the alarm and the trace hear of it. */
gboolean        fil_live_set_control     (FilLive             *self,
                                          guint32              id,
                                          GVariant            *value,
                                          GError             **error);
gboolean        fil_live_set_exposure_ms (FilLive             *self,
                                          double               exposure_ms,
                                          GError             **error);
/* Within which it may be set now; FALSE: not known in milliseconds. */
gboolean        fil_live_get_exposure_range_ms (FilLive       *self,
                                          double              *shortest_ms,
                                          double              *longest_ms);
/* Counts; 0 where it isn't known. */
double          fil_live_get_black_level (FilLive             *self);
/* Changes format, size, rate or region; the stream starts again by itself. */
gboolean        fil_live_set_mode        (FilLive             *self,
                                          const FilSourceMode *mode,
                                          GError             **error);
/* Seconds until the pass ends; −1: none is held or needed. */
gint64          fil_live_get_pass_remaining_s (FilLive        *self);
gboolean        fil_live_snapshot        (FilLive             *self,
                                          const char          *path,
                                          GError             **error);
gboolean        fil_live_record          (FilLive                  *self,
                                          const FilRecorderOptions *options,
                                          GError                  **error);
/* TRUE until the clip is closed. */
gboolean        fil_live_is_recording    (FilLive             *self);
/* Of the clip that is being recorded, or of the last one. */
void            fil_live_get_recording   (FilLive             *self,
                                          FilRecorderStatus   *status);
const char     *fil_live_get_recording_path  (FilLive         *self);
/* Ends a clip without waiting: "recording-changed" comes when it is closed,
 * as it does for a clip that reached its limit or was cut short. */
void            fil_live_finish_recording (FilLive            *self);
/* What went wrong with the last recording, NULL: nothing. */
const char     *fil_live_get_recording_error  (FilLive        *self);
/* Ends a clip and waits until it is closed. */
gboolean        fil_live_end_recording   (FilLive             *self,
                                          FilRecorderStatus   *status,
                                          GError             **error);

G_END_DECLS
