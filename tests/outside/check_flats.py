"""Flat work that the program wrote as SVG, DXF, PDF and HP-GL, read by libraries of other people.

Usage: check_flats.py TARGET_FOLDER. `cargo test` leaves the files in its tmp/export: a plate of 400 x 300 mm with
corners of radius 20 mm and a hole of radius 60 mm, to be cut, and a cubic curve, to be scored.

Truth: elementary areas and lengths; the curve's length by quadrature (scipy). PDF: ISO 32000-1 has 72 points to the
inch of 25.4 mm; every page shows a window on the work, and windows overlap by 10 mm. HP-GL has 40 units to the mm.
"""

import math
import pathlib
import sys
import xml.etree.ElementTree as ElementTree

import ezdxf
import numpy
import svgpathtools
from ezdxf.addons.hpgl2.backend import Backend
from ezdxf.addons.hpgl2.interpreter import Interpreter
from ezdxf.addons.hpgl2.plotter import Plotter
from ezdxf.addons.hpgl2.tokenizer import hpgl2_commands
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTCurve
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import resolve1
from scipy.integrate import quad

import verdict

AREA = 400 * 300 - (4 - math.pi) * 20**2 - math.pi * 60**2
OUTLINES = 2 * (360 + 260) + 2 * math.pi * 20 + 2 * math.pi * 60
CONTROL = numpy.array([[-150, -120], [-50, 60], [50, -160], [150, -100]], float)
POINT = 72 / 25.4
OVERLAP = 10.0


def bezier(points, t):
    a, b, c, d = points
    s = 1 - t
    return a * s**3 + 3 * b * s * s * t + 3 * c * s * t * t + d * t**3


def speed(t):
    a, b, c, d = CONTROL
    return float(numpy.linalg.norm(3 * ((b - a) * (1 - t) ** 2 + 2 * (c - b) * (1 - t) * t + (d - c) * t * t)))


CURVE = quad(speed, 0, 1, epsabs=1e-10)[0]


def check(what, got, want, tolerance):
    verdict.check(what, abs(got - want) <= tolerance, f"{got!r}, wanted {want!r} within {tolerance}")


def polygon_area(points):
    x, y = numpy.array(points, float).T
    return float(0.5 * numpy.sum(x * numpy.roll(y, -1) - numpy.roll(x, -1) * y))


def length_of(points):
    return float(numpy.sum(numpy.linalg.norm(numpy.diff(numpy.array(points, float), axis=0), axis=1)))


def by_svg(path):
    paths, attributes, root = svgpathtools.svg2paths2(str(path))
    box = [float(v) for v in root["viewBox"].split()]
    check("svg: width in mm is the width of the view box", float(root["width"].removesuffix("mm")), box[2], 0)
    lengths = sorted(part.length(error=1e-8) for p in paths for part in p.continuous_subpaths())
    for got, want in zip(lengths, sorted([CURVE, 120 * math.pi, OUTLINES - 120 * math.pi])):
        check("svg: length", got, want, 1e-3)
    closed = [part for p in paths for part in p.continuous_subpaths() if part.isclosed()]
    dense = [[(q.real, q.imag) for q in (part.point(t) for t in numpy.linspace(0, 1, 4001)[:-1])] for part in closed]
    tree = ElementTree.parse(path)
    space = "{http://purl.org/dc/elements/1.1/}"
    told = {name: tree.find(f".//{space}{name}") for name in ("title", "creator", "rights")}
    told = {name: None if found is None else found.text for name, found in told.items()}
    known = told["title"] and (told["creator"], told["rights"]) == ("The Seed Room", "CC-BY-4.0")
    verdict.check("svg: title, maker, licence", known, told)
    groups = {g.get("data-layer"): g.get("data-meaning") for g in tree.iter("{http://www.w3.org/2000/svg}g")}
    verdict.check("svg: layers as groups", groups == {"cut": "cut", "folds": "score"}, groups)
    # y runs down in the file.
    check("svg: area", -sum(polygon_area(points) for points in dense), AREA, 0.2)


def bulged_area(vertices):
    """Of a closed polyline with bulges, the tangent of a quarter of each arc's angle: the polygon and its segments."""
    area = polygon_area([(x, y) for x, y, _ in vertices])
    for (x, y, bulge), (u, v, _) in zip(vertices, vertices[1:] + vertices[:1]):
        if bulge != 0:
            angle = 4 * math.atan(bulge)
            radius = math.hypot(u - x, v - y) / (2 * math.sin(angle / 2))
            area += radius**2 / 2 * (angle - math.sin(angle))
    return area


def by_dxf(path):
    drawing = ezdxf.readfile(path)
    verdict.check("dxf: no errors", not drawing.audit().errors)
    verdict.check("dxf: millimetres", drawing.header["$INSUNITS"] == 4)
    layers, areas = {"cut": 0.0, "folds": 0.0}, []
    for entity in drawing.modelspace().query("LWPOLYLINE"):
        flat = [(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(1e-4)]
        layers[entity.dxf.layer] += length_of(flat)
        if entity.closed:
            areas.append(abs(bulged_area(entity.get_points("xyb"))))
            verdict.check("dxf: arcs as bulges", any(abs(b) > 1e-9 for *_, b in entity.get_points("xyb")))
    # The reader tells arcs by cubics of a quarter circle.
    check("dxf: length of cuts", layers["cut"], OUTLINES, 0.1)
    check("dxf: length of folds", layers["folds"], CURVE, 0.01)
    verdict.check("dxf: two closed outlines", len(areas) == 2, areas)
    check("dxf: area", max(areas) - min(areas), AREA, 1e-3)


class Gather(Backend):
    """What an interpreter of the plotter's language draws, by pen."""

    def __init__(self):
        self.strokes = []

    def draw_polyline(self, properties, points):
        self.strokes.append((properties.pen_index, [(p.x / 40, p.y / 40) for p in points]))

    def draw_paths(self, properties, paths, filled):
        raise AssertionError("only strokes are written")


def by_hpgl(path):
    gather = Gather()
    # The reader wants the sign by which a printer enters the plotter's language.
    commands = hpgl2_commands(b"\x1b%1B" + path.read_bytes() + b"\x1b%0A")
    Interpreter(Plotter(gather)).run(commands)
    strokes = [(pen, points) for pen, points in gather.strokes if len(points) > 1]
    # Whole units: each end is off by up to half of 0.025 mm; chords lie within 0.0125 mm.
    cuts = [points for pen, points in strokes if pen == 1]
    folds = [points for pen, points in strokes if pen == 2]
    verdict.check("plt: two outlines and a fold", (len(cuts), len(folds)) == (2, 1), f"{len(cuts)} {len(folds)}")
    check("plt: length of cuts", sum(map(length_of, cuts)), OUTLINES, 0.5)
    check("plt: length of folds", sum(map(length_of, folds)), CURVE, 0.2)
    check("plt: area", sum(polygon_area(points[:-1]) for points in cuts), AREA, 0.0125 * OUTLINES * 2)
    low = numpy.min([numpy.min(points, axis=0) for points in cuts], axis=0)
    check("plt: stands at the origin", float(numpy.abs(low).max()), 0, 1e-9)
    verdict.check("plt: the hole before the outline", length_of(cuts[0]) < length_of(cuts[1]))


def flattened(path):
    """Points of a path of the PDF reader, mm, and whether it is closed."""
    points, closed = [], False
    for step in path:
        places = [numpy.array(p) / POINT for p in step[1:]]
        if step[0] in "ml":
            start, along = points[-1:] or [places[0]], numpy.linspace(0, 1, 2 if step[0] == "m" else 200)[1:]
            points.extend([places[0]] if step[0] == "m" else [start[0] + (places[0] - start[0]) * t for t in along])
        elif step[0] == "c":
            points.extend([bezier([points[-1], *places], t) for t in numpy.linspace(0, 1, 200)[1:]])
        elif step[0] == "h":
            closed = True
            start = points[-1]
            points.extend([start + (points[0] - start) * t for t in numpy.linspace(0, 1, 200)[1:]])
    return points, closed


def marked(number, columns, rows, paper, straight):
    """Crosses at the window's corners, and lines where the windows beside it begin and end."""

    def drawn(a, b):
        ends = [sorted([tuple(numpy.round(p, 3)), tuple(numpy.round(q, 3))]) for p, q in straight]
        return sorted([tuple(numpy.round(a, 3)), tuple(numpy.round(b, 3))]) in ends

    (left, right), (low, top) = (10.0, paper[0] - 10.0), (24.0, paper[1] - 10.0)
    for x in (left, right):
        for y in (low, top):
            cross = drawn((x - 3, y), (x + 3, y)) and drawn((x, y - 3), (x, y + 3))
            verdict.check("pdf: a cross at every corner", cross, (number, x, y))
    column, row = number % columns, number // columns
    upright = {left + OVERLAP: column > 0, right - OVERLAP: column + 1 < columns}
    level = {low + OVERLAP: row > 0, top - OVERLAP: row + 1 < rows}
    for x, wanted in upright.items():
        verdict.check("pdf: where the page beside begins", drawn((x, low), (x, top)) == wanted, (number, x))
    for y, wanted in level.items():
        verdict.check("pdf: where the page above or below begins", drawn((left, y), (right, y)) == wanted, (number, y))


def by_pdf(path):
    with open(path, "rb") as file:
        document = PDFDocument(PDFParser(file))
        groups = resolve1(document.catalog["OCProperties"])["OCGs"]
        names = {resolve1(group)["Name"].decode("utf-16") for group in groups}
    verdict.check("pdf: layers by name", names == {"cut", "folds"}, names)
    pages = list(extract_pages(path))
    verdict.check("pdf: pages", len(pages) == 4, len(pages))
    columns, seen = 2, {"cut": 0.0, "folds": 0.0}
    for number, page in enumerate(pages):
        wide, high = page.bbox[2] / POINT, page.bbox[3] / POINT
        verdict.check("pdf: A4", sorted([round(wide, 3), round(high, 3)]) == [210, 297], (wide, high))
        # The window, of which the strip that the next page shows again is left to that page.
        left, right, low, top = 10.0, wide - 10.0, 24.0, high - 10.0
        right -= OVERLAP if number % columns + 1 < columns else 0
        top -= OVERLAP if number + columns < len(pages) else 0
        rulers, straight = 0, []
        for item in (e for e in page if isinstance(e, LTCurve)):
            points, closed = flattened(item.original_path)
            colour = tuple(item.stroking_color)
            layer = {(0.61, 0.18, 0.18): "cut", (0.69, 0.48, 0.12): "folds"}.get(colour)
            if layer is None:
                straight.append((points[0], points[-1]))
                rulers += len(points) == 200 and abs(length_of(points) - 100) < 1e-6 and points[0][1] < 24
                continue
            if closed:
                area = polygon_area(points[:-1])
                want = AREA + math.pi * 60**2 if area > 0 else -math.pi * 60**2
                check("pdf: area of a whole path", area, want, 0.5)
            a, b = numpy.array(points[:-1]), numpy.array(points[1:])
            middle = (a + b) / 2
            # The work's own edge lies on the edge of the first windows.
            x, y = middle[:, 0] + 1e-6, middle[:, 1] + 1e-6
            inside = (x >= left) & (x < right) & (y >= low) & (y < top)
            seen[layer] += float(numpy.sum(numpy.linalg.norm(b - a, axis=1)[inside]))
        verdict.check("pdf: a ruler of 100 mm on every page", rulers == 1, rulers)
        marked(number, columns, len(pages) // columns, (wide, high), straight)
    # The pages together show everything once; a step of the sampling may be counted on either side of an edge.
    check("pdf: length of cuts on all pages", seen["cut"], OUTLINES, 12)
    check("pdf: length of folds on all pages", seen["folds"], CURVE, 6)


def main():
    folder = pathlib.Path(sys.argv[1]) / "tmp" / "export"
    by_svg(folder / "plate.svg")
    by_dxf(folder / "plate.dxf")
    by_hpgl(folder / "plate.plt")
    by_pdf(folder / "plate.pdf")
    verdict.finish("flats")


main()
