# SPDX-License-Identifier: GPL-3.0-or-later
"""Test results on standard output, in TAP."""

import sys


class Tap:
    """Prints one line a check and the plan at the end."""

    def __init__(self):
        self.count = 0
        self.failures = 0

    def check(self, passed, name, *details):
        """details: printed where the check failed, one line each."""
        self.count += 1
        if not passed:
            self.failures += 1
        print(f"{'ok' if passed else 'not ok'} {self.count} - {name}")
        if not passed:
            for detail in details:
                for line in str(detail).splitlines():
                    print(f"# {line}")
        sys.stdout.flush()

    def none(self, found, name):
        """Passes where the list of offences is empty."""
        self.check(not found, name, *found)

    def done(self):
        """Returns the exit status."""
        print(f"1..{self.count}")
        return 1 if self.failures else 0
