"""Files that the program wrote, read by libraries of other people.

Usage: check_files.py TARGET_FOLDER. `cargo test` leaves the files in its tmp/export: a torus of radii 20 and 6 mm
(96 steps each way) and a block of 10 x 10 x 15 mm, in every format.

Truth: Pappus (volume of a torus 2 pi^2 R r^2, less what an inscribed mesh loses) and the block's three edges; volumes
of each library against the other's; the 3MF rules as the format's own consortium reads them (lib3mf, strict mode).
"""

import io
import math
import pathlib
import sys

import lib3mf
import manifold3d
import numpy
import trimesh
from lib3mf import get_wrapper
from PIL import Image

import verdict

BLOCK = 10.0 * 10.0 * 15.0
# A polygon of n corners inside a circle of radius r has the area r^2 n sin(2 pi/n) / 2, and its corners' mean distance
# from the axis is still R: the torus mesh holds R n sin(2 pi/n) times that area, a prism ring.
STEPS = 96
RING = 20.0 * STEPS * math.sin(2 * math.pi / STEPS) * 6.0**2 * STEPS * math.sin(2 * math.pi / STEPS) / 2
SCRIPT_RELATIONSHIP = "urn:ogee:script"


def check(what, got, want, tolerance=0.0):
    good = abs(got - want) <= tolerance if isinstance(want, float) else got == want
    verdict.check(what, good, f"{got!r}, wanted {want!r} within {tolerance}")


def solid(what, points, triangles, volume, step):
    """Both libraries must call it a closed solid, and agree on its volume with each other and with the truth."""
    mesh = trimesh.Trimesh(points, triangles, process=True)
    check(f"{what}: trimesh watertight", bool(mesh.is_watertight), True)
    check(f"{what}: trimesh winding consistent", bool(mesh.is_winding_consistent), True)
    check(f"{what}: trimesh volume", float(mesh.volume), volume, step * mesh.area)
    other = manifold3d.Manifold(
        manifold3d.Mesh(mesh.vertices.astype(numpy.float32), mesh.faces.astype(numpy.uint32))
    )
    check(f"{what}: manifold3d status", other.status(), manifold3d.Error.NoError)
    check(f"{what}: manifold3d volume", float(other.volume()), volume, max(step, 1e-6) * mesh.area)
    check(f"{what}: manifold3d genus", other.genus(), 1 if volume > BLOCK + 1 else 0)


def parts(mesh):
    return sorted(mesh.split(only_watertight=False), key=lambda part: -part.volume)


def by_trimesh(path):
    kind = path.suffix[1:]
    # GLB is in metres.
    to_mm, step = (1000.0, 1e-5) if kind == "glb" else (1.0, 1e-5)
    joined = trimesh.load_mesh(path) if kind != "glb" else trimesh.load_scene(path).to_mesh()
    joined.apply_scale(to_mm)
    joined.merge_vertices()
    size = numpy.sort(joined.extents)
    for got, want in zip(size, [15.0, 52.0, 66.0]):
        check(f"{kind}: extent", float(got), want, step)
    up = 1 if kind == "glb" else 2
    check(f"{kind}: height along the up axis", float(joined.extents[up]), 15.0, step)
    found = parts(joined)
    check(f"{kind}: parts", len(found), 2)
    for part, volume in zip(found, [RING, BLOCK]):
        solid(kind, part.vertices, part.faces, volume, step)


def by_consortium(path):
    wrapper = get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.AddRelationToRead(SCRIPT_RELATIONSHIP)
    reader.ReadFromFile(str(path))
    warnings = [reader.GetWarning(i) for i in range(reader.GetWarningCount())]
    check("3mf: warnings in strict mode", warnings, [])
    check("3mf: unit", model.GetUnit(), lib3mf.Lib3MF.ModelUnit.MilliMeter)
    group = model.GetMetaDataGroup()
    told = {group.GetMetaData(i).GetName(): group.GetMetaData(i).GetValue() for i in range(group.GetMetaDataCount())}
    check("3mf: title", told.get("Title"), 'Tide <ring> & "block"')
    check("3mf: designer", told.get("Designer"), "The tide workshop")
    check("3mf: licence terms", told.get("LicenseTerms"), "CC-BY-4.0")
    check("3mf: thumbnail", model.HasPackageThumbnailAttachment(), True)
    png = bytes(model.GetPackageThumbnailAttachment().WriteToBuffer())
    check("3mf: thumbnail size", Image.open(io.BytesIO(png)).size, (2, 2))
    scripts = [model.GetAttachment(i) for i in range(model.GetAttachmentCount())]
    scripts = [bytes(a.WriteToBuffer()) for a in scripts if a.GetRelationShipType() == SCRIPT_RELATIONSHIP]
    check("3mf: scripts inside", len(scripts), 1)
    check("3mf: script text", scripts[0].startswith(b"//! Tide ring\nmake("), True)
    items = model.GetBuildItems()
    names, low = [], [math.inf] * 3
    while items.MoveNext():
        item = items.GetCurrent()
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        names.append(mesh.GetName())
        check(f"3mf: {mesh.GetName()} manifold and oriented", mesh.IsManifoldAndOriented(), True)
        points = numpy.array([list(p.Coordinates) for p in mesh.GetVertices()])
        triangles = numpy.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
        solid("3mf", points, triangles, RING if len(points) > 8 else BLOCK, 1e-5)
        shift = [item.GetObjectTransform().Fields[3][axis] for axis in range(3)]
        low = [min(low[axis], points[:, axis].min() + shift[axis]) for axis in range(3)]
    check("3mf: names", names, ["ring & tide", "block"])
    for axis in range(3):
        check("3mf: stands in the positive octant", float(low[axis]), 0.0, 1e-5)


def main():
    folder = pathlib.Path(sys.argv[1]) / "tmp" / "export"
    for kind in ["stl", "ply", "obj", "glb"]:
        by_trimesh(folder / f"both.{kind}")
    by_consortium(folder / "both.3mf")
    verdict.finish("files")


main()
