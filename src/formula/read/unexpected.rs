//! What is said about a token that cannot stand where it stands.

use super::faults::{FaultClass, Read, Span, fault};
use super::parse::Parser;
use super::token::*;

impl Parser<'_> {
    pub(super) fn unexpected<T>(&self) -> Read<T> {
        let Some(t) = self.peek() else {
            return match self.t.last() {
                Some(t) => fault(
                    FaultClass::Incomplete,
                    t.at,
                    format!("something is missing after {}", t.shown()),
                    "the formula ends here; was it copied to its end?",
                ),
                None => fault(
                    FaultClass::Incomplete,
                    Span::default(),
                    "a part of the formula is empty",
                    "write what belongs there",
                ),
            };
        };
        let shown = t.shown();
        let before = self.i.checked_sub(1).map(|i| self.t[i].clone());
        match t.sym() {
            Some(')' | ']' | '}' | '⌋' | '⌉') => match before {
                Some(b) => fault(
                    FaultClass::Incomplete,
                    b.at.join(t.at),
                    format!("something is missing between {} and {shown}", b.shown()),
                    "a number, a name or a function belongs there",
                ),
                None => fault(
                    FaultClass::Unbalanced,
                    t.at,
                    format!("the bracket {shown} was never opened"),
                    "delete it or open it",
                ),
            },
            Some('|' | '‖') if before.is_some() => fault(
                FaultClass::Unbalanced,
                t.at,
                format!("the bar {shown} has no partner"),
                "write absolute values as abs(...)",
            ),
            Some('+' | '-' | '*' | '·' | '×' | '/' | '^' | '%' | '=' | '<' | '>' | '≤' | '≥' | ',') => {
                let after = before.map_or(String::new(), |b| format!(" after {}", b.shown()));
                fault(
                    FaultClass::Incomplete,
                    t.at,
                    format!("{shown} cannot stand here{after}: a number, a name or a function is missing"),
                    "write what belongs between the two",
                )
            }
            Some(c @ ('∫' | '∂')) => fault(
                FaultClass::Unsupported,
                t.at,
                format!(
                    "{shown} ({}): integrals and derivatives are not worked out here",
                    if c == '∂' { "\\partial" } else { "\\int" }
                ),
                "paste the result as a formula",
            ),
            Some('±') => fault(
                FaultClass::Unsupported,
                t.at,
                "± means two formulas at once",
                "square the equation, or paste one of the two signs",
            ),
            Some('∞') => fault(
                FaultClass::Unsupported,
                t.at,
                "∞ is not a number that a shape can use",
                "use a large number",
            ),
            Some('\'') => fault(
                FaultClass::Unsupported,
                t.at,
                "the mark ' means a derivative, which is not worked out here",
                "paste the derivative as a formula",
            ),
            Some('…') => fault(
                FaultClass::Unsupported,
                t.at,
                "the dots leave terms out",
                "write all terms, or a sum over a range",
            ),
            Some('\\') => fault(
                FaultClass::UnknownCommand,
                t.at,
                "a backslash stands alone: half a TeX command",
                "finish the command or delete it",
            ),
            Some('→') => fault(
                FaultClass::UnknownCharacter,
                t.at,
                format!("the arrow {shown} has no meaning here"),
                "write >= for \"at least\" and = for an equation; a function is written f(x, y, z) = ...",
            ),
            Some(c) if !c.is_ascii() && !is_private(c) => fault(
                FaultClass::UnknownCharacter,
                t.at,
                format!("{shown} has no meaning in a formula"),
                "replace it by what is meant, or delete it",
            ),
            _ => match t.tok {
                Tok::Num(..) if before.as_ref().is_some_and(|b| matches!(b.tok, Tok::Num(..))) => fault(
                    FaultClass::Unexpected,
                    before.map_or(t.at, |b| b.at.join(t.at)),
                    format!("two numbers stand side by side before {shown}"),
                    "put the operator between them that was lost",
                ),
                _ => fault(
                    FaultClass::Unexpected,
                    t.at,
                    format!("{shown} has no meaning here"),
                    "a formula holds numbers, names, functions, brackets and the signs + - * / ^ = < >",
                ),
            },
        }
    }
}

/// Whether a sign stands for a TeX command.
fn is_private(c: char) -> bool {
    ('\u{E000}'..='\u{F8FF}').contains(&c)
}
