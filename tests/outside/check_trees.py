"""Solids of random set operations, as `tests/realise.rs` left them, judged by libraries of other people.

Usage: check_trees.py TARGET_FOLDER

Each must be, for trimesh and for manifold3d, closed with consistent winding and a positive volume. The volumes are not
compared: the second library turns over an edge here and there as it reads.
"""

import pathlib
import sys

import manifold3d
import numpy
import trimesh

from verdict import check, finish


def judge(path):
    mesh = trimesh.load_mesh(path, process=False)
    check(f"{path.stem}: trimesh watertight", mesh.is_watertight)
    check(f"{path.stem}: trimesh winding", mesh.is_winding_consistent)
    check(f"{path.stem}: trimesh volume", mesh.volume > 0, mesh.volume)
    other = manifold3d.Manifold(manifold3d.Mesh(mesh.vertices.astype(numpy.float32), mesh.faces.astype(numpy.uint32)))
    check(f"{path.stem}: manifold3d", other.status() == manifold3d.Error.NoError, other.status())
    check(f"{path.stem}: manifold3d volume", other.volume() > 0, other.volume())


meshes = sorted((pathlib.Path(sys.argv[1]) / "tmp" / "trees").glob("*.off"))
check("there are 250 solids or more", len(meshes) >= 250, len(meshes))
for path in meshes:
    judge(path)
finish("trees")
