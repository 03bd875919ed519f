# SPDX-License-Identifier: GPL-3.0-or-later
"""What a screen reader's user learns of the sky over the picture.

Usage: sky.py SHOW-PICTURE. Prints TAP. Each check starts the picture alone, with
the place of its options; what is said of it follows from those by hand.
"""

import os
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from desk import Desk, application, find, wait_for  # noqa: E402

# Options, what stands there, what must not.
CHECKS = [
    ("an unmirrored picture has east a quarter to the left of north", ["--turn", "0"],
     ["Celestial north is 0° clockwise from up, celestial east 270°"], ["nominal"]),
    ("a mirrored one has it to the right", ["--turn", "0", "--mirrored"],
     ["Celestial north is 0° clockwise from up, celestial east 90°"], []),
    ("east is up on a picture turned by 90°", ["--turn", "90"],
     ["Celestial north is 90° clockwise from up, celestial east 0°"], []),
    # P is 25.24° on the day shown, towards celestial east.
    ("the Sun's axis leans by P", ["--turn", "0", "--solar"],
     ["Solar north is 335° clockwise from up, solar east 245°"], []),
    ("the grid tells its step", [], ["grid 10°"], []),
    # From (968.5, 548.5) to (2600, −800): 2117 px of 0.2933″, 1936 px wide.
    ("the way to the centre in arcminutes and fields", ["--arrow"],
     ["centre 10′ this way · 1.1 fields"], []),
    ("what is nominal says so", ["--nominal", "--arrow"],
     ["grid 10°\nnominal: angle not measured yet"], ["centre"]),
    ("with its grid off too", ["--nominal", "--no-grid"],
     ["nominal: angle not measured yet"], ["grid"]),
]


def stop(desk, process):
    """The next one isn't looked for before this one has left the tree."""
    desk.stop(process)
    wait_for(lambda: application("show-picture") is None, "the picture to leave the tree")


def run_check(desk, program, options, there, absent):
    process = desk.start([program, "--sky", *options])
    try:
        desk.wait_for_window("show-picture")
        app = wait_for(lambda: application("show-picture"), "the picture in the tree")
        wait_for(lambda: find(app, starts=there[0].split("°")[0]), there[0])
        for text in there:
            assert find(app, name=text), f"no “{text}”"
        for text in absent:
            assert not find(app, starts=text), f"“{text}” is there"
    finally:
        stop(desk, process)


def pointer_tells_its_place(desk, program):
    """In the middle of the disc there is B0, and the meridian that faces us."""
    process = desk.start([program, "--sky", "--sky-scale", "1.95", "--centre-x", "968.5",
                          "--centre-y", "548.5", "--no-patch"])
    try:
        desk.wait_for_window("show-picture")
        app = wait_for(lambda: application("show-picture"), "the picture in the tree")
        picture = wait_for(lambda: find(app, name="The picture"), "the picture")
        box = picture.get_component_iface().get_extents(0)
        for step in (5, 0):
            subprocess.run(["xdotool", "mousemove", str(box.x + box.width // 2 + step),
                            str(box.y + box.height // 2)], check=True)
        plate = wait_for(lambda: find(app, "label", starts="N "), "the pointer's plate")
        words = plate.get_name().replace("°", "").split()
        assert words[5:] == ["μ", "1.00"], plate.get_name()
        # The tree doesn't count the window's shadow: some pixels, 4 to the degree.
        assert abs(float(words[1]) - 7.0) < 3 and abs(float(words[3])) < 3, plate.get_name()
    finally:
        stop(desk, process)


def main():
    program = sys.argv[1]
    failed = 0
    checks = [(name, lambda desk, rest=rest: run_check(desk, program, *rest))
              for name, *rest in CHECKS]
    checks.append(("the pointer tells its place",
                   lambda desk: pointer_tells_its_place(desk, program)))
    print(f"1..{len(checks)}")
    with Desk() as desk:
        for i, (name, function) in enumerate(checks, 1):
            try:
                function(desk)
                print(f"ok {i} - {name}")
            except Exception as problem:  # a broken check is a failed check
                failed += 1
                print(f"not ok {i} - {name}\n# {type(problem).__name__}: {problem}")
            sys.stdout.flush()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
