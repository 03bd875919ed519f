# SPDX-License-Identifier: GPL-3.0-or-later
"""The first minute of a session on the simulated Sun, through the accessibility tree.

Usage: aim.py FILIGREE. Prints TAP. The simulated telescope stands with the western limb
in view, 12° north of west, and its drive is stopped on the way; north is up, west is right. The disc's
centre lies 959.23″ (the Sun's semidiameter at 1 au, IAU 2015) away, 978 parts in a
thousand of that to the east and 208 to the south, and the picture's top points north.
"""

import math
import os
import re
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import desk as at  # noqa: E402
from desk import Desk, application, find, press, wait_for, walk  # noqa: E402

CHECKS = []
RADIUS_ARCMIN = 959.23 / 60.0


def check(function):
    CHECKS.append(function)
    return function


class Window:
    def __init__(self, desk, program):
        self.desk = desk
        desk.settings(step="'aim'", welcomed="true")
        self.log = os.path.join(desk.home, "log")
        self.process = desk.start(
            [program, "sim:target=limb,fps=10,r0_mm=60"], self.log)
        desk.wait_for_window("^Filigree$")
        self.app = wait_for(application, "the program in the accessibility tree")
        wait_for(lambda: find(self.app, "push button", "Focus"), "the steps")

    def label(self, pattern, seconds=60):
        def look():
            for node in walk(self.app):
                try:
                    if node.get_role_name() == "label" and re.search(pattern, node.get_name() or ""):
                        return re.search(pattern, node.get_name())
                except Exception:  # it has gone meanwhile
                    continue
            return None
        return wait_for(look, f"a label like {pattern}", seconds)

    def texts(self):
        return [node.get_name() for node in walk(self.app) if node.get_role_name() == "label"]

    def figure(self):
        group = find(self.app, name="Figure to aim by")
        label = find(group, "label") if group is not None else None
        return label.get_name() if label is not None else ""


@check
def the_limb_tells_where_the_centre_is(window):
    window.label("to the disc’s centre")
    wait_for(lambda: is_near(window.figure(), RADIUS_ARCMIN), "the distance of the disc's centre")


@check
def the_way_is_not_told_without_an_angle(window):
    window.label("The disc’s centre lies that way")
    window.label("^not measured$")


@check
def a_spot_is_no_place_without_an_angle(window):
    press(find(window.app, "push button", "Place by a spot…"))
    window.label("Measure the angle first")


@check
def the_telescope_can_be_moved(window):
    """West of the limb by 3.5′: the limb comes in from the east, and stays for the drift."""
    row = wait_for(lambda: find(open_controls(window), "list item", "Telescope towards west"),
                   "the control")
    value = next(node for node in walk(row) if node.get_role_name() == "spin button")
    value.get_value_iface().set_current_value(3.5)
    east = RADIUS_ARCMIN * math.cos(math.radians(12)) + 3.5
    south = RADIUS_ARCMIN * math.sin(math.radians(12))
    wait_for(lambda: is_near(window.figure(), math.hypot(east, south)), "the limb farther away")


@check
def the_drift_tells_the_angle(window):
    """Through the limb's own drift to the west, with the simulated drive off."""
    press(find(window.app, "push button", "Measure the angle…"))
    window.label("Stop the drive|Hands off", 20)
    press_row(window, "Drive")
    window.label("Hands off: the Sun drifts", 30)
    answer = window.label("Measured. Start the drive again|No angle this time", 90)
    assert answer.group(0).startswith("Measured"), window.texts()
    angle = float(window.figure())
    assert min(angle, 360.0 - angle) <= 0.3, angle
    press(find(window.app, "push button", "Use it"))
    text = window.label(r"([0-9.]+)° ± ([0-9.]+)°")
    error = float(text.group(2))
    assert error < 0.3, text.group(0)
    angle = float(text.group(1))
    assert min(angle, 360.0 - angle) < max(5.0 * error, 0.1), text.group(0)


@check
def then_the_hand_is_told_where_to_go(window):
    press_row(window, "Drive")
    press_row(window, "Centre the target")
    def right_way():
        text = window.label(r"Move the telescope ([0-9.]+)′ east and ([0-9.]+)′ south", 5)
        east, south = float(text.group(1)), float(text.group(2))
        return (abs(east - RADIUS_ARCMIN * math.cos(math.radians(12))) < 0.4 and
                abs(south - RADIUS_ARCMIN * math.sin(math.radians(12))) < 0.4)
    wait_for(right_way, "the way to the disc's centre")


@check
def the_place_of_the_patch_is_known(window):
    """Beside the limb or just on it: the western limb, north of the equator as the axis leans."""
    window.label("beside the disc|N [0-9.]+° W [0-9.]+°|S [0-9.]+° W [0-9.]+°")


@check
def nothing_was_complained_of(window):
    with open(window.log, encoding="utf-8") as file:
        lines = [line for line in file if "CRITICAL" in line or "WARNING" in line]
    assert not lines, lines


def is_near(text, arcmin):
    try:
        return abs(float(text) - arcmin) < 0.4
    except ValueError:
        return False


def open_controls(window):
    if find(window.app, name="Drive") is None:
        window.desk.key("ctrl+d")
    wait_for(lambda: find(window.app, name="Drive"), "the simulated Sun's controls")
    return window.app


def press_row(window, name):
    """The switch or button in the control's row of that name."""
    open_controls(window)
    for node in walk(wait_for(lambda: find(window.app, "list item", name), name)):
        action = node.get_action_iface()
        if node.get_role_name() != "label" and action is not None and action.get_n_actions() > 0:
            press(node)
            return
    raise RuntimeError(f"nothing to press in the row {name}")


def main():
    if len(sys.argv) != 2:
        print(__doc__, file=sys.stderr)
        return 2
    failed = 0
    print(f"1..{len(CHECKS)}")
    with Desk(1280, 800) as desk:
        window = Window(desk, sys.argv[1])
        for number, test in enumerate(CHECKS, 1):
            try:
                test(window)
                print(f"ok {number} {test.__name__}", flush=True)
            except (AssertionError, TimeoutError, RuntimeError, subprocess.CalledProcessError) as why:
                failed += 1
                print(f"not ok {number} {test.__name__}\n# {why}", flush=True)
        desk.stop(window.process)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
