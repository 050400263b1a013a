//! A tree of forms becomes one expression in x, y, z.

use std::collections::HashMap;

use super::{Solid, Surface, Thickness, xyz};
use crate::base::Affine;
use crate::formula::{Binary, Expr, Op, Unary};

/// The field of two solids joined with a fillet of the given reach: outside the reach of either it is the lesser
/// of the two; within it, `reach - √((reach - a)² + (reach - b)²)`, which meets the lesser with the same slope.
/// Source: the norm of two depths, after A. Ricci, Computer Journal 16 (1973) 157, with exponent 2; cut off at
/// `reach`, so that the solids keep their shape elsewhere. For planes at right angles: a quarter circle. Where the
/// two boundaries run side by side the joined solid stands out by up to (1 - 1/√2) of the reach.
pub fn fillet(a: Expr, b: Expr, reach: f64) -> Expr {
    let depth = |e: &Expr| (e.clone() - reach) * (e.clone() - reach);
    let inner = Expr::constant(reach) - (depth(&a) + depth(&b)).sqrt();
    Expr::select(a.clone().max(b.clone()) - reach, inner, a.min(b))
}

/// A balanced tree of one operation: depth grows with the logarithm of the count.
fn balanced(mut list: Vec<Expr>, join: fn(Expr, Expr) -> Expr) -> Expr {
    while list.len() > 1 {
        let mut next = Vec::with_capacity(list.len().div_ceil(2));
        let mut it = list.into_iter();
        while let Some(a) = it.next() {
            next.push(match it.next() {
                Some(b) => join(a, b),
                None => a,
            });
        }
        list = next;
    }
    list.pop().unwrap_or_else(|| Expr::constant(f64::INFINITY))
}

/// The map of coordinates that undoes an affine map.
fn undo(by: &Affine, at: &[Expr; 3]) -> Option<[Expr; 3]> {
    let back = by.inverse()?;
    Some(apply(&back, at))
}

/// An affine map of expressions; terms with coefficient 0 and factors 1 are left out.
pub(crate) fn apply(map: &Affine, at: &[Expr; 3]) -> [Expr; 3] {
    [0, 1, 2].map(|i| {
        let mut sum: Option<Expr> = None;
        for (j, coordinate) in at.iter().enumerate() {
            let k = map.rows[i][j];
            let term = match k {
                0.0 => continue,
                1.0 => coordinate.clone(),
                -1.0 => -coordinate.clone(),
                _ => coordinate.clone() * k,
            };
            sum = Some(match sum {
                None => term,
                Some(s) => s + term,
            });
        }
        let shift = map.shift[i];
        match sum {
            None => Expr::constant(shift),
            Some(s) if shift == 0.0 => s,
            Some(s) => s + shift,
        }
    })
}

/// `e`, whose names are x, y, z, at other coordinates.
pub(crate) fn looked(e: &Expr, at: &[Expr; 3]) -> Expr {
    let [x, y, z] = at.clone();
    e.with(&[("x", x), ("y", y), ("z", z)])
}

/// What a wall in the tree becomes: its surface and thickness give an expression in x, y, z.
type WallOf<'a, E> = dyn FnMut(&Surface, &Thickness) -> Result<Expr, E> + 'a;

impl Solid {
    /// The tree as one expression, negative inside. `wall` says what a wall becomes: an expression in x, y, z
    /// that is negative nearer to the surface than half the thickness.
    ///
    /// # Errors
    /// Those of `wall`.
    pub fn lower<E>(&self, wall: &mut WallOf<'_, E>) -> Result<Expr, E> {
        lower_at(self, &xyz(), wall)
    }
}

/// The same function, but positive where it has no value: set operations would pass over the lack of one and count
/// such places as inside.
fn outside_where_undefined(value: Expr) -> Expr {
    if !value.is_partial() {
        return value;
    }
    // A test without a value takes the last, and max passes over it.
    let positive = value.clone().max(Expr::constant(f64::MIN_POSITIVE));
    Expr::select(value.clone(), value, positive)
}

fn lower_at<E>(solid: &Solid, at: &[Expr; 3], wall: &mut WallOf<'_, E>) -> Result<Expr, E> {
    Ok(match solid {
        Solid::Field { value, .. } => outside_where_undefined(looked(value, at)),
        Solid::Union(list) => {
            let parts: Result<Vec<_>, E> = list.iter().map(|s| lower_at(s, at, wall)).collect();
            balanced(parts?, Expr::min)
        }
        Solid::Intersection(list) => {
            let parts: Result<Vec<_>, E> = list.iter().map(|s| lower_at(s, at, wall)).collect();
            balanced(parts?, Expr::max)
        }
        Solid::Difference(pair) => {
            let from = lower_at(&pair[0], at, wall)?;
            from.max(-lower_at(&pair[1], at, wall)?)
        }
        Solid::Blend(pair, reach) => {
            let a = lower_at(&pair[0], at, wall)?;
            fillet(a, lower_at(&pair[1], at, wall)?, *reach)
        }
        Solid::Moved(inner, by) => match undo(by, at) {
            // A similarity scales distances by the cube root of its determinant; so does the field then.
            Some(back) => scaled(lower_at(inner, &back, wall)?, libm::cbrt(by.determinant().abs())),
            None => Expr::constant(f64::INFINITY),
        },
        Solid::Mapped { solid: inner, map, .. } => {
            let looks = map.each_ref().map(|e| looked(e, at));
            lower_at(inner, &looks, wall)?
        }
        Solid::Wall(surface, thickness) => looked(&wall(surface, thickness)?, at),
        Solid::Tube(tube) => looked(tube.value(), at),
        Solid::Faceted(faceted) => looked(faceted.value(), at),
        Solid::Raised(raised) => looked(raised.value(), at),
        Solid::Struts(struts) => looked(struts.value(), at),
        Solid::Swept(swept) => outside_where_undefined(looked(swept.value(), at)),
    })
}

/// `e` times `k`, which is positive; left as it is when k is 1 to rounding (a turn or a shift).
fn scaled(e: Expr, k: f64) -> Expr {
    if (k - 1.0).abs() < 1e-12 { e } else { spread(&e, k, &mut HashMap::new(), 0) }
}

/// Past this depth a minimum or maximum is scaled as a whole.
const DEEPEST: u32 = 200;

/// `e` times `k` with the factor in the branches of its minima and maxima, where creases are looked for. `done` holds what
/// was met before, by address.
fn spread(e: &Expr, k: f64, done: &mut HashMap<usize, Expr>, depth: u32) -> Expr {
    if let Some(known) = done.get(&e.address()) {
        return known.clone();
    }
    let mut part = |a: &Expr| spread(a, k, done, depth + 1);
    let out = match e.op() {
        Op::Binary(Binary::Min, a, b) if depth < DEEPEST => part(a).min(part(b)),
        Op::Binary(Binary::Max, a, b) if depth < DEEPEST => part(a).max(part(b)),
        Op::Unary(Unary::Neg, a) if depth < DEEPEST => -part(a),
        Op::Select(test, a, b) if depth < DEEPEST => Expr::select(test.clone(), part(a), part(b)),
        _ => e.clone() * k,
    };
    done.insert(e.address(), out.clone());
    out
}

/// A surface with motions carried out and clips gathered.
#[derive(Clone, Debug)]
pub enum Sheet {
    /// Where the expression is zero.
    Level {
        /// In x, y, z.
        value: Expr,
        /// Kept is the part inside; `None` when nothing was cut off.
        clip: Option<Solid>,
    },
    /// The surface of a solid.
    Skin {
        /// The solid.
        solid: Solid,
        /// Kept is the part inside; `None` when nothing was cut off.
        clip: Option<Solid>,
    },
    /// Three components in two parameters.
    Param {
        /// x, y, z.
        components: [Expr; 3],
        /// Names of the parameters.
        params: [String; 2],
        /// Their ranges.
        ranges: [(f64, f64); 2],
        /// Kept is the part inside; `None` when nothing was cut off.
        clip: Option<Solid>,
    },
}

impl Surface {
    /// The tree as one description with at most one clip.
    pub fn sheet(&self) -> Sheet {
        match self {
            Self::Level(value) => Sheet::Level { value: value.clone(), clip: None },
            Self::Param { components, params, ranges } => Sheet::Param {
                components: components.clone(),
                params: params.clone(),
                ranges: *ranges,
                clip: None,
            },
            Self::Mesh(patch) => Sheet::Level { value: patch.shell(), clip: None },
            Self::Skin(solid) => Sheet::Skin { solid: (**solid).clone(), clip: None },
            Self::Clipped(inner, by) => inner.sheet().clipped(by),
            Self::Moved(inner, by) => inner.sheet().moved(by),
        }
    }
}

impl Sheet {
    fn clipped(mut self, by: &Solid) -> Self {
        let (Self::Level { clip, .. } | Self::Skin { clip, .. } | Self::Param { clip, .. }) = &mut self;
        *clip = Some(match clip.take() {
            Some(Solid::Intersection(list)) => {
                Solid::Intersection(list.iter().cloned().chain([by.clone()]).collect())
            }
            Some(before) => Solid::Intersection([before, by.clone()].into()),
            None => by.clone(),
        });
        self
    }

    fn moved(self, by: &Affine) -> Self {
        let carry = |clip: Option<Solid>| clip.map(|s| super::motion::moved_solid(&s, by));
        match self {
            Self::Level { value, clip } => {
                let value = match undo(by, &xyz()) {
                    Some(back) => scaled(looked(&value, &back), libm::cbrt(by.determinant().abs())),
                    None => Expr::constant(f64::INFINITY),
                };
                Self::Level { value, clip: carry(clip) }
            }
            Self::Skin { solid, clip } => {
                Self::Skin { solid: super::motion::moved_solid(&solid, by), clip: carry(clip) }
            }
            Self::Param { components, params, ranges, clip } => {
                Self::Param { components: apply(by, &components), params, ranges, clip: carry(clip) }
            }
        }
    }

    /// The clip, if any.
    pub fn clip(&self) -> Option<&Solid> {
        let (Self::Level { clip, .. } | Self::Skin { clip, .. } | Self::Param { clip, .. }) = self;
        clip.as_ref()
    }
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use super::*;
    use crate::base::Vec3;
    use crate::form::{ball, blend, block, difference, halfspace, intersection, scale, shift, turn, union};
    use crate::formula::Tape;

    fn at(s: &Solid, p: [f64; 3]) -> f64 {
        let e = s.lower::<Infallible>(&mut |_, _| unreachable!()).unwrap();
        Tape::new(&e).unwrap().value(p.into())
    }

    #[test]
    fn sets_and_motions_do_what_they_say() {
        let b = ball(2.0).unwrap();
        let c = shift(&b, Vec3::new(3.0, 0.0, 0.0)).unwrap();
        assert!((at(&union(&b, &c).unwrap(), [4.0, 0.0, 0.0]) + 1.0).abs() < 1e-15);
        assert!((at(&intersection(&b, &c).unwrap(), [1.5, 0.0, 0.0]) + 0.5).abs() < 1e-15);
        assert!((at(&difference(&b, &c).unwrap(), [1.5, 0.0, 0.0]) - 0.5).abs() < 1e-15);
        let big = scale(&b, Vec3::splat(3.0)).unwrap();
        assert!((at(&big, [8.0, 0.0, 0.0]) - 2.0).abs() < 1e-12);
        let bar = turn(&block(Vec3::new(10.0, 2.0, 2.0)).unwrap(), Vec3::new(0.0, 0.0, 1.0), 90.0).unwrap();
        assert!((at(&bar, [0.0, 6.0, 0.0]) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_scaled_set_operation_keeps_its_branches() {
        let lens = intersection(&ball(2.0).unwrap(), &block(Vec3::new(2.0, 9.0, 9.0)).unwrap()).unwrap();
        let big = scale(&difference(&lens, &ball(1.0).unwrap()).unwrap(), Vec3::splat(3.0)).unwrap();
        let e = big.lower::<Infallible>(&mut |_, _| unreachable!()).unwrap();
        let Op::Binary(Binary::Max, kept, _) = e.op() else { panic!("{e:?}") };
        assert!(matches!(kept.op(), Op::Binary(Binary::Max, ..)), "{kept:?}");
        for p in [[0.0, 5.0, 0.0], [4.0, 0.0, 0.0], [0.5, 0.5, 0.5]] {
            assert!(
                (at(&big, p)
                    - 3.0 * at(&difference(&lens, &ball(1.0).unwrap()).unwrap(), p.map(|c| c / 3.0)))
                .abs()
                    < 1e-12
            );
        }
    }

    #[test]
    fn a_fillet_between_square_planes_is_a_quarter_circle() {
        let x = halfspace(Vec3::ZERO, Vec3::new(1.0, 0.0, 0.0)).unwrap();
        let y = halfspace(Vec3::ZERO, Vec3::new(0.0, 1.0, 0.0)).unwrap();
        let s = blend(&x, &y, 2.0).unwrap();
        for angle in [0.1_f64, 0.5, 1.0, 1.5] {
            let (sin, cos) = angle.sin_cos();
            // Centre (2, 2), radius 2, the arc that faces the corner.
            assert!(at(&s, [2.0 - 2.0 * cos, 2.0 - 2.0 * sin, 0.0]).abs() < 1e-15);
        }
        assert_eq!(at(&s, [0.5, 5.0, 0.0]), 0.5);
        assert_eq!(at(&s, [-3.0, 5.0, 0.0]), -3.0);
    }
}
