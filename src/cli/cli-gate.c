/* cli-gate.c: the gate's questions in lines of text
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli-gate.h"
#include "fil-findings.h"

/* The same in every language: whoever answers must read the question, and no
 * other word will do. */
#define YES_OR_NO       "yes or no? "
#define NAME_THE_FILTER "Name the filter to open the gate: "

/**
 * fil_cli_report_refusals:
 *
 * Prints every refusing finding as "CODE: text".
 *
 * Returns: whether there was one
 */
gboolean
fil_cli_report_refusals (const FilRig *rig,
                         FILE         *out)
{
  g_autoptr (GPtrArray) findings = fil_findings_list (rig);

  for (guint i = 0; i < findings->len; i++)
    {
      const FilFinding *finding = g_ptr_array_index (findings, i);

      if (finding->level == FIL_FINDING_REFUSE)
        fprintf (out, "%s: %s\n", finding->code, finding->text);
    }

  return fil_findings_refuse (findings);
}

/* One line without its end; %FALSE at the end of the input, and for a line
 * too long to be any answer. */
static gboolean
read_answer (FILE  *in,
             char  *answer,
             gsize  size)
{
  gsize length;

  if (fgets (answer, (int) size, in) == NULL)
    return FALSE;

  length = strlen (answer);
  if (length == 0 || answer[length - 1] != '\n')
    return FALSE;
  answer[length - 1] = '\0';

  return TRUE;
}

static gboolean
set_closed (GError    **error,
            const char *why)
{
  g_set_error (error, FIL_GATE_ERROR, FIL_GATE_ERROR_CLOSED, _("the gate stays closed: %s"), why);

  return FALSE;
}

static gboolean
ask_check (FilGate  *gate,
           guint     index,
           FILE     *in,
           FILE     *out,
           GError  **error)
{
  const FilGateCheck *check = fil_gate_get_check (gate, index);
  char answer[64];

  fprintf (out, "\n%u/%u  %s\n     %s\n     " YES_OR_NO, index + 1,
           fil_gate_get_n_checks (gate), check->text, check->reason);
  fflush (out);

  if (!read_answer (in, answer, sizeof answer) || strcmp (answer, "yes") != 0)
    return set_closed (error, _("every check must be answered “yes”"));

  fil_gate_tick (gate, index, TRUE);

  return TRUE;
}

/**
 * fil_cli_ask_gate:
 * @in: a terminal; a test may put a file in its place
 * @out: the same
 *
 * Asks every check, then for the filter's name. The first answer that is not
 * the expected word ends it.
 *
 * Returns: (transfer full): a pass, or %NULL with a %FIL_GATE_ERROR
 */
FilGatePass *
fil_cli_ask_gate (FilGate *gate,
                  FILE    *in,
                  FILE    *out,
                  GError **error)
{
  char answer[64];

  for (guint i = 0; i < fil_gate_get_n_checks (gate); i++)
    if (!ask_check (gate, i, in, out, error))
      return NULL;

  fputs ("\n" NAME_THE_FILTER, out);
  fflush (out);
  if (!read_answer (in, answer, sizeof answer))
    {
      set_closed (error, _("the filter was not named"));
      return NULL;
    }

  return fil_gate_confirm (gate, answer, error);
}
