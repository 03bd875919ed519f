#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""With a decimal comma in force, programs still speak with points.

check-locale.py SOURCE_ROOT FILIGREE_CLI

Each command runs twice, in C.UTF-8 and in de_DE.UTF-8: what machines read
has to be the same, number by number.
"""

import json
import locale
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tap import Tap

PLAIN, COMMA = "C.UTF-8", "de_DE.UTF-8"
SUN = "sim:seed=5,width=192,height=160,bits=12,fps=12.5,r0_mm=62.5,dust=no,paced=no"
# Told by the clock or by the machine, or prose in the reader's language.
NOT_COMPARED = {
    "record": {"path", "seconds", "mib_per_s"},
    "inspect": {"path", "date_beg", "date_end", "fps"},
    "optics": {"findings"},
    "measure": {"path"},
}


def has_comma(tap):
    try:
        locale.setlocale(locale.LC_NUMERIC, COMMA)
    except locale.Error as error:
        tap.check(False, f"{COMMA} can be had (package: locales)", error)
        return
    tap.check(locale.localeconv()["decimal_point"] == ",", f"{COMMA} has a decimal comma")


def run(cli, language, *arguments):
    done = subprocess.run([cli, *arguments], capture_output=True, text=True, check=False,
                          env=dict(os.environ, LC_ALL=language, LANGUAGE=""))
    return done.returncode, done.stdout, done.stderr


def run_json(tap, cli, language, what, *arguments):
    """Returns the object printed, without what isn't compared; None if none was."""
    status, out, errors = run(cli, language, arguments[0], "--json", *arguments[1:])
    try:
        answer = json.loads(out)
    except json.JSONDecodeError as error:
        errors += str(error)
        answer = None
    tap.check(status == 0 and answer, f"{what} in {language}", f"status {status}", errors)
    left_out = NOT_COMPARED[arguments[0]]
    return {k: v for k, v in (answer or {}).items() if k not in left_out}


def check_same(tap, cli, what, *arguments):
    plain, comma = (run_json(tap, cli, language, what, *arguments) for language in (PLAIN, COMMA))
    tap.check(plain and plain == comma, f"{what}: the same numbers", plain, comma)


def check_rigs(tap, source_root, cli, folder):
    rigs = sorted((Path(source_root) / "data/rigs").glob("*.rig"))
    tap.check(bool(rigs), "there are rigs to read")
    for rig in rigs:
        check_same(tap, cli, f"optics of {rig.name}", "optics", str(rig))
    with_comma = folder / "comma.rig"
    with_comma.write_text(rigs[-1].read_text(encoding="utf-8").replace("pixel_um=2.9", "pixel_um=2,9"),
                          encoding="utf-8")
    for language in (PLAIN, COMMA):
        status, _, errors = run(cli, language, "optics", str(with_comma))
        tap.check(status == 1 and "pixel_um" in errors,
                  f"a decimal comma in a rig is refused in {language}", status, errors)


def read_cards(path):
    """The header's cards that hold numbers, less those that the clock decides."""
    by_the_clock = ("DATE", "CAR_ROT", "CHECKSUM", "CRLN", "CRLT", "CRVAL", "DATASUM", "DSUN",
                    "ELEV_ANG", "HGL", "PC", "RSUN", "SOLAR")
    head = path.read_bytes()
    head = head[:head.index(b"END".ljust(80))]
    cards = [head[i:i + 80].decode("ascii") for i in range(0, len(head), 80)]
    numbers = [card for card in cards if card[8:10] == "= " and "'" not in card[10:31]]
    return [card[:31] for card in numbers if not card.startswith(by_the_clock)], numbers


def check_clips(tap, source_root, cli, folder):
    clips = {language: folder / f"{language}.fits" for language in (PLAIN, COMMA)}
    rig = str(Path(source_root) / "data/rigs/roof-102.rig")
    answers = [run_json(tap, cli, language, "record", "record", "--source", SUN, "--rig", rig,
                        "--frames", "6", "--exposure-ms", "1.25", "--out", str(clip))
               for language, clip in clips.items()]
    tap.check(answers[0] == answers[1] and answers[0], "record: the same numbers", *answers)
    compared, numbers = read_cards(clips[PLAIN])
    compared_comma, numbers_comma = read_cards(clips[COMMA])
    tap.check(len(compared) > 20 and compared == compared_comma, "record: the same header",
              *(set(compared) ^ set(compared_comma)))
    tap.none([c for c in numbers + numbers_comma if "," in c[10:31].split("/")[0]],
             "no card holds a decimal comma")
    for clip in clips.values():
        check_same(tap, cli, f"inspect {clip.name}", "inspect", str(clip))
        check_same(tap, cli, f"measure {clip.name}", "measure", "--rig", rig, str(clip))


def main(source_root, cli):
    tap = Tap()
    has_comma(tap)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        check_rigs(tap, source_root, cli, folder)
        check_clips(tap, source_root, cli, folder)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
