//! Speech between formulas, lines of speech, and what is said of names.

use super::brackets::outside;
use super::clauses::Statements;
use super::faults::{FaultClass, Read, fault};
use super::names::Known;
use super::parse::{comparison, is_keyword};
use super::prose::is_math;
use super::token::*;
use super::vocabulary::{FILLER, PARTING};

/// Words that say what sort of number a name stands for.
const SORTS: &[&str] = &[
    "a",
    "an",
    "is",
    "are",
    "any",
    "some",
    "real",
    "integer",
    "integers",
    "positive",
    "constant",
    "constants",
    "even",
    "odd",
    "natural",
    "being",
    "arbitrary",
    "fixed",
];

/// Whether a word is speech and no name, function or sign of logic.
fn is_speech(t: &Token, known: &Known) -> bool {
    let Some(w) = t.word().map(str::to_lowercase) else { return false };
    let parts = PARTING.contains(&w.as_str()) || is_keyword(&w) || matches!(w.as_str(), "between" | "mod");
    let filler = FILLER.contains(&w.as_str()) && w.len() > 1 || w == "a";
    !parts && (filler || !is_math(t, known) && w.len() > 2)
}

/// The line with a full stop of its own in place of speech between two formulas: `r² = x² + y² we have z = r`.
pub(super) fn without_speech(line: Vec<Token>, known: &Known) -> Vec<Token> {
    let signs = outside(&line, |_, t| comparison(t).is_some());
    let (Some(first), Some(last)) = (signs.first(), signs.last()) else { return line };
    let words = outside(&line, |k, t| k > *first && k < *last && is_speech(t, known) && t.gap > Gap::None);
    let Some(from) = words.first().copied() else { return line };
    let count = words.iter().enumerate().take_while(|(n, k)| **k == from + n).count();
    let run = &line[from..from + count];
    let filler = run.iter().any(|t| t.word().is_some_and(|w| FILLER.contains(&w.to_lowercase().as_str())));
    let whole = (0..2).all(|side| {
        let part = if side == 0 { &line[..from] } else { &line[from + count..] };
        !outside(part, |_, t| comparison(t).is_some()).is_empty()
    });
    // A name that is given a value next belongs to what follows.
    if count < 2
        || !filler
        || !whole
        || line[from + count].sym().is_some_and(|c| !matches!(c, '(' | '√' | '|'))
    {
        return line;
    }
    let stop = Token { tok: Tok::Sym('.'), at: span(run), gap: Gap::None };
    let mut next = line[from + count].clone();
    next.gap = next.gap.max(Gap::Blank);
    [&line[..from], &[stop, next], &line[from + count + 1..]].concat()
}

/// Whether a line is speech alone, a title or a reference, beside lines that hold formulas.
pub(super) fn is_title(line: &[Token], known: &Known) -> bool {
    let plain = |t: &Token| {
        t.sym().is_none()
            || matches!(t.sym(), Some('(' | ')' | '[' | ']' | '-' | '\'' | '.' | ',' | ':' | '"'))
    };
    let words: Vec<&Token> = line.iter().filter(|t| t.word().is_some()).collect();
    let speech = |t: &&&Token| is_speech(t, known) && t.word().is_some_and(|w| w.len() > 2);
    words.len() > 1 && line.iter().all(plain) && words.iter().filter(speech).count() * 2 > words.len()
}

/// Refuses words that make another shape of the formula beside them, `rotate y = x^2 around the y-axis` and
/// `surface of revolution of y = cos x`, or that set it against another, `x^2 + y^2 = 1 vs z`.
pub(super) fn no_motion(line: &[Token], known: &Known) -> Read<()> {
    let lower = |t: &Token| t.word().map(str::to_lowercase).unwrap_or_default();
    let moves = |t: &Token| matches!(lower(t).as_str(), "rotate" | "revolve");
    let moved = |t: &Token| ["rotat", "revolv"].iter().any(|stem| lower(t).starts_with(stem));
    let around = |k: &usize| line[k + 1..].iter().any(|t| matches!(lower(t).as_str(), "around" | "about"));
    let told = line.iter().position(moves).filter(around);
    // With all three coordinates, or with a radius, an equation is that of the surface itself.
    let spatial = |t: &Token| {
        is_math(t, known)
            && t.word().is_some_and(|w| {
                matches!(w, "rho" | "r") || w.contains('z') || w.contains('r') && w.len() < 3
            })
    };
    let turns = |k: &usize| lower(&line[*k]) == "revolution" || moved(&line[*k]) && around(k);
    let turned = (0..line.len()).find(turns).filter(|_| !line.iter().any(spatial));
    let versus = |k: &usize| {
        let letters = ["v", "s"].iter().any(|n| known.alone.contains(*n));
        line[*k].is_word("versus") || line[*k].is_word("vs") && !letters && *k > 0 && *k + 1 < line.len()
    };
    let related = line.iter().any(|t| comparison(t).is_some());
    let against = (0..line.len()).find(versus);
    let Some(k) = told.or(turned).or(against).filter(|_| related) else { return Ok(()) };
    let (what, hint) = match against == Some(k) {
        true => ("sets two formulas against each other", "paste one of them"),
        false => (
            "makes another shape of this formula, which is not carried out",
            "paste the equation of the surface itself in x, y and z; a profile y = f(x) turned about the x axis is y^2 + z^2 = f(x)^2",
        ),
    };
    fault(FaultClass::Unsupported, line[k].at, format!("the word {} {what}", line[k].shown()), hint)
}

/// `union of a < 1 and b < 1`, `difference of …`: "and" stands for what the word says.
pub(super) fn united(line: &mut [Token]) {
    let word = |t: &Token, w: &str| t.word().is_some_and(|v| v.eq_ignore_ascii_case(w));
    let Some(of) = line.windows(2).position(|w| {
        (word(&w[0], "union") || word(&w[0], "difference")) && (w[1].is_word("of") || w[1].is_word("between"))
    }) else {
        return;
    };
    let [and] = outside(line, |k, t| k > of && t.is_word("and"))[..] else { return };
    let related = |t: &[Token]| t.iter().any(|t| comparison(t).is_some() && !t.is('='));
    if related(&line[of..and]) && related(&line[and..]) {
        let union = word(&line[of], "union");
        line[and].tok = Tok::Sym(if union { '∨' } else { WITHOUT });
    }
}

/// `a < 1, excluding b < 1`, `a < 1 ∖ b < 1` and the difference of two solids: what is taken away does not hold.
pub(super) fn excluded(line: Vec<Token>) -> Vec<Token> {
    let words = ["excluding", "except", "without"];
    let related = |t: &[Token]| t.iter().any(|t| comparison(t).is_some() && !t.is('='));
    let mut out: Vec<Token> = Vec::with_capacity(line.len());
    for (k, t) in line.iter().enumerate() {
        let away = t.is(WITHOUT) || t.is('∖') || words.iter().any(|w| t.is_word(w));
        if !(away && related(&line[..k]) && related(&line[k..])) {
            out.push(t.clone());
            continue;
        }
        if out.last().is_some_and(|t| t.is(',')) {
            out.pop();
        }
        let sign = |tok: Tok| Token { tok, at: t.at, gap: Gap::Blank };
        out.extend([sign(Tok::Sym('∧')), sign(Tok::Sym('¬'))]);
    }
    out
}

impl Statements {
    /// `n an integer`, `a real`: what sort of number a name is says nothing about the shape.
    pub(super) fn sort_of_number(&mut self, piece: &[Token], known: &Known) -> bool {
        let all = piece.first().is_some_and(|t| ["all", "any", "every"].iter().any(|w| t.is_word(w)));
        if self.order > 0 && all && piece.len() > 1 && piece[1..].iter().all(|t| t.word().is_some()) {
            return true;
        }
        let [name, word, rest @ ..] = piece else { return false };
        let letter = name.word().is_some_and(|w| w.chars().count() == 1 || is_math(name, known));
        let sort = word.word().is_some_and(|w| SORTS.contains(&w)) && word.gap > Gap::None;
        let spoken = rest.iter().all(|t| is_speech(t, known) || t.word().is_some_and(|w| SORTS.contains(&w)));
        let says = letter
            && sort
            && spoken
            && rest.iter().chain([word]).any(|t| t.word().is_some_and(|w| w.len() > 2));
        if says && self.order > 0 {
            self.remark(span(piece), "the words after the formula were left out");
            return true;
        }
        false
    }
}
