#!/usr/bin/python3
# check-bench.py: the `bench` command against its contract
# SPDX-License-Identifier: GPL-3.0-or-later
#
# check-bench.py FILIGREE-CLI: prints TAP. What the stages say is the
# machine's; that they are there, finite, and leave nothing behind is ours.

import json
import math
import os
import subprocess
import sys
import tempfile

CLI = os.path.abspath(sys.argv[1])
RIG = '''[rig]
name=Small
[element 1]
kind=objective
type=lens
aperture_mm=60
focal_length_mm=360
[element 2]
kind=camera
pixel_um=2.9
columns=320
rows=240
'''


def no_constant(name):
    raise ValueError(f'{name} is no JSON')


def bench(*args):
    return subprocess.run([CLI, 'bench', *args], capture_output=True, text=True, timeout=120,
                          env=dict(os.environ, LC_ALL='C.UTF-8'))


def main():
    oks = []
    with tempfile.TemporaryDirectory() as folder:
        rig = os.path.join(folder, 'small.rig')
        with open(rig, 'w') as file:
            file.write(RIG)
        done = bench('--rig', rig, '--dir', folder, '--json')
        told = json.loads(done.stdout, parse_constant=no_constant)
        oks.append((done.returncode == 0, 'status'))
        oks.append(((told['width'], told['height']) == (320, 240), "the rig's sensor"))
        stages = {stage['name']: stage for stage in told['stages']}
        oks.append(({'recorded', 'measured', 'shown'} <= set(stages), 'stages'))
        oks.append((all(math.isfinite(s['value']) and s['value'] > 0 and s['unit']
                        for s in told['stages']), 'values with units'))
        oks.append((os.listdir(folder) == ['small.rig'], 'nothing is left behind'))

        done = bench('--dir', os.path.join(folder, 'none'))
        oks.append((done.returncode == 1 and done.stderr.startswith('filigree-cli: '),
                    'a folder that is not there'))
        oks.append((bench('--nonsense').returncode == 2, 'an unknown option'))

    print(f'1..{len(oks)}')
    for number, (ok, name) in enumerate(oks, 1):
        print(f"{'ok' if ok else 'not ok'} {number} {name}")
    return not all(ok for ok, _ in oks)


sys.exit(main())
