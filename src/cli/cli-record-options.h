/* cli-record-options.h: what a recording was asked to be
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "cli.h"
#include "fil-live.h"

G_BEGIN_DECLS

typedef struct
{
  const char    *source;
  const char    *rig;
  const char    *out;
  FilSourceMode  mode;          /* zeros: not asked for */
  guint64        frames;        /* 0: not asked for */
  double         seconds;       /* 0: not asked for */
  double         exposure_ms;   /* NaN: not asked for */
  double         gain;          /* NaN: not asked for */
  guint          queue_mib;
  gboolean       loop, force, json;
} FilCliRecordOptions;

gboolean fil_cli_record_options_parse (FilCliRecordOptions *options,
                                       const FilCommand    *command,
                                       int                  argc,
                                       char               **argv,
                                       int                 *status);

G_END_DECLS
