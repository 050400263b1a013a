//! Meshes of surfaces in two parameters without gaps, nearest places, and what is left out.

use std::collections::HashMap;

use super::*;
use crate::base::Unwatched;
use crate::formula::Unary;
use std::f64::consts::{PI, TAU};

fn names() -> [String; 2] {
    ["u".to_owned(), "v".to_owned()]
}

fn sin(e: Expr) -> Expr {
    Expr::unary(Unary::Sin, e)
}

fn cos(e: Expr) -> Expr {
    Expr::unary(Unary::Cos, e)
}

/// The sphere of radius 5, by latitude and longitude.
fn sphere() -> Param {
    let (u, v) = (Expr::var("u"), Expr::var("v"));
    let ring = cos(u.clone()) * 5.0;
    let components = [ring.clone() * cos(v.clone()), ring * sin(v), sin(u) * 5.0];
    Param::new(&components, &names(), [(-0.5 * PI, 0.5 * PI), (0.0, TAU)]).unwrap()
}

/// Edges of one triangle lie at the ends of the ranges: nowhere else is a gap.
fn gaps(mesh: &Mesh, at: &[[f64; 2]], ranges: [(f64, f64); 2]) -> usize {
    let mut count: HashMap<[u32; 2], u32> = HashMap::new();
    for t in &mesh.triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            *count.entry([a.min(b), a.max(b)]).or_default() += 1;
        }
    }
    let ends = |k: usize, i: u32| {
        let t = at[i as usize][k];
        t == ranges[k].0 || t == ranges[k].1
    };
    let at_end = |[a, b]: [u32; 2]| (0..2).any(|k| ends(k, a) && ends(k, b));
    count.iter().filter(|(e, n)| **n > 2 || (**n == 1 && !at_end(**e))).count()
}

#[test]
fn nearest_places_of_a_sphere_are_right() {
    let mut sphere = sphere();
    let (mesh, at) = sphere.mesh(0.6, None, &Unwatched).unwrap();
    for i in 0..500 {
        let k = f64::from(i);
        let p = Vec3::new((k * 0.7).sin() * 6.0, (k * 1.3).cos() * 6.0, (k * 0.37).sin() * 6.0);
        // From the corners of the mesh that are near: those of a seam see one side of it only.
        let near = mesh.points.iter().map(|c| (*c - p).norm()).fold(f64::INFINITY, f64::min) + 0.3;
        let (q, normal) = (0..mesh.points.len())
            .filter(|k| (mesh.points[*k] - p).norm() <= near)
            .map(|k| sphere.nearest(p, at[k]))
            .min_by(|a, b| (a.0 - p).norm().total_cmp(&(b.0 - p).norm()))
            .unwrap();
        assert!((q.norm() - 5.0).abs() < 3e-4, "{i}: {}", q.norm());
        assert!(((p - q).norm() - (p.norm() - 5.0).abs()).abs() < 1e-3, "{i}");
        let straight = normal.unit().map_or(1.0, |n| (n.dot(q) / 5.0).abs());
        assert!(straight > 0.999, "{i}: {straight}");
    }
}

/// A surface with a sharp wave on one side only: pieces of many sizes stand side by side, and leave no gap.
#[test]
fn pieces_of_different_sizes_leave_no_gap() {
    let (u, v) = (Expr::var("u"), Expr::var("v"));
    let bump = Expr::unary(Unary::Exp, -(u.clone() * u.clone() + v.clone() * v.clone()) * 40.0);
    let ranges = [(-1.0, 2.0), (-1.5, 1.0)];
    let mut param = Param::new(&[u * 10.0, v * 10.0, bump * 3.0], &names(), ranges).unwrap();
    let (mesh, at) = param.mesh(0.4, None, &Unwatched).unwrap();
    let sizes: std::collections::HashSet<[u32; 2]> = param.pieces.iter().map(|p| p.size).collect();
    assert!(sizes.len() > 3, "{sizes:?}");
    assert_eq!(gaps(&mesh, &at, ranges), 0);
    assert!(mesh.points.len() > 1000 && mesh.points.len() < 200_000, "{}", mesh.points.len());
    let longest = mesh
        .triangles
        .iter()
        .flat_map(|t| (0..3).map(move |k| [t[k], t[(k + 1) % 3]]))
        .map(|[a, b]| (mesh.points[a as usize] - mesh.points[b as usize]).norm())
        .fold(0.0, f64::max);
    // Diagonals of cells as long as asked, at most.
    assert!(longest < 0.4 * 1.6, "{longest}");
}

/// Of a plane that runs to infinity only the part near the clip is seen.
#[test]
fn what_the_clip_cannot_reach_is_left_out() {
    let (u, v) = (Expr::var("u"), Expr::var("v"));
    let far = |e: &Expr| e.clone() / (Expr::constant(1.0) - e.clone() * e.clone());
    let [x, y, z] = ["x", "y", "z"].map(Expr::var);
    let ball = (x.clone() * x + y.clone() * y + z.clone() * z).sqrt() - 2.0;
    let wanted = Wanted { clip: &ball, within: Box3::cube(2.0), margin: 0.1 };
    let mut param = Param::new(
        &[far(&u), far(&v), Expr::constant(0.0)],
        &names(),
        [(-1.0 + 1e-9, 1.0 - 1e-9), (-1.0, 1.0)],
    )
    .unwrap();
    let (mesh, _) = param.mesh(0.1, Some(wanted), &Unwatched).unwrap();
    let furthest =
        mesh.triangles.iter().flatten().map(|i| mesh.points[*i as usize].norm()).fold(0.0, f64::max);
    assert!((2.1..3.0).contains(&furthest), "{furthest}");
    assert!(param.pieces.len() < 2000, "{}", param.pieces.len());
    // The disc and little more.
    let area: f64 = mesh
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|i| mesh.points[i as usize]);
            0.5 * (b - a).cross(c - a).norm()
        })
        .sum();
    assert!((PI * 4.41..PI * 7.0).contains(&area), "{area}");
}

/// A leap is told of, and where: it stands at u = 0.25.
#[test]
fn where_a_surface_leaps_is_told() {
    let (u, v) = (Expr::var("u"), Expr::var("v"));
    let leap = Expr::unary(Unary::Sign, u.clone() - 0.25) * 5.0;
    let mut param = Param::new(&[u, v, leap], &names(), [(-1.0, 1.0), (-1.0, 1.0)]).unwrap();
    param.mesh(0.2, None, &Unwatched).unwrap();
    let said = param.said(&names()).unwrap();
    assert!(said.contains("near u = 0.2") && said.contains("leaps"), "{said}");
    let mut whole = sphere();
    whole.mesh(0.6, None, &Unwatched).unwrap();
    assert_eq!(whole.said(&names()), None);
    let half = [Expr::var("u"), Expr::var("v"), Expr::var("u").sqrt()];
    let mut half = Param::new(&half, &names(), [(-1.0, 1.0), (-1.0, 1.0)]).unwrap();
    half.mesh(0.02, None, &Unwatched).unwrap();
    let said = half.said(&names()).unwrap();
    assert!(said.contains("about 50 % of its ranges") || said.contains("about 49 %"), "{said}");
}

#[test]
fn a_place_of_nothing_is_empty() {
    let nan = Expr::constant(f64::NAN);
    let mut param =
        Param::new(&[Expr::var("u"), Expr::var("v"), nan], &names(), [(0.0, 1.0), (0.0, 1.0)]).unwrap();
    assert!(matches!(param.mesh(0.1, None, &Unwatched), Err(RealiseFault::Empty | RealiseFault::TooLarge)));
}
