//! Meshes of solids against closed forms and published values (see the source beside each).

use std::fmt::Write;
use std::path::Path;
use std::sync::Arc;

use ogee::base::{Affine, Box3, Tolerance, Unwatched, Vec3};
use ogee::form::{Solid, Surface, Thickness};
use ogee::formula::{Expr, Tape, Unary};
use ogee::realise;
use ogee::shape::{Measures, Mesh, Side, Tree};

fn var(name: &str) -> Expr {
    Expr::var(name)
}
fn xyz() -> [Expr; 3] {
    ["x", "y", "z"].map(var)
}
fn k(v: f64) -> Expr {
    Expr::constant(v)
}
fn sq(e: Expr) -> Expr {
    e.clone() * e
}
fn sin(e: Expr) -> Expr {
    Expr::unary(Unary::Sin, e)
}
fn cos(e: Expr) -> Expr {
    Expr::unary(Unary::Cos, e)
}
fn norm(v: [Expr; 3]) -> Expr {
    let [x, y, z] = v;
    (sq(x) + sq(y) + sq(z)).sqrt()
}
fn field(value: Expr, within: Box3) -> Solid {
    Solid::Field { value, within }
}
fn ball(r: f64) -> Solid {
    field(norm(xyz()) - r, Box3::cube(r))
}
fn block(half: Vec3) -> Solid {
    let [x, y, z] = xyz();
    let slab = |v: Expr, h: f64| (v.clone() - h).max(-v - h);
    field(slab(x, half.x).max(slab(y, half.y)).max(slab(z, half.z)), Box3::new(-half, half))
}
fn rod(r: f64, axis: usize) -> Solid {
    let mut v = xyz();
    v[axis] = k(0.0);
    let mut b = Box3::cube(r);
    let far = |a: &mut Vec3, v: f64| match axis {
        0 => a.x = v,
        1 => a.y = v,
        _ => a.z = v,
    };
    far(&mut b.min, f64::NEG_INFINITY);
    far(&mut b.max, f64::INFINITY);
    field(norm(v) - r, b)
}
fn both(a: Solid, b: Solid) -> Solid {
    Solid::Intersection([a, b].into())
}
fn either(a: Solid, b: Solid) -> Solid {
    Solid::Union([a, b].into())
}
fn less(a: Solid, b: Solid) -> Solid {
    Solid::Difference(Arc::new([a, b]))
}
fn moved(a: Solid, m: Affine) -> Solid {
    Solid::Moved(Arc::new(a), m)
}
/// Writes a picture where `OGEE_LOOK` names a folder.
fn look(mesh: &Mesh) {
    let Ok(dir) = std::env::var("OGEE_LOOK") else { return };
    let name = std::thread::current().name().unwrap_or("mesh").replace("::", "_");
    let picture = ogee::show::picture(mesh, &ogee::show::Look::preview(700));
    std::fs::write(format!("{dir}/{name}-{}.png", mesh.triangles.len()), picture.png(&[])).unwrap();
}
fn lawful(s: &Solid, tolerance: f64) -> (Mesh, Measures) {
    let clock = std::time::Instant::now();
    let made = realise::solid(s, Tolerance::new(tolerance).unwrap(), &Unwatched).unwrap();
    let took = clock.elapsed();
    let mesh = made.mesh;
    look(&mesh);
    let laws = mesh.laws();
    let m = mesh.measures();
    eprintln!("{took:?}, said {:?}", made.said);
    eprintln!("{} triangles, {:?}", mesh.triangles.len(), m);
    for b in laws.iter().step_by(1 + laws.len() / 6) {
        let [s, t] = b.triangles.map(|t| mesh.corners(t as usize).map(|p| p.array()));
        eprintln!("{:?} {:?}\n   {:?}", b.law, s, t);
    }
    assert!(laws.is_empty(), "{} laws broken, first {:?}", laws.len(), laws[0]);
    (mesh, m)
}
fn near(got: f64, want: f64, relative: f64) {
    assert!((got / want - 1.0).abs() <= relative, "got {got}, want {want}, off {:e}", got / want - 1.0);
}
const PI: f64 = std::f64::consts::PI;

#[test]
fn a_ball() {
    let (mesh, m) = lawful(&ball(10.0), 0.02);
    near(m.volume, 4.0 / 3.0 * PI * 1000.0, 1e-3);
    near(m.area, 4.0 * PI * 100.0, 1e-3);
    assert_eq!((m.genus, m.components), (0, 1));
    let worst = mesh.points.iter().map(|p| (p.norm() - 10.0).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-6, "{worst}");
}

/// 12 edges and 8 corners where they should be, faces flat.
#[test]
fn a_block_is_exact() {
    for half in [Vec3::new(10.0, 7.5, 5.0), Vec3::splat(8.0)] {
        let (mesh, m) = lawful(&block(half), 0.05);
        near(m.volume, 8.0 * half.x * half.y * half.z, 1e-9);
        near(m.area, 8.0 * (half.x * half.y + half.y * half.z + half.z * half.x), 1e-9);
        for c in Box3::new(-half, half).corners() {
            assert!(mesh.points.iter().any(|p| (*p - c).norm() < 1e-6), "corner {c:?}");
        }
    }
}

/// Two rods of radius r crossing: volume 16 r³/3, area 16 r².
#[test]
fn the_bicylinder() {
    let (_, m) = lawful(&both(rod(10.0, 0), rod(10.0, 1)), 0.02);
    near(m.volume, 16.0 / 3.0 * 1000.0, 1e-3);
    near(m.area, 1600.0, 1e-3);
}

/// Three rods crossing: volume 8(2 - √2) r³, area 24(2 - √2) r².
#[test]
fn the_tricylinder() {
    let (_, m) = lawful(&both(both(rod(10.0, 0), rod(10.0, 1)), rod(10.0, 2)), 0.02);
    near(m.volume, 4686.291501, 1e-3);
    near(m.area, 1405.8874503, 1e-3);
}

/// The gyroid's inside in a cube of one period: half the volume, by symmetry.
#[test]
fn one_period_of_the_gyroid() {
    let [x, y, z] = xyz().map(|v| v * (2.0 * PI / 60.0));
    let g = sin(x.clone()) * cos(y.clone()) + sin(y) * cos(z.clone()) + sin(z) * cos(x);
    let cube = block(Vec3::splat(30.0));
    let solid = both(field(g, Box3::cube(1e9)), cube);
    let (_, m) = lawful(&solid, 0.06);
    near(m.volume, 0.5 * 60f64.powi(3), 1e-3);
}

/// Areas and volume fractions of level surfaces in one cell, against a cut of a tetrahedral grid lifted onto the exact
/// surface and integrated by Gauss's rule on the curved pieces (two grids agree to the digits given; areas of P, G, D
/// also by marching cubes and Richardson's extrapolation). The tolerance is the one that a cell of 60 mm gets by itself.
#[test]
fn nodal_surfaces() {
    let [x, y, z] = xyz().map(|v| v * (2.0 * PI / 60.0));
    let [(sx, cx), (sy, cy), (sz, cz)] = [&x, &y, &z].map(|v| (sin(v.clone()), cos(v.clone())));
    let double = [&x, &y, &z].map(|v| cos(v.clone() * 2.0));
    let p = cx.clone() + cy.clone() + cz.clone();
    let g = sx.clone() * cy.clone() + sy.clone() * cz.clone() + sz.clone() * cx.clone();
    let d = sx.clone() * sy.clone() * sz.clone()
        + sx * cy.clone() * cz.clone()
        + cx.clone() * sy * cz.clone()
        + cx.clone() * cy.clone() * sz;
    let [c2x, c2y, c2z] = double;
    let iwp = (cx.clone() * cy.clone() + cy * cz.clone() + cz * cx) * 2.0 - (c2x + c2y + c2z);
    // Area over a²; the part where f > t.
    let cases = [
        ("P", &p, 0.5, 2.253791699, 0.357165040),
        ("D", &d, 0.0, 3.838041305, 0.5),
        ("G", &g, 0.6, 2.875695752, 0.305370754),
        ("I-WP", &iwp, 0.0, 3.553560576, 0.530714325),
    ];
    let tolerance = Tolerance::new(0.06).unwrap();
    for (name, f, t, area, part) in cases {
        let cell = block(Vec3::splat(30.0));
        let sheet = Surface::Clipped(Arc::new(Surface::Level(f.clone() - t)), Arc::new(cell.clone()));
        let open = realise::surface(&sheet, tolerance, &Unwatched).unwrap().mesh;
        let relative = open.measures().area / (3600.0 * area) - 1.0;
        assert!(relative.abs() < 1e-3, "area of {name} at {t}: {relative:e}");
        let solid = both(field(k(t) - f.clone(), Box3::cube(1e9)), cell);
        let (_, m) = lawful(&solid, 0.06);
        let relative = m.volume / (216_000.0 * part) - 1.0;
        assert!(relative.abs() < 1e-3, "volume of {name} at {t}: {relative:e}");
    }
}

/// A ball cut by three half-spaces.
#[test]
fn an_eighth_of_a_ball() {
    let mut s = ball(10.0);
    for v in xyz() {
        s = both(s, field(v, Box3::cube(1e9)));
    }
    let (mesh, m) = lawful(&s, 0.02);
    near(m.volume, PI / 6.0 * 1000.0, 1e-3);
    assert!(mesh.points.iter().any(|p| p.norm() < 1e-6));
    for c in [Vec3::new(-10.0, 0.0, 0.0), Vec3::new(0.0, -10.0, 0.0), Vec3::new(0.0, 0.0, -10.0)] {
        assert!(mesh.points.iter().any(|p| (*p - c).norm() < 1e-6), "corner {c:?}");
    }
}

#[test]
fn the_tip_of_a_cone() {
    let [x, y, z] = xyz();
    let cone = (sq(x) + sq(y)).sqrt() * 2.0 + z.clone() - 10.0;
    let (mesh, m) = lawful(&both(field(cone, Box3::cube(1e9)), field(-z, Box3::cube(11.0))), 0.02);
    near(m.volume, PI * 25.0 * 10.0 / 3.0, 1e-3);
    assert!(mesh.points.iter().any(|p| (*p - Vec3::new(0.0, 0.0, 10.0)).norm() < 0.02));
}

#[test]
fn a_moved_union_and_difference() {
    let turn = Affine::turn(Vec3::new(1.0, 2.0, 3.0), 0.7).unwrap();
    let bar = moved(block(Vec3::new(12.0, 2.0, 2.0)), turn);
    let (_, m) = lawful(&less(either(ball(6.0), bar), rod(1.0, 2)), 0.02);
    assert_eq!((m.components, m.genus), (1, 1));
}

/// The same bytes whatever the number of threads.
#[test]
fn threads_do_not_matter() {
    let s = both(field(gyroid(30.0), Box3::cube(1e9)), ball(20.0));
    let on = |n: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
        pool.install(|| realise::solid(&s, Tolerance::new(0.1).unwrap(), &Unwatched).unwrap().mesh)
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.points, three.points);
    assert_eq!(one.triangles, three.triangles);
}

fn gyroid(period: f64) -> Expr {
    let [x, y, z] = xyz().map(|v| v * (2.0 * PI / period));
    sin(x.clone()) * cos(y.clone()) + sin(y) * cos(z.clone()) + sin(z) * cos(x)
}

fn wall(s: Surface, t: f64) -> Solid {
    Solid::Wall(Arc::new(s), Thickness::Even(t))
}

/// Sphere wall of thickness t centred on R: 4π(R²t + t³/12).
#[test]
fn the_wall_of_a_sphere() {
    let (r, t) = (10.0, 1.0);
    // A field that is no distance: its slope is far from 1.
    let s = Surface::Level(
        sq(sq(xyz()[0].clone()) + sq(xyz()[1].clone()) + sq(xyz()[2].clone())) - r * r * r * r,
    );
    let (mesh, m) = lawful(&wall(s, t), 0.02);
    near(m.volume, 4.0 * PI * (r * r * t + t * t * t / 12.0), 1e-3);
    assert_eq!(m.components, 2);
    let worst = mesh.points.iter().map(|p| ((p.norm() - r).abs() - t / 2.0).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-4, "{worst}");
}

/// Sheets 1 mm apart with walls of 1.5 mm are one solid, and the job says where; sheets 2 mm apart are two, and it says
/// nothing.
#[test]
fn a_wall_that_meets_itself_is_told() {
    let said = |apart: f64| {
        let balls = (norm(xyz()) - 9.0) * (norm(xyz()) - (9.0 + apart));
        let form = wall(Surface::Level(balls), 1.5);
        realise::solid(&form, Tolerance::new(0.1).unwrap(), &Unwatched).unwrap().said
    };
    let told = said(1.0);
    assert!(
        told.iter().any(|s| s.starts_with("the wall meets itself near (") && s.contains("100.0 %")),
        "{told:?}"
    );
    assert_eq!(said(2.0), Vec::<String>::new());
}

/// A surface that leaps is a sheet to either side: two plates of 8 mm by 8 with round rims hold by Steiner's formula
/// At + πLt²/8 + πt³/6 each, less what a tolerance of a tenth of their radius takes off the rims. Stairs whose steps are lower
/// than the wall is thick are one.
#[test]
fn sheets_between_leaps_have_their_own_walls() {
    let leaping = |z: Expr, from: f64| {
        let params = ["u".to_owned(), "v".to_owned()];
        ogee::form::sheet([var("u"), var("v"), z], params, [(from, 8.0), (0.0, 8.0)]).unwrap()
    };
    let apart = leaping(Expr::unary(Unary::Sign, var("u")) * 2.0, -8.0);
    let (mesh, measures) = lawful(&ogee::form::wall(&apart, 0.6).unwrap(), 0.03);
    near(mesh.volume(), 2.0 * (64.0 * 0.6 + PI * 32.0 * 0.36 / 8.0 + PI * 0.216 / 6.0), 1.2e-2);
    assert_eq!(mesh.component_of_triangles().1, 2, "{measures:?}");
    let stairs = leaping(Expr::unary(Unary::Floor, var("u") / 2.0) / 2.0, 0.0);
    let (mesh, measures) = lawful(&ogee::form::wall(&stairs, 0.6).unwrap(), 0.03);
    assert_eq!((measures.genus, mesh.component_of_triangles().1), (0, 1));
}

#[test]
fn the_wall_of_a_gyroid_cut_flush() {
    let clip = block(Vec3::splat(30.0));
    let s = Surface::Clipped(Arc::new(Surface::Level(gyroid(60.0))), Arc::new(clip));
    let (mesh, m) = lawful(&wall(s, 1.5), 0.12);
    // Volume = area · t + (2π/3)·... the mean curvature term vanishes by symmetry and ∫K = 2πχ per cell, χ = -8:
    // V = A t + t³/12 · ∫K (Steiner's formula for both sides).
    let want = 3.091645551 * 3600.0 * 1.5 + 1.5f64.powi(3) / 12.0 * 2.0 * PI * -8.0;
    // Measured: 1.7e-3 too little at this tolerance; where it is lost is not yet known.
    near(m.volume, want, 3e-3);
    assert!(mesh.sides.len() == mesh.triangles.len());
}

/// Where the slope vanishes on the surface (the cube of a function), vertices still come onto it, to a fiftieth of a cell.
#[test]
fn a_surface_along_which_the_slope_vanishes() {
    let [x, y, z] = xyz();
    let q = sq(x) + sq(y) + sq(z) - 1.0;
    let ball = field(q.clone() * sq(q), Box3::cube(2.0));
    let mesh = realise::solid_in_cells(&ball, 0.1, &Unwatched).unwrap().mesh;
    let worst = mesh.points.iter().map(|p| (p.norm() - 1.0).abs()).fold(0.0, f64::max);
    assert!(worst < 2e-3, "{worst}");
    near(mesh.volume(), 4.0 / 3.0 * PI, 0.01);
}

/// The heart (x² + 9/4 y² + z² - 1)³ = x² z³ + 9/80 y² z³, whose slope vanishes on z = 0: the sign changes within a
/// hundredth of a cell of every vertex, but for the singular points on the axis.
#[test]
fn the_heart_has_no_dents() {
    let [x, y, z] = xyz();
    let q = sq(x.clone()) + sq(y.clone()) * 2.25 + sq(z.clone()) - 1.0;
    let cubed = sq(z.clone()) * z;
    let value = q.clone() * sq(q) - sq(x) * cubed.clone() - sq(y) * (9.0 / 80.0) * cubed;
    let step = 0.05;
    let heart = Solid::Field { value: value.clone(), within: Box3::cube(4.0) };
    let mesh = realise::solid_in_cells(&heart, step, &Unwatched).unwrap().mesh;
    let tape = Tape::new(&value).unwrap();
    let mut normals = vec![Vec3::ZERO; mesh.points.len()];
    for (k, t) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(k);
        t.iter().for_each(|i| normals[*i as usize] += (b - a).cross(c - a));
    }
    let off = mesh.points.iter().zip(normals).filter(|(p, n)| {
        let n = n.unit().unwrap() * (0.01 * step);
        let singular = p.x.hypot(p.y) < 2.0 * step;
        !(singular || tape.value(**p - n) < 0.0 && tape.value(**p + n) > 0.0)
    });
    assert_eq!(off.count(), 0);
}

/// Told by each triangle or searched for each point, the nearest point is the same.
#[test]
fn the_nearest_point_of_a_lattice() {
    let mesh = realise::solid(&ball(10.0), Tolerance::new(0.1).unwrap(), &Unwatched).unwrap().mesh;
    let tree = Tree::new(&mesh);
    let line = |from: f64| (0..9).map(|k| from + 0.7 * f64::from(k)).collect::<Vec<f64>>();
    let [xs, ys, zs] = [line(5.0), line(-2.0), line(4.0)];
    let each = tree.nearest_each([&xs, &ys, &zs], 1.0).unwrap();
    let mut found = 0;
    for (k, told) in each.into_iter().enumerate() {
        let p = Vec3::new(xs[k % 9], ys[k / 9 % 9], zs[k / 81]);
        assert_eq!(told, tree.nearest(p, 1.0, None), "{p:?}");
        found += usize::from(told.is_some());
    }
    assert!(found > 100, "{found}");
}

/// How far walls are from the thickness told, at 10,000 places of the skin away from creases and cuts: the distance is
/// taken to a mesh of the surface five times as fine, which is another way than the wall's own. Gives the part of the
/// places that are off by more than 1 % and by more than the tolerance, and the place that is off most.
fn thickness_off(surface: Surface, clip: Solid, wider: Solid, [t, tolerance]: [f64; 2]) -> (f64, f64) {
    let cut = |by| Surface::Clipped(Arc::new(surface.clone()), Arc::new(by));
    let (mesh, _) = lawful(&wall(cut(clip), t), tolerance);
    let fine =
        realise::surface(&cut(wider), Tolerance::new(tolerance / 5.0).unwrap(), &Unwatched).unwrap().mesh;
    let tree = Tree::new(&fine);
    let normal = |k: usize| {
        let [a, b, c] = mesh.corners(k);
        (b - a).cross(c - a)
    };
    let mut mean = vec![Vec3::ZERO; mesh.points.len()];
    let mut crease = vec![false; mesh.points.len()];
    for (k, t) in mesh.triangles.iter().enumerate() {
        t.iter().for_each(|v| mean[*v as usize] += normal(k));
    }
    for (k, t) in mesh.triangles.iter().enumerate() {
        let n = normal(k).unit().unwrap();
        t.iter()
            .for_each(|v| crease[*v as usize] |= mean[*v as usize].unit().is_none_or(|m| m.dot(n) < 0.95));
    }
    let skin: Vec<usize> = (0..mesh.triangles.len())
        .filter(|k| mesh.sides[*k] != Side::Cut && !mesh.triangles[*k].iter().any(|v| crease[*v as usize]))
        .collect();
    let mut end = 0.0;
    let ends: Vec<f64> = skin
        .iter()
        .map(|k| {
            end += normal(*k).norm();
            end
        })
        .collect();
    let mut chance = Chance(7);
    let mut off: Vec<f64> = (0..10_000)
        .map(|_| {
            let k = skin[ends.partition_point(|e| *e < chance.next() * end).min(skin.len() - 1)];
            let [a, b, c] = mesh.corners(k);
            let (u, v) = (chance.next(), chance.next());
            let (u, v) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
            let p = a + (b - a) * u + (c - a) * v;
            (2.0 * tree.nearest(p, f64::INFINITY, None).unwrap().distance - t).abs()
        })
        .collect();
    off.sort_by(f64::total_cmp);
    let allowed = (0.01 * t).max(tolerance);
    let beyond = off.iter().filter(|d| **d > allowed).count() as f64 / off.len() as f64;
    eprintln!("off: half {:.4}, 99 % {:.4}, most {:.4}, beyond {beyond}", off[5000], off[9900], off[9999]);
    (beyond, off[9999])
}

#[test]
fn walls_are_as_thick_as_told() {
    let surface = Surface::Level(gyroid(60.0));
    let (beyond, most) =
        thickness_off(surface, block(Vec3::splat(30.0)), block(Vec3::splat(32.0)), [2.0, 0.12]);
    assert!(beyond == 0.0, "gyroid: {beyond}, most {most}");
    // Two balls with a fillet between them.
    let balls = [ball(12.0), moved(ball(9.0), Affine::shift(Vec3::new(14.0, 3.0, 2.0)))];
    let blended = Solid::Blend(Arc::new(balls), 6.0);
    let blended =
        Surface::Level(blended.lower::<std::convert::Infallible>(&mut |_, _| unreachable!()).unwrap());
    let (beyond, most) = thickness_off(blended, ball(60.0), ball(60.0), [2.0, 0.1]);
    assert!(beyond == 0.0, "blend: {beyond}, most {most}");
    // Barth's sextic: 65 nodes, each a cone, where the sheets of the wall merge in creases and the skin is as curved as
    // half the thickness. Measured: 2.8 % of the places are beyond, by chords of triangles; 0.33 mm at most.
    let (beyond, most) =
        thickness_off(Surface::Level(barth(80.0 / 3.36)), ball(40.0), ball(44.0), [6.0, 0.16]);
    assert!(beyond < 0.03 && most < 0.4, "sextic: {beyond}, most {most}");
}

/// Barth's sextic, `scale` mm to a unit.
fn barth(scale: f64) -> Expr {
    let [x, y, z] = xyz().map(|v| v * (1.0 / scale));
    let square = |e: &Expr| e.clone() * e.clone();
    let (x, y, z) = (square(&x), square(&y), square(&z));
    let phi2 = 0.5 * (3.0 + 5f64.sqrt());
    let plane = |a: &Expr, b: &Expr| a.clone() * phi2 - b.clone();
    let sphere = x.clone() + y.clone() + z.clone() - 1.0;
    (plane(&x, &y) * plane(&y, &z) * plane(&z, &x)) * 4.0 - square(&sphere) * (2.0 + 5f64.sqrt())
}

/// Only marked faces are tested while a mesh is made by cells; testing all of them finds no crossing that was missed.
/// Finished, fewer than 1 % of the triangles are needles.
#[test]
fn meshes_by_cells_are_lawful() {
    let bumps = sin(xyz()[0].clone() * 3.1) * sin(xyz()[1].clone() * 2.7) + sin(xyz()[2].clone() * 2.9);
    let cases = [
        both(field(gyroid(20.0), Box3::cube(1e9)), block(Vec3::splat(15.0))),
        either(less(block(Vec3::splat(10.0)), ball(11.0)), rod(3.0, 2)),
        both(field(bumps, Box3::cube(1e9)), ball(8.0)),
    ];
    for (k, solid) in cases.into_iter().enumerate() {
        let solid = both(solid, ball(40.0));
        let made = realise::solid_in_cells(&solid, 0.35, &Unwatched).unwrap();
        assert_eq!(made.mesh.laws(), [], "case {k}");
        // Bumps that nearly touch are thin there, which is told; nothing else is.
        let told: Vec<&String> = made.said.iter().filter(|s| k < 2 || !s.contains("thinner than")).collect();
        assert!(told.is_empty(), "case {k}: {told:?}");
        let mesh = realise::solid(&solid, Tolerance::new(0.35 / 8.0).unwrap(), &Unwatched).unwrap().mesh;
        let needle = |t: &usize| least_angle(mesh.corners(*t)) < 5f64.to_radians();
        let part = (0..mesh.triangles.len()).filter(needle).count() as f64 / mesh.triangles.len() as f64;
        assert!(part < 0.01, "case {k}: {part}");
    }
}

fn least_angle([a, b, c]: [Vec3; 3]) -> f64 {
    let at = |p: Vec3, q: Vec3, r: Vec3| libm::atan2((q - p).cross(r - p).norm(), (q - p).dot(r - p));
    at(a, b, c).min(at(b, c, a)).min(at(c, a, b))
}

/// A wall whose sheet only touches a corner of its clip leaves no crumb there: the gyroid's cell is one piece.
#[test]
fn a_wall_leaves_no_crumbs() {
    let s = Surface::Clipped(Arc::new(Surface::Level(gyroid(60.0))), Arc::new(block(Vec3::splat(30.0))));
    let made = realise::solid(&wall(s, 2.0), Tolerance::new(0.12).unwrap(), &Unwatched).unwrap();
    assert_eq!(made.mesh.measures().components, 1, "{:?}", made.said);
}

/// Level sets with singular points still give solids.
#[test]
fn singular_surfaces() {
    let [x, y, z] = xyz();
    let r2 = sq(x.clone()) + sq(y.clone()) + sq(z.clone());
    let phi = 0.5 * (1.0 + 5f64.sqrt());
    let side = |a: &Expr, b: &Expr| sq(a.clone()) * (phi * phi) - sq(b.clone());
    let barth = side(&x, &y) * side(&y, &z) * side(&z, &x) * 4.0 - sq(r2.clone() - 1.0) * (1.0 + 2.0 * phi);
    let cayley = r2.clone() - x.clone() * y.clone() * z.clone() * 2.0 - 1.0;
    let kummer = {
        let s = 2f64.sqrt();
        let mu = 1.3f64 * 1.3;
        let l = (3.0 * mu - 1.0) / (3.0 - mu);
        let p = k(1.0) - z.clone() - x.clone() * s;
        let q = k(1.0) - z.clone() + x.clone() * s;
        let t = k(1.0) + z.clone() + y.clone() * s;
        let u = k(1.0) + z.clone() - y.clone() * s;
        sq(r2.clone() - mu) - p * q * t * u * l
    };
    let whitney = sq(x.clone()) * z.clone() - sq(y.clone());
    let cone = sq(x.clone()) + sq(y.clone()) - sq(z.clone());
    let cross = x.clone() * y.clone();
    for (name, f, r) in [
        ("Barth's sextic", -barth, 1.9),
        ("Cayley's cubic", cayley, 2.0),
        ("Kummer's quartic", kummer, 3.0),
        ("Whitney's umbrella", -whitney, 2.0),
        ("double cone", cone, 1.5),
        ("two planes", cross, 1.0),
    ] {
        eprintln!("{name}");
        let s = both(field(f, Box3::cube(1e9)), ball(r));
        lawful(&moved(s, Affine::scale(Vec3::splat(20.0 / r))), 0.08);
    }
}

/// A generator of numbers in 0..1 with a fixed start (Steele, Lea, Flood, OOPSLA 2014: splitmix).
struct Chance(u64);
impl Chance {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.next()
    }
    fn tree(&mut self, depth: u32) -> Solid {
        if depth == 0 {
            let s = match (self.next() * 4.0) as u32 {
                0 => ball(self.between(2.0, 6.0)),
                1 => block(Vec3::new(self.between(1.0, 6.0), self.between(1.0, 6.0), self.between(1.0, 6.0))),
                2 => both(rod(self.between(1.0, 4.0), 2), block(Vec3::splat(self.between(3.0, 7.0)))),
                // Corners at whole numbers: faces of several solids fall together.
                _ => block(Vec3::new(4.0, (self.next() * 6.0).ceil(), (self.next() * 6.0).ceil())),
            };
            if self.next() < 0.4 {
                return moved(
                    s,
                    Affine::shift(Vec3::new((self.next() * 6.0).floor(), 0.0, (self.next() * 4.0).floor())),
                );
            }
            let axis = Vec3::new(self.between(-1.0, 1.0), self.between(-1.0, 1.0), 1.0);
            let turn = Affine::turn(axis, self.between(0.0, 6.0)).unwrap();
            let shift = Vec3::new(self.between(-4.0, 4.0), self.between(-4.0, 4.0), self.between(-4.0, 4.0));
            return moved(s, turn.then(&Affine::shift(shift)));
        }
        let (a, b) = (self.tree(depth - 1), self.tree(depth - 1));
        match (self.next() * 4.0) as u32 {
            0 => either(a, b),
            1 => both(a, b),
            2 => less(a, b),
            _ => Solid::Blend(Arc::new([a, b]), self.between(0.2, 2.0)),
        }
    }
}

/// A mesh as OFF, for `tests/outside/check_trees.py`.
fn keep(name: &str, mesh: &Mesh) {
    let mut text = format!("OFF\n{} {} 0\n", mesh.points.len(), mesh.triangles.len());
    mesh.points.iter().for_each(|p| writeln!(text, "{} {} {}", p.x, p.y, p.z).unwrap());
    mesh.triangles.iter().for_each(|[a, b, c]| writeln!(text, "3 {a} {b} {c}").unwrap());
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("trees");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(name).with_extension("off"), text).unwrap();
}

/// Random set operations obey the laws of a solid; libraries of other people look at the meshes afterwards.
#[test]
fn random_trees() {
    let count = std::env::var("OGEE_TREES").ok().and_then(|n| n.parse().ok()).unwrap_or(300);
    let mut bad = Vec::new();
    for seed in 0..count {
        let s = Chance(seed).tree(1 + (seed % 3) as u32);
        match realise::solid(&s, Tolerance::new(0.1).unwrap(), &Unwatched) {
            Err(realise::RealiseFault::Empty) => {}
            Err(e) => bad.push(format!("{seed}: {e}")),
            Ok(made) => {
                let laws = made.mesh.laws();
                keep(&format!("{seed:03}"), &made.mesh);
                if !laws.is_empty() {
                    bad.push(format!("{seed}: {} broken, {:?}, {:?}", laws.len(), laws[0], made.said));
                }
            }
        }
    }
    assert!(bad.is_empty(), "{} of {count}: {bad:#?}", bad.len());
}

/// A field of noise: every ambiguous cell there is.
#[test]
fn noise() {
    let [x, y, z] = xyz();
    let n = sin(x.clone() * 91.7 + y.clone() * 37.1) * sin(y.clone() * 83.3 + z.clone() * 41.9)
        + sin(z * 77.7 + x * 53.3) * sin(y * 67.1);
    lawful(&both(field(n, Box3::cube(1e9)), ball(3.0)), 0.02);
}

/// Sheets and gaps thinner than the cells that the tolerance asks for are whole: a shell, a plate, a slot.
#[test]
fn thin_sheets_and_gaps() {
    let shell = less(ball(4.0), ball(3.9));
    let (_, m) = lawful(&shell, 0.1);
    near(m.volume, 4.0 / 3.0 * PI * (64.0 - 3.9 * 3.9 * 3.9), 1e-2);
    assert_eq!((m.components, m.genus), (2, 0));
    let (_, m) = lawful(&block(Vec3::new(4.0, 4.0, 0.05)), 0.1);
    near(m.volume, 8.0 * 8.0 * 0.1, 1e-6);
    let slotted = less(block(Vec3::new(8.0, 8.0, 3.0)), block(Vec3::new(0.04, 5.0, 4.0)));
    let (_, m) = lawful(&slotted, 0.1);
    near(m.volume, 16.0 * 16.0 * 6.0 - 0.08 * 10.0 * 6.0, 1e-6);
    assert_eq!(m.genus, 1);
}

/// Absolute values inside a sum have sharp edges and tips: an octahedron, 4/3 of the cube of its radius.
#[test]
fn sums_of_absolute_values_are_sharp() {
    let [x, y, z] = xyz().map(|v| Expr::unary(Unary::Abs, v));
    let (mesh, m) = lawful(&field(x + y + z - 10.0, Box3::cube(11.0)), 0.05);
    near(m.volume, 4000.0 / 3.0, 1e-4);
    for tip in [Vec3::new(10.0, 0.0, 0.0), Vec3::new(0.0, -10.0, 0.0), Vec3::new(0.0, 0.0, 10.0)] {
        assert!(mesh.points.iter().any(|p| (*p - tip).norm() < 1e-6), "tip {tip:?}");
    }
}

/// How far some places that belong to an edge lie from a mesh at most, mm.
fn edge_off(mesh: &Mesh, places: impl Iterator<Item = Vec3>) -> f64 {
    let tree = Tree::new(mesh);
    places.map(|p| (tree.nearest(p, f64::INFINITY, None).unwrap().point - p).norm()).fold(0.0, f64::max)
}

/// A lens, 25.7° at its rim: caps of height h = 1 of balls of radius r = 40 hold π h² (3 r - h)/3 each.
#[test]
fn the_rim_of_a_lens_is_sharp() {
    let [x, y, z] = xyz();
    let at = |dz: f64| field(norm([x.clone(), y.clone(), z.clone() - dz]) - 40.0, Box3::cube(100.0));
    let (mesh, m) = lawful(&both(at(39.0), at(-39.0)), 0.02);
    near(m.volume, 2.0 * PI * 119.0 / 3.0, 2e-3);
    let (rim, turn) = (79.0_f64.sqrt(), 2.0 * PI / 1000.0);
    let places =
        (0..1000).map(|i| Vec3::new((turn * f64::from(i)).cos(), (turn * f64::from(i)).sin(), 0.0) * rim);
    let off = edge_off(&mesh, places);
    assert!(off < 0.02, "the rim is off by {off}");
}

/// Two half-spaces that meet at 15° have a straight edge, whatever the lattice.
#[test]
fn an_acute_edge_is_straight() {
    let [x, _, z] = xyz();
    let steep = 7.5_f64.to_radians().tan();
    let sides = [z.clone() - x.clone() * steep, -z - x * steep].map(|e| field(e, Box3::cube(100.0)));
    let [upper, lower] = sides;
    let wedge = both(both(upper, lower), block(Vec3::new(8.0, 6.0, 4.0)));
    let turned = Affine::turn(Vec3::new(0.3, 0.5, 0.8), 0.7).unwrap();
    let (mesh, m) = lawful(&moved(wedge, turned), 0.02);
    near(m.volume, 8.0 * 8.0 * steep * 12.0, 1e-3);
    let off =
        edge_off(&mesh, (0..=1000).map(|i| turned.apply(Vec3::new(0.0, -6.0 + 0.012 * f64::from(i), 0.0))));
    assert!(off < 0.02, "the edge is off by {off}");
}

/// x² + y² + z² - 2xyz < 1 within the cube touches four of its corners, in cone points.
#[test]
fn cone_points_in_corners_are_reached() {
    let [x, y, z] = xyz();
    let value = sq(x.clone()) + sq(y.clone()) + sq(z.clone()) - x * y * z * 2.0 - 1.0;
    let pillow = both(field(value, Box3::cube(1.0)), block(Vec3::splat(1.0)));
    let aslant = |turn: f64| Affine::turn(Vec3::new(1.0, 0.4, 0.7), turn).unwrap();
    // A cone along an axis of the lattice: the slope turns from cell to cell, and not within one.
    let quarter = Affine::turn(Vec3::new(0.0, 0.0, 1.0), PI / 4.0).unwrap();
    let upright = quarter.then(&Affine::turn(Vec3::new(1.0, 0.0, 0.0), 2f64.sqrt().atan()).unwrap());
    for (by, turn) in [(aslant(0.0), "0"), (aslant(0.4), "0.4"), (aslant(1.1), "1.1"), (upright, "upright")] {
        let (mesh, _) = lawful(&moved(pillow.clone(), by), 0.004);
        let tips = [[1.0, 1.0, 1.0], [1.0, -1.0, -1.0], [-1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]];
        let off = edge_off(&mesh, tips.into_iter().map(|p| by.apply(p.into())));
        assert!(off < 0.004, "turned by {turn} a tip is off by {off}");
    }
}

/// The ridges of ||x| - |y|| + |z| < 1 run along the diagonals of the lattice.
#[test]
fn ridges_along_diagonals_are_whole() {
    let [x, y, z] = xyz().map(|c| Expr::unary(Unary::Abs, c));
    let value = Expr::unary(Unary::Abs, x - y) + z - 1.0;
    let (mesh, _) = lawful(&both(field(value, Box3::cube(9.0)), ball(3.0)), 0.02);
    let off = edge_off(
        &mesh,
        (0..=200).map(|i| Vec3::new(0.3 + 0.008 * f64::from(i), 0.3 + 0.008 * f64::from(i), 1.0)),
    );
    assert!(off < 0.02, "the ridge is off by {off}");
}

/// A crossing behind which a branch a million times as steep sets in is found: a rod whose field is tiny, cut by planes.
#[test]
fn branches_of_very_unlike_slopes_meet_in_flat_faces() {
    let [x, y, z] = xyz();
    let rod = (sq(x) + sq(y) - 25.0) * 1e-8;
    let cut = both(field(rod, Box3::cube(11.0)), field(z.clone() - 6.0, Box3::cube(11.0)));
    let (_, m) = lawful(&both(cut, field(-z - 6.0, Box3::cube(11.0))), 0.1);
    near(m.volume, PI * 25.0 * 12.0, 5e-3);
}

/// Faces on the lattice, values exactly zero.
#[test]
fn exact_zeros() {
    let [x, y, z] = xyz();
    let steps = |v: Expr| Expr::unary(Unary::Floor, v);
    let s = (steps(x) + steps(y)).max(steps(z));
    lawful(&both(field(s + 1.0, Box3::cube(1e9)), block(Vec3::splat(4.0))), 0.05);
}

/// Where a formula has no value there is nothing, also beside other solids: the vase r < 8 sqrt(1 - (z/10)²) is an
/// ellipsoid of volume 4/3 π 8² 10.
#[test]
fn nothing_stands_where_there_is_no_value() {
    let [x, y, z] = xyz();
    let vase = norm([x, y, k(0.0)]) - k(8.0) * (k(1.0) - sq(z / 10.0)).sqrt();
    let everywhere = Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY));
    let cut = both(field(vase, everywhere), block(Vec3::new(15.0, 15.0, 30.0)));
    let (_, m) = lawful(&cut, 0.05);
    near(m.volume, 4.0 / 3.0 * std::f64::consts::PI * 640.0, 5e-3);
}
