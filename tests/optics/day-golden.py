#!/usr/bin/python3
# day-golden.py: where the golden rows of test-day.c come from
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Prints the table of tests/optics/test-day.c. Made with Debian 12's
# PyEphem 4.1.4: the Sun's centre at −50′, without refraction, at height 0.
# Each day begins at midnight of mean solar time, rounded to a minute.
import math
import random

import ephem

FIXED = [   # polar days and nights, the zenith, the date line, the poles' neighbours
    (69.65, 18.96, "2018-06-21"), (69.65, 18.96, "2018-12-21"), (69.65, 18.96, "2018-05-17"),
    (69.65, 18.96, "2018-11-25"), (78.2, 15.6, "2026-04-17"), (78.2, 15.6, "2026-08-25"),
    (66.8, 25.0, "2026-06-05"), (66.8, 25.0, "2026-07-08"), (-77.8, 166.7, "2026-01-10"),
    (-77.8, 166.7, "2026-07-01"), (-77.8, 166.7, "2026-10-20"), (-67.6, -68.1, "2026-12-03"),
    (23.44, 90.0, "2026-06-21"), (0.0, 0.0, "2026-03-20"), (-17.0, 179.9, "2026-02-03"),
    (-17.0, -179.9, "2026-02-03"), (88.0, 0.0, "2026-03-18"), (88.0, 0.0, "2026-06-18"),
    (47.0, 8.0, "2026-06-21"), (47.0, 8.0, "2026-12-21"),
]


def list_places():
    chance = random.Random(5)
    yield from FIXED
    for _ in range(34):
        latitude = math.degrees(math.asin(chance.uniform(-0.93, 0.93)))
        yield (round(latitude, 3), round(chance.uniform(-180, 180), 3),
               f"{chance.randrange(1975, 2050)}-{chance.randrange(1, 13):02}-"
               f"{chance.randrange(1, 29):02}")


def find(method, observer, start, end):
    """Seconds after the start; −1: not in this day."""
    observer.date = start
    try:
        when = method(ephem.Sun(observer), **({} if "transit" in method.__name__
                                              else {"use_center": True}))
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        return -1
    return round((when - start) * 86400) if when < end else -1


def main():
    for latitude, longitude, day in list_places():
        midnight = ephem.Date(day.replace("-", "/")) - longitude / 360
        start = ephem.Date(round(midnight * 1440) / 1440)
        observer = ephem.Observer()
        observer.lat, observer.lon = str(latitude), str(longitude)
        observer.elevation = observer.pressure = 0
        observer.horizon = "-0:50"
        rise, transit, down = (find(m, observer, start, start + 1) for m in (
            observer.next_rising, observer.next_transit, observer.next_setting))
        observer.date = start + transit / 86400
        altitude = math.degrees(ephem.Sun(observer).alt)
        observer.date = start
        up = math.degrees(ephem.Sun(observer).alt) > -50 / 60
        kind = "RISES_OR_SETS" if rise >= 0 or down >= 0 else "STAYS_UP" if up else "STAYS_DOWN"
        when = start.datetime().strftime("%Y-%m-%dT%H:%MZ")
        print(f'  {{ "{when}", {latitude}, {longitude}, FIL_DAY_{kind}, '
              f"{rise}, {transit}, {down}, {altitude:.3f} }},")


main()
