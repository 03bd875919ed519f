#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts test results for tests/run.

tally.py meson TESTLOG.JSON   every TAP line of every program that meson ran
tally.py tap NAME FILE STATUS the TAP lines of one program and its exit status

Prints one line a program and whatever failed in it; the last line is
"PASSED FAILED". A skipped test counts as failed: nobody looks at skips.
"""

import json
import re
import sys

TAP_LINE = re.compile(r"^(not )?ok\b(?P<rest>.*)$")
PLAN = re.compile(r"^1\.\.(\d+)")
SKIP = re.compile(r"#\s*(SKIP|TODO)\b", re.IGNORECASE)


def count_tap(text):
    """Returns (passed, [failed lines]) of the outermost TAP lines."""
    passed, failed, planned, bail = 0, [], None, None
    for line in text.splitlines():
        match = TAP_LINE.match(line)
        if match is None:
            plan = PLAN.match(line)
            planned = int(plan.group(1)) if plan else planned
            bail = line.strip() if line.startswith("Bail out!") else bail
            continue
        if match.group(1) or SKIP.search(line):
            failed.append(line.strip())
        else:
            passed += 1
    if bail is not None and not failed:
        failed.append(bail)
    if planned is not None and planned != passed + len(failed) and not failed:
        failed.append(f"{planned} checks were planned, {passed} were made")
    return passed, failed


def report(name, passed, failed, output):
    print(f"{'ok  ' if not failed else 'FAIL'} {name}: {passed} passed, {len(failed)} failed")
    if failed:
        for line in failed:
            print(f"       {line}")
        tail = output.strip().splitlines()[-60:]
        print("\n".join("     | " + line for line in tail))
    return passed, len(failed)


def tally_program(name, output, errors, went_well, why):
    passed, failed = count_tap(output)
    if not went_well and not any(line.startswith("not ok") for line in failed):
        failed = [f"{why}; {failed[0]}" if failed else why]
    if went_well and not failed and passed == 0:
        passed = 1
    return report(name, passed, failed, output + "\n" + errors)


def tally_meson(path):
    with open(path, encoding="utf-8", errors="replace") as log:
        for line in log:
            test = json.loads(line)
            yield tally_program(
                test["name"],
                test.get("stdout") or "",
                test.get("stderr") or "",
                test["result"] in ("OK", "EXPECTEDFAIL"),
                f"{test['result']}, exit status {test.get('returncode')}",
            )


def main(arguments):
    if len(arguments) == 2 and arguments[0] == "meson":
        results = list(tally_meson(arguments[1]))
    elif len(arguments) == 4 and arguments[0] == "tap":
        _, name, path, status = arguments
        with open(path, encoding="utf-8", errors="replace") as log:
            results = [tally_program(name, log.read(), "", status == "0",
                                     f"exit status {status}")]
    else:
        print(__doc__, file=sys.stderr)
        return 2
    print(sum(r[0] for r in results), sum(r[1] for r in results))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
