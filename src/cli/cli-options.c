/* cli-options.c: options, and how a command says that it failed
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli.h"

/**
 * fil_cli_parse:
 * @entries: the command's options, ended by a zeroed entry
 * @argc: (inout): left with the arguments that are no options, argv[0] first
 * @max_arguments: −1 for no limit
 * @status: (out): what to return when this fails: usage, or done after --help
 *
 * Parses strictly: an unknown option or a wrong number of arguments is wrong
 * usage.
 */
gboolean
fil_cli_parse (const FilCommand   *command,
               const GOptionEntry *entries,
               int                *argc,
               char             ***argv,
               int                 min_arguments,
               int                 max_arguments,
               int                *status)
{
  g_autoptr (GOptionContext) context = NULL;
  g_autoptr (GError) error = NULL;

  context = g_option_context_new (command->arguments);
  g_option_context_set_summary (context, _(command->summary));
  g_option_context_add_main_entries (context, entries, GETTEXT_PACKAGE);
  g_option_context_set_help_enabled (context, FALSE);

  for (int i = 1; i < *argc; i++)
    if (strcmp ((*argv)[i], "--help") == 0)
      {
        g_autofree char *name = g_strdup_printf ("filigree-cli %s", command->name);
        g_autofree char *help = NULL;

        g_set_prgname (name);
        help = g_option_context_get_help (context, TRUE, NULL);

        fputs (help, stdout);
        *status = FIL_EXIT_DONE;
        return FALSE;
      }

  if (!g_option_context_parse (context, argc, argv, &error))
    {
      *status = fil_cli_usage_error (command, "%s", error->message);
      return FALSE;
    }

  /* A "--" that ends the options stays in argv. */
  for (int i = 1; i < *argc; i++)
    if (strcmp ((*argv)[i], "--") == 0)
      {
        memmove (&(*argv)[i], &(*argv)[i + 1], sizeof (char *) * (gsize) (*argc - i));
        (*argc)--;
        break;
      }

  if (*argc - 1 < min_arguments || (max_arguments >= 0 && *argc - 1 > max_arguments))
    {
      *status = fil_cli_usage_error (command,
                                     *argc - 1 < min_arguments ? _("something is missing")
                                                               : _("too many arguments"));
      return FALSE;
    }

  return TRUE;
}

/**
 * fil_cli_fail:
 * @what: what could not be done, usually a file or a device
 * @error: why
 *
 * Prints the contract's single line on standard error.
 *
 * Returns: %FIL_EXIT_FAILED
 */
int
fil_cli_fail (const char   *what,
              const GError *error)
{
  g_autofree char *why = g_strdup (error->message);

  g_strdelimit (why, "\n\r", ' ');
  fprintf (stderr, "filigree-cli: %s: %s\n", what, why);

  return FIL_EXIT_FAILED;
}

void
fil_cli_print_usage (const FilCommand *command)
{
  fprintf (stderr, _("Usage: filigree-cli %s [OPTION…] %s\n"), command->name,
           command->arguments);
}

/* Returns: %FIL_EXIT_USAGE, after saying what was wrong */
int
fil_cli_usage_error (const FilCommand *command,
                     const char       *format,
                     ...)
{
  g_autofree char *why = NULL;
  va_list args;

  va_start (args, format);
  why = g_strdup_vprintf (format, args);
  va_end (args);

  fprintf (stderr, "filigree-cli: %s: %s\n", command->name, why);
  fil_cli_print_usage (command);

  return FIL_EXIT_USAGE;
}

/* Reads a whole decimal number with a point, whatever the locale. */
gboolean
fil_cli_parse_number (const char *text,
                      double     *value)
{
  char *end = NULL;
  double read;

  if (text == NULL || strpbrk (text, "xXnN") != NULL)
    return FALSE;

  read = g_ascii_strtod (text, &end);
  if (end == text || *end != '\0' || !isfinite (read))
    return FALSE;

  *value = read;

  return TRUE;
}
