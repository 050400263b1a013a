"""The expert peer: sampling compiled for this processor and run on every core, then flying edges on threads.

Written as somebody would who wants it fast: 32-bit samples (half the memory, and faster in the extractor; 64-bit was
measured and is slower), one pass over the grid in memory order, whatever depends on one axis taken from a table, the
compiler free to reorder sums, normals and gradients off. Compiling is not timed. See peer.py for how it is called.
"""

import os

import numba
import numpy
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkSMPTools
from vtkmodules.vtkCommonDataModel import vtkImageData
from vtkmodules.vtkFiltersCore import vtkFlyingEdges3D

import peer

THREADS = 2
SAMPLE = numpy.dtype(os.environ.get("PEERS_SAMPLE", "float32"))
# Leaves out terms under 1e-6 of the gaussians' sum, which is no longer the formula as given.
NEAR = "PEERS_NEAR" in os.environ
compiled = numba.njit(parallel=True, fastmath=True, cache=True)


# Fields are stored as [z, y, x]: the extractor wants x to run fastest.


@compiled
def gyroid(sines, cosines, out):
    for k in numba.prange(out.shape[0]):
        for j in range(out.shape[1]):
            a, b, c = cosines[j], sines[j] * cosines[k], sines[k]
            for i in range(out.shape[2]):
                out[k, j, i] = sines[i] * a + b + c * cosines[i]


@compiled
def gyroid_sheet(sines, cosines, half, out):
    for k in numba.prange(out.shape[0]):
        for j in range(out.shape[1]):
            a, b, c = cosines[j], sines[j] * cosines[k], sines[k]
            for i in range(out.shape[2]):
                out[k, j, i] = abs(sines[i] * a + b + c * cosines[i]) - half


@compiled
def schwarz(cosines, out):
    for k in numba.prange(out.shape[0]):
        for j in range(out.shape[1]):
            a = cosines[j] + cosines[k]
            for i in range(out.shape[2]):
                out[k, j, i] = cosines[i] + a


@compiled
def sextic(squares, p2, q, radius, out):
    one, four = squares.dtype.type(1), squares.dtype.type(4)
    for k in numba.prange(out.shape[0]):
        zz = squares[k]
        for j in range(out.shape[1]):
            yy = squares[j]
            for i in range(out.shape[2]):
                xx = squares[i]
                rr = xx + yy + zz
                f = four * (p2 * xx - yy) * (p2 * yy - zz) * (p2 * zz - xx) - q * (rr - one) * (rr - one)
                out[k, j, i] = max(f, numpy.sqrt(rr) - radius)


@compiled
def block_ball_torus(line, half, ball, large, small, out):
    zero = line.dtype.type(0)
    for k in numba.prange(out.shape[0]):
        z = line[k]
        c = abs(z) - half[2]
        for j in range(out.shape[1]):
            y = line[j]
            b = abs(y) - half[1]
            for i in range(out.shape[2]):
                x = line[i]
                a = abs(x) - half[0]
                u, v, w = max(a, zero), max(b, zero), max(c, zero)
                block = numpy.sqrt(u * u + v * v + w * w) + min(max(a, max(b, c)), zero)
                flat = x * x + y * y
                hole = ball - numpy.sqrt(flat + z * z)
                across = numpy.sqrt(flat) - large
                torus = numpy.sqrt(across * across + z * z) - small
                out[k, j, i] = min(max(block, hole), torus)


def gaussians(tables, level, out):
    """exp(a + b + c) = exp(a) exp(b) exp(c), so the sum over centres is one product of matrices, on threads too."""
    across, along, up = tables
    rows = (along[:, :, None] * across[:, None, :]).reshape(len(across), -1)
    numpy.dot(up.T, rows, out=out.reshape(len(out), -1))
    numpy.subtract(level, out, out=out)


@compiled
def gaussians_near(across, along, up, level, least, out):
    """The same by rows, leaving out what an expert has looked at and found too small to matter."""
    for k in numba.prange(out.shape[0]):
        row = numpy.empty_like(out[k, 0])
        for j in range(out.shape[1]):
            row[:] = level
            for c in range(len(across)):
                weight = up[c, k] * along[c, j]
                if weight < least:
                    continue
                values = across[c]
                for i in range(row.size):
                    row[i] -= weight * values[i]
            out[k, j] = row


def sampler(case, line):
    """The compiled loop of a case and what it reads, made of the grid's coordinates along one axis."""
    kind = SAMPLE.type
    name = case["name"]
    if name == "gyroid":
        return gyroid, (numpy.sin(line).astype(kind), numpy.cos(line).astype(kind))
    if name == "gyroid-sheet":
        return gyroid_sheet, (numpy.sin(line).astype(kind), numpy.cos(line).astype(kind), kind(0.4))
    if name == "schwarz-p":
        return schwarz, (numpy.cos(line).astype(kind),)
    if name == "barth":
        golden = (1 + 5**0.5) / 2
        squares = (line**2).astype(kind)
        return sextic, (squares, kind(golden**2), kind(1 + 2 * golden), kind(case["ball"]))
    if name == "block":
        numbers = case["solids"]
        half = numpy.array(numbers["block"], kind) / kind(2)
        return block_ball_torus, (line.astype(kind), half, *map(kind, [numbers["ball"], *numbers["torus"]]))
    centres = numpy.array(case["centres"]).T[:, :, None]
    tables = numpy.exp(-((line[None, None, :] - centres) ** 2) / (2 * case["spread"] ** 2)).astype(kind)
    if NEAR:
        return gaussians_near, (*tables, kind(case["level"]), kind(1e-6))
    return gaussians, (tables, kind(case["level"]))


def prepare(case, cells):
    numba.set_num_threads(min(THREADS, numba.config.NUMBA_NUM_THREADS))
    vtkSMPTools.SetBackend("STDThread")
    vtkSMPTools.Initialize(THREADS)
    low, high = case["box"]
    step = (high - low) / cells

    def sample():
        line = numpy.linspace(low, high, cells + 1)
        loop, reads = sampler(case, line)
        out = numpy.empty((cells + 1,) * 3, SAMPLE)
        loop(*reads, out)
        return out

    def extract(values):
        image = vtkImageData()
        image.SetDimensions(cells + 1, cells + 1, cells + 1)
        image.SetOrigin(low, low, low)
        image.SetSpacing(step, step, step)
        image.GetPointData().SetScalars(numpy_to_vtk(values.ravel()))
        edges = vtkFlyingEdges3D()
        edges.SetInputData(image)
        edges.SetValue(0, 0.0)
        edges.ComputeNormalsOff()
        edges.ComputeGradientsOff()
        edges.ComputeScalarsOff()
        edges.Update()
        mesh = edges.GetOutput()
        points = vtk_to_numpy(mesh.GetPoints().GetData())
        return points, vtk_to_numpy(mesh.GetPolys().GetConnectivityArray()).reshape(-1, 3)

    # Compiles, and starts the threads.
    loop, reads = sampler(case, numpy.linspace(low, high, 9))
    loop(*reads, numpy.empty((9,) * 3, SAMPLE))
    return sample, extract


if __name__ == "__main__":
    peer.run(prepare)
