"""TeX as it is found: encyclopaedia source, papers, forum mark-up."""

from math import asin, atan, atan2, cos, cosh, exp, hypot, log, log10, pi, sin, sinh, sqrt, tan, tanh

from .entry import BALL, OCTANT, field

PHI = (1 + sqrt(5)) / 2


def tex(name, text, value, tags="", **more):
    field(name, more.pop("style", "tex"), text, value, tags, **more)


tex("c01-gyroid", r"\sin x \cos y + \sin y \cos z + \sin z \cos x = 0",
    lambda x, y, z: sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x), "bare-fn")
tex("c02-gyroid-display", r"$$\sin(x)\cos(y)+\sin(y)\cos(z)+\cos(x)\sin(z)=0$$",
    lambda x, y, z: sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x), "tex-delims")
tex("c03-schwarz-p", r"\[ \cos x + \cos y + \cos z = 0. \]", lambda x, y, z: cos(x) + cos(y) + cos(z), "tex-delims,final-period")
tex("c04-inline-paren", r"\( \cos x \cos y \cos z - \sin x \sin y \sin z = 0 \)",
    lambda x, y, z: cos(x)*cos(y)*cos(z) - sin(x)*sin(y)*sin(z), "tex-delims")
tex("c05-displaystyle", r"{\displaystyle \sin(x)\sin(y)\sin(z)+\sin(x)\cos(y)\cos(z)+\cos(x)\sin(y)\cos(z)+\cos(x)\cos(y)\sin(z)=0.\ }",
    lambda x, y, z: sin(x)*sin(y)*sin(z) + sin(x)*cos(y)*cos(z) + cos(x)*sin(y)*cos(z) + cos(x)*cos(y)*sin(z),
    "displaystyle,final-period", style="tex-displaystyle")
tex("c06-neovius", r"3\left(\cos x+\cos y+\cos z\right)+4\cos x\cos y\cos z=0",
    lambda x, y, z: 3*(cos(x) + cos(y) + cos(z)) + 4*cos(x)*cos(y)*cos(z), "left-right,bare-fn")
tex("c07-iwp-align", "\\begin{align}\n2\\big(\\cos x\\cos y &+ \\cos y\\cos z + \\cos z\\cos x\\big) \\\\\n&- \\big(\\cos 2x + \\cos 2y + \\cos 2z\\big) = 0\n\\end{align}",
    lambda x, y, z: 2*(cos(x)*cos(y) + cos(y)*cos(z) + cos(z)*cos(x)) - (cos(2*x) + cos(2*y) + cos(2*z)), "aligned,big-brackets,bare-fn")
tex("c08-lidinoid", r"\begin{aligned}\frac{1}{2}\big[&\sin 2x\cos y\sin z+\sin 2y\cos z\sin x+\sin 2z\cos x\sin y\big]\\-&\tfrac12\big[\cos 2x\cos 2y+\cos 2y\cos 2z+\cos 2z\cos 2x\big]+0.15=0\end{aligned}",
    lambda x, y, z: 0.5*(sin(2*x)*cos(y)*sin(z) + sin(2*y)*cos(z)*sin(x) + sin(2*z)*cos(x)*sin(y))
    - 0.5*(cos(2*x)*cos(2*y) + cos(2*y)*cos(2*z) + cos(2*z)*cos(2*x)) + 0.15, "aligned,big-brackets,frac-no-braces")
tex("c09-barth-sextic", r"4(\phi^2 x^2-y^2)(\phi^2 y^2-z^2)(\phi^2 z^2-x^2)-(1+2\phi)(x^2+y^2+z^2-w^2)^2w^2=0 \quad \text{with } \phi=\tfrac{1+\sqrt5}{2},\ w=1",
    lambda x, y, z: 4*(PHI**2*x**2 - y**2)*(PHI**2*y**2 - z**2)*(PHI**2*z**2 - x**2) - (1 + 2*PHI)*(x**2 + y**2 + z**2 - 1)**2,
    "where-clause,golden,text-cmd,sqrt-no-braces")
tex("c10-barth-decic",
    r"8(x^{2}-\varphi^{4}y^{2})(y^{2}-\varphi^{4}z^{2})(z^{2}-\varphi^{4}x^{2})(x^{4}+y^{4}+z^{4}-2x^{2}y^{2}-2x^{2}z^{2}-2y^{2}z^{2})+(3+5\varphi)(x^{2}+y^{2}+z^{2}-w^{2})^{2}\left[x^{2}+y^{2}+z^{2}-(2-\varphi)w^{2}\right]^{2}w^{2}=0,\qquad \varphi=\frac{1+\sqrt{5}}{2},\; w=1",
    lambda x, y, z: 8*(x**2 - PHI**4*y**2)*(y**2 - PHI**4*z**2)*(z**2 - PHI**4*x**2)
    * (x**4 + y**4 + z**4 - 2*x**2*y**2 - 2*x**2*z**2 - 2*y**2*z**2)
    + (3 + 5*PHI)*(x**2 + y**2 + z**2 - 1)**2*(x**2 + y**2 + z**2 - (2 - PHI))**2,
    "golden,left-right,same-line-value", why="Barth's decic, values after qquad")
tex("c11-clebsch", r"81(x^3+y^3+z^3)-189(x^2y+x^2z+y^2x+y^2z+z^2x+z^2y)+54xyz+126(xy+xz+yz)-9(x^2+y^2+z^2)-9(x+y+z)+1=0",
    lambda x, y, z: 81*(x**3 + y**3 + z**3) - 189*(x**2*y + x**2*z + y**2*x + y**2*z + z**2*x + z**2*y) + 54*x*y*z
    + 126*(x*y + x*z + y*z) - 9*(x**2 + y**2 + z**2) - 9*(x + y + z) + 1, "implicit-mul,power-then-var")
tex("c12-cayley", r"x^2+y^2+z^2-2\,x\,y\,z-1=0 \tag{3}", lambda x, y, z: x**2 + y**2 + z**2 - 2*x*y*z - 1, "thin-space,tag")
tex("c13-cayley-inverse", r"\frac1x+\frac1y+\frac1z+\frac{1}{1-x-y-z}=0.2", lambda x, y, z: 1/x + 1/y + 1/z + 1/(1 - x - y - z) - 0.2, "frac,frac-no-braces")
tex("c14-kummer", r"\left(x^{2}+y^{2}+z^{2}-\mu^{2}\right)^{2}-\lambda\,(1-z-\sqrt{2}x)(1-z+\sqrt{2}x)(1+z+\sqrt{2}y)(1+z-\sqrt{2}y)=0,\quad \lambda=\frac{3\mu^{2}-1}{3-\mu^{2}},\quad \mu=1.2",
    lambda x, y, z: (x**2 + y**2 + z**2 - 1.44)**2
    - (3*1.44 - 1)/(3 - 1.44)*(1 - z - sqrt(2)*x)*(1 - z + sqrt(2)*x)*(1 + z + sqrt(2)*y)*(1 + z - sqrt(2)*y),
    "same-line-value,greek,value-from-value", why="one value depends on a later one")
tex("c15-togliatti", r"64(x-w)\left(x^4-4x^3w-10x^2y^2-4x^2w^2+16xw^3-20xy^2w+5y^4+16w^4-20y^2w^2\right)-5\sqrt{5-\sqrt{5}}\left(2z-\sqrt{5-\sqrt{5}}\,w\right)\left[4\left(x^2+y^2-z^2\right)+\left(1+3\sqrt{5}\right)w^2\right]^2=0",
    lambda x, y, z, w: 64*(x - w)*(x**4 - 4*x**3*w - 10*x**2*y**2 - 4*x**2*w**2 + 16*x*w**3 - 20*x*y**2*w + 5*y**4 + 16*w**4 - 20*y**2*w**2)
    - 5*sqrt(5 - sqrt(5))*(2*z - sqrt(5 - sqrt(5))*w)*(4*(x**2 + y**2 - z**2) + (1 + 3*sqrt(5))*w**2)**2,
    "free-var,left-right,nested-sqrt", vars={"w": 1.0})
tex("c16-chmutov", r"T_4(x)+T_4(y)+T_4(z)=0,\quad T_4(t)=8t^4-8t^2+1", lambda x, y, z: 8*(x**4 + y**4 + z**4) - 8*(x**2 + y**2 + z**2) + 3,
    "helper-function,subscript", why="a helper function given after the formula", may_reject=True)
tex("c17-goursat", r"x^4+y^4+z^4+a\,(x^2+y^2+z^2)^2+b\,(x^2+y^2+z^2)+c=0",
    lambda x, y, z, a, b, c: x**4 + y**4 + z**4 + a*(x**2 + y**2 + z**2)**2 + b*(x**2 + y**2 + z**2) + c,
    "free-var,thin-space", vars={"a": -0.5, "b": -1.0, "c": 0.7})
tex("c18-heart", r"\left(x^2+\frac{9}{4}y^2+z^2-1\right)^3-x^2z^3-\frac{9}{80}y^2z^3=0",
    lambda x, y, z: (x**2 + 9/4*y**2 + z**2 - 1)**3 - x**2*z**3 - 9/80*y**2*z**3, "left-right,frac")
tex("c19-heart-200", r"\left(x^2+\frac{9y^2}{4}+z^2-1\right)^3=x^2z^3+\frac{9y^2z^3}{200}",
    lambda x, y, z: (x**2 + 9*y**2/4 + z**2 - 1)**3 - x**2*z**3 - 9*y**2*z**3/200, "left-right,frac,both-sides")
tex("c20-roman", r"x^{2}y^{2}+y^{2}z^{2}+z^{2}x^{2}-r^{2}xyz=0", lambda x, y, z, r: x**2*y**2 + y**2*z**2 + z**2*x**2 - r**2*x*y*z,
    "free-var,param-name-r", vars={"r": 1.4})
tex("c21-boy-implicit", r"64(1-z)^3z^3-48(1-z)^2z^2(3x^2+3y^2+2z^2)+12(1-z)z\left(27(x^2+y^2)^2-24z^2(x^2+y^2)+36\sqrt{2}\,yz(y^2-3x^2)+4z^4\right)+(9x^2+9y^2-2z^2)\left(-81(x^2+y^2)^2-72z^2(x^2+y^2)+108\sqrt{2}\,xz(x^2-3y^2)+4z^4\right)=0",
    lambda x, y, z: 64*(1 - z)**3*z**3 - 48*(1 - z)**2*z**2*(3*x**2 + 3*y**2 + 2*z**2)
    + 12*(1 - z)*z*(27*(x**2 + y**2)**2 - 24*z**2*(x**2 + y**2) + 36*sqrt(2)*y*z*(y**2 - 3*x**2) + 4*z**4)
    + (9*x**2 + 9*y**2 - 2*z**2)*(-81*(x**2 + y**2)**2 - 72*z**2*(x**2 + y**2) + 108*sqrt(2)*x*z*(x**2 - 3*y**2) + 4*z**4),
    "implicit-mul,left-right,sqrt", why="Apery's equation of Boy's surface as printed in encyclopaedias")
tex("c22-whitney", r"x^2-y^2z=0", lambda x, y, z: x**2 - y**2*z, "power-then-var")
tex("c23-klein-implicit", r"\left(x^2+y^2+z^2+2y-1\right)\left[\left(x^2+y^2+z^2-2y-1\right)^2-8z^2\right]+16xz\left(x^2+y^2+z^2-2y-1\right)=0",
    lambda x, y, z: (x*x + y*y + z*z + 2*y - 1)*((x*x + y*y + z*z - 2*y - 1)**2 - 8*z*z) + 16*x*z*(x*x + y*y + z*z - 2*y - 1),
    "left-right,implicit-mul")
tex("c24-dupin", r"(x^2+y^2+z^2+b^2-d^2)^2-4(ax-cd)^2-4b^2y^2=0 \quad\mbox{where}\ a=1,\ b=0.98,\ c=0.199,\ d=0.5",
    lambda x, y, z: (x*x + y*y + z*z + 0.98**2 - 0.25)**2 - 4*(x - 0.199*0.5)**2 - 4*0.98**2*y*y, "where-clause,mbox,letters")
tex("c25-torus", r"\left(\sqrt{x^2+y^2}-R\right)^2+z^2=r^2", lambda x, y, z, R, r: (hypot(x, y) - R)**2 + z**2 - r**2,
    "free-var,param-name-r", vars={"R": 2.0, "r": 0.7})
tex("c26-torus-quartic", r"\bigl(x^2+y^2+z^2+R^2-r^2\bigr)^2=4R^2\bigl(x^2+y^2\bigr)",
    lambda x, y, z, R, r: (x*x + y*y + z*z + R*R - r*r)**2 - 4*R*R*(x*x + y*y), "free-var,big-brackets", vars={"R": 1.5, "r": 0.6})
tex("c27-scherk", r"z=\ln\frac{\cos x}{\cos y}", lambda x, y, z: z - log(cos(x)/cos(y)), "bare-fn-frac,height", points=BALL)
tex("c28-scherk-exp", r"e^{z}\cos y=\cos x", lambda x, y, z: exp(z)*cos(y) - cos(x), "const-e,bare-fn")
tex("c29-scherk-log", r"z = \log\!\left(\frac{\cos y}{\cos x}\right)", lambda x, y, z: z - log(cos(y)/cos(x)), "log,negative-space", points=BALL,
    alt=[("logarithm to base ten", lambda x, y, z: z - log10(cos(y)/cos(x)))], convention="log is the natural logarithm")
tex("c30-catenoid", r"\sqrt{x^2+y^2}=c\cosh\frac{z}{c}", lambda x, y, z, c: hypot(x, y) - c*cosh(z/c), "free-var,bare-fn-frac", vars={"c": 0.8})
tex("c31-helicoid", r"\frac{y}{x}=\tan\left(\frac{z}{c}\right)", lambda x, y, z, c: y/x - tan(z/c), "free-var,frac", vars={"c": 1.7})
tex("c32-cube-root", r"\sqrt[3]{x}+\sqrt[3]{y}+\sqrt[3]{z}=1", lambda x, y, z: sum(abs(c)**(1/3)*(1 if c > 0 else -1) for c in (x, y, z)) - 1,
    "nth-root", why="odd roots of negative numbers are real")
tex("c33-fourth-root", r"z=\sqrt[4]{x^2+y^2}", lambda x, y, z: z - (x*x + y*y)**0.25, "nth-root,height")
tex("c34-root-no-braces", r"\sqrt2x+\sqrt3y+\sqrt{5}z=0", lambda x, y, z: sqrt(2)*x + sqrt(3)*y + sqrt(5)*z, "sqrt-no-braces")
tex("c35-dfrac", r"\dfrac{x^2}{a^2}+\dfrac{y^2}{b^2}+\dfrac{z^2}{c^2}=1", lambda x, y, z, a, b, c: (x/a)**2 + (y/b)**2 + (z/c)**2 - 1,
    "frac,free-var", vars={"a": 1.2, "b": 0.8, "c": 2.0})
tex("c36-frac-glued", r"\frac12x^2+\frac13y^2-\frac23z=\frac1{10}", lambda x, y, z: x*x/2 + y*y/3 - 2*z/3 - 0.1, "frac-no-braces")
tex("c37-frac-mixed", r"\frac x2+\frac{y}3-\frac z{4}=1", lambda x, y, z: x/2 + y/3 - z/4 - 1, "frac-no-braces")
tex("c38-left-bar", r"\left|x\right|+\left|y\right|+\left|z\right|=1", lambda x, y, z: abs(x) + abs(y) + abs(z) - 1, "abs-bars,left-right")
tex("c39-lvert", r"\lvert x\rvert^{3}+\lvert y\rvert^{3}+\vert z\vert^{3}=1", lambda x, y, z: abs(x)**3 + abs(y)**3 + abs(z)**3 - 1, "abs-bars")
tex("c40-norm", r"\left\lVert (x,y)\right\rVert = 1+\tfrac15 \sin 5z", lambda x, y, z: hypot(x, y) - 1 - sin(5*z)/5, "norm-bars,vector", may_reject=True)
tex("c41-superellipsoid", r"\left(\left|\frac{x}{A}\right|^{r}+\left|\frac{y}{B}\right|^{r}\right)^{t/r}+\left|\frac{z}{C}\right|^{t}=1",
    lambda x, y, z, A, B, C, r, t: (abs(x/A)**r + abs(y/B)**r)**(t/r) + abs(z/C)**t - 1,
    "free-var,abs-bars,frac-power", vars={"A": 1.0, "B": 1.5, "C": 0.9, "r": 2.5, "t": 3.0}, why="a parameter called t in a field of x, y, z")
tex("c42-operatorname", r"\operatorname{sech}(x)+\operatorname{sgn}(y)\,z=0.5", lambda x, y, z: 1/cosh(x) + (1 if y > 0 else -1)*z - 0.5, "operatorname,sign")
tex("c43-mathrm", r"\mathrm{sinh}\,x+\mathrm{tanh}(y)=\mathrm{e}^{z}-1", lambda x, y, z: sinh(x) + tanh(y) - exp(z) + 1, "mathrm,const-e")
tex("c44-max", r"\max\left\{|x|,|y|,|z|\right\}=1", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 1, "min-max,set-braces")
tex("c45-cdot-times", r"2\cdot x^2 + 3\times y^{2} - z\cdot z = 4", lambda x, y, z: 2*x*x + 3*y*y - z*z - 4, "mul-signs")
tex("c46-spaces", r"x^2\;+\;y^2\:-\,z^2\!=\>1~", lambda x, y, z: x*x + y*y - z*z - 1, "spacing-commands")
tex("c47-quad-condition", r"z=x^2-y^2,\qquad (x,y)\in\mathbb{R}^2", lambda x, y, z: z - x*x + y*y, "text-clause,height", may_reject=True)
tex("c48-text-clause", r"x^2+y^2-z^2=0 \quad \text{(a double cone)}", lambda x, y, z: x*x + y*y - z*z, "text-clause")
tex("c49-label", r"\begin{equation}\label{eq:cross} x^2y^2+y^2z^2+z^2x^2=0.3 \end{equation}", lambda x, y, z: x*x*y*y + y*y*z*z + z*z*x*x - 0.3, "equation-env,label")
tex("c50-equation-star", "\\begin{equation*}\n  (x^2-1)^2+(y^2-1)^2+(z^2-1)^2=2\n\\end{equation*}",
    lambda x, y, z: (x*x - 1)**2 + (y*y - 1)**2 + (z*z - 1)**2 - 2, "equation-env,line-break")
tex("c51-split", "\\begin{split}\nf(x,y,z)={}&x^4+y^4+z^4\\\\\n&{}-(x^2+y^2+z^2)\n\\end{split}", lambda x, y, z: x**4 + y**4 + z**4 - (x*x + y*y + z*z),
    "split,empty-braces,f-of-xyz", rel="expr")
tex("c52-multline", "\\begin{multline}\nx^2y+y^2z+z^2x\\\\\n-3xyz=0.1\n\\end{multline}", lambda x, y, z: x*x*y + y*y*z + z*z*x - 3*x*y*z - 0.1, "multline")
tex("c53-array", "\\begin{array}{rcl}\nx^2+y^2 & = & (1-z)^3\\\\\n\\end{array}", lambda x, y, z: x*x + y*y - (1 - z)**3, "array,ampersand")
tex("c54-gather", "\\begin{gather*}\nx^3+y^3+z^3+1=(x+y+z+1)^3\n\\end{gather*}", lambda x, y, z: x**3 + y**3 + z**3 + 1 - (x + y + z + 1)**3, "gather")
tex("c55-le", r"x^2+y^2+z^2 \leq \frac{5}{4}", lambda x, y, z: x*x + y*y + z*z - 1.25, "ineq,frac", rel="<")
tex("c56-geq", r"xyz\geqslant 0.1", lambda x, y, z: 0.1 - x*y*z, "ineq", rel=">")
tex("c57-lt", r"\left|\sin x\cos y+\sin y\cos z+\sin z\cos x\right|<0.3",
    lambda x, y, z: abs(sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)) - 0.3, "ineq,abs-bars,bare-fn", rel="<")
tex("c58-band", r"-\frac{1}{5}\le\cos x+\cos y+\cos z\le\frac{1}{5}", lambda x, y, z: max(-0.2 - (cos(x) + cos(y) + cos(z)), cos(x) + cos(y) + cos(z) - 0.2),
    "double-ineq,frac", rel="band")
tex("c59-fn-power", r"\sin^2x+\sin^2 y+\sin^{2}z=\cos^3(x+y)", lambda x, y, z: sin(x)**2 + sin(y)**2 + sin(z)**2 - cos(x + y)**3, "fn-power")
tex("c60-inverse-fn", r"\tan^{-1}(y)+\sin^{-1}\frac{x}{3}=z", lambda x, y, z: atan(y) + asin(x/3) - z, "inverse-fn,bare-fn-frac")
tex("c61-arctan", r"z=\arctan\frac{y}{x}+\arcsin\left(\tfrac{x}{4}\right)", lambda x, y, z: z - atan(y/x) - asin(x/4), "bare-fn-frac,height")
tex("c62-ln-bare", r"z=\ln|x|-\ln |y|", lambda x, y, z: z - log(abs(x)) + log(abs(y)), "bare-fn,abs-bars")
tex("c63-exp", r"\exp\left(-\frac{x^2+y^2}{2\sigma^2}\right)=z", lambda x, y, z, sigma: exp(-(x*x + y*y)/(2*sigma**2)) - z, "exp,free-var,greek", vars={"sigma": 0.9})
tex("c64-pi-coef", r"\cos\frac{2\pi x}{a}+\cos\frac{2\pi y}{a}+\cos\frac{2\pi z}{a}=0", lambda x, y, z, a: cos(2*pi*x/a) + cos(2*pi*y/a) + cos(2*pi*z/a),
    "bare-fn-frac,const-pi,free-var", vars={"a": 2.5})
tex("c65-two-pi-X", r"\sin 2\pi X\cos 2\pi Y+\sin 2\pi Y\cos 2\pi Z+\sin 2\pi Z\cos 2\pi X=t",
    lambda x, y, z, t: sin(2*pi*x)*cos(2*pi*y) + sin(2*pi*y)*cos(2*pi*z) + sin(2*pi*z)*cos(2*pi*x) - t, "caps-xyz,free-var,const-pi", vars={"t": 0.2})
tex("c66-sum", r"\sum_{i=1}^{4}\frac{\sin(2^i x)}{2^i}+y=z", lambda x, y, z: sum(sin(2**i*x)/2**i for i in range(1, 5)) + y - z, "sum-range,frac")
tex("c67-sum-limits", r"\sum\limits_{n=0}^{2} \cos\left(x+\frac{2\pi n}{3}\right)^2 y = z^2", lambda x, y, z: sum(cos(x + 2*pi*n/3)**2 for n in range(3))*y - z*z,
    "sum-range,limits", why="the term of the sum ends at the relation")
tex("c68-prod", r"\prod_{k=1}^{3}(x-k)=y^2+z^2", lambda x, y, z: (x - 1)*(x - 2)*(x - 3) - y*y - z*z, "product-range")
tex("c69-atan2", r"\operatorname{atan2}(y,x)=z", lambda x, y, z: atan2(y, x) - z, "operatorname,atan2")
tex("c70-mathbf", r"f(\mathbf{x})=x^2+y^2-z", lambda x, y, z: x*x + y*y - z, "f-of-vector,mathbf", rel="expr", may_reject=True)
tex("c71-cases", r"\begin{cases} x^2+y^2+z^2=4\end{cases}", lambda x, y, z: x*x + y*y + z*z - 4, "cases", why="one row in a brace")
tex("c72-colon-equals", r"F(x,y,z) := x^3+y^3-z^2(x+y)", lambda x, y, z: x**3 + y**3 - z*z*(x + y), "f-of-xyz,colon-equals", rel="expr")
tex("c73-set", r"\{(x,y,z)\in\mathbb{R}^3 : x^2+y^2=z^3\}", lambda x, y, z: x*x + y*y - z**3, "set-builder", may_reject=True)
tex("c74-set-mid", r"S=\left\{(x,y,z)\in\mathbb{R}^3 \mid x^4+y^4+z^4=1\right\}", lambda x, y, z: x**4 + y**4 + z**4 - 1, "set-builder", may_reject=True)
tex("c75-prime-power-groups", r"{(x^{2}+y^{2}-1)}^{2}+{z}^{2}=\frac{1}{16}", lambda x, y, z: (x*x + y*y - 1)**2 + z*z - 1/16, "braces")
tex("c76-power-no-braces", r"x^2y^3z^{-1}+2^{x}=1", lambda x, y, z: x**2*y**3/z + 2**x - 1, "negative-power,number-power")
tex("c77-multi-dollar", r"$x^{2}+y^{2}=z^{2}\left(1-z\right)$.", lambda x, y, z: x*x + y*y - z*z*(1 - z), "tex-delims,final-period")
tex("c78-color", r"\color{blue}{x^2}+\color{red}{y^2}=z", lambda x, y, z: x*x + y*y - z, "colour-command", may_reject=True)
tex("c79-mathit-styles", r"\textstyle \mathit{x}^2+\mathit{y}^2=\mathit{z}\,,", lambda x, y, z: x*x + y*y - z, "style-commands,trailing-comma")
tex("c80-nonumber", r"x^4-x^2+y^2+z^2=0\nonumber\\", lambda x, y, z: x**4 - x*x + y*y + z*z, "nonumber")
tex("c81-eq-number", r"x^2-x^3+y^2+y^4+z^3-z^4=0 \qquad (12)", lambda x, y, z: x**2 - x**3 + y**2 + y**4 + z**3 - z**4, "equation-number")
tex("c82-bare-power-arg", r"\cos x^2+\sin y^3=z", lambda x, y, z: cos(x**2) + sin(y**3) - z, "bare-fn",
    alt=[("(cos x)^2 + (sin y)^3", lambda x, y, z: cos(x)**2 + sin(y)**3 - z)], convention="the power belongs to the letter: cos(x^2)")
tex("c83-sin-paren-power", r"\sin(x)^2+\cos(y)^{3}=z", lambda x, y, z: sin(x)**2 + cos(y)**3 - z, "power-after-call")
tex("c84-overline-free", r"\left[\left(x^2+y^2-0.85^2\right)^2+\left(z^2-1\right)^2\right]\cdot\left[\left(y^2+z^2-0.85^2\right)^2+\left(x^2-1\right)^2\right]\cdot\left[\left(z^2+x^2-0.85^2\right)^2+\left(y^2-1\right)^2\right]-0.05^2\left[1+3\left(x^2+y^2+z^2\right)\right]=0",
    lambda x, y, z: ((x*x + y*y - 0.7225)**2 + (z*z - 1)**2)*((y*y + z*z - 0.7225)**2 + (x*x - 1)**2)*((z*z + x*x - 0.7225)**2 + (y*y - 1)**2)
    - 0.0025*(1 + 3*(x*x + y*y + z*z)), "left-right,mul-signs", why="decocube")
