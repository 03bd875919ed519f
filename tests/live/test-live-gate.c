/* test-live-gate.c: the gate, its deadline and its alarm on a running instrument
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include "fil-gate.h"
#include "live-bench.h"

static void
test_gate_closed (Bench        *bench,
                  gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  bench_open_camera (bench, TRUE, FALSE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_GATE_CLOSED);
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
  g_assert_cmpint (fil_live_get_state (bench->live), ==, FIL_LIVE_GATE_CLOSED);
  g_assert_false (fake_source_is_streaming (bench->camera));
}

/* The alarm has seen the clear disc for long enough. */
static gboolean
is_alarm_ready (Bench *bench)
{
  FilLiveReading reading;

  fil_live_get_reading (bench->live, &reading);

  return reading.alarm_ready;
}

/* All pixels full within one frame: the filter may be gone. */
static void
test_alarm (Bench        *bench,
            gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, is_alarm_ready);
  fake_source_set_level (bench->camera, 4200);
  bench_wait_for (bench, bench_is_alarmed);

  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "Cap the telescope"));
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_null (fil_live_get_pass (bench->live));
  bench_assert_kept (bench, "alarm");
  g_assert_nonnull (strstr (fil_live_get_recording_error (bench->live), "full pixels"));
  g_assert_false (fil_live_start (bench->live, NULL, &error));
  g_assert_error (error, FIL_SOURCE_ERROR, FIL_SOURCE_ERROR_GATE);
}

/* Nobody is blinded by a simulated Sun. */
static void
test_no_alarm_without_light (Bench        *bench,
                             gconstpointer data)
{
  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  bench_wait_for (bench, bench_is_measured);
  fake_source_set_level (bench->camera, 4200);
  bench_turn_for_ms (bench, 800);
  g_assert_false (is_alarm_ready (bench));
  g_assert_true (bench_is_running (bench));
}

/* A longer exposure explains a brighter picture. */
static void
test_no_alarm_after_a_setting (Bench        *bench,
                               gconstpointer data)
{
  bench_start_live_camera (bench);
  bench_wait_for (bench, is_alarm_ready);
  g_assert_true (fil_live_set_exposure_ms (bench->live, 50.0, NULL));
  fake_source_set_level (bench->camera, 4200);
  bench_turn_for_ms (bench, 800);
  g_assert_true (bench_is_running (bench));
}

static gint64 remaining_s;   /* what the shortened pass says; main thread only */

static gint64
get_remaining (const FilGatePass *pass)
{
  return remaining_s;
}

static gboolean
was_noticed (Bench *bench)
{
  return bench->passes == 2;
}

static void
test_deadline (Bench        *bench,
               gconstpointer data)
{
  remaining_s = 301;
  fil_live_shorten_pass (bench->live, get_remaining);
  bench_start_live_camera (bench);
  bench_turn_for_ms (bench, 500);
  g_assert_cmpuint (bench->passes, ==, 1);   /* it came */

  remaining_s = 300;
  bench_wait_for (bench, was_noticed);
  bench_turn_for_ms (bench, 500);
  g_assert_cmpuint (bench->passes, ==, 2);   /* said once */
  g_assert_true (bench_is_running (bench));

  remaining_s = 0;
  bench_wait_for (bench, bench_is_closed);
  g_assert_false (fake_source_is_streaming (bench->camera));
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_cmpint (fil_live_get_pass_remaining_s (bench->live), ==, -1);
}

/* A running clip is finished, at most ten minutes longer. */
static void
test_deadline_while_recording (Bench        *bench,
                               gconstpointer data)
{
  remaining_s = 100;
  fil_live_shorten_pass (bench->live, get_remaining);
  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);

  remaining_s = -599;
  bench_turn_for_ms (bench, 600);
  g_assert_true (bench_is_running (bench));
  g_assert_true (fil_live_is_recording (bench->live));

  remaining_s = -600;
  bench_wait_for (bench, bench_is_closed);
  bench_assert_kept (bench, "ran out");
}

/* A fresh pass moves the deadline; the clip goes on. */
static void
test_fresh_pass (Bench        *bench,
                 gconstpointer data)
{
  g_autoptr (FilGatePass) fresh = NULL;

  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fresh = bench_make_pass (bench->rig);
  g_assert_true (fil_live_start (bench->live, fresh, NULL));
  g_assert_true (fil_live_get_pass (bench->live) == fresh);
  g_assert_true (bench_is_running (bench));
  g_assert_true (fil_live_is_recording (bench->live));
}

static void
test_another_rig (Bench        *bench,
                  gconstpointer data)
{
  g_autofree char *text = fil_rig_to_text (bench->rig);
  g_autofree char *changed = NULL;
  g_auto (GStrv) parts = g_strsplit (text, "density=2", 2);
  g_autoptr (FilRig) other = NULL;
  g_autoptr (GError) error = NULL;

  changed = g_strjoinv ("density=3", parts);
  other = fil_rig_parse (changed, -1, "other.rig", &error);
  g_assert_no_error (error);

  bench_start_live_camera (bench);
  fil_live_set_rig (bench->live, bench->rig);
  g_assert_true (bench_is_running (bench));
  fil_live_set_rig (bench->live, other);
  g_assert_true (bench_is_closed (bench));
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_false (fake_source_is_streaming (bench->camera));
}

/* A camera behind a closed gate has nobody else to notice. */
static void
test_unplugged_while_closed (Bench        *bench,
                             gconstpointer data)
{
  bench_open_camera (bench, TRUE, FALSE);
  fil_live_unplugged (bench->live);
  g_assert_true (bench_is_unplugged (bench));
  g_assert_nonnull (strstr (fil_live_get_message (bench->live), "unplugged"));
}

static void
test_unplugged_while_recording (Bench        *bench,
                                gconstpointer data)
{
  bench_start_live_camera (bench);
  bench_record (bench, 0);
  bench_wait_for (bench, bench_has_recorded_some);
  fil_live_unplugged (bench->live);
  g_assert_true (bench_is_unplugged (bench));
  g_assert_null (fil_live_get_pass (bench->live));
  g_assert_false (fake_source_is_streaming (bench->camera));
  bench_assert_kept (bench, "unplugged");
}

/* Pulling the cable is no answer to what the alarm says. */
static void
test_unplugged_after_an_alarm (Bench        *bench,
                               gconstpointer data)
{
  bench_start_live_camera (bench);
  bench_wait_for (bench, is_alarm_ready);
  fake_source_set_level (bench->camera, 4200);
  bench_wait_for (bench, bench_is_alarmed);
  fil_live_unplugged (bench->live);
  g_assert_true (bench_is_alarmed (bench));
}

/* What is not live is in no socket. */
static void
test_unplugged_without_light (Bench        *bench,
                              gconstpointer data)
{
  bench_open_camera (bench, FALSE, FALSE);
  bench_start (bench, NULL);
  fil_live_unplugged (bench->live);
  g_assert_true (bench_is_running (bench));
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  bench_add ("/live/gate-closed", test_gate_closed);
  bench_add ("/live/alarm", test_alarm);
  bench_add ("/live/no-alarm-without-light", test_no_alarm_without_light);
  bench_add ("/live/no-alarm-after-a-setting", test_no_alarm_after_a_setting);
  bench_add ("/live/deadline", test_deadline);
  bench_add ("/live/deadline-while-recording", test_deadline_while_recording);
  bench_add ("/live/fresh-pass", test_fresh_pass);
  bench_add ("/live/another-rig", test_another_rig);
  bench_add ("/live/unplugged-while-closed", test_unplugged_while_closed);
  bench_add ("/live/unplugged-while-recording", test_unplugged_while_recording);
  bench_add ("/live/unplugged-after-an-alarm", test_unplugged_after_an_alarm);
  bench_add ("/live/unplugged-without-light", test_unplugged_without_light);

  return g_test_run ();
}
