//! Bent edges that follow circles, as arcs: those that a projection from a sphere or an inversion makes. Lengths are mm.

use super::strut::{Bend, Strut};
use crate::base::Vec3;

/// An arc is told from a straight edge when its radius is less than this many times its length; places lie on a circle to
/// this part of its radius; no arc spans more than this angle, and no tube on one grows faster than this along it.
const FLATTEST: f64 = 1e4;
const ON: f64 = 1e-7;
const WIDEST: f64 = std::f64::consts::FRAC_PI_6;
const STEEPEST: f64 = 0.5;

/// An edge that follows a circle, its radius a straight function of the place (as a projection from a sphere makes them), as
/// arcs; `None` for any other.
pub(super) fn arcs(row: &[(Vec3, f64)], edge: usize) -> Option<Vec<Strut>> {
    let (first, middle, last) = (row.first()?, row.get(row.len() / 2)?, row.last()?);
    if row.len() < 4 {
        return None;
    }
    let (u, v) = (middle.0 - first.0, last.0 - first.0);
    let n = u.cross(v);
    let normal = n.unit()?;
    let centre = first.0 + (v.cross(n) * u.dot(u) + n.cross(u) * v.dot(v)) * (0.5 / n.dot(n));
    let from = first.0 - centre;
    let radius = from.norm();
    let long: f64 = row.windows(2).map(|w| (w[1].0 - w[0].0).norm()).sum();
    if !(radius < FLATTEST * long) {
        return None;
    }
    let axes = [from / radius, normal.cross(from / radius)];
    let angle = |p: Vec3| {
        let [x, y] = axes.map(|a| (p - centre).dot(a));
        libm::atan2(y, x).rem_euclid(2.0 * std::f64::consts::PI)
    };
    let angles: Vec<f64> =
        row.iter().enumerate().map(|(k, p)| if k == 0 { 0.0 } else { angle(p.0) }).collect();
    let law = law_of([first, middle, last].map(|p| p.1), [angles[row.len() / 2], angles[row.len() - 1]]);
    let told = |t: f64| law[0] + law[1] * libm::cos(t) + law[2] * libm::sin(t);
    let off = |(p, t): (&(Vec3, f64), &f64)| {
        let q = centre + (axes[0] * libm::cos(*t) + axes[1] * libm::sin(*t)) * radius;
        (p.0 - q).norm() <= ON * radius && (p.1 - told(*t)).abs() <= ON * p.1
    };
    let steep = (law[1] * law[1] + law[2] * law[2]).sqrt() / radius;
    if !(steep < STEEPEST && angles.windows(2).all(|w| w[0] < w[1]) && row.iter().zip(&angles).all(off)) {
        return None;
    }
    let whole = angles[row.len() - 1];
    let count = (whole / WIDEST).ceil();
    let half = 0.5 * whole / count;
    let piece = |k: usize| {
        let at = half * (2.0 * k as f64 + 1.0);
        let (c, s) = (libm::cos(at), libm::sin(at));
        let turned = [axes[0] * c + axes[1] * s, axes[1] * c - axes[0] * s];
        let law = [law[0], law[1] * c + law[2] * s, law[2] * c - law[1] * s];
        let half = [libm::cos(half), libm::sin(half)];
        Strut::bent(Bend { centre, axes: turned, radius, half, law }, edge)
    };
    Some((0..count as usize).map(piece).collect())
}

/// The numbers a, b, c for which a + b cos t + c sin t has three values, at 0 and at two angles.
fn law_of([r, m, l]: [f64; 3], [t, u]: [f64; 2]) -> [f64; 3] {
    if (m - r).abs().max((l - r).abs()) <= ON * ON * r {
        return [r, 0.0, 0.0];
    }
    let (x, y, z, w) = (libm::cos(t) - 1.0, libm::sin(t), libm::cos(u) - 1.0, libm::sin(u));
    let det = x * w - y * z;
    let b = ((m - r) * w - (l - r) * y) / det;
    let c = (x * (l - r) - z * (m - r)) / det;
    [r - b, b, c]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::net::struts::places;

    /// The arc of a projected edge against many balls about places of the true arc, where the sphere's own points stand: the
    /// images of equal steps between its ends.
    #[test]
    fn bent_edges_are_true_arcs() {
        let net = crate::form::net::polytope("[3,3,3]", "1000", 40.0).unwrap();
        let row = |e: &crate::form::net::Edge| {
            places(&net, e, 1).into_iter().map(|(p, size)| (p, 5.0 * size)).collect::<Vec<_>>()
        };
        let mut bent = 0;
        for edge in net.edges() {
            let row = row(edge);
            let Some(made) = arcs(&row, 0) else { continue };
            bent += 1;
            for i in 0..40 {
                let k = f64::from(i);
                let p = row[i as usize % row.len()].0
                    + Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * 12.0;
                let found = made.iter().map(|s| s.distance(p).0).fold(f64::MAX, f64::min);
                // Balls about the row's places lie in the arc; cones between them are no further in than a chord's rise.
                let balls = row.iter().map(|(q, r)| (p - *q).norm() - r).fold(f64::MAX, f64::min);
                let cones = row.windows(2).map(|w| Strut::new([w[0].0, w[1].0], [w[0].1, w[1].1], 0));
                let cones = cones.map(|s| s.distance(p).0).fold(f64::MAX, f64::min);
                assert!(found <= balls + 1e-9, "{found} {balls}");
                assert!((found - cones).abs() < 0.03, "{found} {cones}");
                // No slope is steeper than 1.
                let q = p + Vec3::new(0.3, -0.2, 0.4);
                let there = made.iter().map(|s| s.distance(q).0).fold(f64::MAX, f64::min);
                assert!((found - there).abs() <= (p - q).norm() + 1e-9);
            }
        }
        assert!(bent >= 6, "{bent}");
    }
}
