"""Prints how far a mesh lies from the exact surface of a case: `measure.py CASE MESH.ply|MESH.npz`, one line of JSON."""

import json
import sys

import numpy

import cases
import exact
import ply


def mesh(path):
    if path.endswith(".ply"):
        return ply.read(path)
    arrays = numpy.load(path)
    return arrays["points"], arrays["triangles"]


def measured(name, path):
    case = cases.load()[name]
    exact.check(case)
    points, triangles = mesh(path)
    return {"case": name, "triangles": len(triangles), **exact.accuracy(case, points, triangles)}


if __name__ == "__main__":
    print(json.dumps(measured(*sys.argv[1:3])))
