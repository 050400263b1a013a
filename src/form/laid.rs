//! Curves laid on surfaces.

use super::fault::{FormFault, unfit};
use super::lower::Sheet;
use super::paths::points;
use super::spline::Spline;
use super::{Curve, Strand, Surface};
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Scratch, Tape};

/// A curve laid on a surface. On one with parameters, the curve's x and y are taken as those. On any other, each place
/// of the curve goes to the place of the surface nearest to it; clips are not looked at.
///
/// # Errors
/// [`FormFault::Unfit`] where the surface has no place near the curve, or the curve would leap on it.
pub fn laid(path: &Curve, surface: &Surface) -> Result<Curve, FormFault> {
    if let Some(patch) = surface.patch() {
        return Curve::of(path.strands().iter().map(|s| dropped(s, patch)).collect::<Result<Vec<_>, _>>()?);
    }
    let value = match surface.sheet() {
        Sheet::Param { components, params, .. } => {
            return Ok(path.mapped(|[x, y, _]| {
                let on = [(&*params[0], x), (&*params[1], y)];
                components.each_ref().map(|c| c.with(&on))
            }));
        }
        Sheet::Level { value, .. } => value,
        Sheet::Skin { solid, .. } => solid.lower(&mut |_, _| {
            Err(unfit("surface", "is the skin of a wall: lay the curve on the wall's surface"))
        })?,
    };
    Curve::of(path.strands().iter().map(|s| onto(s, &value)).collect::<Result<Vec<_>, _>>()?)
}

/// Places along a path that are brought to a film; its triangles are smaller than what is drawn.
const DROPPED: usize = 256;

/// The smooth path through the places of a film nearest to those of a path.
fn dropped(strand: &Strand, patch: &super::Patch) -> Result<Strand, FormFault> {
    let there = |p: &Vec3| patch.nearest(*p).map(|n| n.point);
    let found: Option<Vec<Vec3>> = points(strand, DROPPED)?.iter().map(there).collect();
    let found = found.ok_or_else(|| unfit("surface", "has no place"))?;
    Spline::through(&found, strand.is_closed()).map(Strand::from)
}

/// The path of the places where a field is zero that are nearest to those of a path.
fn onto(strand: &Strand, value: &Expr) -> Result<Strand, FormFault> {
    strand.sound()?;
    let tape = Tape::new(value).map_err(|_| unfit("surface", "has a name without a value"))?;
    let places = strand.places();
    let extent = Box3::around(strand.cuts(64).iter().map(|t| places.at(*t))).size().norm();
    let mut scratch = Scratch::default();
    let (from, to) = strand.range();
    let closed = strand.is_closed();
    let mut at = |t: f64| {
        // A closed path comes home to the last bit.
        let t = if closed && t == to { from } else { t };
        let p = places.at(t);
        nearest(&tape, p, extent, &mut scratch).ok_or_else(|| {
            let [x, y, z] = p.array();
            unfit(
                "surface",
                format!("has no place near [{x:.2}, {y:.2}, {z:.2}], where the curve is to be laid"),
            )
        })
    };
    match Spline::followed((from, to), &mut at)? {
        Err(FormFault::Unfit { why, .. }) => {
            Err(unfit("path", format!("{why} when it is laid on the surface")))
        }
        made => made.map(Strand::from),
    }
}

/// Steps toward the nearest place, at most; and when it is reached, as a part of the curve's extent.
const STEPS: usize = 200;
const REACHED: f64 = 1e-10;
/// A place may lie so far off the surface, as parts of the curve's extent, to count as on it; and a step down may be so
/// long.
const ON: f64 = 1e-9;
const FAR: f64 = 10.0;

/// The place where a field is zero that is nearest to `p`: down the slope onto the surface, then along it toward `p`. How far
/// a step along goes is learnt from the one before; it is shorter where one led away.
/// Source: J. Barzilai, J. M. Borwein, IMA Journal of Numerical Analysis 8 (1988) 141 (the length of steps).
fn nearest(tape: &Tape, p: Vec3, extent: f64, scratch: &mut Scratch) -> Option<Vec3> {
    let (mut at, mut share) = (p, 1.0);
    // The nearest place found that is on the surface, its distance, and the way along the surface toward `p`.
    let mut best: Option<(Vec3, f64, Vec3)> = None;
    for _ in 0..STEPS {
        let (v, g) = tape.slope(at, scratch);
        let down = g * (v / g.dot(g));
        if !(down.norm() <= FAR * extent) {
            break;
        }
        if down.norm() > ON * extent {
            at -= down;
            continue;
        }
        let (far, way) = ((p - at).norm(), along(p - at, g));
        let (from, _, way) = match best {
            Some(known) if far > known.1 * (1.0 + 1e-12) => {
                share *= 0.5;
                known
            }
            known => {
                share = known.map_or(1.0, |(from, _, before)| learnt(at - from, before - way));
                *best.insert((at, far, way))
            }
        };
        let step = way * share;
        if step.norm() <= REACHED * extent {
            break;
        }
        at = from + step;
    }
    best.map(|b| b.0)
}

/// The part of the way along to be gone, when a step has made it less by `less`.
fn learnt(step: Vec3, less: Vec3) -> f64 {
    let share = step.dot(step) / step.dot(less);
    if share.is_finite() && share > 0.0 { share.clamp(0.02, 4.0) } else { 1.0 }
}

/// The part of a way that runs square to a slope.
fn along(way: Vec3, slope: Vec3) -> Vec3 {
    way - slope * (way.dot(slope) / slope.dot(slope).max(f64::MIN_POSITIVE))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{polyline, revolve};
    use crate::formula::Unary;
    use std::f64::consts::TAU;

    #[test]
    fn a_line_laid_on_a_tube_is_a_helix() {
        let wall = polyline(&[Vec3::new(5.0, 0.0, 0.0), Vec3::new(5.0, 0.0, 30.0)], false).unwrap();
        let tube = revolve(&wall, 360.0).unwrap();
        let line = polyline(&[Vec3::ZERO, Vec3::new(30.0, TAU, 0.0)], false).unwrap();
        let helix = laid(&line, &tube).unwrap();
        // Length of a turn: the root of height and girth squared.
        let exact = (30.0f64 * 30.0 + (TAU * 5.0).powi(2)).sqrt();
        assert!((helix.length() - exact).abs() < 1e-6, "{} {exact}", helix.length());
    }

    fn circle(radius: f64, up: f64) -> Curve {
        let wave = |f| Expr::unary(f, Expr::var("t")) * radius;
        let components = [wave(Unary::Cos), wave(Unary::Sin), Expr::constant(up)];
        Curve::new(components, "t", (0.0, TAU)).unwrap()
    }

    fn ellipsoid() -> Expr {
        let [x, y, z] = ["x", "y", "z"].map(Expr::var);
        x.clone() * x / 900.0 + y.clone() * y / 400.0 + z.clone() * z / 100.0 - 1.0
    }

    /// A level circle goes to the parallel of a ball in its direction; on an ellipsoid every place is square below.
    #[test]
    fn a_circle_goes_to_the_nearest_places_of_a_level() {
        let [x, y, z] = ["x", "y", "z"].map(Expr::var);
        let ball = x.clone() * x + y.clone() * y + z.clone() * z - 400.0;
        let made = laid(&circle(24.0, 18.0), &Surface::Level(ball)).unwrap();
        // 20 mm along (24, 18)/30: the parallel of radius 16.
        assert!((made.length() - 16.0 * TAU).abs() < 1e-4, "{}", made.length());
        assert!(made.is_closed());

        let above = circle(15.0, 20.0);
        let made = laid(&above, &Surface::Level(ellipsoid())).unwrap();
        let (tape, mut scratch) = (Tape::new(&ellipsoid()).unwrap(), Scratch::default());
        let (from, to) = (above.strands()[0].places(), made.strands()[0].places());
        for k in 0..50 {
            let t = f64::from(k) * TAU / 50.0;
            let (p, q) = (from.at(t), to.at(t));
            let (value, slope) = tape.slope(q, &mut scratch);
            assert!(value.abs() < 1e-5, "{k}: {value}");
            assert!((p - q).unit().unwrap().cross(slope.unit().unwrap()).norm() < 1e-4, "{k}");
        }
    }

    #[test]
    fn what_has_no_place_nearby_is_told() {
        let nothing = Surface::Level(Expr::var("x") * Expr::var("x") + 4.0);
        let told = laid(&circle(5.0, 1.0), &nothing).unwrap_err().to_string();
        assert!(told.contains("has no place near"), "{told}");
    }
}
