//! A region of space with an inside, and the set operations that combine regions.
//!
//! Set operations keep what they were told. Lists of a union or an intersection are flattened, and
//! `(a - b) - c` is kept as `a - (b | c)`, so that a loop in a script builds a wide tree and not a deep one.

use std::sync::Arc;

use super::fault::{FormFault, not_negative};
use super::flat::Raised;
use super::net::Framework;
use super::{Faceted, Surface, Swept, Thickness, Tube};
use crate::base::{Affine, Box3};
use crate::formula::Expr;

/// Most steps that may be nested in one another.
const DEEPEST: u32 = 400;

/// A region of space with an inside; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub enum Solid {
    /// Where the expression in x, y, z is negative. `within`: a box known to hold it, else infinite.
    Field {
        /// Negative inside.
        value: Expr,
        /// A box that holds the region.
        within: Box3,
    },
    /// Points of any.
    Union(Arc<[Solid]>),
    /// Points of all.
    Intersection(Arc<[Solid]>),
    /// Points of the first that are not in the second.
    Difference(Arc<[Solid; 2]>),
    /// The union with the crease filled by a fillet of the given reach, mm ([`super::fillet`]).
    Blend(Arc<[Solid; 2]>, f64),
    /// The image under an affine map that can be undone.
    Moved(Arc<Solid>, Affine),
    /// The points p for which `map(p)` lies in the solid; `map` has three components in x, y, z.
    Mapped {
        /// The solid looked into.
        solid: Arc<Solid>,
        /// Where a point looks.
        map: [Expr; 3],
        /// A box that holds the result.
        within: Box3,
    },
    /// Every point nearer to the surface than half the thickness, by true distance.
    Wall(Arc<Surface>, Thickness),
    /// Every point nearer to the curve than the radius.
    Tube(Arc<Tube>),
    /// A flat section carried along a curve.
    Swept(Arc<Swept>),
    /// What a closed mesh bounds, exactly.
    Faceted(Arc<Faceted>),
    /// A flat raised to a height.
    Raised(Arc<Raised>),
    /// Round struts between points.
    Struts(Arc<Framework>),
}

impl Solid {
    /// How many steps are nested in one another; a primitive has 1.
    pub fn depth(&self) -> u32 {
        match self {
            Self::Field { .. }
            | Self::Tube(_)
            | Self::Swept(_)
            | Self::Faceted(_)
            | Self::Raised(_)
            | Self::Struts(_) => 1,
            Self::Union(list) | Self::Intersection(list) => {
                1 + list.iter().map(Self::depth).max().unwrap_or(0)
            }
            Self::Difference(pair) | Self::Blend(pair, _) => 1 + pair[0].depth().max(pair[1].depth()),
            Self::Moved(s, _) | Self::Mapped { solid: s, .. } => 1 + s.depth(),
            Self::Wall(s, _) => 1 + s.depth(),
        }
    }

    /// True for the very same solid: a copy of it, not one made again alike.
    pub fn is_same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Field { value: a, within: v }, Self::Field { value: b, within: w }) => {
                a.address() == b.address() && v == w
            }
            (Self::Union(a), Self::Union(b)) | (Self::Intersection(a), Self::Intersection(b)) => {
                Arc::ptr_eq(a, b)
            }
            (Self::Difference(a), Self::Difference(b)) => Arc::ptr_eq(a, b),
            (Self::Blend(a, r), Self::Blend(b, s)) => Arc::ptr_eq(a, b) && r == s,
            (Self::Moved(a, v), Self::Moved(b, w)) => Arc::ptr_eq(a, b) && v == w,
            (Self::Mapped { solid: a, map: m, within: v }, Self::Mapped { solid: b, map: n, within: w }) => {
                Arc::ptr_eq(a, b) && m.iter().zip(n).all(|(m, n)| m.address() == n.address()) && v == w
            }
            (Self::Wall(a, Thickness::Even(t)), Self::Wall(b, Thickness::Even(u))) => {
                Arc::ptr_eq(a, b) && t == u
            }
            (Self::Tube(a), Self::Tube(b)) => Arc::ptr_eq(a, b),
            (Self::Swept(a), Self::Swept(b)) => Arc::ptr_eq(a, b),
            (Self::Faceted(a), Self::Faceted(b)) => Arc::ptr_eq(a, b),
            (Self::Raised(a), Self::Raised(b)) => Arc::ptr_eq(a, b),
            (Self::Struts(a), Self::Struts(b)) => Arc::ptr_eq(a, b),
            _ => false,
        }
    }

    /// The solid inside all motions that moved it as a whole, and their product.
    pub fn unmoved(&self) -> (&Self, Affine) {
        match self {
            Self::Moved(inner, by) => {
                let (inmost, before) = inner.unmoved();
                (inmost, before.then(by))
            }
            other => (other, Affine::IDENTITY),
        }
    }

    /// This solid, unless it is nested too deep to be worked on.
    pub(crate) fn checked(self) -> Result<Self, FormFault> {
        if self.depth() > DEEPEST { Err(FormFault::TooDeep { limit: DEEPEST as usize }) } else { Ok(self) }
    }
}

/// Points of either solid.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub fn union(a: &Solid, b: &Solid) -> Result<Solid, FormFault> {
    let mut parts = Vec::new();
    for s in [a, b] {
        match s {
            Solid::Union(list) => parts.extend(list.iter().cloned()),
            other => parts.push(other.clone()),
        }
    }
    Solid::Union(parts.into()).checked()
}

/// Points of both solids.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub fn intersection(a: &Solid, b: &Solid) -> Result<Solid, FormFault> {
    let mut parts = Vec::new();
    for s in [a, b] {
        match s {
            Solid::Intersection(list) => parts.extend(list.iter().cloned()),
            other => parts.push(other.clone()),
        }
    }
    Solid::Intersection(parts.into()).checked()
}

/// Points of `a` that are not in `b`.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub fn difference(a: &Solid, b: &Solid) -> Result<Solid, FormFault> {
    let (from, off) = match a {
        Solid::Difference(pair) => (pair[0].clone(), union(&pair[1], b)?),
        other => (other.clone(), b.clone()),
    };
    Solid::Difference(Arc::new([from, off])).checked()
}

/// The union of two solids with the crease between them filled to a fillet: it leaves each boundary where the
/// other solid is `reach` mm away, as the fields measure distance; for two planes at right angles the fillet
/// is a quarter circle of radius `reach`. A reach of 0 is the plain union.
///
/// # Errors
/// [`FormFault::Negative`] for a reach below 0 or not finite; [`FormFault::TooDeep`].
pub fn blend(a: &Solid, b: &Solid, reach: f64) -> Result<Solid, FormFault> {
    if not_negative("reach", reach)? == 0.0 {
        return union(a, b);
    }
    Solid::Blend(Arc::new([a.clone(), b.clone()]), reach).checked()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;
    use crate::form::{ball, block};

    /// A copy is the same solid; one made again alike is another, and so is one moved elsewhere.
    #[test]
    fn copies_are_the_same_solid() {
        let (one, again) = (ball(1.0).unwrap(), ball(1.0).unwrap());
        assert!(one.is_same(&one.clone()) && !one.is_same(&again));
        let both = union(&one, &again).unwrap();
        assert!(both.is_same(&both.clone()) && !both.is_same(&union(&one, &again).unwrap()));
        let moved = crate::form::shift(&one, Vec3::splat(1.0)).unwrap();
        assert!(moved.is_same(&moved.clone()) && !moved.is_same(&one));
    }

    #[test]
    fn loops_build_wide_trees() {
        let unit = ball(1.0).unwrap();
        let mut all = unit.clone();
        let mut rest = block(Vec3::splat(9.0)).unwrap();
        for _ in 0..2000 {
            all = union(&all, &unit).unwrap();
        }
        for _ in 0..600 {
            rest = difference(&rest, &unit).unwrap();
        }
        assert_eq!(all.depth(), 2);
        assert_eq!(rest.depth(), 3);
    }

    #[test]
    fn nesting_ends_in_a_fault_and_not_in_a_crash() {
        let unit = ball(1.0).unwrap();
        let mut deep = unit.clone();
        let fault = loop {
            match blend(&deep, &unit, 0.5) {
                Ok(s) => deep = s,
                Err(f) => break f,
            }
        };
        assert!(matches!(fault, FormFault::TooDeep { .. }));
        assert!(matches!(blend(&unit, &unit, f64::NAN), Err(FormFault::Negative { .. })));
    }
}
