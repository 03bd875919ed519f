#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""filigree-cli drift on clips made by numpy, and on the simulated Sun's.

The made-up clips hold a texture without any period, moved by the Fourier
shift theorem, with noise, dust that stays where it is, and a trembling as of
air. The Sun's rate on the sky comes from astropy 5.2.1 (TETE: true equator
and equinox of date). Prints TAP.

Usage: check_drift.py FILIGREE_CLI ROOF_102.RIG
"""
import json
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
from astropy import units
from astropy.coordinates import TETE, get_sun
from astropy.io import fits
from astropy.time import Time
from astropy.utils import iers

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '../house'))
from tap import Tap  # noqa: E402

iers.conf.auto_download = False
CLI, RIG = sys.argv[1:3]
WIDTH, HEIGHT, SIDE = 200, 160, 640
DAY = '2021-06-01T10:00:00'
SIM_DAY = '2026-04-04T12:00:00'
tap = Tap()


def drift(*arguments):
    return subprocess.run([CLI, 'drift', *arguments], capture_output=True, text=True)


def sky_rate(day):
    """Arcsec a second: the hour angle's rate times the cosine of declination."""
    times = Time(day, scale='utc') + np.array([0.0, 1200.0]) * units.s
    sun = get_sun(times).transform_to(TETE(obstime=times))
    sidereal = times.sidereal_time('apparent', 'greenwich')
    angle = (sidereal - sun.ra).wrap_at(360 * units.deg).to_value(units.arcsec)
    step = (angle[1] - angle[0]) % (360 * 3600)
    return step / 1200.0 * math.cos(sun.dec.mean().to_value(units.rad))


class Scene:
    def __init__(self, seed, contrast=0.02, dust=0.03, noise=0.01):
        self.rng = np.random.default_rng(seed)
        f = np.hypot(*np.meshgrid(np.fft.fftfreq(SIDE), np.fft.fftfreq(SIDE)))
        shape = np.exp(-(f / 0.12) ** 2) * (f > 0.01)
        self.texture = np.fft.rfft2(np.fft.ifft2(
            shape * np.fft.fft2(self.rng.standard_normal((SIDE, SIDE)))).real)
        self.texture *= contrast / np.fft.irfft2(self.texture).std()
        self.noise = noise
        self.dust = np.ones((HEIGHT, WIDTH))
        y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
        for _ in range(20):
            cx, cy, r = self.rng.uniform(0, WIDTH), self.rng.uniform(0, HEIGHT), \
                self.rng.uniform(1.5, 5)
            self.dust -= 3 * dust * np.exp(-((x - cx) ** 2 + (y - cy) ** 2) / 2 / r ** 2)

    def frame(self, dx, dy, light=1.0):
        """Moved to the right and, in FITS rows, up."""
        fx, fy = np.meshgrid(np.fft.rfftfreq(SIDE), np.fft.fftfreq(SIDE))
        moved = np.fft.irfft2(self.texture * np.exp(-2j * np.pi * (fx * dx + fy * dy)))
        picture = light * self.dust * (1 + moved[:HEIGHT, :WIDTH])
        picture += self.noise * self.rng.standard_normal(picture.shape)
        return np.clip(20000 * picture, 0, 65535)


def tremble(rng, n, fps, rms):
    keep = math.exp(-10 / fps)
    value = np.zeros((n, 2))
    for i in range(1, n):
        value[i] = keep * value[i - 1] + rms * math.sqrt(1 - keep ** 2) * rng.standard_normal(2)
    return value


def write(path, cube, times=None, day=DAY, dtype=np.uint16):
    primary = fits.PrimaryHDU(np.asarray(cube).astype(dtype))
    if day:
        primary.header['DATE-BEG'] = day
    units_ = [primary]
    if times is not None:
        units_.append(fits.BinTableHDU.from_columns(
            [fits.Column('TIME', 'D', unit='s', array=times)], name='FRAMES'))
    fits.HDUList(units_).writeto(path)
    return path


def places(velocity, times, rng, rms=0.7):
    shake = tremble(rng, len(times), 15.0, rms)
    return [(velocity[0] * t + s[0], velocity[1] * t + s[1]) for t, s in zip(times, shake)]


def clip(path, scene, velocity, moments, **keywords):
    return write(path, [scene.frame(*p) for p in places(velocity, moments, scene.rng)], **keywords)


def velocity_for(angle_deg, mirrored, speed):
    """West, position angle 270°, in the picture: angles on the sky run
    counter-clockwise from up, mirrored clockwise."""
    from_up = math.radians(270 - angle_deg) * (-1 if mirrored else 1)
    return -speed * math.sin(from_up), speed * math.cos(from_up)


def check_result(name, done, angle, mirrored, scale, n_frames, sigma=4.0):
    if done.returncode != 0:
        tap.check(False, name, done.stderr)
        return None
    told = json.loads(done.stdout)
    off = (told['position_angle_deg'] - angle + 180) % 360 - 180
    ratio = told['plate_scale_arcsec_per_px'] / scale - 1
    good = abs(off) < sigma * told['position_angle_error_deg'] + 0.02
    good &= abs(ratio) * scale < sigma * told['plate_scale_error_arcsec_per_px'] + 3e-4 * scale
    good &= told['mirrored'] == mirrored and told['frames'] == n_frames
    good &= told['plate_scale_error_arcsec_per_px'] < 0.02 * scale
    good &= told['position_angle_error_deg'] < 1.0
    tap.check(good, name, f'angle off by {off:.3f}°, scale by {100 * ratio:.3f} %', done.stdout)
    return told


def refused(name, done, *words):
    good = done.returncode == 1 and not done.stdout and done.stderr.count('\n') == 1
    good &= all(word in done.stderr for word in words)
    tap.check(good, name, f'status {done.returncode}', done.stdout, done.stderr)


def made(folder):
    rate, speed = sky_rate(DAY), 14.0
    times = np.arange(120) / 15.0
    for number, (angle, mirrored) in enumerate(((20.0, False), (250.0, False), (130.0, True))):
        path = clip(os.path.join(folder, f'a{number}.fits'), Scene(number),
                    velocity_for(angle, mirrored, speed), times)
        rig = []
        name = f'up at position angle {angle:.0f}°'
        if mirrored:
            name = 'mirrored, as the rig has one reflection'
            text = open(RIG, encoding='utf-8').read().replace('pixel_um=2.9', 'pixel_um=10')
            own = os.path.join(folder, 'own.rig')
            with open(own, 'w', encoding='utf-8') as out:
                out.write(text)
            rig = ['--rig', own]
        told = check_result(name, drift(path, '--fps', '15', '--json', *rig), angle, mirrored,
                            rate / speed, 120)
        if told:
            tap.check(abs(told['sky_rate_arcsec_per_s'] / rate - 1) < 2e-5,
                      f'{name}: rate of the sky as astropy has it', rate, told)

    uneven = np.cumsum(np.random.default_rng(3).uniform(0.03, 0.1, 140))
    uneven[70:] += 1.5
    one = clip(os.path.join(folder, 'u1.fits'), Scene(11), velocity_for(77, False, speed), uneven,
               times=uneven)
    two = clip(os.path.join(folder, 'u2.fits'), Scene(12), velocity_for(77, False, speed), times,
               times=times)
    single = check_result('uneven times and a gap', drift(one, '--json'), 77, False,
                          rate / speed, 140)
    both = check_result('two clips', drift(one, two, '--json'), 77, False, rate / speed, 260)
    if single and both:
        tap.check(both['position_angle_error_deg'] < single['position_angle_error_deg'],
                  'two clips know the angle better than one', single, both)

    winter = '2021-12-21T12:00:00'
    done = drift(two, '--time', winter, '--json')
    check_result('--time goes before DATE-BEG', done, 77, False, sky_rate(winter) / speed, 120)
    zone = drift(two, '--time', '2021-12-21T14:00:00+02:00', '--json')
    tap.check(zone.stdout == done.stdout, '--time with a zone', zone.stdout, zone.stderr)

    scene = Scene(13)
    cube = np.array([scene.frame(*p) for p in places(velocity_for(5, False, speed), times,
                                                     scene.rng)])
    for dtype, factor in ((np.float32, 1e-3), (np.int32, 1000)):
        path = write(os.path.join(folder, f'{np.dtype(dtype)}.fits'), cube * factor, dtype=dtype)
        check_result(f'numbers of type {np.dtype(dtype)}', drift(path, '--fps', '15', '--json'),
                     5, False, rate / speed, 120)

    human = drift(two, '--rig', own)
    tap.check(human.returncode == 0 and 'Perhaps the amplifier' in human.stdout,
              'a scale that isn’t the rig’s is explained', human.stdout, human.stderr)


def bad(folder):
    times = np.arange(120) / 15.0
    v = velocity_for(20, False, 14.0)

    def path(name):
        return os.path.join(folder, name)

    still = clip(path('still.fits'), Scene(21), (0, 0), times, times=times)
    refused('the drive was on', drift(still), 'still.fits', 'drive')
    refused('the drive was on, with a rig', drift(still, '--rig', RIG), 'drive', 'rig')

    scene = Scene(22)
    stops = [(v[0] * min(t, 5), v[1] * min(t, 5)) for t in times]
    again = write(path('again.fits'), [scene.frame(*p) for p in stops], times=times)
    refused('the drive was started again', drift(again), 'drive', 'gust')

    scene = Scene(23)
    kick = [(v[0] * t + 9 * (t > 4), v[1] * t - 9 * (t > 4)) for t in times]
    refused('a gust', drift(write(path('gust.fits'), [scene.frame(*p) for p in kick],
                                  times=times)), 'gust')

    scene = Scene(24)
    cloudy = [scene.frame(v[0] * t, v[1] * t, 1.0 if t < 3 else 0.02) for t in times]
    refused('clouds', drift(write(path('cloud.fits'), cloudy, times=times)), 'cloud')

    few = clip(path('few.fits'), Scene(25), v, times[:12], times=times[:12])
    refused('too few frames', drift(few), '12', 'few')
    blank = clip(path('blank.fits'), Scene(26, contrast=0, dust=0), v, times, times=times)
    refused('nothing to follow', drift(blank), 'nothing')
    refused('times that go backward',
            drift(clip(path('back.fits'), Scene(27), v, times[:20], times=times[:20][::-1])),
            'time')
    refused('no times', drift(clip(path('notimes.fits'), Scene(28), v, times[:20])), '--fps')
    refused('no date', drift(clip(path('nodate.fits'), Scene(29), v, times[:20], day=None,
                                  times=times[:20])), '--time')
    tiny = write(path('tiny.fits'), np.ones((30, 20, 20)), times=np.arange(30.0))
    refused('frames of 20 pixels', drift(tiny), '32')
    refused('no such file', drift(path('none.fits')), 'none.fits')
    for words in ([], [few, '--time', 'noon'], [few, '--time', '2250-01-01'], [few, '--fps', '0'], [few, '--fps', 'x']):
        done = drift(*words)
        tap.check(done.returncode == 2 and not done.stdout, f'wrong usage: {words[1:]}',
                  done.returncode, done.stderr)


def simulated(folder):
    """Its own sky is that of a fixed day; its rig's scale is known."""
    for target, r0 in (('spot', 40), ('quiet', 120), ('limb', 80)):
        path = os.path.join(folder, f'{target}.fits')
        source = f'sim:drive=off,paced=no,fps=12,seed=5,target={target},r0_mm={r0},' \
                 'width=960,height=720'
        done = subprocess.run([CLI, 'record', '--source', source, '--rig', RIG, '--frames', '108',
                               '--out', path], capture_output=True, text=True)
        if done.returncode != 0:
            tap.check(False, f'simulated {target}', done.stderr)
            continue
        scale = 2.9e-3 / 2040 * 180 / math.pi * 3600
        told = check_result(f'simulated {target}, r0 {r0} mm',
                            drift(path, '--rig', RIG, '--time', SIM_DAY, '--json'), 0, True,
                            scale, 108)
        if told:
            tap.check(abs(told['plate_scale_arcsec_per_px'] / scale - 1) < 0.01 and
                      told['rig_plate_scale_arcsec_per_px'] is not None,
                      f'simulated {target}: scale within 1 % in 9 s', told)
            plain = json.loads(drift(path, '--json').stdout)
            tap.check(plain == told, f'simulated {target}: the clip knows its rig and its day',
                      plain)
        os.remove(path)


def main():
    with tempfile.TemporaryDirectory(prefix='drift-') as folder:
        made(folder)
        bad(folder)
        simulated(folder)
    return tap.done()


sys.exit(main())
