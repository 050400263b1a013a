//! Forms against closed forms, and the framing of every formula of the list.

use ogee::base::{Tolerance, Unwatched, Vec3};
use ogee::form::{
    Bounded, Form, FrameAsk, Solid, ball, block, cone, difference, frame, intersection, repeat, ring, rod,
    scale, shift, turn, twist, union,
};
use ogee::formula::read;
use ogee::realise;
use ogee::value::Value;
use ogee::{Ogee, formula::Expr, formula::Tape};

/// Volume of the mesh at a tolerance of a hundredth, mm³.
fn volume(s: &Solid) -> f64 {
    let tolerance = Tolerance::new(0.01).unwrap();
    realise::solid(s, tolerance, &Unwatched).unwrap().mesh.volume()
}

/// A boundary that is off by at most e changes a volume by at most e times its area; these are all of some 50 mm²
/// and a volume of some 30 mm³.
fn agree(name: &str, got: f64, exact: f64) {
    assert!((got - exact).abs() < 0.01 * exact, "{name}: {got} for {exact}");
}

#[test]
fn volumes_of_primitives() {
    let pi = std::f64::consts::PI;
    agree("ball", volume(&ball(2.0).unwrap()), 4.0 / 3.0 * pi * 8.0);
    agree("block", volume(&block(Vec3::new(2.0, 3.0, 4.0)).unwrap()), 24.0);
    agree("rod", volume(&rod(1.5, 4.0).unwrap()), pi * 2.25 * 4.0);
    // A frustum: π h (a² + ab + b²) / 3.
    agree("cone", volume(&cone(2.0, 1.0, 3.0).unwrap()), pi * 3.0 * 7.0 / 3.0);
    agree("point", volume(&cone(2.0, 0.0, 3.0).unwrap()), pi * 4.0);
    agree("ring", volume(&ring(2.0, 0.7).unwrap()), 2.0 * pi * pi * 2.0 * 0.49);
}

#[test]
fn volumes_of_sets_and_motions() {
    let pi = std::f64::consts::PI;
    // Two unit balls with centres 1 apart share a lens of 5π/12.
    let a = ball(1.0).unwrap();
    let b = shift(&a, Vec3::new(1.0, 0.0, 0.0)).unwrap();
    agree("lens", volume(&intersection(&a, &b).unwrap()), 5.0 * pi / 12.0);
    agree("union", volume(&union(&a, &b).unwrap()), 8.0 * pi / 3.0 - 5.0 * pi / 12.0);
    agree("difference", volume(&difference(&a, &b).unwrap()), 4.0 * pi / 3.0 - 5.0 * pi / 12.0);
    // Steinmetz: two cylinders of radius 1 that cross share 16/3.
    let bar = rod(1.0, 3.0).unwrap();
    let across = turn(&bar, Vec3::new(1.0, 0.0, 0.0), 90.0).unwrap();
    agree("Steinmetz", volume(&intersection(&bar, &across).unwrap()), 16.0 / 3.0);
    agree("scaled", volume(&scale(&a, Vec3::new(1.0, 2.0, 3.0)).unwrap()), 8.0 * pi);
    // Twisting keeps volume.
    agree("twisted", volume(&twist(&block(Vec3::new(2.0, 2.0, 3.0)).unwrap(), 20.0).unwrap()), 12.0);
    let row = repeat(&ball(0.8).unwrap(), Vec3::splat(2.0), [Some(3), Some(2), Some(1)]).unwrap();
    agree("repeated", volume(&row), 6.0 * 4.0 / 3.0 * pi * 0.512);
    // Copies that overlap are one solid: each lens is counted once.
    let chain = repeat(&a, Vec3::splat(1.5), [Some(3), Some(1), Some(1)]).unwrap();
    // The lens of unit balls at distance d: π (4 + d)(2 - d)² / 12.
    let lens = pi * 5.5 * 0.25 / 12.0;
    agree("chain", volume(&chain), 4.0 * pi - 2.0 * lens);
}

/// Every formula of the list gets a solid of 60 mm, and its script holds its text, unless its heights were changed.
#[test]
fn every_formula_of_the_list_is_framed() {
    for line in include_str!("data/framed.jsonl").lines() {
        let entry: serde_json::Value = serde_json::from_str(line).unwrap();
        let name = entry["name"].as_str().unwrap();
        let reading = read(entry["formula"].as_str().unwrap()).unwrap_or_else(|f| panic!("{name}: {f}"));
        let framed = frame(&reading, &FrameAsk::default()).unwrap_or_else(|f| panic!("{name}: {f}"));
        let Form::Solid(_) = &framed.form else { panic!("{name}: no solid") };
        let changed = framed.said.iter().any(|s| s.contains("divided by") || s.contains("multiplied by"));
        assert!(changed || framed.script.contains(&reading.normal), "{name}: {}", framed.script);
        assert!(!framed.said.is_empty(), "{name}");
        // Boxes are found by bounds, loose by up to a thousandth. A wall's own box is only known to be no larger than
        // its surface's, grown; flush cuts take it off again.
        let bare = framed.bare.as_ref().unwrap_or(&framed.form);
        let longest = bare.bounds().unwrap_or_else(|f| panic!("{name}: {f}")).size().largest();
        assert!((55.9..60.06).contains(&longest), "{name}: {longest}");
    }
}

/// Three components in two parameters, as a script gives them.
struct Drawn {
    /// For each component: value, slopes by u and v, second slopes by uu, uv, vv.
    tapes: Vec<Tape>,
    ranges: [(f64, f64); 2],
}

impl Drawn {
    fn of(call: &str) -> Self {
        let script = format!("import \"minimal\" as minimal; {call}");
        let Value::Surface(surface) = Ogee::new().run(&script).unwrap().value else { panic!("{call}") };
        let ogee::form::Sheet::Param { components, params: [u, v], ranges, .. } = surface.sheet() else {
            panic!("{call}")
        };
        let all = |c: &Expr| {
            let (a, b) = (c.derivative(&u), c.derivative(&v));
            let parts =
                [c.clone(), a.clone(), b.clone(), a.derivative(&u), a.derivative(&v), b.derivative(&v)];
            Tape::with_inputs(&parts, &[&u, &v]).unwrap()
        };
        Self { tapes: components.iter().map(all).collect(), ranges }
    }

    fn at(&self, u: f64, v: f64) -> [Vec3; 6] {
        let rows: Vec<[f64; 6]> = self
            .tapes
            .iter()
            .map(|t| {
                let mut out = [0.0; 6];
                t.at(&[u, v], &mut out);
                out
            })
            .collect();
        [0, 1, 2, 3, 4, 5].map(|k| Vec3::new(rows[0][k], rows[1][k], rows[2][k]))
    }

    /// By the three-point Gauss rule on `n` by `n` patches.
    fn area(&self, n: u32) -> f64 {
        let w = 0.6f64.sqrt();
        let rule = [(-w, 5.0 / 18.0), (0.0, 8.0 / 18.0), (w, 5.0 / 18.0)];
        let [(u0, u1), (v0, v1)] = self.ranges;
        let (du, dv) = ((u1 - u0) / f64::from(n), (v1 - v0) / f64::from(n));
        let mut total = 0.0;
        for i in 0..n {
            for j in 0..n {
                for (a, wa) in rule {
                    for (b, wb) in rule {
                        let u = u0 + (f64::from(i) + 0.5 + 0.5 * a) * du;
                        let v = v0 + (f64::from(j) + 0.5 + 0.5 * b) * dv;
                        let [_, by_u, by_v, ..] = self.at(u, v);
                        total += wa * wb * by_u.cross(by_v).norm() * du * dv;
                    }
                }
            }
        }
        total
    }

    /// The integral of the Gaussian curvature over ranges of the parameters, by midpoints, which do well where it is
    /// periodic.
    fn total_curvature(&self, ranges: [(f64, f64); 2], n: u32) -> f64 {
        let [(u0, u1), (v0, v1)] = ranges;
        let (du, dv) = ((u1 - u0) / f64::from(n), (v1 - v0) / f64::from(n));
        let one = |i: u32, j: u32| {
            let [_, a, b, uu, uv, vv] =
                self.at(u0 + (f64::from(i) + 0.5) * du, v0 + (f64::from(j) + 0.5) * dv);
            let across = a.cross(b);
            let n = across.unit().unwrap();
            let squares = a.dot(a) * b.dot(b) - a.dot(b).powi(2);
            (uu.dot(n) * vv.dot(n) - uv.dot(n).powi(2)) / squares * across.norm() * du * dv
        };
        (0..n).map(|i| (0..n).map(|j| one(i, j)).sum::<f64>()).sum()
    }

    /// Mean curvature, half the sum of the principal ones.
    fn mean_curvature(&self, u: f64, v: f64) -> f64 {
        let [_, a, b, uu, uv, vv] = self.at(u, v);
        let n = a.cross(b).unit().unwrap();
        let (e, f, g) = (a.dot(a), a.dot(b), b.dot(b));
        (uu.dot(n) * g - 2.0 * uv.dot(n) * f + vv.dot(n) * e) / (2.0 * (e * g - f * f))
    }
}

/// Areas in closed form, and no mean curvature. Sources: A. Gray, Modern Differential Geometry of Curves and Surfaces
/// (1998); J. C. C. Nitsche, Lectures on Minimal Surfaces (1989); Henneberg and Richmond by quadrature of the metric.
#[test]
fn minimal_surfaces_are_minimal() {
    let pi = std::f64::consts::PI;
    for (call, area) in [
        ("minimal::catenoid_helicoid(0, 1, 1)", 17.677_303_320),
        ("minimal::catenoid_helicoid(90, 1, asinh(1))", 14.423_599_448),
        ("minimal::catenoid_helicoid(37, 1, 1)", 17.677_303_320),
        ("minimal::enneper(1, 1, 1)", 7.330_382_858),
        ("minimal::enneper(1, 2, 1)", 129.852_496),
        ("minimal::henneberg(0.5, 1)", 51.153_631_083),
        ("minimal::bour(1, 1)", 17.0 * pi / 3.0),
        ("minimal::richmond(0.5, 1, 1)", 3.792_000_508),
        ("minimal::scherk(2 / PI, PI)", 5.697_512_212),
        ("minimal::scherk(1 / PI, PI)", 1.087_245_964),
        ("surface(|u, v| [u - u^3/3 + u*v^2, v - v^3/3 + v*u^2, u^2 - v^2], -1, 1, -1, 1)", 11.822_222_222),
    ] {
        let drawn = Drawn::of(call);
        let found = drawn.area(48);
        assert!((found - area).abs() < 2e-6 * area, "{call}: {found} for {area}");
        let [(u0, u1), (v0, v1)] = drawn.ranges;
        for i in 1..10 {
            let (u, v) =
                (u0 + (u1 - u0) * f64::from(i) / 10.0, v0 + (v1 - v0) * (f64::from(i) * 0.37).fract());
            let h = drawn.mean_curvature(u, v);
            assert!(h.abs() < 1e-9, "{call} at {u}, {v}: {h}");
        }
    }
}

/// Total curvatures: 4π for each time that the normal covers the sphere; Enneper's disc -4πr²/(1 + r²). Source: R. Osserman, A Survey of Minimal Surfaces (1986), section 9.
#[test]
fn normals_cover_the_sphere_as_often_as_they_should() {
    let pi = std::f64::consts::PI;
    let unit = [(0.0, 1.0), (0.0, 1.0)];
    let whole = |call: &str| Drawn::of(call).ranges;
    for (call, ranges, n, wanted) in [
        ("minimal::costa(1)", unit, 60, -12.0 * pi),
        ("minimal::chen_gackstatter(1)", unit, 60, -8.0 * pi),
        ("minimal::enneper(1, 1, 1)", whole("minimal::enneper(1, 1, 1)"), 400, -2.0 * pi),
        ("minimal::enneper(1, 2, 1)", whole("minimal::enneper(1, 2, 1)"), 400, -16.0 / 5.0 * pi),
        // Both ends of the normal of a catenoid point up and down but for what the cut leaves.
        (
            "minimal::catenoid_helicoid(0, 1, 4)",
            whole("minimal::catenoid_helicoid(0, 1, 4)"),
            400,
            -4.0 * pi * 4f64.tanh(),
        ),
    ] {
        let found = Drawn::of(call).total_curvature(ranges, n);
        assert!((found - wanted).abs() < 1e-4 * wanted.abs(), "{call}: {found}, wanted {wanted}");
    }
}

/// Boy's surface by the formula of Bryant and Kusner: its area, its total curvature 2π (it has the Euler number 1), its
/// bending ∫H² = 12π, and places on it. Source: R. Kusner, Bulletin of the American Mathematical Society 17 (1987) 291; area by
/// quadrature.
#[test]
fn boys_surface_is_as_long_known() {
    let pi = std::f64::consts::PI;
    let boy = Drawn::of(
        "surface(|r, t| {
            let re = |n, r, t| r^n * cos(n*t);
            let im = |n, r, t| r^n * sin(n*t);
            let a = re.call(6, r, t) + sqrt(5)*re.call(3, r, t) - 1;
            let b = im.call(6, r, t) + sqrt(5)*im.call(3, r, t);
            let below = a^2 + b^2;
            let x = -3/2 * ((im.call(1, r, t) - im.call(5, r, t))*a - (re.call(1, r, t) - re.call(5, r, t))*b) / below;
            let y = -3/2 * ((re.call(1, r, t) + re.call(5, r, t))*a + (im.call(1, r, t) + im.call(5, r, t))*b) / below;
            let z = (im.call(6, r, t)*a - (1 + re.call(6, r, t))*b) / below - 1/2;
            let far = x^2 + y^2 + z^2;
            [x/far, y/far, z/far]
        }, 0, 1, 0, TAU)",
    );
    for (r, t, place) in
        [(0.5, 0.0, [0.0, 0.739_826_75, -0.327_202_57]), (1.0, 0.0, [0.0, -0.654_458_92, -0.243_902_44])]
    {
        let found = boy.at(r, t)[0];
        assert!((found - Vec3::from(place)).norm() < 1e-8, "{found:?} for {place:?}");
    }
    let area = boy.area(96);
    assert!((area - 29.401_048_17).abs() < 1e-5, "{area}");
    let (n, mut bending) = (400, 0.0);
    let (dr, dt) = (1.0 / f64::from(n), 2.0 * pi / f64::from(n));
    for i in 0..n * n {
        let (r, t) = ((f64::from(i % n) + 0.5) * dr, (f64::from(i / n) + 0.5) * dt);
        let [_, by_r, by_t, ..] = boy.at(r, t);
        bending += boy.mean_curvature(r, t).powi(2) * by_r.cross(by_t).norm() * dr * dt;
    }
    assert!((bending - 12.0 * pi).abs() < 1e-3, "{bending}");
    let bend = boy.total_curvature([(0.0, 1.0), (0.0, 2.0 * pi)], 600);
    assert!((bend - 2.0 * pi).abs() < 1e-3, "{bend}");
}

/// Places on Costa's surface. Source: A. Gray (1996), valued with the elliptic functions of the square lattice.
#[test]
fn costas_surface_passes_where_it_should() {
    let costa = Drawn::of("minimal::costa(1)");
    for (u, v, place) in [
        (0.25, 0.25, [-0.955_049_447_257, -0.955_049_447_257, 0.0]),
        (0.3, 0.1, [-1.453_266_593, -0.636_656_289, -0.665_055_519]),
        (0.6, 0.35, [0.360_676_610, -0.474_500_967, -0.105_999_856]),
    ] {
        let found = costa.at(u, v)[0];
        assert!((found - Vec3::from(place)).norm() < 2e-9, "{found:?} for {place:?}");
        assert!(costa.mean_curvature(u, v).abs() < 1e-9);
    }
}

/// One drop of the unduloid with mean curvature 1/2: period, arc of the profile, area, volume, and the curvature all along.
/// Source: the roulette of an ellipse of half axis 1 and focal distance c, by quadrature; its arc is 2π.
#[test]
fn unduloids_have_one_mean_curvature() {
    let pi = std::f64::consts::PI;
    for (c, period, wanted_area, volume) in [
        (0.2, 6.219_874_185, 39.874_198_768, 20.329_899_644),
        (0.5, 5.869_848_837, 41.987_050_358, 23.381_198_409),
    ] {
        let drop = Drawn::of(&format!("minimal::unduloid({c}, 1, 1)"));
        let [(u0, u1), _] = drop.ranges;
        let (low, high) = (drop.at(u0, 0.0)[0], drop.at(u1, 0.0)[0]);
        assert!((high.z - low.z - period).abs() < 1e-8, "{c}: {}", high.z - low.z);
        // The profile is a curve through 48 of its points.
        let area = drop.area(48);
        assert!((area - wanted_area).abs() < 1e-3, "{c}: {area}");
        let steps = 4800;
        let du = (u1 - u0) / f64::from(steps);
        let (mut arc, mut held) = (0.0, 0.0);
        for k in 0..steps {
            let [place, by_u, ..] = drop.at(u0 + (f64::from(k) + 0.5) * du, 0.0);
            arc += by_u.norm() * du;
            held += pi * place.x * place.x * by_u.z * du;
        }
        assert!((arc - 2.0 * pi).abs() < 1e-3, "{c}: {arc}");
        assert!((held - volume).abs() < 1e-3, "{c}: {held}");
        for i in 2..9 {
            let h = drop.mean_curvature(u0 + (u1 - u0) * f64::from(i) / 10.0, 1.0);
            assert!((h.abs() - 0.5).abs() < 5e-3, "{c} {i}: {h}");
        }
    }
}

/// Balls that start as the knots of Lissajous do draw the same knots, 5_2 and 6_1, of determinants 7 and 9. Source: M. G. V.
/// Bogle, J. E. Hearst, V. F. R. Jones, L. Stoilov, J. Knot Theory Ramifications 3 (1994) 121 (from memory).
#[test]
fn billiard_knots_depend_on_where_they_start() {
    for (c, phase, determinant) in [(7, 0.7, 7.0), (5, 1.5, 9.0)] {
        let script = format!(
            "import \"curves\" as curves;\n\
             determinant(curves::billiard_from(3, 2, {c}, 40, [{phase}/TAU, 0.2/TAU, 0]))"
        );
        assert_eq!(Ogee::new().run(&script).unwrap().value.number(), Some(determinant), "{c}");
    }
}
