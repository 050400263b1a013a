"""Every worked script, made by the program and judged by libraries of other people.

Usage: check_pieces.py TARGET_FOLDER [SCRIPT...]

Each piece must be, for trimesh and for manifold3d, one or more closed solids with consistent winding and a positive
volume, on which the two libraries and the program's own report agree; the 3MF of each piece must please the format's
own consortium's reader in its strict mode, with the script inside, and hold the same volume.
"""

import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile

import ezdxf
import lib3mf
import manifold3d
import numpy
import svgpathtools
import trimesh

from verdict import check, finish, program

ROOT = pathlib.Path(__file__).parent.parent.parent
# Coarse, so that all scripts take minutes and not an hour; the laws hold at every tolerance.
PARTS_OF_SIZE = 300
SECONDS = 300.0
# Parameters within each script's own ranges that keep it quick, the same as in tests/scripts.rs.
QUICK = json.loads((ROOT / "tests" / "quick.json").read_text())


def close(a, b, part):
    return abs(a - b) <= part * max(abs(a), abs(b))


def judge_stl(name, path, told):
    mesh = trimesh.load_mesh(path)
    mesh.merge_vertices()
    check(f"{name}: trimesh watertight", mesh.is_watertight)
    check(f"{name}: trimesh winding", mesh.is_winding_consistent)
    check(f"{name}: trimesh volume", mesh.volume > 0 and close(mesh.volume, told["volume"], 1e-5), mesh.volume)
    other = manifold3d.Manifold(manifold3d.Mesh(mesh.vertices.astype(numpy.float32), mesh.faces.astype(numpy.uint32)))
    check(f"{name}: manifold3d", other.status() == manifold3d.Error.NoError, other.status())
    check(f"{name}: manifold3d volume", close(other.volume(), mesh.volume, 1e-4), other.volume())


def judge_3mf(name, path, told, script):
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.AddRelationToRead("urn:ogee:script")
    reader.ReadFromFile(str(path))
    check(f"{name}: 3mf warnings", reader.GetWarningCount() == 0)
    inside = [model.GetAttachment(i) for i in range(model.GetAttachmentCount())]
    inside = [bytes(a.WriteToBuffer()) for a in inside if a.GetRelationShipType() == "urn:ogee:script"]
    check(f"{name}: 3mf script", inside == [script])
    meshes = model.GetMeshObjects()
    volume = 0.0
    while meshes.MoveNext():
        mesh = meshes.GetCurrentMeshObject()
        check(f"{name}: 3mf manifold", mesh.IsManifoldAndOriented())
        points = numpy.array([list(p.Coordinates) for p in mesh.GetVertices()])
        a, b, c = (points[[t.Indices[k] for t in mesh.GetTriangleIndices()]] for k in range(3))
        volume += float(numpy.einsum("ij,ij->", a, numpy.cross(b, c)) / 6)
    check(f"{name}: 3mf volume", close(volume, told["volume"], 1e-5), volume)


def judge_flat(name, folder, told):
    """The SVG and the DXF of flat work must measure what the report says, to readers of other people."""
    area, length = measured_svg(folder / f"{told['name']}.svg")
    check(f"{name}: svg area", close(area, told["area"], 1e-6), (area, told["area"]))
    check(f"{name}: svg length", close(length, told["length"], 1e-6), (length, told["length"]))
    drawing = ezdxf.readfile(folder / f"{told['name']}.dxf")
    audit = drawing.audit()
    check(f"{name}: dxf audit", not audit.errors and not audit.fixes, audit.errors)
    check(f"{name}: dxf in mm", drawing.header["$INSUNITS"] == 4)
    area, length = measured_dxf(drawing)
    # Curves are told by arcs within 0.002 mm.
    check(f"{name}: dxf area", abs(area - told["area"]) <= 0.002 * told["length"] + 1e-6, (area, told["area"]))
    check(f"{name}: dxf length", close(length, told["length"], 1e-3), (length, told["length"]))
    layers = {layer["name"] for layer in told["layers"]}
    check(f"{name}: dxf layers", {e.dxf.layer for e in drawing.modelspace()} == layers, layers)


def measured_svg(path):
    paths, _, root = svgpathtools.svg2paths2(str(path))
    wide, high = (float(root[k].removesuffix("mm")) for k in ("width", "height"))
    box = [float(v) for v in root["viewBox"].split()]
    check(f"{path.name}: one unit is one mm", box[2:] == [wide, high], root["viewBox"])
    area = length = 0.0
    for path in paths:
        for part in path.continuous_subpaths():
            for piece in part:
                # Arcs by their own radius and angle; the library would take a chord sum.
                length += abs(piece.radius.real * math.radians(piece.delta)) if isinstance(piece, svgpathtools.Arc) else piece.length(error=1e-9)
            if part.isclosed():
                area -= sum(swept(piece) for piece in part)
    return area, length


def swept(piece):
    """Half the integral of x dy - y dx, exactly for lines and arcs, by Gauss and Legendre for cubics."""
    a, b = piece.start, piece.end
    chord = (a.real * b.imag - a.imag * b.real) / 2
    if isinstance(piece, svgpathtools.Line):
        return chord
    if isinstance(piece, svgpathtools.Arc):
        angle = math.radians(piece.delta)
        return chord + piece.radius.real**2 * (angle - math.sin(angle)) / 2
    nodes, weights = numpy.polynomial.legendre.leggauss(4)
    points = [(piece.point((n + 1) / 2), piece.derivative((n + 1) / 2)) for n in nodes]
    return sum(w * (p.real * d.imag - p.imag * d.real) for w, (p, d) in zip(weights, points)) / 4


def measured_dxf(drawing):
    area = length = 0.0
    for entity in drawing.modelspace().query("LWPOLYLINE"):
        points = entity.get_points("xyb")
        ends = points[1:] + points[:1] if entity.closed else points[1:]
        for (x, y, bulge), (u, v, _) in zip(points, ends):
            chord, angle = math.hypot(u - x, v - y), 4 * math.atan(bulge)
            radius = chord / (2 * math.sin(angle / 2)) if bulge else 0.0
            length += abs(radius * angle) if bulge else chord
            if entity.closed:
                area += (x * v - y * u) / 2 + radius**2 * (angle - math.sin(angle)) / 2
    return area, length


def quick(script):
    return [word for name, value in QUICK.get(script.stem, {}).items() for word in ("--set", f"{name}={value}")]


def longest(ogee, script):
    """The longest side of all pieces, from a first look that is as coarse as the program allows."""
    seen = subprocess.run([ogee, "see", script, *quick(script), "--json", "--tolerance", "2"], capture_output=True, text=True, timeout=SECONDS)
    shapes = json.loads(seen.stdout).get("shapes", [])
    return max((max(shape["size"]) for shape in shapes if "size" in shape), default=100.0)


def judge(ogee, script):
    name = script.stem
    with tempfile.TemporaryDirectory() as folder:
        tolerance = str(longest(ogee, script) / PARTS_OF_SIZE)
        made = subprocess.run(
            [ogee, "make", script, *quick(script), "-o", folder, "--tolerance", tolerance],
            capture_output=True, text=True, timeout=SECONDS, env={**os.environ, "NO_COLOR": "1"},
        )
        check(f"{name}: made", made.returncode == 0, made.stdout + made.stderr)
        report = pathlib.Path(folder) / "report.json"
        if not report.exists():
            return
        report = json.loads(report.read_text())
        pieces, flats = report["pieces"], report.get("flats", [])
        check(f"{name}: has pieces", len(pieces) + len(flats) > 0)
        for told in flats:
            judge_flat(f"{name}/{told['name']}", pathlib.Path(folder), told)
        for told in pieces:
            both = f"{name}/{told['name']}"
            judge_stl(both, pathlib.Path(folder) / f"{told['name']}.stl", told)
            judge_3mf(both, pathlib.Path(folder) / f"{told['name']}.3mf", told, script.read_bytes())


def main():
    ogee = program(sys.argv[1])
    scripts = sorted((ROOT / "scripts").glob("*.ogee"))
    if len(sys.argv) > 2:
        scripts = [s for s in scripts if s.stem in sys.argv[2:]]
    check("there are twelve scripts or more", len(scripts) >= 12 or len(sys.argv) > 2, len(scripts))
    for script in scripts:
        try:
            judge(ogee, script)
        except (subprocess.TimeoutExpired, ValueError, KeyError) as fault:
            check(f"{script.stem}: {fault!r}", False)
    finish("pieces")


main()
