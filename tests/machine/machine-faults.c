/* machine-faults.c: the kernel's test camera misbehaves on demand
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <linux/videodev2.h>

#include "fil-plug-watch.h"
#include "machine-test.h"

static void
on_frame (FilSource *source,
          FilFrame  *frame,
          gpointer   user_data)
{
}

/* Without a pass, and with one for another plugging-in, nothing streams. */
static void
test_gate (void)
{
  static const FilSourceSink sink = { .frame = on_frame };
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autofree char *first = fil_source_dup_identity (DEVICE, NULL);
  g_autofree char *second = NULL;
  g_autoptr (FilGatePass) pass = machine_confirm (first);
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_source_name_is_live (DEVICE));
  g_assert_false (fil_source_start (source, NULL, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_clear_error (&error);
  g_clear_object (&source);

  machine_unplug ();
  g_assert_null (fil_source_dup_identity (DEVICE, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_NOT_FOUND);
  g_clear_error (&error);
  machine_plug ();

  second = fil_source_dup_identity (DEVICE, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (first, !=, second);
  source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_assert_false (fil_source_start (source, pass, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
}

static void
test_flagged (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  Seen *seen = machine_start (source, 12);
  guint damaged = 0;

  machine_press (source, "Inject V4L2_BUF_FLAG_ERROR");
  machine_wait_frames (seen);
  for (guint i = 0; i < seen->frames->len; i++)
    damaged += (((FilFrame *) g_ptr_array_index (seen->frames, i))->flags &
                FIL_FRAME_DAMAGED) != 0;
  g_assert_cmpuint (damaged, ==, 1);
  machine_stop (source, seen);
}

/* What came and what was lost add up to the driver's own count. */
static void
test_dropped (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 30.0);
  guint64 gaps, first, last;
  Seen *seen;

  machine_set_number (source, "Percentage of Dropped Buffers", 50);
  seen = machine_start (source, 20);
  machine_wait_frames (seen);
  fil_source_stop (source);
  machine_set_number (source, "Percentage of Dropped Buffers", 0);

  first = ((FilFrame *) g_ptr_array_index (seen->frames, 0))->sequence;
  last = ((FilFrame *) g_ptr_array_index (seen->frames, 19))->sequence;
  gaps = fil_source_get_gaps (source);
  g_test_message ("%" G_GUINT64_FORMAT " to %" G_GUINT64_FORMAT ", %" G_GUINT64_FORMAT " lost",
                  first, last, gaps);
  g_assert_cmpuint (last - first + 1, >, 20);
  g_assert_cmpuint (gaps, >=, last - first + 1 - 20);
  machine_stop (source, seen);
}

static void
test_wrap (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 60.0);
  const guint n = 150;
  guint64 before = 0;
  Seen *seen;

  machine_set_number (source, "Wrap Sequence Number", 1);
  seen = machine_start (source, n);
  machine_wait_frames (seen);
  for (guint i = 0; i < n; i++)
    {
      guint64 number = ((FilFrame *) g_ptr_array_index (seen->frames, i))->sequence;

      g_assert_true (i == 0 || (number > before && number < before + 1000));
      before = number;
    }
  g_test_message ("up to %" G_GUINT64_FORMAT, before);
  g_assert_cmpuint (before, >, G_MAXUINT32);
  machine_stop (source, seen);
  machine_set_number (source, "Wrap Sequence Number", 0);
}

/* The driver says by a flag what its stamps mark. */
static void
test_stamps (void)
{
  static const FilStamp stamps[] = { FIL_STAMP_FRAME_END, FIL_STAMP_FRAME_START };

  for (gint64 i = 0; i < 2; i++)
    {
      g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
      gint64 before_ns = g_get_monotonic_time () * 1000;
      const FilFrame *frame;
      Seen *seen;

      machine_set_number (source, "Timestamp Source", i);
      seen = machine_start (source, 2);
      machine_wait_frames (seen);
      frame = g_ptr_array_index (seen->frames, 1);
      g_assert_cmpint (frame->stamp, ==, stamps[i]);
      g_assert_cmpint (frame->clock, ==, FIL_CLOCK_MONOTONIC);
      g_assert_cmpint (frame->time_ns, >, before_ns - 1000000000);
      /* This driver stamps the end of a frame ahead of time. */
      g_assert_cmpint (frame->time_ns, <, g_get_monotonic_time () * 1000 + 1000000000);
      machine_stop (source, seen);
      machine_set_number (source, "Timestamp Source", 0);
    }
}

/* Errors at the start: told, nothing left behind; then it starts. */
static void
test_start_errors (void)
{
  static const char *const buttons[] = {
    "Inject VIDIOC_REQBUFS Error", "Inject VIDIOC_QBUF Error", "Inject VIDIOC_STREAMON Error",
  };
  static const FilSourceSink sink = { .frame = on_frame };

  for (gsize i = 0; i < G_N_ELEMENTS (buttons); i++)
    {
      g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
      g_autofree char *identity = fil_source_dup_identity (DEVICE, NULL);
      g_autoptr (FilGatePass) pass = machine_confirm (identity);
      g_autoptr (GError) error = NULL;
      Seen *seen;

      machine_press (source, buttons[i]);
      g_assert_false (fil_source_start (source, pass, &sink, NULL, &error));
      g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_PROTOCOL);
      g_test_message ("%s: %s", buttons[i], error->message);

      seen = machine_start (source, 2);
      machine_wait_frames (seen);
      machine_stop (source, seen);
    }
}

/* The driver gives up: the stream has stalled, and starts anew. */
static void
test_fatal (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  Seen *seen = machine_start (source, 2);

  machine_wait_frames (seen);
  machine_press (source, "Inject Fatal Streaming Error");
  machine_wait_state (seen, FIL_SOURCE_STALLED);
  g_assert_error (seen->error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_STALLED);
  machine_stop (source, seen);

  seen = machine_start (source, 2);
  machine_wait_frames (seen);
  machine_stop (source, seen);
}

static void
test_busy (void)
{
  static const FilSourceSink sink = { .frame = on_frame };
  g_autoptr (FilSource) first = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autoptr (FilSource) second = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autofree char *identity = fil_source_dup_identity (DEVICE, NULL);
  g_autoptr (FilGatePass) pass = machine_confirm (identity);
  FilSourceMode other = { .fourcc = V4L2_PIX_FMT_Y16 };
  g_autoptr (GError) error = NULL;
  Seen *seen = machine_start (first, 2);

  g_assert_false (fil_source_start (second, pass, &sink, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY);
  g_clear_error (&error);
  g_assert_false (fil_source_set_mode (second, &other, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_BUSY);

  machine_wait_frames (seen);
  machine_stop (first, seen);
  seen = machine_start (second, 2);
  machine_wait_frames (seen);
  machine_stop (second, seen);
}

static void
assert_gone (Seen *seen)
{
  machine_wait_state (seen, FIL_SOURCE_LOST);
  g_assert_error (seen->error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_UNPLUGGED);
}

/* The node is there, but answers no more. This driver answers again when the
 * last one has closed it. */
static void
test_disconnect (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autoptr (GError) error = NULL;
  Seen *seen = machine_start (source, 2);

  machine_wait_frames (seen);
  machine_press (source, "Disconnect");
  assert_gone (seen);
  g_assert_null (fil_source_open (DEVICE, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_UNPLUGGED);
  machine_stop (source, seen);
  g_clear_object (&source);

  source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  seen = machine_start (source, 2);
  machine_wait_frames (seen);
  machine_stop (source, seen);
}

typedef struct
{
  char *added, *removed, *identity;
} Plugged;

static void
added_cb (FilPlugWatch *watch,
          const char   *path,
          Plugged      *plugged)
{
  g_free (plugged->added);
  plugged->added = g_strdup (path);
}

static void
removed_cb (FilPlugWatch *watch,
            const char   *path,
            const char   *identity,
            Plugged      *plugged)
{
  g_free (plugged->removed);
  plugged->removed = g_strdup (path);
  plugged->identity = g_strdup (identity);
}

/* Pulled out while it streams, with frames still held, and plugged in again. */
static void
test_unplug (void)
{
  g_autoptr (FilSource) source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  g_autofree char *identity = fil_source_dup_identity (DEVICE, NULL);
  g_autoptr (FilPlugWatch) watch = fil_plug_watch_new ();
  Plugged plugged = { 0 };
  Seen *seen = machine_start (source, 3);

  g_signal_connect (watch, "added", G_CALLBACK (added_cb), &plugged);
  g_signal_connect (watch, "removed", G_CALLBACK (removed_cb), &plugged);
  machine_wait_frames (seen);
  machine_unplug ();
  assert_gone (seen);
  while (plugged.removed == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpstr (plugged.removed, ==, DEVICE);
  g_assert_cmpstr (plugged.identity, ==, identity);
  g_assert_null (plugged.added);
  machine_stop (source, seen);
  g_clear_object (&source);

  machine_plug ();
  while (plugged.added == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpstr (plugged.added, ==, DEVICE);

  source = machine_open (V4L2_PIX_FMT_GREY, 15.0);
  seen = machine_start (source, 2);
  machine_wait_frames (seen);
  machine_stop (source, seen);
  g_free (plugged.added);
  g_free (plugged.removed);
  g_free (plugged.identity);
}

static void
test_listed (void)
{
  g_autoptr (GPtrArray) listings = fil_source_list ();
  const FilSourceListing *camera = NULL;

  for (guint i = 0; i < listings->len; i++)
    {
      const FilSourceListing *listing = g_ptr_array_index (listings, i);

      if (g_str_equal (listing->path, DEVICE))
        camera = listing;
    }
  g_assert_nonnull (camera);
  g_test_message ("%s, %s, %s", camera->name, camera->driver, camera->bus);
  g_assert_cmpstr (camera->driver, ==, "vivid");
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/faults/listed", test_listed);
  g_test_add_func ("/faults/gate", test_gate);
  g_test_add_func ("/faults/flagged", test_flagged);
  g_test_add_func ("/faults/dropped", test_dropped);
  g_test_add_func ("/faults/wrap", test_wrap);
  g_test_add_func ("/faults/stamps", test_stamps);
  g_test_add_func ("/faults/start-errors", test_start_errors);
  g_test_add_func ("/faults/fatal", test_fatal);
  g_test_add_func ("/faults/busy", test_busy);
  g_test_add_func ("/faults/disconnect", test_disconnect);
  g_test_add_func ("/faults/unplug", test_unplug);

  return g_test_run ();
}
