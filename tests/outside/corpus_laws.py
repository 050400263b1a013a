"""That the named surfaces and curves of the corpus are what their names say, by laws from outside.

Sources: A. Gray, Modern Differential Geometry of Curves and Surfaces (mean curvature 0 and Gaussian curvature -1 of
the classical surfaces); nodes of the nodal surfaces: W. Barth (1996), E. Togliatti (1940), G. Fischer, Mathematical
Models (1986); lengths of knots by the trapezoid rule, which converges faster than any power on a closed curve.
"""

import math

STEP = 1e-4


def curvatures(f, u, v):
    """Mean and Gaussian curvature by central differences; good to about 1e-6."""
    h = STEP * 10

    def at(i, j):
        return f(u + i * h, v + j * h)

    def mix(*terms):
        return [sum(k * p[c] for k, p in terms) for c in range(3)]

    def dot(a, b):
        return sum(p * q for p, q in zip(a, b))

    fu = mix((0.5 / h, at(1, 0)), (-0.5 / h, at(-1, 0)))
    fv = mix((0.5 / h, at(0, 1)), (-0.5 / h, at(0, -1)))
    fuu = mix((1 / h**2, at(1, 0)), (-2 / h**2, at(0, 0)), (1 / h**2, at(-1, 0)))
    fvv = mix((1 / h**2, at(0, 1)), (-2 / h**2, at(0, 0)), (1 / h**2, at(0, -1)))
    q = 0.25 / h**2
    fuv = mix((q, at(1, 1)), (-q, at(1, -1)), (-q, at(-1, 1)), (q, at(-1, -1)))
    n = [fu[1] * fv[2] - fu[2] * fv[1], fu[2] * fv[0] - fu[0] * fv[2], fu[0] * fv[1] - fu[1] * fv[0]]
    size = math.sqrt(dot(n, n))
    n = [c / size for c in n]
    big_e, big_f, big_g = dot(fu, fu), dot(fu, fv), dot(fv, fv)
    e, f_, g = dot(fuu, n), dot(fuv, n), dot(fvv, n)
    below = big_e * big_g - big_f**2
    return (e * big_g - 2 * f_ * big_f + g * big_e) / (2 * below), (e * g - f_**2) / below


def slope(f, place):
    """Length of the gradient by central differences."""
    total = 0.0
    for axis in range(3):
        ends = []
        for sign in (1, -1):
            moved = list(place)
            moved[axis] += sign * STEP
            ends.append(f(*moved))
        total += ((ends[0] - ends[1]) / (2 * STEP)) ** 2
    return math.sqrt(total)


def length(f, period, steps=4000):
    """Length of a closed curve: speed by central differences, trapezoid rule."""
    h = period / steps
    speeds = [math.dist(f(k * h + STEP), f(k * h - STEP)) / (2 * STEP) for k in range(steps)]
    return sum(speeds) * h


MINIMAL = ["k04-catenoid", "k05-helicoid", "k06-enneper", "k07-henneberg", "k08-bour", "k09-richmond", "k10-catalan", "k38-scherk"]
MINUS_ONE = {"k12-kuen": -1.0, "k13-breather": -1.0, "k21-pseudosphere": -1.0, "k11-dini": -1 / (1.0 + 0.2**2)}
NODES = {
    "a09-cayley": [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)],
    "a62-togliatti": [(0, 0, -0.3717480344601845)],
    "c15-togliatti": [(0, 0, -0.3717480344601845)],
    "a33-kummer": [(math.sqrt(0.3), 0, -1), (0, math.sqrt(0.3), 1)],
    "a18-barth-sextic": [(0, 0, 1), (1, 0, 0)],
    "a12-heart": [(0, 0, 1), (0, 0, -1)],
    "a11-ding-dong": [(0, 0, 0)],
}
LENGTHS = {
    "j03-trefoil": 28.826290199,
    "j04-torus-knot": 31.898600666,
    "j06-torus-knot-numpy": 40.840190569,
    "j07-figure-eight": 42.966418056,
    "j09-lissajous": 33.183413828,
}
# Parametrised forms that lie on an implicit one of the corpus, after scaling: F. Apery's equation of Boy's surface
# has its top at z = 1, his parametrisation one half higher.
ON = [("k15-roman", "c20-roman", 1.0), ("k19-whitney", "a17-whitney", 1.0), ("k14-boy", "c21-boy-implicit", 2 / 3)]


def faults(meant):
    """What breaks a law, one line each."""
    places = [(0.3, 0.45), (0.7, 1.1), (0.55, 0.9)]
    for name in MINIMAL:
        for place in places:
            mean, _ = curvatures(meant[name], *place)
            if abs(mean) > 1e-4:
                yield f"{name}: mean curvature {mean} at {place}, wanted 0"
    for name, want in MINUS_ONE.items():
        for place in places:
            _, gauss = curvatures(meant[name], *place)
            if abs(gauss - want) > 1e-3:
                yield f"{name}: Gaussian curvature {gauss} at {place}, wanted {want}"
    for name, nodes in NODES.items():
        for node in nodes:
            value, steep = meant[name](*node), slope(meant[name], node)
            if abs(value) > 1e-6 or steep > 1e-4:
                yield f"{name}: value {value}, slope {steep} at the node {node}"
    for name, want in LENGTHS.items():
        got = length(meant[name], 2 * math.pi)
        if abs(got - want) > 1e-5:
            yield f"{name}: length {got}, wanted {want}"
    for above, below, scale in ON:
        for place in places:
            value = meant[below](*(scale * c for c in meant[above](*place)))
            if abs(value) > 1e-9:
                yield f"{above} is off {below} by {value} at {place}"
