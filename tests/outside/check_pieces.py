"""Every worked script, made by the program and judged by libraries of other people.

Usage: check_pieces.py TARGET_FOLDER [SCRIPT...]

Each piece must be, for trimesh and for manifold3d, one or more closed solids with consistent winding and a positive
volume, on which the two libraries and the program's own report agree; the 3MF of each piece must please the format's
own consortium's reader in its strict mode, with the script inside, and hold the same volume.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

import lib3mf
import manifold3d
import numpy
import trimesh

ROOT = pathlib.Path(__file__).parent.parent.parent
# Coarse, so that all scripts take minutes and not an hour; the laws hold at every tolerance.
PARTS_OF_SIZE = 300
SECONDS = 300.0
# Parameters within each script's own ranges that keep it quick, the same as in tests/scripts.rs.
QUICK = json.loads((ROOT / "tests" / "quick.json").read_text())

failed = []
passed = 0


def check(what, good, told=""):
    global passed
    passed += bool(good)
    if not good:
        failed.append(what)
        print(f"FAIL {what} {told}")


def program(target):
    return next(p for p in (pathlib.Path(target) / "debug" / "ogee", pathlib.Path(target) / "release" / "ogee") if p.exists())


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


def quick(script):
    return [word for name, value in QUICK.get(script.stem, {}).items() for word in ("--set", f"{name}={value}")]


def longest(ogee, script):
    """The longest side of all pieces, from a first look that is as coarse as the program allows."""
    seen = subprocess.run([ogee, "see", script, *quick(script), "--json", "--tolerance", "2"], capture_output=True, text=True, timeout=SECONDS)
    shapes = json.loads(seen.stdout).get("shapes", [])
    return max((max(shape["size"]) for shape in shapes), default=100.0)


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
        pieces = json.loads(report.read_text())["pieces"]
        check(f"{name}: has pieces", len(pieces) > 0)
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
    print(f"pieces: {passed} checks passed, {len(failed)} failed")
    sys.exit(1 if failed else 0)


main()
