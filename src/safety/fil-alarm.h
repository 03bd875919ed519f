/* fil-alarm.h: the filter may be gone
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef struct
{
  gint64   time_ns;         /* monotonic */
  double   mean;            /* counts less the black level */
  double   full_fraction;   /* 0 to 1 */
  double   exposure_ms;     /* NaN: unknown; then changes come by settings_serial */
  double   gain;            /* linear or in the driver's unit */
  guint    settings_serial; /* counts up whenever anything was set */
} FilAlarmSample;

typedef enum
{
  FIL_ALARM_QUIET,
  FIL_ALARM_FULL,       /* full pixels from under 5 % to over 50 % within half a second */
  FIL_ALARM_SIGNAL,     /* signal beyond 3 × the clear-disc reference, nothing changed */
} FilAlarmCause;

/* Belongs to one thread. */
typedef struct _FilAlarm FilAlarm;

FilAlarm     *fil_alarm_new   (void);
void          fil_alarm_free  (FilAlarm             *alarm);
FilAlarmCause fil_alarm_watch (FilAlarm             *alarm,
                               const FilAlarmSample *sample);
void          fil_alarm_reset (FilAlarm             *alarm);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilAlarm, fil_alarm_free)

G_END_DECLS
