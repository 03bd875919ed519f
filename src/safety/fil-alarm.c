/* fil-alarm.c: the filter may be gone
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A filter that goes multiplies the light by a hundred to a hundred thousand,
 * from one frame to the next. Nothing else does that to the clear disc; but
 * the disc coming in from the dark sky, a cloud that clears, or a longer
 * exposure look the same to somebody who doesn't know how bright the clear
 * disc is. So that is learnt first (fil-disc-level.c), in counts a
 * millisecond, and a rise is judged against it:
 *
 * - what the clear disc explains raises no alarm;
 * - the brightness is that of what is bright in the field, ⟨I²⟩/⟨I⟩, so that a
 *   limb that moves in changes little;
 * - after any setting was changed some frames are passed over, and the alarm
 *   is on again when the disc was seen as bright as expected.
 *
 * Before the disc was seen steadily for five seconds there is no reference,
 * and no alarm; nor while exposure or gain wander by themselves. With only a
 * few frames a second, a slew from rest that brings an overexposed disc in
 * within two frames raises it.
 */

#include <math.h>

#include <glib/gi18n-lib.h>

#include "fil-alarm.h"
#include "fil-disc-level.h"

#define MS_NS            G_GINT64_CONSTANT (1000000)
#define FEW_FULL         0.05
#define MANY_FULL        0.50
#define FILLED_WITHIN_NS (500 * MS_NS)
#define SIGNAL_FACTOR    3.0

#define SETTLE_NS        (500 * MS_NS)   /* queued frames still have the old settings */
#define SETTLE_SAMPLES   5
#define GAP_NS           (10000 * MS_NS) /* after such a pause nothing is told by the last frame */

#define DARK             0.1             /* of the ceiling: no well-exposed disc */
#define EVEN             0.12            /* sd over mean: no limb in the field */
#define ON_DISC          0.7             /* of the reference */
#define AS_EXPECTED_LOW  0.5
#define AS_EXPECTED      1.3
#define NEARLY_FULL      0.97            /* of the ceiling */

#define CALM_NS          (300 * MS_NS)
#define CALM_SPREAD      0.1
#define JUMP_NS          (100 * MS_NS)   /* from the calm disc to a full picture */
#define JUMP_SAMPLES     2
#define CLIMB_NS         (500 * MS_NS)   /* slower than that climbs no leak */
#define CLIMB_SAMPLES    2
#define DOUBT_READINGS   12              /* a minute of them, all far below what is expected */

struct _FilAlarm
{
  FilAlarmCause  fired;
  FilAlarmSample last;             /* time_ns 0: none yet */
  FilDiscLevel   disc;

  gint64         changed_ns;       /* settings */
  guint          since_change;     /* samples */
  gboolean       confirmed;        /* the disc was as bright as expected since then */
  guint          readings_before;  /* of the disc, when the settings changed */

  gint64         few_full_ns;      /* last sample with few full pixels; 0: none */
  guint          since_few_full;

  gint64         calm_from_ns;     /* the picture has kept its level since */
  double         calm_level;
  gint64         calm_ns;          /* last sample that was calm and on the disc; 0: none */
  guint          since_calm;

  gint64         expected_ns;      /* last sample not above what is expected; 0: none */
  guint          since_expected;
};

/* Forgets what the last frames told; the reference stays. */
static void
forget_frames (FilAlarm *alarm)
{
  alarm->few_full_ns = 0;
  alarm->calm_from_ns = 0;
  alarm->calm_ns = 0;
  alarm->expected_ns = 0;
  fil_disc_level_restart (&alarm->disc);
}

FilAlarm *
fil_alarm_new (void)
{
  FilAlarm *alarm = g_new0 (FilAlarm, 1);

  fil_alarm_reset (alarm);

  return alarm;
}

void
fil_alarm_free (FilAlarm *alarm)
{
  g_free (alarm);
}

/**
 * fil_alarm_reset:
 *
 * Begins anew, without a reference: another source, another rig, or a fresh
 * pass after an alarm.
 */
void
fil_alarm_reset (FilAlarm *alarm)
{
  g_return_if_fail (alarm != NULL);

  *alarm = (FilAlarm) { .fired = FIL_ALARM_QUIET };
  fil_disc_level_clear (&alarm->disc);
  forget_frames (alarm);
}

/* Returns: whether the clear disc is known at the present settings, so that
 *   the alarm can be raised at all */
gboolean
fil_alarm_is_ready (const FilAlarm *alarm)
{
  g_return_val_if_fail (alarm != NULL, FALSE);

  return alarm->confirmed && isfinite (alarm->disc.reference);
}

/* Returns: translated, what the observer is told to have happened */
const char *
fil_alarm_cause_to_text (FilAlarmCause cause)
{
  switch (cause)
    {
    case FIL_ALARM_FULL:
      return _("the picture filled with full pixels within a moment: the filter may be gone");
    case FIL_ALARM_SIGNAL:
      return _("more than three times the light of the clear disc: the filter may be gone");
    case FIL_ALARM_QUIET:
    default:
      return _("no alarm");
    }
}

/* Same number, or both unknown. */
static gboolean
same (double a,
      double b)
{
  return (isnan (a) && isnan (b)) || fabs (a - b) <= 1e-9 * fabs (a);
}

/* A longer exposure of known length moves the expectation along with it.
 * A gain may be in any unit, and any other setting may do anything: the
 * reference is learnt anew then. */
static void
follow_settings (FilAlarm             *alarm,
                 const FilAlarmSample *sample)
{
  gboolean same_exposure = same (alarm->last.exposure_ms, sample->exposure_ms);
  gboolean same_gain = same (alarm->last.gain, sample->gain);
  gboolean both_known = alarm->last.exposure_ms > 0.0 && sample->exposure_ms > 0.0;

  if (alarm->last.time_ns != 0 && same_exposure && same_gain &&
      alarm->last.settings_serial == sample->settings_serial)
    return;

  if (!same_gain || !both_known || same_exposure)
    fil_disc_level_clear (&alarm->disc);
  alarm->changed_ns = sample->time_ns;
  alarm->since_change = 0;
  alarm->confirmed = FALSE;
  alarm->readings_before = alarm->disc.n_readings;
  forget_frames (alarm);
}

/* What the clear disc would give at this sample's settings, in counts. */
static double
expected_level (const FilAlarm       *alarm,
                const FilAlarmSample *sample)
{
  return alarm->disc.reference * (sample->exposure_ms > 0.0 ? sample->exposure_ms : 1.0);
}

/* A driver may do something else than it says. If the first frames of new
 * settings are brighter than the clear disc would be, or all of them for a
 * minute far darker, the expectation is of no use. */
static void
doubt_settings (FilAlarm             *alarm,
                const FilAlarmSample *sample,
                double                level)
{
  gboolean too_bright = level > AS_EXPECTED * expected_level (alarm, sample);
  gboolean too_dark = alarm->disc.n_readings - alarm->readings_before >= DOUBT_READINGS;

  if (!alarm->confirmed && (too_bright || too_dark))
    {
      fil_disc_level_clear (&alarm->disc);
      alarm->readings_before = 0;
    }
}

/* The brightness of what is bright, however little of the field it fills: for
 * a share c at level D and darkness beside it ⟨I²⟩/⟨I⟩ is D, and ⟨I⟩ cD. Noise
 * about a mean near zero would make it anything, so it is held to 3 sd. */
static double
bright_level (const FilAlarmSample *sample)
{
  double sd = sample->sd > 0.0 ? sample->sd : 0.0;
  double mean = MAX (sample->mean, 0.0);

  if (mean <= 0.0)
    return 0.0;

  return MIN (mean + sd * sd / mean, mean + 3.0 * sd);
}

static double
per_exposure (const FilAlarmSample *sample,
              double                level)
{
  return sample->exposure_ms > 0.0 ? level / sample->exposure_ms : level;
}

/* Few full pixels a moment ago, many now, and the clear disc doesn't explain
 * it: it could not fill the picture even at its brightest part, or it was
 * calmly in the picture right before, and was not full. */
static gboolean
has_filled (const FilAlarm       *alarm,
            const FilAlarmSample *sample,
            double                expected)
{
  double ceiling = sample->full_count;
  gboolean sudden, beyond, jumped;

  if (sample->full_fraction <= MANY_FULL || alarm->few_full_ns == 0)
    return FALSE;

  /* At slow frame rates two frames in a row are the closest there is. */
  sudden = sample->time_ns - alarm->few_full_ns <= FILLED_WITHIN_NS || alarm->since_few_full == 0;
  beyond = expected * alarm->disc.headroom < ceiling;
  jumped = alarm->calm_ns != 0 && expected <= NEARLY_FULL * ceiling &&
           (sample->time_ns - alarm->calm_ns <= JUMP_NS || alarm->since_calm < JUMP_SAMPLES);

  return sudden && (beyond || jumped);
}

/* Far above the clear disc. A climb through the range between tells that the
 * reference was none: somebody approaches the Sun through its glow. */
static gboolean
is_beyond (FilAlarm             *alarm,
           const FilAlarmSample *sample,
           double                level,
           double                expected)
{
  if (level <= SIGNAL_FACTOR * expected)
    return FALSE;

  if (alarm->expected_ns != 0 && alarm->since_expected >= CLIMB_SAMPLES &&
      sample->time_ns - alarm->expected_ns >= CLIMB_NS)
    {
      fil_disc_level_clear (&alarm->disc);
      alarm->confirmed = FALSE;
      return FALSE;
    }

  return TRUE;
}

static FilAlarmCause
judge (FilAlarm             *alarm,
       const FilAlarmSample *sample,
       double                level)
{
  double expected = expected_level (alarm, sample);

  if (!fil_alarm_is_ready (alarm))
    return FIL_ALARM_QUIET;
  if (has_filled (alarm, sample, expected))
    return FIL_ALARM_FULL;
  if (is_beyond (alarm, sample, level, expected))
    return FIL_ALARM_SIGNAL;

  return FIL_ALARM_QUIET;
}

/* Whether the picture has kept its level for a while, within a tenth. */
static gboolean
is_calm (FilAlarm *alarm,
         gint64    time_ns,
         double    level)
{
  if (alarm->calm_from_ns == 0 ||
      fabs (level - alarm->calm_level) > CALM_SPREAD * alarm->calm_level)
    {
      alarm->calm_from_ns = time_ns;
      alarm->calm_level = level;
      return FALSE;
    }

  return time_ns - alarm->calm_from_ns >= CALM_NS;
}

static void
remember (FilAlarm             *alarm,
          const FilAlarmSample *sample,
          double                level)
{
  double expected = expected_level (alarm, sample);
  gboolean few_full = sample->full_fraction < FEW_FULL;

  alarm->since_few_full++;
  alarm->since_calm++;
  alarm->since_expected++;

  if (few_full)
    {
      alarm->few_full_ns = sample->time_ns;
      alarm->since_few_full = 0;
      if (is_calm (alarm, sample->time_ns, level) && level >= ON_DISC * expected)
        {
          alarm->calm_ns = sample->time_ns;
          alarm->since_calm = 0;
        }
    }
  if (level <= AS_EXPECTED * expected)
    {
      alarm->expected_ns = sample->time_ns;
      alarm->since_expected = 0;
      if (few_full && level >= AS_EXPECTED_LOW * expected)
        alarm->confirmed = TRUE;
    }
}

static void
learn (FilAlarm             *alarm,
       const FilAlarmSample *sample,
       double                level)
{
  gboolean even = sample->sd >= 0.0 && sample->sd < EVEN * sample->mean;

  /* Written so that an unknown ceiling teaches nothing. */
  if (sample->full_fraction < FEW_FULL && sample->full_count > 0.0 &&
      level >= DARK * sample->full_count)
    fil_disc_level_add (&alarm->disc, sample->time_ns, per_exposure (sample, level), even);
  else
    fil_disc_level_restart (&alarm->disc);
}

/**
 * fil_alarm_watch:
 * @sample: the next frame; every one, or as many as are measured
 *
 * Once raised, the alarm stays until fil_alarm_reset().
 *
 * Returns: %FIL_ALARM_QUIET, or why the stream must stop
 */
FilAlarmCause
fil_alarm_watch (FilAlarm             *alarm,
                 const FilAlarmSample *sample)
{
  double level;

  g_return_val_if_fail (alarm != NULL && sample != NULL, FIL_ALARM_QUIET);

  if (alarm->fired != FIL_ALARM_QUIET || !isfinite (sample->mean) ||
      !isfinite (sample->full_fraction))
    return alarm->fired;

  follow_settings (alarm, sample);
  if (sample->time_ns <= alarm->last.time_ns || sample->time_ns - alarm->last.time_ns > GAP_NS)
    forget_frames (alarm);
  alarm->last = *sample;

  if (alarm->since_change++ < SETTLE_SAMPLES || sample->time_ns - alarm->changed_ns < SETTLE_NS)
    return FIL_ALARM_QUIET;

  level = bright_level (sample);
  doubt_settings (alarm, sample, level);
  alarm->fired = judge (alarm, sample, level);
  learn (alarm, sample, level);
  remember (alarm, sample, level);

  return alarm->fired;
}
