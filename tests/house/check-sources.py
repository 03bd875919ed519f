#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Rules of the house that a reader can check in every file.

check-sources.py SOURCE_ROOT
"""

import re
import subprocess
import sys
from pathlib import Path

from tap import Tap

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "meson.build", "meson_options.txt",
    "src", "data", "po", "tests", "docs",
}
LICENCE = "SPDX-License-Identifier: GPL-3.0-or-later"
WITH_LICENCE = {".c", ".h", ".py", ".build", ".xml", ".in", ".css", ".ui", ".svg", ".desktop",
                ".bash", ".sh", ".po"}
LINES_AT_MOST = 700
UNFINISHED = re.compile(r"\b(TODO|FIXME|XXX|HACK)\b|g_test_skip|g_test_incomplete")
# Our own list of markers and the counter of skips name what they look for.
MAY_NAME_THEM = {"tests/house/check-sources.py", "tests/tally.py"}
TRANSLATED = re.compile(r'(?<![\w])(?:N?C?_|ngettext|g_dngettext)\s*\(\s*"|translatable="(?:yes|true)"')
PROMISE = re.compile(r"\b(un)?safe(ly)?\b", re.IGNORECASE)
MSGID = re.compile(r'(?<![\w])N?C?_\s*\(((?:\s*"(?:[^"\\]|\\.)*")+)')


def list_files(root):
    """What git knows; without git, what is there less the build directories."""
    git = ["git", "-c", "safe.directory=*", "-C", str(root), "ls-files", "-z",
           "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(git, capture_output=True, check=False) if (root / ".git").exists() else None
    if done is not None and done.returncode == 0:
        names = {name for name in done.stdout.decode().split("\0") if name}
        return sorted(name for name in names if (root / name).is_file())
    return sorted(str(path.relative_to(root)) for path in root.rglob("*")
                  if path.is_file() and not str(path.relative_to(root)).startswith(("build", "_build", ".git/"))
                  and "__pycache__" not in path.parts)


def read(root, name):
    try:
        return (root / name).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def wants_licence(name, text):
    return Path(name).suffix in WITH_LICENCE or text.startswith("#!")


def check_files(tap, texts):
    tap.none([n for n, t in texts.items() if wants_licence(n, t) and LICENCE not in t[:600]],
             "every source file names its licence")
    tap.none([f"{n}: {t.count(chr(10))} lines" for n, t in texts.items()
              if Path(n).suffix in (".c", ".h", ".py", ".sh", ".build", ".ui", ".css")
              and t.count("\n") > LINES_AT_MOST],
             f"no source file is longer than {LINES_AT_MOST} lines")
    tap.none([f"{n}:{i}: {line.strip()}" for n, t in texts.items()
              if n.startswith(("src/", "tests/", "data/")) and n not in MAY_NAME_THEM
              for i, line in enumerate(t.splitlines(), 1) if UNFINISHED.search(line)],
             "nothing is left unfinished or skipped")
    tap.none([f"{n}:{i}" for n, t in texts.items()
              if Path(n).suffix in (".c", ".h", ".py", ".build", ".ui")
              for i, line in enumerate(t.splitlines(), 1)
              if line != line.rstrip() or "\t" in line],
             "no tabs, nothing behind the end of a line")


def check_strings(tap, texts):
    listed = {line for line in texts["po/POTFILES.in"].splitlines() if line and line[0] != "#"}
    with_strings = {n for n, t in texts.items()
                    if n.startswith("src/") and Path(n).suffix in (".c", ".h", ".ui")
                    and TRANSLATED.search(t)}
    tap.none(sorted(with_strings - listed), "every file with strings is in POTFILES.in (po/update adds it)")
    tap.none(sorted(n for n in listed if n not in texts), "every file in POTFILES.in is there")
    tap.none([f"{n}: {m}" for n, t in texts.items() if n.startswith("src/")
              for m in MSGID.findall(t) if PROMISE.search(m)],
             "no string calls anything safe")


def main(source_root):
    tap = Tap()
    root = Path(source_root)
    names = list_files(root)
    texts = {name: text for name in names if (text := read(root, name)) is not None}
    tap.check(len(texts) > 50, "the files are found", f"{len(texts)} of them")
    tops = {name.split("/")[0] for name in names}
    tap.none(sorted(t for t in tops if t not in TOP_LEVEL and not t.startswith(".")),
             "nothing else at the top level")
    check_files(tap, texts)
    check_strings(tap, texts)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
