# SPDX-License-Identifier: GPL-3.0-or-later
"""mend: a recording is killed, its clip completed, and read by astropy (Debian 12: 5.2.1).

Usage: check-mend.py FILIGREE-CLI. Prints TAP.
"""

import json
import os
import signal
import subprocess
import sys
import tempfile
import time

import numpy as np
from astropy.io import fits

CLI = sys.argv[1]
SOURCE = "sim:seed=3,width=256,height=192,fps=50,paced=yes"
number = 0
failed = 0


def check(what, right, told=""):
    global number, failed
    number += 1
    failed += not right
    print(f"{'ok' if right else 'not ok'} {number} - {what}")
    if not right and told:
        print(f"# {told}")


def run(*arguments):
    return subprocess.run([CLI, *arguments], capture_output=True, text=True)


def kill_a_recording(path, *more):
    """Kills a recording once some of its frames are on disk."""
    growing = path + ".new" if more else path
    process = subprocess.Popen([CLI, "record", "--source", SOURCE, "--frames", "100000",
                                "--out", path, *more],
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            if fits.getval(growing, "NAXIS3") >= 10:
                break
        except (OSError, KeyError):
            pass
        time.sleep(0.05)
    process.send_signal(signal.SIGKILL)
    process.wait()
    return growing


def check_whole(path, what, n_frames):
    with fits.open(path, checksum=True) as hdus:
        cube = hdus[0].data
        table = hdus["FRAMES"].data
        check(f"{what}: every frame has its row",
              cube.shape[0] == n_frames == len(table), f"{cube.shape}, {len(table)} rows")
        means = cube.reshape(n_frames, -1).mean(axis=1)
        check(f"{what}: the rows belong to their frames",
              np.allclose(table["MEAN"], means, rtol=1e-6))
        check(f"{what}: CLIPDONE", hdus[0].header["CLIPDONE"] is True)


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "killed.fits")
        kill_a_recording(path)
        told = json.loads(run("inspect", "--json", path).stdout)
        check("the killed clip is incomplete", told["complete"] is False)

        mended = run("mend", "--json", path)
        check("mend succeeds", mended.returncode == 0, mended.stderr)
        result = json.loads(mended.stdout)
        check("no frame that was told of is lost", result["frames"] >= told["frames"] >= 10,
              f"{told['frames']} before, {result['frames']} after")
        check("it names the clip", result["path"] == path)
        check("the journal is gone", os.listdir(folder) == ["killed.fits"],
              str(os.listdir(folder)))
        check_whole(path, "mended", result["frames"])
        told = json.loads(run("inspect", "--json", path).stdout)
        check("inspect finds it whole", told["complete"] is True and told["checksum"] == "ok",
              str(told))

        again = run("mend", "--json", path)
        check("mending again changes nothing", again.returncode == 0 and
              json.loads(again.stdout)["frames"] == result["frames"], again.stderr)

        growing = kill_a_recording(path, "--force")
        check("the old clip stands while its successor grew",
              json.loads(run("inspect", "--json", path).stdout)["frames"] == result["frames"])
        mended = run("mend", "--json", growing)
        check("mend takes a clip that grew beside the old one", mended.returncode == 0,
              mended.stderr)
        result = json.loads(mended.stdout)
        check_whole(result["path"], "grown beside", result["frames"])

        for name, content in (("empty", b""), ("noise", os.urandom(5000))):
            bad = os.path.join(folder, name)
            with open(bad, "wb") as file:
                file.write(content)
            refused = run("mend", bad)
            check(f"{name} is refused in one line", refused.returncode == 1 and
                  refused.stderr.startswith(f"filigree-cli: {bad}: ") and
                  refused.stderr.count("\n") == 1, refused.stderr)
            with open(bad, "rb") as file:
                check(f"{name} is left as it was", file.read() == content)
        check("no argument is wrong usage", run("mend").returncode == 2)
    print(f"1..{number}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
