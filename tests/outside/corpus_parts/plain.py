"""Plain ASCII as it stands in forum posts, letters and program listings without mark-up."""

from math import acos, asin, atan, atan2, ceil, cos, cosh, exp, floor, hypot, log, pi, sin, sinh, sqrt, tan, tanh

from .entry import BALL, OCTANT, field

PHI = (1 + sqrt(5)) / 2

field("a01-gyroid", "ascii", "sin x cos y + sin y cos z + sin z cos x = 0",
      lambda x, y, z: sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x), "bare-fn")
field("a02-schwarz-p", "ascii", "cos x + cos y + cos z = 0", lambda x, y, z: cos(x) + cos(y) + cos(z), "bare-fn")
field("a03-schwarz-d", "ascii", "sin x sin y sin z + sin x cos y cos z + cos x sin y cos z + cos x cos y sin z = 0",
      lambda x, y, z: sin(x)*sin(y)*sin(z) + sin(x)*cos(y)*cos(z) + cos(x)*sin(y)*cos(z) + cos(x)*cos(y)*sin(z), "bare-fn")
field("a04-schwarz-d-two", "ascii", "cos(x)cos(y)cos(z) - sin(x)sin(y)sin(z) = 0",
      lambda x, y, z: cos(x)*cos(y)*cos(z) - sin(x)*sin(y)*sin(z), "implicit-mul")
field("a05-neovius", "ascii", "3(cos x + cos y + cos z) + 4 cos x cos y cos z = 0",
      lambda x, y, z: 3*(cos(x) + cos(y) + cos(z)) + 4*cos(x)*cos(y)*cos(z), "bare-fn,implicit-mul")
field("a06-iwp", "ascii", "2(cos x cos y + cos y cos z + cos z cos x) - (cos 2x + cos 2y + cos 2z) = 0",
      lambda x, y, z: 2*(cos(x)*cos(y) + cos(y)*cos(z) + cos(z)*cos(x)) - (cos(2*x) + cos(2*y) + cos(2*z)), "bare-fn,coef-arg")
field("a07-frd", "ascii", "4cos(x)cos(y)cos(z) - (cos(2x)cos(2y) + cos(2y)cos(2z) + cos(2z)cos(2x))",
      lambda x, y, z: 4*cos(x)*cos(y)*cos(z) - (cos(2*x)*cos(2*y) + cos(2*y)*cos(2*z) + cos(2*z)*cos(2*x)),
      "implicit-mul,coef-arg", rel="expr")
field("a08-lidinoid", "ascii",
      "1/2 (sin 2x cos y sin z + sin 2y cos z sin x + sin 2z cos x sin y) - 1/2 (cos 2x cos 2y + cos 2y cos 2z + cos 2z cos 2x) + 0.15 = 0",
      lambda x, y, z: 0.5*(sin(2*x)*cos(y)*sin(z) + sin(2*y)*cos(z)*sin(x) + sin(2*z)*cos(x)*sin(y))
      - 0.5*(cos(2*x)*cos(2*y) + cos(2*y)*cos(2*z) + cos(2*z)*cos(2*x)) + 0.15, "bare-fn,coef-arg,literal-fraction")
field("a09-cayley", "ascii", "x^2 + y^2 + z^2 - 2xyz - 1 = 0", lambda x, y, z: x**2 + y**2 + z**2 - 2*x*y*z - 1, "letters")
field("a10-clebsch", "ascii",
      "81(x^3 + y^3 + z^3) - 189(x^2y + x^2z + y^2x + y^2z + z^2x + z^2y) + 54xyz + 126(xy + xz + yz) - 9(x^2 + y^2 + z^2) - 9(x + y + z) + 1 = 0",
      lambda x, y, z: 81*(x**3 + y**3 + z**3) - 189*(x**2*y + x**2*z + y**2*x + y**2*z + z**2*x + z**2*y) + 54*x*y*z
      + 126*(x*y + x*z + y*z) - 9*(x**2 + y**2 + z**2) - 9*(x + y + z) + 1, "implicit-mul,power-then-var")
field("a11-ding-dong", "ascii", "x^2+y^2=(1-z)z^2", lambda x, y, z: x**2 + y**2 - (1 - z)*z**2, "implicit-mul")
field("a12-heart", "ascii", "(x^2 + 9/4 y^2 + z^2 - 1)^3 - x^2 z^3 - 9/80 y^2 z^3 = 0",
      lambda x, y, z: (x**2 + 9/4*y**2 + z**2 - 1)**3 - x**2*z**3 - 9/80*y**2*z**3, "literal-fraction,space-mul")
field("a13-heart-product", "ascii", "(2x^2+2y^2+z^2-1)^3-(1/10)x^2z^3-y^2z^3=0",
      lambda x, y, z: (2*x**2 + 2*y**2 + z**2 - 1)**3 - x**2*z**3/10 - y**2*z**3, "implicit-mul,power-then-var")
field("a14-tanglecube", "ascii", "x^4 - 5x^2 + y^4 - 5y^2 + z^4 - 5z^2 + 11.8 = 0",
      lambda x, y, z: x**4 - 5*x**2 + y**4 - 5*y**2 + z**4 - 5*z**2 + 11.8, "plain")
field("a15-decocube", "ascii",
      "((x^2+y^2-0.8^2)^2+(z^2-1)^2)((y^2+z^2-0.8^2)^2+(x^2-1)^2)((z^2+x^2-0.8^2)^2+(y^2-1)^2)-0.02=0",
      lambda x, y, z: ((x**2 + y**2 - 0.64)**2 + (z**2 - 1)**2)*((y**2 + z**2 - 0.64)**2 + (x**2 - 1)**2)
      * ((z**2 + x**2 - 0.64)**2 + (y**2 - 1)**2) - 0.02, "implicit-mul,brackets-side-by-side")
field("a16-roman", "ascii", "x^2y^2 + y^2z^2 + z^2x^2 = xyz", lambda x, y, z: x**2*y**2 + y**2*z**2 + z**2*x**2 - x*y*z, "power-then-var")
field("a17-whitney", "ascii", "x^2 = y^2 z", lambda x, y, z: x**2 - y**2*z, "space-mul")
field("a18-barth-sextic", "ascii",
      "4(phi^2 x^2 - y^2)(phi^2 y^2 - z^2)(phi^2 z^2 - x^2) - (1 + 2phi)(x^2 + y^2 + z^2 - 1)^2 = 0, phi = (1+sqrt(5))/2",
      lambda x, y, z: 4*(PHI**2*x**2 - y**2)*(PHI**2*y**2 - z**2)*(PHI**2*z**2 - x**2) - (1 + 2*PHI)*(x**2 + y**2 + z**2 - 1)**2,
      "same-line-value,implicit-mul")
field("a19-goursat", "ascii", "x^4 + y^4 + z^4 - (x^2 + y^2 + z^2)^2 + 3(x^2 + y^2 + z^2) = 3",
      lambda x, y, z: x**4 + y**4 + z**4 - (x**2 + y**2 + z**2)**2 + 3*(x**2 + y**2 + z**2) - 3, "implicit-mul")
field("a20-chmutov", "ascii", "8x^4 - 8x^2 + 1 + 8y^4 - 8y^2 + 1 + 8z^4 - 8z^2 + 1 = 0",
      lambda x, y, z: 8*x**4 - 8*x**2 + 8*y**4 - 8*y**2 + 8*z**4 - 8*z**2 + 3, "plain")
field("a21-torus", "ascii", "(sqrt(x^2 + y^2) - 2)^2 + z^2 = 0.49", lambda x, y, z: (hypot(x, y) - 2)**2 + z**2 - 0.49, "sqrt")
field("a22-torus-quartic", "ascii", "(x^2+y^2+z^2+3.51)^2=16(x^2+y^2)",
      lambda x, y, z: (x**2 + y**2 + z**2 + 3.51)**2 - 16*(x**2 + y**2), "both-sides")
field("a23-scherk", "ascii", "e^z cos y = cos x", lambda x, y, z: exp(z)*cos(y) - cos(x), "const-e,bare-fn")
field("a24-scherk-tower", "ascii", "sin z = sinh x sinh y", lambda x, y, z: sin(z) - sinh(x)*sinh(y), "bare-fn")
field("a25-catenoid", "ascii", "x^2 + y^2 = cosh^2 z", lambda x, y, z: x**2 + y**2 - cosh(z)**2, "fn-power")
field("a26-helicoid", "ascii", "y = x tan z", lambda x, y, z: y - x*tan(z), "bare-fn")
field("a27-monkey-saddle", "ascii", "z = x^3 - 3xy^2", lambda x, y, z: z - (x**3 - 3*x*y**2), "height,letters")
field("a28-superellipsoid", "ascii", "|x|^2.5 + |y|^2.5 + |z|^2.5 = 1",
      lambda x, y, z: abs(x)**2.5 + abs(y)**2.5 + abs(z)**2.5 - 1, "abs-bars,decimal-power")
field("a29-octahedron", "ascii", "|x|+|y|+|z|=1", lambda x, y, z: abs(x) + abs(y) + abs(z) - 1, "abs-bars")
field("a30-abs-product", "ascii", "2|x y| + |z - x|^3 = 1.5", lambda x, y, z: 2*abs(x*y) + abs(z - x)**3 - 1.5, "abs-bars,coef")
field("a31-abs-nested", "ascii", "||x| - |y|| + z = 1", lambda x, y, z: abs(abs(x) - abs(y)) + z - 1, "abs-bars,nested-bars")
field("a32-cushion", "ascii", "z^2 x^2 - z^4 - 2z x^2 + 2z^3 + x^2 - z^2 - (x^2 - z)^2 - y^4 - 2x^2 y^2 - y^2 z^2 + 2y^2 z + y^2 = 0",
      lambda x, y, z: z**2*x**2 - z**4 - 2*z*x**2 + 2*z**3 + x**2 - z**2 - (x**2 - z)**2 - y**4 - 2*x**2*y**2 - y**2*z**2 + 2*y**2*z + y**2,
      "space-mul")
field("a33-kummer", "ascii", "(3 - m2)(x^2+y^2+z^2-m2)^2 - (3m2 - 1)(1-z-sqrt2 x)(1-z+sqrt2 x)(1+z+sqrt2 y)(1+z-sqrt2 y) = 0 with m2 = 1.3",
      lambda x, y, z: (3 - 1.3)*(x**2 + y**2 + z**2 - 1.3)**2
      - (3*1.3 - 1)*(1 - z - sqrt(2)*x)*(1 - z + sqrt(2)*x)*(1 + z + sqrt(2)*y)*(1 + z - sqrt(2)*y),
      "with-clause,digit-in-name,sqrt-bare", why="a name with a digit; sqrt2 x is a root times x")
field("a34-dupin", "ascii", "(x^2 + y^2 + z^2 + 0.96 - 0.25)^2 = 4(x - 0.1)^2 + 3.84 y^2",
      lambda x, y, z: (x**2 + y**2 + z**2 + 0.96 - 0.25)**2 - 4*(x - 0.1)**2 - 3.84*y**2, "space-mul")
field("a35-dervish-root", "ascii", "r = sqrt(x^2+y^2+z^2)\nsin(4r) + z = 0",
      lambda x, y, z: sin(4*sqrt(x*x + y*y + z*z)) + z, "helper-line,param-name-r")
field("a36-crossed-trough", "ascii", "x^2 y^2 = z", lambda x, y, z: x**2*y**2 - z, "space-mul")
field("a37-sine-surface", "ascii", "sin(2 pi x) sin(2 pi y) = z", lambda x, y, z: sin(2*pi*x)*sin(2*pi*y) - z, "const-pi,space-mul")
field("a38-two-pi-bare", "ascii", "cos 2pi x + cos 2pi y + cos 2pi z = 0.5",
      lambda x, y, z: cos(2*pi*x) + cos(2*pi*y) + cos(2*pi*z) - 0.5, "bare-fn,const-pi,coef-arg")
field("a39-square-call-power", "ascii", "sin^2 x + sin^2 y + sin^2 z = 1", lambda x, y, z: sin(x)**2 + sin(y)**2 + sin(z)**2 - 1, "fn-power,bare-fn")
field("a40-power-paren", "ascii", "cos^3(x+y) + sin^2(2z) = 0.3", lambda x, y, z: cos(x + y)**3 + sin(2*z)**2 - 0.3, "fn-power")
field("a41-ln", "ascii", "z = ln(cos(x)/cos(y))", lambda x, y, z: z - log(cos(x)/cos(y)), "ln,height", points=BALL)
field("a42-ln-bare", "ascii", "ln x + ln y + ln z = 0", lambda x, y, z: log(x) + log(y) + log(z), "bare-fn", points=OCTANT)
field("a43-exp-minus", "ascii", "exp(-(x^2+y^2)) + exp(-(y^2+z^2)) = 0.7",
      lambda x, y, z: exp(-(x*x + y*y)) + exp(-(y*y + z*z)) - 0.7, "exp")
field("a44-e-power", "ascii", "z = 3e^(-x^2 - y^2)", lambda x, y, z: z - 3*exp(-x*x - y*y), "const-e,height")
field("a45-scientific", "ascii", "1e-1 x^2 + 2.5E-1 y^2 + z^2 = 1.", lambda x, y, z: 0.1*x**2 + 0.25*y**2 + z**2 - 1,
      "scientific-number", why="exponents in numbers; 1. at the end")
field("a46-point-five", "ascii", ".5x^2 + .25y^2 = z", lambda x, y, z: 0.5*x**2 + 0.25*y**2 - z, "leading-point")
field("a47-square-brackets", "ascii", "[(x-1)^2 + y^2][(x+1)^2 + y^2] + z^2 = 1.1",
      lambda x, y, z: ((x - 1)**2 + y**2)*((x + 1)**2 + y**2) + z**2 - 1.1, "square-brackets")
field("a48-curly-brackets", "ascii", "{x^2 + [y + (z - 1)]^2}^2 - x = 1", lambda x, y, z: (x**2 + (y + z - 1)**2)**2 - x - 1, "mixed-brackets")
field("a49-max", "ascii", "max(|x|, |y|, |z|) = 1", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 1, "min-max,abs-bars")
field("a50-min-three", "ascii", "min(x^2+y^2, y^2+z^2, z^2+x^2) = 0.3",
      lambda x, y, z: min(x*x + y*y, y*y + z*z, z*z + x*x) - 0.3, "min-max")
field("a51-mod-floor", "ascii", "mod(x, 1) + floor(y) - z = 0", lambda x, y, z: x - floor(x) + floor(y) - z, "mod,floor")
field("a52-atan2-sign", "ascii", "z = atan2(y, x) + sign(x) ceil(y)",
      lambda x, y, z: z - (atan2(y, x) + (1 if x > 0 else -1)*ceil(y)), "atan2,sign,ceil")
field("a53-arc", "ascii", "arcsin x + arccos y = 2 arctan z", lambda x, y, z: asin(x) + acos(y) - 2*atan(z), "bare-fn,arc", points=BALL)
field("a54-tanh-hypot", "ascii", "tanh(x) + hypot(y, z) = 1", lambda x, y, z: tanh(x) + hypot(y, z) - 1, "hypot")
field("a55-star-signs", "ascii", "2*x**2 - 3*y**2 + 4*z**2 = 5", lambda x, y, z: 2*x**2 - 3*y**2 + 4*z**2 - 5, "starstar")
field("a56-double-minus", "ascii", "x - -y = 2 - (-z)^3", lambda x, y, z: x + y - (2 + z**3), "unary-minus")
field("a57-power-negative", "ascii", "x^-2 + y^(-2) + z^-1 = 4", lambda x, y, z: x**-2.0 + y**-2.0 + 1/z - 4, "negative-power")
field("a58-cbrt-sec", "ascii", "cbrt(x) + sec(y) - cot(z) = csc(1)",
      lambda x, y, z: (abs(x)**(1/3))*(1 if x > 0 else -1) + 1/cos(y) - 1/tan(z) - 1/sin(1), "cbrt,sec-csc-cot")
field("a59-sqrt-bare", "ascii", "sqrt3 x + sqrt2 y = 2z^2 - 1", lambda x, y, z: sqrt(3)*x + sqrt(2)*y - 2*z**2 + 1, "sqrt-bare")
field("a60-chained-division", "ascii", "x/2/3 + y / (2 z) = 1 - 3/4*z", lambda x, y, z: x/6 + y/(2*z) - 1 + 0.75*z, "division-chain")
field("a61-folium", "ascii", "x^3 + y^3 + z^3 + 1 - (x + y + z + 1)^3 = 0",
      lambda x, y, z: x**3 + y**3 + z**3 + 1 - (x + y + z + 1)**3, "plain")
field("a62-togliatti", "ascii",
      "64(x-1)(x^4-4x^3-10x^2y^2-4x^2+16x-20xy^2+5y^4+16-20y^2) - 5sqrt(5-sqrt(5))(2z-sqrt(5-sqrt(5)))(4(x^2+y^2-z^2)+(1+3sqrt(5)))^2 = 0",
      lambda x, y, z: 64*(x - 1)*(x**4 - 4*x**3 - 10*x**2*y**2 - 4*x**2 + 16*x - 20*x*y**2 + 5*y**4 + 16 - 20*y**2)
      - 5*sqrt(5 - sqrt(5))*(2*z - sqrt(5 - sqrt(5)))*(4*(x**2 + y**2 - z**2) + 1 + 3*sqrt(5))**2,
      "implicit-mul,coef-fn", why="a number directly before sqrt")
field("a63-caps", "ascii", "X^4 + Y^4 + Z^4 = X*Y*Z", lambda x, y, z: x**4 + y**4 + z**4 - x*y*z, "caps-xyz")
