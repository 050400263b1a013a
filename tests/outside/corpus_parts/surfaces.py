"""Surfaces by two parameters: named ones, with their ranges in many spellings."""

from math import cos, cosh, exp, log, pi, sin, sinh, sqrt, tan, tanh

from .entry import surface

# Where v or r must stay positive (logarithms, roots, a tangent of half an angle).
UPPER = [[0.4, 0.6], [1.2, 1.9], [2.3, 0.8], [-1.1, 1.4], [3.4, 0.7], [0.6, 2.1], [-2.2, 2.8], [-0.25, 0.35]]
RADIAL = [[0.4, 0.6], [1.2, 1.9], [0.3, -0.8], [1.1, 1.4], [0.75, 3.7], [0.6, -2.1], [1.5, 2.8], [0.25, -0.35]]
TURN = [0, 2*pi]


def klein_bottle(u, v):
    c, s, k = cos(u), sin(u), cos(v)
    return (-2/15*c*(3*k - 30*s + 90*c**4*s - 60*c**6*s + 5*c*k*s),
            -1/15*s*(3*k - 3*c**2*k - 48*c**4*k + 48*c**6*k - 60*s + 5*c*k*s - 5*c**3*k*s - 80*c**5*k*s + 80*c**7*k*s),
            2/15*(3 + 5*c*s)*sin(v))


def boy(u, v):
    d = 2 - sqrt(2)*sin(3*u)*sin(2*v)
    return ((sqrt(2)*cos(v)**2*cos(2*u) + cos(u)*sin(2*v))/d, (sqrt(2)*cos(v)**2*sin(2*u) - sin(u)*sin(2*v))/d, 3*cos(v)**2/d)


def kuen(u, v):
    d = 1 + u*u*sin(v)**2
    return 2*(cos(u) + u*sin(u))*sin(v)/d, 2*(sin(u) - u*cos(u))*sin(v)/d, log(tan(v/2)) + 2*cos(v)/d


def breather(u, v):
    a = 0.4
    w = sqrt(1 - a*a)
    d = a*((w*cosh(a*u))**2 + (a*sin(w*v))**2)
    return (-u + 2*(1 - a*a)*cosh(a*u)*sinh(a*u)/d,
            2*w*cosh(a*u)*(-w*cos(v)*cos(w*v) - sin(v)*sin(w*v))/d,
            2*w*cosh(a*u)*(-w*sin(v)*cos(w*v) + cos(v)*sin(w*v))/d)


def bour(r, theta):
    return r*cos(theta) - r*r/2*cos(2*theta), -r*sin(theta) - r*r/2*sin(2*theta), 4/3*r**1.5*cos(1.5*theta)


def henneberg(u, v):
    return (2*sinh(u)*cos(v) - 2/3*sinh(3*u)*cos(3*v), 2*sinh(u)*sin(v) + 2/3*sinh(3*u)*sin(3*v), 2*cosh(2*u)*cos(2*v))


def moebius(u, v):
    return (1 + v/2*cos(u/2))*cos(u), (1 + v/2*cos(u/2))*sin(u), v/2*sin(u/2)


surface("k01-torus", "ascii", "x = (2 + cos v) cos u, y = (2 + cos v) sin u, z = sin v", lambda u, v: ((2 + cos(v))*cos(u), (2 + cos(v))*sin(u), sin(v)), "components,bracket-before-fn")
surface("k02-torus-free", "tex", r"\begin{aligned}x(u,v)&=(R+r\cos v)\cos u\\y(u,v)&=(R+r\cos v)\sin u\\z(u,v)&=r\sin v\end{aligned}",
        lambda u, v, R, r: ((R + r*cos(v))*cos(u), (R + r*cos(v))*sin(u), r*sin(v)), "components,aligned,free-var", vars={"R": 3.0, "r": 1.2})
surface("k03-sphere", "tex", r"x=r\sin\theta\cos\phi,\quad y=r\sin\theta\sin\phi,\quad z=r\cos\theta,\quad r=1.5",
        lambda theta, phi: (1.5*sin(theta)*cos(phi), 1.5*sin(theta)*sin(phi), 1.5*cos(theta)), "components,same-line-value,bare-fn", params=("theta", "phi"))
surface("k04-catenoid", "tex", r"\begin{align}x&=c\cosh\frac{v}{c}\cos u\\y&=c\cosh\frac{v}{c}\sin u\\z&=v\end{align}", lambda u, v, c: (c*cosh(v/c)*cos(u), c*cosh(v/c)*sin(u), v),
        "components,aligned,bare-fn-frac,free-var", vars={"c": 0.9})
surface("k05-helicoid", "unicode", "(u cos v, u sin v, v/2), u ∈ [−1, 1], v ∈ [0, 4π]", lambda u, v: (u*cos(v), u*sin(v), v/2), "vector-literal,range", ranges={"u": [-1, 1], "v": [0, 4*pi]})
surface("k06-enneper", "unicode", "x = u − u³/3 + uv², y = v − v³/3 + vu², z = u² − v²", lambda u, v: (u - u**3/3 + u*v*v, v - v**3/3 + v*u*u, u*u - v*v), "components,superscript,letters")
surface("k07-henneberg", "ascii", "x = 2 sinh u cos v - (2/3) sinh 3u cos 3v\ny = 2 sinh u sin v + (2/3) sinh 3u sin 3v\nz = 2 cosh 2u cos 2v", henneberg, "components,bare-fn,coef-arg", points=[[p[0]/3, p[1]] for p in UPPER])
surface("k08-bour", "unicode", "x = r cos θ − ½r² cos 2θ\ny = −r sin θ − ½r² sin 2θ\nz = (4/3) r^(3/2) cos(3θ/2)", bour, "components,bare-fn,vulgar-fraction", params=("r", "theta"), points=RADIAL)
surface("k09-richmond", "tex", r"x=-\frac{\cos\theta}{2r}-\frac{r^3\cos 3\theta}{6},\ y=-\frac{\sin\theta}{2r}-\frac{r^3\sin 3\theta}{6},\ z=r\cos\theta",
        lambda r, theta: (-cos(theta)/(2*r) - r**3*cos(3*theta)/6, -sin(theta)/(2*r) - r**3*sin(3*theta)/6, r*cos(theta)), "components,frac,bare-fn", params=("r", "theta"), points=RADIAL)
surface("k10-catalan", "ascii", "x = u - sin(u) cosh(v)\ny = 1 - cos(u) cosh(v)\nz = 4 sin(u/2) sinh(v/2)\n0 <= u <= 4 pi, -2 <= v <= 2", lambda u, v: (u - sin(u)*cosh(v), 1 - cos(u)*cosh(v), 4*sin(u/2)*sinh(v/2)),
        "components,range", ranges={"u": [0, 4*pi], "v": [-2, 2]})
surface("k11-dini", "ascii", "x = a cos u sin v, y = a sin u sin v, z = a(cos v + ln tan(v/2)) + b u", lambda u, v, a, b: (a*cos(u)*sin(v), a*sin(u)*sin(v), a*(cos(v) + log(tan(v/2))) + b*u),
        "components,bare-fn,fn-of-fn,free-var", vars={"a": 1.0, "b": 0.2}, points=UPPER)
surface("k12-kuen", "tex", r"x=\frac{2(\cos u+u\sin u)\sin v}{1+u^2\sin^2v},\quad y=\frac{2(\sin u-u\cos u)\sin v}{1+u^2\sin^2v},\quad z=\ln\tan\frac{v}{2}+\frac{2\cos v}{1+u^2\sin^2v}", kuen,
        "components,frac,fn-power,fn-of-fn", points=UPPER)
surface("k13-breather", "numpy", "a = 0.4\nw = np.sqrt(1 - a**2)\nd = a*((w*np.cosh(a*u))**2 + (a*np.sin(w*v))**2)\nx = -u + 2*(1 - a**2)*np.cosh(a*u)*np.sinh(a*u)/d\ny = 2*w*np.cosh(a*u)*(-w*np.cos(v)*np.cos(w*v) - np.sin(v)*np.sin(w*v))/d\nz = 2*w*np.cosh(a*u)*(-w*np.sin(v)*np.cos(w*v) + np.cos(v)*np.sin(w*v))/d",
        breather, "components,helper-line,prefix")
surface("k14-boy", "tex", r"x=\frac{\sqrt2\cos^2 v\cos 2u+\cos u\sin 2v}{2-\sqrt2\sin 3u\sin 2v},\ y=\frac{\sqrt2\cos^2 v\sin 2u-\sin u\sin 2v}{2-\sqrt2\sin 3u\sin 2v},\ z=\frac{3\cos^2 v}{2-\sqrt2\sin 3u\sin 2v}",
        boy, "components,frac,sqrt-no-braces,fn-power")
surface("k15-roman", "tex", r"\begin{aligned}x&=r^{2}\cos\theta\cos\varphi\sin\varphi\\y&=r^{2}\sin\theta\cos\varphi\sin\varphi\\z&=r^{2}\cos\theta\sin\theta\cos^{2}\varphi\end{aligned}",
        lambda theta, phi, r: (r*r*cos(theta)*cos(phi)*sin(phi), r*r*sin(theta)*cos(phi)*sin(phi), r*r*cos(theta)*sin(theta)*cos(phi)**2),
        "components,aligned,greek,free-var", params=("theta", "phi"), vars={"r": 1.4}, why="varphi is an angle here, not the golden ratio")
surface("k16-klein-bottle", "tex", r"\begin{aligned}x&=-\frac{2}{15}\cos u\left(3\cos v-30\sin u+90\cos^4 u\sin u-60\cos^6 u\sin u+5\cos u\cos v\sin u\right)\\y&=-\frac{1}{15}\sin u(3\cos v-3\cos^2 u\cos v-48\cos^4 u\cos v+48\cos^6 u\cos v-60\sin u+5\cos u\cos v\sin u-5\cos^3 u\cos v\sin u\\&\quad-80\cos^5 u\cos v\sin u+80\cos^7 u\cos v\sin u)\\z&=\frac{2}{15}(3+5\cos u\sin u)\sin v\end{aligned}\qquad 0\le u<\pi,\ 0\le v<2\pi",
        klein_bottle, "components,aligned,fn-power,range,broken-row", ranges={"u": [0, pi], "v": TURN}, why="one component runs over two rows")
surface("k17-klein-eight", "ascii", "x = (2 + cos(u/2) sin v - sin(u/2) sin 2v) cos u\ny = (2 + cos(u/2) sin v - sin(u/2) sin 2v) sin u\nz = sin(u/2) sin v + cos(u/2) sin 2v",
        lambda u, v: ((2 + cos(u/2)*sin(v) - sin(u/2)*sin(2*v))*cos(u), (2 + cos(u/2)*sin(v) - sin(u/2)*sin(2*v))*sin(u), sin(u/2)*sin(v) + cos(u/2)*sin(2*v)), "components,bare-fn,coef-arg")
surface("k18-moebius", "tex", r"x(u,v)=\left(1+\frac{v}{2}\cos\frac{u}{2}\right)\cos u,\quad y(u,v)=\left(1+\frac{v}{2}\cos\frac{u}{2}\right)\sin u,\quad z(u,v)=\frac{v}{2}\sin\frac{u}{2}\quad (0\le u<2\pi,\,-1\le v\le 1)",
        moebius, "components,bare-fn-frac,range", ranges={"u": TURN, "v": [-1, 1]})
surface("k19-whitney", "tex", r"\begin{cases}x(u,v)=uv,\\y(u,v)=u,\\z(u,v)=v^2,\end{cases}", lambda u, v: (u*v, u, v*v), "cases,components,trailing-comma")
surface("k20-cross-cap", "ascii", "(sin(u) sin(2v), sin(2u) cos(v)^2, cos(2u) cos(v)^2)", lambda u, v: (sin(u)*sin(2*v), sin(2*u)*cos(v)**2, cos(2*u)*cos(v)**2), "vector-literal,space-mul")
surface("k21-pseudosphere", "unicode", "x = sech u cos v, y = sech u sin v, z = u − tanh u; u ≥ 0, 0 ≤ v < 2π", lambda u, v: (cos(v)/cosh(u), sin(v)/cosh(u), u - tanh(u)), "components,bare-fn,half-range", may_reject=True)
surface("k22-dupin", "ascii", "x = (d(c - a cos(u) cos(v)) + b^2 cos(u))/(a - c cos(u) cos(v))\ny = b sin(u)(a - d cos(v))/(a - c cos(u) cos(v))\nz = b sin(v)(c cos(u) - d)/(a - c cos(u) cos(v))\nwith a = 1, b = 0.98, c = 0.199, d = 0.3",
        lambda u, v: ((0.3*(0.199 - cos(u)*cos(v)) + 0.98**2*cos(u))/(1 - 0.199*cos(u)*cos(v)), 0.98*sin(u)*(1 - 0.3*cos(v))/(1 - 0.199*cos(u)*cos(v)), 0.98*sin(v)*(0.199*cos(u) - 0.3)/(1 - 0.199*cos(u)*cos(v))),
        "components,with-clause,param-before-bracket")
surface("k23-hyperboloid", "unicode", "r(u,v) = (cosh u cos v, cosh u sin v, sinh u)", lambda u, v: (cosh(u)*cos(v), cosh(u)*sin(v), sinh(u)), "vector-literal,of-uv,bare-fn")
surface("k24-shell", "ascii", "x = 2(1 - e^(u/(6pi))) cos u cos^2(v/2)\ny = 2(-1 + e^(u/(6pi))) cos^2(v/2) sin u\nz = 1 - e^(u/(3pi)) - sin v + e^(u/(6pi)) sin v",
        lambda u, v: (2*(1 - exp(u/(6*pi)))*cos(u)*cos(v/2)**2, 2*(exp(u/(6*pi)) - 1)*cos(v/2)**2*sin(u), 1 - exp(u/(3*pi)) - sin(v) + exp(u/(6*pi))*sin(v)), "components,const-e,fn-power", why="a shell")
surface("k25-conoid", "tex", r"\mathbf{x}(u,v)=\left(v\cos u,\;v\sin u,\;\sin 2u\right),\;(u,v)\in[0,2\pi)\times[0,1]", lambda u, v: (v*cos(u), v*sin(u), sin(2*u)), "vector-literal,range-product",
        ranges={"u": TURN, "v": [0, 1]})
surface("k26-astroidal", "ascii", "x = (cos u cos v)^3, y = (sin u cos v)^3, z = sin^3 v, -pi/2 <= u <= pi/2, -pi <= v <= pi", lambda u, v: ((cos(u)*cos(v))**3, (sin(u)*cos(v))**3, sin(v)**3),
        "components,fn-power,range", ranges={"u": [-pi/2, pi/2], "v": [-pi, pi]})
surface("k27-sine", "ascii", "x = sin(u), y = sin(v), z = sin(u + v), u = 0..2pi, v = 0..2pi", lambda u, v: (sin(u), sin(v), sin(u + v)), "components,range", ranges={"u": TURN, "v": TURN}, may_reject=True)
surface("k28-monkey", "unicode", "(u, v, u³ − 3uv²)", lambda u, v: (u, v, u**3 - 3*u*v*v), "vector-literal,superscript,letters")
surface("k29-st", "ascii", "x = s cos t, y = s sin t, z = s^2 cos 2t", lambda s, t: (s*cos(t), s*sin(t), s*s*cos(2*t)), "components,other-names", params=("s", "t"))
surface("k30-column", "tex", r"\vec{X}(u,v)=\begin{pmatrix}\cos u\,(3+\cos v)\\\sin u\,(3+\cos v)\\\sin v\end{pmatrix},\quad u,v\in[0,2\pi]", lambda u, v: (cos(u)*(3 + cos(v)), sin(u)*(3 + cos(v)), sin(v)),
        "matrix,vector-literal,shared-range", ranges={"u": TURN, "v": TURN}, why="a bracket after a bare argument is a factor", may_reject=True)
surface("k31-numpy", "numpy", "x = np.cos(u)*np.sin(v)\ny = np.sin(u)*np.sin(v)\nz = np.cos(v) + np.log(np.tan(v/2)) + 0.2*u", lambda u, v: (cos(u)*sin(v), sin(u)*sin(v), cos(v) + log(tan(v/2)) + 0.2*u), "components,prefix", points=UPPER)
surface("k32-lambda", "numpy", "lambda u, v: (u*np.cos(v), u*np.sin(v), np.cos(3*u))", lambda u, v: (u*cos(v), u*sin(v), cos(3*u)), "lambda,prefix,vector-literal")
surface("k33-js", "js", "(u, v) => [Math.cosh(v)*Math.cos(u), Math.cosh(v)*Math.sin(u), v]", lambda u, v: (cosh(v)*cos(u), cosh(v)*sin(u), v), "fn-wrapper,prefix,square-brackets")
surface("k34-matlab", "matlab", "X = (3 + cos(V)).*cos(U);\nY = (3 + cos(V)).*sin(U);\nZ = sin(V);", lambda u, v: ((3 + cos(v))*cos(u), (3 + cos(v))*sin(u), sin(v)), "components,dot-ops,caps-xyz,caps-param")
surface("k35-twisted-torus", "unicode", "x = (3 + cos v + sin 2u)·cos u, y = (3 + cos v + sin 2u)·sin u, z = sin v + 2 cos u, where 0 < u < 2π and 0 < v < 2π",
        lambda u, v: ((3 + cos(v) + sin(2*u))*cos(u), (3 + cos(v) + sin(2*u))*sin(u), sin(v) + 2*cos(u)), "components,range,where-clause", ranges={"u": TURN, "v": TURN})
surface("k36-theta-phi-code", "python", "x = math.sin(phi)*math.cos(theta)\ny = math.sin(phi)*math.sin(theta)\nz = 2*math.cos(phi)", lambda theta, phi: (sin(phi)*cos(theta), sin(phi)*sin(theta), 2*cos(phi)), "components,prefix,greek-words", params=("theta", "phi"))
surface("k37-graph", "ascii", "x = u, y = v, z = exp(-(u^2 + v^2))", lambda u, v: (u, v, exp(-(u*u + v*v))), "components")
surface("k38-scherk", "tex", r"x=u,\;y=v,\;z=\ln\left(\frac{\cos u}{\cos v}\right)", lambda u, v: (u, v, log(cos(u)/cos(v))), "components,frac,bare-fn", points=[[a/4, b/4] for a, b in UPPER])
surface("k39-doubled", "mathml-copy", "x=ucos⁡v,y=usin⁡v,z=v{\\displaystyle x=u\\cos v,\\quad y=u\\sin v,\\quad z=v}", lambda u, v: (u*cos(v), u*sin(v), v), "doubled,components,glued")
surface("k40-in-words", "ascii", "x = cosh(u) cos(v), y = cosh(u) sin(v), z = u for u in [-1, 1] and v in [0, 2*pi]", lambda u, v: (cosh(u)*cos(v), cosh(u)*sin(v), u), "components,range", ranges={"u": [-1, 1], "v": TURN})
surface("k41-angles-shared", "unicode", "x = (2 + cos θ) cos φ, y = (2 + cos θ) sin φ, z = sin θ, 0 ≤ θ, φ < 2π", lambda theta, phi: ((2 + cos(theta))*cos(phi), (2 + cos(theta))*sin(phi), sin(theta)),
        "components,shared-range", params=("theta", "phi"), ranges={"theta": TURN, "phi": TURN}, may_reject=True)
