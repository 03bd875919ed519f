# SPDX-License-Identifier: GPL-3.0-or-later
"""A desk to put the window on: a virtual display, a session bus, the accessibility tree.

Usage: with Desk(width, height) as desk: app = desk.start([program, …]).
Everything is found by role and name, as a screen reader finds it.
"""

import os
import shutil
import subprocess
import tempfile
import time
import warnings


# The binding's words for its interfaces differ between Debian's releases.
warnings.simplefilter("ignore", DeprecationWarning)


class Desk:
    def __init__(self, width=1280, height=800):
        self.size = (width, height)
        self.children = []

    def __enter__(self):
        self.home = tempfile.mkdtemp(prefix="filigree-desk-")
        # The server finds a free number itself, and tells it once it listens.
        # It mustn't begin anew when the first client has gone: the second one
        # would stand before a closed door.
        server = subprocess.Popen(
            ["Xvfb", "-displayfd", "1", "-screen", "0", f"{self.size[0]}x{self.size[1]}x24",
             "-nolisten", "tcp", "-noreset"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        self.children.append(server)
        self.display = f":{int(server.stdout.readline())}"
        bus = subprocess.Popen(
            ["dbus-daemon", "--session", "--nofork", "--print-address"],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        self.children.append(bus)
        runtime = os.path.join(self.home, "run")
        os.makedirs(runtime, mode=0o700)
        os.environ.update({
            "DISPLAY": self.display,
            "DBUS_SESSION_BUS_ADDRESS": bus.stdout.readline().strip(),
            "HOME": self.home,
            "XDG_RUNTIME_DIR": runtime,
            "XDG_CONFIG_HOME": os.path.join(self.home, "config"),
            "XDG_DATA_HOME": os.path.join(self.home, "data"),
            "XDG_CACHE_HOME": os.path.join(self.home, "cache"),
            "GSK_RENDERER": "cairo",
            "GDK_BACKEND": "x11",
            "GTK_A11Y": "atspi",
            "GSETTINGS_BACKEND": "keyfile",
            "LC_ALL": "C.UTF-8",
            "NO_AT_BRIDGE": "0",
        })
        for name in ("WAYLAND_DISPLAY",):
            os.environ.pop(name, None)
        launcher = "/usr/libexec/at-spi-bus-launcher"
        self.children.append(subprocess.Popen(
            [launcher, "--launch-immediately"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
        subprocess.run(["gdbus", "wait", "--session", "--timeout", "20", "org.a11y.Bus"],
                       check=True, stdout=subprocess.DEVNULL)
        global Atspi
        import gi
        gi.require_version("Atspi", "2.0")
        from gi.repository import Atspi as module
        Atspi = module
        Atspi.init()
        return self

    def __exit__(self, *unused):
        for child in reversed(self.children):
            child.terminate()
            try:
                child.wait(timeout=10)
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()
        shutil.rmtree(self.home, ignore_errors=True)

    def settings(self, **keys):
        """Writes settings before the program starts; values as GVariant text."""
        folder = os.path.join(self.home, "config", "glib-2.0", "settings")
        os.makedirs(folder, exist_ok=True)
        with open(os.path.join(folder, "keyfile"), "w", encoding="utf-8") as file:
            file.write("[io/github/filigree/Filigree]\n")
            for key, value in keys.items():
                file.write(f"{key.replace('_', '-')}={value}\n")

    def start(self, command, log=None):
        out = open(log, "w", encoding="utf-8") if log else subprocess.DEVNULL
        process = subprocess.Popen(command, stdout=out, stderr=subprocess.STDOUT)
        self.children.append(process)
        return process

    def wait_for_window(self, title):
        """Waits on the display, not on the tree: an application that is asked for its
        tree before its first window stands is remembered as one without any."""
        subprocess.run(["timeout", "60", "xdotool", "search", "--sync", "--onlyvisible",
                        "--name", title], check=True, stdout=subprocess.DEVNULL)
        time.sleep(3.0)

    def stop(self, process):
        process.terminate()
        process.wait(timeout=20)
        self.children.remove(process)

    def picture(self, path):
        """Saves what the display shows."""
        subprocess.run(["import", "-window", "root", "-depth", "8", path], check=True)

    def key(self, *keys):
        subprocess.run(["xdotool", "key", "--clearmodifiers", *keys], check=True)


def wait_for(test, what, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = test()
        if found:
            return found
        listen(0.1)
    raise TimeoutError(f"waited {seconds} s for {what}")


def listen(seconds):
    """Lets word of changes in the accessibility tree come in."""
    from gi.repository import GLib
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if not GLib.MainContext.default().iteration(False):
            time.sleep(0.01)


def walk(node):
    """Yields the accessible below node, itself first."""
    if node is None:
        return
    yield node
    try:
        count = node.get_child_count()
    except Exception:  # the node has gone meanwhile
        return
    for i in range(count):
        try:
            child = node.get_child_at_index(i)
        except Exception:
            continue
        yield from walk(child)


def is_laid_out(node):
    """GTK 4.8 doesn't tell what is showing, but what never was has no extents."""
    component = node.get_component_iface()
    if component is None:
        return False
    box = component.get_extents(Atspi.CoordType.WINDOW)
    return box.width > 0 and box.height > 0


def find(root, role=None, name=None, starts=None):
    """The first accessible that was laid out with that role and name, or None."""
    for node in walk(root):
        try:
            if role is not None and node.get_role_name() != role:
                continue
            text = node.get_name() or ""
            if name is not None and text != name:
                continue
            if starts is not None and not text.startswith(starts):
                continue
            if is_laid_out(node):
                return node
        except Exception:  # it has gone meanwhile
            continue
    return None


def application(name="filigree"):
    desktop = Atspi.get_desktop(0)
    for i in range(desktop.get_child_count()):
        child = desktop.get_child_at_index(i)
        if child is not None and (child.get_name() or "").lower().endswith(name):
            return child
    return None


def press(node):
    """Does the node's first action, as a screen reader would."""
    action = node.get_action_iface()
    if action is None or action.get_n_actions() == 0 or not action.do_action(0):
        raise RuntimeError(f"nothing to press on {node.get_role_name()} “{node.get_name()}”")
