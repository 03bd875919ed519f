/* test-v4l2-stream.c: frames of a camera, and all that can go wrong with them
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <errno.h>
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

#include "fake-driver.h"
#include "fil-gate.h"
#include "fil-source.h"
#include "v4l2/fil-v4l2-stamp.h"

#define STRIDE (FAKE_WIDTH + 6)          /* as the made-up driver lays out GREY */
#define IMAGE  (STRIDE * FAKE_HEIGHT)
#define MONOTONIC (V4L2_BUF_FLAG_TIMESTAMP_MONOTONIC | V4L2_BUF_FLAG_TSTAMP_SRC_EOF)

typedef struct
{
  pthread_mutex_t lock;
  pthread_cond_t  changed;
  GPtrArray      *frames;     /* of FilFrame, held */
  gboolean        let_go;     /* hold none */
  guint           n_frames;
  GArray         *states;     /* of FilSourceState */
  GError         *error;      /* the last one */
  guint32         control;    /* the last one that changed */
} Seen;

static Seen seen = { .lock = PTHREAD_MUTEX_INITIALIZER, .changed = PTHREAD_COND_INITIALIZER };

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
  pthread_mutex_lock (&seen.lock);
  seen.n_frames++;
  if (!seen.let_go)
    g_ptr_array_add (seen.frames, fil_frame_ref (frame));
  pthread_cond_signal (&seen.changed);
  pthread_mutex_unlock (&seen.lock);
}

static void
on_state (FilSource      *source,
          FilSourceState  state,
          const GError   *error,
          gpointer        user_data)
{
  pthread_mutex_lock (&seen.lock);
  g_array_append_val (seen.states, state);
  if (error != NULL)
    {
      g_clear_error (&seen.error);
      seen.error = g_error_copy (error);
    }
  pthread_cond_signal (&seen.changed);
  pthread_mutex_unlock (&seen.lock);
}

static void
on_control (FilSource *source,
            guint32    id,
            gpointer   user_data)
{
  FilSourceInfo info;

  /* A callback may ask the source things. */
  fil_source_get_info (source, &info);
  pthread_mutex_lock (&seen.lock);
  seen.control = id;
  pthread_cond_signal (&seen.changed);
  pthread_mutex_unlock (&seen.lock);
}

static const FilSourceSink sink = {
  .frame = on_frame, .state = on_state, .control = on_control,
};

static void
begin (void)
{
  fake_reset ();
  seen.frames = g_ptr_array_new_with_free_func ((GDestroyNotify) fil_frame_unref);
  seen.states = g_array_new (FALSE, FALSE, sizeof (FilSourceState));
  seen.n_frames = 0;
  seen.let_go = FALSE;
  seen.control = 0;
}

static void
end (FilSource *source)
{
  fil_source_stop (source);
  g_object_unref (source);
  g_ptr_array_unref (seen.frames);
  g_array_unref (seen.states);
  g_clear_error (&seen.error);
  g_assert_cmpuint (fake_n_mapped (), ==, 0);
}

/* Waits, for at most ten seconds, until @done says so; with the lock held. */
static void
wait_for (gboolean (*done) (guint wanted),
          guint      wanted)
{
  struct timespec limit;

  clock_gettime (CLOCK_REALTIME, &limit);
  limit.tv_sec += 10;
  pthread_mutex_lock (&seen.lock);
  while (!done (wanted))
    g_assert_cmpint (pthread_cond_timedwait (&seen.changed, &seen.lock, &limit), ==, 0);
  pthread_mutex_unlock (&seen.lock);
}

static gboolean
have_frames (guint wanted)
{
  return seen.n_frames >= wanted;
}

static gboolean
have_state (guint wanted)
{
  return seen.states->len > 0 &&
         g_array_index (seen.states, FilSourceState, seen.states->len - 1) == wanted;
}

static gboolean
have_control (guint wanted)
{
  return seen.control == wanted;
}

static void
wait_queued (guint wanted)
{
  for (int i = 0; fake_n_queued () != wanted; i++)
    {
      g_assert_cmpint (i, <, 1000);
      g_usleep (10000);
    }
}

/* The demo rig's wedge, confirmed for @identity. */
static FilGatePass *
confirm (const char *identity)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGate) gate = fil_gate_new (rig, identity, &error);
  FilGatePass *pass;

  g_assert_no_error (error);
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    fil_gate_tick (gate, i, TRUE);
  pass = fil_gate_confirm (gate, fil_gate_list_filters (gate)[0], &error);
  g_assert_no_error (error);

  return pass;
}

static FilSource *
open_grey (void)
{
  g_autoptr (GError) error = NULL;
  FilSourceMode grey = { .fourcc = V4L2_PIX_FMT_GREY };
  FilSource *source = fake_open (&error);

  g_assert_no_error (error);
  fil_source_set_mode (source, &grey, NULL, &error);
  g_assert_no_error (error);

  return source;
}

static FilSource *
start_grey (void)
{
  g_autoptr (FilGatePass) pass = confirm ("fake:1");
  g_autoptr (GError) error = NULL;
  FilSource *source = open_grey ();

  fil_source_start (source, pass, &sink, NULL, &error);
  g_assert_no_error (error);

  return source;
}

static const FilFrame *
frame_at (guint index)
{
  return g_ptr_array_index (seen.frames, index);
}

static void
test_gate (void)
{
  g_autoptr (FilGatePass) other = confirm ("fake:2");
  g_autoptr (GError) error = NULL;
  FilSource *source;

  begin ();
  source = open_grey ();
  g_assert_false (fil_source_start (source, NULL, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_assert_true (g_str_has_prefix (error->message, "the gate is closed: "));
  g_clear_error (&error);

  g_assert_false (fil_source_start (source, other, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_assert_cmpuint (fake.n_stream_on, ==, 0);
  end (source);
}

/* The confirmation is taken back while the camera streams. */
static void
test_gate_closes (void)
{
  g_autoptr (FilGatePass) other = confirm ("fake:2");
  g_autoptr (GError) error = NULL;
  FilSource *source;

  begin ();
  source = start_grey ();
  g_assert_false (fil_source_renew_pass (source, other, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  fil_gate_forget ("fake:1");
  wait_for (have_state, FIL_SOURCE_LOST);
  g_assert_error (seen.error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_assert_cmpuint (fake.n_stream_off, ==, 1);
  end (source);
}

static void
assert_filled (const FilFrame *frame,
               guint8          fill)
{
  g_assert_true (fil_frame_check (frame, NULL));
  for (int y = 0; y < frame->height; y++)
    for (int x = 0; x < frame->width; x++)
      g_assert_cmpuint (frame->data[(gsize) y * frame->stride + (gsize) x], ==, fill);
}

static void
test_frames (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  g_assert_cmpuint (fake_n_queued (), ==, FAKE_MAX_BUFFERS);
  g_assert_true (fake_push (7, 11, IMAGE, MONOTONIC, 1000000));
  g_assert_true (fake_push (8, 22, IMAGE, MONOTONIC | V4L2_BUF_FLAG_ERROR, 1040000));
  g_assert_true (fake_push (11, 33, IMAGE, MONOTONIC, 1160000));
  wait_for (have_frames, 3);

  for (guint i = 0; i < 3; i++)
    {
      g_assert_cmpstr (frame_at (i)->format->name, ==, "GREY");
      g_assert_cmpint (frame_at (i)->width, ==, FAKE_WIDTH);
      g_assert_cmpint (frame_at (i)->height, ==, FAKE_HEIGHT);
      g_assert_cmpuint (frame_at (i)->stride, ==, STRIDE);
      g_assert_false (frame_at (i)->bottom_up);
      g_assert_cmpint (frame_at (i)->clock, ==, FIL_CLOCK_MONOTONIC);
      g_assert_cmpint (frame_at (i)->stamp, ==, FIL_STAMP_FRAME_END);
      g_assert_true (isnan (frame_at (i)->exposure_ms));
      assert_filled (frame_at (i), (guint8) (11 * (i + 1)));
    }
  g_assert_cmpint (frame_at (0)->flags, ==, FIL_FRAME_OK);
  g_assert_cmpint (frame_at (1)->flags, ==, FIL_FRAME_DAMAGED);
  g_assert_cmpuint (frame_at (2)->sequence, ==, 11);
  g_assert_cmpint (frame_at (2)->time_ns, ==, 1160000000);
  g_assert_cmpuint (fil_source_get_gaps (source), ==, 2);

  fil_source_stop (source);
  g_assert_cmpuint (fil_source_get_gaps (source), ==, 2);
  end (source);
}

/* What the driver didn't fill is black, not what an earlier frame left there;
 * what it claims beyond its buffer isn't believed. */
static void
test_short_frames (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  g_assert_true (fake_push (0, 9, 3 * STRIDE, MONOTONIC, 0));
  g_assert_true (fake_push (1, 9, 0, MONOTONIC, 0));
  g_assert_true (fake_push (2, 9, G_MAXUINT32, MONOTONIC, 0));
  /* The padding behind the last row may be missing. */
  g_assert_true (fake_push (3, 9, IMAGE - 6, MONOTONIC, 0));
  wait_for (have_frames, 4);

  g_assert_cmpint (frame_at (0)->flags, ==, FIL_FRAME_DAMAGED);
  g_assert_true (fil_frame_check (frame_at (0), NULL));
  g_assert_cmpuint (frame_at (0)->data[3 * STRIDE - 1], ==, 9);
  g_assert_cmpuint (frame_at (0)->data[3 * STRIDE], ==, 0);
  g_assert_cmpint (frame_at (1)->flags, ==, FIL_FRAME_DAMAGED);
  assert_filled (frame_at (1), 0);
  g_assert_cmpint (frame_at (2)->flags, ==, FIL_FRAME_DAMAGED);
  assert_filled (frame_at (2), 9);
  g_assert_cmpint (frame_at (3)->flags, ==, FIL_FRAME_OK);
  end (source);
}

static void
test_compressed (void)
{
  FilSourceMode jpeg = { .fourcc = V4L2_PIX_FMT_MJPEG };
  g_autoptr (FilGatePass) pass = confirm ("fake:1");
  FilSource *source;

  begin ();
  source = open_grey ();
  g_assert_true (fil_source_set_mode (source, &jpeg, NULL, NULL));
  g_assert_true (fil_source_start (source, pass, &sink, NULL, NULL));
  g_assert_true (fake_push (0, 1, 100, MONOTONIC, 0));
  g_assert_true (fake_push (1, 2, 0, MONOTONIC, 0));   /* nothing in it: a gap */
  g_assert_true (fake_push (2, 3, 4096, MONOTONIC, 0));
  wait_for (have_frames, 2);
  g_assert_cmpuint (frame_at (0)->size, ==, 100);
  g_assert_cmpuint (frame_at (1)->size, ==, 4096);
  g_assert_cmpuint (frame_at (1)->sequence, ==, 2);
  g_assert_cmpuint (fil_source_get_gaps (source), ==, 1);
  end (source);
}

/* Half of the buffers are lent; then frames are copies, and the driver keeps
 * the other half. Whoever lets go gives a buffer back. */
static void
test_lending (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  for (guint i = 0; i < FAKE_MAX_BUFFERS; i++)
    {
      g_assert_true (fake_push (i, (guint8) i, IMAGE, MONOTONIC, 0));
      wait_for (have_frames, i + 1);
    }
  wait_queued (FAKE_MAX_BUFFERS / 2);
  for (guint i = 0; i < FAKE_MAX_BUFFERS; i++)
    assert_filled (frame_at (i), (guint8) i);

  g_ptr_array_set_size (seen.frames, 0);
  wait_queued (FAKE_MAX_BUFFERS);
  end (source);
}

/* Frames outlive the stream, the source and the camera. */
static void
test_held (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  g_assert_true (fake_push (0, 77, IMAGE, MONOTONIC, 0));
  wait_for (have_frames, 1);
  fil_source_stop (source);
  g_object_unref (source);
  g_assert_cmpuint (fake_n_mapped (), ==, FAKE_MAX_BUFFERS);
  assert_filled (frame_at (0), 77);
  g_ptr_array_set_size (seen.frames, 0);
  g_assert_cmpuint (fake_n_mapped (), ==, 0);
  g_ptr_array_unref (seen.frames);
  g_array_unref (seen.states);
}

static void
test_again (void)
{
  g_autoptr (FilGatePass) pass = confirm ("fake:1");
  g_autoptr (GError) error = NULL;
  FilSourceMode any = { 0 };
  FilSource *source;

  begin ();
  source = start_grey ();
  g_assert_false (fil_source_start (source, pass, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY);
  g_clear_error (&error);
  g_assert_false (fil_source_set_mode (source, &any, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_MODE);

  fil_source_stop (source);
  fil_source_stop (source);
  g_assert_true (fil_source_start (source, pass, &sink, NULL, NULL));
  g_assert_true (fake_push (0, 5, IMAGE, MONOTONIC, 0));
  wait_for (have_frames, 1);
  g_assert_cmpuint (fake.n_stream_on, ==, 2);
  end (source);
}

static void
test_stall (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  wait_for (have_state, FIL_SOURCE_STALLED);
  g_assert_error (seen.error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_STALLED);
  g_assert_true (fake_push (0, 5, IMAGE, MONOTONIC, 0));
  wait_for (have_state, FIL_SOURCE_STREAMING);
  wait_for (have_frames, 1);
  end (source);
}

static void
test_unplugged (void)
{
  struct v4l2_buffer any = { .index = 0 };
  FilSource *source;

  begin ();
  source = start_grey ();
  fake_fail (VIDIOC_DQBUF, ENODEV);
  fake_fail (VIDIOC_STREAMOFF, ENODEV);
  fake_fail (VIDIOC_REQBUFS, ENODEV);
  fake_push_raw (&any);
  wait_for (have_state, FIL_SOURCE_LOST);
  g_assert_error (seen.error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_UNPLUGGED);
  end (source);
}

/* "EIO … can also indicate temporary problems like signal loss": it goes on. */
static void
test_passing_trouble (void)
{
  FilSource *source;

  begin ();
  source = start_grey ();
  fake_fail (VIDIOC_DQBUF, EIO);
  g_assert_true (fake_push (0, 5, IMAGE, MONOTONIC, 0));
  g_usleep (100000);
  fake_fail (VIDIOC_DQBUF, 0);
  wait_for (have_frames, 1);
  end (source);
}

static void
test_strange_buffers (void)
{
  static const guint32 indices[] = { FAKE_MAX_BUFFERS, G_MAXUINT32, 0 };

  for (gsize i = 0; i < G_N_ELEMENTS (indices); i++)
    {
      struct v4l2_buffer strange = { .index = indices[i], .bytesused = IMAGE };
      FilSource *source;

      begin ();
      source = start_grey ();
      /* The last one twice: the second time it isn't the driver's. */
      if (i == 2)
        fake_push_raw (&strange);
      fake_push_raw (&strange);
      wait_for (have_state, FIL_SOURCE_LOST);
      g_assert_error (seen.error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL);
      end (source);
    }
}

/* A buffer that the driver refused is offered again. */
static void
test_refused_buffer (void)
{
  FilSource *source;

  begin ();
  seen.let_go = TRUE;
  source = start_grey ();
  fake_fail (VIDIOC_QBUF, EINVAL);
  g_assert_true (fake_push (0, 5, IMAGE, MONOTONIC, 0));
  wait_for (have_frames, 1);
  g_assert_cmpuint (fake_n_queued (), ==, FAKE_MAX_BUFFERS - 1);
  fake_fail (VIDIOC_QBUF, 0);
  wait_queued (FAKE_MAX_BUFFERS);
  end (source);
}

static void
test_start_fails (void)
{
  static const struct { unsigned long request; int number; FilSourceError code; } cases[] = {
    { VIDIOC_REQBUFS, EBUSY, FIL_SOURCE_ERROR_BUSY },
    { VIDIOC_REQBUFS, EINVAL, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_QUERYBUF, EINVAL, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_QBUF, EINVAL, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_STREAMON, ENOSPC, FIL_SOURCE_ERROR_BUSY },
    { VIDIOC_STREAMON, EIO, FIL_SOURCE_ERROR_PROTOCOL },
    { VIDIOC_STREAMON, ENODEV, FIL_SOURCE_ERROR_UNPLUGGED },
  };
  g_autoptr (FilGatePass) pass = confirm ("fake:1");

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      FilSource *source;

      begin ();
      source = open_grey ();
      fake_fail (cases[i].request, cases[i].number);
      g_assert_false (fil_source_start (source, pass, &sink, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, (int) cases[i].code);
      g_assert_cmpuint (fake_n_mapped (), ==, 0);

      /* Nothing is left behind: when the cause is gone, it starts. */
      fake_fail (cases[i].request, 0);
      g_assert_true (fil_source_start (source, pass, &sink, NULL, NULL));
      end (source);
    }
}

static void
test_few_buffers (void)
{
  g_autoptr (FilGatePass) pass = confirm ("fake:1");
  g_autoptr (GError) error = NULL;
  FilSource *source;

  begin ();
  fake.buffers_given = 1;
  source = open_grey ();
  g_assert_false (fil_source_start (source, pass, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL);

  fake.buffers_given = 2;
  g_assert_true (fil_source_start (source, pass, &sink, NULL, NULL));
  for (guint i = 0; i < 6; i++)
    {
      g_assert_true (fake_push (i, (guint8) i, IMAGE, MONOTONIC, 0));
      wait_for (have_frames, i + 1);
    }
  for (guint i = 0; i < 6; i++)
    assert_filled (frame_at (i), (guint8) i);
  end (source);
}

/* The exposure is known: the time is that of its start; a change is heard,
 * though this driver tells nothing by itself. */
static void
test_exposure (void)
{
  FilSource *source;

  begin ();
  fake.controls[0].query = (struct v4l2_query_ext_ctrl) {
    .id = V4L2_CID_EXPOSURE_ABSOLUTE, .type = V4L2_CTRL_TYPE_INTEGER, .elems = 1,
    .minimum = 1, .maximum = 1000, .step = 1,
  };
  fake.controls[0].value = 50;
  fake.controls[1].query = (struct v4l2_query_ext_ctrl) {
    .id = V4L2_CID_GAIN, .type = V4L2_CTRL_TYPE_INTEGER, .elems = 1, .maximum = 100, .step = 1,
  };
  fake.controls[1].value = 7;
  fake.n_controls = 2;
  source = start_grey ();
  g_assert_true (fake_push (0, 5, IMAGE, MONOTONIC, 2000000));
  wait_for (have_frames, 1);
  g_assert_cmpfloat (frame_at (0)->exposure_ms, ==, 5.0);
  g_assert_cmpfloat (frame_at (0)->gain, ==, 7.0);
  g_assert_cmpint (frame_at (0)->stamp, ==, FIL_STAMP_EXPOSURE_START);
  g_assert_cmpint (frame_at (0)->time_ns, ==, 1995000000);

  g_assert_true (fil_source_set_exposure_ms (source, 8.0, NULL));
  wait_for (have_control, V4L2_CID_EXPOSURE_ABSOLUTE);
  g_assert_true (fake_push (1, 5, IMAGE, MONOTONIC, 3000000));
  wait_for (have_frames, 2);
  g_assert_cmpint (frame_at (1)->time_ns, ==, 2992000000);
  end (source);
}

static void
test_stamps (void)
{
  static const struct { guint32 flags; double exposure_ms; FilStamp stamp; gint64 time_ns; } cases[] = {
    { MONOTONIC, NAN, FIL_STAMP_FRAME_END, 5000006000 },
    { MONOTONIC, 1.5, FIL_STAMP_EXPOSURE_START, 4998506000 },
    { V4L2_BUF_FLAG_TIMESTAMP_MONOTONIC | V4L2_BUF_FLAG_TSTAMP_SRC_SOE, 1.5,
      FIL_STAMP_FRAME_START, 5000006000 },
    /* Of no clock that we know: the time of arrival stands in. */
    { V4L2_BUF_FLAG_TIMESTAMP_UNKNOWN | V4L2_BUF_FLAG_TSTAMP_SRC_SOE, NAN,
      FIL_STAMP_FRAME_END, 900 },
    { V4L2_BUF_FLAG_TIMESTAMP_COPY, NAN, FIL_STAMP_FRAME_END, 900 },
  };
  struct v4l2_buffer buffer = { .timestamp = { 5, 6 } };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FilFrame frame = { 0 };

      buffer.flags = cases[i].flags;
      fil_v4l2_stamp (&buffer, 900, cases[i].exposure_ms, &frame);
      g_assert_cmpint (frame.stamp, ==, cases[i].stamp);
      g_assert_cmpint (frame.time_ns, ==, cases[i].time_ns);
    }

  for (int i = 0; i < 4; i++)
    {
      FilFrame frame = { 0 };

      buffer.flags = MONOTONIC;
      buffer.timestamp.tv_sec = i == 0 ? -1 : i == 1 ? G_MAXINT64 : 5;
      buffer.timestamp.tv_usec = i == 2 ? 1000000 : i == 3 ? G_MININT64 : 6;
      fil_v4l2_stamp (&buffer, 900, NAN, &frame);
      g_assert_cmpint (frame.time_ns, ==, 900);
    }
}

static void
test_count (void)
{
  static const struct { guint32 number; guint64 sequence, missed; } steps[] = {
    { 0xfffffffd, 0xfffffffd, 0 }, { 0xfffffffe, 0xfffffffe, 0 },
    { 1, G_GUINT64_CONSTANT (0x100000001), 2 },   /* over the wrap, two lost */
    { 1, G_GUINT64_CONSTANT (0x100000002), 0 },   /* it doesn't count */
    { 0, G_GUINT64_CONSTANT (0x100000003), 0 },   /* it began again */
    { 1, G_GUINT64_CONSTANT (0x100000004), 0 },
  };
  FilV4l2Count count = { 0 };

  for (gsize i = 0; i < G_N_ELEMENTS (steps); i++)
    {
      guint64 missed = 99;

      g_assert_cmpuint (fil_v4l2_count_next (&count, steps[i].number, &missed), ==,
                        steps[i].sequence);
      g_assert_cmpuint (missed, ==, steps[i].missed);
    }
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/stream/gate", test_gate);
  g_test_add_func ("/stream/gate-closes", test_gate_closes);
  g_test_add_func ("/stream/frames", test_frames);
  g_test_add_func ("/stream/short-frames", test_short_frames);
  g_test_add_func ("/stream/compressed", test_compressed);
  g_test_add_func ("/stream/lending", test_lending);
  g_test_add_func ("/stream/held", test_held);
  g_test_add_func ("/stream/again", test_again);
  g_test_add_func ("/stream/stall", test_stall);
  g_test_add_func ("/stream/unplugged", test_unplugged);
  g_test_add_func ("/stream/passing-trouble", test_passing_trouble);
  g_test_add_func ("/stream/strange-buffers", test_strange_buffers);
  g_test_add_func ("/stream/refused-buffer", test_refused_buffer);
  g_test_add_func ("/stream/start-fails", test_start_fails);
  g_test_add_func ("/stream/few-buffers", test_few_buffers);
  g_test_add_func ("/stream/exposure", test_exposure);
  g_test_add_func ("/stream/stamps", test_stamps);
  g_test_add_func ("/stream/count", test_count);

  return g_test_run ();
}
