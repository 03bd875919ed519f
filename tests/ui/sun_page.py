# SPDX-License-Identifier: GPL-3.0-or-later
"""Drives the Sun page through the accessibility tree and by keyboard alone.

Usage: sun_page.py SHOW-SUN-PAGE [FOLDER FOR SCREENSHOTS]. Prints TAP.
"""

import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import desk as at  # noqa: E402
from desk import Desk, application, find, press, wait_for  # noqa: E402

CHECKS = []


def check(function):
    CHECKS.append(function)
    return function


class Page:
    def __init__(self, desk, program):
        self.desk = desk
        self.log = os.path.join(desk.home, "log")
        self.process = desk.start([program, "demo", "light", "2026-06-21T10:42:31",
                                   "Europe/Zurich"], self.log)
        desk.wait_for_window("^The Sun$")
        self.app = wait_for(lambda: application("show-sun-page"), "the page in the tree")
        wait_for(lambda: self.find("label", starts="Now, "), "the moment")

    def find(self, *args, **kwargs):
        return find(self.app, *args, **kwargs)

    def focused(self):
        for node in at.walk(self.app):
            try:
                if node.get_state_set().contains(at.Atspi.StateType.FOCUSED) and \
                        node.get_role_name() not in ("window", "frame"):
                    return node
            except Exception:  # it has gone meanwhile
                continue
        return None

    def tab_to(self, name):
        """Presses Tab until the control of that name has the focus."""
        for _ in range(20):
            node = self.focused()
            if node is not None and name in (node.get_name() or ""):
                return node
            self.desk.key("Tab")
            at.listen(0.4)
        raise TimeoutError(f"{name} is never reached by Tab")

    def said(self):
        with open(self.log, encoding="utf-8") as file:
            return file.read().split()


@check
def everything_operable_has_a_name(page):
    """The calendar's arrows too, which are icons."""
    page.tab_to("21 June 2026")
    page.desk.key("Return")
    wait_for(lambda: page.find("push button", name="The month after"), "the calendar", 10)
    roles = {"push button", "toggle button", "slider", "spin button", "combo box", "text",
             "menu button"}
    nameless = []
    for node in at.walk(page.app):
        try:
            if node.get_role_name() in roles and at.is_laid_out(node) and \
                    node.get_state_set().contains(at.Atspi.StateType.FOCUSABLE) and \
                    not (node.get_name() or "").strip():
                nameless.append(f"{node.get_role_name()} in {node.get_parent().get_name()!r}")
        except Exception:
            continue
    page.desk.key("Escape")
    assert not nameless, nameless


@check
def months_by_the_calendar(page):
    page.tab_to("21 June 2026")
    page.desk.key("Return")
    press(wait_for(lambda: page.find("push button", name="The month after"), "the arrow", 10))
    wait_for(lambda: page.find("label", starts="On that day"), "another day", 10)
    page.desk.key("Escape")
    page.tab_to("Today")
    page.desk.key("Return")
    wait_for(lambda: page.find("label", name="Now, 10:42:31"), "today again", 10)


@check
def numbers_carry_their_names(page):
    """A value alone says nothing: its label is told with it."""
    value = page.find("label", name="49.22°") or page.find(name="Altitude")
    assert value is not None
    names = []
    for node in at.walk(page.app):
        for relation in node.get_relation_set() or []:
            if relation.get_relation_type() == at.Atspi.RelationType.LABELLED_BY:
                names += [relation.get_target(i).get_name()
                          for i in range(relation.get_n_targets())]
    assert {"Altitude", "sunrise", "P, tilt of the axis"} <= set(names), names


@check
def the_curve_is_told_in_words(page):
    graph = page.find(name="The Sun’s altitude over the day")
    assert graph is not None
    words = graph.get_description()
    for part in ("Sunrise 05:33", "transit 13:30 at 66.4°", "sunset 21:27",
                 "Above 30° from 08:48 to 18:12", "Now 10:42"):
        assert part in words, words


@check
def days_by_keyboard(page):
    page.tab_to("The day after")
    page.desk.key("Return")
    wait_for(lambda: page.find("label", name="On that day at 10:42:31"), "the next day", 10)
    page.tab_to("Today")
    page.desk.key("space")
    wait_for(lambda: page.find("label", name="Now, 10:42:31"), "today again", 10)


@check
def limit_by_keyboard(page):
    page.tab_to("Altitude above which hours are marked")
    page.desk.key("Up")
    wait_for(lambda: page.find("label", name="above 31°"), "the limit a degree higher", 10)
    page.desk.key("Down")
    wait_for(lambda: page.find("label", name="above 30°"), "the limit as it was", 10)


@check
def escape_leaves(page):
    page.desk.key("Escape")
    wait_for(lambda: page.said().count("done") == 1, "the page to be done", 10)


def main(program, folder=None):
    failures = 0
    print(f"1..{len(CHECKS)}")
    with Desk(1280, 800) as desk:
        page = Page(desk, program)
        for number, function in enumerate(CHECKS, 1):
            name = function.__name__.replace("_", " ")
            try:
                function(page)
                print(f"ok {number} - {name}")
            except Exception as error:  # one failure must not hide the others
                failures += 1
                print(f"not ok {number} - {name}\n# {type(error).__name__}: {error}")
            sys.stdout.flush()
        if folder:
            desk.picture(os.path.join(folder, "sun-page.png"))
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
