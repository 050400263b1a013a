//! The expression graph: nodes shared by reference, constants folded as they are built.
//!
//! All functions take and give radians. Values are IEEE doubles; outside a function's domain the value is NaN.

use std::fmt;
use std::sync::Arc;

use super::simplify;
use crate::base::{Box3, Interval, Vec3};

/// A function of one number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Unary {
    Neg,
    Abs,
    /// -1, 0 or 1.
    Sign,
    Sqrt,
    Cbrt,
    Exp,
    Ln,
    Sin,
    Cos,
    Tan,
    Asin,
    Acos,
    Atan,
    Sinh,
    Cosh,
    Tanh,
    Asinh,
    Acosh,
    Atanh,
    Floor,
    Ceil,
    /// To the nearest integer, halves away from zero.
    Round,
}

/// A function of two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Binary {
    Add,
    Sub,
    Mul,
    Div,
    /// a to the power b; real for a negative a only when b is an integer.
    Pow,
    Min,
    Max,
    /// The angle of the point (b, a), as in atan2(a, b).
    Atan2,
    /// a - b·floor(a/b): has the sign of b.
    Mod,
}

/// A function of space that is computed elsewhere, such as the distance to a finished surface.
pub trait Oracle: Send + Sync + fmt::Debug {
    /// Value and slope (gradient) at a point.
    fn sample(&self, p: Vec3) -> (f64, Vec3);
    /// Values and slopes at many points: the same numbers as one by one, where that can be done faster together.
    fn samples(&self, points: &[Vec3]) -> Vec<(f64, Vec3)> {
        points.iter().map(|p| self.sample(*p)).collect()
    }
    /// Values at many points, given by coordinate: the same numbers, where they can be had without the slopes.
    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        let points: Vec<Vec3> = (0..out.len()).map(|i| Vec3::new(x[i], y[i], z[i])).collect();
        out.iter_mut().zip(self.samples(&points)).for_each(|(to, s)| *to = s.0);
    }
    /// Values at all points `(xs[i], ys[j], zs[k])` of a lattice, x fastest: those of [`Oracle::values`] within rounding, but
    /// for places further from a zero than the lattice's step, where the sign is enough.
    fn lattice(&self, [xs, ys, zs]: [&[f64]; 3], out: &mut [f64]) {
        let x: Vec<f64> = ys.iter().flat_map(|_| xs.iter().copied()).collect();
        let y: Vec<f64> = ys.iter().flat_map(|y| xs.iter().map(move |_| *y)).collect();
        for (z, layer) in zs.iter().zip(out.chunks_exact_mut(x.len().max(1))) {
            self.values([&x, &y, &vec![*z; x.len()]], layer);
        }
    }
    /// How far values on a lattice in the box may be from those of single points where these are near zero.
    fn lattice_error(&self, _region: Box3) -> f64 {
        0.0
    }
    /// A range that holds the value at every point of the box.
    fn bounds(&self, region: Box3) -> Interval;
    /// A number that no slope exceeds in length.
    fn steepest(&self) -> f64;
    /// True when the slope surely does not leap anywhere in the box where the value is near zero.
    fn is_smooth(&self, _region: Box3) -> bool {
        false
    }
    /// True when it may turn sharply or leap somewhere.
    fn has_kinks(&self) -> bool {
        true
    }
    /// Ranges of the three slopes in the box.
    fn slopes_within(&self, _region: Box3) -> [Interval; 3] {
        [Interval::new(-self.steepest(), self.steepest()); 3]
    }
    /// The work of one point, as the number of steps that it is like.
    fn work(&self) -> usize {
        1
    }
    /// An oracle whose values in the box are off by at most the number beside it, about `part` of how far they range, for no
    /// more than half of the work, where there is one.
    fn lighter(&self, _region: Box3, _part: f64) -> Option<(Arc<dyn Oracle>, f64)> {
        None
    }
    /// The oracle of a partial derivative (part 1 to 3), where one is known; then higher derivatives are known too.
    fn slope(&self, _part: u8) -> Option<Arc<dyn Oracle>> {
        None
    }
    /// An oracle that gives the same values and slopes inside the box for less work, where there is one.
    fn narrow(&self, _region: Box3) -> Option<Arc<dyn Oracle>> {
        None
    }
    /// Oracles whose least value it is in the box, where there are several: what meets in creases.
    fn pieces(&self, _region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        None
    }
    /// How thin the thinnest part is of where the value is negative, where that is known; else infinite.
    fn thinnest(&self) -> f64 {
        f64::INFINITY
    }
}

/// What a node computes from its arguments.
#[derive(Clone, Debug)]
pub enum Op {
    /// A number.
    Const(f64),
    /// A name whose value is given when the expression is valued: `x`, `y`, `z`, `t`, `u`, `v` or a parameter.
    Var(Arc<str>),
    /// A function of one argument.
    Unary(Unary, Expr),
    /// A function of two arguments.
    Binary(Binary, Expr, Expr),
    /// The second where the first is negative, else the third.
    Select(Expr, Expr, Expr),
    /// The value (part 0) or a partial derivative (parts 1 to 3) of an oracle at the point of the three arguments.
    Oracle(Arc<dyn Oracle>, u8, [Expr; 3]),
}

/// One node of the graph.
#[derive(Debug)]
pub struct Node {
    op: Op,
    depth: u32,
}

/// Takes the graph apart with a list of its own, so that a chain of a million nodes does not fill the stack.
impl Drop for Node {
    fn drop(&mut self) {
        let mut waiting = Vec::new();
        release(&mut self.op, &mut waiting);
        while let Some(Expr(arc)) = waiting.pop() {
            if let Some(mut node) = Arc::into_inner(arc) {
                release(&mut node.op, &mut waiting);
            }
        }
    }
}

/// Moves the arguments of `op` to `waiting` and leaves a number in its place.
fn release(op: &mut Op, waiting: &mut Vec<Expr>) {
    match std::mem::replace(op, Op::Const(0.0)) {
        Op::Const(_) | Op::Var(_) => {}
        Op::Unary(_, a) => waiting.push(a),
        Op::Binary(_, a, b) => waiting.extend([a, b]),
        Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => waiting.extend([a, b, c]),
    }
}

/// An expression: a reference to a node of a graph without cycles. Cloning is cheap.
#[derive(Clone)]
pub struct Expr(Arc<Node>);

impl Expr {
    /// A node, with depth counted.
    pub(super) fn new(op: Op) -> Self {
        let depth = 1u32.saturating_add(arguments(&op).map(|e| e.depth()).max().unwrap_or(0));
        Self(Arc::new(Node { op, depth }))
    }

    /// A number.
    pub fn constant(value: f64) -> Self {
        Self::new(Op::Const(value))
    }

    /// A name.
    pub fn var(name: &str) -> Self {
        Self::new(Op::Var(name.into()))
    }

    /// A function of one argument; simplified where that changes no value.
    pub fn unary(f: Unary, a: Self) -> Self {
        simplify::unary(f, a)
    }

    /// A function of two arguments; simplified where that changes no value.
    pub fn binary(f: Binary, a: Self, b: Self) -> Self {
        simplify::binary(f, a, b)
    }

    /// `a` where `test` is negative, else `b`.
    pub fn select(test: Self, a: Self, b: Self) -> Self {
        simplify::select(test, a, b)
    }

    /// The value of an oracle at the point (x, y, z).
    pub fn oracle(oracle: Arc<dyn Oracle>, at: [Self; 3]) -> Self {
        Self::new(Op::Oracle(oracle, 0, at))
    }

    /// The value (part 0) or a partial derivative (parts 1 to 3) of an oracle at the point (x, y, z).
    pub fn oracle_part(oracle: Arc<dyn Oracle>, part: u8, at: [Self; 3]) -> Self {
        Self::new(Op::Oracle(oracle, part, at))
    }

    /// What the node computes.
    pub fn op(&self) -> &Op {
        &self.0.op
    }

    /// Longest way down to a leaf.
    pub fn depth(&self) -> u32 {
        self.0.depth
    }

    /// An address that tells shared nodes from equal copies, for walks that visit each node once.
    pub fn address(&self) -> usize {
        Arc::as_ptr(&self.0) as usize
    }

    /// The number, if it is one.
    pub fn as_const(&self) -> Option<f64> {
        match self.op() {
            Op::Const(x) => Some(*x),
            _ => None,
        }
    }

    /// Square root.
    pub fn sqrt(self) -> Self {
        Self::unary(Unary::Sqrt, self)
    }

    /// The lesser of two.
    pub fn min(self, other: Self) -> Self {
        Self::binary(Binary::Min, self, other)
    }

    /// The greater of two.
    pub fn max(self, other: Self) -> Self {
        Self::binary(Binary::Max, self, other)
    }

    /// A power.
    pub fn pow(self, exponent: Self) -> Self {
        Self::binary(Binary::Pow, self, exponent)
    }
}

/// Deepest expression that is written out for a developer's eye; deeper ones show their depth.
const LEGIBLE: u32 = 24;

impl fmt::Debug for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.op() {
            Op::Const(c) => write!(f, "{c:?}"),
            Op::Var(name) => f.write_str(name),
            _ if self.depth() > LEGIBLE => write!(f, "Expr(depth {})", self.depth()),
            Op::Unary(g, a) => write!(f, "{g:?}({a:?})"),
            Op::Binary(g, a, b) => write!(f, "{g:?}({a:?}, {b:?})"),
            Op::Select(t, a, b) => write!(f, "Select({t:?}, {a:?}, {b:?})"),
            Op::Oracle(_, part, [a, b, c]) => write!(f, "Oracle{part}({a:?}, {b:?}, {c:?})"),
        }
    }
}

/// The arguments, first to last.
pub(super) fn arguments(op: &Op) -> impl DoubleEndedIterator<Item = &Expr> {
    let list: [Option<&Expr>; 3] = match op {
        Op::Const(_) | Op::Var(_) => [None, None, None],
        Op::Unary(_, a) => [Some(a), None, None],
        Op::Binary(_, a, b) => [Some(a), Some(b), None],
        Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => [Some(a), Some(b), Some(c)],
    };
    list.into_iter().flatten()
}

macro_rules! operator {
    ($trait:ident, $method:ident, $op:ident) => {
        impl std::ops::$trait for Expr {
            type Output = Self;
            fn $method(self, other: Self) -> Self {
                Self::binary(Binary::$op, self, other)
            }
        }
        impl std::ops::$trait<f64> for Expr {
            type Output = Self;
            fn $method(self, other: f64) -> Self {
                Self::binary(Binary::$op, self, Self::constant(other))
            }
        }
    };
}

operator!(Add, add, Add);
operator!(Sub, sub, Sub);
operator!(Mul, mul, Mul);
operator!(Div, div, Div);

impl std::ops::Neg for Expr {
    type Output = Self;
    fn neg(self) -> Self {
        Self::unary(Unary::Neg, self)
    }
}

impl From<f64> for Expr {
    fn from(value: f64) -> Self {
        Self::constant(value)
    }
}
