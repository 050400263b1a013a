//! Flats that have names, and flats from points and curves.

use std::f64::consts::{PI, TAU};

use super::Flat;
use super::combine::{Fill, Rule, combine};
use super::cross::crossings;
use super::path::{Path, extent};
use super::segment::Segment;
use crate::base::{Box3, Vec2};
use crate::form::fault::{FormFault, not_negative, positive, unfit};
use crate::form::{Curve, Places};

/// How far a cubic may lie from the curve it stands for, as a part of the curve's extent.
const CURVE: f64 = 1e-6;
/// Pieces that a curve's range is cut into before any is looked at.
const FIRST: usize = 24;
/// Most halvings of one of them.
const HALVINGS: u32 = 10;
/// Sides shorter than this part of an outline's extent are rounding.
const ROUNDING: f64 = 1e-9;
/// A curve is flat when its height changes by no more than this part of its extent.
const LEVEL: f64 = 1e-9;

/// A disc about the origin; radius in mm.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn disc(radius: f64) -> Result<Flat, FormFault> {
    positive("radius", radius)?;
    Ok(Flat::of_loops(vec![Path::circle(Vec2::ZERO, radius)]))
}

/// A regular polygon about the origin, the first corner on the x axis; `reach` from middle to corner, mm. With a
/// `step` above 1 each side leads to the corner that many further on, and the whole star is filled.
///
/// # Errors
/// [`FormFault::NotPositive`] for a size of 0; [`FormFault::Unfit`] for fewer than 3 corners, or a step of 0 or of half
/// the corners and more.
pub fn regular(corners: u32, reach: f64, step: u32) -> Result<Flat, FormFault> {
    positive("radius", reach)?;
    if corners < 3 {
        return Err(unfit("corners", format!("must be 3 or more, got {corners}")));
    }
    if step == 0 || 2 * step >= corners {
        return Err(unfit(
            "step",
            format!("must be 1 or more and less than half the {corners} corners, got {step}"),
        ));
    }
    // The rim of the star {n/d}: its inner corners lie on a circle of cos(πd/n)/cos(π(d-1)/n) of its reach.
    let (n, d) = (f64::from(corners), f64::from(step));
    let inner = reach * libm::cos(PI * d / n) / libm::cos(PI * (d - 1.0) / n);
    let at = |k: f64, r: f64| Vec2::at_angle(TAU * k / n) * r;
    let rim = (0..corners).flat_map(|k| {
        let k = f64::from(k);
        if step == 1 { vec![at(k, reach)] } else { vec![at(k, reach), at(k + 0.5, inner)] }
    });
    Ok(Flat::of_loops(vec![Path::polygon(&rim.collect::<Vec<_>>())]))
}

/// The region that a polygon bounds, its corners rounded by arcs of a radius, mm (smaller where a side is too short).
///
/// # Errors
/// [`FormFault::NotPositive`] for fewer than three corners; [`FormFault::Crossing`]; [`FormFault::Negative`];
/// [`FormFault::Empty`].
pub fn polygon(points: &[Vec2], rounding: f64) -> Result<Flat, FormFault> {
    not_negative("rounding", rounding)?;
    let path = checked(points, 3)?;
    simple(&Path::polygon(&path))?;
    let path = if rounding > 0.0 { rounded(&path, rounding) } else { Path::polygon(&path) };
    filled(path)
}

/// The line through points, to be drawn.
///
/// # Errors
/// [`FormFault::NotPositive`] for fewer than two points.
pub fn polyline(points: &[Vec2], closed: bool) -> Result<Flat, FormFault> {
    let points = checked(points, 2)?;
    let path = if closed { Path::polygon(&points) } else { Path::polyline(&points) };
    Ok(Flat::of_lines(vec![path]))
}

/// The region that a closed curve in a level plane bounds.
///
/// # Errors
/// [`FormFault::WrongKind`] for a curve that is open or not level; [`FormFault::NotFinite`]; [`FormFault::Crossing`];
/// [`FormFault::Empty`].
pub fn region(curve: &Curve) -> Result<Flat, FormFault> {
    if !curve.is_closed() {
        return Err(FormFault::WrongKind { act: "bounding a region", kind: "an open curve" });
    }
    let path = traced(curve)?;
    simple(&path)?;
    filled(path)
}

/// An outline that crosses itself says not which side is in.
fn simple(path: &Path) -> Result<(), FormFault> {
    // Corners that are one but for rounding have no sides between them.
    let tidied = [path.clone().tidy(ROUNDING * extent(std::slice::from_ref(path)))];
    match crossings(&tidied, |_, _| true).first() {
        Some(place) => {
            // Without a sign before nothing.
            let [x, y] = place.array().map(|k| (k * 1e6).round() / 1e6 + 0.0);
            Err(FormFault::Crossing { what: "the outline", x, y })
        }
        None => Ok(()),
    }
}

/// The curve as a line, to be drawn; it must lie in a level plane.
///
/// # Errors
/// [`FormFault::WrongKind`], [`FormFault::NotFinite`].
pub fn trace(curve: &Curve) -> Result<Flat, FormFault> {
    Ok(Flat::of_lines(vec![traced(curve)?]))
}

fn checked(points: &[Vec2], least: usize) -> Result<Vec<Vec2>, FormFault> {
    let mut points = points.to_vec();
    points.dedup();
    if least > 2 && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    if points.len() < least {
        let got = points.len();
        return Err(unfit("points", format!("must be {least} or more that differ, got {got}")));
    }
    match points.iter().find(|p| !p.is_finite()) {
        Some(bad) => Err(FormFault::NotFinite { name: "points", got: bad.x + bad.y }),
        None => Ok(points),
    }
}

/// A path as a region, whichever way it runs; [`FormFault::Empty`] when it goes round nothing.
fn filled(path: Path) -> Result<Flat, FormFault> {
    let loops = combine(&[path], &[], Rule::Union, Fill::NonZero);
    if loops.is_empty() { Err(FormFault::Empty) } else { Ok(Flat::of_loops(loops)) }
}

/// A polygon with arcs at its corners that leave and meet the sides in their direction.
fn rounded(points: &[Vec2], radius: f64) -> Path {
    let n = points.len();
    let mut pieces: Vec<Segment> = Vec::with_capacity(2 * n);
    let corner = |i: usize| {
        let (before, at, after) = (points[(i + n - 1) % n], points[i % n], points[(i + 1) % n]);
        let (Some(u), Some(v)) = ((at - before).unit(), (after - at).unit()) else { return (at, at, 0.0) };
        let turn = libm::atan2(u.cross(v), u.dot(v));
        // The arc touches the sides radius·tan(turn/2) from the corner, at most half of the shorter side.
        let most = 0.5 * (at - before).norm().min((after - at).norm());
        let reach = (radius * libm::tan(0.5 * turn.abs())).min(most);
        (at - u * reach, at + v * reach, libm::tan(0.25 * turn))
    };
    for i in 0..n {
        let (a, b, bulge) = corner(i);
        if a != b {
            pieces.push(Segment::Arc(a, b, bulge));
        }
        let next = corner(i + 1).0;
        if b != next {
            pieces.push(Segment::Line(b, next));
        }
    }
    Path { pieces, closed: true }
}

/// The curve as cubics that agree with it in place and direction at their ends.
fn traced(curve: &Curve) -> Result<Path, FormFault> {
    let curve = crate::form::only(curve)?;
    let (places, (from, to)) = (curve.places(), curve.range());
    let hull = Box3::around(
        (0..=8 * FIRST).map(|i| places.at(from + (to - from) * (i as f64 / (8 * FIRST) as f64))),
    );
    let size = hull.size();
    if !hull.is_finite() {
        return Err(FormFault::NotFinite { name: "curve", got: size.largest() });
    }
    if size.z > LEVEL * size.largest() {
        return Err(FormFault::WrongKind { act: "flat work", kind: "a curve that leaves its level plane" });
    }
    let mut pieces = Vec::new();
    for ends in curve.cuts(FIRST).windows(2) {
        halve(&places, (ends[0], ends[1]), size.largest() * CURVE, HALVINGS, &mut pieces);
    }
    let closed = curve.is_closed();
    let mut path = Path { pieces, closed };
    if let (true, Some(last)) = (closed, path.pieces.last().copied()) {
        let (count, start) = (path.pieces.len(), path.start());
        path.pieces[count - 1] = last.with_ends(last.start(), start);
    }
    match path.pieces.iter().all(|s| s.at(0.3).is_finite()) {
        true => Ok(path),
        false => Err(FormFault::NotFinite { name: "curve", got: f64::NAN }),
    }
}

fn halve(places: &Places, (from, to): (f64, f64), error: f64, left: u32, out: &mut Vec<Segment>) {
    let flat = |v: crate::base::Vec3| Vec2::new(v.x, v.y);
    let third = (to - from) / 3.0;
    let (a, b) = (flat(places.at(from)), flat(places.at(to)));
    // A little inside, so that a corner between two pieces of a spline is read from the right side.
    let inside = (to - from) * 1e-9;
    let [u, v] = [from + inside, to - inside].map(|t| flat(places.velocity(t)) * third);
    let cubic = Segment::Cubic(a, a + u, b - v, b);
    let off =
        [0.2, 0.4, 0.5, 0.6, 0.8].iter().map(|t| cubic.nearest(flat(places.at(from + (to - from) * t))).0);
    if left == 0 || off.fold(0.0, f64::max) <= error {
        out.push(cubic);
        return;
    }
    let middle = 0.5 * (from + to);
    halve(places, (from, middle), error, left - 1, out);
    halve(places, (middle, to), error, left - 1, out);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::{Expr, Unary};

    fn ellipse(a: f64, b: f64, height: f64) -> Curve {
        arc_of_ellipse([a, b], height, TAU)
    }

    fn arc_of_ellipse([a, b]: [f64; 2], height: f64, to: f64) -> Curve {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        Curve::new([c * a, s * b, Expr::constant(height)], "t", (0.0, to)).unwrap()
    }

    #[test]
    fn a_curve_bounds_the_area_it_should() {
        let flat = region(&ellipse(7.0, 3.0, 2.0)).unwrap();
        assert!((flat.area() - 21.0 * PI).abs() < 1e-4, "{}", flat.area() - 21.0 * PI);
        assert!(flat.loops().next().unwrap().pieces.len() < 64);
        let half = arc_of_ellipse([7.0, 3.0], 0.0, 3.0);
        assert!(region(&half).is_err() && trace(&half).is_ok());
    }

    /// Star shares of the polygon. Source: closed forms of section 7.4 of the project's check values (E. H. Hankin 1925).
    #[test]
    fn stars_have_the_area_of_the_formula() {
        for (n, d, area) in [
            (6, 2, 1.299_038_106),
            (8, 3, 2.414_213_562),
            (10, 3, 5.316_567_552),
            (12, 5, 5.598_076_211),
            (5, 2, 0.531_656_755),
        ] {
            // Points on the midpoints of the sides of the n-gon of edge 1.
            let reach = 0.5 / libm::tan(PI / f64::from(n));
            assert!((regular(n, reach, d).unwrap().area() - area).abs() < 1e-8, "{n}/{d}");
        }
        assert!((regular(4, 1.0, 1).unwrap().area() - 2.0).abs() < 1e-12);
        assert!(regular(2, 1.0, 1).is_err() && regular(6, 1.0, 3).is_err() && regular(5, 0.0, 1).is_err());
    }

    #[test]
    fn polygons_take_either_way_round_and_rounded_corners() {
        let points = [[0.0, 0.0], [0.0, 4.0], [6.0, 4.0], [6.0, 0.0]].map(Vec2::from);
        assert!((polygon(&points, 0.0).unwrap().area() - 24.0).abs() < 1e-12);
        let round = polygon(&points, 1.0).unwrap();
        assert!((round.area() - (24.0 - (4.0 - PI))).abs() < 1e-9);
        assert_eq!(round.loops().next().unwrap().pieces.len(), 8);
        assert!(polygon(&points[..2], 0.0).is_err());
        // Corners that are one but for rounding do not cross.
        let twice: Vec<Vec2> = points.iter().flat_map(|p| [*p, *p + Vec2::new(1e-15, -2e-15)]).collect();
        assert!((polygon(&twice, 0.0).unwrap().area() - 24.0).abs() < 1e-9);
        let line = [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]].map(Vec2::from);
        assert_eq!(polygon(&line, 0.0).unwrap_err(), FormFault::Empty);
    }
}
