//! Curves as ropes: relaxed to an even, open shape, or pulled tight; and what knot a curve is.

use super::fault::{FormFault, unfit};
use super::knot::{self, Diagram, Laurent, View};
use super::measures::{gap, widest};
use super::paths::points;
use super::rope::{self, Loops, Symmetry};
use super::spline::Spline;
use super::{Curve, Strand};
use crate::base::{Affine, Stopped, Vec3, Watch};

/// Why a rope could not be moved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RopeFault {
    /// What was given cannot be a rope.
    #[error(transparent)]
    Form(#[from] FormFault),
    /// The work was told to stop.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

/// Least and most points of a loop that is relaxed, before they are doubled.
const FEWEST: usize = 24;
const MOST: usize = 1500;
/// Points of a polygon stand this part of the curve's own clearance apart: it is then the same knot.
const FINE: f64 = 0.8;

/// Corners to each step of a braid: where it is relaxed next, and where it is kept.
const COARSE: usize = 4;
const FINER: usize = 8;

/// Even polygons of a closed curve, fine enough to be the same knot; counts of points are multiples of `order`.
fn loops(curve: &Curve, order: usize) -> Result<Loops, FormFault> {
    if !curve.is_closed() {
        return Err(unfit("curve", "must be closed: an open curve has no knot in it"));
    }
    let clear = gap(curve)?;
    let total = curve.length();
    if !(clear > 1e-6 * total) {
        return Err(unfit("curve", "meets itself: which stretch is above cannot be told"));
    }
    let step = (clear * FINE).min(total / 60.0);
    let lengths: Vec<f64> = curve.strands().iter().map(Strand::length).collect();
    let count = |l: f64| ((l / step).ceil() as usize).max(FEWEST).div_ceil(order) * order;
    let all: usize = lengths.iter().map(|l| count(*l)).sum();
    if all > MOST {
        return Err(unfit(
            "curve",
            format!(
                "comes {clear:.3} mm near itself over {total:.0} mm of length: that would take {all} points, {MOST} can be"
            ),
        ));
    }
    curve.strands().iter().zip(lengths).map(|(s, l)| points(s, count(l))).collect()
}

fn curve_of(loops: &Loops) -> Result<Curve, FormFault> {
    Curve::of(loops.iter().map(|l| Spline::near(l).map(Strand::from)).collect::<Result<Vec<_>, _>>()?)
}

/// The curve in an even, open shape of the same knot type, its middle at the origin and its flattest direction along
/// z. With `symmetric` above 1 the curve must already look alike after that part of a turn about the z axis, and
/// keeps doing so. See `rope::relax`.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is open, meets itself, or lacks the symmetry; [`Stopped`].
pub fn relaxed(curve: &Curve, symmetric: usize, watch: &dyn Watch) -> Result<Curve, RopeFault> {
    let length = curve.length();
    if symmetric < 2 {
        return finished(rope::relax(&loops(curve, 1)?, None, watch)?, length, true);
    }
    let start = loops(curve, symmetric)?;
    let Some(symmetry) = Symmetry::of(&start, symmetric) else {
        let why = format!("does not look alike after 1/{symmetric} of a turn about the z axis");
        return Err(unfit("curve", why).into());
    };
    finished(rope::relax(&start, Some(&symmetry), watch)?, length, false)
}

/// The drawing lifted into space and relaxed, its longest side `size` mm.
///
/// # Errors
/// [`Stopped`]; [`FormFault::NotPositive`].
pub fn shaped(diagram: &Diagram, size: f64, watch: &dyn Watch) -> Result<Curve, RopeFault> {
    spread(&knot::drawn(diagram), size, watch)
}

/// The knot or link of a table's name, relaxed, its longest side `size` mm.
///
/// # Errors
/// [`FormFault::Unfit`] for a name that is not kept; [`Stopped`]; [`FormFault::NotPositive`].
pub fn tabled(name: &str, size: f64, watch: &dyn Watch) -> Result<Curve, RopeFault> {
    let Some(found) = knot::TABLE.iter().find(|t| t.name == name) else {
        let why = format!(
            "is no name of the table: \"{name}\"; names are 3_1 to 8_21, and links 2^2_1, 4^2_1, 5^2_1, 6^3_2"
        );
        return Err(unfit("name", why).into());
    };
    spread(&knot::braid_rings(found.word, None, COARSE)?, size, watch)
}

fn spread(loops: &Loops, size: f64, watch: &dyn Watch) -> Result<Curve, RopeFault> {
    Ok(super::fit(&finished(rope::relax(loops, None, watch)?, 30.0, true)?, size)?)
}

/// The closed braid of a word, smooth, its longest side `size` mm; see [`knot::braid_rings`].
///
/// # Errors
/// [`FormFault::Unfit`] for a wrong letter; [`FormFault::NotPositive`].
pub fn braided(word: &[i64], strands: Option<usize>, size: f64) -> Result<Curve, FormFault> {
    super::fit(&curve_of(&knot::braid_rings(word, strands, FINER)?)?, size)
}

/// Scaled to a length, put in the middle, and laid flat.
fn finished(mut loops: Loops, length: f64, flat: bool) -> Result<Curve, RopeFault> {
    let now: f64 = loops.iter().map(|l| rope::round(l)).sum();
    let count: usize = loops.iter().map(Vec::len).sum();
    let middle = loops.iter().flatten().fold(Vec3::ZERO, |a, p| a + *p) / count as f64;
    let lay = if flat { flattest(&loops, middle) } else { Affine::IDENTITY };
    for p in loops.iter_mut().flatten() {
        *p = lay.apply_direction(*p - middle) * (length / now);
    }
    Ok(curve_of(&loops)?)
}

/// The turn that puts the direction of least extent along z and that of most along x.
fn flattest(loops: &Loops, middle: Vec3) -> Affine {
    let mut sum = nalgebra::Matrix3::zeros();
    for p in loops.iter().flatten() {
        let d = *p - middle;
        let v = nalgebra::Vector3::new(d.x, d.y, d.z);
        sum += v * v.transpose();
    }
    let eigen = sum.symmetric_eigen();
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    let column = |k: usize| {
        let v = eigen.eigenvectors.column(order[k]);
        Vec3::new(v[0], v[1], v[2])
    };
    let (x, y) = (column(0), column(1));
    Affine { rows: [x, y, x.cross(y)], shift: Vec3::ZERO }
}

/// The curve pulled tight for rope of a radius, mm: as short as can be found, with no bend tighter than the radius
/// and no two stretches nearer than twice the radius. It is relaxed first. See `rope::tighten`.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is open or meets itself, and if the knot changed on the way; [`Stopped`].
pub fn tightened(curve: &Curve, radius: f64, watch: &dyn Watch) -> Result<Curve, RopeFault> {
    super::fault::positive("radius", radius)?;
    let open = relaxed(curve, 1, watch)?;
    let start = loops(&open, 1)?;
    let clear = widest(&open)?.radius;
    let scaled = start.into_iter().map(|l| l.into_iter().map(|p| p / clear).collect()).collect();
    let tight = rope::tighten(&scaled, watch)?;
    let thick = widest(&curve_of(&tight)?)?.radius;
    let whole: f64 = tight.iter().map(|l| rope::round(l)).sum();
    let tight = finished(tight, whole * radius / thick, true)?;
    if alexander(&open)? != alexander(&tight)? {
        return Err(unfit("curve", "became another knot while it was pulled tight; relax it first").into());
    }
    Ok(tight)
}

/// What is seen of a closed curve from the side that shows few crossings.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is open or meets itself.
pub fn seen(curve: &Curve) -> Result<View, FormFault> {
    knot::crossings(&loops(curve, 1)?)
}

/// The Alexander polynomial of a closed curve, lowest coefficient first; empty for zero, as of a link that comes apart.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is open or meets itself, or shows more crossings than are worked on.
pub fn alexander(curve: &Curve) -> Result<Laurent, FormFault> {
    let view = seen(curve)?;
    match view.diagram()? {
        Some(diagram) if view.free() == 0 && diagram.pieces().len() == 1 => knot::alexander(&diagram),
        None if curve.strands().len() == 1 => Ok(vec![1]),
        _ => Ok(vec![]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Unwatched;
    use crate::form::length_over_radius;

    fn tight(name: &str) -> Curve {
        tightened(&tabled(name, 40.0, &Unwatched).unwrap(), 2.5, &Unwatched).unwrap()
    }

    /// Published least lengths, over the radius. Sources: T. Ashton, J. Cantarella, M. Piatek, E. J. Rawdon,
    /// Experimental Mathematics 20 (2011) 57 (knots); J. Cantarella, R. B. Kusner, J. M. Sullivan, Inventiones
    /// Mathematicae 150 (2002) 257 (two rings: 8π, proven); J. Cantarella et al., Geometry & Topology 10 (2006) 2055
    /// (Borromean rings). Nothing shorter than the proven lengths may come out.
    #[test]
    fn ropes_are_pulled_as_tight_as_the_best_known() {
        for (name, published) in [
            ("3_1", 32.7436),
            ("4_1", 42.0887),
            ("5_1", 47.2016),
            ("5_2", 49.4701),
            ("2^2_1", 25.132_741),
            ("6^3_2", 58.0060),
        ] {
            let rope = tight(name);
            let found = length_over_radius(&rope).unwrap();
            assert!(
                (published * 0.9999..published * 1.01).contains(&found),
                "{name}: {found}, published {published}"
            );
            let thick = widest(&rope).unwrap().radius;
            assert!((thick - 2.5).abs() < 1e-6, "{name}: {thick}");
        }
    }

    #[test]
    fn relaxed_curves_stay_the_same_knot_and_length() {
        let start = braided(&[1, -2, 1, -2, 1, -2, 1, -2], None, 50.0).unwrap();
        let open = relaxed(&start, 1, &Unwatched).unwrap();
        assert_eq!(alexander(&open).unwrap(), [1, -5, 10, -13, 10, -5, 1]);
        assert!((open.length() / start.length() - 1.0).abs() < 0.02, "{} {}", open.length(), start.length());
        assert!(widest(&open).unwrap().radius > 1.5 * widest(&start).unwrap().radius);
    }

    #[test]
    fn a_symmetry_is_kept() {
        let start = braided(&[1, -2, 1, -2, 1, -2, 1, -2], None, 50.0).unwrap();
        let open = relaxed(&start, 4, &Unwatched).unwrap();
        assert_eq!(alexander(&open).unwrap(), [1, -5, 10, -13, 10, -5, 1]);
        let places = points(open.single().unwrap(), 400).unwrap();
        let quarter = Affine::turn(Vec3::new(0.0, 0.0, 1.0), std::f64::consts::FRAC_PI_2).unwrap();
        let off = |p: Vec3| places.iter().map(|q| (*q - p).norm()).fold(f64::INFINITY, f64::min);
        let worst = places.iter().map(|p| off(quarter.apply(*p))).fold(0.0, f64::max);
        assert!(worst < 0.01 * 50.0, "{worst}");
        assert!(relaxed(&start, 3, &Unwatched).is_err());
    }

    #[test]
    fn what_is_no_rope_is_refused() {
        let says = |c: &Curve| relaxed(c, 1, &Unwatched).unwrap_err().to_string();
        let square = [[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [9.0, 9.0, 0.0]].map(Vec3::from);
        assert!(says(&super::super::polyline(&square, false).unwrap()).contains("closed"));
        let eight = [[0.0, 0.0, 0.0], [9.0, 9.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]].map(Vec3::from);
        assert!(says(&super::super::polyline(&eight, true).unwrap()).contains("meets itself"));
        assert!(tabled("9_1", 10.0, &Unwatched).is_err());
    }
}
