#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Who may include whom, as src/DESIGN.md tells it.

check-layers.py SOURCE_ROOT BUILD_ROOT

Twice over: by reading every #include line, and by asking the compiler, with
each folder's own flags, to take a header that the folder may not see.
"""

import json
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

from tap import Tap

ALLOWED = {
    "optics": [],
    "frame": [],
    "safety": [],
    "clip": [],
    "measure": [],
    "camera": ["clip", "safety"],
    "record": ["measure", "clip", "camera", "safety"],
    "review": ["measure", "clip"],
    "live": ["record", "camera", "measure", "clip", "safety"],
    "cli": ["safety", "clip", "measure", "camera", "record", "review", "live"],
    "ui": ["safety", "clip", "measure", "camera", "record", "review", "live"],
}
OF_ALL = ["optics", "frame"]
TOOLKIT = re.compile(r"^(gtk|gdk|gsk|adwaita|graphene|pango|cairo)\b")
INCLUDE = re.compile(r'^\s*#\s*include\s+([<"])([^>"]+)[>"]', re.MULTILINE)


def may_include(folder, other):
    if folder in OF_ALL:
        return other == folder
    return other == folder or other in OF_ALL or other in ALLOWED[folder]


def list_sources(root, folder):
    return sorted(p for p in (root / "src" / folder).rglob("*") if p.suffix in (".c", ".h"))


def list_includes(path):
    return INCLUDE.findall(path.read_text(encoding="utf-8"))


def check_lines(tap, root, folders):
    owner, twice = {}, []
    for folder in folders:
        for path in list_sources(root, folder):
            if path.suffix == ".h":
                if owner.setdefault(path.name, folder) != folder:
                    twice.append(f"{path.name} in {folder} and {owner[path.name]}")
    tap.none(twice, "no two folders have a header of the same name")

    for folder in folders:
        offences, toolkit = [], []
        for path in list_sources(root, folder):
            for kind, name in list_includes(path):
                other = owner.get(Path(name).name)
                if kind == '"' and other is not None and not may_include(folder, other):
                    offences.append(f"{path.relative_to(root)} includes {name} of {other}")
                if kind == "<" and folder != "ui" and TOOLKIT.match(name):
                    toolkit.append(f"{path.relative_to(root)} includes <{name}>")
        tap.none(offences, f"{folder} includes only what it may")
        tap.none(toolkit, f"{folder} knows nothing of the toolkit") if folder != "ui" else None


def compiler_flags(root, build, folder):
    """The command that compiles a file of the folder, less its file names."""
    base = (root / "src" / folder).resolve()
    for entry in json.loads((build / "compile_commands.json").read_text(encoding="utf-8")):
        source = Path(entry["directory"], entry["file"]).resolve()
        if base in source.parents:
            break
    else:
        return None
    words, flags, drop = shlex.split(entry["command"]), [], 0
    for word in words:
        if drop:
            drop -= 1
        elif word in ("-o", "-MQ", "-MF", "-MT"):
            drop = 1
        elif word not in ("-c", "-MD", entry["file"]):
            flags.append(word)
    return flags


def compiles(flags, build, line):
    with tempfile.NamedTemporaryFile("w", suffix=".c") as file:
        file.write(line + "\n")
        file.flush()
        # A header alone may declare things that nobody uses.
        done = subprocess.run(flags + ["-w", "-fsyntax-only", file.name], cwd=build,
                              capture_output=True, text=True, check=False)
    return done.returncode == 0, done.stderr


def check_compiler(tap, root, build, folders):
    headers = {folder: [p.name for p in list_sources(root, folder)
                        if p.suffix == ".h" and "-private" not in p.name]
               for folder in folders}
    for folder in folders:
        flags = compiler_flags(root, build, folder)
        if flags is None:
            tap.check(False, f"{folder} is compiled at all", "not in compile_commands.json")
            continue
        wrong = []
        for other in folders:
            if other in ("cli", "ui") or not headers[other]:
                continue
            allowed = may_include(folder, other)
            took, errors = compiles(flags, build, f'#include "{headers[other][0]}"')
            if took != allowed:
                wrong.append(f"{headers[other][0]} of {other} "
                             f"{'compiles' if took else 'does not compile'} in {folder}")
                wrong.append(errors)
        tap.none(wrong, f"the compiler gives {folder} the headers it may have, no others")
        if folder != "ui":
            took, _ = compiles(flags, build, "#include <gtk/gtk.h>")
            tap.check(not took, f"the compiler doesn't give {folder} the toolkit")


def has_window(build):
    options = json.loads((build / "meson-info/intro-buildoptions.json").read_text(encoding="utf-8"))
    return all(o["value"] != "disabled" for o in options if o["name"] == "window")


def main(source_root, build_root):
    tap = Tap()
    root, build = Path(source_root), Path(build_root)
    folders = sorted(p.name for p in (root / "src").iterdir() if p.is_dir())
    tap.none([f for f in folders if f not in ALLOWED], "every folder of src has its place in the table")
    folders = [f for f in folders if f in ALLOWED]
    check_lines(tap, root, folders)
    check_compiler(tap, root, build,
                   [f for f in folders if any(p.suffix == ".c" for p in list_sources(root, f))
                    and (f != "ui" or has_window(build))])
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
