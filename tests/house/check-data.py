#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What is installed beside the programs, checked by the desktop's own tools.

check-data.py SOURCE_ROOT BUILD_ROOT APP_ID FILIGREE_CLI
"""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from xml.etree import ElementTree

from tap import Tap

KEYS = {
    "folder": "s", "file-name-pattern": "s", "queue-mib": "i", "theme": None,
    "window-width": "i", "window-height": "i", "window-maximized": "b",
    "last-rig": "s", "last-source": "s", "step": None, "scale-bar": "b", "earth": "b",
    "full-pixels": "b", "stretch-curve": None, "histogram-log": "b", "sound": "b",
    "record-by": None, "record-frames": "i", "record-seconds": "d",
}


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True, check=False,
                          env=dict(os.environ, LC_ALL="C.UTF-8", LANGUAGE="", MANWIDTH="80"))
    return done.returncode, done.stdout + done.stderr


def check_tool(tap, name, *command):
    status, output = run(*command)
    tap.check(status == 0, name, " ".join(command), output)


def check_schema(tap, data, app_id):
    path = data / f"{app_id}.gschema.xml"
    with tempfile.TemporaryDirectory() as target:
        check_tool(tap, "the settings' schema compiles, strictly",
                   "glib-compile-schemas", "--strict", f"--targetdir={target}", str(data))
    schema = ElementTree.parse(path).getroot().find("schema")
    tap.check(schema.get("id") == app_id, "the schema has the program's name")
    found = {key.get("name"): key.get("type") for key in schema.findall("key")}
    tap.none([f"{k} is {found.get(k)}, not {t}" for k, t in KEYS.items() if found.get(k, "") != t],
             "the keys that the window binds are there")
    tap.none([k.get("name") for k in schema.findall("key") if k.find("summary") is None],
             "every key has a summary")


def check_desktop(tap, root, build, app_id):
    desktop, metainfo = (build / "data" / f"{app_id}.{end}" for end in ("desktop", "metainfo.xml"))
    check_tool(tap, "the desktop file is valid", "desktop-file-validate", str(desktop))
    check_tool(tap, "the metainfo is valid", "appstreamcli", "validate", "--no-net", str(metainfo))
    # Merged anew: meson doesn't know that these depend on the po files.
    for kind, name, german in (("desktop", "desktop.in", "Comment[de]="),
                               ("xml", "metainfo.xml.in", 'xml:lang="de"')):
        status, text = run("msgfmt", f"--{kind}", f"--template={root / 'data' / app_id}.{name}",
                           "-d", str(root / "po"), "-o", "-")
        tap.check(status == 0 and german in text, f"the {name} speaks German", text)


def check_icons(tap, data, app_id):
    for kind, name in (("scalable", app_id), ("symbolic", app_id + "-symbolic")):
        root = ElementTree.parse(data / "icons/hicolor" / kind / "apps" / f"{name}.svg").getroot()
        tap.check(root.get("viewBox") is not None, f"the {kind} icon is a square drawing",
                  root.attrib)


def check_install(tap, build, app_id):
    """Everything lands where a desktop looks for it."""
    with tempfile.TemporaryDirectory() as target:
        status, text = run("meson", "install", "-C", str(build), "--no-rebuild", "--quiet",
                           "--destdir", target)
        tap.check(status == 0, "meson install works", text)
        found = [str(p) for p in Path(target).rglob("*") if p.is_file()]
    wanted = ["bin/filigree-cli", "man/man1/filigree-cli.1", "man/man1/filigree.1",
              "bash-completion/completions/filigree-cli", "locale/de/LC_MESSAGES/filigree.mo",
              f"applications/{app_id}.desktop", f"metainfo/{app_id}.metainfo.xml",
              f"icons/hicolor/scalable/apps/{app_id}.svg",
              f"icons/hicolor/symbolic/apps/{app_id}-symbolic.svg",
              f"glib-2.0/schemas/{app_id}.gschema.xml", "filigree/rigs/roof-102.rig"]
    tap.none([w for w in wanted if not any(f.endswith("/" + w) for f in found)],
             "everything is installed")


def check_commands(tap, root, cli):
    """Every command is in the manual page, the completion and the docs."""
    status, text = run(cli, "help")
    commands = re.findall(r"^  ([a-z]+) {2,}", text, re.MULTILINE)
    tap.check(status == 0 and len(commands) > 1, "filigree-cli help lists its commands", text)
    for name, pattern in (("data/filigree-cli.1", r"^\.SS {}\b"),
                          ("data/filigree-cli.bash", r"\b{}\b"),
                          ("docs/command-line.md", r"^## {}\b")):
        page = (root / name).read_text(encoding="utf-8")
        tap.none([c for c in commands if c != "help"
                  and not re.search(pattern.format(c), page, re.MULTILINE)],
                 f"{name} knows every command")


def check_pages(tap, root):
    for page in ("filigree.1", "filigree-cli.1"):
        status, output = run("groff", "-man", "-Tutf8", "-k", "-ww", "-z", str(root / "data" / page))
        tap.check(status == 0 and not output, f"{page} is set without a warning", output)
    check_tool(tap, "the shell completion is valid", "bash", "-n", str(root / "data/filigree-cli.bash"))
    missing = []
    for page in [root / "README.md", root / "DEVELOPERS.md", *sorted((root / "docs").glob("*.md"))]:
        for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            if not (page.parent / link).exists():
                missing.append(f"{page.name}: {link}")
    tap.none(missing, "every link in the documents leads somewhere")


def main(source_root, build_root, app_id, cli):
    tap = Tap()
    root, build = Path(source_root), Path(build_root)
    check_schema(tap, root / "data", app_id)
    check_desktop(tap, root, build, app_id)
    check_icons(tap, root / "data", app_id)
    check_install(tap, build, app_id)
    check_pages(tap, root)
    check_commands(tap, root, cli)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
