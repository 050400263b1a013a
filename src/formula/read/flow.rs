//! Statements that steer a program: loops and choices, which a formula has none of.

use std::collections::BTreeSet;

use super::clauses::is_axis;
use super::code::is_type;
use super::faults::{FaultClass, ReadFault, fault};
use super::parse::comparison;
use super::token::{FRAC, Token};

/// A loop or a choice between statements is named as what it is.
///
/// # Errors
/// [`FaultClass::Unsupported`] at the first of them.
pub fn refuse(tokens: &[Token]) -> Result<(), ReadFault> {
    let starts = |k: usize| k == 0 || matches!(tokens[k - 1].sym(), Some('\n' | '{' | '}' | ';' | ':'));
    if let Some(t) = shadowed(tokens) {
        return fault(
            FaultClass::Unsupported,
            t.at,
            format!("{} is declared again in a block of its own, which hides the one before", t.shown()),
            "give it another name there",
        );
    }
    if let Some(t) = derivative(tokens) {
        return fault(
            FaultClass::Unsupported,
            t.at,
            "dy/dx: derivatives are not worked out here",
            "paste the derivative or the solution as a formula",
        );
    }
    if let Some(t) = tokens.iter().find(|t| t.word().is_some_and(|w| w.starts_with("lim_"))) {
        return fault(
            FaultClass::Unsupported,
            t.at,
            "lim: limits are not worked out here",
            "paste what the limit comes to",
        );
    }
    for (k, t) in tokens.iter().enumerate().filter(|(k, _)| starts(*k)) {
        if t.is_word("while")
            || t.is_word("for")
                && (is_opening(tokens, k + 1)
                    || names_a_range(&tokens[k + 1..])
                    || is_ended(&tokens[k + 1..]))
        {
            return fault(
                FaultClass::Unsupported,
                t.at,
                format!("{}: loops are not worked out here", t.word().unwrap_or_default()),
                "paste the formula that the loop comes to, or a sum over a short range",
            );
        }
        if t.is_word("if") && !is_value(&tokens[k + 1..]) && !gives_value(&tokens[k..]) {
            return fault(
                FaultClass::Unsupported,
                t.at,
                "if: choices between statements are not worked out here",
                "write the choice as a value: if(x < 0, a, b)",
            );
        }
    }
    Ok(())
}

/// A name that a bare block of code declares although it was declared around it.
fn shadowed(tokens: &[Token]) -> Option<&Token> {
    let mut bare = 0_usize;
    let mut blocks: Vec<bool> = Vec::new();
    let mut declared: BTreeSet<&str> = BTreeSet::new();
    let mut before: Option<&Token> = None;
    for (k, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('{') => {
                let alone = before.is_some_and(|t| t.is(';') || t.is('{'));
                bare += usize::from(alone);
                blocks.push(alone);
            }
            Some('}') => bare -= usize::from(blocks.pop().unwrap_or_default()),
            _ => {}
        }
        // A function of its own has names of its own.
        if blocks.is_empty() && t.is('}') {
            declared.clear();
        }
        let name = tokens.get(k + 1).and_then(Token::word);
        if let ([kind, place, sign, ..], Some(name)) = (&tokens[k..], name)
            && kind.word().is_some_and(is_type)
            && sign.is('=')
            && !declared.insert(name)
            && bare > 0
        {
            return Some(place);
        }
        if !t.is('\n') {
            before = Some(t);
        }
    }
    None
}

/// Where `dy/dx` or `\frac{dy}{dx}` stands, whose words have no value in the text.
fn derivative(tokens: &[Token]) -> Option<&Token> {
    let begins = |k: usize| k == 0 || tokens[k - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | ','));
    let given =
        |w: &str| (1..tokens.len()).any(|k| tokens[k].is('=') && tokens[k - 1].is_word(w) && begins(k - 1));
    let bare = |t: &Token| t.is_word("d") && !given("d");
    let small = |t: &Token, of: &str| {
        let variable = t.word().and_then(|w| w.strip_prefix('d'));
        variable.is_some_and(|v| v.len() == 1 && of.contains(v)) && t.word().is_some_and(|w| !given(w))
    };
    let names = "fghruvwxyz";
    (0..tokens.len()).map(|k| &tokens[k..]).find_map(|t| match t {
        [a, slash, b, ..] if slash.is('/') && (small(a, names) || bare(a)) && small(b, "xyzt") => Some(a),
        [frac, _, a, _, _, b, ..] if frac.is(FRAC) && (small(a, names) || bare(a)) && small(b, "xyzt") => {
            Some(a)
        }
        _ => None,
    })
}

fn is_opening(tokens: &[Token], k: usize) -> bool {
    tokens.get(k).is_some_and(|t| t.sym() == Some('('))
}

/// A name and `in`, as in `for i in …`.
fn names_a_range(rest: &[Token]) -> bool {
    matches!(rest, [name, word, ..] if name.word().is_some() && word.is_word("in"))
}

/// `for k = 1:3, … end`, as array languages write a loop.
fn is_ended(rest: &[Token]) -> bool {
    let head = rest.iter().take_while(|t| !matches!(t.sym(), Some(',' | ';' | '\n')));
    let counts = matches!(rest, [name, sign, ..] if name.word().is_some() && sign.is('='));
    counts && head.into_iter().any(|t| t.is(':')) && rest.iter().any(|t| t.is_word("end"))
}

/// `If c = 0.5 then …`: words that give a name a value for a formula, whose own words follow.
pub(super) fn gives_value(line: &[Token]) -> bool {
    let [first, name, sign, rest @ ..] = line else { return false };
    let then = rest.iter().position(|t| t.is_word("then"));
    (first.is_word("if") || first.is_word("If"))
        && name.word().is_some_and(|w| !is_axis(w))
        && sign.is('=')
        && then.is_some_and(|k| k > 0 && rest[..k].iter().all(|t| t.word().is_none() && !t.is('\n')))
        && then.is_some_and(|k| rest[k..].iter().any(|t| comparison(t).is_some()))
}

/// True when brackets with commas follow: `if(test, a, b)`.
fn is_value(rest: &[Token]) -> bool {
    if !is_opening(rest, 0) {
        return false;
    }
    let mut depth = 0;
    for t in rest {
        match t.sym() {
            Some('(' | '[') => depth += 1,
            Some(')' | ']') if depth == 1 => return false,
            Some(')' | ']') => depth -= 1,
            Some(',') if depth == 1 => return true,
            _ => {}
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use crate::formula::read;

    #[test]
    fn loops_and_choices_are_named() {
        for (text, what) in [
            ("while x < 3: x += 1", "while: loops"),
            ("def f(x,y,z):\n    s = 0\n    for i in range(n):\n        s += x\n    return s", "for: loops"),
            ("float f(vec3 p){ float s = 0.0; for (int i=0;i<n;i++) { s += p.x; } return s; }", "for: loops"),
            ("def f(x,y,z):\n    if x < 0:\n        print(x)\n    return x*x + y*y - z", "if: choices"),
            ("float f(vec3 p){ if (p.x < 0.0) { float t=p.x; p.x=p.y; p.y=t; } return p.x; }", "if: choices"),
        ] {
            let said = read(text).unwrap_err().to_string();
            assert!(said.starts_with(what), "{text}: {said}");
        }
        for text in ["if(x<0, x, y) + z^2 = 1", "x^2 + y^2 = a for a = 2"] {
            assert!(read(text).is_ok(), "{text}: {:?}", read(text));
        }
    }
}
