/* fil-sim-run.c: the simulated Sun while it streams
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Paced: a painter renders a few frames ahead, the capture thread hands each
 * on when it is due by the wall clock; a frame for which time lacks is left
 * out and counted. Unpaced: a ring of frames is rendered first and handed out
 * as fast as it is taken; where the picture changes by more than the air
 * does, frames are rendered in batches instead. */

#include <math.h>
#include <pthread.h>
#include <time.h>

#include <glib/gi18n-lib.h>

#include "fil-sim-pool.h"
#include "fil-sim-renderer.h"
#include "fil-sim-ring.h"
#include "fil-sim-run.h"

#define NS_PER_S G_GINT64_CONSTANT (1000000000)
#define AHEAD    4        /* frames that the painter may be ahead */
#define BATCH    8        /* frames rendered at a time where a ring can't serve */

/* Paced, samples of scene that may be blurred each second: beyond that,
 * frames share a blur, so that one processor can follow. */
#define BLURRED_PER_S 27e6

struct _FilSimRun
{
  FilSource      *source;
  FilSimSettings  settings;
  FilSimOptics    optics;
  FilSimView      view;
  FilSourceSink   sink;
  gpointer        user_data;
  pthread_t       capture, painter;
  gboolean        has_painter;

  FilSimStage    *stage;            /* of the rendering thread */
  FilSimDirector *director;         /* the same */
  FilSimPool     *pool;
  int             stopping;         /* atomic; also signalled by wake */

  pthread_mutex_t lock;             /* guards what follows */
  pthread_cond_t  wake;             /* by CLOCK_MONOTONIC */
  FilSimKnobs     knobs;
  FilSimTarget    target;
  guint           knobs_serial;
  FilFrame       *ahead[AHEAD];
  guint           n_ahead;
  gint64          start_ns;         /* when frame 0 is exposed; 0: not yet */
  guint64         next_frame;
  guint64         gaps;
};

static gint64
clock_ns (clockid_t clock)
{
  struct timespec now;

  clock_gettime (clock, &now);

  return (gint64) now.tv_sec * NS_PER_S + now.tv_nsec;
}

static gboolean
is_stopping (FilSimRun *run)
{
  return __atomic_load_n (&run->stopping, __ATOMIC_RELAXED) != 0;
}

static gint64
frame_offset_ns (const FilSimRun *run,
                 guint64          frame)
{
  return (gint64) llround ((double) frame / run->settings.fps * 1e9);
}

static guint
read_knobs (FilSimRun    *run,
            FilSimKnobs  *knobs,
            FilSimTarget *target)
{
  guint serial;

  pthread_mutex_lock (&run->lock);
  *knobs = run->knobs;
  *target = run->target;
  serial = run->knobs_serial;
  pthread_mutex_unlock (&run->lock);

  return serial;
}

static void
make_stage (FilSimRun    *run,
            FilSimTarget  target)
{
  g_clear_pointer (&run->stage, fil_sim_stage_free);
  run->settings.target = target;
  run->stage = fil_sim_stage_new (&run->settings, &run->optics, &run->view);
}

static void
tell_streaming (FilSimRun *run)
{
  if (run->sink.state != NULL)
    run->sink.state (run->source, FIL_SOURCE_STREAMING, NULL, run->user_data);
}

static void
tell_no_memory (FilSimRun *run)
{
  g_autoptr (GError) error =
    g_error_new_literal (FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                         _("There is not enough memory for the simulated Sun's frames: "
                           "choose a smaller size"));

  if (run->sink.state != NULL)
    run->sink.state (run->source, FIL_SOURCE_LOST, error, run->user_data);
}

static void
hand_on (FilSimRun *run,
         FilFrame  *frame)
{
  run->sink.frame (run->source, frame, run->user_data);
}

/* Unpaced */

static void
send_ring (FilSimRun  *run,
           FilSimRing *ring,
           guint64    *sequence,
           guint64     n_frames,
           guint       serial,
           gint64      begin_ns)
{
  FilSimKnobs knobs;
  FilSimTarget target;

  for (guint64 i = 0; i < n_frames && !is_stopping (run); i++, (*sequence)++)
    {
      g_autoptr (FilFrame) frame = NULL;

      /* Whatever was changed shows in frames yet to be rendered. */
      if (read_knobs (run, &knobs, &target) != serial && n_frames == G_MAXUINT64)
        return;
      frame = fil_sim_ring_make_frame (ring, (guint) (i % fil_sim_ring_get_length (ring)));
      frame->sequence = *sequence;
      frame->clock = FIL_CLOCK_UTC;
      frame->time_ns = begin_ns + frame_offset_ns (run, *sequence);
      hand_on (run, frame);
    }
}

static FilSimRing *
render_frames (FilSimRun *run,
               guint64    first,
               guint      n_frames,
               guint     *serial)
{
  g_autofree FilSimMoment *moments = g_new (FilSimMoment, n_frames);
  FilSimKnobs knobs;
  FilSimTarget target;

  *serial = read_knobs (run, &knobs, &target);
  if (target != run->settings.target)
    make_stage (run, target);
  for (guint i = 0; i < n_frames; i++)
    fil_sim_director_next (run->director, first + i, &knobs, &moments[i]);

  return fil_sim_ring_render (run->stage, moments, n_frames, &run->stopping);
}

static void *
run_unpaced (void *data)
{
  FilSimRun *run = data;
  gint64 begin_ns = clock_ns (CLOCK_REALTIME);
  gboolean repeats;
  guint64 sequence = 0, painted = 0;
  guint length, serial;
  FilSimKnobs knobs;
  FilSimTarget target;

  read_knobs (run, &knobs, &target);
  make_stage (run, target);
  length = fil_sim_ring_choose_length (run->stage);
  repeats = length > 0 && !fil_sim_director_is_evolving (run->director, &knobs);
  tell_streaming (run);

  while (!is_stopping (run))
    {
      guint n = repeats ? length : BATCH;
      g_autoptr (FilSimRing) ring = render_frames (run, painted, n, &serial);

      if (ring == NULL)
        {
          tell_no_memory (run);
          return NULL;
        }
      send_ring (run, ring, &sequence, repeats ? G_MAXUINT64 : BATCH, serial, begin_ns);
      painted += n;
      repeats = FALSE;
    }

  return NULL;
}

/* Paced */

/* Which frame to paint next: those whose time went by are left out. Returns
 * %FALSE when it is time to stop. */
static gboolean
choose_frame (FilSimRun *run,
              guint64   *frame)
{
  pthread_mutex_lock (&run->lock);
  while (run->n_ahead == AHEAD && !is_stopping (run))
    pthread_cond_wait (&run->wake, &run->lock);
  if (run->start_ns != 0)
    {
      double elapsed = (double) (clock_ns (CLOCK_MONOTONIC) - run->start_ns) * 1e-9;
      guint64 due = elapsed > 0.0 ? (guint64) (elapsed * run->settings.fps) : 0;

      if (due > run->next_frame)
        {
          run->gaps += due - run->next_frame;
          run->next_frame = due;
        }
    }
  *frame = run->next_frame++;
  pthread_mutex_unlock (&run->lock);

  return !is_stopping (run);
}

static void
put_ahead (FilSimRun *run,
           FilFrame  *frame)
{
  pthread_mutex_lock (&run->lock);
  /* Time begins with the first frame: drawing the Sun loses none. */
  if (run->start_ns == 0)
    run->start_ns = clock_ns (CLOCK_MONOTONIC);
  run->ahead[run->n_ahead++] = frame;
  pthread_cond_broadcast (&run->wake);
  pthread_mutex_unlock (&run->lock);
}

/* Another target takes a moment to draw: the clock stands still meanwhile. */
static void
change_target (FilSimRun       *run,
               FilSimTarget     target,
               FilSimRenderer **renderer)
{
  gint64 began_ns = clock_ns (CLOCK_MONOTONIC);

  g_clear_pointer (renderer, fil_sim_renderer_free);
  make_stage (run, target);
  *renderer = fil_sim_renderer_new (run->stage);

  pthread_mutex_lock (&run->lock);
  if (run->start_ns != 0)
    run->start_ns += clock_ns (CLOCK_MONOTONIC) - began_ns;
  pthread_mutex_unlock (&run->lock);
}

static void *
paint (void *data)
{
  FilSimRun *run = data;
  FilSimRenderer *renderer = NULL;
  FilSimKnobs knobs;
  FilSimTarget target;
  guint64 index;

  while (choose_frame (run, &index))
    {
      guint8 *pixels = fil_sim_pool_take (run->pool);
      FilSimMoment moment;
      FilFrame *frame;

      if (pixels == NULL)
        {
          tell_no_memory (run);
          break;
        }
      read_knobs (run, &knobs, &target);
      if (renderer == NULL || target != run->settings.target)
        change_target (run, target, &renderer);
      fil_sim_director_next (run->director, index, &knobs, &moment);
      frame = fil_sim_pool_wrap (run->pool, pixels);
      fil_sim_renderer_render (renderer, &moment, pixels, &frame->truth);
      fil_sim_frame_describe (frame, &run->view, &moment);
      put_ahead (run, frame);
    }
  fil_sim_renderer_free (renderer);

  return NULL;
}

/* Waits for the next frame and for the end of its exposure. Returns:
 * (nullable): the frame, or %NULL when it is time to stop */
static FilFrame *
take_due (FilSimRun *run)
{
  FilFrame *frame = NULL;

  pthread_mutex_lock (&run->lock);
  while (!is_stopping (run))
    {
      struct timespec due;
      gint64 due_ns;

      if (run->n_ahead == 0)
        {
          pthread_cond_wait (&run->wake, &run->lock);
          continue;
        }
      frame = run->ahead[0];
      frame->clock = FIL_CLOCK_MONOTONIC;
      frame->time_ns = run->start_ns + frame_offset_ns (run, frame->sequence);
      due_ns = frame->time_ns + (gint64) (frame->exposure_ms * 1e6);
      if (due_ns <= clock_ns (CLOCK_MONOTONIC))
        break;
      due = (struct timespec) { due_ns / NS_PER_S, due_ns % NS_PER_S };
      pthread_cond_timedwait (&run->wake, &run->lock, &due);
      frame = NULL;
    }
  if (is_stopping (run))
    frame = NULL;
  if (frame != NULL)
    {
      run->n_ahead--;
      for (guint i = 0; i < run->n_ahead; i++)
        run->ahead[i] = run->ahead[i + 1];
      pthread_cond_broadcast (&run->wake);
    }
  pthread_mutex_unlock (&run->lock);

  return frame;
}

static void *
run_paced (void *data)
{
  FilSimRun *run = data;
  FilFrame *frame;

  tell_streaming (run);
  while ((frame = take_due (run)) != NULL)
    {
      hand_on (run, frame);
      fil_frame_unref (frame);
    }

  return NULL;
}

static guint
choose_frames_per_blur (const FilSimRunOptions *options)
{
  double samples = (double) options->view.width * options->view.height;

  if (!options->settings.paced)
    return 1;

  return (guint) ceil (samples * options->settings.fps / BLURRED_PER_S);
}

static void
free_run (FilSimRun *run)
{
  for (guint i = 0; i < run->n_ahead; i++)
    fil_frame_unref (run->ahead[i]);
  fil_sim_stage_free (run->stage);
  fil_sim_director_free (run->director);
  fil_sim_pool_unref (run->pool);
  pthread_cond_destroy (&run->wake);
  pthread_mutex_destroy (&run->lock);
  g_free (run);
}

static gboolean
start_threads (FilSimRun *run)
{
  if (!run->settings.paced)
    return pthread_create (&run->capture, NULL, run_unpaced, run) == 0;

  if (pthread_create (&run->painter, NULL, paint, run) != 0)
    return FALSE;
  if (pthread_create (&run->capture, NULL, run_paced, run) == 0)
    {
      run->has_painter = TRUE;
      return TRUE;
    }
  __atomic_store_n (&run->stopping, 1, __ATOMIC_RELAXED);
  pthread_join (run->painter, NULL);

  return FALSE;
}

/**
 * fil_sim_run_start:
 * @options: copied
 *
 * Returns at once; frames come when the Sun is drawn.
 *
 * Returns: (transfer full) (nullable): the run, or %NULL with @error set
 */
FilSimRun *
fil_sim_run_start (const FilSimRunOptions *options,
                   GError                **error)
{
  FilSimRun *run = g_new0 (FilSimRun, 1);
  pthread_condattr_t attributes;

  run->source = options->source;
  run->settings = options->settings;
  run->optics = options->optics;
  run->view = options->view;
  run->sink = *options->sink;
  run->user_data = options->user_data;
  run->knobs = options->knobs;
  run->target = options->settings.target;
  run->director = fil_sim_director_new (&run->settings, &run->optics, &run->knobs,
                                        choose_frames_per_blur (options));
  run->pool = fil_sim_pool_new (fil_pixel_format_min_stride (run->view.format, run->view.width) *
                                (gsize) run->view.height);
  pthread_mutex_init (&run->lock, NULL);
  pthread_condattr_init (&attributes);
  pthread_condattr_setclock (&attributes, CLOCK_MONOTONIC);
  pthread_cond_init (&run->wake, &attributes);
  pthread_condattr_destroy (&attributes);

  if (!start_threads (run))
    {
      free_run (run);
      g_set_error_literal (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_DATA,
                           _("A thread for the simulated Sun could not be started"));
      return NULL;
    }

  return run;
}

/* Ends and frees it: no callback comes after. Not from a callback. */
void
fil_sim_run_stop (FilSimRun *run)
{
  if (run == NULL)
    return;

  pthread_mutex_lock (&run->lock);
  __atomic_store_n (&run->stopping, 1, __ATOMIC_RELAXED);
  pthread_cond_broadcast (&run->wake);
  pthread_mutex_unlock (&run->lock);
  pthread_join (run->capture, NULL);
  if (run->has_painter)
    pthread_join (run->painter, NULL);
  free_run (run);
}

/* Frames yet to be rendered follow the new values. Any thread. */
void
fil_sim_run_set_knobs (FilSimRun         *run,
                       const FilSimKnobs *knobs,
                       FilSimTarget       target)
{
  pthread_mutex_lock (&run->lock);
  run->knobs = *knobs;
  run->target = target;
  run->knobs_serial++;
  pthread_mutex_unlock (&run->lock);
}

/* Returns: frames that could not be rendered in time. Any thread. */
guint64
fil_sim_run_get_gaps (FilSimRun *run)
{
  guint64 gaps;

  pthread_mutex_lock (&run->lock);
  gaps = run->gaps;
  pthread_mutex_unlock (&run->lock);

  return gaps;
}
