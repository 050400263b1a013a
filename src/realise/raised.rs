//! The mesh of a raised flat by itself: its outline below and above, upright sides between, and both ends parted into triangles.

use super::end::end;
use super::finish;
use crate::base::{Vec2, Vec3};
use crate::form::Solid;
use crate::shape::Mesh;

/// How far the outline may be from the flat's, as a part of the tolerance.
const OUTLINE: f64 = 0.3;
/// Cells of the sides are no longer than this many times as wide.
const SLIM: f64 = 6.0;
/// Most points inside the ends for each on their outline.
const INSIDE: usize = 2;

/// The mesh of a solid that is nothing but a raised flat, moved as a whole or not; `None` for every other, and where loops touch.
pub fn raised(form: &Solid, tolerance: f64) -> Option<Mesh> {
    let (Solid::Raised(raised), by) = form.unmoved() else { return None };
    let height = raised.height();
    let loops: Vec<Vec<Vec2>> = raised
        .outlines(OUTLINE * tolerance / by.similar()?)
        .into_iter()
        .map(|l| parted(&l, SLIM * height))
        .collect();
    let mut mesh = both(&loops, height)?;
    sides(&mut mesh, &loops, height);
    mesh.carry(&by);
    (mesh.laws_of_joints().is_empty() && finish::is_sound(&mesh)).then_some(mesh)
}

/// A loop with sides cut to no more than so many mm.
pub fn parted(l: &[Vec2], most: f64) -> Vec<Vec2> {
    let parts = |k: usize| {
        let (p, q) = (l[k], l[(k + 1) % l.len()]);
        let count = ((q - p).norm() / most).ceil().max(1.0) as usize;
        (0..count).map(move |i| p.toward(q, i as f64 / count as f64))
    };
    (0..l.len()).flat_map(parts).collect()
}

/// Both ends: below all points of the loops in turn and those inside, then the same above.
fn both(loops: &[Vec<Vec2>], height: f64) -> Option<Mesh> {
    let (points, triangles) = end(loops, INSIDE)?;
    let count = points.len() as u32;
    let mut mesh = Mesh::default();
    for z in [0.0, height] {
        mesh.points.extend(points.iter().map(|p| Vec3::new(p.x, p.y, z)));
    }
    for [a, b, c] in triangles {
        mesh.triangles.extend([[a, c, b], [a + count, b + count, c + count]]);
    }
    Some(mesh)
}

/// The upright sides, in so many rows that cells are not too long.
fn sides(mesh: &mut Mesh, loops: &[Vec<Vec2>], height: f64) {
    let above = mesh.points.len() / 2;
    let mut first = 0;
    for l in loops {
        let n = l.len();
        let mut wide: Vec<f64> = (0..n).map(|k| (l[(k + 1) % n] - l[k]).norm()).collect();
        wide.sort_by(f64::total_cmp);
        let rows = (height / (SLIM * wide[n / 2])).ceil().max(1.0) as usize;
        let start = mesh.points.len();
        for row in 1..rows {
            let z = height * row as f64 / rows as f64;
            mesh.points.extend(l.iter().map(|p| Vec3::new(p.x, p.y, z)));
        }
        let at = |row: usize, k: usize| match row {
            0 => first + k % n,
            _ if row == rows => above + first + k % n,
            _ => start + (row - 1) * n + k % n,
        };
        for row in 0..rows {
            for k in 0..n {
                let [a, b, c, d] =
                    [at(row, k), at(row, k + 1), at(row + 1, k + 1), at(row + 1, k)].map(|i| i as u32);
                mesh.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
        first += n;
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::form::flat::{difference, disc, polygon, raise, regular};

    fn made(flat: &crate::form::Flat, height: f64, tolerance: f64) -> Mesh {
        let mesh = raised(&raise(flat, height).unwrap(), tolerance).unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    /// A block of twelve triangles or few more, a ring, and a star whose tips stand where they should.
    #[test]
    fn raised_flats_have_their_volumes_and_corners() {
        let square =
            polygon(&[[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [-5.0, 5.0]].map(Vec2::from), 0.0).unwrap();
        let block = made(&square, 4.0, 0.05);
        assert!((block.volume() - 400.0).abs() < 1e-9 && block.triangles.len() <= 16);
        let ring = difference(&disc(10.0).unwrap(), &disc(6.0).unwrap());
        let mesh = made(&ring, 3.0, 0.01);
        assert!((mesh.volume() / (3.0 * 64.0 * PI) - 1.0).abs() < 1e-3, "{}", mesh.volume());
        assert_eq!(mesh.measures().genus, 1);
        let star = regular(5, 15.0, 2).unwrap();
        let mesh = made(&star, 5.0, 0.05);
        assert!((mesh.volume() - 5.0 * star.area()).abs() < 1e-6);
        for k in 0..5 {
            let tip = Vec2::at_angle(PI * (0.5 + 0.4 * f64::from(k))) * 15.0;
            let near = |p: &Vec3| Vec2::new(p.x - tip.x, p.y - tip.y).norm();
            let off = mesh.points.iter().map(near).fold(f64::INFINITY, f64::min);
            let other =
                mesh.points.iter().map(|p| near(&Vec3::new(-p.y, p.x, 0.0))).fold(f64::INFINITY, f64::min);
            assert!(off.min(other) < 1e-9, "{k}: {off} {other}");
        }
    }
}
