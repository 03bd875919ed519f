/* fil-alarm.h: the filter may be gone
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilAlarmSample:
 * @time_ns: monotonic
 * @mean: of the frame, counts less the black level
 * @sd: of the frame's pixels, counts
 * @full_fraction: share of full pixels, 0 to 1
 * @full_count: where a pixel is full, counts less the black level; must be
 *   known, or no reference is ever learnt
 * @exposure_ms: NaN: unknown; then changes come by @settings_serial alone
 * @gain: linear or in the driver's unit
 * @settings_serial: counts up whenever anything was set, by us, by the driver
 *   or by its automatic
 */
typedef struct
{
  gint64 time_ns;
  double mean;
  double sd;
  double full_fraction;
  double full_count;
  double exposure_ms;
  double gain;
  guint  settings_serial;
} FilAlarmSample;

typedef enum
{
  FIL_ALARM_QUIET,
  FIL_ALARM_FULL,       /* full pixels from under 5 % to over 50 % within half a second */
  FIL_ALARM_SIGNAL,     /* signal beyond 3 × the clear-disc reference, nothing changed */
} FilAlarmCause;

/* Belongs to one thread. */
typedef struct _FilAlarm FilAlarm;

FilAlarm     *fil_alarm_new       (void);
void          fil_alarm_free      (FilAlarm             *alarm);
FilAlarmCause fil_alarm_watch     (FilAlarm             *alarm,
                                   const FilAlarmSample *sample);
gboolean      fil_alarm_is_ready  (const FilAlarm       *alarm);
void          fil_alarm_reset     (FilAlarm             *alarm);
const char   *fil_alarm_cause_to_text (FilAlarmCause     cause);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilAlarm, fil_alarm_free)

G_END_DECLS
