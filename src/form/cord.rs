//! The strands of a cord along a curve.

use super::fault::{FormFault, positive, unfit};
use super::knot::braid_strands;
use super::measures::tightest;
use super::spline::Spline;
use super::sweep::{Carried, frames};
use super::{Curve, only};
use crate::base::Vec3;

/// How a cord is made.
#[derive(Clone, Debug)]
pub struct Corded {
    /// The braid word.
    pub word: Vec<i64>,
    /// How many strands; else one more than the highest letter.
    pub strands: Option<usize>,
    /// Distance of strands side by side, mm.
    pub spacing: f64,
    /// How often the word is gone through on the way.
    pub repeats: usize,
    /// Turns of the whole cord on the way.
    pub turns: f64,
}

/// The strands of a cord along a curve: they lie side by side and swap places by a braid word.
///
/// # Errors
/// [`FormFault::Unfit`] for a wrong letter, a curve of several strands, or turns that do not bring the strands home on a
/// closed curve; [`FormFault::NotPositive`].
pub fn cord(path: &Curve, how: &Corded) -> Result<Curve, FormFault> {
    positive("spacing", how.spacing)?;
    let closed = only(path)?.is_closed();
    if closed && (how.turns - how.turns.round()).abs() > 1e-9 {
        let why = format!("of {} do not bring the strands home where the curve closes", how.turns);
        return Err(unfit("turns", why));
    }
    let (count, strands) = braid_strands(&how.word, how.strands, how.repeats, closed)?;
    let (reach, tightest) = (0.5 * (count - 1) as f64 * how.spacing, tightest(path)?);
    if reach > tightest.radius {
        let [x, y, z] = tightest.place.array();
        let why = format!(
            "takes the outer strands {reach:.2} mm from the curve, which has room for {:.2} mm near [{x:.2}, {y:.2}, {z:.2}]",
            tightest.radius
        );
        return Err(unfit("spacing", why));
    }
    let carried = Carried { turns: how.turns, ..Carried::default() };
    let made = strands.iter().map(|strand| {
        let parts: Vec<f64> = strand.iter().map(|p| p[0]).collect();
        let at = frames(path, &parts, carried)?;
        let place = |([p, x, y], [_, out, up]): (&[Vec3; 3], &[f64; 3])| {
            let out = out - 0.5 * (count - 1) as f64;
            *p + *x * (out * how.spacing) + *y * (up * how.spacing)
        };
        let points: Vec<Vec3> = at.iter().zip(strand).map(place).collect();
        Spline::through(&points, closed).map(Into::into)
    });
    Curve::of(made.collect::<Result<Vec<_>, _>>()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{linking, polyline, widest};
    use crate::formula::{Expr, Unary};
    use std::f64::consts::TAU;

    fn circle(radius: f64) -> Curve {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        Curve::new([c * radius, s * radius, Expr::constant(0.0)], "t", (0.0, TAU)).unwrap()
    }

    fn how(word: &[i64], repeats: usize) -> Corded {
        Corded { word: word.to_vec(), strands: None, spacing: 3.0, repeats, turns: 0.0 }
    }

    #[test]
    fn a_cord_closes_as_its_braid_does() {
        // Three strands, three repeats of a word whose permutation has order 3: three strands come home.
        let cord3 = cord(&circle(20.0), &how(&[1, -2], 6)).unwrap();
        assert_eq!(cord3.strands().len(), 3);
        assert!(cord3.is_closed());
        let one = cord(&circle(20.0), &how(&[1, -2], 4)).unwrap();
        assert_eq!(one.strands().len(), 1);
        // Two strands twisted by four half turns are linked twice.
        let two = cord(&circle(20.0), &how(&[1], 4)).unwrap();
        let all: Vec<Curve> = two.singles().collect();
        assert_eq!(linking(&all[0], &all[1]).unwrap().abs(), 2);
        // Strands keep their spacing, but for what a crossing takes.
        assert!(widest(&cord3).unwrap().radius > 0.6, "{}", widest(&cord3).unwrap().radius);
    }

    #[test]
    fn an_open_cord_runs_from_end_to_end() {
        let line = polyline(&[Vec3::ZERO, Vec3::new(60.0, 0.0, 0.0)], false).unwrap();
        let cord = cord(&line, &how(&[1, -2], 5)).unwrap();
        assert_eq!(cord.strands().len(), 3);
        for s in cord.strands() {
            let (a, b) = s.range();
            assert!(s.places().at(a).x.abs() < 1e-6 && (s.places().at(b).x - 60.0).abs() < 1e-6);
        }
    }

    #[test]
    fn wrong_cords_are_refused() {
        assert!(cord(&circle(20.0), &how(&[0], 1)).is_err());
        assert!(cord(&circle(20.0), &how(&[], 1)).is_err());
        let half = Corded { turns: 0.5, ..how(&[1], 2) };
        assert!(cord(&circle(20.0), &half).unwrap_err().to_string().contains("home"));
    }
}
