//! Rosettes in regular polygons: petals about a star, of strands that run on from tile to tile.

use super::stars::Ray;
use crate::base::Vec2;

/// Sides and corners of a tile that agree to this part make it regular.
const REGULAR: f64 = 1e-6;

/// The rosette in a regular polygon about the origin's place in a map where strands are straight, and `None` in any other:
/// about each middle of an edge a petal of six sides, whose tip is there, whose sides run square to the edge, and whose inner
/// tips are those of a star about the middle. The four outer sides of a petal are equal. Each row is the line from one edge
/// to the next but one. `ray` is the ray of the first edge that leans forward.
///
/// From the middle of an edge, x along it and y inwards from the polygon's centre: a ray that starts `off` behind the middle
/// turns at B = (h, ρ - t sin θ), h = t cos θ - off, runs along x = h, crosses the ray beside it at C = (h, h cot π/n), on the
/// line to the polygon's corner, and ends at D = (h, h cot 2π/n), on the line to the middle of the next edge. B C is as long
/// as the ray's first part: t = (ρ + off cot π/n)/(1 + sin θ + cos θ cot π/n). Source: A. J. Lee, Muqarnas 4 (1987) 182, who
/// has petals so; the formulas are from this figure.
pub(super) fn rosette(sides: &[(Vec2, Vec2)], ray: &Ray) -> Option<Vec<[Vec2; 5]>> {
    let count = sides.len();
    let centre = sides.iter().fold(Vec2::ZERO, |s, e| s + e.0) / count as f64;
    let (first, second) = *sides.first()?;
    let (long, round) = ((second - first).norm(), (first - centre).norm());
    let alike = |(a, b): &(Vec2, Vec2)| {
        ((*b - *a).norm() - long).abs() < REGULAR * long
            && ((*a - centre).norm() - round).abs() < REGULAR * long
    };
    if count < 5 || !sides.iter().all(alike) {
        return None;
    }
    let along = (second - first) / long;
    let step = std::f64::consts::PI / count as f64;
    let cot = |x: f64| 1.0 / libm::tan(x);
    let (inner, off) = (0.5 * long * cot(step), (first.toward(second, 0.5) - ray.start).dot(along));
    let (sin, cos) = (ray.direction.dot(along.left()), ray.direction.dot(along));
    let t = (inner + off * cot(step)) / (1.0 + sin + cos * cot(step));
    let h = t * cos - off;
    if h <= REGULAR * long {
        return None;
    }
    let line = |k: usize| {
        // Of an edge: its start, B and D for the ray that leans forward (or back).
        let at = |k: usize, x: f64, y: f64| {
            let (a, b) = sides[k % count];
            let along = (b - a) / long;
            centre + along * x - along.left() * y
        };
        let next = k + 2;
        [
            at(k, -off, inner),
            at(k, h, inner - t * sin),
            at(k, h, h * cot(2.0 * step)),
            at(next, -h, inner - t * sin),
            at(next, off, inner),
        ]
    };
    Some((0..count).map(line).collect())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::stars::tests::polygon;
    use super::super::{Stars, hyperbolic, stars, stars_on_sphere};
    use crate::base::Vec2;

    /// Petals have four equal outer sides; strands go straight on where they cross, and leave at the contact angle.
    #[test]
    fn rosettes_have_equal_petals() {
        for (n, angle) in [(6, 50.0), (8, 45.0), (10, 54.0), (12, 60.0), (5, 40.0)] {
            let angle = f64::to_radians(angle);
            let (made, loose) = stars(&polygon(n), &Stars { angle, apart: 0.0, rosettes: 5 }).unwrap();
            assert_eq!((made.lines().count(), loose), (n as usize, 0));
            let inner = 0.5 / libm::tan(PI / f64::from(n));
            for line in made.lines() {
                let [a, b, d] = [0, 1, 2].map(|k| line.pieces[k].start());
                assert!((a.norm() - inner).abs() < 1e-12);
                // Where the line to D passes the corner's line, half a step on.
                let axis = Vec2::at_angle(a.angle() + PI / f64::from(n)).left();
                let part = b.dot(axis) / (b - d).dot(axis);
                let c = b.toward(d, part);
                assert!(((c - b).norm() - (b - a).norm()).abs() < 1e-12, "{n}");
                assert!((d.angle() - a.angle() - 2.0 * PI / f64::from(n)).sin().abs() < 1e-9, "{n}");
                let turn = (b - a).unit().unwrap().dot(-a.unit().unwrap());
                assert!((turn - angle.sin()).abs() < 1e-12);
            }
        }
        let few = stars(&polygon(6), &Stars { angle: 1.0, apart: 0.0, rosettes: 7 }).unwrap().0;
        assert_eq!(few.lines().next().unwrap().pieces.len(), 2);
    }

    /// In the disc strands go straight on from tile to tile too: where a line of the first tile starts, one of another tile
    /// comes from the other side in line with it. On the sphere all points lie on it.
    #[test]
    fn rosettes_in_every_geometry() {
        let ask = Stars { angle: f64::to_radians(55.0), apart: 0.0, rosettes: 5 };
        let disc = hyperbolic(7, 3, 50.0, 1, true).unwrap();
        let (made, loose) = stars(&disc, &ask).unwrap();
        let lines: Vec<_> = made.lines().collect();
        assert_eq!((lines.len(), loose), (7 * disc.tiles().len(), 0));
        for line in &lines[..7] {
            let leaves = line.pieces[0].direction(false);
            let other = lines[7..].iter().find_map(|l| {
                let ends =
                    [(l.start(), l.pieces[0].direction(false)), (l.end(), -l.pieces[3].direction(true))];
                ends.into_iter().find(|(p, d)| (*p - line.start()).norm() < 1e-9 && d.dot(leaves) < -0.5)
            });
            let (_, comes) = other.unwrap();
            assert!(comes.cross(leaves).abs() < 1e-6, "{comes:?} {leaves:?}");
        }
        // In each of the dodecahedron's faces five lines of four pieces, of which two are crossed.
        let ball = crate::form::net::polytope("[5,3]", "100", 10.0).unwrap();
        let net = stars_on_sphere(&ball, &ask).unwrap();
        let radius = ball.points()[0].norm();
        assert!(net.points().iter().all(|p| (p.norm() - radius).abs() < 1e-9));
        assert_eq!(net.edges().len(), 12 * 5 * 6);
    }
}
