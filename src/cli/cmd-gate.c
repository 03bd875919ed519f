/* cmd-gate.c: asks on a terminal whether the solar filter is in place
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>
#include <unistd.h>

#include <glib/gi18n-lib.h>

#include "cli-gate.h"
#include "cli.h"
#include "fil-findings.h"
#include "fil-source.h"

extern const FilCommand fil_command_gate;

static void
print_heading (const FilRig *rig,
               const char   *source)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);

  printf (_("The gate of “%s”, for %s\n\n"), fil_rig_get_name (rig), source);
  puts (_("Sunlight through a telescope blinds in an instant. Look at the telescope, not at\n"
          "this list, before you answer; the cap stays on meanwhile."));

  if (findings->len > 0)
    putchar ('\n');
  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      printf ("%s: %s\n", finding->code, finding->text);
    }
}

/* Asks, and leaves the pass for later commands. */
static gboolean
open_gate (FilRig     *rig,
           const char *source,
           GError    **error)
{
  g_autofree char *identity = NULL;
  g_autoptr (FilGate) gate = NULL;
  g_autoptr (FilGatePass) pass = NULL;

  if (!isatty (STDIN_FILENO) || !isatty (STDOUT_FILENO))
    {
      g_set_error_literal (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED,
                           _("the gate is opened by somebody at a terminal, not from a pipe or a "
                             "file"));
      return FALSE;
    }

  identity = fil_source_dup_identity (source, error);
  if (identity == NULL)
    {
      g_prefix_error (error, "%s", _("the gate stays closed: "));
      return FALSE;
    }

  gate = fil_gate_new (rig, identity, error);
  if (gate == NULL)
    return FALSE;

  /* Whatever comes of the questions, what was said before no longer holds. */
  fil_gate_forget (identity);
  print_heading (rig, source);
  pass = fil_cli_ask_gate (gate, stdin, stdout, error);

  return pass != NULL && fil_gate_store_pass (pass, error);
}

static int
run (int    argc,
     char **argv)
{
  g_autofree char *rig_path = NULL;
  g_autofree char *source = NULL;
  const GOptionEntry entries[] = {
    { "rig", 0, 0, G_OPTION_ARG_FILENAME, &rig_path, N_("The rig file"), "RIG" },
    { "source", 0, 0, G_OPTION_ARG_FILENAME, &source, N_("The camera"), "DEV" },
    { 0 },
  };
  g_autoptr (FilRig) rig = NULL;
  g_autoptr (GError) error = NULL;
  int status;

  if (!fil_cli_parse (&fil_command_gate, entries, &argc, &argv, 0, 0, &status))
    return status;
  if (rig_path == NULL || source == NULL)
    return fil_cli_usage_error (&fil_command_gate, _("--rig and --source are needed"));

  rig = fil_rig_load (rig_path, &error);
  if (rig == NULL)
    return fil_cli_fail ("gate", error);

  if (fil_cli_report_refusals (rig, stderr))
    {
      g_set_error_literal (&error, FIL_GATE_ERROR, FIL_GATE_ERROR_REFUSED,
                           _("the gate stays closed: no pass is made for this light path"));
      return fil_cli_fail ("gate", error);
    }

  if (!fil_source_name_is_live (source))
    {
      printf (_("%s: no pass is needed; no sunlight comes from the simulated Sun or from a file.\n"),
              source);
      return FIL_EXIT_DONE;
    }

  if (!open_gate (rig, source, &error))
    return fil_cli_fail (source, error);

  printf (_("\nThe gate is open for %d minutes, for this camera and this rig. Keep the telescope "
            "watched.\n"), FIL_GATE_PASS_MINUTES);

  return FIL_EXIT_DONE;
}

const FilCommand fil_command_gate = {
  "gate", "--rig RIG --source DEV", N_("confirm on a terminal that the solar filter is in place"),
  run
};
