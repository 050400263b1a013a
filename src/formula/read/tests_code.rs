//! Code that gives coordinates new values, runs over a parameter or names what is known, against values worked out by hand.

use super::read_with;
use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::ranges;
use crate::formula::Kind;

#[test]
fn coordinates_may_be_given_new_values() {
    let [x, y, z] = AT;
    let ball = |a: f64, b: f64, c: f64| a * a + b * b + c * c - 1.0;
    let twice = ball(2.0 * x, 2.0 * y, 2.0 * z);
    all_are(&[
        ("x, y, z = 2*x, 2*y, 2*z\nf = x**2 + y**2 + z**2 - 1", twice),
        ("x = 2*x\ny = 2*y\nz = 2*z\nf = x**2 + y**2 + z**2 - 1", twice),
        ("x *= 2\ny *= 2\nz *= 2\nd = x**2 + y**2 + z**2 - 1", twice),
        ("k = 2; x *= k; y *= k; z *= k\nval = x^2 + y^2 + z^2 - 1", twice),
        ("x = 2x, y = 2y, z = 2z\nx^2 + y^2 + z^2 = 1", twice),
        ("X = 2*X\nY = 2*Y\nZ = 2*Z\nF = X**2 + Y**2 + Z**2 - 1", twice),
        ("x, y, z = abs(x), abs(y), abs(z)\nf = x + y + z - 1", x.abs() + y.abs() + z.abs() - 1.0),
        ("x = x/2; f = xy + z^2 - 1", x * y / 2.0 + z * z - 1.0),
        ("x = x + y\ny = y + x\nf = x*y - z**2", (x + y) * (x + 2.0 * y) - z * z),
        ("x = 2*x\ny = 2*y\nf = x**2 + y**2\nz = 2*z", 4.0 * x * x + 4.0 * y * y),
        ("x = np.abs(x)\nz = np.sin(x) + y", z - x.abs().sin() - y),
        ("x = np.sin(x)", x - x.sin()),
    ]);
    said("x = x/2; f = xy + z^2 - 1", "x is given a new value");
}

#[test]
fn coordinates_may_be_exchanged() {
    let [x, y, z] = AT;
    let (c, s) = (0.5f64.cos(), 0.5f64.sin());
    let turned = (x * c - y * s).powi(2) + 2.0 * (x * s + y * c) - z;
    all_are(&[
        ("x, y = y, x\nf = x**2 + 2*y - z", y * y + 2.0 * x - z),
        ("x, y, z = y, z, x\nx^2 + 2y + 3z = 1", y * y + 2.0 * z + 3.0 * x - 1.0),
        ("a = 0.5\nx, y = x*np.cos(a) - y*np.sin(a), x*np.sin(a) + y*np.cos(a)\nf = x**2 + 2*y - z", turned),
        (
            "a = 0.5\nb = x*cos(a) - y*sin(a)\nc = x*sin(a) + y*cos(a)\nx = b\ny = c\nf = x**2 + 2*y - z",
            turned,
        ),
    ]);
}

#[test]
fn components_may_be_given_new_values() {
    let t: f64 = 0.4;
    let want = [t.cos() * (1.0 + t), t.sin() * (1.0 + t), t];
    for text in [
        "x = np.cos(t)\ny = np.sin(t)\nz = t\nx = x*(1+z)\ny = y*(1+z)",
        "x = cos(t)\ny = sin(t)\nz = t\nx = x(1+z)\ny = y(1+z)",
        "x = np.cos(t); y = np.sin(t); z = t\nx, y = x*(1+z), y*(1+z)",
    ] {
        points_are(text, t, want);
    }
}

#[test]
fn heights_and_names_may_be_worked_out_in_steps() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = x**2 + y**2\nz = 2*z", z - 2.0 * (x * x + y * y)),
        ("z = np.sin(x)\nz += np.cos(y)", z - x.sin() - y.cos()),
        ("z = np.sin(x)\nz = z + np.cos(y)\nz = z*0.5", z - 0.5 * (x.sin() + y.cos())),
        ("f = x^2 + y^2\nf = f + z^2 - 1", x * x + y * y + z * z - 1.0),
        ("r = x^2 + y^2; r = sqrt(r); r - z = 0", x.hypot(y) - z),
        ("a, b = x, y\na, b = b, a + b\n2a + b = z", 3.0 * y + x - z),
        ("float x = p.x; x = abs(x); float d = x + p.y - p.z;", x.abs() + y - z),
    ]);
    assert!(refused("s=0; for k=1:3, s = s + sin(k*x)/k; end; s - z").what.starts_with("for: loops"));
}

#[test]
fn equations_that_hold_a_coordinate_twice_stay() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = r*z\nr = sqrt(x^2+y^2)", z - x.hypot(y) * z),
        ("z = x*y*z + c\nc = 0.5", z - x * y * z - 0.5),
        ("z = z^2 - x y, y > 0", z - z * z + x * y),
    ]);
    assert!(refused("x = 2*x\ny = y**2\nz = 2*z").what.contains("no formula uses it"));
}

/// The value of a field, with values for some of its names.
fn value_with(text: &str, lets: &[(&str, f64)]) -> f64 {
    let lets: Vec<(String, f64)> = lets.iter().map(|(n, v)| ((*n).to_owned(), *v)).collect();
    let r = read_with(text, &lets).unwrap_or_else(|f| panic!("{text}: {f}"));
    assert!(r.free.is_empty(), "{text}: {:?}", r.free);
    r.at(&AT, &[]).unwrap()[0]
}

#[test]
fn vectors_beside_the_point_may_be_given() {
    let [x, y, z] = AT;
    let ring = "float sdTorus(vec3 p, vec2 t)\n{\n  vec2 q = vec2(length(p.xz)-t.x,p.y);\n  return length(q)-t.y;\n}";
    let want = (x.hypot(z) - 1.0).hypot(y) - 0.25;
    assert!((value_with(ring, &[("t_x", 1.0), ("t_y", 0.25)]) - want).abs() < 1e-12);
    assert_eq!(reading(ring).free, ["t_x", "t_y"]);
    for text in [
        format!("vec2 t = vec2(1.0, 0.25);\n{ring}"),
        format!("{ring}\nt = vec2(1.0, 0.25)"),
        format!("t_x = 1\nt_y = 0.25\n{ring}"),
    ] {
        all_are(&[(text.as_str(), want)]);
    }
    let plane = "float f(vec3 p, vec3 n, float h) { return dot(p,n) + h; }";
    let lets = [("n_x", 0.6), ("n_y", 0.0), ("n_z", 0.8), ("h", 0.1)];
    assert!((value_with(plane, &lets) - (0.6 * x + 0.8 * z + 0.1)).abs() < 1e-12);
    let cube = "def f(p, b):\n    q = np.abs(p) - b\n    return max(q[0], max(q[1], q[2]))";
    assert!((value_with(cube, &[("b", 0.5)]) - (z - 0.5)).abs() < 1e-12);
}

#[test]
fn functions_of_modules_may_have_names() {
    let [x, y, z] = AT;
    let want = x.sin() * y.cos() - z;
    all_are(&[
        ("const { sin, cos } = Math;\nconst f = (x, y, z) => sin(x) * cos(y) - z;", want),
        ("const { sin: s, cos } = Math;\nconst f = (x, y, z) => s(x) * cos(y) - z;", want),
        ("const sin = Math.sin, cos = Math.cos;\nfunction f(x, y, z) { return sin(x)*cos(y) - z; }", want),
        ("s = np.sin; c = np.cos\nf = s(x)*c(y) - z", want),
    ]);
}

#[test]
fn a_point_may_be_handed_back_by_a_call() {
    let (u, v): (f64, f64) = (0.4, 0.7);
    let want = [u.cos() * v, u.sin() * v, v * v];
    for text in [
        "function (u, v, target) {\n  const x = Math.cos(u)*v, y = Math.sin(u)*v;\n  target.set(x, y, v*v);\n}",
        "(u, v, out) => { out.set(Math.cos(u)*v, Math.sin(u)*v, v*v); }",
    ] {
        let r = reading(text);
        assert!(matches!(r.kind, Kind::Surface { .. }), "{text}");
        let got = r.at(&[u, v], &[]).unwrap();
        assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12), "{text}: {got:?}");
    }
}

#[test]
fn arguments_may_have_values() {
    let [x, y, z] = AT;
    let g = |a: f64, k: f64| a * k;
    all_are(&[
        (
            "def g(a, k=0.2):\n    return a*k\ndef f(x,y,z):\n    return g(x) + g(y, 3) + g(z, k=0.5)",
            g(x, 0.2) + g(y, 3.0) + g(z, 0.5),
        ),
        (
            "def g(a, k=0.2):\n    return a*k\ndef f(x,y,z,c=3):\n    return g(x) + c*y - z",
            0.2 * x + 3.0 * y - z,
        ),
        (
            "float g(float a, float k = 0.2) { return a*k; }\nfloat map(vec3 p) { return g(p.x) - p.y; }",
            0.2 * x - y,
        ),
    ]);
}

#[test]
fn terms_over_a_list_of_tuples_are_written_out() {
    let [x, y, z] = AT;
    let near = |a: f64, b: f64, c: f64| (x - a).powi(2) + (y - b).powi(2) + (z - c).powi(2);
    let both = 1.0 / near(0.5, 0.0, 0.0) + 1.0 / near(-0.5, 0.0, 0.2) - 4.0;
    let term = "1/((x-a)**2 + (y-b)**2 + (z-c)**2)";
    let list = "[(0.5, 0, 0), (-0.5, 0, 0.2)]";
    for text in [
        format!("centers = {list}\nf = sum({term} for a, b, c in centers) - 4"),
        format!("def f(x, y, z):\n    balls = {list}\n    return sum([{term} for (a, b, c) in balls]) - 4"),
        format!("f = sum({term} for a, b, c in {list}) - 4"),
    ] {
        all_are(&[(text.as_str(), both)]);
    }
    let least = "d = min((x-a)**2 + (y-b)**2 + z**2 - r for a, b, r in [(0, 0, 1), (1, 1, 2)])";
    all_are(&[(least, (near(0.0, 0.0, 0.0) - 1.0).min(near(1.0, 1.0, 0.0) - 2.0))]);
}

#[test]
fn loops_over_a_parameter_are_curves_and_surfaces() {
    let t: f64 = 0.4;
    let want = [t.cos(), t.sin(), t / 5.0];
    for text in [
        "for t in np.linspace(0, 6, 200):\n    x = np.cos(t)\n    y = np.sin(t)\n    z = t/5",
        "for (let t = 0; t < 6; t += 0.01) {\n  const x = Math.cos(t);\n  const y = Math.sin(t);\n  const z = t/5;\n}",
        "xs, ys, zs = [], [], []\nfor t in np.linspace(0, 6, 200):\n    xs.append(np.cos(t))\n    ys.append(np.sin(t))\n    zs.append(t/5)",
        "const p = [];\nfor (let t = 0; t < 6; t += 0.1) {\n  p.push(new THREE.Vector3(Math.cos(t), Math.sin(t), t/5));\n}",
    ] {
        points_are(text, t, want);
        assert_eq!(ranges(&reading(text)), [("t".to_owned(), Some((0.0, 6.0)))], "{text}");
        said(text, "the loop read as the range of t");
    }
    let ball = reading(
        "for u in np.linspace(0, 1, 30):\n    r = np.sin(u)\n    for v in np.linspace(0, 2, 60):\n        x = r*np.cos(v)\n        y = r*np.sin(v)\n        z = np.cos(u)",
    );
    assert_eq!(ranges(&ball), [("u".to_owned(), Some((0.0, 1.0))), ("v".to_owned(), Some((0.0, 2.0)))]);
}

#[test]
fn loops_over_a_parameter_that_do_more_are_refused() {
    for text in [
        "s = 0\nfor t in np.linspace(0, 1, 20):\n    s += np.sin(t*x)\nf = s - z",
        "for t in np.linspace(0, 1, 20):\n    if t > 0.5:\n        x = t\n    y = t\n    z = t",
        "x = 0\nfor t in np.linspace(0, 1, 20):\n    x = x + t\n    y = t\n    z = t",
    ] {
        assert!(refused(text).what.starts_with("for: loops"), "{text}");
    }
}

#[test]
fn remainders_are_those_of_the_language() {
    let [x, y, z] = AT.map(|v| -v);
    let turned = |text: &str| text.replace('x', "(-x)").replace('y', "(-y)").replace('z', "(-z)");
    let c_like = [
        ("return x % 2 > -0.3 ? y : z;", if x % 2.0 > -0.3 { y } else { z }),
        ("return x % 0.3 + y - z;", x % 0.3 + y - z),
        ("var q = x % 0.3; return q*q + y - z;", (x % 0.3).powi(2) + y - z),
        ("function f(a, b, c) { return x % 0.3 - z }", x % 0.3 - z),
    ];
    for (text, want) in c_like {
        all_are(&[(turned(text).as_str(), want)]);
        said(&turned(text), "as in C");
    }
    let nearest = |v: f64, d: f64| v - d * (v / d).round();
    all_are(&[
        (turned("return x % 0.3 + y - z").as_str(), x.rem_euclid(0.3) + y - z),
        (turned("math.remainder(x, 0.7) + y - z").as_str(), nearest(x, 0.7) + y - z),
        (turned("np.remainder(x, 0.7) - z").as_str(), x.rem_euclid(0.7) - z),
        (turned("x.rem_euclid(0.7) + y.abs()").as_str(), x.rem_euclid(0.7) + y.abs()),
        (turned("x.rem_euclid(-0.7) + y.abs()").as_str(), x.rem_euclid(-0.7) + y.abs()),
        (turned("Math.IEEERemainder(x, 0.7) - z").as_str(), nearest(x, 0.7) - z),
        ("double f(double x, double y, double z) { return remainder(x, 0.7) + z; }", nearest(-x, 0.7) - z),
    ]);
    said("return x % 1 + y - z", "in C it keeps");
    said("function f(x,y,z)\n  return x % 1 + y - z\nend", "in C it keeps");
}

#[test]
fn functions_of_arrays_are_as_their_module_has_them() {
    let [x, y, z] = AT;
    let sinc = |v: f64| (std::f64::consts::PI * v).sin() / (std::f64::consts::PI * v);
    all_are(&[
        ("np.sinc(x)*np.cos(y) - z", sinc(x) * y.cos() - z),
        ("z = numpy.sinc(x) * np.sinc(y)", z - sinc(x) * sinc(y)),
        ("sinc(x) - z", x.sin() / x - z),
        ("np.heaviside(x, 0.5) * y - z", if x < 0.0 { -z } else { y - z }),
        ("np.minimum.reduce([x**2, y**2, z**2]) - 0.1", (x * x).min(y * y).min(z * z) - 0.1),
        ("np.maximum.reduce([x, y, z])", x.max(y).max(z)),
    ]);
    said("sinc(x) - z", "sin(x)/x");
    assert!(!refused("const q = p.clone(); return q.x - q.y;").hint.is_empty());
}
