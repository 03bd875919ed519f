/* fil-sim-knobs.h: what can be turned while the simulated Sun shines
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-director.h"
#include "fil-source.h"

G_BEGIN_DECLS

typedef enum
{
  FIL_SIM_KNOB_EXPOSURE = 1,
  FIL_SIM_KNOB_GAIN,
  FIL_SIM_KNOB_BLACK,
  FIL_SIM_KNOB_FOCUS,
  FIL_SIM_KNOB_TARGET,
  FIL_SIM_KNOB_DRIVE,
  FIL_SIM_KNOB_CENTRE,
  FIL_SIM_KNOB_KNOCK,
  FIL_SIM_KNOB_R0,
  FIL_SIM_KNOB_WIND,
  FIL_SIM_KNOB_CLOUDS,
  FIL_SIM_KNOB_ASTIGMATISM,
  FIL_SIM_KNOB_WEST,
  FIL_SIM_KNOB_NORTH,
} FilSimKnobId;

/* All that stands behind the controls. */
typedef struct
{
  FilSimKnobs  knobs;
  FilSimTarget target;
  double       max_exposure_ms;   /* the frame interval */
  int          full;              /* largest count */
} FilSimPanel;

void        fil_sim_panel_init (FilSimPanel          *panel,
                                const FilSimSettings *settings);
void        fil_sim_panel_set_level (FilSimPanel     *panel,
                                const FilSimSettings *settings,
                                const FilSimOptics   *optics,
                                const FilPixelFormat *format);
GPtrArray  *fil_sim_panel_list (const FilSimPanel *panel);
FilControl *fil_sim_panel_dup  (const FilSimPanel *panel,
                                guint32            id);
gboolean    fil_sim_panel_set  (FilSimPanel       *panel,
                                guint32            id,
                                GVariant          *value,
                                GError           **error);

G_END_DECLS
