/* cmd-help.c: what there is, and how it is called
 * SPDX-License-Identifier: GPL-3.0-or-later */

#include <stdio.h>

#include <glib/gi18n-lib.h>

#include "cli.h"

static void
print_overview (void)
{
  const FilCommand *const *commands = fil_cli_list_commands ();

  puts (_("Usage: filigree-cli COMMAND [OPTION…] [ARGUMENT…]\n"));
  puts (_("Commands:"));
  for (int i = 0; commands[i] != NULL; i++)
    printf ("  %-12s %s\n", commands[i]->name, _(commands[i]->summary));
  puts (_("\nSources: /dev/videoN, sim: with settings, or a FITS cube to replay.\n"
          "“filigree-cli help COMMAND” tells more. “filigree” opens the window.\n\n"
          "Sunlight through a telescope blinds in an instant. The filter maker’s\n"
          "instructions and local rules come first."));
}

static int
run (int    argc,
     char **argv)
{
  const FilCommand *command;
  char *help_argv[] = { NULL, (char *) "--help", NULL };

  if (argc < 2)
    {
      print_overview ();
      return FIL_EXIT_DONE;
    }

  command = fil_cli_find_command (argv[1]);
  if (command == NULL)
    {
      fprintf (stderr, _("filigree-cli: %s: no such command\n"), argv[1]);
      return FIL_EXIT_USAGE;
    }
  if (g_str_equal (command->name, "help"))
    {
      print_overview ();
      return FIL_EXIT_DONE;
    }

  help_argv[0] = (char *) command->name;

  return command->run (2, help_argv);
}

const FilCommand fil_command_help = {
  "help", "[COMMAND]", N_("list the commands, or explain one"), run
};
