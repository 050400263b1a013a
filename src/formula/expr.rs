//! The expression graph: nodes shared by reference, constants folded as they are built.
//!
//! All functions take and give radians. Values are IEEE doubles; outside a function's domain the value is NaN.

use std::fmt;
use std::sync::Arc;

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
    /// A range that holds the value at every point of the box.
    fn bounds(&self, region: Box3) -> Interval;
    /// A number that no slope exceeds in length.
    fn steepest(&self) -> f64;
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
    /// What it computes.
    pub op: Op,
    /// Longest way down to a leaf; leaves have 1.
    pub depth: u32,
}

/// An expression: a reference to a node of a graph without cycles. Cloning is cheap.
#[derive(Clone)]
pub struct Expr(Arc<Node>);

impl Expr {
    /// A node, with depth counted.
    fn new(op: Op) -> Self {
        let depth = 1 + arguments(&op).map(|e| e.depth()).max().unwrap_or(0);
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

    /// A function of one argument; folded when the argument is a number.
    pub fn unary(f: Unary, a: Self) -> Self {
        match a.as_const() {
            Some(x) => Self::constant(f.of(x)),
            None => Self::new(Op::Unary(f, a)),
        }
    }

    /// A function of two arguments; folded when both are numbers.
    pub fn binary(f: Binary, a: Self, b: Self) -> Self {
        match (a.as_const(), b.as_const()) {
            (Some(x), Some(y)) => Self::constant(f.of(x, y)),
            _ => Self::new(Op::Binary(f, a, b)),
        }
    }

    /// `a` where `test` is negative, else `b`.
    pub fn select(test: Self, a: Self, b: Self) -> Self {
        match test.as_const() {
            Some(t) if t < 0.0 => a,
            Some(_) => b,
            None => Self::new(Op::Select(test, a, b)),
        }
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

impl fmt::Debug for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Expr(depth {})", self.depth())
    }
}

fn arguments(op: &Op) -> impl Iterator<Item = &Expr> {
    let list: [Option<&Expr>; 3] = match op {
        Op::Const(_) | Op::Var(_) => [None, None, None],
        Op::Unary(_, a) => [Some(a), None, None],
        Op::Binary(_, a, b) => [Some(a), Some(b), None],
        Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => [Some(a), Some(b), Some(c)],
    };
    list.into_iter().flatten()
}

impl Unary {
    /// The value at one number.
    pub fn of(self, x: f64) -> f64 {
        match self {
            Self::Neg => -x,
            Self::Abs => x.abs(),
            Self::Sign if x == 0.0 => 0.0,
            Self::Sign => x.signum(),
            Self::Sqrt => x.sqrt(),
            Self::Cbrt => libm::cbrt(x),
            Self::Exp => libm::exp(x),
            Self::Ln => libm::log(x),
            Self::Sin => libm::sin(x),
            Self::Cos => libm::cos(x),
            Self::Tan => libm::tan(x),
            Self::Asin => libm::asin(x),
            Self::Acos => libm::acos(x),
            Self::Atan => libm::atan(x),
            Self::Sinh => libm::sinh(x),
            Self::Cosh => libm::cosh(x),
            Self::Tanh => libm::tanh(x),
            Self::Asinh => libm::asinh(x),
            Self::Acosh => libm::acosh(x),
            Self::Atanh => libm::atanh(x),
            Self::Floor => x.floor(),
            Self::Ceil => x.ceil(),
            Self::Round => x.round(),
        }
    }
}

impl Binary {
    /// The value at two numbers.
    pub fn of(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Add => a + b,
            Self::Sub => a - b,
            Self::Mul => a * b,
            Self::Div => a / b,
            Self::Pow => libm::pow(a, b),
            Self::Min => a.min(b),
            Self::Max => a.max(b),
            Self::Atan2 => libm::atan2(a, b),
            Self::Mod => a - b * (a / b).floor(),
        }
    }
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
