//! The tree of a formula as written, before names have values.

use super::faults::Span;

/// A part of a formula and where it stands.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it is.
    pub kind: Part,
    /// Where it stands.
    pub at: Span,
}

/// How two factors are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Join {
    /// A product: side by side or with a star.
    Times,
    /// A dot: scalar product of vectors.
    Dot,
    /// A cross: vector product of vectors.
    Cross,
    /// A quotient.
    Over,
    /// A remainder.
    Mod,
    /// A quotient rounded down.
    FloorOver,
}

/// How two sides are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// `=`
    Equal,
    /// `<`
    Less,
    /// `≤`
    AtMost,
    /// `>`
    Greater,
    /// `≥`
    AtLeast,
    /// `≠`
    Unequal,
}

/// What a part of a formula is.
#[derive(Clone, Debug)]
pub enum Part {
    /// A number.
    Num(f64),
    /// A name.
    Name(String),
    /// Terms, each with its sign (true: subtracted).
    Sum(Vec<(bool, Node)>),
    /// Factors in order, each with how it is joined to those before it.
    Product(Vec<(Join, Node)>),
    /// Negated.
    Neg(Box<Node>),
    /// A power.
    Pow(Box<Node>, Box<Node>),
    /// A function of its arguments.
    Call(String, Vec<Node>),
    /// Components.
    Tuple(Vec<Node>),
    /// A component or several, by letters.
    Swizzle(Box<Node>, String),
    /// Absolute value.
    Abs(Box<Node>),
    /// Length.
    Norm(Box<Node>),
    /// n!
    Factorial(Box<Node>),
    /// Comparisons in a chain.
    Compare(Box<Node>, Vec<(Sign, Node)>),
    /// The second where the first holds, else the third.
    Choose(Box<Node>, Box<Node>, Box<Node>),
    /// Values with conditions; the last may stand without one.
    Cases(Vec<(Node, Option<Node>)>),
    /// Both.
    And(Box<Node>, Box<Node>),
    /// Either.
    Or(Box<Node>, Box<Node>),
    /// Not.
    Not(Box<Node>),
    /// A sum or product (true) of a body while a name runs from one whole number to another.
    Over(bool, String, Box<Node>, Box<Node>, Box<Node>),
}
