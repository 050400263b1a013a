"""Unicode mathematics: superscripts, minus signs, root signs, Greek, relations, vulgar fractions."""

from math import atan, cos, exp, floor, hypot, log, pi, sin, sqrt

from .entry import BALL, OCTANT, field

PHI = (1 + sqrt(5)) / 2


def cbrt(v):
    return abs(v) ** (1 / 3) * (1 if v > 0 else -1)


field("b01-gyroid", "unicode", "sin x · cos y + sin y · cos z + sin z · cos x = 0",
      lambda x, y, z: sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x), "mul-signs,bare-fn")
field("b02-cayley", "unicode", "x² + y² + z² − 2xyz − 1 = 0", lambda x, y, z: x**2 + y**2 + z**2 - 2*x*y*z - 1, "superscript,minus-sign")
field("b03-goursat", "unicode", "x⁴ + y⁴ + z⁴ − 5(x² + y² + z²) + 11.8 = 0",
      lambda x, y, z: x**4 + y**4 + z**4 - 5*(x**2 + y**2 + z**2) + 11.8, "superscript,minus-sign")
field("b04-heart", "unicode", "(x² + 9y²/4 + z² − 1)³ = x²z³ + 9y²z³/80",
      lambda x, y, z: (x**2 + 9*y**2/4 + z**2 - 1)**3 - x**2*z**3 - 9*y**2*z**3/80, "superscript,coef-division")
field("b05-barth", "unicode", "4(φ²x² − y²)(φ²y² − z²)(φ²z² − x²) − (1 + 2φ)(x² + y² + z² − 1)² = 0, where φ = (1 + √5)/2",
      lambda x, y, z: 4*(PHI**2*x**2 - y**2)*(PHI**2*y**2 - z**2)*(PHI**2*z**2 - x**2) - (1 + 2*PHI)*(x**2 + y**2 + z**2 - 1)**2,
      "superscript,where-clause,sqrt-sign,greek")
field("b06-roman", "unicode", "x²y² + y²z² + z²x² − xyz = 0.", lambda x, y, z: x**2*y**2 + y**2*z**2 + z**2*x**2 - x*y*z, "superscript,final-period")
field("b07-root-product", "unicode", "√2 x + √3·y = 2√z", lambda x, y, z: sqrt(2)*x + sqrt(3)*y - 2*sqrt(z), "sqrt-sign", points=OCTANT)
field("b08-root-nested", "unicode", "√(1 + √(x² + y²)) = 1.2 + z/2", lambda x, y, z: sqrt(1 + hypot(x, y)) - 1.2 - z/2, "sqrt-sign,nested")
field("b09-cube-root", "unicode", "∛x + ∛y + ∛z = 1", lambda x, y, z: cbrt(x) + cbrt(y) + cbrt(z) - 1, "cube-root-sign")
field("b10-fractions", "unicode", "¼x² + ⅓y² + ¾z² = ½", lambda x, y, z: x**2/4 + y**2/3 + 3*z**2/4 - 0.5, "vulgar-fraction,superscript")
field("b11-mixed-number", "unicode", "⅔x³ − ⅛y + ⅝z² = 0", lambda x, y, z: 2*x**3/3 - y/8 + 5*z**2/8, "vulgar-fraction,superscript")
field("b12-norm", "unicode", "‖(x, y)‖ + |z| = 1", lambda x, y, z: hypot(x, y) + abs(z) - 1, "norm-bars,vector", why="norm of a pair")
field("b13-abs", "unicode", "|x|³ + |y|³ + |z|³ = 1", lambda x, y, z: abs(x)**3 + abs(y)**3 + abs(z)**3 - 1, "abs-bars,superscript")
field("b14-le", "unicode", "x² + y² ≤ z² + 1", lambda x, y, z: x**2 + y**2 - z**2 - 1, "ineq,superscript", rel="<")
field("b15-ge", "unicode", "sin x + sin y + sin z ≥ ½", lambda x, y, z: 0.5 - (sin(x) + sin(y) + sin(z)), "ineq,vulgar-fraction", rel=">")
field("b16-slanted-le", "unicode", "x⁴ + y⁴ + z⁴ ⩽ 1", lambda x, y, z: x**4 + y**4 + z**4 - 1, "ineq,superscript", rel="<")
field("b17-en-dash", "unicode", "x² – y² – z = 0", lambda x, y, z: x**2 - y**2 - z, "dash,superscript", why="U+2013 as minus")
field("b18-em-dash", "unicode", "x³ — 3xy² — z = 0", lambda x, y, z: x**3 - 3*x*y**2 - z, "dash,superscript", why="U+2014 as minus")
field("b19-negative-superscript", "unicode", "x⁻² + y⁻² = z²", lambda x, y, z: x**-2.0 + y**-2.0 - z**2, "superscript,negative-power")
field("b20-long-superscript", "unicode", "x¹⁰ + y¹² + z² = 1", lambda x, y, z: x**10 + y**12 + z**2 - 1, "superscript")
field("b21-arc", "unicode", "z = tan⁻¹(y) + sin²(x)", lambda x, y, z: z - atan(y) - sin(x)**2, "fn-power,inverse-fn,height")
field("b22-fn-power-bare", "unicode", "cos²x·sin³y + cos⁴z = ⅕", lambda x, y, z: cos(x)**2*sin(y)**3 + cos(z)**4 - 0.2, "fn-power,vulgar-fraction")
field("b23-pi", "unicode", "cos 2πx + cos 2πy + cos 2πz = 0", lambda x, y, z: cos(2*pi*x) + cos(2*pi*y) + cos(2*pi*z), "const-pi,bare-fn")
field("b24-pi-divided", "unicode", "sin(πx/2) + sin(πy/3) = z", lambda x, y, z: sin(pi*x/2) + sin(pi*y/3) - z, "const-pi")
field("b25-greek-parameters", "unicode", "αx² + βy² + γz² = δ", lambda x, y, z, alpha, beta, gamma, delta: alpha*x**2 + beta*y**2 + gamma*z**2 - delta,
      "free-var,greek,superscript", vars={"alpha": 1.5, "beta": 0.7, "gamma": 2.0, "delta": 1.1})
field("b26-lambda-mu", "unicode", "(x² + y² + z² − μ²)² = λ(1 − z)(1 + z)x; λ = 0.8, μ = 1.1",
      lambda x, y, z: (x**2 + y**2 + z**2 - 1.21)**2 - 0.8*(1 - z)*(1 + z)*x, "same-line-value,greek,semicolon")
field("b27-thin-spaces", "unicode", "x²\u2009+\u2009y²\u2009−\u20092\u2009x\u2009y\u2009z\u2009=\u20091", lambda x, y, z: x**2 + y**2 - 2*x*y*z - 1, "thin-space")
field("b28-italic-letters", "unicode", "𝑥² + 𝑦² − 𝑧² = 1", lambda x, y, z: x**2 + y**2 - z**2 - 1, "math-letters", why="mathematical italic letters")
field("b29-fullwidth", "unicode", "ｘ^2＋ｙ^2＝ｚ", lambda x, y, z: x**2 + y**2 - z, "fullwidth", why="full-width letters and signs", may_reject=True)
field("b30-asterisk-operator", "unicode", "2∗x∗y − z∕3 = 1", lambda x, y, z: 2*x*y - z/3 - 1, "operator-signs", why="U+2217 and U+2215")
field("b31-division-sign", "unicode", "x ÷ 2 + y × 3 = z²", lambda x, y, z: x/2 + 3*y - z**2, "mul-signs")
field("b32-dot-operator", "unicode", "x⋅y + y⋅z + z⋅x = 1", lambda x, y, z: x*y + y*z + z*x - 1, "mul-signs")
field("b33-bullet", "unicode", "x•y•z = ¼", lambda x, y, z: x*y*z - 0.25, "mul-signs,vulgar-fraction")
field("b34-equation-number", "unicode", "x²y − z³ = 1    (2.14)", lambda x, y, z: x**2*y - z**3 - 1, "equation-number,superscript")
field("b35-eulers-e", "unicode", "z = e⁻ˣ + eʸ", lambda x, y, z: z - exp(-x) - exp(y), "const-e,letter-superscript", may_reject=True)
field("b36-floor", "unicode", "⌊x⌋ + y = z", lambda x, y, z: floor(x) + y - z, "floor-bars")
field("b37-sum", "unicode", "Σₖ₌₁³ sin(kx)/k = z", lambda x, y, z: sin(x) + sin(2*x)/2 + sin(3*x)/3 - z, "sum-range,subscript", may_reject=True)
field("b38-subscripts", "unicode", "x²/a₁² + y²/a₂² + z²/a₃² = 1 with a₁ = 1, a₂ = 2, a₃ = 0.5",
      lambda x, y, z: x**2 + y**2/4 + z**2/0.25 - 1, "subscript,with-clause")
field("b39-primes-quotes", "unicode", "“x² + z² = y³(1 − y)³”", lambda x, y, z: x**2 + z**2 - y**3*(1 - y)**3, "quotes,superscript")
field("b40-plus-minus-free", "unicode", "ln(x² + y²) − 2 ln z = 0", lambda x, y, z: log(x*x + y*y) - 2*log(z), "ln,bare-fn", points=OCTANT)
field("b41-lemon", "unicode", "x² + z² = y³(1 − y)³", lambda x, y, z: x**2 + z**2 - y**3*(1 - y)**3, "implicit-mul,superscript")
field("b42-xyz-glued-power", "unicode", "xy²z³ = ½ − x²y", lambda x, y, z: x*y**2*z**3 - 0.5 + x**2*y, "letters,superscript")
