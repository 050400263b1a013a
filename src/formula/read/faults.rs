//! Faults of reading: a sentence, a byte range in the pasted text, and what to do about it.

use std::ops::Range;

/// What sort of thing is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FaultClass {
    /// Nothing but white space.
    Empty,
    /// A bracket without its partner.
    Unbalanced,
    /// Something is missing after an operator, a function or a TeX command.
    Incomplete,
    /// Something stands where it has no meaning.
    Unexpected,
    /// A function that is not known.
    UnknownFunction,
    /// A name that is not known and cannot be a parameter.
    UnknownName,
    /// A division by nought.
    DivisionByZero,
    /// Words instead of a formula.
    Prose,
    /// Brackets or definitions nested too deep.
    TooDeep,
    /// More text, symbols or work than a formula needs.
    TooLong,
    /// A character that no text should hold.
    BadCharacter,
    /// A character without a meaning here.
    UnknownCharacter,
    /// A TeX command that is not known.
    UnknownCommand,
    /// Relations that do not go together.
    Relation,
    /// A number with more than one point.
    BadNumber,
    /// A number, not a shape.
    Constant,
    /// Components that make no curve or surface.
    Components,
    /// A function with too few or too many arguments, or of the wrong size.
    WrongArguments,
    /// Mathematics that does not describe a shape here.
    Unsupported,
    /// A value that is not a real number.
    NoValue,
    /// Readable, but no surface, solid or curve.
    NoShape,
}

impl FaultClass {
    /// The name used in reports.
    pub fn name(self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::Unbalanced => "unbalanced",
            Self::Incomplete => "incomplete",
            Self::Unexpected => "unexpected",
            Self::UnknownFunction => "unknown-function",
            Self::UnknownName => "unknown-variable",
            Self::DivisionByZero => "division-by-zero",
            Self::Prose => "prose",
            Self::TooDeep => "too-deep",
            Self::TooLong => "too-long",
            Self::BadCharacter => "control-character",
            Self::UnknownCharacter => "unknown-character",
            Self::UnknownCommand => "unknown-command",
            Self::Relation => "relation",
            Self::BadNumber => "bad-number",
            Self::Constant => "constant",
            Self::Components => "components",
            Self::WrongArguments => "wrong-arguments",
            Self::Unsupported => "unsupported",
            Self::NoValue => "no-value",
            Self::NoShape => "no-shape",
        }
    }
}

/// Why a text could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct ReadFault {
    /// What sort of fault it is.
    pub class: FaultClass,
    /// What is wrong, in a sentence.
    pub what: String,
    /// Byte range in the text as pasted.
    pub at: Range<usize>,
    /// What to do about it.
    pub hint: String,
}

/// A byte range in the text as pasted, small enough to copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Span {
    /// First byte.
    pub from: u32,
    /// One past the last byte.
    pub to: u32,
}

impl Span {
    /// The least range that holds both.
    pub fn join(self, other: Self) -> Self {
        Self { from: self.from.min(other.from), to: self.to.max(other.to) }
    }

    /// As a range of bytes.
    pub fn range(self) -> Range<usize> {
        self.from as usize..self.to as usize
    }
}

/// What every step of reading returns.
pub type Read<T> = Result<T, ReadFault>;

/// A fault, ready to be returned.
pub fn fault<T>(class: FaultClass, at: Span, what: impl Into<String>, hint: impl Into<String>) -> Read<T> {
    Err(ReadFault { class, what: short(what.into()), at: at.range(), hint: short(hint.into()) })
}

/// The longest sentence that is told whole, in characters.
const LONGEST: usize = 300;

/// A sentence that names what is very long keeps its beginning and its end.
fn short(sentence: String) -> String {
    let count = sentence.chars().count();
    if count <= LONGEST {
        return sentence;
    }
    let half = LONGEST / 2;
    let (head, tail) = (sentence.chars().take(half), sentence.chars().skip(count - half));
    head.chain(['…']).chain(tail).collect()
}
