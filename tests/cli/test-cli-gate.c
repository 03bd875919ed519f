/* test-cli-gate.c: the questions of the gate and their answers
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli-gate.h"
#include "fil-findings.h"

#define DEVICE "test camera"

static FilRig *
make_rig (gboolean front_filter)
{
  static const char wedge[] =
    "[element 1]\nkind=objective\ntype=lens\naperture_mm=102\n[element 2]\nkind=wedge\n"
    "[element 3]\nkind=density\ndensity=2\n[element 4]\nkind=camera\n";
  static const char both[] =
    "[element 1]\nkind=front-filter\ndensity=5\n[element 2]\nkind=objective\ntype=lens\n"
    "[element 3]\nkind=wedge\n[element 4]\nkind=density\ndensity=2\n[element 5]\nkind=camera\n";

  return fil_rig_parse (front_filter ? both : wedge, -1, "test.rig", NULL);
}

/* Asks with @answers for input; what was printed is left in @printed. */
static FilGatePass *
ask (FilRig     *rig,
     const char *answers,
     char      **printed,
     GError    **error)
{
  g_autoptr (FilGate) gate = fil_gate_new (rig, DEVICE, NULL);
  FILE *in = tmpfile ();
  size_t size;
  char *text = NULL;
  FILE *out = open_memstream (&text, &size);
  FilGatePass *pass;

  g_assert_nonnull (gate);
  fputs (answers, in);
  rewind (in);
  pass = fil_cli_ask_gate (gate, in, out, error);
  fclose (in);
  fclose (out);
  if (printed != NULL)
    *printed = g_strdup (text);
  free (text);

  return pass;
}

static char *
answers_for (FilRig     *rig,
             guint       wrong,
             const char *instead,
             const char *filter)
{
  g_autoptr (FilGate) gate = fil_gate_new (rig, DEVICE, NULL);
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    g_string_append_printf (text, "%s\n", i == wrong ? instead : "yes");
  g_string_append (text, filter);

  return g_string_free (text, FALSE);
}

static void
test_all_yes (void)
{
  g_autoptr (FilRig) rig = make_rig (FALSE);
  g_autofree char *answers = answers_for (rig, G_MAXUINT, NULL, "wedge\n");
  g_autofree char *printed = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (FilGatePass) pass = ask (rig, answers, &printed, &error);
  g_autoptr (FilGate) gate = fil_gate_new (rig, DEVICE, NULL);
  const char *place = printed;

  g_assert_no_error (error);
  g_assert_true (fil_gate_pass_covers (pass, DEVICE, NULL));

  /* Every check, its reason, and the question, in this order. */
  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    {
      const FilGateCheck *check = fil_gate_get_check (gate, i);

      place = strstr (place, check->text);
      g_assert_nonnull (place);
      place = strstr (place, check->reason);
      g_assert_nonnull (place);
      place = strstr (place, "yes or no? ");
      g_assert_nonnull (place);
    }
  g_assert_nonnull (strstr (place, "Name the filter to open the gate: "));
  g_assert_null (strstr (printed, " safe"));
}

static void
test_wrong_answers (void)
{
  static const char *const wrong[] = {
    "no", "y", "Yes", "YES", "ja", " yes", "yes ", "yes\r", "", "yes yes", "1", "true",
    "yesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyesyes",
  };
  g_autoptr (FilRig) rig = make_rig (FALSE);
  g_autoptr (FilGate) gate = fil_gate_new (rig, DEVICE, NULL);

  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    for (guint w = 0; w < G_N_ELEMENTS (wrong); w++)
      {
        g_autofree char *answers = answers_for (rig, i, wrong[w], "wedge\n");
        g_autofree char *printed = NULL;
        g_autoptr (GError) error = NULL;

        g_assert_null (ask (rig, answers, &printed, &error));
        g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
        g_assert_nonnull (strstr (error->message, "gate"));
        g_assert_null (strstr (printed, "Name the filter"));
      }
}

static void
test_wrong_names (void)
{
  static const char *const wrong[] = {
    "", "\n", "wedge", "front-filter\n", "Wedge\n", "the wedge\n", "yes\n", "wedge \n", "Keil\n",
  };
  g_autoptr (FilRig) rig = make_rig (FALSE);

  for (guint w = 0; w < G_N_ELEMENTS (wrong); w++)
    {
      g_autofree char *answers = answers_for (rig, G_MAXUINT, NULL, wrong[w]);
      g_autoptr (GError) error = NULL;

      g_assert_null (ask (rig, answers, NULL, &error));
      g_assert_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED);
    }
}

static void
test_either_name (void)
{
  static const char *const names[] = { "wedge\n", "front-filter\n" };
  g_autoptr (FilRig) rig = make_rig (TRUE);

  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *answers = answers_for (rig, G_MAXUINT, NULL, names[i]);
      g_autoptr (FilGatePass) pass = ask (rig, answers, NULL, NULL);

      g_assert_nonnull (pass);
      g_assert_true (strncmp (fil_gate_pass_get_confirmed (pass), names[i],
                              strlen (names[i]) - 1) == 0);
    }
}

/* The input ends anywhere. */
static void
test_cut_short (void)
{
  g_autoptr (FilRig) rig = make_rig (FALSE);
  g_autofree char *answers = answers_for (rig, G_MAXUINT, NULL, "wedge\n");

  for (gsize n = 0; n < strlen (answers); n++)
    {
      g_autofree char *cut = g_strndup (answers, n);

      g_assert_null (ask (rig, cut, NULL, NULL));
    }
}

static void
test_refusals (void)
{
  g_autoptr (FilRig) good = make_rig (FALSE);
  g_autoptr (FilRig) bad = fil_rig_parse (
    "[element 1]\nkind=objective\ntype=mirror\n[element 2]\nkind=diagonal\n[element 3]\n"
    "kind=wedge\n[element 4]\nkind=camera\n", -1, "test.rig", NULL);
  size_t size;
  char *text = NULL;
  FILE *out = open_memstream (&text, &size);
  g_auto (GStrv) lines = NULL;

  g_assert_false (fil_cli_report_refusals (good, out));
  fflush (out);
  g_assert_cmpstr (text, ==, "");
  g_assert_true (fil_cli_report_refusals (bad, out));
  fclose (out);
  lines = g_strsplit (text, "\n", -1);
  g_assert_cmpuint (g_strv_length (lines), ==, 3);
  g_assert_true (g_str_has_prefix (lines[0], "wedge-behind-mirror: "));
  g_assert_true (g_str_has_prefix (lines[1], "element-before-wedge: "));
  free (text);
}

int
main (int   argc,
      char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/cli-gate/all-yes", test_all_yes);
  g_test_add_func ("/cli-gate/wrong-answers", test_wrong_answers);
  g_test_add_func ("/cli-gate/wrong-names", test_wrong_names);
  g_test_add_func ("/cli-gate/either-name", test_either_name);
  g_test_add_func ("/cli-gate/cut-short", test_cut_short);
  g_test_add_func ("/cli-gate/refusals", test_refusals);

  return g_test_run ();
}
