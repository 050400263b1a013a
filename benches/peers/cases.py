"""The cases that both sides make, from one file: cases.json.

`cases.py --write` writes that file anew. Each case has a name, a title, a box [low, high] (the same along x, y and z),
the formula of a field that is negative inside, and what else a side needs to know of it. Formulas are written with
`*`, `^`, brackets and functions alone, so that both sides can read the very same text.
"""

import json
import math
import pathlib
import random
import sys

HERE = pathlib.Path(__file__).parent
FILE = HERE / "cases.json"
SEED = 20261125
BALLS = 200
SPREAD = 0.12
LEVEL = 0.5


def gaussians():
    """Centres [x, y, z] of the seeded bumps, to three decimals so that the text of the formula is exact."""
    chance = random.Random(SEED)
    return [[round(chance.uniform(-1, 1), 3) for _ in range(3)] for _ in range(BALLS)]


def signed(number):
    return f"- {number}" if number >= 0 else f"+ {-number}"


def bump(centre):
    x, y, z = (f"({axis} {signed(c)})^2" for axis, c in zip("xyz", centre))
    return f"exp(-({x} + {y} + {z}) / {round(2 * SPREAD**2, 6)})"


def make():
    turn = 2 * math.pi
    p2, q = "2.618033988749895", "4.23606797749979"  # the golden ratio p: p^2 and 1 + 2 p
    gyroid = "sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)"
    sextic = (
        f"4*({p2}*x^2 - y^2)*({p2}*y^2 - z^2)*({p2}*z^2 - x^2) - {q}*(x^2 + y^2 + z^2 - 1)^2"
    )
    centres = gaussians()
    return [
        {"name": "gyroid", "title": "gyroid", "box": [-turn, turn], "formula": gyroid, "capped": True},
        {
            "name": "gyroid-sheet",
            "title": "gyroid sheet, abs(f) < 0.4",
            "box": [-turn, turn],
            "formula": f"abs({gyroid}) - 0.4",
            "capped": True,
        },
        {
            "name": "schwarz-p",
            "title": "Schwarz P",
            "box": [-turn, turn],
            "formula": "cos(x) + cos(y) + cos(z)",
            "capped": True,
        },
        {
            "name": "barth",
            "title": "Barth's sextic in a ball of 1.9",
            "box": [-1.95, 1.95],
            "formula": sextic,
            "ball": 1.9,
            "capped": False,
        },
        {
            "name": "block",
            "title": "block - ball + torus",
            "box": [-2.0, 2.0],
            "solids": {"block": [2.0, 2.0, 2.0], "ball": 1.3, "torus": [1.6, 0.25]},
            "capped": False,
        },
        {
            "name": "gaussians",
            "title": "200 gaussians",
            "box": [-1.5, 1.5],
            "formula": f"{LEVEL} - (" + " + ".join(bump(c) for c in centres) + ")",
            "centres": centres,
            "spread": SPREAD,
            "level": LEVEL,
            "capped": False,
        },
    ]


def load():
    """The cases by name, in the order of the file."""
    return {case["name"]: case for case in json.loads(FILE.read_text())}


if __name__ == "__main__" and "--write" in sys.argv:
    FILE.write_text(json.dumps(make(), indent=1) + "\n")
