//! A row of pieces, each starting where the one before ends.

use super::segment::Segment;
use crate::base::{Affine, Vec2};

/// A row of pieces, each starting where the one before ends; a loop when the last ends where the first starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// The pieces, in order.
    pub pieces: Vec<Segment>,
    /// True when it is a loop.
    pub closed: bool,
}

impl Path {
    /// The loop of straight lines through points.
    pub fn polygon(points: &[Vec2]) -> Self {
        let next = |i: usize| points[(i + 1) % points.len()];
        let pieces = points.iter().enumerate().map(|(i, p)| Segment::Line(*p, next(i))).collect();
        Self { pieces, closed: true }
    }

    /// The open row of straight lines through points.
    pub fn polyline(points: &[Vec2]) -> Self {
        Self { pieces: points.windows(2).map(|w| Segment::Line(w[0], w[1])).collect(), closed: false }
    }

    /// A circle, counter-clockwise, as two half circles.
    pub fn circle(centre: Vec2, radius: f64) -> Self {
        let (a, b) = (centre + Vec2::new(radius, 0.0), centre - Vec2::new(radius, 0.0));
        Self { pieces: vec![Segment::Arc(a, b, 1.0), Segment::Arc(b, a, 1.0)], closed: true }
    }

    /// The area to the left of a loop, mm²; negative when it runs clockwise.
    pub fn area(&self) -> f64 {
        0.5 * self.pieces.iter().map(Segment::double_area).sum::<f64>()
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(Segment::length).sum()
    }

    /// Where it starts; the origin for an empty one.
    pub fn start(&self) -> Vec2 {
        self.pieces.first().map_or(Vec2::ZERO, Segment::start)
    }

    /// Where it ends.
    pub fn end(&self) -> Vec2 {
        self.pieces.last().map_or(Vec2::ZERO, Segment::end)
    }

    /// A box that holds it.
    pub fn bounds(&self) -> (Vec2, Vec2) {
        bounds(std::slice::from_ref(self))
    }

    /// The same path run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { pieces: self.pieces.iter().rev().map(Segment::reversed).collect(), closed: self.closed }
    }

    /// The image under a map of space that keeps the plane z = 0.
    #[must_use]
    pub fn moved(&self, by: &Affine) -> Self {
        Self { pieces: self.pieces.iter().flat_map(|s| s.moved(by)).collect(), closed: self.closed }
    }

    /// Points along it, no further than `tolerance` mm from it; a loop's first point is not repeated.
    pub fn points(&self, tolerance: f64) -> Vec<Vec2> {
        let mut points = Vec::new();
        for piece in &self.pieces {
            let count = piece.pieces(tolerance);
            points.extend((0..count).map(|i| piece.at(i as f64 / count as f64)));
        }
        if !self.closed {
            points.push(self.end());
        }
        points
    }

    /// Neighbours that continue each other become one: lines in line, arcs of one circle up to half of it. Pieces
    /// shorter than `least` mm are left out.
    #[must_use]
    pub fn tidy(mut self, least: f64) -> Self {
        let mut kept: Vec<Segment> = Vec::with_capacity(self.pieces.len());
        for piece in self.pieces.drain(..) {
            if (piece.end() - piece.start()).norm() <= least && piece.length() <= 4.0 * least {
                continue;
            }
            // A piece left out leaves a gap no longer than it was.
            let piece = match kept.last() {
                Some(last) if last.end() != piece.start() => piece.with_ends(last.end(), piece.end()),
                _ => piece,
            };
            match kept.last_mut().and_then(|last| joined(last, &piece).map(|one| (last, one))) {
                Some((last, one)) => *last = one,
                None => kept.push(piece),
            }
        }
        if self.closed && kept.len() > 2 {
            if let Some(one) = joined(&kept[kept.len() - 1], &kept[0]) {
                kept[0] = one;
                kept.pop();
            }
            let (first, last) = (kept[0].start(), kept.len() - 1);
            kept[last] = kept[last].with_ends(kept[last].start(), first);
        }
        self.pieces = kept;
        self
    }
}

/// Two neighbours as one piece, if they are of one line or one circle. Angles are compared to a millionth.
fn joined(a: &Segment, b: &Segment) -> Option<Segment> {
    match (a, b) {
        (Segment::Line(p, q), Segment::Line(_, r)) => {
            let (u, v) = ((*q - *p).unit()?, (*r - *q).unit()?);
            (u.cross(v).abs() < 1e-9 && u.dot(v) > 0.0).then_some(Segment::Line(*p, *r))
        }
        (Segment::Arc(p, q, s), Segment::Arc(_, r, t)) => {
            let (c, d) = (a.round()?, b.round()?);
            let sweep = c.sweep + d.sweep;
            let alike = (c.centre - d.centre).norm() < 1e-6 * c.radius && s * t > 0.0;
            let half = std::f64::consts::PI * (1.0 + 1e-12);
            // A short arc tells its circle badly; the join must also pass through the common point.
            let one = Segment::Arc(*p, *r, libm::tan(sweep * 0.25));
            (alike && sweep.abs() <= half && one.nearest(*q).0 < 1e-9 * c.radius).then_some(one)
        }
        _ => None,
    }
}

/// A box that holds paths: least and greatest corner; infinite and inside out when there is none.
pub fn bounds(paths: &[Path]) -> (Vec2, Vec2) {
    let none = (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
    paths
        .iter()
        .flat_map(|p| &p.pieces)
        .map(Segment::bounds)
        .fold(none, |(l, h), (a, b)| (l.min(a), h.max(b)))
}

/// The longer side of the box that holds paths, mm; 0 when there is none.
pub(super) fn extent(paths: &[Path]) -> f64 {
    let (low, high) = bounds(paths);
    (high.x - low.x).max(high.y - low.y).max(0.0)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn circles_and_squares_measure_as_they_should() {
        let circle = Path::circle(Vec2::new(3.0, -2.0), 5.0);
        assert!((circle.area() - 25.0 * PI).abs() < 1e-12);
        assert!((circle.length() - 10.0 * PI).abs() < 1e-12);
        assert_eq!(circle.bounds(), (Vec2::new(-2.0, -7.0), Vec2::new(8.0, 3.0)));
        let square = Path::polygon(&[[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]].map(Vec2::from));
        assert_eq!((square.area(), square.length(), square.reversed().area()), (4.0, 8.0, -4.0));
    }

    #[test]
    fn tidying_joins_what_continues() {
        let circle = Path::circle(Vec2::ZERO, 1.0);
        let eighths = circle
            .pieces
            .iter()
            .flat_map(|s| (0..4).map(|i| s.part(f64::from(i) / 4.0, f64::from(i + 1) / 4.0)));
        let tidy = Path { pieces: eighths.collect(), closed: true }.tidy(1e-9);
        assert_eq!(tidy.pieces.len(), 2);
        assert!((tidy.area() - PI).abs() < 1e-12);
        let square =
            Path::polygon(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]].map(Vec2::from));
        assert_eq!(square.tidy(1e-9).pieces.len(), 4);
    }
}
