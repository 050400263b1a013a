"""Lines of code in several languages: array libraries, mathematics modules, shaders, sheets, scripts."""

from math import atan2, cos, cosh, exp, floor, fmod, hypot, log, log10, log2, pi, sin, sinh, sqrt, tan

from .entry import OCTANT, field


def code(name, style, text, value, tags="", **more):
    field(name, style, text, value, tags, **{"rel": "expr", **more})


def norm(*c):
    return sqrt(sum(v*v for v in c))


def clamp(v, low, high):
    return min(max(v, low), high)


def gyroid(x, y, z):
    return sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)


# Array libraries and mathematics modules.
code("d01-np-gyroid", "numpy", "np.sin(x)*np.cos(y) + np.sin(y)*np.cos(z) + np.sin(z)*np.cos(x)", gyroid, "prefix")
code("d02-np-assign", "numpy", "F = np.cos(X) + np.cos(Y) + np.cos(Z)", lambda x, y, z: cos(x) + cos(y) + cos(z), "prefix,caps-xyz,assign")
code("d03-numpy-long", "numpy", "vol = numpy.cos(2*numpy.pi*x) + numpy.cos(2*numpy.pi*y) + numpy.cos(2*numpy.pi*z)",
     lambda x, y, z: cos(2*pi*x) + cos(2*pi*y) + cos(2*pi*z), "prefix,const-pi,assign")
code("d04-np-helper", "numpy", "h = np.sqrt(x**2 + y**2)\nf = (h - 2.0)**2 + z**2 - 0.5**2", lambda x, y, z: (hypot(x, y) - 2)**2 + z**2 - 0.25, "helper-line,prefix")
code("d05-np-import", "numpy", "import numpy as np\n\ndef f(x, y, z):\n    return np.cos(x)*np.cos(y)*np.cos(z) - np.sin(x)*np.sin(y)*np.sin(z)",
     lambda x, y, z: cos(x)*cos(y)*cos(z) - sin(x)*sin(y)*sin(z), "fn-wrapper,import-line,return")
code("d06-np-def-helpers", "numpy", "def heart(x, y, z):\n    # the classic\n    a = x**2 + 9/4*y**2 + z**2 - 1\n    return a**3 - x**2*z**3 - 9/80*y**2*z**3",
     lambda x, y, z: (x**2 + 9/4*y**2 + z**2 - 1)**3 - x**2*z**3 - 9/80*y**2*z**3, "fn-wrapper,comment,helper-line,return")
code("d07-np-docstring", "numpy", "def f(x, y, z):\n    \"\"\"Tanglecube.\"\"\"\n    return x**4 - 5*x**2 + y**4 - 5*y**2 + z**4 - 5*z**2 + 11.8",
     lambda x, y, z: x**4 - 5*x**2 + y**4 - 5*y**2 + z**4 - 5*z**2 + 11.8, "fn-wrapper,docstring,return")
code("d08-np-lambda", "numpy", "f = lambda x, y, z: np.abs(x) + np.abs(y) + np.abs(z) - 1", lambda x, y, z: abs(x) + abs(y) + abs(z) - 1, "lambda,prefix")
code("d09-np-maximum", "numpy", "np.maximum(np.maximum(np.abs(x), np.abs(y)), np.abs(z)) - 0.8", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 0.8, "min-max,prefix")
code("d10-np-arctan2", "numpy", "np.hypot(x, y) - 1 - 0.2*np.cos(5*np.arctan2(y, x)) + z", lambda x, y, z: hypot(x, y) - 1 - 0.2*cos(5*atan2(y, x)) + z, "atan2,hypot,prefix")
code("d11-np-where", "numpy", "np.where(z > 0, x**2 + y**2 + z**2 - 1, x**2 + y**2 - 1)", lambda x, y, z: x*x + y*y + z*z - 1 if z > 0 else x*x + y*y - 1, "choice,prefix")
code("d12-np-clip", "numpy", "np.clip(x, -1, 1)**2 + y**2 - z", lambda x, y, z: clamp(x, -1, 1)**2 + y*y - z, "clamp,prefix")
code("d13-np-power-square", "numpy", "np.power(x, 4) + np.square(y) - np.exp(-z**2)", lambda x, y, z: x**4 + y*y - exp(-z*z), "pow,prefix,unary-minus")
code("d14-np-log", "numpy", "np.log(x) + np.log10(y) - np.log2(z)", lambda x, y, z: log(x) + log10(y) - log2(z), "log,prefix", points=OCTANT)
code("d15-np-continuation", "numpy", "f = (np.sin(x) * np.sin(y) * np.sin(z)\n     + np.sin(x) * np.cos(y) * np.cos(z)\n     + np.cos(x) * np.sin(y) * np.cos(z)\n     + np.cos(x) * np.cos(y) * np.sin(z))",
     lambda x, y, z: sin(x)*sin(y)*sin(z) + sin(x)*cos(y)*cos(z) + cos(x)*sin(y)*cos(z) + cos(x)*cos(y)*sin(z), "line-break,prefix,assign")
code("d16-np-backslash", "numpy", "f = x**2 + y**2 \\\n    - z**2 - 1", lambda x, y, z: x*x + y*y - z*z - 1, "line-break,backslash-newline")
code("d17-np-tuple-loop-free", "numpy", "a, b = 1.5, 0.5\nx**2/a**2 + y**2/b**2 - z", lambda x, y, z: x*x/2.25 + y*y/0.25 - z, "helper-line,tuple-assign", may_reject=True)
code("d18-np-linalg", "numpy", "np.linalg.norm([x, y, z]) - 1.25", lambda x, y, z: norm(x, y, z) - 1.25, "norm,prefix")
code("d19-math-module", "math-module", "math.sin(x)*math.sinh(y) - math.tan(z/2)", lambda x, y, z: sin(x)*sinh(y) - tan(z/2), "prefix")
code("d20-math-from", "math-module", "from math import *\nf = lambda x,y,z: cosh(x)*cos(y) - exp(z)", lambda x, y, z: cosh(x)*cos(y) - exp(z), "import-line,lambda")
code("d21-math-fabs-fmod", "math-module", "math.fabs(x) + math.fmod(y, 1.0) - z", lambda x, y, z: abs(x) + fmod(y, 1) - z, "fabs,fmod", why="fmod keeps the sign of its first argument")
code("d22-py-percent", "math-module", "(x % 1) + (y % 0.5) - z", lambda x, y, z: x % 1 + y % 0.5 - z, "percent", points=OCTANT)
code("d23-py-ternary", "math-module", "x**2 + y**2 - 1 if z < 0 else x**2 + y**2 + z**2 - 1", lambda x, y, z: x*x + y*y - 1 if z < 0 else x*x + y*y + z*z - 1, "choice")
code("d24-symbolic-eq", "math-module", "Eq(x**2 + y**2 + z**2, 2*x*y*z + 1)", lambda x, y, z: x*x + y*y + z*z - 2*x*y*z - 1, "eq-call", rel="=", may_reject=True)
code("d25-symbolic-rational", "math-module", "Rational(9, 4)*y**2 + x**2 + z**2 - 1", lambda x, y, z: 2.25*y*y + x*x + z*z - 1, "rational", may_reject=True)
code("d26-typed-def", "math-module", "def f(x: float, y: float, z: float) -> float:\n    return x*x*z - y*y", lambda x, y, z: x*x*z - y*y, "fn-wrapper,type-hints,return")
code("d27-torch", "numpy", "torch.sin(x) * torch.cos(y) + torch.sin(y) * torch.cos(z) + torch.sin(z) * torch.cos(x)", gyroid, "prefix", why="another array library's prefix")

# C, C++, Rust, Java, Fortran and other compiled languages.
code("d30-c-pow", "c", "pow(x, 2) + pow(y, 2) - pow(z, 3)", lambda x, y, z: x*x + y*y - z**3, "pow")
code("d31-c-powf", "c", "float f = powf(x,4.f) + powf(y,4.f) + powf(z,4.f) - 1.f;", lambda x, y, z: x**4 + y**4 + z**4 - 1, "pow,f-suffix,typed-assign", why="a negative base with a whole exponent")
code("d32-c-sqrtf", "c", "return sqrtf(x*x + y*y + z*z) - 1.0f + 0.1f*sinf(8.0f*x)*sinf(8.0f*y)*sinf(8.0f*z);",
     lambda x, y, z: norm(x, y, z) - 1 + 0.1*sin(8*x)*sin(8*y)*sin(8*z), "return,f-suffix,f-functions")
code("d33-c-function", "c", "double f(double x, double y, double z) { return cos(x) + cos(y) + cos(z) - 0.5; }", lambda x, y, z: cos(x) + cos(y) + cos(z) - 0.5, "fn-wrapper,return")
code("d34-c-function-helpers", "c", "float torus(float x, float y, float z)\n{\n    const float R = 1.5f;\n    float q = sqrtf(x*x + z*z) - R; // distance from the ring\n    return sqrtf(q*q + y*y) - 0.4f;\n}",
     lambda x, y, z: hypot(hypot(x, z) - 1.5, y) - 0.4, "fn-wrapper,helper-line,comment,f-suffix")
code("d35-c-ternary", "c", "double d = z > 0.0 ? x*x + y*y + z*z - 1.0 : x*x + y*y - 1.0;", lambda x, y, z: x*x + y*y + z*z - 1 if z > 0 else x*x + y*y - 1, "choice,typed-assign")
code("d36-c-fmax", "c", "fmax(fabs(x), fmax(fabs(y), fabs(z))) - 1.0", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 1, "min-max,fabs")
code("d37-c-block-comment", "c", "/* Whitney umbrella */ x*x - y*y*z", lambda x, y, z: x*x - y*y*z, "comment")
code("d38-c-m-pi", "c", "sin(2*M_PI*x) + cos(M_PI_2*y) - z", lambda x, y, z: sin(2*pi*x) + cos(pi/2*y) - z, "const-pi,macro")
code("d39-c-define", "c", "#define R 2.0\n#define r 0.7\npow(sqrt(x*x+y*y)-R, 2) + z*z - r*r", lambda x, y, z: (hypot(x, y) - 2)**2 + z*z - 0.49, "macro,helper-line", may_reject=True)
code("d40-cpp-std", "cpp", "auto f = std::sin(x) * std::cos(y) + std::pow(z, 2.0);", lambda x, y, z: sin(x)*cos(y) + z*z, "prefix,typed-assign")
code("d41-cpp-lambda", "cpp", "auto f = [](double x, double y, double z) { return std::abs(x) + std::sqrt(y*y + z*z) - 1.0; };", lambda x, y, z: abs(x) + hypot(y, z) - 1, "lambda,prefix,return")
code("d42-rust-closure", "rust", "let f = |x: f64, y: f64, z: f64| x.powi(2) + y.powi(2) - z.sin();", lambda x, y, z: x*x + y*y - sin(z), "lambda,method-call")
code("d43-rust-methods", "rust", "(x * x + y * y).sqrt() - 1.0 + 0.2 * (3.0 * z).cos()", lambda x, y, z: hypot(x, y) - 1 + 0.2*cos(3*z), "method-call")
code("d44-rust-suffix", "rust", "x.abs().max(y.abs()).max(z.abs()) - 0.75_f64", lambda x, y, z: max(abs(x), abs(y), abs(z)) - 0.75, "method-call,number-suffix", may_reject=True)
code("d45-java", "java", "double v = Math.sin(x) * Math.cos(y) + Math.pow(z, 2) - Math.sqrt(2);", lambda x, y, z: sin(x)*cos(y) + z*z - sqrt(2), "prefix,typed-assign")
code("d46-java-method", "java", "public static double f(double x, double y, double z) {\n    return Math.abs(x * y) + z * z - 1.0d;\n}", lambda x, y, z: abs(x*y) + z*z - 1, "fn-wrapper,return,number-suffix")
code("d47-fortran", "fortran", "f = dsin(x)*dcos(y) + x**2 - 1.5d0*z**2 + 2.5d-1", lambda x, y, z: sin(x)*cos(y) + x*x - 1.5*z*z + 0.25, "d-exponent,fortran-names", may_reject=True)
code("d48-fortran-continued", "fortran", "F = X**4 + Y**4 &\n    + Z**4 - SQRT(X**2 + Y**2)", lambda x, y, z: x**4 + y**4 + z**4 - hypot(x, y), "line-break,caps-xyz,caps-fn")
code("d49-csharp", "c", "Mathf.Sin(p.x) * Mathf.Cos(p.y) + Mathf.Sin(p.y) * Mathf.Cos(p.z) + Mathf.Sin(p.z) * Mathf.Cos(p.x)", gyroid, "prefix,vec-p")

# JavaScript.
code("d50-js-arrow", "js", "(x,y,z) => Math.sin(x)*Math.cos(y) + Math.sin(y)*Math.cos(z) + Math.sin(z)*Math.cos(x)", gyroid, "fn-wrapper,prefix")
code("d51-js-const", "js", "const f = (x, y, z) => Math.hypot(x, y, z) - 1 - 0.1 * Math.sin(10 * z);", lambda x, y, z: norm(x, y, z) - 1 - 0.1*sin(10*z), "fn-wrapper,hypot,typed-assign")
code("d52-js-function", "js", "function f(x, y, z) {\n  const r = Math.sqrt(x * x + z * z);\n  return Math.min(r - 0.5, Math.abs(y) - 0.2);\n}", lambda x, y, z: min(hypot(x, z) - 0.5, abs(y) - 0.2), "fn-wrapper,helper-line,min-max")
code("d53-js-arrow-block", "js", "let field = (x, y, z) => { return x**2 * y**2 + y**2 * z**2 + z**2 * x**2 - x*y*z; }", lambda x, y, z: x*x*y*y + y*y*z*z + z*z*x*x - x*y*z, "fn-wrapper,return")
code("d54-js-cbrt-log", "js", "Math.cbrt(x) + Math.log(y) + Math.log2(z) - Math.E", lambda x, y, z: x**(1/3) + log(y) + log2(z) - exp(1), "prefix,log,const-e", points=OCTANT)

# Shaders.
code("d55-glsl-gyroid-dot", "glsl", "dot(sin(p), cos(p.yzx))", gyroid, "vec-p,swizzle,dot")
code("d56-glsl-gyroid-scaled", "glsl", "float d = abs(dot(sin(p*4.0), cos(p.zxy*4.0)))/4.0 - 0.03;",
     lambda x, y, z: abs(sin(4*x)*cos(4*z) + sin(4*y)*cos(4*x) + sin(4*z)*cos(4*y))/4 - 0.03, "vec-p,swizzle,dot,typed-assign")
code("d57-glsl-sphere", "glsl", "length(p) - 1.0", lambda x, y, z: norm(x, y, z) - 1, "vec-p")
code("d58-glsl-sphere-fn", "glsl", "float sdSphere(vec3 p) { return length(p - vec3(0.2, 0.0, -0.1)) - 0.8; }", lambda x, y, z: norm(x - 0.2, y, z + 0.1) - 0.8, "vec-p,fn-wrapper,vec-literal")
code("d59-glsl-torus", "glsl", "length(vec2(length(p.xz) - 1.0, p.y)) - 0.25", lambda x, y, z: hypot(hypot(x, z) - 1, y) - 0.25, "vec-p,swizzle,vec-literal")
code("d60-glsl-torus-fn", "glsl", "float map(vec3 p)\n{\n    vec2 q = vec2(length(p.xz) - 1.2, p.y);\n    return length(q) - 0.3;\n}", lambda x, y, z: hypot(hypot(x, z) - 1.2, y) - 0.3, "vec-p,swizzle,helper-line,fn-wrapper")
code("d61-glsl-box", "glsl", "vec3 q = abs(p) - vec3(0.8, 0.5, 0.3);\nreturn length(max(q, 0.0)) + min(max(q.x, max(q.y, q.z)), 0.0);",
     lambda x, y, z: norm(max(abs(x) - 0.8, 0), max(abs(y) - 0.5, 0), max(abs(z) - 0.3, 0)) + min(max(abs(x) - 0.8, abs(y) - 0.5, abs(z) - 0.3), 0), "vec-p,helper-line,min-max")
code("d62-glsl-octahedron", "glsl", "p = abs(p);\nreturn (p.x + p.y + p.z - 1.0) * 0.57735027;", lambda x, y, z: (abs(x) + abs(y) + abs(z) - 1)*0.57735027, "vec-p,reassign,return")
code("d63-glsl-repeat", "glsl", "length(mod(p, 2.0) - 1.0) - 0.6", lambda x, y, z: norm(x - 2*floor(x/2) - 1, y - 2*floor(y/2) - 1, z - 2*floor(z/2) - 1) - 0.6, "vec-p,mod", why="mod of a vector rounds down")
code("d64-glsl-fract-mix", "glsl", "mix(length(p) - 1.0, max(abs(p.x), max(abs(p.y), abs(p.z))) - 1.0, 0.25) + fract(p.z)*0.0",
     lambda x, y, z: 0.75*(norm(x, y, z) - 1) + 0.25*(max(abs(x), abs(y), abs(z)) - 1), "vec-p,mix,fract")
code("d65-glsl-smoothstep", "glsl", "p.y - smoothstep(0.0, 1.0, p.x) + step(0.5, p.z)",
     lambda x, y, z: y - clamp(x, 0, 1)**2*(3 - 2*clamp(x, 0, 1)) + (1 if z >= 0.5 else 0), "vec-p,smoothstep,step")
code("d66-glsl-smin", "glsl", "float a = length(p - vec3(0.5,0.,0.)) - 0.6;\nfloat b = length(p + vec3(0.5,0.,0.)) - 0.6;\nfloat h = clamp(0.5 + 0.5*(b - a)/0.3, 0.0, 1.0);\nreturn mix(b, a, h) - 0.3*h*(1.0 - h);",
     lambda x, y, z: (lambda a, b: (lambda h: b*(1 - h) + a*h - 0.3*h*(1 - h))(clamp(0.5 + 0.5*(b - a)/0.3, 0, 1)))(norm(x - 0.5, y, z) - 0.6, norm(x + 0.5, y, z) - 0.6),
     "vec-p,helper-line,clamp,mix", why="a smooth union of two balls")
code("d67-glsl-twist", "glsl", "float c = cos(2.0*p.y), s = sin(2.0*p.y);\nvec2 q = mat2(c, -s, s, c)*p.xz;\nreturn max(abs(q.x), abs(q.y)) - 0.5;",
     lambda x, y, z: max(abs(cos(2*y)*x + sin(2*y)*z), abs(-sin(2*y)*x + cos(2*y)*z)) - 0.5, "vec-p,matrix,helper-line", why="columns of a mat2 come first", may_reject=True)
code("d68-glsl-cylinder", "glsl", "max(length(p.xy) - 0.5, abs(p.z) - 1.0)", lambda x, y, z: max(hypot(x, y) - 0.5, abs(z) - 1), "vec-p,swizzle,min-max")
code("d69-glsl-rgb", "glsl", "length(pos.xy) - 0.7 + 0.1*cos(6.0*atan(pos.y, pos.x)) + 0.2*pos.z", lambda x, y, z: hypot(x, y) - 0.7 + 0.1*cos(6*atan2(y, x)) + 0.2*z, "vec-p,swizzle,atan-two-arguments")
code("d70-glsl-p-star-p", "glsl", "vec3 q = p*p; return q.x*q.y + q.y*q.z + q.z*q.x - p.x*p.y*p.z;", lambda x, y, z: x*x*y*y + y*y*z*z + z*z*x*x - x*y*z, "vec-p,helper-line,return")
code("d71-glsl-dot-pp", "glsl", "dot(p, p) - 1.5 + 0.3*sin(5.*p.x)", lambda x, y, z: x*x + y*y + z*z - 1.5 + 0.3*sin(5*x), "vec-p,dot")
code("d72-glsl-cross", "glsl", "length(cross(p, normalize(vec3(1.0, 1.0, 1.0)))) - 0.4", lambda x, y, z: norm(y - z, z - x, x - y)/sqrt(3) - 0.4, "vec-p,cross,normalize")
code("d73-hlsl", "glsl", "float3 q = float3(p.x, p.y - 0.5, p.z); return length(q) - saturate(p.y);", lambda x, y, z: norm(x, y - 0.5, z) - clamp(y, 0, 1), "vec-p,other-vector-names", may_reject=True)

# Julia, matrix languages, sheets, statistics.
code("d74-julia-short", "julia", "f(x,y,z) = sin(x)cos(y) + sin(y)cos(z) + sin(z)cos(x)", gyroid, "f-of-xyz,implicit-mul")
code("d75-julia-dots", "julia", "@. sin(x)*cos(y) + 2x^2 - z", lambda x, y, z: sin(x)*cos(y) + 2*x*x - z, "macro,implicit-mul", may_reject=True)
code("d76-julia-arrow", "julia", "(x, y, z) -> x^4 + y^4 + z^4 - 2(x^2 + y^2 + z^2) + π/2", lambda x, y, z: x**4 + y**4 + z**4 - 2*(x*x + y*y + z*z) + pi/2, "fn-wrapper,implicit-mul")
code("d77-julia-function", "julia", "function f(x, y, z)\n    r = hypot(x, y)\n    return (r - 2)^2 + z^2 - 0.3\nend", lambda x, y, z: (hypot(x, y) - 2)**2 + z*z - 0.3, "fn-wrapper,helper-line")
code("d78-matlab-anonymous", "matlab", "f = @(x,y,z) x.^4 + y.^4 + z.^4 - (x.^2 + y.^2 + z.^2).^2 + 3*(x.^2+y.^2+z.^2) - 3;",
     lambda x, y, z: x**4 + y**4 + z**4 - (x*x + y*y + z*z)**2 + 3*(x*x + y*y + z*z) - 3, "dot-ops,fn-wrapper,semicolon")
code("d79-matlab-comment", "matlab", "F = cos(X).*sin(Y) + cos(Y).*sin(Z) + cos(Z).*sin(X); % gyroid", lambda x, y, z: cos(x)*sin(y) + cos(y)*sin(z) + cos(z)*sin(x), "dot-ops,comment,caps-xyz")
code("d80-matlab-ellipsis", "matlab", "f = x.^2 + y.^2 ...\n    - z.^2./4 - 1;", lambda x, y, z: x*x + y*y - z*z/4 - 1, "dot-ops,line-break")
code("d81-matlab-isosurface", "matlab", "[x,y,z] = meshgrid(-2:0.05:2);\nv = (x.^2 + 9/4*y.^2 + z.^2 - 1).^3 - x.^2.*z.^3 - 9/80*y.^2.*z.^3;\nisosurface(x,y,z,v,0)",
     lambda x, y, z: (x**2 + 9/4*y**2 + z**2 - 1)**3 - x**2*z**3 - 9/80*y**2*z**3, "dot-ops,grid-line,plot-line", may_reject=True)
code("d82-sheet-power", "spreadsheet", "=POWER(x,2)+POWER(y,2)-EXP(-z)", lambda x, y, z: x*x + y*y - exp(-z), "lead-equals,caps-fn")
code("d83-sheet-pi", "spreadsheet", "=SIN(2*PI()*x)+COS(2*PI()*y)-LN(z)", lambda x, y, z: sin(2*pi*x) + cos(2*pi*y) - log(z), "lead-equals,caps-fn,pi-call", points=OCTANT)
code("d84-sheet-max", "spreadsheet", "=MAX(ABS(x),ABS(y),ABS(z))-MIN(x;1)", lambda x, y, z: max(abs(x), abs(y), abs(z)) - min(x, 1), "lead-equals,caps-fn,semicolon-arguments")
code("d85-sheet-if", "spreadsheet", "=IF(z>0,x^2+y^2+z^2-1,x^2+y^2-1)", lambda x, y, z: x*x + y*y + z*z - 1 if z > 0 else x*x + y*y - 1, "lead-equals,choice")
code("d86-r-function", "r", "f <- function(x, y, z) sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)", gyroid, "fn-wrapper,arrow-assign")
code("d87-r-backslash", "r", "f <- \\(x, y, z) x^2 + y^2 - exp(z)", lambda x, y, z: x*x + y*y - exp(z), "fn-wrapper,arrow-assign", may_reject=True)
code("d88-lisp", "lisp", "(- (+ (* x x) (* y y)) (* z z z))", lambda x, y, z: x*x + y*y - z**3, "prefix-notation", may_reject=True)
code("d89-square-calls", "mixed", "Cos[x] Sin[y] + Cos[y] Sin[z] + Cos[z] Sin[x] == 0", lambda x, y, z: cos(x)*sin(y) + cos(y)*sin(z) + cos(z)*sin(x), "square-call,double-equal-sign", rel="=")
code("d90-square-calls-wrapped", "mixed", "f[x_, y_, z_] := Sqrt[x^2 + y^2] + Abs[z]^3 - Pi/3", lambda x, y, z: hypot(x, y) + abs(z)**3 - pi/3, "square-call,colon-equals,pattern-names")
code("d91-square-contour", "mixed", "ContourPlot3D[x^4 + y^4 + z^4 - (x^2 + y^2 + z^2) == 0, {x, -2, 2}, {y, -2, 2}, {z, -2, 2}]", lambda x, y, z: x**4 + y**4 + z**4 - (x*x + y*y + z*z),
     "square-call,plot-call", rel="=", may_reject=True)
code("d92-ray-tracer", "scene", "function { pow(x,2) + pow(y,2) - pow(z,2)*(1 - z) }", lambda x, y, z: x*x + y*y - z*z*(1 - z), "fn-wrapper,braces")
code("d93-lua", "lua", "return math.sin(x)^2 + math.cos(y)^2 - z -- wave", lambda x, y, z: sin(x)**2 + cos(y)**2 - z, "prefix,return,comment")
code("d94-swift", "c", "let d: Float = sqrt(x*x + y*y) - 0.5 - 0.25*z", lambda x, y, z: hypot(x, y) - 0.5 - 0.25*z, "typed-assign")
code("d95-go", "go", "f := math.Sin(x)*math.Cos(y) + math.Pow(z, 2)", lambda x, y, z: sin(x)*cos(y) + z*z, "prefix,colon-equals,caps-fn")
