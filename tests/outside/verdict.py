"""What the checks of this folder share: counting, telling what failed, finding the program."""

import pathlib
import sys

_failed = []
_passed = 0


def check(what, good, told=""):
    """Counts one check, and tells of it when it fails."""
    global _passed
    if good:
        _passed += 1
    else:
        _failed.append(what)
        print(f"FAIL {what} {told}")


def finish(name):
    """Says how many checks passed and ends with a status."""
    print(f"{name}: {_passed} checks passed, {len(_failed)} failed")
    sys.exit(1 if _failed else 0)


def program(target):
    """The program in a target folder, as the tests or a release built it."""
    built = (pathlib.Path(target) / profile / "ogee" for profile in ("debug", "release"))
    return next(path for path in built if path.exists())
