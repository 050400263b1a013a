//! Steps of code, names that code declares, ranges with steps, bars, differences and damaged signs of pasted texts, against
//! values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, said};
use super::tests_habits::{limits, relation};
use crate::formula::{FaultClass, Relation, read};

fn refused(text: &str, class: FaultClass) {
    let fault = super::tests::refused(text);
    assert_eq!(fault.class, class, "{text}: {fault}");
    assert!(!fault.hint.is_empty(), "{text}");
}

/// A place of a surface.
fn places_are(text: &str, at: [f64; 2], want: [f64; 3]) {
    let got = reading(text).at(&at, &[]).unwrap_or_else(|f| panic!("{text}: {f}"));
    assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12), "{text}: {got:?} for {want:?}");
}

#[test]
fn names_that_code_declares_are_no_points() {
    let [x, y, z] = AT;
    let folded = x.abs() + 2.0 * y.abs() - z.abs();
    for declared in [
        "let q = abs(p);",
        "var q: vec3<f32> = abs(p);",
        "let q: vec3f = abs(p);",
        "vec3 q(abs(p));",
        "vec3 q{abs(p)};",
        "Vec3f q = abs(p);",
        "Point q = abs(p);",
        "local q = abs(p);",
        "let q = vec3<f32>(abs(p.x), abs(p.y), abs(p.z));",
    ] {
        let text = format!("{declared} return q.x + 2.0*q.y - q.z;");
        all_are(&[(text.as_str(), folded)]);
    }
    let block =
        "fn map(p: vec3<f32>) -> f32 { let q = abs(p) - vec3<f32>(0.5); return max(q.x, max(q.y, q.z)); }";
    all_are(&[
        (block, (x.abs() - 0.5).max(y.abs() - 0.5).max(z.abs() - 0.5)),
        ("p = abs(p); q = p; return q.x + 2.0*q.y - q.z;", folded),
        (
            "auto f = [&](vec3 p) { float a = length(p); return a - 1.f; };",
            (x * x + y * y + z * z).sqrt() - 1.0,
        ),
    ]);
}

#[test]
fn steps_are_carried_out() {
    let [x, y, z] = AT;
    let def = |body: &str| format!("def f(x,y,z):\n    {}\n", body.replace("; ", "\n    "));
    for (body, want) in [
        ("r = np.hypot(x,y); r **= 2; return r - z", x * x + y * y - z),
        ("a = x; a //= 0.5; return a + y - z", (x / 0.5).floor() + y - z),
        ("a = x; a %= 0.5; return a + y - z", x - 0.5 * (x / 0.5).floor() + y - z),
        ("a = x; a /= 2; a **= 2; return a + y - z", x * x / 4.0 + y - z),
        ("x **= 2; return x + y - z", x * x + y - z),
        ("y, x = x, y; return x**2 + y - z", y * y + x - z),
        ("a, b = x + 1, y - 1; a, b = b, a; return a*2 + b - z", 2.0 * (y - 1.0) + x + 1.0 - z),
        ("x, y = abs(x), abs(y); return x + y - z", x.abs() + y.abs() - z),
    ] {
        all_are(&[(def(body).as_str(), want)]);
    }
    all_are(&[
        ("float a = x; a++; return a*y - z;", (x + 1.0) * y - z),
        ("float a = x; ++a; --a; a--; return a*y - z;", (x - 1.0) * y - z),
        ("float a, b; a = b = x + 1.0; return a*b - z;", (x + 1.0) * (x + 1.0) - z),
        ("float map(vec3 p){ p.x = p.y = 0.5; return p.x*p.y*p.z; }", 0.25 * z),
        ("a = b = 2\nx**a + y**b - z", x * x + y * y - z),
    ]);
}

#[test]
fn what_is_not_carried_out_is_refused() {
    for text in [
        "float map(vec3 p){ foo(p); return length(p) - 1.0; }",
        "p.rotate(0.5); return length(p.xy) - p.z + p.x;",
        "def f(x,y,z):\n    np.abs(x, out=x)\n    return x + y",
        "def f(x,y,z):\n    x <<= 1\n    return x + y",
        "def f(x,y,z):\n    return x + y - z\n    return x",
        "float a = x; float b = a++; return a + b - z;",
        "float a = 1.0; { float a = 5.0; } return a*p.x;",
    ] {
        refused(text, FaultClass::Unsupported);
    }
}

#[test]
fn ranges_with_steps_are_counted_by_them() {
    let [x, _, z] = AT;
    let sum = |all: &[i32]| z - all.iter().map(|k| f64::from(*k) * x).sum::<f64>();
    all_are(&[
        ("z - sum(k*x for k in range(0, 6, 2))", sum(&[0, 2, 4])),
        ("z - np.sum([k*x for k in range(1, 6, 2)])", sum(&[1, 3, 5])),
        ("z - sum(k*x for k in range(2, 4, 6))", sum(&[2])),
        ("z - sum(k*x for k in range(3, 0, -1))", sum(&[3, 2, 1])),
        ("z = Sum[k x, {k, 1, 5, 2}]", sum(&[1, 3, 5])),
        ("z = Sum[k x, {k, 3}]", sum(&[1, 2, 3])),
        ("z - math.prod(x - k for k in (1, 2))", z - (x - 1.0) * (x - 2.0)),
        ("z - max(k*x for k in (1, 2, 3))", z - (x).max(2.0 * x).max(3.0 * x)),
        ("sum(c**4 for c in (x, y, z)) - 1", AT.iter().map(|c| c.powi(4)).sum::<f64>() - 1.0),
    ]);
    refused("z - sum(k*x for k in range(0, n, 2))", FaultClass::Unsupported);
    refused("z - max(k*x for k in range(n))", FaultClass::Unsupported);
}

#[test]
fn commas_between_arguments_are_no_decimal_ones() {
    let [x, y, z] = AT;
    let tent = z - (1.0 - x.abs()).max(0.0);
    all_are(&[
        ("z=\\max\\left(0,1-|x|\\right)", tent),
        ("z=\\max\\{0,1-|x|\\}", tent),
        ("z = max (0,1-|x|)", tent),
        ("z=\\operatorname{max}(0,1-|x|)", tent),
        ("z=\\mathrm{max}(0,1-|x|)", tent),
        ("z=\\min\\left\\{1,2x\\right\\}", z - (2.0 * x).min(1.0)),
        ("z = 0,5x + y", z - 0.5 * x - y),
    ]);
    points_are("(t, 0,1)", 0.7, [0.7, 0.0, 1.0]);
}

#[test]
fn numbers_of_equations_and_lists_of_ends_are_no_factors() {
    let [x, y, z] = AT;
    all_are(&[("x^2 + y^2 - z   (3)", x * x + y * y - z), ("sin(x)cos(y)   (2.1)", x.sin() * y.cos())]);
    said("x^2 + y^2 - z   (3)", "the equation's number");
    let t = 0.7f64;
    points_are("(cos t, sin t, t)    (2.4)", t, [t.cos(), t.sin(), t]);
    points_are("(cos t, sin t, t) {t, 0, 10}", t, [t.cos(), t.sin(), t]);
    places_are("(u,v,uv) {u,0,1} {v,0,2}", [0.7, 0.3], [0.7, 0.3, 0.21]);
}

#[test]
fn ranges_of_solids_are_kept() {
    let [x, y, z] = AT;
    let wedge = (-x).max(x - 1.0).max(-z).max(z - x * y);
    all_are(&[
        ("x∈[0,1], 0<z<xy", wedge),
        ("0<z<xy, x∈[0,1]", wedge),
        ("x ∈ [0,1], y ∈ [0,1], z ∈ [0,1]", AT.iter().map(|c| (-c).max(c - 1.0)).fold(f64::MIN, f64::max)),
        ("x: 0 to 1, y: 0 to 1, 0 < z < 1", AT.iter().map(|c| (-c).max(c - 1.0)).fold(f64::MIN, f64::max)),
    ]);
    let (r, around) = (x.hypot(y), y.atan2(x));
    let whole = (x * x + y * y + z * z).sqrt();
    let down = x.hypot(y).atan2(z);
    let pi = std::f64::consts::PI;
    let ring = (1.0 - r).max(r - 2.0);
    all_are(&[
        ("1<r<2, 0<θ<π/2", ring.max(-around).max(around - pi / 2.0)),
        ("1<r<2, 0<θ<2π", ring),
        ("1≤ρ≤2, 0≤φ≤π/4, 0≤θ≤2π", (1.0 - whole).max(whole - 2.0).max(-down).max(down - pi / 4.0)),
        ("1≤r≤2, 0≤φ≤π/4, 0≤θ≤2π", (1.0 - whole).max(whole - 2.0).max(-down).max(down - pi / 4.0)),
        ("ρ<1, 0<φ<π/4", (whole - 1.0).max(-down).max(down - pi / 4.0)),
    ]);
    let turned = (around - pi + pi).rem_euclid(2.0 * pi) - pi;
    all_are(&[("1<r<2, π/2<θ<3π/2", ring.max(turned.abs() - pi / 2.0))]);
}

#[test]
fn backslashes_are_mended() {
    let [x, y, z] = AT;
    all_are(&[
        ("\\\\frac{x}{2} + y = z", x / 2.0 + y - z),
        ("z = \\\\cos x \\\\cdot \\\\sin y", z - x.cos() * y.sin()),
        ("frac{x}{2} + y = z", x / 2.0 + y - z),
        ("z = x\\*\\*2", z - x * x),
        ("z = \\[x + y\\]^2", z - (x + y) * (x + y)),
        ("z = \\-x + y", z + x - y),
        ("x\\_1^2 + x\\_2^2 = x\\_3", x * x + y * y - z),
        ("We get\n\\[ x + y = z \\]", x + y - z),
    ]);
}

#[test]
fn differences_of_solids_take_away() {
    let [x, y, z] = AT;
    let (ball, half) = (x * x + y * y + z * z - 1.0, -z);
    all_are(&[
        ("x²+y²+z²<1 \\ z<0", ball.max(half)),
        ("{x²+y²+z²<1} ∖ {z<0}", ball.max(half)),
        ("x^2+y^2+z^2<1 minus z<0", ball.max(half)),
        ("x^2+y^2+z^2<1 \\land \\lnot(z<0)", ball.max(half)),
        ("\\begin{cases}x^2+y^2+z^2\\le 1\\\\ z\\ge 0\\end{cases}", ball.max(half)),
        ("0 < x minus y < 1", (y - x).max(x - y - 1.0)),
    ]);
    assert_eq!(relation("0 < x minus y < 1"), Relation::Between);
}

#[test]
fn bars_may_stand_in_one_another() {
    let [x, y, z] = AT;
    all_are(&[
        ("|2|x|-1| = z", (2.0 * x.abs() - 1.0).abs() - z),
        ("|2|x|-|y|| = |z|", (2.0 * x.abs() - y.abs()).abs() - z.abs()),
        ("|y-2|x|| = z", (y - 2.0 * x.abs()).abs() - z),
        ("|x|y|z| = 1", x.abs() * y * z.abs() - 1.0),
    ]);
    said("|2|x|-1| = z", "one inside the other");
    refused("x^2 + |y = z|", FaultClass::Unexpected);
}

#[test]
fn values_beat_functions_in_glued_words() {
    let [x, y, z] = AT;
    all_are(&[
        ("z=asinx+bcosy where a=2, b=3", z - 2.0 * x.sin() - 3.0 * y.cos()),
        ("z = asin(x)", z - x.asin()),
        ("x.clamp(-0.5, 0.5) + y.fract() - z.sin()", x - 0.7 - z.sin()),
    ]);
    let t = 0.7f64;
    points_are("(cost, sint, sin2t)", t, [t.cos(), t.sin(), (2.0 * t).sin()]);
    let (u, v) = (0.7f64, 0.3f64);
    places_are("x=sinucosv,y=sinusinv,z=cosu", [u, v], [u.sin() * v.cos(), u.sin() * v.sin(), u.cos()]);
    points_are("r(t)=(r cos t, r sin t, t), r=2", t, [2.0 * t.cos(), 2.0 * t.sin(), t]);
    points_are("(x, y, z) = (1, 0, 2) + t (1, 1, -1)", t, [1.0 + t, t, 2.0 - t]);
    points_are("r(t) = (\\cos t, \\sin t, t)^T", t, [t.cos(), t.sin(), t]);
}

#[test]
fn layouts_of_pages_are_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("[tex]x^2+y^2=\\frac{z}{2}[/tex]", x * x + y * y - z / 2.0),
        ("\\begin{eqnarray*}z&=&x^2\\\\&&-y^2\\end{eqnarray*}", z - x * x + y * y),
        ("〖sin〗^2 x + 〖x+y〗^2 = z", x.sin().powi(2) + (x + y) * (x + y) - z),
        ("x∧2 + y∧2 = z", x * x + y * y - z),
        ("x↑2 + y = z", x * x + y - z),
        ("\\sum_{i=1}^{3} x_i^4 = 1", AT.iter().map(|c| c.powi(4)).sum::<f64>() - 1.0),
        ("f = sin(x)*cos(y) ...\n  + sin(y)*cos(z)", x.sin() * y.cos() + y.sin() * z.cos()),
        ("x^2+y^2=R z\nR: 1.5", x * x + y * y - 1.5 * z),
    ]);
    assert_eq!(limits("z = x² + y²\nx: [-1, 1]"), [("x".to_owned(), -1.0, 1.0)]);
}

#[test]
fn parameters_may_be_given_new_values() {
    let (t, turn) = (0.31f64, std::f64::consts::TAU);
    let ring = [(turn * t).cos(), (turn * t).sin(), turn * t];
    for text in [
        "def f(t):\n    t = 2*np.pi*t\n    return np.cos(t), np.sin(t), t",
        "def f(t):\n    t = 2*t\n    t *= np.pi\n    return [np.cos(t), np.sin(t), t]",
        "(t) => { t *= 2*Math.PI; return [Math.cos(t), Math.sin(t), t]; }",
        "(t) => { s = 2*Math.PI*t; return [Math.cos(s), Math.sin(s), s]; }",
    ] {
        points_are(text, t, ring);
    }
    let [u, v] = [0.7f64, 0.3f64];
    let moved = "def f(u, v):\n    u = 2*u\n    v = v - u\n    return np.cos(u), np.sin(u), v";
    places_are(moved, [u, v], [(2.0 * u).cos(), (2.0 * u).sin(), v - 2.0 * u]);
    let bare = "def catenoid(u, v, c=2.0):\n    return c*np.cosh(v/c)*np.cos(u), c*np.cosh(v/c)*np.sin(u), v";
    let wide = 2.0 * (v / 2.0).cosh();
    places_are(bare, [u, v], [wide * u.cos(), wide * u.sin(), v]);
}

#[test]
fn numbers_beside_a_point_are_parameters() {
    for text in [
        "float f(vec3 p, float s, float k) { return length(p)*k - s; }",
        "fn f(p: vec3<f32>, k: f32, s: f32) -> f32 { return length(p)*k - s; }",
        "def f(p, k, s): return k*np.linalg.norm(p) - s",
    ] {
        let mut free = reading(text).free;
        free.sort();
        assert_eq!(free, ["k", "s"], "{text}");
    }
    let [x, y, z] = AT;
    let square = x * x + y * y + z * z;
    all_are(&[
        ("\\|\\mathbf{x}\\|^2 = 1 + 0.2\\sin(5x)", square - 1.0 - 0.2 * (5.0 * x).sin()),
        ("|\\mathbf{r}|^2 = 1 + z", square - 1.0 - z),
        ("fn map(p: vec3f) -> f32 { return length(p - vec3f(0.2, 0.1, 0.0)) - 0.5; }", {
            ((x - 0.2).powi(2) + (y - 0.1).powi(2) + z * z).sqrt() - 0.5
        }),
    ]);
    assert_eq!(reading("z = λ sin x").free, ["lambda"]);
}

/// Long runs of signs are read or refused soon, and without a panic.
#[test]
fn long_runs_of_signs_end() {
    for c in ["|", "\\", "\\\\cos", "{", "〖", "a++;", "x,y=", "\\[", "|x", "a=", "∧2", "x minus "] {
        drop(read(&format!("{} x**2", c.repeat(200_000 / c.len()))));
    }
}
