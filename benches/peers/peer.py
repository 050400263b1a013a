"""What both peers share: the order on the command line, the clock, the line of JSON, the saved mesh.

A peer is called as `PEER.py CASE CELLS REPEATS [MESH.npz]` and prints one line: seconds of sampling and of extracting
(those of the repeat with the least sum), vertices and triangles. A peer that has taken a minute is not repeated.
"""

import json
import sys
import time

import numpy

import cases


def run(prepare):
    """Times `prepare(case, cells)`, which gives two functions: sample() -> field, extract(field) -> (points, triangles)."""
    name, cells, repeats = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    sample, extract = prepare(cases.load()[name], cells)
    best, started = None, time.perf_counter()
    for _ in range(repeats):
        if time.perf_counter() - started > 60:
            break
        mesh = None
        began = time.perf_counter()
        field = sample()
        middle = time.perf_counter()
        mesh = extract(field)
        ended = time.perf_counter()
        if best is None or ended - began < sum(best):
            best = (middle - began, ended - middle)
        del field
    points, triangles = mesh
    if len(sys.argv) > 4:
        numpy.savez(sys.argv[4], points=numpy.asarray(points), triangles=numpy.asarray(triangles))
    line = {"case": name, "cells": cells, "seconds": sum(best)}
    line |= {"stages": {"sampling": best[0], "extracting": best[1]}}
    line |= {"vertices": len(points), "triangles": len(triangles)}
    print(json.dumps(line))
