"""Parameters with and without values, where-clauses, helper lines, and sums over short ranges."""

from math import cos, exp, factorial, hypot, pi, sin, sqrt

from .entry import field

# Values on the same line, after a word, on lines of their own.
field("f01-where", "ascii", "(x^2 + y^2 + z^2 - a^2)^2 = b x y z where a = 1.2 and b = 3", lambda x, y, z: (x*x + y*y + z*z - 1.44)**2 - 3*x*y*z, "where-clause,and")
field("f02-with", "ascii", "x^4 + y^4 + z^4 - k(x^2 + y^2 + z^2) + 1 = 0 with k = 1.4", lambda x, y, z: x**4 + y**4 + z**4 - 1.4*(x*x + y*y + z*z) + 1, "with-clause,param-before-bracket")
field("f03-comma", "ascii", "z = A sin(k x) cos(k y), A = 0.5, k = 2", lambda x, y, z: z - 0.5*sin(2*x)*cos(2*y), "same-line-value,height,caps-param")
field("f04-semicolon", "ascii", "x^2/a^2 - y^2/b^2 = z; a=2; b=0.5", lambda x, y, z: x*x/4 - y*y/0.25 - z, "same-line-value,semicolon")
field("f05-lines-before", "ascii", "a = 1.5\nb = 0.4\n(sqrt(x^2+y^2) - a)^2 + z^2 = b^2", lambda x, y, z: (hypot(x, y) - 1.5)**2 + z*z - 0.16, "helper-line")
field("f06-lines-after", "ascii", "(sqrt(x^2+y^2) - R)^2 + z^2 = r^2\nR = 2\nr = 0.6", lambda x, y, z: (hypot(x, y) - 2)**2 + z*z - 0.36, "where-line,param-name-r")
field("f07-for", "ascii", "sin x sin y sin z = c for c = 0.3", lambda x, y, z: sin(x)*sin(y)*sin(z) - 0.3, "for-clause,bare-fn")
field("f08-brackets", "ascii", "cos x + cos y + cos z = t   (t = 0.5)", lambda x, y, z: cos(x) + cos(y) + cos(z) - 0.5, "value-in-brackets,param-name-t")
field("f09-let", "ascii", "Let a = 2, b = 3. Then a x^2 + b y^2 = z.", lambda x, y, z: 2*x*x + 3*y*y - z, "let-clause,final-period", may_reject=True)
field("f10-free-one", "ascii", "x^2 + y^2 + z^2 = R^2", lambda x, y, z, R: x*x + y*y + z*z - R*R, "free-var,caps-param", vars={"R": 1.7})
field("f11-free-product", "ascii", "a x^2 + b y^2 = c z", lambda x, y, z, a, b, c: a*x*x + b*y*y - c*z, "free-var,space-mul", vars={"a": 2.0, "b": -1.0, "c": 0.5})
field("f12-free-glued", "ascii", "ax^2+by^2+cz^2=d", lambda x, y, z, a, b, c, d: a*x*x + b*y*y + c*z*z - d, "free-var,letters", vars={"a": 2.0, "b": -1.0, "c": 0.5, "d": 1.25},
      why="a single letter glued to a coordinate is a parameter times it")
field("f13-free-subscript", "tex", r"\frac{x^2}{a_1^2}+\frac{y^2}{a_2^2}+\frac{z^2}{a_3^2}=1", lambda x, y, z, a_1, a_2, a_3: (x/a_1)**2 + (y/a_2)**2 + (z/a_3)**2 - 1,
      "free-var,subscript", vars={"a_1": 1.1, "a_2": 0.7, "a_3": 1.9})
field("f14-free-word", "ascii", "cos(x) + cos(y) + cos(z) = level", lambda x, y, z, level: cos(x) + cos(y) + cos(z) - level, "free-var,word-name", vars={"level": 0.25})
field("f15-free-snake", "numpy", "np.sin(freq_x*x) + np.cos(freq_y*y) - z", lambda x, y, z, freq_x, freq_y: sin(freq_x*x) + cos(freq_y*y) - z, "free-var,snake-name", rel="expr",
      vars={"freq_x": 2.0, "freq_y": 3.0})
field("f16-value-from-value", "ascii", "x^2 + y^2 = c z where c = 2a and a = 0.7", lambda x, y, z: x*x + y*y - 1.4*z, "where-clause,value-from-value")
field("f17-value-with-pi", "ascii", "sin(w x) sin(w y) = z, w = 2pi/3", lambda x, y, z: sin(2*pi/3*x)*sin(2*pi/3*y) - z, "same-line-value,const-pi")
field("f18-where-tex", "tex", r"\left(x^2+y^2+z^2\right)^2=a^2\left(x^2+y^2\right)-b^2z^2,\text{ where } a=1.3 \text{ and } b=0.4", lambda x, y, z: (x*x + y*y + z*z)**2 - 1.69*(x*x + y*y) + 0.16*z*z,
      "where-clause,text-cmd")
field("f19-where-greek", "unicode", "x² + y² = ε + z², where ε = 0.05", lambda x, y, z: x*x + y*y - 0.05 - z*z, "where-clause,greek")
field("f20-where-expression", "ascii", "rho^2 = z^3 - z where rho^2 = x^2 + y^2", lambda x, y, z: x*x + y*y - z**3 + z, "where-clause,square-given", may_reject=True)
field("f21-helper-field", "ascii", "s = x^2 + y^2 + z^2\np = xyz\ns^2 - 4p = 1", lambda x, y, z: (x*x + y*y + z*z)**2 - 4*x*y*z - 1, "helper-line", why="a helper called p is not the point")
field("f22-helper-where", "ascii", "u^2 + v^2 = 1 where u = x + y, v = y - z", lambda x, y, z: (x + y)**2 + (y - z)**2 - 1, "where-clause,helper", why="u and v are helpers here, not parameters of a surface")
field("f23-units-words", "ascii", "x^2 + y^2 = a^2, a > 0", lambda x, y, z, a: x*x + y*y - a*a, "condition,free-var", vars={"a": 1.3}, may_reject=True)
field("f24-colon-values", "ascii", "a*x^2 + y^2 = z\na: 0.3", lambda x, y, z: 0.3*x*x + y*y - z, "where-line,colon", may_reject=True)
field("f25-default-argument", "numpy", "def f(x, y, z, a=1.5, b=0.5): return a*np.cos(x) + b*np.cos(y) - z", lambda x, y, z: 1.5*cos(x) + 0.5*cos(y) - z, "default-argument,fn-wrapper", rel="expr", may_reject=True)
field("f26-negative-value", "ascii", "x^3 + a x + y^2 + b z = 0 where a = -1.5, b = -0.25", lambda x, y, z: x**3 - 1.5*x + y*y - 0.25*z, "where-clause,negative-value", why="the value is put in with brackets")
field("f27-power-value", "ascii", "|x|^n + |y|^n + |z|^n = 1, n = 4", lambda x, y, z: abs(x)**4 + abs(y)**4 + abs(z)**4 - 1, "same-line-value,abs-bars")
field("f28-golden-name", "ascii", "x^2 + y^2 = tau z^2, tau = (1 + sqrt 5)/2", lambda x, y, z: x*x + y*y - (1 + sqrt(5))/2*z*z, "same-line-value,sqrt-bare")

# Sums.
field("g01-sum-tex", "tex", r"\sum_{k=1}^{5}\frac{1}{k^2}\cos(k^2x)=z", lambda x, y, z: sum(cos(k*k*x)/k**2 for k in range(1, 6)) - z, "sum-range,frac")
field("g02-sum-parameter", "tex", r"\sum_{j=0}^{4}\cos\left(x\cos\frac{2\pi j}{5}+y\sin\frac{2\pi j}{5}\right)=z", lambda x, y, z: sum(cos(x*cos(2*pi*j/5) + y*sin(2*pi*j/5)) for j in range(5)) - z,
      "sum-range,bare-fn-frac", why="a quasiperiodic wave of five directions")
field("g03-sum-alternating", "tex", r"z=\sum_{n=0}^{3}\frac{(-1)^n}{(2n+1)!}x^{2n+1}", lambda x, y, z: z - sum((-1)**n*x**(2*n + 1)/factorial(2*n + 1) for n in range(4)), "sum-range,factorial,height")
field("g04-sum-call", "ascii", "sum(sin(k x)/k, k, 1, 4) = z", lambda x, y, z: sum(sin(k*x)/k for k in range(1, 5)) - z, "sum-call", may_reject=True)
field("g05-sum-generator", "numpy", "sum(math.sin(k*x)/k for k in range(1, 5)) - z", lambda x, y, z: sum(sin(k*x)/k for k in range(1, 5)) - z, "sum-generator,prefix", rel="expr", may_reject=True,
      why="the end of a range is left out")
field("g06-sum-unicode", "unicode", "∑_{k=1}^{3} cos(kx)cos(ky) = z", lambda x, y, z: sum(cos(k*x)*cos(k*y) for k in (1, 2, 3)) - z, "sum-range")
field("g07-sum-plus", "tex", r"\sum_{k=1}^{2} x^{2k} + y^2 = z", lambda x, y, z: x**2 + x**4 + y*y - z, "sum-range",
      alt=[("y^2 inside the sum", lambda x, y, z: x**2 + x**4 + 2*y*y - z)], convention="the term of a sum ends at the next plus or minus")
field("g08-sum-brackets", "tex", r"\sum_{k=1}^{3}\left(x^k+y^k\right)=1+z", lambda x, y, z: sum(x**k + y**k for k in (1, 2, 3)) - 1 - z, "sum-range,left-right")
field("g09-double-sum", "tex", r"\sum_{i=1}^{2}\sum_{j=1}^{2}\sin(ix)\sin(jy)=z", lambda x, y, z: (sin(x) + sin(2*x))*(sin(y) + sin(2*y)) - z, "sum-range,nested")
field("g10-sum-free-end", "tex", r"\sum_{k=1}^{N}\frac{\sin kx}{k}=z,\quad N=6", lambda x, y, z: sum(sin(k*x)/k for k in range(1, 7)) - z, "sum-range,bare-fn,same-line-value")
field("g11-dots", "ascii", "x^2 + x^4 + exp(-y^2) = z", lambda x, y, z: x**2 + x**4 + exp(-y*y) - z, "unary-minus")
