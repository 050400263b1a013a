//! Corners rounded by true arcs, and paths told by fewer pieces within a tolerance.

use super::Flat;
use super::combine::{Fill, Rule, combine};
use super::motion::through;
use super::path::Path;
use super::segment::Segment;
use crate::base::Vec2;
use crate::form::FormFault;
use crate::form::fault::positive;

/// A turn smaller than this, radians, is no corner.
const CORNER: f64 = 0.02;
/// At most so much of a piece is taken for the arc at one of its ends.
const SHARE: f64 = 0.5;
/// How often a radius that does not fit is halved about.
const HALVINGS: usize = 48;
/// Most pieces told by one.
const RUN: usize = 400;

/// The flat with arcs of a radius (mm) at the corners of its outlines and lines; smaller where a side is too short.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn filleted(flat: &Flat, radius: f64) -> Result<Flat, FormFault> {
    positive("radius", radius)?;
    Ok(flat.each_layer(|l| {
        let loops: Vec<Path> = l.loops.iter().map(|p| rounded(p, radius)).collect();
        (
            combine(&loops, &[], Rule::Union, Fill::Positive),
            l.lines.iter().map(|p| rounded(p, radius)).collect(),
        )
    }))
}

fn rounded(path: &Path, radius: f64) -> Path {
    let count = path.pieces.len();
    let arcs: Vec<Option<(f64, f64, Segment)>> = (0..count)
        .map(|i| {
            let next = if i + 1 < count { i + 1 } else { 0 };
            let open_end = !path.closed && i + 1 == count;
            if open_end { None } else { arc_between(&path.pieces[i], &path.pieces[next], radius) }
        })
        .collect();
    let mut out = Vec::with_capacity(2 * count);
    for (i, piece) in path.pieces.iter().enumerate() {
        let before = if i > 0 { &arcs[i - 1] } else { &arcs[count - 1] };
        let from = before.as_ref().map_or(0.0, |(_, s, _)| *s);
        let to = arcs[i].as_ref().map_or(1.0, |(t, ..)| *t);
        let mut part = piece.part(from, to);
        // The arc's ends and the piece's must be the same number, not only the same place.
        if let Some((.., arc)) = before {
            part = part.with_ends(arc.end(), part.end());
        }
        if let Some((.., arc)) = &arcs[i] {
            part = part.with_ends(part.start(), arc.start());
        }
        if to - from > 1e-12 {
            out.push(part);
        }
        out.extend(arcs[i].as_ref().map(|(.., arc)| *arc));
    }
    Path { pieces: out, closed: path.closed }
}

/// The arc that touches two pieces near their common corner: where it leaves the first and meets the second.
fn arc_between(a: &Segment, b: &Segment, radius: f64) -> Option<(f64, f64, Segment)> {
    let (u, v) = (a.direction(true), b.direction(false));
    let turn = libm::atan2(u.cross(v), u.dot(v));
    if turn.abs() < CORNER {
        return None;
    }
    let (long_a, long_b) = (a.length(), b.length());
    let of = |r: f64| {
        let reach = r * libm::tan(0.5 * turn.abs().min(3.0));
        let guess = (1.0 - (reach / long_a).min(SHARE), (reach / long_b).min(SHARE));
        let (t, s) = touching(a, b, r * turn.signum(), guess)?;
        let (p, q) = (a.at(t), b.at(s));
        let (x, y) = (a.slope(t).unit()?, b.slope(s).unit()?);
        let swept = libm::atan2(x.cross(y), x.dot(y));
        (swept * turn > 0.0).then(|| (t, s, Segment::Arc(p, q, libm::tan(0.25 * swept))))
    };
    if let Some(arc) = of(radius) {
        return Some(arc);
    }
    // The largest that both pieces have room for.
    let (mut fits, mut least, mut most) = (None, 0.0, radius);
    for _ in 0..HALVINGS {
        let r = 0.5 * (least + most);
        match of(r) {
            Some(arc) => (fits, least) = (Some(arc), r),
            None => most = r,
        }
    }
    fits
}

/// Newton's method for the places on both pieces whose normals of length `r` (to the left) meet; `None` when they lie
/// further in than half of a piece.
fn touching(a: &Segment, b: &Segment, r: f64, (mut t, mut s): (f64, f64)) -> Option<(f64, f64)> {
    let beside = |piece: &Segment, t: f64| piece.slope(t).unit().map(|u| piece.at(t) + u.left() * r);
    let slope = |piece: &Segment, t: f64| {
        let h = 1e-6;
        Some((beside(piece, t + h)? - beside(piece, t - h)?) / (2.0 * h))
    };
    let scale = a.length().max(b.length());
    for _ in 0..40 {
        let gap = beside(b, s)? - beside(a, t)?;
        let (da, db) = (slope(a, t)?, slope(b, s)?);
        let det = da.cross(db);
        if det.abs() <= 1e-12 * da.norm() * db.norm() {
            return None;
        }
        let (dt, ds) = (gap.cross(db) / det, gap.cross(da) / det);
        (t, s) = ((t + dt).clamp(0.0, 1.0), (s + ds).clamp(0.0, 1.0));
        if dt.abs().max(ds.abs()) < 1e-14 {
            break;
        }
    }
    let off = (beside(b, s)? - beside(a, t)?).norm();
    (off <= 1e-9 * scale && t >= 1.0 - SHARE && s <= SHARE).then_some((t, s))
}

/// The flat with runs of pieces told by single lines and arcs, no further than `tolerance` mm from where they were.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn simplified(flat: &Flat, tolerance: f64) -> Result<Flat, FormFault> {
    positive("tolerance", tolerance)?;
    Ok(flat.each_layer(|l| {
        let loops: Vec<Path> =
            l.loops.iter().map(|p| fewer(p, tolerance)).filter(|p| p.pieces.len() > 1).collect();
        (
            combine(&loops, &[], Rule::Union, Fill::Positive),
            l.lines.iter().map(|p| fewer(p, tolerance)).collect(),
        )
    }))
}

/// A path told by fewer pieces.
pub(super) fn fewer(path: &Path, tolerance: f64) -> Path {
    let pieces = from_a_corner(path);
    let samples: Vec<[Vec2; 4]> = pieces.iter().map(|s| [0.25, 0.5, 0.75, 1.0].map(|t| s.at(t))).collect();
    let mut out: Vec<Segment> = Vec::new();
    let mut i = 0;
    while i < pieces.len() {
        let most = (pieces.len() - i).min(RUN);
        // A loop needs two pieces at least.
        let most = if path.closed && out.is_empty() { most.min(pieces.len() / 2).max(1) } else { most };
        let (mut best, mut count, mut step) = (pieces[i], 1, 1);
        // Grow by doubled steps while one piece fits, then halve the step.
        while step > 0 {
            let tried = count + step;
            match (tried <= most)
                .then(|| one_for(&pieces[i..i + tried], &samples[i..i + tried], tolerance))
                .flatten()
            {
                Some(found) => {
                    (best, count) = (found, tried);
                    step *= 2;
                }
                None => step /= 2,
            }
        }
        out.push(best);
        i += count;
    }
    Path { pieces: out, closed: path.closed }
}

/// The pieces, of a loop starting at its sharpest corner.
fn from_a_corner(path: &Path) -> Vec<Segment> {
    let mut pieces = path.pieces.clone();
    if path.closed {
        let turn = |i: usize| {
            let before = &path.pieces[(i + path.pieces.len() - 1) % path.pieces.len()];
            before.direction(true).dot(path.pieces[i].direction(false))
        };
        let first = (0..pieces.len()).min_by(|a, b| turn(*a).total_cmp(&turn(*b))).unwrap_or(0);
        pieces.rotate_left(first);
    }
    pieces
}

/// One line or arc that stands for a run of pieces, if one is near enough.
fn one_for(run: &[Segment], samples: &[[Vec2; 4]], tolerance: f64) -> Option<Segment> {
    let (a, b) = (run[0].start(), run[run.len() - 1].end());
    let fits = |s: &Segment| {
        let mut last = -1e-9;
        samples.iter().flatten().all(|p| {
            let (far, t) = s.nearest(*p);
            // The run must go along the piece, not back and forth on it.
            let onward = t >= last - 0.02;
            last = last.max(t);
            far <= tolerance && onward
        })
    };
    let line = Segment::Line(a, b);
    if a != b && fits(&line) {
        return Some(line);
    }
    let middle = match run.len() {
        n if n % 2 == 0 => run[n / 2].start(),
        n => run[n / 2].at(0.5),
    };
    through(a, middle, b).filter(|s| matches!(s, Segment::Arc(..)) && fits(s))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::{difference, disc, polygon, regular};
    use super::*;

    #[test]
    fn a_square_loses_what_arcs_cut_off() {
        let square =
            polygon(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]].map(Vec2::from), 0.0).unwrap();
        let round = filleted(&square, 2.0).unwrap();
        assert!((round.area() - (100.0 - (4.0 - PI) * 4.0)).abs() < 1e-9, "{}", round.area());
        // Without room for the radius asked it is the largest that fits: the square becomes a circle.
        for radius in [5.0, 6.0, 80.0] {
            let circle = filleted(&square, radius).unwrap();
            assert!((circle.area() - 25.0 * PI).abs() < 1e-6, "{radius}: {}", circle.area());
        }
        assert!(filleted(&square, 0.0).is_err());
    }

    /// Corners of arcs are rounded too: the two tips of a moon become arcs that touch both circles.
    #[test]
    fn arcs_are_touched() {
        let moon = difference(
            &disc(10.0).unwrap(),
            &crate::form::shift(&disc(8.0).unwrap(), crate::base::Vec3::new(6.0, 0.0, 0.0)).unwrap(),
        );
        let round = filleted(&moon, 0.5).unwrap();
        assert!(round.area() < moon.area() && round.area() > moon.area() - 3.0);
        let path = round.loops().next().unwrap();
        for (i, piece) in path.pieces.iter().enumerate() {
            let next = &path.pieces[(i + 1) % path.pieces.len()];
            let (u, v) = (piece.direction(true), next.direction(false));
            assert!(u.cross(v).abs() < 1e-6 && u.dot(v) > 0.0, "{i}");
        }
    }

    #[test]
    fn a_polygon_of_many_sides_becomes_arcs() {
        let many = regular(720, 20.0, 1).unwrap();
        let few = simplified(&many, 0.01).unwrap();
        let path = few.loops().next().unwrap();
        assert!(path.pieces.len() <= 6, "{}", path.pieces.len());
        assert!((few.area() - 400.0 * PI).abs() < 0.05 * 40.0 * PI);
        for p in path.points(0.01) {
            assert!((p.norm() - 20.0).abs() < 0.011);
        }
        let square = polygon(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]].map(Vec2::from), 0.0).unwrap();
        assert_eq!(simplified(&square, 0.1).unwrap().area(), 81.0);
    }
}
