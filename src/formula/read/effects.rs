//! What code does beside giving its value: calls for what they change, parts that are given values, further returns.

use super::clauses::{Equation, Statement};
use super::faults::{FaultClass, Read, fault};
use super::token::*;

/// Refuses a second `return` that nothing steers: which of them is meant cannot be told. The first may have become a
/// function that nothing uses.
pub(super) fn returned_once(formulas: &[Statement], helpers: &[Equation]) -> Read<()> {
    let returned: Vec<&Statement> = formulas.iter().filter(|f| f.returned).collect();
    let used = |name: &str| {
        let bodies = helpers.iter().map(|h| &h.body).chain(returned.iter().map(|f| &f.tokens));
        bodies.flatten().any(|t| t.is_word(name))
    };
    let before = |h: &&Equation| !h.args.is_empty() && returned.iter().any(|f| f.order > h.order);
    let second = match helpers.iter().filter(before).any(|h| !used(&h.name)) {
        true => returned.first(),
        false => returned.get(1),
    };
    match second {
        Some(second) => fault(
            FaultClass::Unsupported,
            span(&second.tokens),
            "this is the second value that is returned here, and nothing says which",
            "paste one function with one return",
        ),
        None => Ok(()),
    }
}

/// Refuses a part of a list or vector that is given a value, and what is called for what it changes: what comes after would
/// have the old values.
pub(super) fn carried_out(formulas: &[Statement]) -> Read<()> {
    if let Some(f) = formulas.iter().find(|f| is_called_for_effect(&f.tokens)) {
        let name: String = f.tokens.iter().take_while(|t| !t.is('(')).map(Token::shown).collect();
        return fault(
            FaultClass::Unsupported,
            span(&f.tokens),
            format!("{name} is called here for what it changes, which is not carried out"),
            "write what it does as a value, p = fold(p), or leave it out if it changes nothing",
        );
    }
    let part = |f: &&Statement| {
        f.tokens.len() > 2
            && f.tokens[0].word().is_some()
            && (f.tokens[1].is('.') || f.tokens[1].is('['))
            && f.tokens.iter().any(|t| matches!(t.sym(), Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO)))
    };
    match formulas.iter().find(part) {
        Some(f) => fault(
            FaultClass::Unsupported,
            span(&f.tokens),
            format!("a part of {} is given a value here, which is not carried out", f.tokens[0].shown()),
            "give the whole vector a value: p = vec3(...)",
        ),
        None => Ok(()),
    }
}

/// Whether a statement is a call whose value goes nowhere: `fold(p)`, `p.rotate(0.5)`.
fn is_called_for_effect(tokens: &[Token]) -> bool {
    let Some(open) = tokens.iter().position(|t| t.is('(')) else { return false };
    let named = match &tokens[..open] {
        // A known function leaves its arguments alone.
        [name] => name.word().is_some_and(|w| super::functions::function(w).is_none()),
        [name, dot, part] => dot.is('.') && name.word().is_some() && part.word().is_some(),
        _ => false,
    };
    named && super::brackets::closes_last(&tokens[open..])
}
