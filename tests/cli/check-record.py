#!/usr/bin/python3
# check-record.py: the `record` command against its contract
# SPDX-License-Identifier: GPL-3.0-or-later
#
# check-record.py FILIGREE-CLI: prints TAP. Clips are read by astropy, which
# knows nothing of our writer.

import json
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import warnings

import numpy as np
from astropy.io import fits

CLI = os.path.abspath(sys.argv[1])
SIM = 'sim:width=256,height=192,seed=5,fps=25'
KEYS = {'frames', 'lost', 'source_gaps', 'seconds', 'bytes', 'mib_per_s', 'path'}
ENV = dict(os.environ, LC_ALL='C.UTF-8')

REFUSED_RIG = '''[rig]
name=No filter
[element 1]
kind=objective
type=lens
aperture_mm=60
focal_length_mm=360
[element 2]
kind=camera
pixel_um=2.9
columns=1936
rows=1096
'''

GOOD_RIG = REFUSED_RIG.replace('[element 2]', '[element 3]').replace('[element 1]', '''[element 1]
kind=front-filter
material=film
density=5.0
[element 2]''')


def cli(*args, **more):
    return subprocess.run([CLI, *args], capture_output=True, text=True, env=ENV,
                          timeout=120, **more)


def record(*args, **more):
    return cli('record', *args, **more)


def read(path):
    """The cube and its FRAMES table; every checksum is verified."""
    with warnings.catch_warnings():
        warnings.simplefilter('error')
        with fits.open(path, checksum=True) as hdus:
            assert hdus[0].header['CLIPDONE'] is True
            return hdus[0].data.copy(), hdus['FRAMES'].data.copy(), hdus[0].header.copy()


def cube(folder):
    """A source that comes as fast as it is taken, and costs nothing to make."""
    path = f'{folder}/cube.fits'
    rng = np.random.default_rng(3)
    fits.writeto(path, rng.integers(0, 4096, (10, 192, 256)).astype(np.uint16))
    return ['--source', path, '--loop', '--fps', '1000']


def one_line(stderr):
    lines = [line for line in stderr.splitlines() if line.startswith('filigree-cli: ')
             and not line.startswith('filigree-cli: warning: ')]
    assert len(lines) == 1, stderr
    return lines[0]


def left_behind(folder):
    return sorted(os.listdir(folder))


def check_usage(folder):
    out = f'{folder}/a.fits'
    for args in (['--frames', '1', '--out', out],
                 ['--source', SIM, '--frames', '1'],
                 ['--source', SIM, '--out', out],
                 ['--source', SIM, '--frames', '1', '--seconds', '1', '--out', out],
                 ['--source', SIM, '--frames', '0', '--out', out],
                 ['--source', SIM, '--frames', 'x', '--out', out],
                 ['--source', SIM, '--seconds', 'nan', '--out', out],
                 ['--source', SIM, '--frames', '1', '--roi', '1,2,3', '--out', out],
                 ['--source', SIM, '--frames', '1', '--size', '640', '--out', out],
                 ['--source', SIM, '--frames', '1', '--queue-mib', '0', '--out', out],
                 ['--source', SIM, '--frames', '1', '--lead', '2', '--out', out],
                 ['--source', SIM, '--frames', '1', '--sieve', '10', '--out', out],
                 ['--source', SIM, '--frames', '1', '--out', out, 'extra'],
                 ['--source', 'sim:nonsense=1', '--frames', '1', '--out', out],
                 ['--source', '/dev/video0', '--frames', '1', '--out', out]):
        done = record(*args)
        assert done.returncode == 2, (args, done)
        assert done.stdout == '', done
    assert left_behind(folder) == []


def check_whole(folder):
    out = f'{folder}/a.fits'
    done = record('--source', SIM + ',paced=no', '--frames', '20', '--out', out, '--json')
    assert done.returncode == 0, done
    told = json.loads(done.stdout)
    assert KEYS <= set(told), told
    assert told['frames'] == 20 and told['lost'] == 0 and told['source_gaps'] == 0, told
    assert told['path'] == out and told['bytes'] == os.path.getsize(out), told
    rate = told['bytes'] / 2 ** 20 / told['seconds']
    assert abs(told['mib_per_s'] - rate) < 1e-6 * rate, told

    pixels, frames, header = read(out)
    assert pixels.shape == (20, 192, 256) and pixels.dtype == np.uint16
    np.testing.assert_allclose(frames['MEAN'], pixels.mean(axis=(1, 2)), rtol=1e-5)
    full = (pixels >= header['DATAMAX']).mean(axis=(1, 2))
    np.testing.assert_allclose(frames['FULL'], full, rtol=1e-6)
    assert np.isfinite(frames['SHARP']).all()
    assert (np.diff(frames['SEQ']) == 1).all()
    assert left_behind(folder) == ['a.fits']


def check_overwrite(folder):
    out = f'{folder}/a.fits'
    source = cube(folder)
    with open(out, 'w') as file:
        file.write('precious')
    done = record(*source, '--frames', '3', '--out', out)
    assert done.returncode == 1, done
    assert out in one_line(done.stderr)
    assert open(out).read() == 'precious'
    done = record(*source, '--frames', '3', '--out', out, '--force')
    assert done.returncode == 0, done
    assert read(out)[0].shape[0] == 3
    assert left_behind(folder) == ['a.fits', 'cube.fits']


def check_signals(folder):
    for number in (signal.SIGINT, signal.SIGTERM):
        out = f'{folder}/{number.name}.fits'
        process = subprocess.Popen([CLI, 'record', '--source', SIM, '--seconds', '100',
                                    '--out', out, '--json'],
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=ENV)
        waited = time.monotonic() + 60
        while not os.path.exists(out) and time.monotonic() < waited:
            time.sleep(0.05)
        time.sleep(0.7)

        # While it grows it can be read, and says that it is not done.
        with open(out, 'rb') as file:
            assert b'CLIPDONE=                    F' in file.read(28800)
        assert os.path.exists(out + '.rows')

        process.send_signal(number)
        stdout, _ = process.communicate(timeout=60)
        assert process.returncode == 0, process
        told = json.loads(stdout)
        assert read(out)[0].shape[0] == told['frames'] > 0
        assert not os.path.exists(out + '.rows')


def check_seconds(folder):
    out = f'{folder}/a.fits'
    done = record('--source', SIM, '--seconds', '1.5', '--out', out, '--json')
    assert done.returncode == 0, done
    told = json.loads(done.stdout)
    assert 1.5 <= told['seconds'] < 4.0, told
    assert 5 <= told['frames'] <= 39, told
    assert told['frames'] + told['source_gaps'] >= 30, told


def check_places(folder):
    source = cube(folder)
    for out in (f'{folder}/none/a.fits', folder, '/proc/a.fits'):
        done = record(*source, '--frames', '1', '--out', out, '--force')
        assert done.returncode == 1, done
        assert one_line(done.stderr)
    for source in (f'{folder}/none.fits', '/dev/null'):
        done = record('--source', source, '--frames', '1', '--out', f'{folder}/a.fits')
        assert done.returncode in (1, 2) and done.stderr, done
    assert left_behind(folder) == ['cube.fits']


def check_replay(folder):
    """A cube of ours and one of somebody else's come through bit for bit."""
    rng = np.random.default_rng(7)
    foreign = rng.integers(0, 65536, (6, 150, 141)).astype(np.uint16)
    fits.writeto(f'{folder}/foreign.fits', foreign)
    done = record('--source', f'{folder}/foreign.fits', '--frames', '6',
                  '--out', f'{folder}/a.fits')
    assert done.returncode == 0, done
    assert (read(f'{folder}/a.fits')[0] == foreign).all()

    done = record('--source', f'{folder}/a.fits', '--frames', '6', '--roi', '3,5,130,129',
                  '--out', f'{folder}/b.fits')
    assert done.returncode == 0, done
    top = 150 - 5 - 129
    assert (read(f'{folder}/b.fits')[0] == foreign[:, top:top + 129, 3:133]).all()

    done = record('--source', f'{folder}/a.fits', '--frames', '100',
                  '--out', f'{folder}/c.fits', '--json')
    assert done.returncode == 1, done
    assert re.search(r': 6 frames kept: ', one_line(done.stderr)), done
    assert json.loads(done.stdout)['frames'] == 6
    assert (read(f'{folder}/c.fits')[0] == foreign).all()

    done = record('--source', f'{folder}/a.fits', '--loop', '--frames', '15',
                  '--out', f'{folder}/d.fits')
    assert done.returncode == 0, done
    assert (read(f'{folder}/d.fits')[0] == foreign[np.arange(15) % 6]).all()

    done = record('--source', f'{folder}/a.fits', '--frames', '1', '--roi', '100,0,100,100',
                  '--out', f'{folder}/e.fits')
    assert done.returncode == 1 and 'e.fits' not in left_behind(folder), done


def check_full_disk(folder):
    """A file system of 12 MiB of its own: about 100 of these frames fit."""
    keep = tempfile.mkdtemp()
    source = ' '.join(cube(keep))
    script = f'''mount -t tmpfs -o size=12m none {folder} && cd {folder} &&
        {CLI} record {source} --frames 1000 --out a.fits --json >told 2>why
        echo $? >status; cat status told why >&2; cp -r . "$KEEP"'''
    try:
        subprocess.run(['unshare', '--map-root-user', '--mount', 'sh', '-c', script],
                       env=dict(ENV, KEEP=keep), check=True, capture_output=True, timeout=120)
        why = open(f'{keep}/why').read()
        assert open(f'{keep}/status').read().strip() == '1', why
        assert 'warning' in why
        line = [line for line in why.splitlines() if 'kept' in line][0]
        kept = re.match(r'filigree-cli: .*: (\d+) frames kept: .*space', line)
        assert kept, why
        n_frames = len(read(f'{keep}/a.fits')[0])
        assert n_frames == int(kept[1]) > 50
        assert json.load(open(f'{keep}/told'))['frames'] == n_frames
        assert 'a.fits.rows' not in left_behind(keep)
    finally:
        shutil.rmtree(keep)


def check_disk_limit(folder):
    """A limit on the size of files stands for a disk that fails."""
    def limit():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (4 << 20, 4 << 20))

    done = record(*cube(folder), '--frames', '500', '--out', f'{folder}/a.fits',
                  preexec_fn=limit)
    assert done.returncode == 1, done
    kept = re.search(r': (\d+) frames kept: ', one_line(done.stderr))
    assert len(read(f'{folder}/a.fits')[0]) == int(kept[1]) > 0


def check_gate(folder):
    """Refusing findings first, then the gate; nothing is opened or made."""
    for name, text in (('refused', REFUSED_RIG), ('good', GOOD_RIG)):
        with open(f'{folder}/{name}.rig', 'w') as file:
            file.write(text)
    args = ['--source', '/dev/video0', '--frames', '1', '--out', f'{folder}/a.fits', '--rig']

    done = record(*args, f'{folder}/refused.rig')
    assert done.returncode == 1, done
    lines = done.stderr.splitlines()
    assert re.match(r'[a-z][a-z-]+: .+', lines[0]) and 'filigree-cli' not in lines[0], lines
    assert 'gate' in lines[-1], lines

    done = record(*args, f'{folder}/good.rig', stdin=subprocess.DEVNULL)
    assert done.returncode == 1, done
    assert 'the gate is closed: ' in one_line(done.stderr), done

    for name in ('FILIGREE_GATE', 'FILIGREE_PASS', 'FIL_GATE', 'GATE'):
        done = subprocess.run([CLI, 'record', *args, f'{folder}/good.rig'], text=True,
                              env=dict(ENV, **{name: '1'}), capture_output=True)
        assert done.returncode == 1 and 'gate' in done.stderr, done
    assert left_behind(folder) == ['good.rig', 'refused.rig']


def check_settings(folder):
    """Exposure and gain reach the source; a comma is no decimal point."""
    out = f'{folder}/a.fits'
    done = record('--source', SIM, '--frames', '2', '--exposure-ms', '2.5', '--out', out)
    assert done.returncode == 0, done
    _, frames, header = read(out)
    np.testing.assert_allclose(frames['XPOSURE'], 0.0025, rtol=1e-6)
    done = record('--source', SIM, '--frames', '2', '--exposure-ms', '2,5', '--out', out)
    assert done.returncode == 2, done
    done = record('--source', SIM, '--frames', '2', '--format', 'ZZZZ', '--out',
                  f'{folder}/b.fits')
    assert done.returncode == 1, done
    assert left_behind(folder) == ['a.fits']


def main():
    checks = [value for name, value in globals().items() if name.startswith('check_')]
    print(f'1..{len(checks)}')
    failed = 0
    for number, check in enumerate(checks, 1):
        folder = tempfile.mkdtemp(prefix='filigree-record-')
        try:
            check(folder)
            print(f'ok {number} {check.__name__}', flush=True)
        except Exception as fault:
            failed += 1
            print(f'not ok {number} {check.__name__}', flush=True)
            for line in f'{type(fault).__name__}: {fault}'.splitlines()[:20]:
                print('# ' + line, flush=True)
        finally:
            shutil.rmtree(folder)
    return failed > 0


sys.exit(main())
