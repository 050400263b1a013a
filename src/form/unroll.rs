//! Surfaces that bend without stretching, laid flat: cylinders, cones, and strips of straight lines along each of which they
//! keep one tangent plane.
//!
//! Source: D. J. Struik, Lectures on Classical Differential Geometry (1950), sections 2-4 and 4-5: those are the surfaces of
//! no Gaussian curvature, and bending keeps lengths.

use super::fault::{FormFault, not_negative, unfit};
use super::flat::{self, Fill, Flat, Meaning, Path, Rule, combine};
use super::{Sheet, Surface};
use crate::base::{Vec2, Vec3};
use crate::formula::Tape;

/// Triangles are laid down in so many strips; on a full turn chords are then shorter than arcs by two parts in a million.
const STRIPS: usize = 1024;
/// Straight lines are looked at in so many places along and across.
const LOOKS: usize = 24;
/// Lines this straight, and seams this near, as a part of the extent, count as such.
const STRAIGHT: f64 = 1e-6;
/// A tangent plane may turn by this much along a straight line, radians.
const TURN: f64 = 0.01;
/// Curved edges are told by arcs within this part of the extent.
const TOLD: f64 = 2e-5;
/// Room that the area of an outline has to differ in from that of the strips: more is overlap.
const OVERLAP: f64 = 1e-3;

/// A surface of two parameters, looked at with its straight lines along the second.
struct Lines {
    tape: Tape,
    ranges: [(f64, f64); 2],
    /// True when the straight lines run along the first parameter.
    swapped: bool,
    extent: f64,
}

impl Lines {
    /// The place for parts of both ranges, 0 to 1.
    fn at(&self, across: f64, along: f64) -> Vec3 {
        let part = |k: usize, t: f64| self.ranges[k].0 + (self.ranges[k].1 - self.ranges[k].0) * t;
        let (u, v) = if self.swapped { (along, across) } else { (across, along) };
        let mut out = [0.0; 3];
        self.tape.at(&[part(0, u), part(1, v)], &mut out);
        Vec3::from(out)
    }

    fn are_straight(&self) -> bool {
        (0..=LOOKS).all(|i| {
            let across = i as f64 / LOOKS as f64;
            let (a, b) = (self.at(across, 0.0), self.at(across, 1.0));
            let long = (b - a).norm().max(f64::MIN_POSITIVE);
            (1..LOOKS).all(|k| {
                let p = self.at(across, k as f64 / LOOKS as f64);
                (p - a).cross(b - a).norm() / long <= STRAIGHT * self.extent
            })
        })
    }

    /// How far the tangent plane turns at most along a straight line, radians, and a place of that line.
    fn turn(&self) -> (f64, Vec3) {
        const NEAR: f64 = 1e-5;
        let normal = |across: f64, along: f64| {
            let (low, high) = ((across - NEAR).max(0.0), (across + NEAR).min(1.0));
            let line = self.at(across, 1.0) - self.at(across, 0.0);
            (self.at(high, along) - self.at(low, along)).cross(line).unit()
        };
        let mut worst = (0.0, Vec3::ZERO);
        for i in 0..=LOOKS {
            let across = i as f64 / LOOKS as f64;
            // At the tip of a cone there is no plane.
            let planes: Vec<Vec3> =
                [0.02, 0.35, 0.65, 0.98].iter().filter_map(|t| normal(across, *t)).collect();
            for pair in planes.windows(2) {
                // Past an edge of regression the plane looks the other way.
                let turn = libm::acos(pair[0].dot(pair[1]).abs().min(1.0));
                if turn > worst.0 {
                    worst = (turn, self.at(across, 0.5));
                }
            }
        }
        worst
    }
}

/// The place at given distances from two others, on the right of the way from the first to the second.
fn placed(a: Vec2, b: Vec2, from_a: f64, from_b: f64) -> Vec2 {
    let gap = b - a;
    let long = gap.norm();
    let Some(along) = gap.unit() else { return a };
    let x = (from_a * from_a - from_b * from_b + long * long) / (2.0 * long);
    let y = (from_a * from_a - x * x).max(0.0).sqrt();
    a + along * x - along.left() * y
}

/// A surface without clips laid flat, its front up, as a region to be cut. Where it closes, a strip `seam` mm wide beyond its
/// last straight line, with a fold to score there, is to be glued under its first.
///
/// # Errors
/// [`FormFault::Unfit`] for a surface that is no sheet of straight lines, or whose tangent plane turns along one, and when the
/// flat would overlap itself; [`FormFault::Negative`].
pub fn unroll(surface: &Surface, seam: f64) -> Result<Flat, FormFault> {
    not_negative("seam", seam)?;
    let lines = lines(surface)?;
    let place = |i: usize, along: f64| lines.at(i as f64 / STRIPS as f64, along);
    let (mut low, mut high): (Vec<Vec2>, Vec<Vec2>) = (Vec::new(), Vec::new());
    let (mut a, mut b) = (place(0, 0.0), place(0, 1.0));
    low.push(Vec2::ZERO);
    high.push(Vec2::new(0.0, (b - a).norm()));
    let mut area = 0.0;
    for i in 1..=STRIPS {
        let (c, d) = (place(i, 0.0), place(i, 1.0));
        let (p, q) = (low[i - 1], high[i - 1]);
        // Two triangles: a, b, c and b, c, d.
        let r = placed(p, q, (c - a).norm(), (c - b).norm());
        let s = placed(r, q, (d - c).norm(), (d - b).norm());
        area += 0.5 * ((b - a).cross(c - a).norm() + (d - b).cross(d - c).norm());
        low.push(r);
        high.push(s);
        (a, b) = (c, d);
    }
    let closes =
        [0.0, 1.0].iter().all(|t| (place(0, *t) - place(STRIPS, *t)).norm() <= STRAIGHT * lines.extent);
    let (p, q) = (low[STRIPS], high[STRIPS]);
    let mut corners = low;
    let fold = (closes && seam > 0.0).then(|| strip(p, q, seam));
    if let Some(strip) = &fold {
        corners.extend(strip);
        area += Path::polygon(&[p, strip[0], strip[1], q]).area();
    }
    corners.extend(high.into_iter().rev());
    // Lines along the first parameter lay the back up.
    let mirror = |p: Vec2| if lines.swapped { Vec2::new(-p.x, p.y) } else { p };
    corners.iter_mut().for_each(|c| *c = mirror(*c));
    corners.dedup_by(|x, y| (*x - *y).norm() <= 1e-9 * lines.extent);
    let outline = Path::polygon(&corners);
    let outline = if outline.area() < 0.0 { outline.reversed() } else { outline };
    let whole = combine(&[outline], &[], Rule::Union, Fill::Positive);
    let covered: f64 = whole.iter().map(Path::area).sum();
    if (covered - area).abs() > OVERLAP * area {
        return Err(unfit("surface", "laid flat would overlap itself: unroll a part of it"));
    }
    let told = flat::simplified(&Flat::of_loops(whole), TOLD * lines.extent)?;
    if fold.is_none() {
        return Ok(told);
    }
    let crease =
        Flat::of_lines(vec![Path::polyline(&[mirror(p), mirror(q)])]).on_layer("folds", Meaning::Score);
    Ok(flat::all(&[told, crease]))
}

/// The outer corners of a strip along the way from p to q, on its right, its ends slanting in.
fn strip(p: Vec2, q: Vec2, wide: f64) -> [Vec2; 2] {
    let long = (q - p).norm();
    let along = (q - p).unit().unwrap_or(Vec2::new(0.0, 1.0));
    let (slant, out) = (wide.min(0.3 * long), -along.left() * wide);
    [p + along * slant + out, q - along * slant + out]
}

fn lines(surface: &Surface) -> Result<Lines, FormFault> {
    let bad = |what: &str| unfit("surface", what);
    let Sheet::Param { components, params, ranges, clip } = surface.sheet() else {
        return Err(bad(
            "has no parameters: `ruled`, `revolve` and `surface(\"…\")` make such as can be unrolled",
        ));
    };
    if clip.is_some() {
        return Err(bad("was cut: unroll the whole of it, and cut the flat"));
    }
    let names = [params[0].as_str(), params[1].as_str()];
    let tape = Tape::with_inputs(&components, &names).map_err(|f| FormFault::FreeName(f.to_string()))?;
    let mut lines = Lines { tape, ranges, swapped: false, extent: 0.0 };
    let grid = (0..=LOOKS).flat_map(|i| (0..=LOOKS).map(move |j| (i, j)));
    let places: Vec<Vec3> =
        grid.map(|(i, j)| lines.at(i as f64 / LOOKS as f64, j as f64 / LOOKS as f64)).collect();
    if places.iter().any(|p| !p.is_finite()) {
        return Err(bad("leaves every bound: give it shorter ranges"));
    }
    lines.extent = crate::base::Box3::around(places).size().largest();
    if !(lines.extent > 0.0) {
        return Err(FormFault::Empty);
    }
    let mut worst: Option<(f64, Vec3)> = None;
    for swapped in [false, true] {
        lines.swapped = swapped;
        if lines.are_straight() {
            let turn = lines.turn();
            if turn.0 <= TURN {
                return Ok(lines);
            }
            worst = Some(worst.map_or(turn, |w| if turn.0 < w.0 { turn } else { w }));
        }
    }
    Err(match worst {
        None => bad("bends two ways: along neither of its parameters do its lines run straight"),
        Some((turn, p)) => bad(&format!(
            "would have to stretch: along its straight line through [{:.2}, {:.2}, {:.2}] it twists by {:.1} degrees",
            p.x,
            p.y,
            p.z,
            turn.to_degrees()
        )),
    })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::form::{Curve, polyline, revolve, ruled};
    use crate::formula::{Expr, Unary};

    fn line(a: [f64; 3], b: [f64; 3]) -> Curve {
        polyline(&[a.into(), b.into()], false).unwrap()
    }

    /// A cylinder gives a rectangle, a frustum a part of a ring: areas 2πrh and π(r + R)s, the arcs of radius s R/(R - r).
    #[test]
    fn cylinders_and_cones_lie_flat() {
        let tube = revolve(&line([10.0, 0.0, 0.0], [10.0, 0.0, 30.0]), 360.0).unwrap();
        let made = unroll(&tube, 0.0).unwrap();
        let size = made.bounds().size();
        assert!((size.x - 10.0 * TAU).abs() < 1e-3 && (size.y - 30.0).abs() < 1e-9, "{size:?}");
        assert_eq!(made.loops().map(|p| p.pieces.len()).sum::<usize>(), 4);
        let glued = unroll(&tube, 6.0).unwrap();
        assert!((glued.area() - made.area() - 6.0 * (30.0 - 6.0)).abs() < 1e-6);
        assert!((glued.lines().map(Path::length).sum::<f64>() - 30.0).abs() < 1e-6);
        let cone = revolve(&line([20.0, 0.0, 0.0], [8.0, 0.0, 16.0]), 360.0).unwrap();
        let made = unroll(&cone, 0.0).unwrap();
        assert!((made.area() - PI * 28.0 * 20.0).abs() < 0.02, "{}", made.area());
        let radii: Vec<f64> =
            made.loops().flat_map(|p| &p.pieces).filter_map(|s| s.round()).map(|r| r.radius).collect();
        let (outer, inner) = (20.0 * 20.0 / 12.0, 8.0 * 20.0 / 12.0);
        assert!(!radii.is_empty());
        assert!(radii.iter().all(|r| (r - outer).abs() < 0.02 || (r - inner).abs() < 0.02), "{radii:?}");
        let pointed = revolve(&line([20.0, 0.0, 0.0], [0.0, 0.0, 16.0]), 360.0).unwrap();
        let area = unroll(&pointed, 0.0).unwrap().area();
        assert!((area - PI * 20.0 * 656.0_f64.sqrt()).abs() < 0.02, "{area}");
    }

    /// The tangents of a helix sweep a surface that bends flat: its area is that of the integral, κ v²/2 per mm of helix.
    #[test]
    fn tangents_of_a_helix_lie_flat() {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t.clone()));
        let (r, h, long) = (10.0, 5.0, 6.0);
        let speed = f64::hypot(r, h);
        let helix = [c.clone() * r, s.clone() * r, t.clone() * h];
        let along = [s * (-r / speed), c * (r / speed), Expr::constant(h / speed)];
        let shifted = |k: f64| {
            let at = [0, 1, 2].map(|i| helix[i].clone() + along[i].clone() * k);
            Curve::new(at, "t", (0.0, 2.0)).unwrap()
        };
        let made = unroll(&ruled(&shifted(1.0), &shifted(long)).unwrap(), 0.0).unwrap();
        let curvature = r / (speed * speed);
        let want = curvature * 0.5 * (long * long - 1.0) * speed * 2.0;
        assert!((made.area() - want).abs() < 1e-3 * want, "{} {want}", made.area());
    }

    #[test]
    fn what_would_stretch_is_refused() {
        let twisted =
            ruled(&line([0.0, 0.0, 0.0], [10.0, 0.0, 0.0]), &line([0.0, 0.0, 10.0], [0.0, 10.0, 10.0]));
        assert!(matches!(unroll(&twisted.unwrap(), 0.0), Err(FormFault::Unfit { .. })));
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        let circle = Curve::new([c * 4.0 + 12.0, Expr::constant(0.0), s * 4.0], "t", (0.0, TAU)).unwrap();
        assert!(unroll(&revolve(&circle, 360.0).unwrap(), 0.0).is_err());
        assert!(unroll(&Surface::Level(Expr::var("x")), 0.0).is_err());
    }
}
