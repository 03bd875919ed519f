#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Every translation is whole, and as new as the sources.

check-po.py SOURCE_ROOT
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from tap import Tap


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout, done.stderr


def list_messages(po, *selection):
    _, text, _ = run("msgattrib", "--no-obsolete", "--no-wrap", *selection, str(po))
    blocks = [block[block.index("msgid "):] for block in text.split("\n\n") if "msgid " in block]
    return [block for block in blocks if "Project-Id-Version" not in block]


def check_language(tap, po, template, folder):
    status, _, errors = run("msgfmt", "--check", "--output-file=/dev/null", str(po))
    tap.check(status == 0, f"{po.name} is well-formed", errors)
    merged = folder / po.name
    status, _, errors = run("msgmerge", "--quiet", "--no-fuzzy-matching",
                            f"--output-file={merged}", str(po), str(template))
    tap.check(status == 0, f"{po.name} takes the sources' strings", errors)
    tap.none(list_messages(merged, "--untranslated"),
             f"{po.name} leaves nothing untranslated (po/update adds new strings)")
    tap.none(list_messages(po, "--only-fuzzy"), f"{po.name} leaves nothing to guesses")
    count = len(list_messages(merged, "--translated"))
    tap.check(count > 20, f"{po.name} has translations", f"{count} of them")


def main(source_root):
    tap = Tap()
    root = Path(source_root)
    linguas = (root / "po/LINGUAS").read_text(encoding="utf-8").splitlines()
    languages = [line for line in linguas if line and not line.startswith("#")]
    tap.check("de" in languages, "German is one of the languages")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        template = folder / "filigree.pot"
        status, _, errors = run(str(root / "po/update"), "--pot", str(template))
        tap.check(status == 0 and template.exists(), "the sources' strings can be gathered", errors)
        for language in languages:
            check_language(tap, root / "po" / f"{language}.po", template, folder)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
