/* fil-sim-run.h: the simulated Sun while it streams
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-director.h"
#include "fil-sim-stage.h"
#include "fil-source.h"

G_BEGIN_DECLS

/**
 * FilSimRunOptions:
 * @source: borrowed; handed to @sink
 */
typedef struct
{
  FilSource           *source;
  FilSimSettings       settings;
  FilSimOptics         optics;
  FilSimView           view;
  FilSimKnobs          knobs;
  const FilSourceSink *sink;
  gpointer             user_data;
} FilSimRunOptions;

typedef struct _FilSimRun FilSimRun;

FilSimRun *fil_sim_run_start      (const FilSimRunOptions *options,
                                   GError                **error);
void       fil_sim_run_stop       (FilSimRun              *run);
void       fil_sim_run_set_knobs  (FilSimRun              *run,
                                   const FilSimKnobs      *knobs,
                                   FilSimTarget            target);
guint64    fil_sim_run_get_gaps   (FilSimRun              *run);

G_END_DECLS
