"""How far a mesh lies from the exact surface of a case: a 99th percentile and a greatest distance.

200,000 places are strewn over the triangles, evenly by area, with a fixed seed. A solid's boundary is made of *parts*
(smooth level sets: the formula, a plane, a ball, a ring) and the creases where parts meet. For each place the nearest
point is sought on every part near by, on every crease of two and at every corner of three; those that lie on the
boundary of the whole count, and the nearest of them is the answer. All in 64 bits, with derivatives by hand; `check()`
holds the derivatives and values against the text of the formula.

The nearest point q to p on g = 0 is the limit of q <- p - J^T (J J^T)^-1 (g(q) + J (p - q)), J the gradients at q:
Newton's method for "on the surface, and q - p along the normal". It converges where the distance is small beside the
radius of curvature. Elsewhere (near double points) the plain steps along the gradient are kept, which give a point of
the surface, though perhaps not the nearest: distances are never told too small.
"""

import itertools

import numpy

PLACES = 200_000
SEED = 7
ROUNDS = 40


def column(p):
    return p[:, 0], p[:, 1], p[:, 2]


def gyroid(p):
    s, c = numpy.sin(p), numpy.cos(p)
    (sx, sy, sz), (cx, cy, cz) = column(s), column(c)
    value = sx * cy + sy * cz + sz * cx
    return value, numpy.stack([cx * cy - sz * sx, cy * cz - sx * sy, cz * cx - sy * sz], axis=1)


def schwarz(p):
    return numpy.cos(p).sum(axis=1), -numpy.sin(p)


def sextic(p):
    golden = (1 + 5**0.5) / 2
    p2, q = golden**2, 1 + 2 * golden
    x, y, z = column(p)
    a, b, c = p2 * x**2 - y**2, p2 * y**2 - z**2, p2 * z**2 - x**2
    r = x**2 + y**2 + z**2 - 1
    bc, ca, ab = b * c, c * a, a * b
    gradient = [
        8 * x * (p2 * bc - ab) - 4 * q * r * x,
        8 * y * (p2 * ca - bc) - 4 * q * r * y,
        8 * z * (p2 * ab - ca) - 4 * q * r * z,
    ]
    return 4 * a * bc - q * r**2, numpy.stack(gradient, axis=1)


def bumps(case):
    centres, spread, level = numpy.array(case["centres"]), case["spread"], case["level"]
    square = (centres**2).sum(axis=1)

    def few(p):
        far = (p**2).sum(axis=1)[:, None] + square - 2 * p @ centres.T
        weight = numpy.exp(-far / (2 * spread**2))
        whole = weight.sum(axis=1)
        return level - whole, (p * whole[:, None] - weight @ centres) / spread**2

    def at(p):
        # By pieces that stay in the processor's own memory.
        told = [few(p[start : start + 2048]) for start in range(0, max(len(p), 1), 2048)]
        return numpy.concatenate([value for value, _ in told]), numpy.concatenate([slope for _, slope in told])

    return at


def ball(radius):
    def at(p):
        r = numpy.linalg.norm(p, axis=1)
        return r - radius, p / r[:, None]

    return at


def ring(large, small):
    def at(p):
        x, y, z = column(p)
        flat = numpy.hypot(x, y)
        across = flat - large
        r = numpy.hypot(across, z)
        return r - small, numpy.stack([across / r * x / flat, across / r * y / flat, z / r], axis=1)

    return at


def plane(axis, side, distance):
    normal = numpy.zeros(3)
    normal[axis] = side

    def at(p):
        return side * p[:, axis] - distance, numpy.broadcast_to(normal, p.shape)

    return at


def block(half):
    return [plane(axis, side, half[axis]) for axis in range(3) for side in (1, -1)]


def shifted(part, sign, level):
    def at(p):
        value, gradient = part(p)
        return sign * value - level, sign * gradient

    return at


def greatest(values):
    return numpy.max(values, axis=0)


def parts(case):
    """The smooth parts of a case, and the function that joins their values: negative inside the whole solid."""
    name, numbers = case["name"], case.get("solids")
    half = [case["box"][1]] * 3
    if name == "gyroid":
        return [gyroid, *block(half)], greatest
    if name == "gyroid-sheet":
        return [shifted(gyroid, 1, 0.4), shifted(gyroid, -1, 0.4), *block(half)], greatest
    if name == "schwarz-p":
        return [schwarz, *block(half)], greatest
    if name == "barth":
        return [sextic, ball(case["ball"])], greatest
    if name == "gaussians":
        return [bumps(case)], greatest
    sides = block([side / 2 for side in numbers["block"]])

    def join(values):
        return numpy.minimum(numpy.maximum(greatest(values[:6]), -values[6]), values[7])

    return [*sides, ball(numbers["ball"]), ring(*numbers["torus"])], join


def nearest(p, chosen, reach):
    """Points on all of the chosen parts (1, 2 or 3) close to each p, and whether one was found within twice the reach."""
    q = p.copy()
    moving = numpy.arange(len(p))
    found = numpy.zeros(len(p), bool)
    for turn in range(ROUNDS):
        at, start = q[moving], p[moving]
        told = [part(at) for part in chosen]
        value = numpy.stack([v for v, _ in told], axis=1)
        slope = numpy.stack([g for _, g in told], axis=1)
        # The last rounds walk along the gradient alone, for places where the limit is not reached.
        back = numpy.zeros_like(at) if turn >= ROUNDS // 2 else start - at
        wanted = value + numpy.einsum("nij,nj->ni", slope, back)
        square = numpy.einsum("nij,nkj->nik", slope, slope)
        size = numpy.trace(square, axis1=1, axis2=2)[:, None, None]
        square += 1e-14 * numpy.eye(len(chosen)) * size + 1e-300 * numpy.eye(len(chosen))
        move = back - numpy.einsum("nij,ni->nj", slope, numpy.linalg.solve(square, wanted[:, :, None])[:, :, 0])
        length = numpy.linalg.norm(move, axis=1)
        move *= numpy.minimum(1, reach / numpy.maximum(length, 1e-300))[:, None]
        q[moving] = at + move
        settled = length < 1e-11 * (1 + numpy.linalg.norm(at, axis=1))
        found[moving[settled]] = True
        # Close enough at the end: what is left of the way is far under every distance told.
        if turn == ROUNDS - 1:
            found[moving[length < 1e-3 * reach]] = True
        moving = moving[~settled]
        if not len(moving):
            break
    return q, found & (numpy.linalg.norm(q - p, axis=1) < 2 * reach)


def first_order(part, p):
    value, gradient = part(p)
    return value / numpy.maximum(numpy.linalg.norm(gradient, axis=1), 1e-6)


def distances(case, places):
    """The distance of each place to the boundary of the case; `reach` for those that no point was found for."""
    pieces, join = parts(case)
    reach = (case["box"][1] - case["box"][0]) / 64
    near = numpy.stack([numpy.abs(first_order(part, places)) < reach for part in pieces])
    best = numpy.full(len(places), numpy.inf)
    for count in (1, 2, 3):
        for chosen in itertools.combinations(range(len(pieces)), count):
            which = numpy.flatnonzero(near[list(chosen)].all(axis=0))
            if not len(which):
                continue
            q, found = nearest(places[which], [pieces[i] for i in chosen], reach)
            values = [first_order(part, q) for part in pieces]
            for i in chosen:
                values[i] = numpy.zeros(len(q))
            on = found & (numpy.abs(join(numpy.stack(values))) < 1e-9)
            far = numpy.where(on, numpy.linalg.norm(q - places[which], axis=1), numpy.inf)
            best[which] = numpy.minimum(best[which], far)
    return numpy.minimum(best, reach), int((~numpy.isfinite(best)).sum())


def strewn(case, points, triangles):
    """Places over the mesh, evenly by area; caps on the faces of the box are left out, for the peers make none."""
    points = numpy.asarray(points, float)
    corners = points[numpy.asarray(triangles)]
    if case["capped"]:
        low, high = case["box"]
        slack = 1e-6 * (high - low)
        cap = ((numpy.abs(corners - low) < slack).all(axis=1) | (numpy.abs(corners - high) < slack).all(axis=1)).any(axis=1)
        corners = corners[~cap]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = numpy.linalg.norm(numpy.cross(b - a, c - a), axis=1)
    chance = numpy.random.default_rng(SEED)
    total = numpy.cumsum(area)
    which = numpy.searchsorted(total, chance.random(PLACES) * total[-1], side="right")
    u, v = chance.random(PLACES), chance.random(PLACES)
    over = u + v > 1
    u[over], v[over] = 1 - u[over], 1 - v[over]
    a, b, c = (corner[which] for corner in (a, b, c))
    return a + u[:, None] * (b - a) + v[:, None] * (c - a)


def accuracy(case, points, triangles):
    """The 99th percentile and the greatest distance, and how many places no point of the surface was found for."""
    far, lost = distances(case, strewn(case, points, triangles))
    return {"p99": float(numpy.quantile(far, 0.99)), "max": float(far.max()), "lost": lost}


def check(case):
    """Values against the text of the formula, slopes against differences: a slip here would bend every comparison."""
    chance = numpy.random.default_rng(SEED)
    p = chance.uniform(*case["box"], (200, 3))
    pieces, _ = parts(case)
    if "formula" in case:
        names = dict(zip("xyz", column(p))) | {k: getattr(numpy, k) for k in ("sin", "cos", "exp", "abs")}
        want = eval(case["formula"].replace("^", "**"), {"__builtins__": {}}, names)
        got = greatest([part(p)[0] for part in pieces[: 2 if case["name"] == "gyroid-sheet" else 1]])
        assert numpy.allclose(got, want, rtol=1e-9, atol=1e-9), case["name"]
    for part in pieces:
        _, slope = part(p)
        for axis in range(3):
            step = numpy.zeros(3)
            step[axis] = 1e-6
            want = (part(p + step)[0] - part(p - step)[0]) / 2e-6
            assert numpy.allclose(slope[:, axis], want, rtol=1e-5, atol=1e-5), (case["name"], axis)
