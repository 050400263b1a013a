//! Minimal surfaces against closed forms.

//! Tests of surfaces from complex functions against closed forms.

use std::f64::consts::TAU;

use super::*;
use crate::formula::Binary;

fn z() -> Expr {
    Expr::var("z")
}

fn power(n: f64) -> Expr {
    Expr::binary(Binary::Pow, z(), Expr::constant(n))
}

fn data(g: Expr, dh: Expr, u: (f64, f64)) -> Data {
    Data { g, dh, chart: Chart::Polar, ranges: [u, (0.0, TAU)], bend: 0.0, open: false }
}

fn places(data: &Data) -> Tape {
    let Surface::Param { components, .. } = weierstrass(data).unwrap() else { panic!() };
    let mut all = components.to_vec();
    for name in ["u", "v"] {
        all.extend(components.iter().map(|c| c.derivative(name)));
    }
    // Eight at most: x, y, z by u and v are what is asked for.
    Tape::with_inputs(&all[..8], &["u", "v"]).unwrap()
}

fn at(tape: &Tape, u: f64, v: f64) -> [f64; 8] {
    let mut out = [0.0; 8];
    tape.at(&[u, v], &mut out);
    out
}

/// Data of Enneper's surface: g = z, dh = z dz. Source: A. Enneper (1864); the closed form.
#[test]
fn enneper_from_its_data() {
    let tape = places(&data(z(), z(), (0.0, 1.2)));
    for k in 0..50 {
        let (r, t) = (0.024 * f64::from(k), 0.37 + 0.11 * f64::from(k));
        let out = at(&tape, r, t);
        let (u, v) = (r * t.cos(), r * t.sin());
        let exact = [u - u.powi(3) / 3.0 + u * v * v, -(v - v.powi(3) / 3.0 + v * u * u), u * u - v * v];
        for i in 0..3 {
            assert!((out[i] - 0.5 * exact[i]).abs() < 1e-9, "{k} {i}: {} {}", out[i], exact[i]);
        }
    }
}

/// g = z, dh = dz/z: the catenoid; bent by 90 degrees the helicoid, which does not close.
#[test]
fn the_catenoid_closes_and_the_helicoid_does_not() {
    let mut catenoid = data(z(), Expr::constant(1.0) / z(), (0.25, 4.0));
    let tape = places(&catenoid);
    let start = at(&tape, 0.25, 0.0);
    for (r, t) in [(0.3, 1.0), (1.0, 2.0), (3.3, 5.0)] {
        let out = at(&tape, r, t);
        let height = out[2] + 0.25f64.ln();
        let centre = start[0] + 0.5 * (4.0 + 0.25);
        let radius = (out[0] - centre).hypot(out[1]);
        assert!((radius - height.cosh()).abs() < 1e-9, "{r} {t}: {radius} {}", height.cosh());
    }
    catenoid.bend = 90.0;
    let told = weierstrass(&catenoid).unwrap_err().to_string();
    assert!(told.contains("comes home shifted by [0.0000, 0.0000, -6.2832]"), "{told}");
    catenoid.open = true;
    assert!(weierstrass(&catenoid).is_ok());
}

/// Area of the three-ended surface of Jorge and Meeks over |z| ≤ ½: 0.2080829175, with f = (z³ - 1)⁻², g = z².
/// Source: L. Jorge, W. Meeks, Topology 22 (1983) 203; check by quadrature of ¼|f|²(1 + |g|²)².
#[test]
fn the_trinoid_has_its_area_and_closes_round_its_ends() {
    let f = Expr::binary(Binary::Pow, power(3.0) - 1.0, Expr::constant(-2.0));
    let whole = data(power(2.0), f.clone() * power(2.0), (0.0, 0.5));
    let area = area(&whole);
    assert!((area - 0.208_082_917_5).abs() < 1e-9, "{area}");
    // The ends lie on the unit circle; the loops round them close.
    weierstrass(&data(power(2.0), f * power(2.0), (0.0, 1.6))).unwrap();
}

/// Two catenoid ends at i and -i, through which the ways home in the middle of u lead: round them all periods
/// are imaginary.
#[test]
fn ends_in_the_middle_of_the_way_home_are_passed_by() {
    let dh = z() / ((z() * z() + 1.0) * (z() * z() + 1.0));
    weierstrass(&data(z(), dh, (0.0, 2.0))).unwrap();
    // Near 0 a ring of this one is shorter than rounding.
    weierstrass(&data(power(2.0), power(8.0), (0.0, 1.2))).unwrap();
    let nothing = weierstrass(&data(z(), Expr::constant(0.0), (0.3, 2.0))).unwrap_err().to_string();
    assert!(nothing.contains("is 0 everywhere"), "{nothing}");
}

#[test]
fn a_pole_with_a_period_is_told() {
    // One simple pole at z = 1, with a real period round it.
    let i = Expr::var("i");
    let dh = i / (z() - 1.0);
    let told = weierstrass(&data(Expr::constant(1.0) + z() * 0.0 + 1.0, dh, (0.0, 2.0))).unwrap_err();
    assert!(told.to_string().contains("does not close"), "{told}");
    let nothing = data(z(), Expr::unary(Unary::Abs, z()), (0.0, 1.0));
    assert!(weierstrass(&nothing).unwrap_err().to_string().contains("complex"));
    assert!(weierstrass(&data(z(), z(), (1.0, 1.0))).is_err());
}

/// Mean curvature times size, measured on a net by cotangent weights, away from the border.
#[test]
fn mean_curvature_vanishes() {
    let f = Expr::binary(Binary::Pow, power(3.0) - 1.0, Expr::constant(-2.0));
    for (name, data) in [
        ("enneper", data(z(), z(), (0.2, 1.0))),
        ("catenoid", data(z(), Expr::constant(1.0) / z(), (0.4, 2.5))),
        ("trinoid", data(power(2.0), f * power(2.0), (0.1, 0.7))),
        ("richmond", data(power(2.0), Expr::constant(1.0), (0.5, 1.2))),
    ] {
        let tape = places(&data);
        let place = |i: i64, j: i64| {
            let (a, b) = data.ranges[0];
            let out = at(&tape, a + (b - a) * i as f64 / 400.0, TAU * j as f64 / 1600.0);
            Vec3::new(out[0], out[1], out[2])
        };
        let wide = (0..=8).flat_map(|i| (0..8).map(move |j| (i, j))).map(|(i, j)| place(i * 50, j * 200));
        let size = Box3::around(wide).size().largest();
        let mut most = 0.0f64;
        for k in 0..60 {
            let (i, j) = (12 + (k * 61) % 376, (k * 397) % 1600);
            let bend = bend(&|a, b| place(i + a, j + b));
            most = most.max(bend * size);
        }
        assert!(most < 1e-3, "{name}: {most}");
    }
    // The measure sees what is not minimal: a ball of radius 2 has mean curvature ½.
    let ball = |i: i64, j: i64| {
        let (a, b) = (0.4 + 0.002 * i as f64, 0.002 * j as f64);
        Vec3::new(a.cos() * b.cos(), a.cos() * b.sin(), a.sin()) * 2.0
    };
    assert!((bend(&ball) - 0.5).abs() < 1e-3);
}

/// Mean curvature at the middle of four neighbours, by cotangent weights.
fn bend(place: &dyn Fn(i64, i64) -> Vec3) -> f64 {
    let p = place(0, 0);
    let ring = [place(1, 0), place(0, 1), place(-1, 0), place(0, -1)];
    let cot = |a: Vec3, o: Vec3, b: Vec3| (a - o).dot(b - o) / (a - o).cross(b - o).norm();
    let (mut pull, mut area, mut normal) = (Vec3::ZERO, 0.0, Vec3::ZERO);
    for n in 0..4 {
        let (before, q, after) = (ring[(n + 3) % 4], ring[n], ring[(n + 1) % 4]);
        pull += (p - q) * (0.5 * (cot(p, before, q) + cot(p, after, q)));
        let across = (q - p).cross(after - p);
        // Lines of the grid are square to one another: half of each triangle is nearest to its right angle.
        area += 0.25 * across.norm();
        normal += across;
    }
    pull.dot(normal.unit().unwrap()).abs() / (2.0 * area)
}

/// The area over a ring of the plane, by Gauss's rule in the radius and the trapezoid rule round.
fn area(data: &Data) -> f64 {
    let tape = places(data);
    let ((from, to), n, m) = (data.ranges[0], 24, 64);
    let h = (to - from) / f64::from(n);
    let mut sum = 0.0;
    for k in 0..n {
        for (x, w) in GAUSS {
            let r = from + h * (f64::from(k) + 0.5 + 0.5 * x);
            for j in 0..m {
                let out = at(&tape, r, TAU * f64::from(j) / f64::from(m));
                // Conformal: the area element is the square of the rate by u, times r.
                let rate = out[3].powi(2) + out[4].powi(2) + out[5].powi(2);
                sum += 0.5 * w * h * r * rate * TAU / f64::from(m);
            }
        }
    }
    sum
}

/// Areas in closed form, or by quadrature of the classical formulas.
/// Source: A. Gray, Modern Differential Geometry (1998); J. C. C. Nitsche, Lectures on Minimal Surfaces (1989).
#[test]
fn areas_of_classical_surfaces() {
    let k = Expr::constant;
    for (name, data, wanted) in [
        ("Enneper, r ≤ 1", data(z(), z() * 2.0, (0.0, 1.0)), 7.330_382_858),
        ("Enneper, r ≤ 2", data(z(), z() * 2.0, (0.0, 2.0)), 129.852_496),
        // z is the root of the classical parameter, so that once round is twice round there.
        ("Bour", data(z(), power(2.0) * 4.0, (0.0, 1.0)), 17.0 * std::f64::consts::PI / 3.0),
        ("Richmond", data(power(2.0), k(1.0), (0.5, 1.0)), 3.792_000_508),
        ("catenoid, |z| ≤ 1", data(z(), k(1.0) / z(), (libm::exp(-1.0), libm::exp(1.0))), 17.677_303_320),
        ("catenoid, |z| ≤ ½", data(z(), k(1.0) / z(), (libm::exp(-0.5), libm::exp(0.5))), 6.833_596_090),
    ] {
        let found = area(&data);
        assert!((found - wanted).abs() < 1e-8 * wanted.abs(), "{name}: {found}, wanted {wanted}");
    }
}

/// The total curvature over |z| ≤ r, by Gauss and Bonnet: the border of a disc of the plane with the metric λ|dz| has the
/// geodesic curvature (1 + r ∂ ln λ/∂r) dθ, so that ∫K = -∮ r ∂ ln λ/∂r dθ.
fn total_curvature(data: &Data, r: f64) -> f64 {
    let tape = places(data);
    let (m, h) = (256, 1e-3 * r);
    let stretch = |r: f64, t: f64| {
        let out = at(&tape, r, t);
        0.5 * (out[3].powi(2) + out[4].powi(2) + out[5].powi(2)).ln()
    };
    let growth = |t: f64| {
        let by = |h: f64| (stretch(r + h, t) - stretch(r - h, t)) / (2.0 * h);
        // The error of both falls with the square of the step.
        (4.0 * by(h) - by(2.0 * h)) / 3.0
    };
    (0..m).map(|j| -r * growth(TAU * f64::from(j) / f64::from(m)) * TAU / f64::from(m)).sum()
}

/// The patch |z| ≤ ½ of the surface of Jorge and Meeks with three ends: -1.4783965429, by quadrature of the metric (L. Jorge,
/// W. Meeks, Topology 22 (1983) 203). Enneper's disc: -4πr²/(1 + r²) (R. Osserman, A Survey of Minimal Surfaces (1986)).
#[test]
fn patches_have_their_total_curvature() {
    let f = Expr::binary(Binary::Pow, power(3.0) - 1.0, Expr::constant(-2.0));
    let trinoid = total_curvature(&data(power(2.0), f * power(2.0), (0.0, 0.6)), 0.5);
    assert!((trinoid + 1.478_396_542_9).abs() < 1e-7, "{trinoid}");
    for r in [0.4f64, 0.8] {
        let found = total_curvature(&data(z(), z() * 2.0, (0.0, 1.0)), r);
        let wanted = -2.0 * TAU * r * r / (1.0 + r * r);
        assert!((found - wanted).abs() < 1e-7, "{r}: {found}, wanted {wanted}");
    }
}
