/* fil-live-private.h: what the files of the running instrument share
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <pthread.h>

#include "fil-alarm.h"
#include "fil-live-drift.h"
#include "fil-live.h"
#include "fil-mailbox.h"

G_BEGIN_DECLS

#define FIL_LIVE_NO_RIG_CUTOFF 0.5   /* cycles a pixel: what a sensor can show at all */
#define FIL_LIVE_N_DOTS 8192
#define FIL_LIVE_TICK_MS 200

/* What other threads ask the main thread to look at; bits, so that many
 * requests are one. */
typedef enum
{
  FIL_POST_FRAME     = 1 << 0,
  FIL_POST_READING   = 1 << 1,
  FIL_POST_SOURCE    = 1 << 2,
  FIL_POST_CONTROL   = 1 << 3,
  FIL_POST_ALARM     = 1 << 4,
  FIL_POST_RECORDING = 1 << 5,
  FIL_POST_DRIFT     = 1 << 6,
} FilPost;

/* The limb that is to be looked for; radius 0: none. */
typedef struct
{
  double   radius_px;
  gboolean fit_radius;
} FilLiveLimbWish;

/* Looks for it on the measuring thread. */
typedef struct _FilLiveLimb FilLiveLimb;

/* Seconds that a pass has left. */
typedef gint64 (*FilLiveRemaining) (const FilGatePass *pass);

/* What is known of the sky; main thread only. */
typedef struct
{
  gboolean known;            /* place was set, and still holds */
  FilPlace place;
  gboolean flip_x, flip_y;   /* as they were when it was set */
  char    *target;
} FilLiveSky;

struct _FilLive
{
  GObject          parent_instance;

  /* Main thread only. */
  GMainContext    *context;
  GSource         *poke;             /* ready whenever something is posted */
  GSource         *tick;             /* deadline and progress, while streaming */
  FilSource       *source;
  char            *source_name;
  FilSourceInfo    info;             /* strings belong to source */
  FilSourceMode    mode;             /* as the source will deliver */
  FilRig          *rig;
  FilGatePass     *pass;
  gboolean         noticed;          /* the five minutes were announced */
  gint64           expired_us;       /* when the deadline was found passed, 0: not yet */
  FilLiveRemaining remaining;
  FilLiveState     state;
  char            *message;
  gboolean         streaming;        /* threads are running */
  GThread         *finisher;         /* closes the clip */
  char            *record_path;
  FilRecorderStatus record_status;   /* of the last clip, once it is closed */
  GError          *record_error;     /* of the last clip, NULL: whole */
  FilLiveSky       sky;

  FilMailbox       mailbox;
  GThread         *measurer;

  pthread_mutex_t  lock;             /* guards all that follows */
  pthread_cond_t   offered;          /* the capture thread has left the recorder */
  FilPost          posted;
  FilSourceState   source_state;
  GError          *source_error;
  GArray          *changed_controls; /* of guint32 */
  FilAlarmCause    alarm;
  FilRecorder     *recorder;         /* owned by the main thread, or the finisher */
  gboolean         offering;         /* the capture thread is inside it */
  FilRecorder     *closing;          /* being finished: read its status only */
  gboolean         closed;           /* the finisher is done */
  FilRecorderStatus closed_status;
  GError          *closed_error;
  FilLiveReading   reading;
  FilLiveDot      *dots;             /* a ring of FIL_LIVE_N_DOTS */
  guint            first_dot, n_dots;
  FilRect          patch;            /* width 0: the default one */
  double           cutoff_cycles_per_px;   /* the rig's; 0.5 without one */
  double           black_level;      /* counts */
  FilLiveLimbWish  limb_wish;
  guint            mark_serial;      /* counts up whenever the mark is to be forgotten */
  guint            settings_serial;  /* counts up whenever anything was set */
  FilDepth         depth;            /* bits 0: not known yet */
  guint            drift_serial;     /* counts up whenever a run begins or is ended */
  FilDriftTerms    drift_terms;
  FilLiveDrift     drift;
};

/* fil-live.c */
void     fil_live_post         (FilLive         *self,
                                FilPost          what);
void     fil_live_set_state    (FilLive         *self,
                                FilLiveState     state,
                                const char      *message);
void     fil_live_emit         (FilLive         *self,
                                const char      *signal);
void     fil_live_halt         (FilLive         *self);
gboolean fil_live_check_open   (FilLive         *self,
                                GError         **error);

/* fil-live-pass.c */
void     fil_live_take_rig     (FilLive         *self,
                                FilRig          *rig);
void     fil_live_take_pass    (FilLive         *self,
                                FilGatePass     *pass);
void     fil_live_forget_pass  (FilLive         *self);

/* fil-live-settings.c */
void     fil_live_read_black_level (FilLive     *self);

/* fil-live-sink.c: the capture thread's side */
extern const FilSourceSink fil_live_sink;

/* fil-live-drift.c: of the measuring thread */
typedef struct _FilLiveFollower FilLiveFollower;

FilLiveFollower *fil_live_follower_new (FilLive *live);
void     fil_live_follower_free (FilLiveFollower *follower);
void     fil_live_follower_take (FilLiveFollower *follower,
                                 const FilFrame  *frame);
/* of the main thread */
void     fil_live_drift_halt  (FilLive          *self);

/* fil-live-measure.c: the measuring thread */
void     fil_live_measure_start (FilLive        *self);
void     fil_live_measure_stop  (FilLive        *self);

/* fil-live-limb.c: the measuring thread's too */
FilLiveLimb *fil_live_limb_new  (void);
void         fil_live_limb_free (FilLiveLimb           *self);
void         fil_live_limb_look (FilLiveLimb           *self,
                                 const FilFrame        *frame,
                                 const FilLiveLimbWish *wish,
                                 double                 black_level,
                                 FilLimb               *limb);

/* fil-live-events.c: what the main thread makes of it all */
void     fil_live_dispatch     (FilLive         *self);
void     fil_live_tick         (FilLive         *self);

/* fil-live-record.c */
void     fil_live_record_offer    (FilLive      *self,
                                   const FilFrame *frame);
void     fil_live_record_cut_short (FilLive     *self,
                                   const char   *reason);
void     fil_live_record_collect  (FilLive      *self);
void     fil_live_record_tick     (FilLive      *self);

/* fil-live-sky.c */
void     fil_live_fill_sky     (FilLive         *self,
                                FilPlace        *place,
                                FilClipInfo     *info);
void     fil_live_move_sky     (FilLive         *self,
                                const FilSourceMode *before,
                                const FilSourceMode *now);
void     fil_live_check_sky    (FilLive         *self,
                                const FilRig    *before,
                                const FilRig    *now);
void     fil_live_forget_sky   (FilLive         *self);

/* For tests: a pass never lasts longer than it does by itself. */
void     fil_live_shorten_pass (FilLive         *self,
                                FilLiveRemaining remaining);

G_END_DECLS
