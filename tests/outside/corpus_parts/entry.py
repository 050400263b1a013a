"""What an entry of the corpus is: a text as somebody would paste it, and the mathematics meant by it.

The mathematics stands next to the text as a Python function written by hand. Nothing here reads the text.
Values are f64 in radians; a field's value is left minus right, negative inside for an inequality.
"""

POINTS = [
    [0.45, -0.6, 1.2],
    [1.3, 0.5, -0.4],
    [-0.8, 0.9, 0.7],
    [0.2, 0.35, -1.4],
    [-1.6, -0.25, 0.55],
    [0.1, 1.7, -0.3],
    [2.1, -1.3, 0.85],
    [0.13, -0.09, 0.08],
]
# The same places in the first octant, for logarithms, roots and remainders.
OCTANT = [[abs(c) for c in p] for p in POINTS]
# Inside the unit ball, for arcsines and roots of 1 - r^2.
BALL = [[c / 3 for c in p] for p in POINTS]
TIMES = [[0.0], [0.3], [0.9], [1.7], [2.6], [3.8], [4.9], [6.1]]
PAIRS = [[0.4, 0.6], [1.2, 1.9], [2.3, -0.8], [-1.1, 1.4], [3.4, 0.7], [0.6, -2.1], [5.2, 2.8], [-0.25, -0.35]]

ENTRIES = []
# The function of each entry with its parameters set, for checks beyond the fixed points.
MEANT = {}


def _add(kind, name, style, text, tags, why, more):
    entry = {"id": name, "kind": kind, "style": style, "text": text, "vars": more.pop("vars", {})}
    entry.update(more)
    entry["why"] = why or tags.replace(",", "; ")
    entry["tags"] = [t for t in tags.split(",") if t]
    ENTRIES.append(entry)
    return entry


def field(name, style, text, value, tags="", why="", rel="=", points=None, alt=(), **more):
    """One function of x, y, z (and of `vars`, by name)."""
    points = points or POINTS
    given = {k: v for k, v in more.get("vars", {}).items()}
    entry = _add("field", name, style, text, tags, why, more)
    entry["rel"] = rel
    entry["points"] = points
    entry["values"] = [float(value(*p, **given)) for p in points]
    MEANT[name] = lambda *p: value(*p, **given)
    if alt:
        entry["ambiguous"] = True
        entry["alternatives"] = [
            {"reading": reading, "values": [float(f(*p, **given)) for p in points]} for reading, f in alt
        ]


def _path(kind, default_points, name, style, text, value, params, tags, why, ranges, points, alt, more):
    points = points or default_points
    given = dict(more.get("vars", {}))
    entry = _add(kind, name, style, text, tags, why, more)
    entry["params"] = params
    entry["points"] = points
    entry["values"] = [[float(c) for c in value(*p, **given)] for p in points]
    MEANT[name] = lambda *p: value(*p, **given)
    if ranges:
        entry["ranges"] = {k: [float(c) for c in v] for k, v in ranges.items()}
    if alt:
        entry["ambiguous"] = True
        entry["alternatives"] = [
            {"reading": reading, "values": [[float(c) for c in f(*p, **given)] for p in points]} for reading, f in alt
        ]


def curve(name, style, text, value, tags="", why="", params=("t",), ranges=None, points=None, alt=(), **more):
    """Three functions of one parameter."""
    _path("curve", TIMES, name, style, text, value, list(params), tags, why, ranges, points, alt, more)


def surface(name, style, text, value, tags="", why="", params=("u", "v"), ranges=None, points=None, alt=(), **more):
    """Three functions of two parameters, in the order of the letters' code points (u v, s t, r theta, theta phi)."""
    _path("surface", PAIRS, name, style, text, value, list(params), tags, why, ranges, points, alt, more)


def reject(name, style, text, error, why="", mentions=(), **more):
    """A text that must be refused, with the class of the fault and what its message should name."""
    entry = _add("reject", name, style, text, "", why, more)
    entry["points"] = []
    entry["values"] = []
    entry["error"] = error
    if mentions:
        entry["mentions"] = list(mentions)
