"""Knots and links as the program makes them, named by a topology library from points along the curve.

Usage: check_knots.py TARGET_FOLDER

The program says points along each curve, or makes a mesh of a tube round it whose centre line is found here. The polygon is
projected here, by code that shares nothing with the program,
to a planar-diagram code; Spherogram and SnapPy then say what it is. A hyperbolic knot or link is told for certain by the
shape of its complement, against SnapPy's census of the tables (D. Rolfsen, Knots and Links, 1976); torus knots by their
knot Floer homology, which has these ranks for no other knot; Hopf's link and 4^2_1 by crossings left and linking number.
Codes of knots and links with nine crossings and more come from Spherogram's own tables.
"""

import ast
import pathlib
import subprocess
import sys
import tempfile

import numpy
import snappy
import spherogram
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from verdict import check, finish, program

SECONDS = 900.0
POINTS = 300
HYPERBOLIC = ["4_1", "5_2", "6_1", "6_2", "6_3"] + [f"7_{k}" for k in range(2, 8)] + [f"8_{k}" for k in range(1, 22) if k != 19]
# Genus and total rank of the knot Floer homology of L-space knots: P. Ozsváth, Z. Szabó, Topology 44 (2005) 1281.
TORUS = {"3_1": (1, 3), "5_1": (2, 5), "7_1": (3, 7), "8_19": (3, 5)}
# Strands and linking number, without sign.
RINGS = {"2^2_1": 1, "4^2_1": 2}
LINKS = ["5^2_1", "6^3_2"]
# Radius of the tubes whose meshes are looked at, and how closely they are made, mm; the knots are 40 mm across.
RADIUS = 0.8
CLOSELY = 0.05
# Of nine and ten crossings, alternating and not, and links, from the library's tables.
CODED = ["9_5", "9_29", "9_42", "9_49", "10_123", "10_139", "10_161", "L7a3", "L8n5", "L9a47"]


def said(ogee, curves):
    """Points along the strands of each curve, all from one session: a list of arrays for each."""
    lines = [f"strands({curve}).map(|s| points(s, {POINTS}))" for curve in curves]
    run = subprocess.run([ogee], input="\n".join(lines) + "\n", capture_output=True, text=True, timeout=SECONDS)
    answers = [line for line in run.stdout.splitlines() if line.startswith("[[[")]
    check("every curve is answered", len(answers) == len(curves), run.stdout[:500] + run.stderr[:500])
    return [[numpy.array(strand) for strand in ast.literal_eval(line)] for line in answers]


def planar_code(strands, turn):
    """The planar-diagram code of closed polygons seen along a turned axis: arcs anticlockwise from the lower one coming in."""
    strands = [s @ turn.T for s in strands]
    starts = numpy.concatenate(strands)
    ends = numpy.concatenate([numpy.roll(s, -1, axis=0) for s in strands])
    home = numpy.concatenate([numpy.full(len(s), k) for k, s in enumerate(strands)])
    way = ends - starts
    cross = lambda a, b: a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    gap = starts[None, :] - starts[:, None]
    with numpy.errstate(divide="ignore", invalid="ignore"):
        area = cross(way[:, None], way[None, :])
        s = cross(gap, way[None, :]) / area
        t = cross(gap, way[:, None]) / area
    first, second = numpy.nonzero(numpy.triu((s > 0) & (s < 1) & (t > 0) & (t < 1), 2))
    visits = []
    for c, (i, j) in enumerate(zip(first, second)):
        heights = starts[i, 2] + s[i, j] * way[i, 2], starts[j, 2] + t[i, j] * way[j, 2]
        for k, at, above in ((i, s[i, j], heights[0] > heights[1]), (j, t[i, j], heights[1] > heights[0])):
            visits.append((home[k], k + at, c, above, way[k]))
    visits.sort(key=lambda v: v[:2])
    ends_of = [{} for _ in first]
    arc = 0
    for k in range(len(strands)):
        own = [v for v in visits if v[0] == k]
        for n, (_, _, c, above, along) in enumerate(own):
            ends_of[c][bool(above)] = (arc + n, arc + (n + 1) % len(own), along)
        arc += len(own)
    code = []
    for both in ends_of:
        (low_in, low_out, low), (high_in, high_out, high) = both[False], both[True]
        right = cross(high, low) > 0
        code.append([low_in, high_out, low_out, high_in] if right else [low_in, high_in, low_out, high_out])
    return code


# A turn with nothing of the drawings' own planes in it.
TURN, _ = numpy.linalg.qr(numpy.array([[0.3, 0.8, -0.5], [-0.7, 0.2, 0.4], [0.5, 0.4, 0.9]]))
TURN = TURN * numpy.sign(numpy.linalg.det(TURN))


def link(strands):
    made = spherogram.Link(planar_code(strands, TURN))
    made.simplify("global")
    return made


def named(made, name):
    """True when the complement is that of the table's knot or link."""
    return any(str(m).split("(")[0] == name for m in made.exterior().identify())


def same(made, other):
    """True when some isometry of the complements keeps the handedness."""
    for _ in range(5):
        a, b = made.exterior(), other.exterior()
        try:
            return any(all(m.det() == 1 for m in iso.cusp_maps()) for iso in a.is_isometric_to(b, return_isometries=True))
        except RuntimeError:
            continue
    return False


def judge(name, strands):
    made = link(strands)
    if name in TORUS:
        told = made.knot_floer_homology()
        right = (told["seifert_genus"], told["total_rank"]) == TORUS[name] and told["L_space_knot"] and told["fibered"]
        # A right-handed torus knot: all letters of its braid word are positive.
        return right and told["tau"] == told["seifert_genus"], told
    if name in RINGS:
        return len(made.crossings) == 2 * RINGS[name] and abs(made.linking_matrix()[0][1]) == RINGS[name], made
    return named(made, name), made.exterior().identify()


NAMES = HYPERBOLIC + list(TORUS) + list(RINGS) + LINKS


def tables(ogee):
    """Every name of the tables: the curve and the same pulled tight."""
    curves = [f'knot("{name}")' for name in NAMES] + [f'tighten(knot("{name}"), 1)' for name in NAMES]
    kinds = [(name, "relaxed") for name in NAMES] + [(name, "tight") for name in NAMES]
    for (name, kind), strands in zip(kinds, said(ogee, curves)):
        good, told = judge(name, strands)
        check(f"{name} {kind}", good, told)


def read_obj(path):
    """Points and triangles of a file."""
    words = [line.split() for line in path.read_text().splitlines() if line[:2] in ("v ", "f ")]
    points = [[float(x) for x in w[1:4]] for w in words if w[0] == "v"]
    triangles = [[int(x.split("/")[0]) - 1 for x in w[1:4]] for w in words if w[0] == "f"]
    return numpy.array(points), numpy.array(triangles)


def centre_lines(path):
    """The centre lines of tubes, one for each connected mesh: corners moved inward by the radius, walked along."""
    points, triangles = read_obj(path)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    normals = numpy.zeros_like(points)
    for k in range(3):
        numpy.add.at(normals, triangles[:, k], numpy.cross(b - a, c - a))
    inner = points - RADIUS * normals / numpy.linalg.norm(normals, axis=1)[:, None]
    edges = numpy.concatenate([triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    joined = coo_matrix((numpy.ones(len(edges)), edges.T), shape=(len(points), len(points)))
    count, home = connected_components(joined, directed=False)
    # The middles of edges too, so that the cloud is dense where triangles are long.
    inner = numpy.concatenate([inner, inner[edges].mean(axis=1)])
    home = numpy.concatenate([home, home[edges[:, 0]]])
    return [walked(inner[home == k]) for k in range(count)]


def walked(points):
    """A closed line through a cloud of points that lie about it, in steps shorter than the radius."""
    tree, step = cKDTree(points), 0.7 * RADIUS
    about = lambda p, reach: points[tree.query_ball_point(p, reach)]
    line = [about(points[0], 0.3 * RADIUS).mean(axis=0)]
    way = numpy.linalg.svd(about(line[0], step) - line[0])[2][0]
    for _ in range(5000):
        here = about(line[-1] + step * way, 0.5 * step).mean(axis=0)
        way = (here - line[-1]) / numpy.linalg.norm(here - line[-1])
        if len(line) > 5 and numpy.linalg.norm(here - line[0]) < step:
            return numpy.array(line)
        line.append(here)
    raise ValueError("the walk along the tube does not come home")


def meshes(ogee):
    """Every name of the tables again, from the mesh of a tube that the program wrote."""
    file = lambda name: name.replace("^", "-")
    lines = [f'make("{file(name)}", knot("{name}").tube({RADIUS}));' for name in NAMES]
    with tempfile.TemporaryDirectory() as folder:
        asked = ["make", "\n".join(lines), "-o", folder, "--format", "obj", "--tolerance", str(CLOSELY), "-q"]
        subprocess.run([ogee, *asked], check=True, timeout=SECONDS)
        for name in NAMES:
            good, told = judge(name, centre_lines(pathlib.Path(folder) / f"{file(name)}.obj"))
            check(f"{name} from its mesh", good, told)


# 2-bridge knots (J. H. Conway 1970) beyond those whose braid repeats: shapes that look alike after half a turn.
HALVED = ["5_2", "6_1", "6_2", "6_3", "7_2", "7_3", "7_4", "7_5", "7_6", "7_7", "8_1", "8_3", "8_12", "8_13", "8_14"]


def halved(ogee):
    """Shapes with half a turn: the same knot, of the same handedness, and alike after the turn."""
    plain = said(ogee, [f'knot("{name}")' for name in HALVED])
    shapes = said(ogee, [f'knot("{name}", 40, 2)' for name in HALVED])
    for name, one, two in zip(HALVED, plain, shapes):
        check(f"{name} alike after half a turn is {name}", same(link(two), link(one)))
        turned = two[0] * [-1.0, -1.0, 1.0]
        off = cKDTree(two[0]).query(turned)[0].max()
        # Points stand up to half a step off their images.
        check(f"{name} looks alike after half a turn", off < 1.0, off)


def codes(ogee):
    """Codes of the library's tables are drawn; planar-diagram codes keep the handedness."""
    asked = []
    for name in CODED:
        known = spherogram.Link(name)
        asked.append((name, known, "planar_code", [list(c) for c in known.PD_code(min_strand_index=1)]))
        if len(known.link_components) == 1:
            asked.append((name, known, "dowker_code", [list(c) for c in known.DT_code()]))
    scripts = [f"{word}({code})" for _, _, word, code in asked]
    for (name, known, word, _), strands in zip(asked, said(ogee, scripts)):
        made = link(strands)
        good = same(made, known) if word == "planar_code" else made.exterior().is_isometric_to(known.exterior())
        check(f"{name} by {word}", good)


def families(ogee):
    """Braids, pretzels and 2-bridge links whose names are known."""
    braid = lambda word: spherogram.Link(braid_closure=word)
    rational = lambda p, q: spherogram.RationalTangle(q, p).numerator_closure()
    cases = {
        'braid("1 -2 1 -2 1 -2 1 -2 1 -2")': braid([1, -2] * 5),
        'braid("1 1 -2 3 -2 1 3 -2 3")': braid([1, 1, -2, 3, -2, 1, 3, -2, 3]),
        'relax(braid("1 -2 3 -2 1 -2 3"))': braid([1, -2, 3, -2, 1, -2, 3]),
    }
    for (script, known), strands in zip(cases.items(), said(ogee, list(cases))):
        check(script, same(link(strands), known))
    named_cases = {"pretzel([-2, 3, 7])": "12n242", "pretzel([2, 3, -5])": "10_126", "two_bridge([2, 1, 1, 2])": "6_3",
                   "two_bridge([4, 2])": "6_1", "two_bridge([3, 1, 3])": "7_4", "two_bridge([2, 2, 2, 2])": "8_12"}
    for (script, name), strands in zip(named_cases.items(), said(ogee, list(named_cases))):
        known = spherogram.Link("K" + name if "n" in name else name)
        check(f"{script} is {name}", link(strands).exterior().is_isometric_to(known.exterior()))


def main():
    ogee = program(sys.argv[1])
    tables(ogee)
    meshes(ogee)
    halved(ogee)
    codes(ogee)
    families(ogee)
    finish("knots")


main()
