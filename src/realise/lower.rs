//! A solid becomes one expression in x, y, z (mm), negative inside, and a box that holds it.

use std::collections::HashMap;

use super::RealiseFault;
use crate::base::{Affine, Box3, Vec3};
use crate::form::Solid;
use crate::formula::{Expr, Op};

/// A solid as one function.
#[derive(Clone, Debug)]
pub struct Lowered {
    /// Negative inside.
    pub value: Expr,
    /// A box that holds the solid; may be infinite.
    pub within: Box3,
}

/// What lowering hands a wall to: the surface, its thickness; gives its function and box.
pub type WallMaker<'a> = dyn FnMut(&crate::form::Surface, f64) -> Result<Lowered, RealiseFault> + 'a;

const SPACE: Box3 = Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY));

/// The function of a solid.
///
/// # Errors
/// What `wall` says; a motion that flattens space.
pub fn lower(solid: &Solid, wall: &mut WallMaker<'_>) -> Result<Lowered, RealiseFault> {
    Ok(match solid {
        Solid::Field { value, within } => Lowered { value: value.clone(), within: *within },
        Solid::Union(pair) => {
            let (a, b) = (lower(&pair[0], wall)?, lower(&pair[1], wall)?);
            Lowered { value: a.value.min(b.value), within: a.within.join(b.within) }
        }
        Solid::Intersection(pair) => {
            let (a, b) = (lower(&pair[0], wall)?, lower(&pair[1], wall)?);
            Lowered { value: a.value.max(b.value), within: a.within.meet(b.within) }
        }
        Solid::Difference(pair) => {
            let (a, b) = (lower(&pair[0], wall)?, lower(&pair[1], wall)?);
            Lowered { value: a.value.max(-b.value), within: a.within }
        }
        Solid::Blend(pair, reach) => {
            let (a, b) = (lower(&pair[0], wall)?, lower(&pair[1], wall)?);
            // The filled crease adds at most a quarter of the reach where both distances are true.
            let within = a.within.join(b.within).grown(*reach);
            Lowered { value: blend(a.value, b.value, *reach), within }
        }
        Solid::Moved(inner, map) => {
            let back = map.inverse().ok_or(RealiseFault::Flattened)?;
            let inner = lower(inner, wall)?;
            Lowered { value: moved(&inner.value, &back), within: moved_box(inner.within, map) }
        }
        Solid::Mapped { solid, map, within } => {
            let inner = lower(solid, wall)?;
            Lowered { value: substitute(&inner.value, map), within: *within }
        }
        Solid::Wall(surface, thickness) => wall(surface, *thickness)?,
    })
}

/// The lesser of two functions with a smooth transition where they differ by less than `reach`; elsewhere exact.
/// The fill is a cubic, so the result has a continuous curvature along the seam.
fn blend(a: Expr, b: Expr, reach: f64) -> Expr {
    if reach <= 0.0 {
        return a.min(b);
    }
    let gap = Expr::unary(crate::formula::Unary::Abs, a.clone() - b.clone());
    let h = (Expr::constant(1.0) - gap * (1.0 / reach)).max(Expr::constant(0.0));
    let fill = h.clone() * h.clone() * h * (reach / 6.0);
    // Written without `min`, which would be taken for a crease: (a + b - |a - b|) / 2.
    let gap = Expr::unary(crate::formula::Unary::Abs, a.clone() - b.clone());
    (a + b - gap) * 0.5 - fill
}

/// The function seen after a motion whose inverse is `back`.
pub fn moved(value: &Expr, back: &Affine) -> Expr {
    let vars = ["x", "y", "z"].map(Expr::var);
    let rows = [0, 1, 2].map(|i| {
        let mut sum = Expr::constant(back.shift[i]);
        for (k, v) in vars.iter().enumerate() {
            let c = back.rows[i][k];
            if c != 0.0 {
                sum = if sum.as_const() == Some(0.0) && c == 1.0 { v.clone() } else { sum + v.clone() * c };
            }
        }
        sum
    });
    substitute(value, &rows)
}

/// The box around the image of a box; infinite ends stay infinite.
pub fn moved_box(b: Box3, map: &Affine) -> Box3 {
    if b.is_empty() {
        return b;
    }
    let mut out = SPACE;
    let (mut min, mut max) = (map.shift.array(), map.shift.array());
    for i in 0..3 {
        for k in 0..3 {
            let c = map.rows[i][k];
            if c != 0.0 {
                let (s, t) = (c * b.min[k], c * b.max[k]);
                min[i] += s.min(t);
                max[i] += s.max(t);
            }
        }
    }
    out.min = Vec3::from(min);
    out.max = Vec3::from(max);
    out
}

/// The expression with `x`, `y`, `z` replaced.
pub fn substitute(value: &Expr, by: &[Expr; 3]) -> Expr {
    let mut done: HashMap<usize, Expr> = HashMap::new();
    let mut stack = vec![(value.clone(), false)];
    while let Some((e, ready)) = stack.pop() {
        if done.contains_key(&e.address()) {
            continue;
        }
        let args: Vec<Expr> = match e.op() {
            Op::Const(_) | Op::Var(_) => vec![],
            Op::Unary(_, a) => vec![a.clone()],
            Op::Binary(_, a, b) => vec![a.clone(), b.clone()],
            Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => vec![a.clone(), b.clone(), c.clone()],
        };
        if !ready && !args.is_empty() {
            stack.push((e.clone(), true));
            stack.extend(args.into_iter().map(|a| (a, false)));
            continue;
        }
        let get = |k: usize| done[&args[k].address()].clone();
        let new = match e.op() {
            Op::Const(_) => e.clone(),
            Op::Var(name) => match &**name {
                "x" => by[0].clone(),
                "y" => by[1].clone(),
                "z" => by[2].clone(),
                _ => e.clone(),
            },
            Op::Unary(f, _) => Expr::unary(*f, get(0)),
            Op::Binary(f, ..) => Expr::binary(*f, get(0), get(1)),
            Op::Select(..) => Expr::select(get(0), get(1), get(2)),
            Op::Oracle(o, part, _) => {
                debug_assert_eq!(*part, 0, "slopes are taken after lowering");
                Expr::oracle(o.clone(), [get(0), get(1), get(2)])
            }
        };
        done.insert(e.address(), new);
    }
    done.remove(&value.address()).unwrap_or_else(|| value.clone())
}
