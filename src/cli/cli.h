/* cli.h: what every command shares
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>
#include <json-glib/json-glib.h>

#include "fil-frame.h"

G_BEGIN_DECLS

/* Exit statuses, as the contract on the command line has them. */
enum
{
  FIL_EXIT_DONE = 0,
  FIL_EXIT_FAILED = 1,  /* it could not be done, or not whole */
  FIL_EXIT_USAGE = 2,   /* unknown option, setting or command */
};

/**
 * FilCommand:
 * @name: as typed
 * @arguments: for the usage line, "RIG" or "--out FILE CLIP"
 * @summary: one line, not yet translated
 * @run: gets argv[0] = the command's name; returns an exit status
 */
typedef struct
{
  const char *name;
  const char *arguments;
  const char *summary;
  int       (*run) (int    argc,
                    char **argv);
} FilCommand;

const FilCommand *const *fil_cli_list_commands (void);
const FilCommand        *fil_cli_find_command  (const char *name);

/* cli-options.c */
gboolean fil_cli_parse       (const FilCommand   *command,
                              const GOptionEntry *entries,
                              int                *argc,
                              char             ***argv,
                              int                 min_arguments,
                              int                 max_arguments,
                              int                *status);
int      fil_cli_fail        (const char         *what,
                              const GError       *error);
int      fil_cli_usage_error (const FilCommand   *command,
                              const char         *format,
                              ...) G_GNUC_PRINTF (2, 3);
void     fil_cli_print_usage (const FilCommand   *command);
gboolean fil_cli_parse_number (const char        *text,
                              double             *value);

/* cli-time.c */
gboolean fil_cli_parse_time  (const char         *text,
                              gint64             *utc_ns,
                              GError            **error);
gboolean fil_cli_check_clock (gint64              utc_ns,
                              GError            **error);

/* cli-progress.c */
void     fil_cli_progress    (const char         *what,
                              guint64             done,
                              guint64             total);

/* cli-json.c */
void     fil_cli_json_number (JsonBuilder        *builder,
                              const char         *key,
                              double              value);
void     fil_cli_json_int    (JsonBuilder        *builder,
                              const char         *key,
                              gint64              value);
void     fil_cli_json_bool   (JsonBuilder        *builder,
                              const char         *key,
                              gboolean            value);
void     fil_cli_json_string (JsonBuilder        *builder,
                              const char         *key,
                              const char         *value);
void     fil_cli_json_print  (JsonBuilder        *builder);

G_END_DECLS
