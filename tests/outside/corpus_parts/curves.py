"""Curves in space, with their ranges as people write them."""

from math import cos, cosh, exp, log, pi, sin, sinh, sqrt

from .entry import curve


def torus_knot(p, q, R, r):
    return lambda t: ((R + r*cos(q*t))*cos(p*t), (R + r*cos(q*t))*sin(p*t), r*sin(q*t))


FULL = {"t": [0, 2*pi]}

curve("j01-helix", "ascii", "x = cos(t), y = sin(t), z = 0.2 t, t from 0 to 6 pi", lambda t: (cos(t), sin(t), 0.2*t), "components,range", ranges={"t": [0, 6*pi]})
curve("j02-helix-free", "tex", r"\mathbf{r}(t)=\left(a\cos t,\;a\sin t,\;bt\right)", lambda t, a, b: (a*cos(t), a*sin(t), b*t), "vector-literal,free-var,bare-fn", vars={"a": 1.5, "b": 0.3})
curve("j03-trefoil", "tex", r"\begin{aligned}x&=\sin t+2\sin 2t\\y&=\cos t-2\cos 2t\\z&=-\sin 3t\end{aligned}", lambda t: (sin(t) + 2*sin(2*t), cos(t) - 2*cos(2*t), -sin(3*t)), "components,aligned,coef-arg")
curve("j04-torus-knot", "unicode", "x = (2 + cos 3t) cos 2t\ny = (2 + cos 3t) sin 2t\nz = sin 3t", torus_knot(2, 3, 2, 1), "components,bracket-before-fn")
curve("j05-torus-knot-where", "ascii", "x = (R + r cos(q t)) cos(p t)\ny = (R + r cos(q t)) sin(p t)\nz = -r sin(q t)\nwhere R = 2, r = 0.7, p = 3, q = 4",
      lambda t: ((2 + 0.7*cos(4*t))*cos(3*t), (2 + 0.7*cos(4*t))*sin(3*t), -0.7*sin(4*t)), "components,where-clause,space-mul", why="p and q are numbers of turns here")
curve("j06-torus-knot-numpy", "numpy", "x = (2 + np.cos(5*t)) * np.cos(2*t)\ny = (2 + np.cos(5*t)) * np.sin(2*t)\nz = np.sin(5*t)", torus_knot(2, 5, 2, 1), "components,prefix")
curve("j07-figure-eight", "ascii", "((2 + cos 2t) cos 3t, (2 + cos 2t) sin 3t, sin 4t)", lambda t: ((2 + cos(2*t))*cos(3*t), (2 + cos(2*t))*sin(3*t), sin(4*t)), "vector-literal,bare-fn")
curve("j08-viviani", "ascii", "x = a(1 + cos t), y = a sin t, z = 2a sin(t/2), 0 <= t <= 4pi, a = 1", lambda t: (1 + cos(t), sin(t), 2*sin(t/2)), "components,range,same-line-value", ranges={"t": [0, 4*pi]})
curve("j09-lissajous", "unicode", "(cos(3t + 0.7), cos(2t + 0.2), cos 7t), t ∈ [0, 2π]", lambda t: (cos(3*t + 0.7), cos(2*t + 0.2), cos(7*t)), "vector-literal,range", ranges=FULL)
curve("j10-spherical-spiral", "ascii", "x = cos(t)/sqrt(1 + a^2 t^2), y = sin(t)/sqrt(1 + a^2 t^2), z = -a t/sqrt(1 + a^2 t^2)",
      lambda t, a: (cos(t)/sqrt(1 + a*a*t*t), sin(t)/sqrt(1 + a*a*t*t), -a*t/sqrt(1 + a*a*t*t)), "components,free-var", vars={"a": 0.1})
curve("j11-loxodrome", "tex", r"x=\frac{\cos t}{\cosh(t/5)},\quad y=\frac{\sin t}{\cosh(t/5)},\quad z=\tanh(t/5)\qquad(-20\le t\le 20)",
      lambda t: (cos(t)/cosh(t/5), sin(t)/cosh(t/5), sinh(t/5)/cosh(t/5)), "components,frac,range", ranges={"t": [-20, 20]})
curve("j12-twisted-cubic", "tex", r"t\mapsto(t,t^2,t^3)", lambda t: (t, t*t, t**3), "vector-literal,maps-to")
curve("j13-angle-list", "unicode", "r(t) = ⟨t cos t, t sin t, t⟩", lambda t: (t*cos(t), t*sin(t), t), "vector-literal,angle-brackets")
curve("j14-ijk", "tex", r"\vec r(t)=\cos t\,\hat{\imath}+\sin t\,\hat{\jmath}+t\,\hat{k}", lambda t: (cos(t), sin(t), t), "unit-vectors", may_reject=True)
curve("j15-ijk-plain", "ascii", "r(t) = 3cos(t) i + 3sin(t) j + 0.5t k", lambda t: (3*cos(t), 3*sin(t), 0.5*t), "unit-vectors", may_reject=True)
curve("j16-column", "tex", r"\gamma(t)=\begin{pmatrix}\cos t\\ \sin t\\ \cos 2t\end{pmatrix}", lambda t: (cos(t), sin(t), cos(2*t)), "matrix,vector-literal,bare-fn")
curve("j17-cases", "tex", r"\begin{cases}x(t)=\cos^3 t\\y(t)=\sin^3 t\\z(t)=\cos 2t\end{cases}", lambda t: (cos(t)**3, sin(t)**3, cos(2*t)), "cases,components,fn-power")
curve("j18-of-t", "ascii", "x(t) = sin(t), y(t) = sin(2t), z(t) = cos(3t)", lambda t: (sin(t), sin(2*t), cos(3*t)), "components,of-t")
curve("j19-theta", "unicode", "x = 2cos θ, y = 2sin θ, z = cos 3θ, 0 ≤ θ < 2π", lambda theta: (2*cos(theta), 2*sin(theta), cos(3*theta)), "components,greek,range", params=("theta",), ranges={"theta": [0, 2*pi]})
curve("j20-parameter-s", "ascii", "(cos(s), sin(s), log(1 + s^2))", lambda s: (cos(s), sin(s), log(1 + s*s)), "vector-literal", params=("s",))
curve("j21-lambda", "numpy", "lambda t: (math.cos(t), math.sin(t), math.exp(-t/4))", lambda t: (cos(t), sin(t), exp(-t/4)), "lambda,prefix,vector-literal")
curve("j22-js", "js", "t => [Math.cos(2*t), Math.sin(3*t), Math.cos(5*t)]", lambda t: (cos(2*t), sin(3*t), cos(5*t)), "fn-wrapper,prefix,square-brackets")
curve("j23-linspace", "numpy", "t = np.linspace(0, 2*np.pi, 500)\nx = np.sin(t) + 2*np.sin(2*t)\ny = np.cos(t) - 2*np.cos(2*t)\nz = -np.sin(3*t)", lambda t: (sin(t) + 2*sin(2*t), cos(t) - 2*cos(2*t), -sin(3*t)),
      "components,grid-line,prefix", may_reject=True)
curve("j24-matlab", "matlab", "x = t.*cos(8*t); y = t.*sin(8*t); z = t;", lambda t: (t*cos(8*t), t*sin(8*t), t), "components,dot-ops,semicolon")
curve("j25-vec3", "glsl", "vec3(cos(t), sin(t), 0.25*sin(4.0*t))", lambda t: (cos(t), sin(t), 0.25*sin(4*t)), "vector-literal,vec-literal")
curve("j26-dollar-lines", "tex", "$x=\\cos t$\n$y=\\sin t$\n$z=\\tfrac{1}{4}t$", lambda t: (cos(t), sin(t), t/4), "components,tex-delims")
curve("j27-and", "ascii", "x = cos t, y = sin t and z = t^2/10", lambda t: (cos(t), sin(t), t*t/10), "components,and")
curve("j28-bicorn", "ascii", "x = sin t, y = cos(t)^2/(2 - cos t), z = 0", lambda t: (sin(t), cos(t)**2/(2 - cos(t)), 0), "components", why="bicorn; a constant component")
curve("j29-flat-heart", "tex", r"x=16\sin^3t,\quad y=13\cos t-5\cos 2t-2\cos 3t-\cos 4t", lambda t: (16*sin(t)**3, 13*cos(t) - 5*cos(2*t) - 2*cos(3*t) - cos(4*t), 0), "two-components,fn-power", may_reject=True, why="a plane curve lies in z = 0")
curve("j30-for-range", "unicode", "x = cos 5t, y = sin 5t, z = sin 2t for −π ≤ t ≤ π", lambda t: (cos(5*t), sin(5*t), sin(2*t)), "components,range", ranges={"t": [-pi, pi]})
curve("j31-dots-range", "ascii", "[cos(t), sin(t), t/pi], t=0..4*pi", lambda t: (cos(t), sin(t), t/pi), "vector-literal,range", ranges={"t": [0, 4*pi]}, may_reject=True)
curve("j32-shared-helper", "ascii", "r = 2 + cos(3t)\nx = r cos(2t)\ny = r sin(2t)\nz = sin(3t)", torus_knot(2, 3, 2, 1), "components,helper-line,param-name-r")
