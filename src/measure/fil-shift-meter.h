/* fil-shift-meter.h: how far one picture lies beside another
 * SPDX-License-Identifier: GPL-3.0-or-later */

#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FilShift:
 * @x: pixels; how far the picture moved since the reference, to larger x
 * @y: the same, to larger y
 * @certainty: height of the peak over the standard deviation that pictures
 *   with nothing in common would give; below about 10: no match
 */
typedef struct
{
  double x, y;
  double certainty;
} FilShift;

/* A picture's transform; belongs to meters of one size. */
typedef struct _FilSpectrum FilSpectrum;

/* Plans and scratch memory for one size; one a thread. */
typedef struct _FilShiftMeter FilShiftMeter;

FilShiftMeter *fil_shift_meter_new      (int                width,
                                         int                height);
void           fil_shift_meter_free     (FilShiftMeter     *meter);
FilSpectrum   *fil_spectrum_new         (const FilShiftMeter *meter);
void           fil_spectrum_free        (FilSpectrum       *spectrum);
void           fil_shift_meter_transform (FilShiftMeter    *meter,
                                         const float       *pixels,
                                         int                pitch,
                                         FilSpectrum       *spectrum);
void           fil_shift_meter_clear    (FilShiftMeter     *meter);
void           fil_shift_meter_add      (FilShiftMeter     *meter,
                                         const FilSpectrum *reference,
                                         const FilSpectrum *picture);
void           fil_shift_meter_find     (FilShiftMeter     *meter,
                                         double             near_x,
                                         double             near_y,
                                         double             radius,
                                         FilShift          *shift);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilShiftMeter, fil_shift_meter_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (FilSpectrum, fil_spectrum_free)

G_END_DECLS
