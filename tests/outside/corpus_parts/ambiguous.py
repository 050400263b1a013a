"""Texts with more than one fair reading. The preferred one follows the conventions of the public test formulas; another
listed reading is right only if the reader says how it read the text."""

from math import acos, atan2, cos, exp, log, log10, pi, sin, sqrt, tan

from .entry import OCTANT, curve, field, surface


def amb(name, style, text, value, reading, other, convention, **more):
    field(name, style, text, value, "ambiguous", alt=[(reading, other)], convention=convention, **more)


COEF = "a literal fraction before a symbol is its coefficient"
LEFT = "product and quotient run from left to right, juxtaposed or not"
ARG = "the argument of a bare function runs over the product of numbers and letters that follows"
MINUS = "minus is applied after the power"

amb("m01-half-x", "ascii", "1/2x + y^2 = z", lambda x, y, z: x/2 + y*y - z, "1/(2x)", lambda x, y, z: 1/(2*x) + y*y - z, COEF)
amb("m02-three-quarters", "ascii", "z = 3/4xy", lambda x, y, z: z - 0.75*x*y, "3/(4xy)", lambda x, y, z: z - 3/(4*x*y), COEF)
amb("m03-fraction-bracket", "ascii", "1/2(x^2 + y^2 + 1) = z", lambda x, y, z: (x*x + y*y + 1)/2 - z, "1/(2(x^2 + y^2 + 1))", lambda x, y, z: 1/(2*(x*x + y*y + 1)) - z, COEF)
amb("m04-fraction-pi", "ascii", "1/2pi x = sin z + y", lambda x, y, z: pi*x/2 - sin(z) - y, "1/(2 pi) x", lambda x, y, z: x/(2*pi) - sin(z) - y, COEF)
amb("m05-letter-quotient", "ascii", "x/2y + z^2 = 1", lambda x, y, z: x/2*y + z*z - 1, "x/(2y)", lambda x, y, z: x/(2*y) + z*z - 1, LEFT)
amb("m06-fraction-sin", "ascii", "1/2 sin x + 1/3 sin y = z", lambda x, y, z: sin(x)/2 + sin(y)/3 - z, "1/(2 sin x)", lambda x, y, z: 1/(2*sin(x)) + 1/(3*sin(y)) - z, COEF)
amb("m07-sin-xy", "ascii", "sin x y + sin y z = 0.2", lambda x, y, z: sin(x*y) + sin(y*z) - 0.2, "sin(x) y + sin(y) z", lambda x, y, z: sin(x)*y + sin(y)*z - 0.2, ARG)
amb("m08-tex-cos-xyz", "tex", r"\cos xyz=\frac12", lambda x, y, z: cos(x*y*z) - 0.5, "cos(x) y z", lambda x, y, z: cos(x)*y*z - 0.5, ARG)
amb("m09-sin-bracket", "ascii", "sin x (y + 1) = z", lambda x, y, z: sin(x)*(y + 1) - z, "sin(x (y + 1))", lambda x, y, z: sin(x*(y + 1)) - z, ARG + ", and stops at a bracket")
amb("m10-cos-two-pi-bracket", "tex", r"\cos 2\pi(x+y)=z", lambda x, y, z: cos(2*pi*(x + y)) - z, "cos(2 pi) (x + y)", lambda x, y, z: cos(2*pi)*(x + y) - z, "numbers alone are no argument: the bracket belongs to them")
amb("m11-sin-half", "ascii", "sin x/2 + cos y = z", lambda x, y, z: sin(x)/2 + cos(y) - z, "sin(x/2)", lambda x, y, z: sin(x/2) + cos(y) - z, ARG + ", and stops at a division sign")
amb("m12-minus-square", "ascii", "-x^2 + y^2 = z", lambda x, y, z: -x*x + y*y - z, "(-x)^2", lambda x, y, z: x*x + y*y - z, MINUS)
amb("m13-sheet-minus-square", "spreadsheet", "=-x^2+2*y-z", lambda x, y, z: -x*x + 2*y - z, "(-x)^2, as sheets count", lambda x, y, z: x*x + 2*y - z, MINUS, rel="expr")
amb("m14-power-tower", "ascii", "2^x^2 = y + z", lambda x, y, z: 2**(x*x) - y - z, "(2^x)^2", lambda x, y, z: (2**x)**2 - y - z, "powers group from the right")
amb("m15-log", "ascii", "log(x^2 + y^2) = z", lambda x, y, z: log(x*x + y*y) - z, "logarithm to base ten", lambda x, y, z: log10(x*x + y*y) - z, "log is the natural logarithm")
amb("m16-sheet-log", "spreadsheet", "=LOG(x^2+1)+y-z", lambda x, y, z: log(x*x + 1) + y - z, "logarithm to base ten, as in sheets", lambda x, y, z: log10(x*x + 1) + y - z, "log is the natural logarithm", rel="expr")
amb("m17-inverse-power", "tex", r"\cos^{-1}\left(\tfrac{x}{5}\right)+y=z", lambda x, y, z: acos(x/5) + y - z, "1/cos(x/5)", lambda x, y, z: 1/cos(x/5) + y - z, "a function to the power -1 is its inverse function")
amb("m18-root-reach", "unicode", "√xy + z = 1", lambda x, y, z: sqrt(x)*y + z - 1, "√(xy)", lambda x, y, z: sqrt(x*y) + z - 1, "a root sign takes one number or letter", points=OCTANT)
amb("m19-sqrt-space", "ascii", "sqrt 2 x + y = z", lambda x, y, z: sqrt(2)*x + y - z, "sqrt(2x)", lambda x, y, z: sqrt(2*x) + y - z, "a root takes one number or letter", points=OCTANT)
amb("m20-bars", "ascii", "|x|y|z| = 0.1", lambda x, y, z: abs(x)*y*abs(z) - 0.1, "|x |y| z|", lambda x, y, z: abs(x*abs(y)*z) - 0.1, "a bar after a term closes the pair", may_reject=True)
amb("m21-exp-product", "ascii", "e^x y = z", lambda x, y, z: exp(x)*y - z, "e^(xy)", lambda x, y, z: exp(x*y) - z, "a power takes one number or letter")
amb("m22-lost-power", "mathml-copy", "2x2 + y2 = z", lambda x, y, z: 2*x*x + y*y - z, "2·x·2 + y·2", lambda x, y, z: 4*x + 2*y - z, "a digit after a coordinate is a lost power")
amb("m23-graph", "ascii", "f(x, y) = sin(x) cos(y)", lambda x, y, z: sin(x)*cos(y), "the surface z = f(x, y)", lambda x, y, z: z - sin(x)*cos(y), "f(...) = gives the expression's own value", rel="expr")
amb("m24-sheet-atan2", "spreadsheet", "=ATAN2(x,y)-z", lambda x, y, z: atan2(y, x) - z, "the first argument is the ordinate", lambda x, y, z: atan2(x, y) - z, "in a sheet the abscissa comes first", rel="expr", may_reject=True)
amb("m25-glued-double", "mathml-copy", "sin2xcosy+sin2ycosz+sin2zcosx=0", lambda x, y, z: sin(2*x)*cos(y) + sin(2*y)*cos(z) + sin(2*z)*cos(x), "sin squared",
    lambda x, y, z: sin(x)**2*cos(y) + sin(y)**2*cos(z) + sin(z)**2*cos(x), "a number after a function name is in its argument")
amb("m27-ln-product", "ascii", "ln x y = z", lambda x, y, z: log(x*y) - z, "ln(x) y", lambda x, y, z: log(x)*y - z, ARG, points=OCTANT)
amb("m28-tan-fraction-power", "tex", r"\tan x^{2}y=z", lambda x, y, z: tan(x*x*y) - z, "(tan x)^2 y", lambda x, y, z: tan(x)**2*y - z, ARG)
curve("m30-curve-argument", "ascii", "x = cos t t, y = sin t, z = t", lambda t: (cos(t*t), sin(t), t), "ambiguous", alt=[("cos(t) t", lambda t: (cos(t)*t, sin(t), t))], convention=ARG)
surface("m31-surface-argument", "ascii", "x = sin u v, y = cos u, z = v", lambda u, v: (sin(u*v), cos(u), v), "ambiguous", alt=[("sin(u) v", lambda u, v: (sin(u)*v, cos(u), v))], convention=ARG)
