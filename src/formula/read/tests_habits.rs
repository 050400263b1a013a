//! Habits of writing that once led to a wrong shape, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::{Reading, read_with};
use crate::formula::{Kind, Relation};

pub(super) fn relation(text: &str) -> Relation {
    match reading(text).kind {
        Kind::Field { relation, .. } => relation,
        _ => panic!("{text}: no field"),
    }
}

pub(super) fn limits(text: &str) -> Vec<(String, f64, f64)> {
    reading(text).limits
}

/// The ranges of a curve's or surface's parameters.
pub(super) fn ranges(r: &Reading) -> Vec<(String, Option<(f64, f64)>)> {
    match &r.kind {
        Kind::Curve { param, range, .. } => vec![(param.clone(), *range)],
        Kind::Surface { params, ranges, .. } => params.iter().cloned().zip(*ranges).collect(),
        Kind::Field { .. } => vec![],
    }
}

#[test]
fn a_choice_after_an_equals_sign_is_its_right_side() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = x > 0 ? y : x", z - y),
        ("z = (x < 0) ? y : x", z - x),
        ("z = x > 0 && y > 0 ? y : x", z - x),
        ("z = x^2 if x > 0 else y", z - x * x),
        ("x^2+y^2 = x > 0 ? 1 : 4", x * x + y * y - 1.0),
        ("x**2+y**2+z**2 < 1 if z > 0 else x**2+y**2 < 0.5", x * x + y * y + z * z - 1.0),
        ("x**2+y**2+z**2 < 1 if z < 0 else x**2+y**2 >= 0.5", 0.5 - x * x - y * y),
    ]);
    assert_eq!(relation("z = x > 0 ? y : x"), Relation::Equal);
    assert_eq!(relation("x**2 < 1 if z > 0 else y**2 < 0.5"), Relation::Less);
}

#[test]
fn only_one_vector_argument_is_the_point() {
    let torus = "float sdTorus(vec3 p, vec2 t){ vec2 q = vec2(length(p.xz)-t.x,p.y); return length(q)-t.y; }";
    assert_eq!(reading(torus).free, ["t_x", "t_y"]);
    said(torus, "t has no value");
    let ball = "float f(vec3 c, vec3 p){ return length(p - c) - 1.0; }";
    assert_eq!(reading(ball).free, ["c_x", "c_y", "c_z"]);
    let [x, y, _] = AT;
    let flat = "float f(vec2 p){ return length(p)-1.0; }";
    all_are(&[(flat, x.hypot(y) - 1.0)]);
    said(flat, "(x, y)");
}

#[test]
fn a_function_of_a_varying_name_ends_before_a_slash() {
    let [x, y, z] = AT;
    let r = x.hypot(y);
    all_are(&[
        ("sin r / r = z, r = sqrt(x^2+y^2)", r.sin() / r - z),
        ("sin r/r = z where r = sqrt(x^2+y^2)", r.sin() / r - z),
        ("sin a / a = z, a = x + 2", (x + 2.0).sin() / (x + 2.0) - z),
        ("z = cos r / (1 + r), r = √(x²+y²)", z - r.cos() / (1.0 + r)),
        ("sin x + sin 3x/3 + sin 5x/5 = z", x.sin() + (3.0 * x).sin() / 3.0 + (5.0 * x).sin() / 5.0 - z),
        ("sin 2x/3 = z", (2.0 * x / 3.0).sin() - z),
        ("sin 2πx/2 = z", (std::f64::consts::PI * x).sin() - z),
    ]);
    said("sin r / r = z, r = x + 1", "sin takes");
    said("sin 3x/3 = y", "sin takes");
}

#[test]
fn conditions_in_braces_are_limits() {
    let inf = f64::INFINITY;
    for (text, low, high) in [
        ("x^2+y^2=z^2 {0<z<2}", 0.0, 2.0),
        ("x^2+y^2=z^2{z>0}", 0.0, inf),
        (r"x^2+y^2=z^2\left\{0<z<2\right\}", 0.0, 2.0),
        ("r = 1+cos θ, z>0", 0.0, inf),
        ("f(x,y) = x^2 {z > 0}", 0.0, inf),
        ("r = 1 - sin θ, 0 ≤ z ≤ 1", 0.0, 1.0),
    ] {
        assert_eq!(limits(text), [("z".to_owned(), low, high)], "{text}");
    }
    let all = limits("cos x+cos y+cos z=0, -2 < x,y,z < 2");
    assert_eq!(all.len(), 3);
    assert!(all.iter().all(|(_, a, b)| (*a, *b) == (-2.0, 2.0)));
}

#[test]
fn ranges_of_what_a_shape_has_not_are_said() {
    said("x^2+y^2=z^2, 0<a<2", "the range of a was left out");
    said("x = cos t, y = sin t, z = t, t ≥ 0", "left out");
    for text in ["z = r cos(2θ), 0 ≤ r ≤ 1, 0 ≤ θ ≤ 6", "x = r cos θ, y = r sin θ, z = r², 0≤r≤1, 0≤θ≤6"]
    {
        let r = reading(text);
        let want = [("r".to_owned(), Some((0.0, 1.0))), ("theta".to_owned(), Some((0.0, 6.0)))];
        assert_eq!(ranges(&r), want, "{text}");
        assert_eq!(ranges(&reading(&r.normal)), want, "{}", r.normal);
    }
    let r = reading("z = r^2, 1<r<2");
    assert_eq!(ranges(&r)[0].1, Some((1.0, 2.0)));
    assert_eq!(r.at(&[1.5, 0.4], &[]).unwrap()[2], 2.25);
    let curve = reading("(cos t, sin t, t), t ≥ 0, t ≤ 5");
    assert_eq!(ranges(&curve), [("t".to_owned(), Some((0.0, 5.0)))]);
    let surface = reading("(cos u, sin u, v), |v|<1");
    assert_eq!(ranges(&surface)[1], ("v".to_owned(), Some((-1.0, 1.0))));
}

#[test]
fn numbers_of_equations_hold_no_formula() {
    let [x, y, z] = AT;
    let cone = x * x + y * y - z;
    all_are(&[
        ("(2.1)  x^2 + y^2 = z", cone),
        ("(3a) x^2 + y^2 = z", cone),
        ("x^2 + y^2 = z (2.1)", cone),
        ("x^2 + y^2 = z (*)", cone),
        ("(2.5) * x = z", 2.5 * x - z),
        (r"z=\bigl(x^2+y^2\bigr)\Bigl(1-x\Bigr)", z - (x * x + y * y) * (1.0 - x)),
        ("x^2 + y^2 = z (1-x)", x * x + y * y - z * (1.0 - x)),
    ]);
    said("(2.1)  x^2 + y^2 = z", "equation's number");
}

#[test]
fn odd_roots_are_real() {
    let [x, y, z] = AT;
    let two = |v: f64| v.cbrt().powi(2);
    all_are(&[
        ("x^{2/3}+y^{2/3}+z^{2/3}=1", two(x) + two(y) + two(z) - 1.0),
        ("y^(1/3) + x = z", y.cbrt() + x - z),
        (r"y^\frac{3}{5} + x = z", -(0.7f64.powf(0.6)) + x - z),
        ("y^(4/6) + x = z", two(y) + x - z),
        ("y^(-1/3) + x = z", 1.0 / y.cbrt() + x - z),
        ("y^(2/5) + x = z", 0.7f64.powf(0.4) + x - z),
        ("x^(1/2) + y = z", x.sqrt() + y - z),
    ]);
    said("y^(1/3) + x = z", "real root");
    assert!(reading("(x^2+y^2)^(1/3) = z").remarks.is_empty());
}

#[test]
fn values_given_twice_or_to_coordinates_are_said() {
    let [x, y, z] = AT;
    all_are(&[("a = 1, a = 2, x²+y² = a", x * x + y * y - 2.0)]);
    said("a = 1, a = 2, x²+y² = a", "several values");
    said("x^yz = 2", "the power takes only");
    let lets = [("x".to_owned(), 3.0), ("a".to_owned(), 2.0)];
    let r = read_with("x^2 + a y = z", &lets).unwrap();
    assert_eq!(r.at(&AT, &[]).unwrap(), [x * x + 2.0 * y - z]);
    assert!(r.remarks.iter().any(|m| m.what.contains("coordinates")));
}

#[test]
fn joined_conditions_keep_their_differences() {
    let [x, y, z] = AT;
    let (disc, slab) = (x * x + y * y - 1.0, z.abs() - 1.0);
    all_are(&[
        ("x^2+y^2<=1 and |z|<=1", disc.max(slab)),
        ("x^2+y^2<=1 && |z|<=1", disc.max(slab)),
        ("x^2+y^2<=1, |z|<=1", disc.max(slab)),
        ("x^2+y^2>=1 or |z|<=1", (-disc).min(slab)),
        ("x^2+y^2<=1 || z<=1", disc.min(z - 1.0)),
        ("x^2+y^2≤1 ∪ z≤1", disc.min(z - 1.0)),
        ("(x**2+y**2<1) | (z<0)", disc.min(z)),
        ("(x**2+y**2<1) & (z<0)", disc.max(z)),
        ("x^2+y^2 < 1, 0 < z < 1", disc.max((-z).max(z - 1.0))),
        ("x^2+y^2 < 1 or z < 0, y > 0", disc.min(z).max(-y)),
        ("2 || (x,y,z) || = 1", 2.0 * (disc + 1.0 + z * z).sqrt() - 1.0),
    ]);
    for text in ["x^2+y^2 = 1 || z = 0", "x^2 + y^2 = 1 or z < 0"] {
        assert!(refused(text).what.contains("no solid"), "{text}");
    }
}

#[test]
fn labels_and_definitions_of_the_same_function_are_one_formula() {
    let [x, y, z] = AT;
    let cone = x * x + y * y - z * z;
    all_are(&[
        ("z = f(x,y) = x^2 - y^2", z - x * x + y * y),
        ("P(x,y,z) = 0, P = x^2+y^2-z^2", cone),
        ("f(x,y,z) = 0 where f(x,y,z) = x^2+y^2-z^2", cone),
    ]);
    assert!(reading("f(x,y,z) = 0 where f(x,y,z) = x^2+y^2-z^2").remarks.is_empty());
    let [down, around] = [x.hypot(y).atan2(z), y.atan2(x)];
    let radius = (x * x + y * y + z * z).sqrt();
    let bumps = 1.0 + 0.2 * (5.0 * down).sin() * (4.0 * around).sin();
    all_are(&[("r(θ,φ) = 1 + 0.2 sin(5θ) sin(4φ)", radius - bumps)]);
}

#[test]
fn remarks_and_faults_stand_at_their_place() {
    let r = reading("x^2 + a y^2 = z");
    assert_eq!(r.remarks[0].at, 6..7);
    for text in ["r = 1 + cos θ, 0 < θ < 1, x > y", "r = 2, 0 < θ < 1, x + y < 1"] {
        let f = refused(text);
        assert!(f.what.contains("not carried out") && f.hint.contains('&'), "{}", f.what);
    }
}

#[test]
fn statements_side_by_side_are_parted() {
    let t: f64 = 0.4;
    points_are(
        "x, y, z = np.cos(t), np.sin(2*t), np.sin(3*t)",
        t,
        [t.cos(), (2.0 * t).sin(), (3.0 * t).sin()],
    );
    points_are("x=cos(t) y=sin(t) z=t", t, [t.cos(), t.sin(), t]);
    points_are("(a cos t, b sin t, c t) a=1 b=2 c=3", t, [t.cos(), 2.0 * t.sin(), 3.0 * t]);
    let curve = reading("(t cos t, t sin t, t^2) 0 ≤ t ≤ 6");
    assert_eq!(ranges(&curve), [("t".to_owned(), Some((0.0, 6.0)))]);
    let surface = reading("u in [0,6], v in [0,3]: (cos u sin v, sin u sin v, cos v)");
    assert_eq!(ranges(&surface)[1], ("v".to_owned(), Some((0.0, 3.0))));
    let [x, y, z] = AT;
    all_are(&[
        ("with a = 2: x^2 + a y^2 = z", x * x + 2.0 * y * y - z),
        ("a=2 b=3\nx^2 + a y^2 = b z", x * x + 2.0 * y * y - 3.0 * z),
        ("(x - x0)^2 + y^2 = z, x0 = 0.5", (x - 0.5).powi(2) + y * y - z),
        ("a_1x^2 + y = z, a_1 = 2", 2.0 * x * x + y - z),
    ]);
    let want = [("x".to_owned(), -2.0, 2.0), ("y".to_owned(), -1.0, 1.0)];
    let tex = r"z=x^{2}-y^{2}\qquad -2\leq x\leq2,\ -1\leq y\leq 1";
    for text in ["z = x^2-y^2 on [-2,2]×[-1,1]", tex] {
        assert_eq!(limits(text), want, "{text}");
    }
    refused("x = 2 y = 3 z");
    refused("x=2 y=3 z");
    refused("x^2 + y = 4, x2 = 4");
}

#[test]
fn code_with_lists_defaults_and_cases_is_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("def f(x, y, z, a=2): return x*a+y*z", 2.0 * x + y * z),
        ("p[0]**2 + p[1]**2 - p[2]", x * x + y * y - z),
        ("lambda v: v[0]**2+v[1]**2-v[2]", x * x + y * y - z),
        ("Piecewise((x**2, x<0), (y, True)) - z", y - z),
        ("z = {x^2 if x<0, y otherwise", z - y),
        ("z = {x^2 if x>0, y otherwise}", z - x * x),
    ]);
    assert!(refused("(int)x + y").what.contains("type"));
}

#[test]
fn a_radius_beside_a_height_is_a_cylinder() {
    let inf = f64::INFINITY;
    let [x, y, z] = AT;
    let (axis, whole) = (x.hypot(y), (x * x + y * y + z * z).sqrt());
    for (text, value, low, high) in [
        ("r=2, 0<z<1", axis - 2.0, 0.0, 1.0),
        ("0<z<1, r=2", axis - 2.0, 0.0, 1.0),
        ("r = 2; z>0", axis - 2.0, 0.0, inf),
        ("r = 1 + z^2, -1<=z<=1", axis - 1.0 - z * z, -1.0, 1.0),
        ("r=1+z^2, |z|<1", axis - 1.0 - z * z, -1.0, 1.0),
        ("r = a, a=3, 0<z<1", axis - 3.0, 0.0, 1.0),
        ("r^2+z^2=1, z>0", axis * axis + z * z - 1.0, 0.0, inf),
        ("rho=1, z>0", whole - 1.0, 0.0, inf),
        ("r = 2 + z, 0 ≤ θ ≤ 2π, 0≤z≤3", axis - 2.0 - z, 0.0, 3.0),
    ] {
        all_are(&[(text, value)]);
        assert_eq!(limits(text), [("z".to_owned(), low, high)], "{text}");
    }
    all_are(&[
        ("r<=2, 0<=z<=1", (axis - 2.0).max((-z).max(z - 1.0))),
        ("r<2, z>0", (axis - 2.0).max(-z)),
        ("1<r<2, 0<z<1", (1.0 - axis).max(axis - 2.0).max((-z).max(z - 1.0))),
    ]);
    for text in ["x^2 + y^2 = 1, z between 0 and 2", "cylinder x^2 + y^2 = 1 between z = 0 and z = 2"] {
        assert_eq!(limits(text), [("z".to_owned(), 0.0, 2.0)], "{text}");
    }
    points_are("r = 2, z = θ/3", 0.6, [2.0 * 0.6f64.cos(), 2.0 * 0.6f64.sin(), 0.2]);
    points_are("r = 2, 0 ≤ θ ≤ 2π", 0.4, [2.0 * 0.4f64.cos(), 2.0 * 0.4f64.sin(), 0.0]);
    assert!(refused("φ = π/6, 0≤ρ≤2").what.contains("two formulas"));
    let ball = reading("x²+y²+z² ≤ r², r>0");
    assert_eq!(ball.free, ["r"]);
    assert!(refused("r=2, z=1").what.contains("two formulas"));
}

#[test]
fn ranges_of_angles_cut_a_piece_of_a_surface() {
    let (pi, tau) = (std::f64::consts::PI, std::f64::consts::TAU);
    let half = reading(r"\rho = 2, 0 \le \theta \le \pi");
    let want = [("phi".to_owned(), Some((0.0, pi))), ("theta".to_owned(), Some((0.0, pi)))];
    assert_eq!(ranges(&half), want);
    let (down, around): (f64, f64) = (0.7, 0.3);
    let at = half.at(&[down, around], &[]).unwrap();
    let on = [2.0 * down.sin() * around.cos(), 2.0 * down.sin() * around.sin(), 2.0 * down.cos()];
    assert!(at.iter().zip(on).all(|(a, b)| (a - b).abs() < 1e-12));
    let cup = reading("r = 1 + z, 0≤θ≤π, 0≤z≤1");
    assert_eq!(ranges(&cup)[0], ("theta".to_owned(), Some((0.0, pi))));
    let at = cup.at(&[around, 0.5], &[]).unwrap();
    assert!((at[0] - 1.5 * around.cos()).abs() < 1e-12 && at[2] == 0.5);
    // The ranges say which angle is measured from the axis.
    let turned = reading("r = 1 + 0.2 sin(5θ), 0≤θ≤2π, 0≤φ≤π");
    let want = [("phi".to_owned(), Some((0.0, pi))), ("theta".to_owned(), Some((0.0, tau)))];
    assert_eq!(ranges(&turned), want);
    assert_eq!(relation("r = 1 + 0.2 sin(5θ) sin(4φ), 0≤θ≤π, 0≤φ≤2π"), Relation::Equal);
}

#[test]
fn of_several_functions_the_one_that_joins_them_is_the_shape() {
    let [x, y, z] = AT;
    let ball = (x * x + y * y + z * z).sqrt() - 1.0;
    let sphere = "float sdSphere(vec3 p, float r){ return length(p)-r; }";
    let map = "float map(vec3 p){ return min(sdSphere(p,1.0), p.y+1.0); }";
    let normal = "vec3 calcNormal(vec3 p){ return normalize(vec3(map(p+vec3(.1,0.,0.))-map(p), 0., 0.)); }";
    let [first, last] = [format!("{map} {sphere}"), format!("{sphere}\n{map}")];
    let lit = format!("{sphere}\n{map}\n{normal}");
    let twist = "mat2 rot(float a){ float c=cos(a), s=sin(a); return mat2(c,-s,s,c); }\nfloat map(vec3 p){ p.xz *= rot(p.y); return p.x; }";
    all_are(&[
        (&first, ball.min(y + 1.0)),
        (&last, ball.min(y + 1.0)),
        (&lit, ball.min(y + 1.0)),
        ("def f(x,y,z):\n    return g(x,y)-z\ndef g(x,y):\n    return x*y\n", x * y - z),
        ("const f = (x,y,z) => sq(x)+sq(y)-z; const sq = x => x*x;", x * x + y * y - z),
        (twist, x * y.cos() - z * y.sin()),
    ]);
    said(&lit, "calcNormal is not used by map");
    let parts = format!("{sphere}\nfloat sdPlane(vec3 p, float h){{ return p.y-h; }}");
    assert!(refused(&parts).what.contains("several functions"));
}

#[test]
fn commands_that_draw_are_taken_off() {
    let [x, y, z] = AT;
    let box_of = |a: f64| ["x", "y"].map(|n| (n.to_owned(), -a, a));
    all_are(&[
        ("draw(x^2-y^2, x=-1..1, y=-1..1)", z - x * x + y * y),
        ("show(x^2+y^2=z, x=-1..1, y=-1..1, color=red)", x * x + y * y - z),
        ("draw(@(x,y,z) x.^2+y.^2-z)", x * x + y * y - z),
        ("Draw[Cos[x] + y z == 0, {x, -1, 1}, {y, -1, 1}]", x.cos() + y * z),
        ("f[x_, y_, z_] := x^2 + y^2 - z", x * x + y * y - z),
    ]);
    said("draw(x^2-y^2, x=-1..1, y=-1..1)", "height");
    assert_eq!(limits("draw(x^2-y^2, x=-1..1, y=-1..1)"), box_of(1.0));
    assert_eq!(limits("Draw[Cos[x] + y z == 0, {x, -1, 1}, {y, -1, 1}]"), box_of(1.0));
    for text in ["{Cos[u], Sin[u], u/3}, {u, 0, 6}", "Draw[{Cos[u], Sin[u], u/3}, {u, 0, 6}]"] {
        assert_eq!(ranges(&reading(text)), [("u".to_owned(), Some((0.0, 6.0)))], "{text}");
    }
}

#[test]
fn components_without_brackets_or_in_braces_are_one_curve() {
    let t: f64 = 0.4;
    let helix = [t.cos(), t.sin(), t / 4.0];
    for text in [
        "r(t) = cos t, sin t, t/4",
        "r(t)=<cos t, sin t, t/4>, 0<=t<=4pi",
        "{x=cos t, y=sin t, z=t/4}",
        "x(t)=cos t;y(t)=sin t;z(t)=t/4;t:[0,4π]",
        "r(t) = cos t î + sin t ĵ + t/4 k̂",
        "γ : [0, 4π] → ℝ³, γ(t) = (cos t, sin t, t/4)",
        "X(t) = [cos t; sin t; t/4]",
        "new THREE.Vector3(Math.cos(t), Math.sin(t), t/4)",
    ] {
        points_are(text, t, helix);
    }
    let turns = [("t".to_owned(), Some((0.0, 4.0 * std::f64::consts::PI)))];
    for text in ["x(t)=cos t;y(t)=sin t;z(t)=t;t:[0,4π]", "γ : [0, 4π] → ℝ³, γ(t) = (cos t, sin t, t)"]
    {
        assert_eq!(ranges(&reading(text)), turns, "{text}");
    }
    let sheet = reading("x(u,v) = u\ny(u,v) = v\nz(u,v) = u v\nu: 0..2, v: 0..1");
    assert_eq!(ranges(&sheet)[0], ("u".to_owned(), Some((0.0, 2.0))));
    let grid = "u, v = np.mgrid[0:2:9j, 0:1:9j]\nx = np.outer(u, np.ones(9))\ny = v\nz = u*v";
    assert_eq!(ranges(&reading(grid)), ranges(&sheet));
}

#[test]
fn sets_of_points_are_their_conditions() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z - 1.0;
    all_are(&[
        (r"\{(x,y,z)\in\mathbb{R}^3 : x^2+y^2+z^2 \le 1\}", ball),
        ("S = {(x, y, z) | x^2 + y^2 + z^2 = 1}", ball),
        ("{(x,y,z) ∈ ℝ³ : x² + y² + z² ≤ 1, z ≥ 0}", ball.max(-z)),
        ("x² + y² ≤ 1 & z ≥ 0", (x * x + y * y - 1.0).max(-z)),
        ("f: R^2 -> R, f(x,y) = x^2 - y^2", z - x * x + y * y),
        ("f(x,y) = x² − y², f: R² → R", z - x * x + y * y),
    ]);
}

#[test]
fn names_take_values_in_every_writing() {
    let [x, y, z] = AT;
    let r = x.hypot(y);
    all_are(&[
        ("x^2/a + y^2/b = z, (a,b) = (1,2)", x * x + y * y / 2.0 - z),
        ("x^2/a + y^2/b = z c where a=b=1 and c=2", x * x + y * y - 2.0 * z),
        ("z = sin(r)/r where r² = x²+y²", z - r.sin() / r),
        ("rho^2 = z^3 - z where rho^2 = x^2 + y^2", r * r - z * z * z + z),
        ("|x|^power + |y|^power = z, power = 8", x.powi(8) + y.powi(8) - z),
        ("#define PI 3.0\nfloat f(vec3 p) { return sin(PI*p.x) + p.y + p.z; }", (3.0 * x).sin() + y + z),
    ]);
    said("z = sin(r)/r where r² = x²+y²", "positive root");
}

#[test]
fn words_of_speech_and_two_signs_are_no_formula() {
    let [x, y, z] = AT;
    let bowl = x * x + y * y - z;
    all_are(&[
        ("Hey, can someone plot (x^2 + y^2) = z ?", bowl),
        ("Can you make a shape from x^2 + y^2 = z?", bowl),
        ("I don't know how to plot x^2 + y^2 = z", bowl),
        ("here's the code:\n```python\ndef f(x, y, z):\n    return x**2 + y**2 - z\n```", bowl),
        ("x^2 + y^2 = z (x from -1 to 1, y from -1 to 1)", bowl),
        ("Let S be the surface x^2 + y^2 = z.", bowl),
    ]);
    assert!(reading("Can you make a shape from x^2 + y^2 = z?").free.is_empty());
    for text in ["z=+-sqrt(1-x^2-y^2)", "z = +/- sqrt(1-x^2)"] {
        assert!(refused(text).what.contains("two formulas"), "{text}");
    }
    assert!(refused(r"\begin{aligned}x(u,v)&=\cos u\\y(u,v)&=\dots\end{aligned}").what.contains("dots"));
}

#[test]
fn lists_of_code_are_components() {
    let t: f64 = 0.4;
    let helix = [t.cos(), t.sin(), t / 4.0];
    for text in [
        "{ x: Math.cos(t), y: Math.sin(t), z: t/4 }",
        "(t) => ({ x: Math.cos(t), y: Math.sin(t), z: t/4 })",
        "x: Math.cos(t), y: Math.sin(t), z: t/4",
        "points = [(cos(t), sin(t), t/4) for t in np.linspace(0, 10, 100)]",
    ] {
        points_are(text, t, helix);
    }
    let r = reading("points = [(cos(t), sin(t), t) for t in np.linspace(0, 10, 100)]");
    assert_eq!(ranges(&r), [("t".to_owned(), Some((0.0, 10.0)))]);
    let [x, y, z] = AT;
    let bowl = x * x + y * y - z;
    all_are(&[
        ("static float F(float x, float y, float z) => x*x + y*y - z;", bowl),
        ("f := (x, y, z) -> x^2 + y^2 - z:", bowl),
        ("syms x y z\nf = x^2 + y^2 - z;\ndraw(f,[-3 3])", bowl),
        ("x, y, z = symbols('x y z')\neq = x**2 + y**2 - z", bowl),
        (
            "#define R(a) mat2(cos(a),0.0,0.0,1.0)\nfloat map(vec3 p){ p.xy *= R(p.z); return p.x; }",
            x * z.cos(),
        ),
    ]);
}

#[test]
fn a_vector_at_each_point_is_no_surface() {
    let [x, y, z] = AT;
    let map = "vec2 map(vec3 p){ return vec2(length(p)-1.0, 2.0); }";
    all_are(&[(map, (x * x + y * y + z * z).sqrt() - 1.0)]);
    said(map, "first component");
    for text in ["vec3 f(vec3 p){ return p*2.0; }", "(x + z, y, x y)"] {
        assert!(refused(text).what.contains("vector at each point"), "{text}");
    }
}
