# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives the window through the accessibility tree, as a screen reader's user would.

Usage: window.py FILIGREE [FOLDER FOR SCREENSHOTS]. Prints TAP. The clip that the
window records is read by astropy (Debian 12: 5.2.1).
"""

import glob
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import desk as at  # noqa: E402
from desk import Desk, application, find, press, wait_for  # noqa: E402

CHECKS = []


def check(function):
    CHECKS.append(function)
    return function


class Window:
    def __init__(self, desk, program, clips):
        self.desk, self.clips = desk, clips
        desk.settings(folder=f"'{clips}'", record_frames="20", step="'focus'")
        self.log = os.path.join(desk.home, "log")
        self.process = desk.start([program], self.log)
        desk.wait_for_window("^Filigree$")
        self.app = wait_for(application, "the program in the accessibility tree")
        wait_for(lambda: find(self.app, "push button", "Focus"), "the steps")

    def find(self, *args, **kwargs):
        return find(self.app, *args, **kwargs)

    def wait(self, what, *args, **kwargs):
        return wait_for(lambda: self.find(*args, **kwargs), what)

    def step(self, name):
        press(self.wait(name, "push button", name))

    def text_of(self, name):
        """The text of the first label in the group of that name."""
        label = find(self.find(name=name), "label")
        return label.get_name() if label is not None else None


@check
def says_simulated(window):
    window.wait("the badge", "push button", "simulated Sun")


@check
def shows_percent_of_the_mark(window):
    def percent():
        text = window.text_of("Percent of the high-water mark")
        return text is not None and text.isdigit() and 0 < int(text) <= 100
    wait_for(percent, "a percentage of the mark")


@check
def every_step_has_its_shelf(window):
    for step, name in (("Aim", "Figure to aim by"),
                       ("Expose", "Mean, percent of full"),
                       ("Record", "Length of a clip"),
                       ("Review", None),
                       ("Focus", "Percent of the high-water mark")):
        window.step(step)
        if name is not None:
            window.wait(f"the shelf of {step}", name=name)


@check
def everything_operable_has_a_name(window):
    """Every control that can be operated is named for screen readers."""
    roles = {"push button", "toggle button", "check box", "slider", "spin button", "combo box",
             "text", "list", "menu button", "radio button"}
    nameless = []
    for step in ("Aim", "Focus", "Expose", "Record", "Review", "F2", "F3"):
        if step == "F2":
            window.desk.key("F2")
            window.wait("the rig page", name="Light path, from the sky to the sensor")
        elif step == "F3":
            window.desk.key("F3")
            window.wait("the Sun page", "label", starts="Now, ")
        else:
            window.step(step)
        at.listen(0.3)
        for node in at.walk(window.app):
            try:
                if node.get_role_name() not in roles:
                    continue
                if not node.get_state_set().contains(at.Atspi.StateType.FOCUSABLE):
                    continue
                if not (node.get_name() or "").strip() or node.get_name().startswith("Gtk"):
                    nameless.append(f"{step}: {node.get_role_name()} in {node.get_parent().get_role_name()} {node.get_parent().get_name()!r}")
            except Exception:
                continue
    assert not nameless, f"without a name: {sorted(set(nameless))}"


@check
def records_a_clip_whole(window):
    from astropy.io import fits

    window.step("Record")
    press(window.wait("the record button", "push button", starts="Record 20"))
    wait_for(lambda: glob.glob(os.path.join(window.clips, "*.fits")), "a clip")
    path = glob.glob(os.path.join(window.clips, "*.fits"))[0]
    wait_for(lambda: not os.path.exists(path + ".rows") and
             fits.getval(path, "CLIPDONE") is True, "the clip to be closed")
    with fits.open(path) as hdus:
        assert hdus[0].header["NAXIS3"] == 20
        assert hdus["FRAMES"].data["SHARP"].shape == (20,)
        assert (hdus["FRAMES"].data["MEAN"] > 0).all()


@check
def one_press_does_not_end_a_clip(window):
    """Ending takes two presses within a second; Esc never does."""
    window.step("Record")
    spin = window.wait("the length", "spin button", "Length of a clip")
    spin.get_value_iface().set_current_value(100000)
    button = window.wait("the record button", "push button", starts="Record 100")
    press(button)
    running = lambda: find(window.app, "push button", starts="") and any(
        "of 100" in (node.get_name() or "") for node in at.walk(window.app)
        if node.get_role_name() == "push button")
    wait_for(running, "a running clip")
    window.desk.key("Escape")
    window.desk.key("r")
    at.listen(2.5)
    assert running(), "one press, or Esc, ended the clip"
    window.desk.key("r")
    window.desk.key("r")
    wait_for(lambda: not running(), "the clip to end on two presses")


@check
def review_lists_and_opens_clips(window):
    window.step("Review")
    clips = window.wait("the list of clips", name="Clips in the folder")
    rows = wait_for(lambda: [n for n in at.walk(clips) if n.get_role_name() == "list item"] or
                    None, "clips in the list")
    assert len(rows) == 2, f"{len(rows)} clips listed"
    rows[-1].get_parent().get_selection_iface().select_child(0)
    window.wait("the clip's frames", "label", starts="frame 1 of ")
    press(window.wait("play", "push button", "Play"))
    wait_for(lambda: find(window.app, "push button", "Pause"), "the clip to play")
    press(window.wait("pause", "push button", "Pause"))
    window.step("Focus")


@check
def driver_controls_have_a_page(window):
    press(window.wait("camera controls", "push button", starts="Camera controls"))
    wait_for(lambda: find(window.app, "frame", "Camera controls") or
             find(window.app, "window", "Camera controls"), "the page of controls")
    wait_for(lambda: find(window.app, name="Exposure"), "the exposure among the controls")
    window.desk.key("Escape")


@check
def stays_up_and_quiet(window):
    assert window.process.poll() is None, "the program has ended"
    with open(window.log, encoding="utf-8") as file:
        noise = [line for line in file if "WARNING" in line or "CRITICAL" in line]
    assert not noise, f"on standard error: {noise[:3]}"


def main():
    program = sys.argv[1]
    failed = 0
    print(f"1..{len(CHECKS)}")
    with Desk() as desk:
        clips = os.path.join(desk.home, "clips")
        os.makedirs(clips)
        window = Window(desk, program, clips)
        for i, function in enumerate(CHECKS, 1):
            name = function.__name__.replace("_", " ")
            try:
                function(window)
                print(f"ok {i} - {name}")
            except Exception as problem:  # a broken check is a failed check
                failed += 1
                print(f"not ok {i} - {name}")
                print(f"# {type(problem).__name__}: {problem}")
                if len(sys.argv) > 2:
                    desk.picture(os.path.join(sys.argv[2], f"failed-{i}.png"))
            sys.stdout.flush()
        if window.process.poll() is not None or failed:
            with open(window.log, encoding="utf-8") as file:
                print("".join("# " + line for line in file.readlines()[-20:]), end="")
        desk.stop(window.process)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
