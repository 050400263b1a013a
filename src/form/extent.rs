//! Boxes that are known from how a form was built, without looking at its field.

use super::{Curve, Sheet, Solid, Surface};
use crate::base::{Affine, Box3, Interval, Vec3};
use crate::formula::{Expr, Tape};

/// A box that holds the image of a box; faces at infinity are minded.
pub fn image_box(by: &Affine, of: Box3) -> Box3 {
    if of.is_empty() {
        return of;
    }
    let (mut lo, mut hi) = (by.shift.array(), by.shift.array());
    for i in 0..3 {
        for j in 0..3 {
            let k = by.rows[i][j];
            if k == 0.0 {
                continue;
            }
            let (a, b) = (k * of.min[j], k * of.max[j]);
            lo[i] += a.min(b);
            hi[i] += a.max(b);
        }
    }
    Box3::new(lo.into(), hi.into())
}

/// The whole of space.
pub(crate) fn everywhere() -> Box3 {
    Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY))
}

/// How far a fillet can stand out where two boundaries run side by side; see [`super::fillet`].
const STANDS_OUT: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

impl Solid {
    /// A box that holds the solid, as far as it is known from how the solid was built; infinite where it is not.
    pub fn within(&self) -> Box3 {
        match self {
            Self::Field { within, .. } | Self::Mapped { within, .. } => *within,
            Self::Union(list) => list.iter().fold(Box3::EMPTY, |b, s| b.join(s.within())),
            Self::Intersection(list) => list.iter().fold(everywhere(), |b, s| b.meet(s.within())),
            Self::Difference(pair) => pair[0].within(),
            Self::Blend(pair, reach) => pair[0].within().join(pair[1].within()).grown(reach * STANDS_OUT),
            Self::Moved(s, by) => image_box(by, s.within()),
            Self::Wall(s, thickness) => s.within().grown(thickness.most() * 0.5),
            Self::Tube(tube) => tube.within(),
            Self::Swept(swept) => swept.within(),
            Self::Faceted(faceted) => faceted.within(),
            Self::Raised(raised) => raised.within(),
            Self::Struts(struts) => struts.within(),
        }
    }

    /// How thin its thinnest rod is, mm, as far as it is known; infinite where it is not. Walls tell by themselves.
    pub fn thinnest(&self) -> f64 {
        let least = |list: &[Self]| list.iter().map(Self::thinnest).fold(f64::INFINITY, f64::min);
        match self {
            Self::Field { value, .. } => value.thinnest(),
            Self::Union(list) | Self::Intersection(list) => least(list),
            Self::Difference(pair) | Self::Blend(pair, _) => least(&pair[..]),
            Self::Moved(s, by) => s.thinnest() * libm::cbrt(by.determinant().abs()),
            Self::Mapped { solid, .. } => solid.thinnest(),
            Self::Wall(..) | Self::Faceted(_) => f64::INFINITY,
            Self::Tube(tube) => 2.0 * tube.radius(),
            Self::Swept(swept) => swept.value().thinnest(),
            Self::Raised(raised) => raised.value().thinnest(),
            Self::Struts(struts) => struts.value().thinnest(),
        }
    }
}

impl Surface {
    /// A box that holds the surface, as far as it is known from how it was built.
    pub fn within(&self) -> Box3 {
        if let Self::Mesh(patch) = self {
            return patch.region();
        }
        match self.sheet() {
            Sheet::Level { clip, .. } => clip.map_or_else(everywhere, |s| s.within()),
            Sheet::Skin { solid, clip } => {
                clip.map_or_else(|| solid.within(), |s| solid.within().meet(s.within()))
            }
            Sheet::Param { components, params, ranges, clip } => {
                let own = range_box(&components, &[(&params[0], ranges[0]), (&params[1], ranges[1])]);
                clip.map_or(own, |s| own.meet(s.within()))
            }
        }
    }
}

impl Curve {
    /// A box that holds the curve.
    pub fn within(&self) -> Box3 {
        let boxes = self.strands().iter().map(|s| range_box(s.components(), &[(s.param(), s.range())]));
        boxes.fold(Box3::EMPTY, Box3::join)
    }
}

/// Pieces per parameter when the range of a component is bounded.
const PIECES: usize = 64;

/// A box that holds the values of three expressions over ranges of one or two names.
fn range_box(components: &[Expr; 3], ranges: &[(&str, (f64, f64))]) -> Box3 {
    let names: Vec<(&str, Expr)> =
        ranges.iter().zip(["x", "y"]).map(|((n, _), to)| (*n, Expr::var(to))).collect();
    let one = |e: &Expr| {
        let tape = Tape::new(&e.with(&names)).ok()?;
        let piece = |k: usize, i: usize| match ranges.get(k) {
            Some((_, (a, b))) => {
                let at = |i: usize| a + (b - a) * (i as f64 / PIECES as f64);
                (at(i), at(i + 1))
            }
            None => (0.0, 0.0),
        };
        let last = |k: usize| if k < ranges.len() { PIECES } else { 1 };
        let mut all = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
        for i in 0..last(0) {
            for j in 0..last(1) {
                let ((a, b), (c, d)) = (piece(0, i), piece(1, j));
                let range = tape.bounds(Box3::new(Vec3::new(a, c, 0.0), Vec3::new(b, d, 0.0)));
                all = Interval::new(all.lo.min(range.lo), all.hi.max(range.hi));
            }
        }
        Some(all)
    };
    let [x, y, z] = components.each_ref().map(|e| one(e).unwrap_or(Interval::ALL));
    Box3::new(Vec3::new(x.lo, y.lo, z.lo), Vec3::new(x.hi, y.hi, z.hi))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{ball, block, halfspace, intersection, repeat, shift, twist};

    #[test]
    fn boxes_follow_the_tree() {
        let b = shift(&ball(1.0).unwrap(), Vec3::new(5.0, 0.0, 0.0)).unwrap();
        assert_eq!(b.within(), Box3::new(Vec3::new(4.0, -1.0, -1.0), Vec3::new(6.0, 1.0, 1.0)));
        let half = halfspace(Vec3::ZERO, Vec3::new(0.0, 0.0, 1.0)).unwrap();
        let cut = intersection(&b, &half).unwrap();
        assert_eq!(cut.within().max.z, 0.0);
        let row = repeat(&b, Vec3::splat(3.0), [Some(4), Some(1), Some(1)]).unwrap();
        assert_eq!(row.within().max.x, 15.0);
        let t = twist(&block(Vec3::new(6.0, 8.0, 2.0)).unwrap(), 10.0).unwrap();
        assert_eq!(t.within().max, Vec3::new(5.0, 5.0, 1.0));
        assert!(!half.within().is_finite());
    }

    #[test]
    fn maps_of_infinite_boxes_hold_no_nan() {
        let turn = Affine::turn(Vec3::new(1.0, 1.0, 0.0), 0.3).unwrap();
        let image = image_box(&turn, everywhere());
        assert_eq!(image, everywhere());
    }
}
