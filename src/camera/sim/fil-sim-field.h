/* fil-sim-field.h: transfer functions over the field of view
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include "fil-sim-moment.h"
#include "fil-sim-stage.h"

G_BEGIN_DECLS

/* The optics' and the air's blur of one moment, which changes over the field
 * where the sensor is tilted or the field curved. Belongs to one thread. */
typedef struct _FilSimField FilSimField;

FilSimField         *fil_sim_field_new      (const FilSimStage      *stage);
void                 fil_sim_field_free     (FilSimField            *field);
void                 fil_sim_field_set      (FilSimField            *field,
                                             const FilSimBlurMoment *moment);
const fftwf_complex *fil_sim_field_at       (FilSimField            *field,
                                             double                  x,
                                             double                  y);
double               fil_sim_field_defocus_um (const FilSimStage    *stage,
                                             double                  focus_um,
                                             double                  u,
                                             double                  v);
double               fil_sim_field_get_strehl (const FilSimField    *field);
void                 fil_sim_field_get_shift  (const FilSimField    *field,
                                             double                 *x,
                                             double                 *y);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSimField, fil_sim_field_free)

G_END_DECLS
