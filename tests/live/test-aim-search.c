/* test-aim-search.c: the simulated telescope leaves the Sun and finds it again
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>

#include "fil-aim-search.h"

#define PATIENCE_S 60.0

typedef struct
{
  FilLive      *live;
  FilAimSearch *search;
  FilAimLight   light;
  double        longest_ms;     /* exposure that was seen */
  double        full_s;         /* for how long there were full pixels at a stretch, at most */
  gint64        full_us;        /* since when there are; 0: there are none */
  guint         n;
} Trial;

static void
reading_cb (Trial *trial)
{
  gint64 now_us = g_get_monotonic_time ();
  FilLiveReading reading;

  fil_live_get_reading (trial->live, &reading);
  if (!fil_aim_search_take (trial->search, &reading, &trial->light))
    return;

  fil_aim_search_follow (trial->search);
  trial->n++;
  trial->longest_ms = MAX (trial->longest_ms, reading.exposure_ms);
  if (reading.figures.full_fraction < 0.001)
    trial->full_us = 0;
  else if (trial->full_us == 0)
    trial->full_us = now_us;
  if (trial->full_us != 0)
    trial->full_s = MAX (trial->full_s, (double) (now_us - trial->full_us) / G_USEC_PER_SEC);
}

static void
send_telescope (Trial  *trial,
                double  north_arcmin)
{
  g_autoptr (GPtrArray) controls = fil_source_list_controls (fil_live_get_source (trial->live));
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < controls->len; i++)
    {
      const FilControl *control = g_ptr_array_index (controls, i);

      if (!g_str_equal (control->name, "Telescope towards north"))
        continue;
      g_assert_true (fil_live_set_control (trial->live, control->id,
                                           g_variant_new_double (north_arcmin), &error));
      g_assert_no_error (error);
      return;
    }
  g_assert_not_reached ();
}

static void
wait_for (Trial       *trial,
          FilAimState  state)
{
  gint64 end_us = g_get_monotonic_time () + (gint64) (PATIENCE_S * G_USEC_PER_SEC);

  while (trial->n == 0 || trial->light.state != state)
    {
      g_assert_cmpint (g_get_monotonic_time (), <, end_us);
      fil_live_iterate (trial->live, TRUE);
    }
}

static void
wait_for_rest (Trial *trial)
{
  gint64 end_us = g_get_monotonic_time () + (gint64) (PATIENCE_S * G_USEC_PER_SEC);

  while (isfinite (trial->light.glow.wanted_ms) || !(trial->light.glow.bright > 0.0) ||
         trial->full_us != 0)
    {
      g_assert_cmpint (g_get_monotonic_time (), <, end_us);
      fil_live_iterate (trial->live, TRUE);
    }
}

/* Off the disc the search begins, the exposure goes up to its limit and the
 * glow is measured; back on the disc it comes down, and nothing stays full. */
static void
test_there_and_back (void)
{
  g_autoptr (FilRig) rig = fil_rig_new_demo ();
  g_autoptr (FilLive) live = fil_live_new ();
  g_autoptr (FilAimSearch) search = fil_aim_search_new (live);
  g_autoptr (GError) error = NULL;
  Trial trial = { .live = live, .search = search };
  double first_ms, glow;

  fil_aim_search_set_rig (search, rig);
  g_assert_true (fil_live_open (live, "sim:width=320,height=240,fps=20,target=quiet", rig, NULL,
                                &error));
  g_assert_no_error (error);
  g_signal_connect_swapped (live, "reading", G_CALLBACK (reading_cb), &trial);
  g_assert_true (fil_live_start (live, NULL, &error));

  wait_for (&trial, FIL_AIM_DISC);
  first_ms = fil_source_get_exposure_ms (fil_live_get_source (live));
  g_assert_cmpfloat (trial.light.disc, <, 1.0);

  send_telescope (&trial, 20.0);
  wait_for (&trial, FIL_AIM_SEARCHING);
  wait_for_rest (&trial);
  while (trial.light.glow.direction != 0 || !isfinite (trial.light.glow.rise))
    fil_live_iterate (live, TRUE);
  glow = trial.light.glow.signal;
  g_assert_cmpfloat (trial.longest_ms, >, 4.0 * first_ms);
  g_assert_cmpfloat (trial.longest_ms, <=, trial.light.longest_ms * 1.0001);
  g_assert_cmpfloat (trial.light.bar, >, 0.0);
  g_assert_cmpfloat (trial.light.bar, <, 0.5 * trial.light.disc);
  g_assert_cmpfloat (trial.light.left_s, <, FIL_AIM_SEARCH_S);

  trial.full_s = 0.0;
  send_telescope (&trial, 0.0);
  wait_for (&trial, FIL_AIM_DISC);
  wait_for_rest (&trial);
  g_test_message ("exposure %.2f ms, then %.2f ms at most; full for %.2f s at most", first_ms,
                  trial.longest_ms, trial.full_s);
  /* beside the disc the sky is 6e-4/1.25² of it */
  g_assert_cmpfloat (trial.light.glow.bright / glow, >, 300.0);
  g_assert_cmpfloat (trial.full_s, <, 4.0);
  g_assert_cmpfloat (fil_source_get_exposure_ms (fil_live_get_source (live)), <, 2.0 * first_ms);

  g_signal_handlers_disconnect_by_data (live, &trial);
  fil_live_close (live);
}

/* What the button does follows the state. */
static void
test_button (void)
{
  g_autoptr (FilLive) live = fil_live_new ();
  g_autoptr (FilAimSearch) search = fil_aim_search_new (live);
  FilLiveReading reading = { .figures = { .mean = 3.0, .sd = 1.0 }, .full_count = 4095.0,
                             .exposure_ms = 1.0, .gain = 1.0, .histogram = { 1000 } };
  FilAimLight light;

  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpint (light.state, ==, FIL_AIM_CAPPED);
  g_assert_true (fil_aim_search_next (search));
  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpint (light.state, ==, FIL_AIM_SEARCHING);
  g_assert_true (fil_aim_search_next (search));
  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpint (light.state, ==, FIL_AIM_CAPPED);

  reading.limb.seen = TRUE;
  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpint (light.state, ==, FIL_AIM_LIMB);
  g_assert_false (fil_aim_search_next (search));

  reading.figures.mean = NAN;
  g_assert_false (fil_aim_search_take (search, &reading, &light));
}

/* A camera whose black level nobody knows: the cap shows it. */
static void
test_unknown_black (void)
{
  g_autoptr (FilLive) live = fil_live_new ();
  g_autoptr (FilAimSearch) search = fil_aim_search_new (live);
  FilLiveReading reading = { .figures = { .mean = 64.0, .sd = 1.0 }, .full_count = 4095.0,
                             .exposure_ms = 1.0, .gain = 1.0, .histogram = { 0, 0, 0, 0, 1000 } };
  FilAimLight light;

  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpfloat (light.glow.signal, ==, 0.0);
  fil_aim_search_next (search);
  reading.figures.mean = 84.0;
  fil_aim_search_restart (search);
  g_assert_true (fil_aim_search_take (search, &reading, &light));
  g_assert_cmpfloat (light.glow.signal, ==, 0.0);   /* another source: dark is what it shows */
  reading.figures.mean = 64.0;
  g_assert_true (fil_aim_search_take (search, &reading, &light));
  fil_aim_search_next (search);
  for (int i = 0; i < 200 && light.glow.signal < 0.0045; i++)
    {
      reading.figures.mean = 84.0;
      g_usleep (10000);
      g_assert_true (fil_aim_search_take (search, &reading, &light));
    }
  g_assert_cmpfloat_with_epsilon (light.glow.signal, 20.0 / 4031.0, 0.0005);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/aim-search/button", test_button);
  g_test_add_func ("/aim-search/unknown-black", test_unknown_black);
  g_test_add_func ("/aim-search/there-and-back", test_there_and_back);

  return g_test_run ();
}
