//! The mesh of a tube along a polyline whose corners leave too little room for rings about them: a disc turns about each corner.
//!
//! Where the tube meets itself, its rows cross, and the tube is the skin of what they go round.

use std::f64::consts::TAU;

use super::lid::Lid;
use super::outermost::outermost;
use super::rows::{Rows, Size};
use super::{CELL, RealiseFault, finish, half, rings};
use crate::base::{Vec2, Vec3, Watch};
use crate::form::Solid;
use crate::form::{self, Corner};
use crate::shape::{Mesh, Tree};

/// Parts of the tolerance: how far a ring may be from round, a turn from its arc, and what is one.
const ROUND: f64 = 0.4;
const TURNED: f64 = 0.2;
const SNAP: f64 = 0.02;
/// Rings of a straight stretch are no further apart than so many radii.
const APART: f64 = 4.0;

/// The mesh of a solid that is nothing but a tube along polylines; `None` for every other, and where it does not come out soundly.
///
/// # Errors
/// When the watch says stop.
pub fn bent(form: &Solid, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let Some((curve, radius)) = rings::alone(form) else { return Ok(None) };
    let (mut mesh, mut line) = (Mesh::default(), Mesh::default());
    for strand in curve.strands() {
        watch.check()?;
        let Some(corners) = form::turning(strand) else { return Ok(None) };
        let Some(one) = along(&corners, strand.is_closed(), radius, tolerance) else { return Ok(None) };
        mesh.append(&one);
        for w in corners.windows(2) {
            let first = line.points.len() as u32;
            line.points.extend(w.iter().map(|c| c.stand.place));
            line.triangles.push([first, first + 1, first + 1]);
        }
    }
    if mesh.laws_of_joints().is_empty() && finish::is_sound(&mesh) {
        return Ok(Some(mesh));
    }
    let (tree, least) = (Tree::new(&line), radius - tolerance);
    let near = |p: Vec3| tree.nearest(p, least, None).is_some();
    let Some(mesh) = outermost(&mesh, tolerance, near) else { return Ok(None) };
    let (mesh, proven, _) = finish::finish(mesh, tolerance, CELL * tolerance, watch)?;
    Ok((mesh.laws_of_joints().is_empty() && (proven || finish::is_sound(&mesh))).then_some(mesh))
}

/// A disc along one polyline, with round ends.
fn along(corners: &[Corner], closed: bool, radius: f64, tolerance: f64) -> Option<Mesh> {
    let count = rings::corners(radius, ROUND * tolerance);
    // As much area as the circle has.
    let reach = radius * (TAU / (count as f64 * libm::sin(TAU / count as f64))).sqrt();
    let at = |k: usize| Vec2::at_angle(TAU * k as f64 / count as f64) * reach;
    let mut loops = vec![(0..count).map(at).collect::<Vec<Vec2>>()];
    let snap = SNAP * tolerance;
    for Vec2 { x, y } in corners.iter().filter_map(|c| c.turn).map(|turn| turn.outward) {
        half::part(&mut loops, Vec2::new(x, y), snap);
        if !closed {
            half::part(&mut loops, Vec2::new(-x, y), snap);
        }
    }
    let lid = if closed { None } else { Some(Lid::over(&mut loops, tolerance, snap)?) };
    let size = Size { reach, off: TURNED * tolerance, apart: APART * radius };
    let mut rows = Rows::new(&loops);
    corners.iter().try_for_each(|corner| rows.corner(corner, &size))?;
    match lid {
        None => rows.home(snap),
        Some(lid) => rows.lids([corners[0].stand, corners[corners.len() - 1].stand], &lid, &size),
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::base::Unwatched;
    use crate::form::{polyline, tube};

    fn made(points: &[[f64; 3]], closed: bool, radius: f64) -> Mesh {
        let path = polyline(&points.iter().copied().map(Vec3::from).collect::<Vec<_>>(), closed).unwrap();
        let mesh = bent(&tube(&path, radius).unwrap(), 0.02, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    /// The arms of a corner share what lies between them: an arm of a length holds πr² of it, a ball closes the ends, and at the
    /// corner half of what a wedge takes from a rod, (4/3)r³ tan h for a turn of 2h, is counted twice; outside it a part h/π of a
    /// ball is added. Elementary.
    #[test]
    fn a_sharp_corner_holds_its_wedge() {
        let (r, long) = (2.0, 30.0);
        for inner in [40.0f64, 60.0, 90.0] {
            let angle = inner.to_radians();
            let mesh =
                made(&[[long, 0.0, 0.0], [0.0; 3], [long * angle.cos(), long * angle.sin(), 0.0]], false, r);
            let turn = PI - angle;
            let ball = 4.0 / 3.0 * PI * r.powi(3);
            let exact = 2.0 * PI * r * r * long + ball + ball * turn / TAU
                - 4.0 / 3.0 * r.powi(3) * (turn / 2.0).tan();
            assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{inner}: {} for {exact}", mesh.volume());
            assert_eq!(mesh.measures().genus, 0);
        }
    }

    /// A zigzag that is one with itself beyond its corners: no point of its mesh lies deeper than it should.
    #[test]
    fn a_crowded_zigzag_is_one() {
        let points = [[0.0, 0.0, 0.0], [5.0, 20.0, 0.0], [10.0, 0.0, 0.0], [15.0, 20.0, 0.0]];
        let mesh = made(&points, false, 3.0);
        for p in &mesh.points {
            let away = points.windows(2).map(|w| super::super::far_from_chord(*p, w[0].into(), w[1].into()));
            let off = away.fold(f64::INFINITY, f64::min) - 3.0;
            assert!(off.abs() < 0.03, "{p:?}: {off}");
        }
    }
}
