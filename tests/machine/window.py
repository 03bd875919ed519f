#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The window on the kernel's test camera: window.py FILIGREE CLI RIG

Runs in the emulated machine, as root. Prints TAP. The window is driven by keys
and through the accessibility tree; what it does to the camera is read with
v4l2-ctl (v4l-utils). The checks follow one another: a story from the closed
gate to the camera that is plugged in again.
"""

import glob
import json
import os
import re
import subprocess
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "ui"))
import desk as at  # noqa: E402
from desk import Desk, application, find, press, wait_for  # noqa: E402

DEVICE = "/dev/video0"
DRIVER = "/sys/bus/platform/drivers/vivid/"
WIDTH, HEIGHT, FPS, FRAMES = 320, 180, 2, 4   # the machine is slow
FOURCC = int.from_bytes(b"Y12 ", "little")
DIALOG = "Before sunlight reaches the camera"
CHECKED = re.compile(r"checked \d\d:\d\d · again \d\d:\d\d")
CHECKS = []


def check(function):
    CHECKS.append(function)
    return function


def v4l2(*arguments):
    return subprocess.run(["v4l2-ctl", "-d", DEVICE, *arguments], check=True,
                          capture_output=True, text=True, timeout=60).stdout


def is_free():
    """Whether another program gets a frame: it does as long as none streams."""
    path = "/tmp/taken"
    if os.path.exists(path):
        os.remove(path)
    subprocess.run(["v4l2-ctl", "-d", DEVICE, "--stream-mmap", "--stream-count=1",
                    f"--stream-to={path}"], capture_output=True, timeout=60)
    return os.path.exists(path) and os.path.getsize(path) > 0


def plug(what):
    with open(DRIVER + what, "w", encoding="ascii") as file:
        file.write("vivid.0")


def has(node, state):
    return node.get_state_set().contains(getattr(at.Atspi.StateType, state))


def beside(node, role, starts):
    """The nearest accessible whose name starts so, a few boxes up from node."""
    for _ in range(3):
        node = node.get_parent()
        found = find(node, role, starts=starts)
        if found is not None:
            return found
    raise LookupError(f"no {role} “{starts}”")


class Window:
    def __init__(self, desk, program, cli, rig, clips):
        self.desk, self.cli, self.clips = desk, cli, clips
        self.badge_button = self.mean_label = None
        at.Atspi.set_timeout(30000, 60000)
        desk.settings(welcomed="true", window_width="1000", window_height="600", folder=f"'{clips}'",
                      record_frames=str(FRAMES), step="'expose'",
                      camera_modes="{'vivid': (%d, %d, %d, %d.0)}" % (FOURCC, WIDTH, HEIGHT, FPS))
        self.log = os.path.join(desk.home, "log")
        self.process = desk.start([program, "--rig", rig, DEVICE], self.log)
        desk.wait_for_window(DIALOG)
        self.app = wait_for(application, "the program in the accessibility tree")

    def top(self, title):
        """The window of that title, or None."""
        for i in range(self.app.get_child_count()):
            child = self.app.get_child_at_index(i)
            if child is not None and child.get_name() == title:
                return child
        return None

    def main(self):
        """The program's window: the one that is no dialog."""
        for i in range(self.app.get_child_count()):
            child = self.app.get_child_at_index(i)
            if child is not None and child.get_name() != DIALOG:
                return child
        return None

    def find(self, *args, **kwargs):
        return find(self.main(), *args, **kwargs)

    def wait(self, what, *args, **kwargs):
        return wait_for(lambda: self.find(*args, **kwargs), what)

    def wait_dialog(self):
        dialog = wait_for(lambda: self.top(DIALOG), "the gate's dialog")
        wait_for(lambda: len(self.boxes(dialog)) >= 5, "the checks in it")
        return dialog

    def boxes(self, dialog):
        return [n for n in at.walk(dialog) if n.get_role_name() == "check box"]

    def confirm_button(self, dialog):
        buttons = [n for n in at.walk(dialog) if n.get_role_name() == "push button"]
        assert len(buttons) == 2, [n.get_name() for n in buttons]
        return next(n for n in buttons if n.get_name() != "Keep the camera closed")

    def tick(self, dialog, count):
        """Ticks the first checks by the keyboard alone, from where the focus stands."""
        self.desk.key(*["Tab", "space"] * count)
        for box in self.boxes(dialog)[:count]:
            wait_for(lambda: has(box, "CHECKED"), f"the tick at “{box.get_name()}”", 20)

    def badge(self):
        """The badge as it reads now. It is looked for once: that takes seconds here."""
        if self.badge_button is None:
            self.badge_button = next(
                node for node in at.walk(self.main()) if node.get_role_name() == "push button" and
                re.match("gate closed$|checked ", node.get_name() or ""))
        self.badge_button.clear_cache()
        return self.badge_button

    def says(self, text):
        return self.badge().get_name() == text

    def mean(self):
        """The mean count that the shelf shows, in percent of full; None: none yet."""
        if self.mean_label is None:
            self.mean_label = find(self.wait("the mean", name="Mean, percent of full"), "label")
        self.mean_label.clear_cache()
        text = self.mean_label.get_name()
        return float(text) if re.fullmatch(r"[\d.]+", text) else None


@check
def asks_before_anything_streams(window):
    window.wait_dialog()
    assert window.says("gate closed"), window.badge().get_name()
    assert is_free(), "the camera streams behind a closed gate"
    now = v4l2("--get-fmt-video")
    assert f"{WIDTH}/{HEIGHT}" in now and "'Y12 '" in now, now


@check
def confirms_with_every_tick_alone(window):
    dialog = window.wait_dialog()
    button = window.confirm_button(dialog)
    boxes = window.boxes(dialog)
    assert "wedge" in button.get_name(), button.get_name()
    assert not any(has(box, "CHECKED") for box in boxes)
    assert not has(button, "SENSITIVE"), "it can be confirmed without a look"
    window.tick(dialog, len(boxes) - 1)
    at.listen(1.0)
    assert not has(button, "SENSITIVE"), "it can be confirmed with a check left"


@check
def stays_closed_where_the_dialog_is_closed(window):
    press(find(window.top(DIALOG), "push button", "Keep the camera closed"))
    wait_for(lambda: window.top(DIALOG) is None, "the dialog to go")
    window.wait("the message", "label", "The gate is closed")
    assert window.says("gate closed")
    assert window.mean() is None, "figures without a frame"
    assert is_free(), "the camera streams behind a closed gate"


@check
def opens_with_every_tick(window):
    press(window.badge())
    dialog = window.wait_dialog()
    boxes = window.boxes(dialog)
    assert not any(has(box, "CHECKED") for box in boxes), "a tick was kept"
    window.tick(dialog, len(boxes))
    button = window.confirm_button(dialog)
    wait_for(lambda: has(button, "SENSITIVE"), "the confirming button", 20)
    press(button)
    wait_for(lambda: CHECKED.fullmatch(window.badge().get_name()), "the badge to say when")
    wait_for(lambda: window.mean(), "figures of its frames")
    assert not is_free(), "another program can take the camera's frames"


@check
def records_what_was_confirmed(window):
    press(window.wait("the step", "push button", "Record"))
    press(window.wait("the record button", "push button", f"Record {FRAMES} frames"))
    path = wait_for(lambda: glob.glob(os.path.join(window.clips, "*.fits")), "a clip")[0]
    wait_for(lambda: not os.path.exists(path + ".rows"), "the clip to be closed")
    told = json.loads(subprocess.run([window.cli, "inspect", "--json", path], check=True,
                                     capture_output=True, text=True, timeout=60).stdout)
    assert told["complete"] is True and told["frames"] == FRAMES, told
    assert told["checksum"] == "ok", told
    assert (told["width"], told["height"]) == (WIDTH, HEIGHT), told
    assert "wedge" in told["filter_confirmed"], told


@check
def forgets_the_check_when_unplugged(window):
    plug("unbind")
    window.wait("the message", "label", "The camera was unplugged")
    wait_for(lambda: window.says("gate closed"), "the badge to follow")
    assert window.process.poll() is None, "the program has ended"


@check
def asks_again_when_plugged_in_again(window):
    plug("bind")
    # The toast stays 20 s, and to look through the window takes 10 s here: its
    # button is looked for beside its text. The name is the kernel's for the node.
    word = window.wait("word of it", "label", starts="“vivid-000-vid-cap” was plugged in")
    press(beside(word, "push button", "Use it"))
    dialog = window.wait_dialog()
    assert not any(has(box, "CHECKED") for box in window.boxes(dialog)), "a tick was kept"
    assert not has(window.confirm_button(dialog), "SENSITIVE"), "it can be confirmed unseen"
    assert window.says("gate closed"), window.badge().get_name()


@check
def stays_up_and_quiet(window):
    assert window.process.poll() is None, "the program has ended"
    with open(window.log, encoding="utf-8") as file:
        noise = [line for line in file if "WARNING" in line or "CRITICAL" in line]
    assert not noise, f"on standard error: {noise[:3]}"


def tell(window):
    """Where things stand, for whoever reads of a failure."""
    with open(window.log, encoding="utf-8") as file:
        print("".join("# " + line for line in file.readlines()[-20:]), end="")
    for node in at.walk(window.app):
        name = node.get_name()
        if name and at.is_laid_out(node):
            print(f"# {node.get_role_name()}: {name}")


def main():
    os.environ["G_DEBUG"] = "fatal-criticals"   # a bare machine's themes warn
    failed = 0
    print(f"1..{len(CHECKS)}", flush=True)
    with Desk() as desk:
        clips = os.path.join(desk.home, "clips")
        os.makedirs(clips)
        window = Window(desk, *sys.argv[1:4], clips)
        for i, function in enumerate(CHECKS, 1):
            name = function.__name__.replace("_", " ")
            began = time.monotonic()
            try:
                function(window)
                print(f"ok {i} {name}")
            except Exception as problem:  # a broken check is a failed check
                failed += 1
                print(f"not ok {i} {name}")
                print(f"# {type(problem).__name__}: {problem}")
                if failed == 1:
                    tell(window)
            print(f"# {time.monotonic() - began:.0f} s", flush=True)
        desk.stop(window.process)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
