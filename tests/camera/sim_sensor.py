# sim_sensor.py: the simulated sensor, focus and motion against theory
# SPDX-License-Identifier: GPL-3.0-or-later
import numpy as np

from sim_tap import close, finish, frames, ok

# Photon transfer, EMVA Standard 1288: the variance of two equal exposures'
# difference against the signal. The demo camera: 12 bits over 10000 e-.
STILL = 'sim:target=quiet,width=320,height=256,r0_mm=1000000,wind_m_s=0'
GAIN = 4095 / 10000


def transfer(exposure_ms, gain_db=0.0):
    (a, b), _ = frames(STILL, 2, '-', exposure_ms, gain_db)
    hot = (np.abs(a - b) > 12 * (a - b).std())
    d = (a - b)[~hot]
    # Each row has its own offset: what is common to a row is not photon noise.
    rows = (a - b).mean(axis=1)
    return a[~hot].mean(), 0.5 * (d.var() - rows.var() + d.var() / a.shape[1])


dark_mean, dark_var = transfer(0.001)
points = np.array([transfer(ms) for ms in (0.1, 0.3, 0.6, 1.0, 1.5, 2.0, 2.6)])
slope, start = np.polyfit(points[:, 0] - dark_mean, points[:, 1], 1)
close(slope, GAIN, 0.02 * GAIN, 'system gain by photon transfer, counts/e-')
residual = points[:, 1] - (slope * (points[:, 0] - dark_mean) + start)
ok(np.abs(residual / points[:, 1]).max() < 0.02, 'photon transfer is a straight line',
   f'{np.abs(residual / points[:, 1]).max():.4f}')
# σ_d = √(σ²_dark − 1/12)/K; the camera reads with 2.4 e-, and a microsecond
# of sunlight brings photons of its own.
photons = (dark_mean - 64) / GAIN
close(np.sqrt((dark_var - 1 / 12) / GAIN ** 2 - photons), 2.4, 0.12, 'read noise, e-')
close(photons, 2.783, 0.3, 'black level: 64 counts and a microsecond of light')
mean, var = transfer(0.25, 12.0412)
close(var / (mean - dark_mean), 4 * GAIN, 0.03 * 4 * GAIN, 'gain of 12 dB makes counts of fewer electrons')
# Linear in time.
line = np.polyfit((0.1, 0.3, 0.6, 1.0, 1.5, 2.0, 2.6), points[:, 0], 1)
off = points[:, 0] - np.polyval(line, (0.1, 0.3, 0.6, 1.0, 1.5, 2.0, 2.6))
ok(np.abs(off).max() < 2, 'linear in time', f'{np.abs(off).max():.2f} counts')

# Few photons: Poisson's skewness, 1/√n (in electrons), not a Gaussian's 0.
(a, b, c, d), _ = frames(STILL + ',level=2.2,bits=16', 4)
n = (a.mean() - 1024) * 10000 / 65535
stack = np.array([a, b, c, d])
noise = (stack - stack.mean(axis=0)).ravel()
noise = noise[np.abs(noise) < 8 * noise.std()]
# The mean of four is taken off: that leaves (1 − 1/4)^½ of the skewness' own
# numerator, worked out: E(x−m)³ = μ3 (1 − 3/4 + 2/16), σ² (1 − 1/4).
skewness = (noise ** 3).mean() / (noise ** 2).mean() ** 1.5 * 0.75 ** 1.5 / 0.375
wanted = n / (n + 2.4 ** 2 + 0.25 ** 2) ** 1.5
close(skewness, wanted, 0.35 * wanted, f'skewness of {n:.0f} electrons')

# Ceiling and floor.
(a,), _ = frames(STILL, 1, '-', 30)
ok(a.max() == 4095 and (a == 4095).mean() > 0.95, 'overexposed pixels stop at full scale')

# Hot pixels and row noise are there, and gone with noise=no.
(a, b), _ = frames('sim:target=quiet,r0_mm=1000000,wind_m_s=0,noise=no', 2)
ok(np.array_equal(a, b), 'without noise and wind, frames are equal')
(a,), _ = frames('sim:target=quiet,r0_mm=1000000,bits=14', 1, '-', 0.001)
ok((np.abs(a.mean(axis=1) - a.mean()).std()) > 0, 'rows have offsets of their own')

window = np.outer(np.hanning(320), np.hanning(384))


def spectrum(picture):
    return np.fft.fft2((picture - picture.mean()) * window)


def measure(a, b):
    """How far b is moved against a, + right, + up: the peak of the
    cross-correlation, refined by a parabola."""
    c = np.fft.ifft2(np.conj(spectrum(a)) * spectrum(b)).real
    py, px = np.unravel_index(c.argmax(), c.shape)

    def refine(m, z, p):
        return 0.5 * (m - p) / (m - 2 * z + p)
    dy = refine(c[py - 1, px], c[py, px], c[(py + 1) % c.shape[0], px])
    dx = refine(c[py, px - 1], c[py, px], c[py, (px + 1) % c.shape[1]])
    return ((px + dx + 192) % 384 - 192, -((py + dy + 160) % 320 - 160))


def compare(settings, n):
    pictures, truths = frames('sim:noise=no,width=384,height=320,' + settings, n)
    seen = np.array([measure(pictures[0], picture) for picture in pictures[1:]])
    true = np.array([[t['x'] - truths[0]['x'], t['y'] - truths[0]['y']] for t in truths[1:]])
    return seen, true


# The truth of the shift against cross-correlation: a drift, without distortion.
seen, true = compare('drive=off,r0_mm=1000000,fps=40', 6)
ok(np.abs(seen - true).max() < 0.1, 'drift is where the truth says', f'{np.abs(seen - true).max():.3f} px')
# 15 arcsec a second at 5.66 degrees from the equator; one reflection: to the left.
close(true[-1, 0], -15 * 0.99513 * 5 / 40 / (206.264806 * 2.9 / 2040), 0.01, 'drift in 1/8 s, px')
# In moving air the middle, where the window looks, moves a bit otherwise than
# the whole.
seen, true = compare('r0_mm=60,fps=4', 10)
ok(np.corrcoef(seen[:, 0], true[:, 0])[0, 1] > 0.85 and np.corrcoef(seen[:, 1], true[:, 1])[0, 1] > 0.85,
   'image motion follows the truth', f'{np.corrcoef(seen[:, 0], true[:, 0])[0, 1]:.2f} '
   f'{np.corrcoef(seen[:, 1], true[:, 1])[0, 1]:.2f}, worst {np.abs(seen - true).max():.2f} px')


# Focus over the field: z = defocus + tilt_x u + tilt_y v + curvature (u² + v²)/2;
# a tilt alone puts best focus on a line.
def finest(settings, axis):
    """Where along an axis, −1 to 1, detail is finest: + right, + up."""
    (a,), _ = frames('sim:noise=no,target=quiet,r0_mm=1000000,width=1024,'
                     'height=1024,' + settings, 1)
    detail = np.diff(a, 2, axis=1)[1:-1] ** 2 + np.diff(a, 2, axis=0)[:, 1:-1] ** 2
    profile = detail.mean(axis=0 if axis == 'x' else 1)
    n = 16
    profile = profile[:profile.size // n * n].reshape(n, -1).mean(axis=1)
    place = (np.arange(n) + 0.5) / n * 2 - 1
    weight = (profile - profile.min()) ** 2
    middle = (weight * place).sum() / weight.sum()
    return middle if axis == 'x' else -middle


close(finest('defocus_um=-1500,tilt_x_um=3000', 'x'), 0.5, 0.08, 'tilt puts best focus to the right')
close(finest('defocus_um=-1500,tilt_x_um=-3000', 'x'), -0.5, 0.08, 'the other tilt to the left')
close(finest('defocus_um=-1500,tilt_y_um=3000', 'y'), 0.5, 0.08, 'tilt puts best focus up')
(a,), t = frames('sim:noise=no,r0_mm=1000000,defocus_um=700,width=256,height=256', 1,
                 '-', '=', '=', 700)
close(t[0]['strehl'], 1, 0.01, 'the focuser meets best focus')
close(t[0]['defocus_um'], 0, 1e-6, 'and the truth says so')
(a,), t = frames('sim:noise=no,r0_mm=1000000,defocus_um=432,width=256,height=256', 1)
# 2λN² = 432 µm from focus: a quarter wave, Strehl ratio 0.81.
close(t[0]['strehl'], 0.81, 0.01, 'a depth of focus away')
finish()
