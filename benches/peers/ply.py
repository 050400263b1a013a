"""Reads the meshes that our side saves: binary little-endian PLY of triangles, as any reader of that format would."""

import numpy

KINDS = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "<i2", "int16": "<i2", "ushort": "<u2",
    "uint16": "<u2", "int": "<i4", "int32": "<i4", "uint": "<u4", "uint32": "<u4", "float": "<f4", "float32": "<f4",
    "double": "<f8", "float64": "<f8",
}


def read(path):
    """Points (n, 3) and triangles (m, 3). Other faces than triangles are refused."""
    data = open(path, "rb").read()
    end = data.index(b"end_header")
    start = data.index(b"\n", end) + 1
    elements = []
    for line in data[:end].decode("ascii").splitlines():
        words = line.split()
        if words[:1] == ["format"]:
            assert words[1] == "binary_little_endian", line
        elif words[:1] == ["element"]:
            elements.append((words[1], int(words[2]), []))
        elif words[:2] == ["property", "list"]:
            elements[-1][2].extend([("count", KINDS[words[2]]), ("corners", KINDS[words[3]], (3,))])
        elif words[:1] == ["property"]:
            elements[-1][2].append((words[2], KINDS[words[1]]))
    tables = {}
    for name, count, fields in elements:
        tables[name] = numpy.frombuffer(data, numpy.dtype(fields), count, start)
        start += tables[name].nbytes
    points, faces = tables["vertex"], tables["face"]
    assert (faces["count"] == 3).all(), "a face that is no triangle"
    return numpy.stack([points[axis].astype(float) for axis in "xyz"], axis=1), faces["corners"].astype(numpy.int64)
