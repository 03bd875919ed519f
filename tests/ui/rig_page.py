# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives the rig page through the accessibility tree and by keyboard.

Usage: rig_page.py SHOW-RIG-PAGE [FOLDER FOR SCREENSHOTS]. Prints TAP. What the
page saves is read from the files it writes.
"""

import glob
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import desk as at  # noqa: E402
from desk import Desk, application, find, press  # noqa: E402

CHECKS = []


def wait_for(test, what, seconds=20):
    return at.wait_for(test, what, seconds)


def check(function):
    CHECKS.append(function)
    return function


def nodes(root, role=None):
    """Yields what there is, with its name; what goes meanwhile is passed over."""
    for node in at.walk(root):
        try:
            if role is None or node.get_role_name() == role:
                yield node, node.get_name() or ""
        except Exception:  # it has gone meanwhile
            continue


class Page:
    def __init__(self, desk, program):
        self.desk = desk
        self.log = os.path.join(desk.home, "log")
        self.process = desk.start([program], self.log)
        desk.wait_for_window("^Rig page$")
        self.app = wait_for(lambda: application("show-rig-page"), "the page in the tree")
        self.wait("the objective", "push button", starts="1  objective")

    def find(self, *args, **kwargs):
        return find(self.app, *args, **kwargs)

    def wait(self, what, *args, **kwargs):
        return wait_for(lambda: self.find(*args, **kwargs), what)

    def lines(self, start):
        with open(self.log, encoding="utf-8") as file:
            return [line.strip() for line in file if line.startswith(start)]

    def slots(self):
        """The light path as it is read out, without what is said of the selection."""
        group = self.find(name="Light path, from the sky to the sensor")
        return [name.replace(", selected", "") for _, name in nodes(group, "push button")]

    def kinds(self):
        return [name.split("  ")[1].split(",")[0] for name in self.slots()[1:]]

    def select(self, start):
        if any(name.startswith(start) and "selected" in name
               for _, name in nodes(self.app, "push button")):
            return
        press(self.wait(start, "push button", starts=start))
        wait_for(lambda: any(name.startswith(start) and "selected" in name
                             for _, name in nodes(self.app, "push button")), "the selection")

    def field(self, name):
        return self.wait(name, "text", name)

    def type_into(self, name, text):
        editable = self.field(name).get_editable_text_iface()
        editable.set_text_contents(text)

    def text_of(self, name):
        text = self.field(name).get_text_iface()
        return at.Atspi.Text.get_text(text, 0, at.Atspi.Text.get_character_count(text))

    def label(self, start):
        return self.find("label", starts=start)

    def press(self, name):
        press(self.wait(name, "push button", name))

    def files(self):
        return sorted(glob.glob(os.path.join(self.desk.home, "data", "**", "*.rig"),
                                recursive=True))


@check
def shows_the_demo_rig_in_order(page):
    assert page.kinds() == ["objective", "wedge", "density filter", "amplifier",
                            "bandpass filter", "camera"], page.slots()
    assert page.slots()[0].startswith("Roof 102"), page.slots()
    page.wait("that it is a demo rig", starts="demo rig")
    assert page.files() == [], page.files()


@check
def everything_operable_has_a_name(page):
    roles = {"push button", "push button", "text", "menu button", "list item"}
    nameless = []
    for node in at.walk(page.app):
        if node.get_role_name() not in roles:
            continue
        if not node.get_state_set().contains(at.Atspi.StateType.FOCUSABLE):
            continue
        if not (node.get_name() or "").strip():
            nameless.append(f"{node.get_role_name()} in {node.get_parent().get_name()!r}")
    assert not nameless, nameless


@check
def refused_value_shows_its_reason(page):
    """The field keeps what was typed, the rig its last value, and nothing is copied yet."""
    page.select("1  objective")
    page.type_into("Aperture", "-5")
    page.wait("the reason", "label", starts="-5: it must be above 0")
    assert page.label("-5: it must").get_name().endswith("The rig keeps 102.")
    assert page.text_of("Aperture") == "-5"
    at.listen(1.5)
    assert page.files() == [] and page.lines("rig-changed") == [], page.lines("rig-changed")
    page.type_into("Aperture", "102")
    wait_for(lambda: page.label("-5: it must") is None, "the reason to go")


@check
def first_change_makes_a_copy(page):
    page.type_into("Aperture", "90")
    wait_for(page.files, "a file of the user's own")
    wait_for(lambda: page.lines("rig-changed"), "the rig to come into force")
    with open(page.files()[0], encoding="utf-8") as file:
        text = file.read()
    assert "aperture_mm=90\n" in text, text
    assert page.lines("rig-changed")[-1].endswith(page.files()[0])
    page.wait("that it is saved", starts="saved")


@check
def keys_move_the_selection_and_the_element(page):
    page.select("3  density filter")
    page.desk.key("Right")
    page.wait("the amplifier selected", "push button", "4  amplifier, selected")
    page.desk.key("alt+Right")
    wait_for(lambda: page.kinds()[3:5] == ["bandpass filter", "amplifier"], "it to move")
    page.wait("the selection to go along", "push button", "5  amplifier, selected")
    page.desk.key("alt+Left")
    wait_for(lambda: page.kinds()[3:5] == ["amplifier", "bandpass filter"], "it to move back")
    page.desk.key("Home")
    page.wait("the sky selected", "push button", starts="Roof 102")
    page.desk.key("End")
    page.wait("the camera selected", "push button", "6  camera, selected")


@check
def enter_goes_on_to_the_fields(page):
    page.desk.key("Return")
    at.listen(0.5)
    field = page.field("Pixel size")
    wait_for(lambda: any(node.get_state_set().contains(at.Atspi.StateType.FOCUSED)
                         for node in at.walk(field)), "the keyboard in the first field")
    press(page.wait("the slot", "push button", starts="5  "))
    page.wait("the bandpass selected", "push button", "5  bandpass filter, selected")
    page.desk.key("End")
    page.wait("the camera selected", "push button", "6  camera, selected")


@check
def removing_the_camera_keeps_the_last_rig_in_use(page):
    before = len(page.lines("rig-changed"))
    page.desk.key("Delete")
    wait_for(lambda: "camera" not in page.kinds(), "the camera to go")
    page.wait("what is missing", starts="not complete yet: a camera is missing")
    page.wait("undo offered", starts="Removed: camera")
    at.listen(1.5)
    assert len(page.lines("rig-changed")) == before, "an incomplete rig came into force"
    with open(page.files()[0], encoding="utf-8") as file:
        assert "kind=camera" in file.read(), "an incomplete rig was saved"
    page.desk.key("ctrl+z")
    wait_for(lambda: page.kinds()[-1] == "camera", "undo")
    page.desk.key("ctrl+shift+z")
    wait_for(lambda: page.kinds()[-1] != "camera", "redo")
    page.desk.key("ctrl+z")
    wait_for(lambda: page.kinds()[-1] == "camera", "undo once more")


@check
def adds_by_keyboard_where_it_belongs(page):
    page.select("2  wedge")
    page.desk.key("ctrl+n")
    page.wait("the kinds", name="Kinds of elements")
    at.listen(0.5)
    page.desk.key("Down", "Down", "Down", "Down", "Down", "Return")
    wait_for(lambda: page.kinds()[3] == "polariser", "the polariser behind the density filter")
    page.wait("it selected", "push button", starts="4  polariser, selected")


@check
def findings_tell_and_mend(page):
    """A polariser moved before the wedge stands in unweakened light."""
    page.press("Earlier")
    wait_for(lambda: page.kinds()[2] == "polariser", "the polariser behind the wedge")
    page.press("Earlier")
    wait_for(lambda: page.kinds()[1] == "polariser", "the polariser behind the objective")
    page.wait("the mark", "push button", starts="2  polariser, refused")
    page.wait("the finding", "label", starts="Element 2 (polariser) stands between")
    page.wait("it in the state", starts="saved · 1 thing is refused")
    buttons = [(node, name) for node, name in nodes(page.app, "push button")
               if name.startswith("Move ")]
    assert len(buttons) == 1, buttons
    press(buttons[0][0])
    wait_for(lambda: page.kinds().index("polariser") > page.kinds().index("wedge"), "the mending")
    wait_for(lambda: not any("refused" in name for name in page.slots()), "the mark to go")


@check
def rare_keys_stand_under_more(page):
    page.select("1  objective")
    at.listen(0.3)
    assert find(page.app, "text", "Distance to the next") is None
    page.press("More")
    page.type_into("Distance to the next", "700")
    wait_for(lambda: "distance_to_next_mm=700" in open(page.files()[0], encoding="utf-8").read(),
             "the distance in the file")


@check
def duplicates(page):
    page.press("Duplicate")
    wait_for(lambda: len(page.files()) == 2, "a second file")
    wait_for(lambda: page.slots()[0].startswith("Roof 102 (copy)"), "the copy on the page")


@check
def guide_makes_a_rig(page):
    """Six questions, by keyboard and the fields; each goes on by Enter."""
    before = set(page.files())
    page.press("New…")
    page.wait("the first question", name="Which telescope is it?")
    page.wait("the demo rig offered", "push button", "Begin with the demo rig")
    next_button = page.wait("Next", "push button", "Next")
    assert not next_button.get_state_set().contains(at.Atspi.StateType.SENSITIVE)
    guide = page.wait("the question", name="Which telescope is it?")

    def choose(name):
        press(wait_for(lambda: find(guide, "push button", name), name))
        at.listen(0.5)

    def fill(name, text):
        node = wait_for(lambda: find(guide, "text", name), name)
        node.get_editable_text_iface().set_text_contents(text)
        at.listen(0.3)

    def go_on(question):
        nonlocal guide
        page.desk.key("Return")
        guide = page.wait(question, name=question)
        at.listen(0.4)

    choose("Type: lens")
    fill("Aperture", "0")
    page.wait("the reason", "label", starts="0: it must be above 0")
    assert not next_button.get_state_set().contains(at.Atspi.StateType.SENSITIVE)
    fill("Aperture", "80")
    fill("Focal length", "800")
    page.wait("what follows", starts="f/10.0")
    go_on("What takes the sunlight away?")
    choose("Nothing yet")
    page.wait("the refusal in words", "label", starts="There is no solar filter")
    choose("Front filter")
    wait_for(lambda: page.label("There is no solar filter") is None, "the refusal to go")
    choose("Material: film")
    fill("Density", "5")
    go_on("Is the focal length changed on the way?")
    choose("Amplifier")
    fill("Factor", "2")
    page.wait("what follows", starts="f/20.0")
    go_on("Is there a bandpass filter?")
    choose("Bandpass filter")
    fill("Centre", "540")
    fill("Width", "10")
    go_on("Which camera is it?")
    assert [node.get_name() for node in at.walk(guide) if node.get_state_set().contains(
        at.Atspi.StateType.FOCUSED)] == ["Pixel size"], "typing doesn't begin in the first field"
    fill("Pixel size", "2.9")
    fill("Columns", "1936")
    fill("Rows", "1096")
    wait_for(lambda: any("0.37″ a pixel" in name.replace("\u00a0", " ") for _, name in nodes(page.app)),
             "the plate scale (2.9 µm at 1600 mm: 206265 · 0.0029 / 1600 = 0.374″)")
    go_on("What is it called, and where does it stand?")
    fill("Name", "Trial 80")
    page.desk.key("Return")
    new = wait_for(lambda: set(page.files()) - before, "the rig's file")
    wait_for(lambda: page.lines("rig-changed: Trial 80: "), "it to come into force")
    with open(new.pop(), encoding="utf-8") as file:
        text = file.read()
    for part in ("name=Trial 80", "kind=front-filter", "material=film", "density=5",
                 "kind=objective", "type=lens", "aperture_mm=80", "focal_length_mm=800",
                 "kind=amplifier", "factor=2", "kind=bandpass", "centre_nm=540", "width_nm=10",
                 "kind=camera", "pixel_um=2.9", "columns=1936", "rows=1096"):
        assert part + "\n" in text, f"{part} is not in\n{text}"
    assert text.index("kind=front-filter") < text.index("kind=objective") \
        < text.index("kind=amplifier") < text.index("kind=camera"), text


def open_rigs(page, starts):
    """Opens the menu of rigs and presses an item of it."""
    name = page.slots()[0].split(",")[0]
    press(page.wait("the menu of rigs", "push button", name))
    press(wait_for(lambda: find(page.app, "menu item", starts=starts), starts))


@check
def broken_file_is_refused_with_its_line(page):
    """Nothing of it is loaded, and what was open stays open."""
    before = page.slots()
    folder = os.path.dirname(page.files()[0])
    with open(os.path.join(folder, "broken.rig"), "w", encoding="utf-8") as file:
        file.write("[rig]\nname=Broken\n[element 1]\nkind=objective\naperture_mm=nan\n")
    open_rigs(page, "broken.rig (")
    problem = page.wait("the reason", starts=os.path.join(folder, "broken.rig") + ":5: ")
    assert "aperture_mm" in problem.get_name() and "finite" in problem.get_name(), \
        problem.get_name()
    assert page.slots() == before, page.slots()


@check
def another_rig_is_in_use_at_once(page):
    open_rigs(page, "Disc 60")
    wait_for(lambda: page.kinds()[0] == "front filter", "the second demo rig")
    wait_for(lambda: page.lines("rig-changed: Disc 60: ")[-1:] == ["rig-changed: Disc 60:"],
             "it in force, without a file")
    open_rigs(page, "Trial 80")
    wait_for(lambda: page.slots()[0].startswith("Trial 80"), "the rig of the guide")
    assert page.text_of("Name") == "Trial 80"


@check
def incomplete_rig_is_not_left_unasked(page):
    page.select(f"{len(page.kinds())}  camera")
    page.press("Remove")
    wait_for(lambda: "camera" not in page.kinds(), "the camera to go")
    open_rigs(page, "Disc 60")
    press(page.wait("the question", "push button", starts="Stay"))
    at.listen(1.0)
    assert page.slots()[0].startswith("Trial 80"), page.slots()
    page.press("Undo")
    wait_for(lambda: page.kinds()[-1] == "camera", "undo")


@check
def what_is_typed_stays_with_its_element(page):
    """A field that was emptied counts when its element is left, not for the next one."""
    page.select("1  front filter")
    page.type_into("Density", "")
    page.select("2  objective")
    at.listen(1.5)
    page.select("1  front filter")
    assert page.text_of("Density") == "", page.text_of("Density")
    assert page.kinds()[:2] == ["front filter", "objective"]
    page.press("Undo")
    wait_for(lambda: page.text_of("Density") == "5", "undo")


@check
def trash_takes_the_file_and_another_rig_comes(page):
    # A listing may miss a file that is being replaced.
    trial = wait_for(lambda: [path for path in page.files() if "trial" in path], "its file")[0]
    open_rigs(page, "Move this rig to the trash")
    wait_for(lambda: not os.path.exists(trial), "the file to go")
    assert glob.glob(os.path.join(page.desk.home, "data", "Trash", "files", "trial-80*")) or \
        page.label("Trial 80") is None
    wait_for(lambda: page.slots()[0].startswith("Roof 102"), "another rig")


@check
def done_goes_back(page):
    page.press("Done")
    wait_for(lambda: page.lines("done"), "done")


@check
def stays_up_and_quiet(page):
    assert page.process.poll() is None, "the program has ended"
    noise = [line for line in open(page.log, encoding="utf-8")
             if "WARNING" in line or "CRITICAL" in line]
    assert not noise, f"on standard error: {noise[:3]}"


def main():
    program = sys.argv[1]
    failed = 0
    print(f"1..{len(CHECKS)}")
    with Desk() as desk:
        page = Page(desk, program)
        for i, function in enumerate(CHECKS, 1):
            name = function.__name__.replace("_", " ")
            try:
                function(page)
                print(f"ok {i} - {name}")
            except Exception as problem:  # a broken check is a failed check
                failed += 1
                print(f"not ok {i} - {name}")
                print("\n".join("# " + line for line in
                                f"{type(problem).__name__}: {problem}".splitlines()))
                if len(sys.argv) > 2:
                    desk.picture(os.path.join(sys.argv[2], f"failed-{i}.png"))
            sys.stdout.flush()
        if page.process.poll() is not None or failed:
            with open(page.log, encoding="utf-8") as file:
                print("".join("# " + line for line in file.readlines()[-20:]), end="")
        if page.process.poll() is None:
            desk.stop(page.process)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
