"""The plain peer: array code and a marching-cubes library, as a tutorial would write it, with its usual good habits.

Coordinates are broadcast, not spread over the whole grid, so that `sin(x)` costs one axis; arrays are 64-bit, the
library's default. See peer.py for how it is called.
"""

import numpy
from skimage.measure import marching_cubes

import peer


def level(case, x, y, z):
    """A formula of the file, as array code."""
    names = {"x": x, "y": y, "z": z, "sin": numpy.sin, "cos": numpy.cos, "abs": numpy.abs}
    field = eval(case["formula"].replace("^", "**"), {"__builtins__": {}}, names)
    if "ball" in case:
        field = numpy.maximum(field, numpy.sqrt(x**2 + y**2 + z**2) - case["ball"])
    return field


def gaussians(case, x, y, z):
    """The sum as one would write it over lists of centres: it would not be written as one formula of 200 terms."""
    field = numpy.full((x.size, y.size, z.size), case["level"])
    for a, b, c in case["centres"]:
        field -= numpy.exp(-((x - a) ** 2 + (y - b) ** 2 + (z - c) ** 2) / (2 * case["spread"] ** 2))
    return field


def solids(case, x, y, z):
    """Signed distances joined by least and greatest."""
    numbers = case["solids"]
    gaps = [numpy.abs(axis) - side / 2 for axis, side in zip((x, y, z), numbers["block"])]
    outside = numpy.sqrt(sum(numpy.maximum(gap, 0) ** 2 for gap in gaps))
    block = outside + numpy.minimum(numpy.maximum(numpy.maximum(gaps[0], gaps[1]), gaps[2]), 0)
    ball = numpy.sqrt(x**2 + y**2 + z**2) - numbers["ball"]
    large, small = numbers["torus"]
    torus = numpy.sqrt((numpy.sqrt(x**2 + y**2) - large) ** 2 + z**2) - small
    return numpy.minimum(numpy.maximum(block, -ball), torus)


def prepare(case, cells):
    low, high = case["box"]
    step = (high - low) / cells
    field = gaussians if "centres" in case else solids if "solids" in case else level

    def sample():
        line = numpy.linspace(low, high, cells + 1)
        return field(case, line[:, None, None], line[None, :, None], line[None, None, :])

    def extract(values):
        points, triangles, _, _ = marching_cubes(values, 0.0, spacing=(step, step, step))
        points += low
        return points, triangles

    return sample, extract


if __name__ == "__main__":
    peer.run(prepare)
