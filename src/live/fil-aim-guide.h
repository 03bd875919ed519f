/* fil-aim-guide.h: what an observer is to do next until the Sun is found
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FIL_AIM_SEARCH_S 60   /* with the cap off and no disc: the tube's inside heats */

typedef enum
{
  FIL_AIM_CAPPED,      /* point by the shadow, cap on */
  FIL_AIM_SEARCHING,   /* cap off: follow the light */
  FIL_AIM_OVERDUE,     /* a minute without the disc: the cap goes on again */
  FIL_AIM_LIMB,        /* the limb is in view */
  FIL_AIM_DISC,        /* all of the field is disc */
} FilAimState;

/**
 * FilAimSample:
 * @time_ns: any clock that goes on
 * @bright: light of the brightest thousandth, in shares of full a millisecond
 * @signal: the mean, the same
 * @place: as in FilGlowReading
 */
typedef struct
{
  gint64   time_ns;
  double   bright, signal, place;
  gboolean limb_seen;
} FilAimSample;

/* Belongs to one thread at a time. */
typedef struct _FilAimGuide FilAimGuide;

FilAimGuide *fil_aim_guide_new          (void);
void         fil_aim_guide_free         (FilAimGuide        *guide);
void         fil_aim_guide_reset        (FilAimGuide        *guide);
void         fil_aim_guide_set_expected (FilAimGuide        *guide,
                                         double              disc_per_ms);
void         fil_aim_guide_cap_off      (FilAimGuide        *guide,
                                         gint64              time_ns);
void         fil_aim_guide_cap_on       (FilAimGuide        *guide);
FilAimState  fil_aim_guide_add          (FilAimGuide        *guide,
                                         const FilAimSample *sample);
FilAimState  fil_aim_guide_get_state    (const FilAimGuide  *guide);
double       fil_aim_guide_get_left_s   (const FilAimGuide  *guide,
                                         gint64              time_ns);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilAimGuide, fil_aim_guide_free)

G_END_DECLS
