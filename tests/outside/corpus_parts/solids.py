"""Inequalities, bands, and forms in polar, cylindrical and spherical coordinates.

Coordinates used here. Cylindrical: r = sqrt(x^2 + y^2), theta = atan2(y, x), z. Spherical, when the radius is called
rho: theta = atan2(y, x) goes round, phi = acos(z/rho) comes down from the z axis. When the radius is called r beside
both angles the two conventions are both common: theta down from the axis and phi round (ISO 80000-2) is preferred and
the other is listed.
"""

from math import acos, atan2, cos, cosh, hypot, sin, sqrt

from .entry import field


def norm(x, y, z):
    return sqrt(x*x + y*y + z*z)


def around(x, y):
    return atan2(y, x)


def down(x, y, z):
    return acos(z/norm(x, y, z))


field("h01-cylindrical", "unicode", "r = 1 + 0.3 cos 5θ + 0.2 z", lambda x, y, z: hypot(x, y) - (1 + 0.3*cos(5*around(x, y)) + 0.2*z), "cylindrical,bare-fn",
      convention="cylindrical: r from the z axis, theta from x")
field("h02-cylindrical-height", "unicode", "z = r² cos 2θ", lambda x, y, z: z - (x*x + y*y)*cos(2*around(x, y)), "cylindrical,height,superscript")
field("h03-cylindrical-tex", "tex", r"z=r^3\cos 3\theta", lambda x, y, z: z - hypot(x, y)**3*cos(3*around(x, y)), "cylindrical,height,bare-fn", why="monkey saddle")
field("h04-cylindrical-stated", "ascii", "r^2 + z^2 = 1 + 0.5 cos(4 theta) in cylindrical coordinates", lambda x, y, z: x*x + y*y + z*z - 1 - 0.5*cos(4*around(x, y)), "cylindrical,stated-coordinates", may_reject=True)
field("h05-spherical-rho", "unicode", "ρ = 1 + 0.2 sin 5θ sin 4φ", lambda x, y, z: norm(x, y, z) - (1 + 0.2*sin(5*around(x, y))*sin(4*down(x, y, z))), "spherical,bare-fn",
      alt=[("theta down from the axis, phi round", lambda x, y, z: norm(x, y, z) - (1 + 0.2*sin(5*down(x, y, z))*sin(4*around(x, y))))], convention="with rho: theta round the axis, phi down from it")
field("h06-spherical-tex", "tex", r"\rho=2+\cos 3\phi", lambda x, y, z: norm(x, y, z) - 2 - cos(3*down(x, y, z)), "spherical",
      alt=[("phi round the axis", lambda x, y, z: norm(x, y, z) - 2 - cos(3*around(x, y)))], convention="with rho: phi down from the axis")
field("h07-spherical-r", "tex", r"r=1+\tfrac12\sin^2(2\theta)\cos(3\phi)", lambda x, y, z: norm(x, y, z) - (1 + 0.5*sin(2*down(x, y, z))**2*cos(3*around(x, y))), "spherical,frac",
      alt=[("theta round the axis, phi down from it", lambda x, y, z: norm(x, y, z) - (1 + 0.5*sin(2*around(x, y))**2*cos(3*down(x, y, z))))], convention="with r: theta down from the axis, phi round (ISO 80000-2)")
field("h08-polar-helper", "ascii", "r = sqrt(x^2 + y^2)\ntheta = atan2(y, x)\nr = 1 + 0.4 cos(3 theta)", lambda x, y, z: hypot(x, y) - 1 - 0.4*cos(3*around(x, y)), "helper-line,polar", may_reject=True)
field("h09-spherical-where", "unicode", "r = 1 + 0.3 sin(3θ) sin(φ)², where θ = atan2(y, x), φ = acos(z/r) and r = √(x² + y² + z²)",
      lambda x, y, z: norm(x, y, z) - (1 + 0.3*sin(3*around(x, y))*sin(down(x, y, z))**2), "spherical,where-clause", may_reject=True, why="the text states its convention")
field("h10-radius-helper", "numpy", "r = np.sqrt(x**2 + y**2)\ntheta = np.arctan2(y, x)\nf = r - 1 - 0.2*np.cos(6*theta + 2*z)", lambda x, y, z: hypot(x, y) - 1 - 0.2*cos(6*around(x, y) + 2*z), "helper-line,cylindrical,prefix", rel="expr")
field("h11-polar-curve", "unicode", "r = 1 + cos θ", lambda x, y, z: hypot(x, y) - 1 - cos(around(x, y)), "polar,bare-fn", also_ok="the plane curve, said to be one", may_reject=True,
      convention="a polar equation is the cylinder over its curve")
field("h12-cylindrical-catenoid", "ascii", "r = cosh z", lambda x, y, z: hypot(x, y) - cosh(z), "cylindrical,bare-fn", may_reject=True, why="r without theta", convention="r from the z axis")
field("h13-spherical-solid", "unicode", "ρ < 1 + 0.3 cos(4φ)", lambda x, y, z: norm(x, y, z) - 1 - 0.3*cos(4*down(x, y, z)), "spherical,ineq", rel="<",
      alt=[("phi round the axis", lambda x, y, z: norm(x, y, z) - 1 - 0.3*cos(4*around(x, y)))], convention="with rho: phi down from the axis")

field("i01-lt", "ascii", "x^4 + y^4 + z^4 < 1", lambda x, y, z: x**4 + y**4 + z**4 - 1, "ineq", rel="<")
field("i02-gt", "ascii", "sin x cos y + sin y cos z + sin z cos x > 0.2", lambda x, y, z: 0.2 - (sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)), "ineq,bare-fn", rel=">")
field("i03-le", "ascii", "x^2 + y^2 <= (1 - z) z^2", lambda x, y, z: x*x + y*y - (1 - z)*z*z, "ineq", rel="<")
field("i04-ge", "ascii", "4 >= x^2 + y^2 + z^2", lambda x, y, z: x*x + y*y + z*z - 4, "ineq", rel=">")
field("i05-eq-le", "ascii", "max(|x|,|y|,|z|) =< 1", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 1, "ineq", rel="<", may_reject=True)
field("i06-abs-band", "ascii", "|cos x + cos y + cos z| < 0.4", lambda x, y, z: abs(cos(x) + cos(y) + cos(z)) - 0.4, "ineq,abs-bars,bare-fn", rel="<")
field("i07-band", "ascii", "-0.3 < sin x cos y + sin y cos z + sin z cos x < 0.3", lambda x, y, z: max(-0.3 - (sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)), sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x) - 0.3),
      "double-ineq,bare-fn", rel="band")
field("i08-band-le", "ascii", "0.5 <= x^2 + y^2 + z^2 <= 1", lambda x, y, z: max(0.5 - (x*x + y*y + z*z), x*x + y*y + z*z - 1), "double-ineq", rel="band")
field("i09-band-unicode", "unicode", "−½ ≤ x² − y² − z ≤ ½", lambda x, y, z: max(-0.5 - (x*x - y*y - z), x*x - y*y - z - 0.5), "double-ineq,superscript,vulgar-fraction", rel="band")
field("i10-band-expressions", "ascii", "x^2 < z + 1 < 4 - y^2", lambda x, y, z: max(x*x - (z + 1), z + 1 - (4 - y*y)), "double-ineq", rel="band", why="both ends depend on the place")
field("i11-band-reversed", "ascii", "1 > x^2 + y^2 > 0.25", lambda x, y, z: max(0.25 - (x*x + y*y), x*x + y*y - 1), "double-ineq", rel="band")
field("i12-ineq-parameter", "ascii", "cos x + cos y + cos z < c", lambda x, y, z, c: cos(x) + cos(y) + cos(z) - c, "ineq,free-var", rel="<", vars={"c": -0.3})
field("i13-code-comparison", "numpy", "x**2 + y**2 + z**2 < 1.5", lambda x, y, z: x*x + y*y + z*z - 1.5, "ineq,starstar", rel="<")
field("i14-both-sides", "ascii", "2x y < z^3 - x", lambda x, y, z: 2*x*y - z**3 + x, "ineq,space-mul", rel="<")
field("i15-tex-band-abs", "tex", r"0.1<\left|xyz\right|<0.5", lambda x, y, z: max(0.1 - abs(x*y*z), abs(x*y*z) - 0.5), "double-ineq,abs-bars", rel="band")
field("i16-and", "ascii", "x^2 + y^2 < 1 and z^2 < 1", lambda x, y, z: max(x*x + y*y - 1, z*z - 1), "conjunction", rel="band", may_reject=True, why="two conditions: the larger difference")
