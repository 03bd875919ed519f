/* test-gate.c: what opens the gate, and everything that doesn't
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#include <glib/gstdio.h>

#include "fil-gate.h"
#include "rigs.h"

#define DEVICE "video0:1:2026"
#define MINUTE_NS (60 * G_GINT64_CONSTANT (1000000000))

static gint64 boottime_ahead_ns;
static gint64 realtime_ahead_ns;

/* Stands before the C library's, so that hours can pass in this program. The
 * gate itself has no way to be told another time. */
int
clock_gettime (clockid_t        clock,
               struct timespec *now)
{
  int result = (int) syscall (SYS_clock_gettime, clock, now);
  gint64 ahead = clock == CLOCK_BOOTTIME ? boottime_ahead_ns
                 : clock == CLOCK_REALTIME ? realtime_ahead_ns : 0;
  gint64 ns = now->tv_sec * G_GINT64_CONSTANT (1000000000) + now->tv_nsec + ahead;

  now->tv_sec = ns / 1000000000;
  now->tv_nsec = ns % 1000000000;

  return result;
}

static FilRig *
wedge_rig (void)
{
  return make_rig (FINDER, LENS "|kind=wedge|kind=density\ndensity=2|" CAMERA);
}

static FilGate *
ticked_gate (FilRig *rig)
{
  g_autoptr (GError) error = NULL;
  FilGate *gate = fil_gate_new (rig, DEVICE, &error);

  g_assert_no_error (error);
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    fil_gate_tick (gate, i, TRUE);

  return gate;
}

static FilGatePass *
make_pass (FilRig *rig)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGate) gate = ticked_gate (rig);
  FilGatePass *pass = fil_gate_confirm (gate, fil_gate_list_filters (gate)[0], &error);

  g_assert_no_error (error);

  return pass;
}

static char *
pass_path (void)
{
  g_autofree char *hash = g_compute_checksum_for_string (G_CHECKSUM_SHA256, DEVICE, -1);

  hash[32] = '\0';

  return g_strdup_printf ("%s/filigree/pass-%s", g_get_user_runtime_dir (), hash);
}

static void
test_checks (void)
{
  static const struct { const char *elements, *codes, *filters; } cases[] = {
    { FILM "|" LENS "|" CAMERA, "fitted whole stays finder cap attended rules", "front-filter" },
    { "kind=front-filter\ndensity=3.8|" MIRROR "|" CAMERA,
      "fitted whole stays finder cap attended camera rules", "front-filter" },
    { LENS "|kind=wedge|kind=density\ndensity=3|" CAMERA,
      "lens path density outlet finder cap attended rules", "wedge" },
    { LENS "|kind=wedge|kind=density\ndensity=2|" CAMERA,
      "lens path density outlet finder cap attended camera rules", "wedge" },
    { FILM "|" LENS "|kind=wedge|kind=density\ndensity=2|" CAMERA,
      "fitted whole stays lens path density outlet finder cap attended rules",
      "front-filter wedge" },
  };

  for (guint c = 0; c < G_N_ELEMENTS (cases); c++)
    {
      g_autoptr (FilRig) rig = make_rig (FINDER, cases[c].elements);
      g_autoptr (FilGate) gate = fil_gate_new (rig, DEVICE, NULL);
      g_autoptr (GString) codes = g_string_new (NULL);
      g_autofree char *filters = g_strjoinv (" ", (char **) fil_gate_list_filters (gate));
      g_autofree char *question = fil_gate_dup_question (gate);

      for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
        {
          const FilGateCheck *check = fil_gate_get_check (gate, i);

          g_string_append_printf (codes, "%s%s", i == 0 ? "" : " ", check->code);
          g_assert_cmpuint (strlen (check->text), >, 10);
          g_assert_cmpuint (strlen (check->reason), >, 10);
        }
      g_assert_cmpstr (codes->str, ==, cases[c].codes);
      g_assert_cmpstr (filters, ==, cases[c].filters);
      g_assert_true (strstr (question, "wedge") != NULL || strstr (question, "filter") != NULL);
    }
}

static void
test_every_tick_counts (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGate) gate = ticked_gate (rig);
  guint n = fil_gate_get_n_checks (gate);

  for (guint i = 0; i < n; i++)
    {
      g_autoptr (GError) error = NULL;

      fil_gate_tick (gate, i, FALSE);
      g_assert_false (fil_gate_is_complete (gate));
      g_assert_null (fil_gate_confirm (gate, "wedge", &error));
      g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
      g_assert_nonnull (strstr (error->message, "gate"));
      fil_gate_tick (gate, i, TRUE);
    }
  g_assert_true (fil_gate_is_complete (gate));
}

static void
test_filter_name (void)
{
  static const char *const wrong[] = { "front-filter", "Wedge", " wedge", "wedge ", "", "yes", NULL };
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGate) gate = ticked_gate (rig);
  g_autoptr (FilGatePass) pass = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (wrong); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (fil_gate_confirm (gate, wrong[i], &error));
      g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
    }

  pass = fil_gate_confirm (gate, "wedge", NULL);
  g_assert_nonnull (pass);
  g_assert_cmpstr (fil_gate_pass_get_confirmed (pass), ==,
                   "wedge: lens path density outlet finder cap attended camera rules");
  g_assert_cmpstr (fil_gate_pass_get_rig_digest (pass), ==, fil_rig_get_digest (rig));
  g_assert_cmpint (ABS (fil_gate_pass_get_confirmed_utc_ns (pass) - g_get_real_time () * 1000), <,
                   MINUTE_NS);
  /* A second pass needs new ticks. */
  g_assert_false (fil_gate_is_complete (gate));
  g_assert_null (fil_gate_confirm (gate, "wedge", NULL));
}

static void
test_refused (void)
{
  g_autoptr (FilRig) rig = make_rig (FINDER, LENS "|" CAMERA);
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_gate_new (rig, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED);
  g_assert_true (g_str_has_prefix (error->message, "no-filter: "));
  g_clear_error (&error);
  g_assert_null (fil_gate_load_pass (rig, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED);
}

static void
test_deadline (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGatePass) pass = make_pass (rig);
  g_autoptr (GError) error = NULL;

  g_assert_true (fil_gate_pass_covers (pass, DEVICE, &error));
  g_assert_cmpint (fil_gate_pass_get_remaining_s (pass), >=, 3598);
  g_assert_cmpint (fil_gate_pass_get_remaining_s (pass), <=, 3600);
  g_assert_false (fil_gate_pass_covers (pass, "video0:2:2027", &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_OTHER);
  g_clear_error (&error);
  g_assert_true (fil_gate_store_pass (pass, &error));
  g_assert_no_error (error);

  boottime_ahead_ns = 59 * MINUTE_NS;
  g_assert_true (fil_gate_pass_covers (pass, DEVICE, NULL));
  boottime_ahead_ns = 60 * MINUTE_NS;
  g_assert_false (fil_gate_pass_covers (pass, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_EXPIRED);
  g_clear_error (&error);
  g_assert_cmpint (fil_gate_pass_get_remaining_s (pass), <=, 0);
  g_assert_false (fil_gate_store_pass (pass, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_EXPIRED);
  g_clear_error (&error);
  g_assert_null (fil_gate_load_pass (rig, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_EXPIRED);
  boottime_ahead_ns = 70 * MINUTE_NS;
  g_assert_cmpint (fil_gate_pass_get_remaining_s (pass), <=, -600);
  boottime_ahead_ns = 0;
}

static void
test_store (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilRig) changed = make_rig (FINDER, LENS "|kind=wedge|kind=density\ndensity=2.1|" CAMERA);
  g_autoptr (FilGatePass) pass = make_pass (rig);
  g_autoptr (FilGatePass) loaded = NULL;
  g_autofree char *path = pass_path ();
  g_autofree char *folder = g_path_get_dirname (path);
  g_autoptr (GError) error = NULL;
  struct stat status;

  fil_gate_forget (DEVICE);
  g_assert_null (fil_gate_load_pass (rig, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
  g_clear_error (&error);
  g_assert_false (fil_gate_store_pass (pass, &error));   /* forgotten above */
  g_clear_error (&error);
  g_clear_pointer (&pass, fil_gate_pass_unref);

  pass = make_pass (rig);
  g_assert_true (fil_gate_store_pass (pass, &error));
  g_assert_no_error (error);
  g_assert_cmpint (stat (path, &status), ==, 0);
  g_assert_cmpint (status.st_mode & 07777, ==, 0600);
  g_assert_cmpint (stat (folder, &status), ==, 0);
  g_assert_cmpint (status.st_mode & 07777, ==, 0700);

  loaded = fil_gate_load_pass (rig, DEVICE, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (fil_gate_pass_get_confirmed (loaded), ==, fil_gate_pass_get_confirmed (pass));
  g_assert_cmpint (fil_gate_pass_get_confirmed_utc_ns (loaded), ==,
                   fil_gate_pass_get_confirmed_utc_ns (pass));
  g_assert_true (fil_gate_pass_covers (loaded, DEVICE, NULL));

  g_assert_null (fil_gate_load_pass (rig, "another", &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
  g_clear_error (&error);
  g_assert_null (fil_gate_load_pass (changed, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_OTHER);
  g_clear_error (&error);

  fil_gate_forget (DEVICE);
  g_assert_false (fil_gate_pass_covers (pass, DEVICE, NULL));
  g_assert_false (fil_gate_pass_covers (loaded, DEVICE, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
  g_assert_cmpint (fil_gate_pass_get_remaining_s (loaded), ==, G_MININT64);
  g_assert_cmpint (stat (path, &status), !=, 0);
}

/* Writes the stored pass again with one key changed, and expects a refusal. */
static void
assert_refused_with (FilRig     *rig,
                     const char *good,
                     const char *key,
                     const char *value,
                     gint        code)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autofree char *path = pass_path ();
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (g_key_file_load_from_data (file, good, (gsize) -1, G_KEY_FILE_NONE, NULL));
  if (value != NULL)
    g_key_file_set_value (file, "pass", key, value);
  else
    g_key_file_remove_key (file, "pass", key, NULL);
  text = g_key_file_to_data (file, NULL, NULL);
  g_assert_true (g_file_set_contents (path, text, -1, NULL));
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);

  g_assert_null (fil_gate_load_pass (rig, DEVICE, &error));
  g_test_message ("%s=%s: %s", key, value, error->message);
  g_assert_error (error, FIL_GATE_ERROR, code);
  g_assert_nonnull (strstr (error->message, "gate"));
}

static void
test_forged_content (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGatePass) pass = make_pass (rig);
  g_autofree char *path = pass_path ();
  g_autofree char *good = NULL;
  g_autofree char *future_utc = NULL;
  static const char *const keys[] = {
    "device", "rig", "boot", "confirmed", "user", "made_boottime_ns", "deadline_boottime_ns",
    "confirmed_utc_ns",
  };

  g_assert_true (fil_gate_store_pass (pass, NULL));
  g_assert_true (g_file_get_contents (path, &good, NULL, NULL));

  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    assert_refused_with (rig, good, keys[i], NULL, FIL_GATE_ERROR_CLOSED);
  for (guint i = 0; i < 4; i++)
    assert_refused_with (rig, good, keys[i], "other", FIL_GATE_ERROR_OTHER);
  assert_refused_with (rig, good, "user", "12345678", FIL_GATE_ERROR_OTHER);
  assert_refused_with (rig, good, "user", "-1", FIL_GATE_ERROR_OTHER);
  assert_refused_with (rig, good, "confirmed", "wedge: lens", FIL_GATE_ERROR_OTHER);
  assert_refused_with (rig, good, "confirmed", "wedge", FIL_GATE_ERROR_OTHER);

  for (guint i = 5; i < 8; i++)
    {
      assert_refused_with (rig, good, keys[i], "9223372036854775807", FIL_GATE_ERROR_CLOSED);
      assert_refused_with (rig, good, keys[i], "-9223372036854775808", FIL_GATE_ERROR_CLOSED);
      assert_refused_with (rig, good, keys[i], "9223372036854775808", FIL_GATE_ERROR_CLOSED);
      assert_refused_with (rig, good, keys[i], "0x7fffffff", FIL_GATE_ERROR_CLOSED);
      assert_refused_with (rig, good, keys[i], "1e18", FIL_GATE_ERROR_CLOSED);
      assert_refused_with (rig, good, keys[i], "", FIL_GATE_ERROR_CLOSED);
    }
  future_utc = g_strdup_printf ("%" G_GINT64_FORMAT,
                                g_get_real_time () * 1000 + 10 * MINUTE_NS);
  assert_refused_with (rig, good, "confirmed_utc_ns", future_utc, FIL_GATE_ERROR_CLOSED);

  /* Both times together in the future: still an hour apart. */
  g_assert_true (g_file_set_contents (path, good, -1, NULL));
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);
  boottime_ahead_ns = -5 * MINUTE_NS;
  g_assert_null (fil_gate_load_pass (rig, DEVICE, NULL));
  boottime_ahead_ns = 0;
  realtime_ahead_ns = -5 * MINUTE_NS;
  g_assert_null (fil_gate_load_pass (rig, DEVICE, NULL));
  realtime_ahead_ns = 0;

  /* The test's own surgery leaves the good one good. */
  g_clear_pointer (&pass, fil_gate_pass_unref);
  pass = fil_gate_load_pass (rig, DEVICE, NULL);
  g_assert_nonnull (pass);
  fil_gate_forget (DEVICE);
}

static void
assert_closed (FilRig *rig)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (fil_gate_load_pass (rig, DEVICE, &error));
  g_test_message ("%s", error->message);
  g_assert_true (g_error_matches (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED) ||
                 g_error_matches (error, FIL_GATE_ERROR, FIL_GATE_ERROR_STORE));
}

static void
test_forged_file (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGatePass) pass = make_pass (rig);
  g_autofree char *path = pass_path ();
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *aside = g_strconcat (path, ".aside", NULL);
  g_autofree char *large = g_strnfill (5000, 'x');
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGatePass) loaded = NULL;

  g_assert_true (fil_gate_store_pass (pass, NULL));

  g_assert_cmpint (g_chmod (path, 0640), ==, 0);
  assert_closed (rig);
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);

  g_assert_cmpint (g_chmod (folder, 0755), ==, 0);
  assert_closed (rig);
  g_assert_false (fil_gate_store_pass (pass, &error));
  g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_STORE);
  g_assert_cmpint (g_chmod (folder, 0700), ==, 0);

  g_assert_cmpint (link (path, aside), ==, 0);   /* a second name */
  assert_closed (rig);
  g_assert_cmpint (g_unlink (path), ==, 0);
  g_assert_cmpint (symlink (aside, path), ==, 0);
  assert_closed (rig);
  g_unlink (path);
  g_assert_cmpint (g_mkdir (path, 0600), ==, 0);
  assert_closed (rig);
  g_rmdir (path);
  g_assert_cmpint (mkfifo (path, 0600), ==, 0);
  assert_closed (rig);
  g_unlink (path);
  g_assert_true (g_file_set_contents (path, large, -1, NULL));
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);
  assert_closed (rig);
  g_assert_true (g_file_set_contents (path, "", -1, NULL));
  g_assert_cmpint (g_chmod (path, 0600), ==, 0);
  assert_closed (rig);
  g_unlink (path);

  g_assert_cmpint (g_rename (aside, path), ==, 0);
  loaded = fil_gate_load_pass (rig, DEVICE, NULL);
  g_assert_nonnull (loaded);

  if (getuid () == 0)
    {
      g_assert_cmpint (chown (path, 12345, 12345), ==, 0);
      assert_closed (rig);
    }
  g_unlink (path);
}

static gpointer
count_references (gpointer data)
{
  for (guint i = 0; i < 20000; i++)
    {
      FilGatePass *pass = fil_gate_pass_ref (data);

      fil_gate_pass_covers (pass, DEVICE, NULL);
      fil_gate_pass_unref (pass);
      if (i % 1000 == 0)
        fil_gate_forget ("another");
    }

  return NULL;
}

static void
test_threads (void)
{
  g_autoptr (FilRig) rig = wedge_rig ();
  g_autoptr (FilGatePass) pass = make_pass (rig);
  GThread *threads[4];

  for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
    threads[i] = g_thread_new ("pass", count_references, pass);
  for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
    g_thread_join (threads[i]);
  g_assert_true (fil_gate_pass_covers (pass, DEVICE, NULL));
}

int
main (int   argc,
      char *argv[])
{
  g_autofree char *runtime = NULL;
  g_autofree char *folder = NULL;
  int result;

  g_test_init (&argc, &argv, NULL);
  runtime = g_dir_make_tmp ("fil-gate-XXXXXX", NULL);
  g_setenv ("XDG_RUNTIME_DIR", runtime, TRUE);

  g_test_add_func ("/gate/checks", test_checks);
  g_test_add_func ("/gate/every-tick-counts", test_every_tick_counts);
  g_test_add_func ("/gate/filter-name", test_filter_name);
  g_test_add_func ("/gate/refused", test_refused);
  g_test_add_func ("/gate/deadline", test_deadline);
  g_test_add_func ("/gate/store", test_store);
  g_test_add_func ("/gate/forged-content", test_forged_content);
  g_test_add_func ("/gate/forged-file", test_forged_file);
  g_test_add_func ("/gate/threads", test_threads);

  result = g_test_run ();

  folder = g_build_filename (runtime, "filigree", NULL);
  g_rmdir (folder);
  g_assert_cmpint (g_rmdir (runtime), ==, 0);   /* nothing is left behind */

  return result;
}
