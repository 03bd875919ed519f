/* fil-live-measure.c: the measuring thread, newest frame first
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <string.h>

#include "fil-live-private.h"

/* Frames come faster than this only from files and the simulated Sun; the
 * graph keeps two minutes. */
#define DOT_INTERVAL_NS   (15 * G_GINT64_CONSTANT (1000000))
#define DOTS_SPAN_NS      (120 * G_GINT64_CONSTANT (1000000000))

/* While a clip is recorded its own frames are measured too; the eye and the
 * alarm are served by this many a second. */
#define RECORDING_INTERVAL_US (G_USEC_PER_SEC / 20)

#define GRADIENT_INTERVAL_US  (G_USEC_PER_SEC / 5)
#define DEPTH_INTERVAL_US     (G_USEC_PER_SEC / 2)
#define DEPTH_ROWS            32

#define N_RATE_MARKS 32

/* When so many frames had come. */
typedef struct
{
  gint64  time_us;
  guint64 n_frames;
} RateMark;

/* All of it belongs to the measuring thread. */
typedef struct
{
  FilLive           *live;
  FilFigureMeter    *figures;
  FilSharpnessMeter *sharpness;
  FilTrace          *trace;
  FilAlarm          *alarm;
  FilLiveLimb       *limb;
  FilLiveFollower   *follower;     /* of the guided run */
  FilDepthProbe     *probe;
  const FilPixelFormat *probed;    /* the format that @probe was made for */
  gint64             last_gradients_us, last_probe_us;
  gint64             last_dot_ns;
  FilRect            last_patch;
  double             last_cutoff;
  guint              last_mark_serial;
  int                probe_row;
  FilFigures         gradients;    /* the last that were measured */
  RateMark           marks[N_RATE_MARKS];
  guint              n_marks;
} Measurer;

/* What the main thread wishes at the moment. */
typedef struct
{
  FilRect  patch;
  guint    mark_serial;
  guint    settings_serial;
  double   cutoff_cycles_per_px;
  double   black_level;
  FilLiveLimbWish limb;
  gboolean recording;
} Wishes;

static Wishes
get_wishes (FilLive *live)
{
  Wishes wishes;

  pthread_mutex_lock (&live->lock);
  wishes = (Wishes) { live->patch, live->mark_serial, live->settings_serial, live->cutoff_cycles_per_px,
                     live->black_level, live->limb_wish, live->recorder != NULL };
  pthread_mutex_unlock (&live->lock);

  return wishes;
}

/* Frames a second over about the last second; NaN until two marks lie apart. */
static double
measure_rate (Measurer *m,
              gint64    now_us,
              guint64   n_frames)
{
  RateMark *oldest, *newest;

  newest = m->n_marks > 0 ? &m->marks[m->n_marks - 1] : NULL;
  if (newest == NULL || now_us - newest->time_us > G_USEC_PER_SEC / (N_RATE_MARKS - 2))
    {
      if (m->n_marks == N_RATE_MARKS)
        memmove (&m->marks[0], &m->marks[1], sizeof (RateMark) * --m->n_marks);
      m->marks[m->n_marks++] = (RateMark) { now_us, n_frames };
    }

  oldest = &m->marks[0];
  if (now_us - oldest->time_us < G_USEC_PER_SEC / 10)
    return NAN;

  return (double) (n_frames - oldest->n_frames) * G_USEC_PER_SEC /
         (double) (now_us - oldest->time_us);
}

/* A few rows of a frame now and then: enough to see its idle low bits and its
 * ceiling within seconds. */
static void
learn_depth (Measurer       *m,
             const FilFrame *frame)
{
  int rows = MIN (DEPTH_ROWS, frame->height);
  g_autofree uint16_t *pixels = NULL;
  FilRect strip;
  FilDepth depth;

  if (m->probe == NULL || m->probed != frame->format)
    {
      g_clear_pointer (&m->probe, fil_depth_probe_free);
      m->probe = fil_depth_probe_new (frame->format);
      m->probed = frame->format;
    }

  m->probe_row = (m->probe_row + 5 * rows) % (frame->height - rows + 1);
  strip = (FilRect) { 0, m->probe_row, frame->width, rows };
  pixels = g_new (uint16_t, (gsize) frame->width * (gsize) rows);
  if (!fil_frame_unpack (frame, &strip, pixels, NULL))
    return;

  fil_depth_probe_add (m->probe, pixels, (gsize) frame->width * (gsize) rows);
  depth = fil_depth_probe_get (m->probe);
  fil_figure_meter_set_full (m->figures, depth.full);
  pthread_mutex_lock (&m->live->lock);
  m->live->depth = depth;
  pthread_mutex_unlock (&m->live->lock);
}

static void
measure_figures (Measurer       *m,
                 const FilFrame *frame,
                 gboolean        recording,
                 gint64          now_us,
                 FilFigures     *figures)
{
  FilFiguresSet set = FIL_FIGURES_BASIC | FIL_FIGURES_HISTOGRAM;
  gboolean dear = !recording && now_us - m->last_gradients_us >= GRADIENT_INTERVAL_US;

  if (dear)
    set |= FIL_FIGURES_GRADIENTS;
  if (!fil_figure_meter_measure (m->figures, frame, NULL, set, figures, NULL))
    *figures = (FilFigures) { NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN };

  if (dear)
    {
      m->gradients = *figures;
      m->last_gradients_us = now_us;
    }
  figures->brenner = m->gradients.brenner;
  figures->tenengrad = m->gradients.tenengrad;
  figures->laplacian_variance = m->gradients.laplacian_variance;
}

static gboolean
rects_equal (const FilRect *a,
             const FilRect *b)
{
  return a->x == b->x && a->y == b->y && a->width == b->width && a->height == b->height;
}

static void
measure_sharpness (Measurer       *m,
                   const FilFrame *frame,
                   const Wishes   *wishes,
                   FilSharpness   *sharpness)
{
  FilRect patch = wishes->patch;

  *sharpness = (FilSharpness) { NAN, NAN, NAN, NAN };
  if (!fil_rect_is_inside (&patch, frame->width, frame->height) &&
      !fil_sharpness_default_patch (frame->width, frame->height, &patch))
    return;

  /* Sharpness of another place or by another cut-off is another curve. */
  if (!rects_equal (&patch, &m->last_patch) ||
      wishes->cutoff_cycles_per_px != m->last_cutoff ||
      wishes->mark_serial != m->last_mark_serial)
    fil_trace_new_segment (m->trace);
  m->last_patch = patch;
  m->last_cutoff = wishes->cutoff_cycles_per_px;
  m->last_mark_serial = wishes->mark_serial;

  fil_sharpness_meter_set (m->sharpness, wishes->cutoff_cycles_per_px, wishes->black_level);
  if (!fil_sharpness_meter_measure (m->sharpness, frame, &patch, sharpness, NULL))
    *sharpness = (FilSharpness) { NAN, NAN, NAN, NAN };
}

static void
fold_histogram (Measurer *m,
                double    full_count,
                guint32  *folded)
{
  const guint32 *bins;
  guint n_bins = 0;

  memset (folded, 0, sizeof (guint32) * 256);
  bins = fil_figure_meter_get_histogram (m->figures, &n_bins);
  for (guint i = 0; bins != NULL && i < n_bins; i++)
    folded[MIN (255, (guint) (i * 256.0 / (full_count + 1.0)))] += bins[i];
}

static void
add_dot (FilLive          *live,
         const FilLiveDot *dot)
{
  guint place = (live->first_dot + live->n_dots) % FIL_LIVE_N_DOTS;

  live->dots[place] = *dot;
  if (live->n_dots < FIL_LIVE_N_DOTS)
    live->n_dots++;
  else
    live->first_dot = (live->first_dot + 1) % FIL_LIVE_N_DOTS;

  while (live->n_dots > 1 &&
         (live->dots[live->first_dot].time_ns < dot->time_ns - DOTS_SPAN_NS ||
          live->dots[live->first_dot].time_ns > dot->time_ns))
    {
      live->first_dot = (live->first_dot + 1) % FIL_LIVE_N_DOTS;
      live->n_dots--;
    }
}

/* Only sunlight can hurt: the simulated Sun and a replay raise no alarm. */
static void
watch (Measurer       *m,
       const FilFrame *frame,
       const Wishes   *wishes,
       FilLiveReading *reading)
{
  FilAlarmSample sample = {
    .time_ns = g_get_monotonic_time () * 1000,
    .mean = reading->figures.mean - wishes->black_level,
    .sd = reading->figures.sd,
    .full_fraction = reading->figures.full_fraction,
    .full_count = reading->full_count - wishes->black_level,
    .exposure_ms = frame->exposure_ms,
    .gain = frame->gain,
    .settings_serial = wishes->settings_serial,
  };
  FilAlarmCause cause;

  if (!m->live->info.live || !isfinite (sample.mean) || !isfinite (sample.full_fraction))
    return;

  cause = fil_alarm_watch (m->alarm, &sample);
  reading->alarm_ready = fil_alarm_is_ready (m->alarm);
  if (cause == FIL_ALARM_QUIET)
    return;

  pthread_mutex_lock (&m->live->lock);
  m->live->alarm = cause;
  pthread_mutex_unlock (&m->live->lock);
  fil_live_post (m->live, FIL_POST_ALARM);
}

static void
follow (Measurer       *m,
        const FilFrame *frame,
        FilLiveReading *reading)
{
  FilTracePoint point = {
    .time_ns = frame->time_ns,
    .sharpness = reading->sharpness.percent,
    .mean = reading->figures.mean,
    .exposure_ms = frame->exposure_ms,
    .gain = frame->gain,
  };

  if (isfinite (point.sharpness) && isfinite (point.mean))
    fil_trace_add (m->trace, &point);
  fil_trace_get (m->trace, &reading->trace);
}

/* A recording leaves no time for it. */
static void
look_for_limb (Measurer       *m,
               const FilFrame *frame,
               const Wishes   *wishes,
               FilLiveReading *reading)
{
  FilLiveLimbWish none = { 0.0, FALSE };

  fil_live_limb_look (m->limb, frame, wishes->recording ? &none : &wishes->limb,
                      wishes->black_level, &reading->limb);
}

static void
publish (Measurer             *m,
         const FilFrame       *frame,
         const FilLiveReading *reading)
{
  FilLive *live = m->live;
  FilLiveDot dot = { frame->time_ns, reading->sharpness.percent, reading->trace.crest,
                     reading->trace.mark, reading->trace.segment };
  gboolean dotted = ABS (dot.time_ns - m->last_dot_ns) >= DOT_INTERVAL_NS;

  pthread_mutex_lock (&live->lock);
  live->reading = *reading;
  if (dotted)
    add_dot (live, &dot);
  pthread_mutex_unlock (&live->lock);

  if (dotted)
    m->last_dot_ns = dot.time_ns;
  fil_live_post (live, FIL_POST_READING);
}

static void
measure (Measurer       *m,
         const FilFrame *frame,
         guint64         n_frames)
{
  gint64 now_us = g_get_monotonic_time ();
  Wishes wishes = get_wishes (m->live);
  FilLiveReading reading = { .n_frames = n_frames, .exposure_ms = frame->exposure_ms,
                             .gain = frame->gain };

  if (m->last_probe_us == 0 || now_us - m->last_probe_us >= DEPTH_INTERVAL_US)
    {
      m->last_probe_us = now_us;
      learn_depth (m, frame);
    }

  reading.full_count = fil_depth_probe_get (m->probe).full;
  reading.fps = measure_rate (m, now_us, n_frames);
  measure_figures (m, frame, wishes.recording, now_us, &reading.figures);
  fold_histogram (m, reading.full_count, reading.histogram);
  watch (m, frame, &wishes, &reading);
  measure_sharpness (m, frame, &wishes, &reading.sharpness);
  look_for_limb (m, frame, &wishes, &reading);
  follow (m, frame, &reading);
  fil_live_follower_take (m->follower, frame);
  publish (m, frame, &reading);

  if (wishes.recording)
    g_usleep (RECORDING_INTERVAL_US);
}

static gpointer
run (gpointer user_data)
{
  Measurer m = {
    .live = user_data,
    .figures = fil_figure_meter_new (),
    .sharpness = fil_sharpness_meter_new (),
    .trace = fil_trace_new (),
    .alarm = fil_alarm_new (),
    .limb = fil_live_limb_new (),
    .follower = fil_live_follower_new (user_data),
    .gradients = { .brenner = NAN, .tenengrad = NAN, .laplacian_variance = NAN },
    .last_dot_ns = G_MININT64 / 2,
  };
  guint64 seen = 0;
  FilFrame *frame;

  while ((frame = fil_mailbox_wait (&m.live->mailbox, &seen)) != NULL)
    {
      measure (&m, frame, seen);
      fil_frame_unref (frame);
    }

  g_clear_pointer (&m.probe, fil_depth_probe_free);
  fil_live_limb_free (m.limb);
  fil_alarm_free (m.alarm);
  fil_live_follower_free (m.follower);
  fil_trace_free (m.trace);
  fil_sharpness_meter_free (m.sharpness);
  fil_figure_meter_free (m.figures);

  return NULL;
}

/* Measures whatever comes into the mailbox until it is closed. */
void
fil_live_measure_start (FilLive *self)
{
  self->measurer = g_thread_new ("measure", run, self);
}

void
fil_live_measure_stop (FilLive *self)
{
  fil_mailbox_close (&self->mailbox);
  g_clear_pointer (&self->measurer, g_thread_join);
}
