//! Curves made of points and of other curves.

use super::curve::{Curve, Strand, quadrature};
use super::fault::{FormFault, positive, unfit};
use super::near::cubics;
use super::spline::Spline;
use crate::base::{Box3, Vec3};

/// The smooth curve through points, in order; see `Spline::through`.
///
/// # Errors
/// [`FormFault::Unfit`] for too few points, or two alike in a row.
pub fn through(points: &[Vec3], closed: bool) -> Result<Curve, FormFault> {
    Curve::of([Spline::through(points, closed)?.into()])
}

/// The curve along straight lines from point to point.
///
/// # Errors
/// [`FormFault::Unfit`] for too few points, or two alike in a row.
pub fn polyline(points: &[Vec3], closed: bool) -> Result<Curve, FormFault> {
    Curve::of([Spline::straight(points, closed)?.into()])
}

/// The only strand of a curve.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve of several.
pub fn only(curve: &Curve) -> Result<&Strand, FormFault> {
    curve.single().ok_or_else(|| {
        let n = curve.strands().len();
        unfit("path", format!("has {n} strands; choose one, as in `strands(c)[0]`"))
    })
}

/// The strands of several curves as one.
///
/// # Errors
/// [`FormFault::Unfit`] for none.
pub fn together(curves: &[Curve]) -> Result<Curve, FormFault> {
    Curve::of(curves.iter().flat_map(|c| c.strands().iter().cloned()))
}

/// The curve with every strand walked the other way.
///
/// # Errors
/// None; a curve has a strand.
pub fn backward(curve: &Curve) -> Result<Curve, FormFault> {
    Curve::of(curve.strands().iter().map(Strand::backward))
}

/// One curve from several open curves, each moved (not turned) to where the one before it ends. Corners stay corners.
/// When the last ends where the first starts, the curve is closed.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is closed or has several strands, or for none; [`FormFault::NotFinite`].
pub fn join(curves: &[Curve]) -> Result<Curve, FormFault> {
    /// An end nearer to the start than this part of the extent is the start.
    const SAME: f64 = 1e-7;
    let mut all: Vec<([Vec3; 4], f64)> = Vec::new();
    for curve in curves {
        let Some(strand) = curve.single().filter(|s| !s.is_closed()) else {
            return Err(unfit("curves", "must hold open curves of one strand each"));
        };
        let own = cubics(strand)?;
        let shift = all.last().map_or(Vec3::ZERO, |(end, _)| end[3] - own[0].0[0]);
        all.extend(own.into_iter().map(|(p, h)| (p.map(|v| v + shift), h)));
    }
    let Some((first, _)) = all.first().copied() else { return Err(unfit("curves", "holds no curve")) };
    let extent = Box3::around(all.iter().map(|(p, _)| p[0])).size().largest();
    if let Some((end, _)) = all.last_mut()
        && (end[3] - first[0]).norm() <= SAME * extent
    {
        end[3] = first[0];
    }
    Curve::of([Spline::pieced(&all).into()])
}

/// `count` points along a strand, evenly by length, the first at its start; an open one has the last at its end.
///
/// # Errors
/// [`FormFault::Unfit`] for fewer than 2 points; [`FormFault::NotPositive`] for a curve without length.
pub fn points(strand: &Strand, count: usize) -> Result<Vec<Vec3>, FormFault> {
    if count < 2 {
        return Err(unfit("count", format!("must be 2 or more, got {count}")));
    }
    evenly(strand, count)
}

/// Pieces that a strand's length is summed over when places are sought by length.
const PIECES: usize = 512;

fn evenly(strand: &Strand, count: usize) -> Result<Vec<Vec3>, FormFault> {
    let places = strand.places();
    let steps = if strand.is_closed() { count } else { count - 1 };
    Ok(by_length(strand, steps)?.into_iter().take(count).map(|t| places.at(t)).collect())
}

/// Values of the parameter at equal steps of length, `steps` + 1 of them, ends included.
pub(crate) fn by_length(strand: &Strand, steps: usize) -> Result<Vec<f64>, FormFault> {
    strand.sound()?;
    let places = strand.places();
    let speed = |t: f64| places.velocity(t).norm();
    let cuts = strand.cuts(PIECES.max(steps));
    let mut gone = vec![0.0];
    for w in cuts.windows(2) {
        gone.push(gone[gone.len() - 1] + quadrature(w[0], w[1], speed));
    }
    let total = positive("length", gone[gone.len() - 1])?;
    let mut out = Vec::with_capacity(steps + 1);
    let mut k = 0;
    for i in 0..=steps {
        let want = total * (i as f64 / steps as f64);
        while k + 2 < cuts.len() && gone[k + 1] < want {
            k += 1;
        }
        let (from, to) = (cuts[k], cuts[k + 1]);
        let mut t = from + (to - from) * ((want - gone[k]) / (gone[k + 1] - gone[k]).max(f64::MIN_POSITIVE));
        for _ in 0..3 {
            let off = gone[k] + quadrature(from, t, speed) - want;
            let v = speed(t);
            if v > 0.0 {
                t = (t - off / v).clamp(from, to);
            }
        }
        out.push(t);
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::{Expr, Unary};

    #[test]
    fn points_stand_evenly_by_length() {
        // An ellipse, whose parameter is uneven.
        let t = Expr::var("t");
        let c = Expr::unary(Unary::Cos, t.clone()) * 9.0;
        let ellipse = Curve::new(
            [c, Expr::unary(Unary::Sin, t), Expr::constant(0.0)],
            "t",
            (0.0, std::f64::consts::TAU),
        );
        let ellipse = ellipse.unwrap();
        let strand = ellipse.single().unwrap();
        let at = by_length(strand, 7).unwrap();
        let places = strand.places();
        let total = ellipse.length();
        for w in at.windows(2) {
            let n = 200;
            let h = (w[1] - w[0]) / f64::from(n);
            let piece: f64 = (0..n)
                .map(|i| {
                    quadrature(w[0] + h * f64::from(i), w[0] + h * f64::from(i + 1), |t| {
                        places.velocity(t).norm()
                    })
                })
                .sum();
            assert!((piece - total / 7.0).abs() < 1e-8 * total);
        }
        assert_eq!(points(strand, 7).unwrap().len(), 7);
    }

    #[test]
    fn joined_curves_meet_and_keep_their_length() {
        let line = polyline(&[Vec3::ZERO, Vec3::new(10.0, 0.0, 0.0)], false).unwrap();
        let up = polyline(&[Vec3::ZERO, Vec3::new(8.0, 6.0, 0.0)], false).unwrap();
        let home = polyline(&[Vec3::ZERO, Vec3::new(-18.0, -6.0, 0.0)], false).unwrap();
        let both = join(&[line.clone(), up.clone()]).unwrap();
        assert!((both.length() - 20.0).abs() < 1e-8, "{}", both.length());
        assert!(!both.is_closed() && join(&[line.clone(), up, home]).unwrap().is_closed());
        assert!(join(&[together(&[line.clone(), line]).unwrap()]).is_err());
    }

    #[test]
    fn walking_back_ends_at_the_start() {
        let path = through(&[Vec3::ZERO, Vec3::new(1.0, 2.0, 0.0), Vec3::new(4.0, 2.0, 1.0)], false).unwrap();
        let back = backward(&path).unwrap();
        let (s, b) = (path.single().unwrap(), back.single().unwrap());
        assert_eq!(s.places().at(s.range().1), b.places().at(b.range().0));
        assert!((path.length() - back.length()).abs() < 1e-9);
    }
}
