//! Surfaces of the module `minimal`, measured at places and along lines laid on them.

use std::collections::BTreeMap;

use ogee::base::{Tolerance, Unwatched, Vec3};
use ogee::form::{Bounded, Surface};
use ogee::realise;
use ogee::shape::Mesh;
use ogee::value::Value;
use ogee::{Ogee, Outcome};

fn number(script: &str) -> f64 {
    let text = format!("import \"minimal\" as minimal;\n{script}");
    match Ogee::new().run(&text) {
        Ok(outcome) => outcome.value.number().unwrap_or(f64::NAN),
        Err(fault) => panic!("{}", fault.report()),
    }
}

/// Coordinate `axis` of a surface at parameters (u, v).
fn at(surface: &str, [u, v]: [f64; 2], axis: usize) -> f64 {
    number(&format!("points(laid(curve(|t| [{u} + t, {v}, 0], 0, 0.05), {surface}), 2)[0][{axis}]"))
}

/// Source: A. Gray, Modern Differential Geometry (1998), after C. J. Costa (1984); values by quadrature of the formulas.
#[test]
fn costas_surface_passes_known_places() {
    for (place, wanted) in [
        ([0.25, 0.25], [-0.955_049_447_257, -0.955_049_447_257, 0.0]),
        ([0.3, 0.1], [-1.453_266_593, -0.636_656_289, -0.665_055_519]),
        ([0.6, 0.35], [0.360_676_610, -0.474_500_967, -0.105_999_856]),
    ] {
        for (axis, wanted) in wanted.into_iter().enumerate() {
            let found = at("minimal::costa(1)", place, axis);
            assert!((found - wanted).abs() < 1e-8, "{place:?} {axis}: {found}, wanted {wanted}");
        }
    }
}

/// The surface of Chen and Gackstatter comes home round both ways of its torus.
/// Source: C. C. Chen, F. Gackstatter, Mathematische Annalen 259 (1982) 359.
#[test]
fn the_torus_of_chen_and_gackstatter_closes() {
    let surface = "minimal::chen_gackstatter(1)";
    for ([u, v], [across, up]) in
        [([0.1, 0.37], [1.0, 0.0]), ([0.41, 0.2], [0.0, 1.0]), ([0.3, 0.05], [1.0, 0.0])]
    {
        for axis in 0..3 {
            let (here, there) = (at(surface, [u, v], axis), at(surface, [u + across, v + up], axis));
            assert!((here - there).abs() < 1e-9, "{u} {v} {axis}: {here}, come home {there}");
        }
    }
    // Its middle: ℘ = e₁ at the half period, A = 0.1578723704.
    let top = at("minimal::chen_gackstatter(1)", [0.5, 0.0], 2);
    assert!((top - 0.157_872_370_4 * 6.875_185_818_02).abs() < 1e-8, "{top}");
}

/// Lengths of lines on Henneberg's, Bour's and Richmond's surfaces agree with their metrics: radial lines of Weierstrass
/// data f, g have the speed ½|f|(1 + |g|²).
#[test]
fn lines_on_classical_surfaces_have_their_lengths() {
    let length =
        |surface: &str, line: &str| number(&format!("length(laid(curve(|t| {line}, 0.5, 1), {surface}))"));
    // f = 2, g² = r: ∫ (1 + r); f = r⁻², g = r²: ∫ ½ (r⁻² + r²).
    assert!((length("minimal::bour(1, 1)", "[t, 0.7, 0]") - 0.875).abs() < 1e-9);
    let exact = 0.5 * (1.0 + (1.0 - 0.125) / 3.0);
    assert!((length("minimal::richmond(0.4, 1, 1)", "[t, 0.7, 0]") - exact).abs() < 1e-9);
}

/// One drop of the unduloid with a = 1, c = 0.5 is 5.869848837 high; the values of c = 0.2 likewise.
/// Source: C. Delaunay (1841); periods by quadrature of the roulette.
#[test]
fn drops_of_the_unduloid_have_their_height() {
    for (c, period) in [(0.5, 5.869_848_837), (0.2, 6.219_874_185)] {
        let text = format!("import \"minimal\" as minimal;\nminimal::unduloid({c}, 1, 1)");
        let Ok(Outcome { value: Value::Surface(surface), .. }) = Ogee::new().run(&text) else {
            panic!("{text}")
        };
        let found = surface.bounds().unwrap().size();
        assert!((found.z - period).abs() < 1e-3, "{c}: {found:?}, wanted {period}");
        assert!((found.x - 2.0 * (1.0 + c)).abs() < 1e-3, "{c}: {found:?}");
    }
}

/// Rings of neighbours about each point of a mesh, and whether it lies on an edge of one triangle.
struct Nearby {
    next: Vec<Vec<u32>>,
    border: Vec<bool>,
}

impl Nearby {
    fn of(mesh: &Mesh) -> Self {
        let mut edges: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        for t in &mesh.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                *edges.entry([a.min(b), a.max(b)]).or_default() += 1;
            }
        }
        let mut nearby =
            Self { next: vec![vec![]; mesh.points.len()], border: vec![false; mesh.points.len()] };
        for ([a, b], count) in edges {
            nearby.next[a as usize].push(b);
            nearby.next[b as usize].push(a);
            for i in [a, b] {
                nearby.border[i as usize] |= count == 1;
            }
        }
        nearby
    }

    /// The points at most `rings` edges away; none when the border is among them.
    fn about(&self, point: u32, rings: usize) -> Option<Vec<u32>> {
        let (mut all, mut last) = (vec![point], vec![point]);
        for _ in 0..rings {
            let mut new: Vec<u32> = last.iter().flat_map(|i| self.next[*i as usize].clone()).collect();
            new.sort_unstable();
            new.dedup();
            new.retain(|i| !all.contains(i));
            all.extend(&new);
            last = new;
        }
        (!all.iter().any(|i| self.border[*i as usize])).then_some(all)
    }
}

/// Rings of neighbours that a polynomial is fitted to, its degree, and the fewest points.
const RINGS: usize = 4;
const DEGREE: i32 = 6;
const LEAST: usize = 36;

/// The mean curvature at a point of a mesh, from the polynomial that fits the points about it.
/// Source: F. Cazals, M. Pouget, Computer Aided Geometric Design 22 (2005) 121.
fn fitted_mean_curvature(mesh: &Mesh, about: &[u32], normal: Vec3) -> f64 {
    let middle = mesh.points[about[0] as usize];
    let other = if normal.x.abs() < 0.6 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
    let u = (other - normal * other.dot(normal)).unit().unwrap();
    let v = normal.cross(u);
    let far = about.iter().map(|i| (mesh.points[*i as usize] - middle).norm()).fold(0.0, f64::max);
    let powers: Vec<(i32, i32)> = (0..=DEGREE).flat_map(|n| (0..=n).map(move |k| (n - k, k))).collect();
    let mut rows = nalgebra::DMatrix::zeros(about.len(), powers.len());
    let mut heights = nalgebra::DVector::zeros(about.len());
    for (r, i) in about.iter().enumerate() {
        let d = (mesh.points[*i as usize] - middle) / far;
        let (x, y) = (d.dot(u), d.dot(v));
        powers.iter().enumerate().for_each(|(c, (m, n))| rows[(r, c)] = x.powi(*m) * y.powi(*n));
        heights[r] = d.dot(normal);
    }
    let found = rows.svd(true, true).solve(&heights, 1e-12).unwrap();
    let k = |m: i32, n: i32| found[powers.iter().position(|p| *p == (m, n)).unwrap()];
    let (a, b, xx, xy, yy) = (k(1, 0), k(0, 1), 2.0 * k(2, 0), k(1, 1), 2.0 * k(0, 2));
    let steep = 1.0 + a * a + b * b;
    ((1.0 + b * b) * xx - 2.0 * a * b * xy + (1.0 + a * a) * yy) / (2.0 * steep * steep.sqrt()) / far
}

/// The greatest mean curvature that is seen on a mesh away from its border, at a few hundred of its points, and how many
/// were looked at; points nearer than `apart` to some places are left out.
fn greatest_bend(mesh: &Mesh, places: &[Vec3], apart: f64) -> (f64, usize) {
    let nearby = Nearby::of(mesh);
    let mut across = vec![Vec3::ZERO; mesh.points.len()];
    for t in &mesh.triangles {
        let [a, b, c] = t.map(|i| mesh.points[i as usize]);
        t.iter().for_each(|i| across[*i as usize] += (b - a).cross(c - a));
    }
    let (mut worst, mut seen) = (0.0f64, 0);
    for i in (0..mesh.points.len()).step_by(1 + mesh.points.len() / 1000) {
        if places.iter().any(|p| (*p - mesh.points[i]).norm() < apart) {
            continue;
        }
        let Some(about) = nearby.about(i as u32, RINGS).filter(|a| a.len() >= LEAST) else { continue };
        let Some(normal) = across[i].unit() else { continue };
        worst = worst.max(fitted_mean_curvature(mesh, &about, normal).abs());
        seen += 1;
    }
    (worst, seen)
}

fn surface(script: &str) -> Surface {
    match Ogee::new().run(&format!("import \"minimal\" as minimal;\n{script}")).unwrap().value {
        Value::Surface(surface) => surface,
        _ => panic!("{script}"),
    }
}

fn sheet(surface: &Surface, tolerance: f64) -> Mesh {
    realise::surface(surface, Tolerance::new(tolerance).unwrap(), &Unwatched).unwrap().mesh
}

/// Minimal surfaces have no mean curvature: on their meshes, away from the border, less than a thousandth of one over
/// their size. (Definition; the limit is the project's own.) Points of a mesh lie on the surface to the last digits; what
/// is seen is the error of the measure, which falls with the fifth power of the distance of the points. So surfaces that
/// turn tightly need a finer mesh to be seen that well. A branch point has no curvature: the surroundings of those of
/// Henneberg's and Bour's surfaces, a thirtieth of the size, are left out.
#[test]
fn meshes_of_minimal_surfaces_do_not_bend_in_the_mean() {
    let none: [Vec3; 0] = [];
    let middle = [Vec3::ZERO];
    let pinched = [10.0, -10.0].map(|k| Vec3::new(0.0, 0.0, 2.0 * k));
    let mut bent = Vec::new();
    for (script, parts, branches) in [
        ("minimal::catenoid_helicoid(35, 8, 16)", 1000.0, &none[..]),
        ("minimal::enneper(2, 1.1, 20)", 1000.0, &none[..]),
        ("minimal::richmond(0.4, 1, 20)", 1000.0, &none[..]),
        ("minimal::scherk(0.85, 50)", 1000.0, &none[..]),
        ("minimal::trumpets(3, 60) & ball(30)", 1000.0, &none[..]),
        ("minimal::costa(10) & ball(30)", 1000.0, &none[..]),
        ("minimal::chen_gackstatter(10) & ball(28)", 1000.0, &none[..]),
        ("minimal::scherk_tower(24) & rod(18, 60)", 2000.0, &none[..]),
        ("minimal::bour(0.9, 25)", 2000.0, &middle[..]),
        ("minimal::henneberg(0.5, 10)", 2000.0, &pinched[..]),
    ] {
        let form = surface(script);
        let size = form.bounds().unwrap().size().largest();
        let (worst, seen) = greatest_bend(&sheet(&form, size / parts), branches, size / 30.0);
        assert!(seen > 400, "{script}: {seen} points");
        if !(worst * size < 1e-3) {
            bent.push(format!("{script}: {}", worst * size));
        }
    }
    assert!(bent.is_empty(), "{bent:#?}");
    // The measure sees what does bend: a ball of radius 20 has the mean curvature 1/20 everywhere.
    let (worst, _) = greatest_bend(&sheet(&surface("skin(ball(20))"), 0.04), &[], 0.0);
    assert!((worst - 0.05).abs() < 1e-4, "{worst}");
}

/// The area of one half period of Scherk's tower over |x|, |y| ≤ ½: 1.090702025. Source: H. F. Scherk, J. reine angew. Math.
/// 13 (1835) 185; check by quadrature.
#[test]
fn a_storey_of_scherks_tower_has_its_area() {
    let mesh = sheet(&surface("minimal::scherk_tower(TAU) & block(1, 1, PI)"), 5e-4);
    let one = |t: usize| {
        let [a, b, c] = mesh.corners(t);
        0.5 * (b - a).cross(c - a).norm()
    };
    let area: f64 = (0..mesh.triangles.len()).map(one).sum();
    assert!((area - 1.090_702_025).abs() < 1e-4, "{area}");
}

/// Knots of three swings. Source: M. G. V. Bogle, J. E. Hearst, V. F. R. Jones, L. Stoilov, J. Knot Theory Ramif. 3 (1994) 121;
/// named from points by SnapPy; lengths by the trapezoid rule. The square knot has the trefoil's polynomial squared.
#[test]
fn lissajous_knots_are_the_knots_they_are_said_to_be() {
    for (numbers, length, polynomial) in [
        ("3, 2, 7, 0.7, 0.2", Some(33.183_413_828), "[2, -3, 2]"),
        ("3, 2, 5, 1.5, 0.2", Some(26.428_581_753), "[2, -5, 2]"),
        ("3, 5, 7, 0.7, 1.0", None, "[1, -2, 3, -2, 1]"),
    ] {
        let knot = format!("import \"knots\" as knots;\nlet k = knots::lissajous({numbers}, 2);\n");
        let found = number(&format!("{knot}length(k)"));
        assert!(length.is_none_or(|l| (found - l).abs() < 1e-8), "{numbers}: {found}");
        let same = Ogee::new().run(&format!("{knot}alexander(k) == {polynomial}")).unwrap().value;
        assert!(matches!(same, Value::Truth(true)), "{numbers}: {same:?}");
    }
}
