/* main.c: finds the command and runs it
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <locale.h>
#include <stdio.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "cli-commands.h"
#include "cli.h"

#define COMMAND_EXTERN(name) extern const FilCommand fil_command_##name;
#define COMMAND_ENTRY(name) &fil_command_##name,

FIL_CLI_COMMANDS (COMMAND_EXTERN)

static const FilCommand *const commands[] = {
  FIL_CLI_COMMANDS (COMMAND_ENTRY)
  NULL
};

/* Returns: every command, in the order of meson.build, ended by %NULL */
const FilCommand *const *
fil_cli_list_commands (void)
{
  return commands;
}

/* Returns: (nullable): the command of that name */
const FilCommand *
fil_cli_find_command (const char *name)
{
  for (int i = 0; commands[i] != NULL; i++)
    if (strcmp (commands[i]->name, name) == 0)
      return commands[i];

  return NULL;
}

int
main (int   argc,
      char *argv[])
{
  const FilCommand *command;

  setlocale (LC_ALL, "");
  /* Numbers are read and written with a point: JSON, rig files, FITS. */
  setlocale (LC_NUMERIC, "C");
  bindtextdomain (GETTEXT_PACKAGE, FIL_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);

  g_set_prgname ("filigree-cli");

  if (argc < 2)
    {
      fprintf (stderr, "%s\n", _("filigree-cli: no command given; try “filigree-cli help”"));
      return FIL_EXIT_USAGE;
    }
  if (strcmp (argv[1], "--version") == 0)
    {
      puts ("filigree-cli " FIL_VERSION);
      return FIL_EXIT_DONE;
    }

  command = fil_cli_find_command (strcmp (argv[1], "--help") == 0 ? "help" : argv[1]);
  if (command == NULL)
    {
      fprintf (stderr, _("filigree-cli: %s: no such command; try “filigree-cli help”\n"),
               argv[1]);
      return FIL_EXIT_USAGE;
    }

  return command->run (argc - 1, argv + 1);
}
