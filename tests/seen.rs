//! What is seen of walls, against closed forms (see the source beside each).

use std::f64::consts::PI;

use ogee::base::{Tolerance, Unwatched, Vec3};
use ogee::form::{self, Form, FrameAsk, Solid, Surface, wall};
use ogee::formula::{Expr, Unary};
use ogee::realise::{self, Seen};
use ogee::shape::{Mesh, Side};

fn xyz() -> [Expr; 3] {
    ["x", "y", "z"].map(Expr::var)
}
fn sq(e: Expr) -> Expr {
    e.clone() * e
}
fn sin(e: &Expr) -> Expr {
    Expr::unary(Unary::Sin, e.clone())
}
fn cos(e: &Expr) -> Expr {
    Expr::unary(Unary::Cos, e.clone())
}
fn abs(e: Expr) -> Expr {
    Expr::unary(Unary::Abs, e)
}
fn near(is: f64, want: f64, part: f64) {
    assert!((is / want - 1.0).abs() < part, "{is} for {want}");
}
fn seen(solid: &Solid, parts: f64) -> Seen {
    realise::seen(solid, &|longest| Tolerance::new(longest / parts), &Unwatched).unwrap()
}
fn framed(text: &str) -> Solid {
    let reading = ogee::formula::read(text).unwrap();
    match form::frame(&reading, &FrameAsk::default()).unwrap().form {
        Form::Solid(solid) => solid,
        other => panic!("{other:?}"),
    }
}

/// What is seen of a wall closes, and holds what the solid holds: Steiner's formula for the gyroid's cell of area
/// 3.091645551 a² (published value) and Euler number -8.
#[test]
fn what_is_seen_of_a_wall() {
    let [x, y, z] = xyz().map(|e| e * (2.0 * PI / 60.0));
    let gyroid = sin(&x) * cos(&y) + sin(&y) * cos(&z) + sin(&z) * cos(&x);
    let s = form::clip(&Surface::Level(gyroid), &form::block(Vec3::splat(60.0)).unwrap()).unwrap();
    let shown = seen(&wall(&s, 1.5).unwrap(), 500.0);
    assert!(shown.sheets);
    let mesh = shown.shape.mesh;
    let want = 3.091645551 * 3600.0 * 1.5 + 1.5f64.powi(3) / 12.0 * 2.0 * PI * -8.0;
    let open = mesh.open_edges();
    let place = |i: u32| mesh.points[i as usize];
    assert!(
        open.is_empty(),
        "{} {:?}",
        open.len(),
        open.iter().take(6).map(|e| e.map(place)).collect::<Vec<_>>()
    );
    near(mesh.volume(), want, 3e-3);
    let bounds = mesh.bounds();
    assert!((bounds.max - Vec3::splat(30.0)).norm() < 1e-6, "{bounds:?}");
    for side in [Side::Front, Side::Back, Side::Cut] {
        assert!(mesh.sides.contains(&side), "{side:?}");
    }
    // A crease is not shown by sheets: the solid itself is seen, and no flap stands at the edges of the cube.
    let [x, y, z] = xyz();
    let cube = abs(x).max(abs(y)).max(abs(z)) - 10.0;
    let shown = seen(&wall(&Surface::Level(cube), 2.0).unwrap(), 500.0);
    assert!(!shown.sheets);
    let mesh = shown.shape.mesh;
    // Steiner's formula for a cube of 20 grown by 1, less one of 18.
    let outer = 20f64.powi(3) + 6.0 * 400.0 + 12.0 * 20.0 * PI / 4.0 + PI * 4.0 / 3.0;
    near(mesh.volume(), outer - 18f64.powi(3), 5e-3);
}

/// A surface cut by a ball or lying loose in its cell is as long, with its wall, as was asked: 60 mm, to a five-hundredth.
#[test]
fn a_framed_wall_has_its_size() {
    for text in [
        "x^2 + y^2 - z^2 = 1",
        "x^2 + y^2 = z^2",
        "x^3 + y^3 + z^3 + 1 = (x + y + z + 1)^3",
        "x y z = 1",
        "cos x + cos y + cos z = 2.5",
    ] {
        let mesh = seen(&framed(text), 500.0).shape.mesh;
        let longest = mesh.bounds().size().largest();
        assert!((longest - 60.0).abs() < 0.12, "{text}: {longest}");
    }
}

/// The wall of a star of cusps shows one side outside and the other within, along its ridges too.
#[test]
fn ridges_show_their_own_side() {
    for text in ["|x|^0.7 + |y|^0.7 + |z|^0.7 = 1", "x^(2/3) + y^(2/3) + z^(2/3) = 1"] {
        let shown = seen(&framed(text), 300.0);
        assert!(!shown.sheets, "{text}");
        let mesh = shown.shape.mesh;
        let (of, count) = mesh.component_of_triangles();
        let of = &of;
        let own = |part: usize| (0..mesh.triangles.len()).filter(move |t| of[*t] as usize == part);
        let largest =
            |part: usize| own(part).flat_map(|t| mesh.corners(t)).map(Vec3::norm).fold(0.0, f64::max);
        let outer = (0..count).max_by(|a, b| largest(*a).total_cmp(&largest(*b))).unwrap();
        for part in 0..count {
            let side = if part == outer { Side::Front } else { Side::Back };
            // A tip thinner than the cells may have a few that look elsewhere.
            let (all, other) = (own(part).count(), own(part).filter(|t| mesh.side(*t) != side).count());
            assert!(1000 * other < all, "{text}: {other} of {all} triangles of part {part} are not {side:?}");
        }
    }
}

/// Distance from a point at which a ray first meets a mesh, infinite for a miss. Source: T. Möller and B. Trumbore, JGT
/// 2(1), 1997.
fn met(mesh: &Mesh, from: Vec3, along: Vec3) -> f64 {
    let cross = |[a, b, c]: [Vec3; 3]| {
        let (ab, ac) = (b - a, c - a);
        let p = along.cross(ac);
        let (k, s) = (1.0 / ab.dot(p), from - a);
        let (u, q) = (s.dot(p) * k, s.cross(ab));
        let (v, t) = (along.dot(q) * k, ac.dot(q) * k);
        if u >= 0.0 && v >= 0.0 && u + v <= 1.0 && t > 0.0 { t } else { f64::INFINITY }
    };
    (0..mesh.triangles.len()).map(|t| cross(mesh.corners(t))).fold(f64::INFINITY, f64::min)
}

/// The wall of a double cone of half angle 45 degrees goes on through the tip: seen from the side its neck is as thick as
/// the two offset cones that meet there, 2 h √2 for a half thickness h.
#[test]
fn a_wall_goes_on_through_a_cone_point() {
    let [x, y, z] = xyz();
    let cone = form::clip(&Surface::Level(sq(x) + sq(y) - sq(z)), &form::ball(30.0).unwrap()).unwrap();
    let (half, far) = (1.0, 20.0);
    let parts = 500.0;
    let shown = seen(&wall(&cone, 2.0 * half).unwrap(), parts);
    assert!(shown.sheets);
    for k in 0..24 {
        let turn = 2.0 * PI * (f64::from(k) + 0.3) / 24.0;
        let out = Vec3::new(libm::cos(turn), libm::sin(turn), 0.0);
        let neck = far - met(&shown.shape.mesh, out * far, -out);
        // As far as the picture's tolerance shows it, and never less than the ball about the tip.
        let want = half * 2f64.sqrt();
        assert!((half * 0.98..want + 61.0 / parts).contains(&neck), "{neck} for {want}");
    }
}
