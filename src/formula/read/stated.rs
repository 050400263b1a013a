//! What a text states beside its formula without a sign of its own: values in words, further values, joined conditions.

use std::collections::{BTreeMap, BTreeSet};

use super::brackets::outside;
use super::clauses::{Statement, Statements, constant_like, is_axis, is_less, is_more};
use super::faults::{FaultClass, Read, fault};
use super::functions::function;
use super::lines::ends_open;
use super::parse::comparison;
use super::token::*;
use super::vocabulary::PARTING;

impl Statements {
    /// `n = 4, 6, 8`: a number behind a name's value is another value for it.
    pub(super) fn further_value(&mut self, piece: &[Token]) -> bool {
        let fixed = |t: &Token| matches!(t.tok, Tok::Num(..)) || t.is('-') || t.is('…');
        let last = self.equations.last().filter(|e| e.order == self.order && e.args.is_empty());
        let valued = last.filter(|e| !is_axis(&e.name) && e.body.iter().all(fixed));
        let Some(name) = valued.map(|e| e.name.clone()).filter(|_| piece.iter().all(fixed)) else {
            return false;
        };
        self.remark(span(piece), format!("{name} is given several values; the first is used"));
        true
    }

    /// `c is 0.5`, `c equals 0.5` and `c ≈ 0.5` give a name its value as `c = 0.5` does.
    pub(super) fn stated(&mut self, piece: &mut [Token]) {
        let [name, verb, value @ ..] = &*piece else { return };
        let says = verb.is('≈') || ["is", "equals", "being"].iter().any(|w| verb.is_word(w));
        let fixed = |t: &Token| {
            constant_like(t)
                || matches!(t.tok, Tok::Num(..))
                || t.sym().is_some_and(|c| "+-*/^()√{}".contains(c) || c == FRAC || c == ROOT)
        };
        let named = name.word().is_some_and(|w| !is_axis(w));
        if !(says && named && !value.is_empty() && value.iter().all(fixed)) {
            return;
        }
        if verb.is('≈') {
            self.remark(span(piece), "≈ read as =");
        }
        piece[1].tok = Tok::Sym('=');
    }

    /// `|x|, |y| ≤ 1`: a limit for each; how many pieces it is made of.
    pub(super) fn sized(&mut self, pieces: &[Vec<Token>]) -> usize {
        let sized =
            |p: &[Token]| matches!(p, [a, name, b, ..] if a.is('|') && b.is('|') && name.word().is_some());
        let bars = pieces.iter().take(3).take_while(|p| p.len() == 3 && sized(p)).count();
        if let Some(last) = pieces.get(bars).filter(|p| bars > 0 && p.len() > 4 && sized(p) && is_less(&p[3]))
        {
            for p in &pieces[..=bars] {
                self.order += 1;
                let tokens = [&p[..3], &last[3..]].concat();
                self.formulas.push(Statement { tokens, order: self.order, returned: false });
            }
            return bars + 1;
        }
        0
    }
}

impl Statements {
    /// Says what a line ends in that has no meaning there: a question mark, or a word such as "where" with nothing after it.
    pub(super) fn note_ends(&mut self, line: &[Token]) {
        let related = line.iter().any(|t| comparison(t).is_some());
        let Some(last) = line.last().filter(|_| related) else { return };
        let chooses = line.iter().any(|t| t.is(':'));
        if last.is('?') && !chooses {
            self.remark(last.at, "the question mark at the end was left out");
        }
        if let Some(word) = last.word().filter(|w| ["where", "with", "given", "when", "provided"].contains(w))
        {
            self.remark(
                last.at,
                format!("nothing follows the word {word} here; was the text copied to its end?"),
            );
        }
    }

    /// `x, y, z > 0`: the condition holds for each; how many pieces it is made of.
    pub(super) fn each_limited(&mut self, pieces: &[Vec<Token>]) -> usize {
        let lone = |p: &&Vec<Token>| matches!(p.as_slice(), [t] if t.word().is_some_and(is_axis));
        let names = pieces.iter().take_while(lone).count();
        let Some([name, sign, end @ ..]) = pieces.get(names).filter(|_| names > 0).map(Vec::as_slice) else {
            return 0;
        };
        let limit = matches!(sign.sym(), Some('<' | '>' | '≤' | '≥'));
        let single = outside(&pieces[names], |_, t| comparison(t).is_some()).len() == 1;
        if !(limit && single && name.word().is_some_and(is_axis)) || end.is_empty() {
            return 0;
        }
        for name in pieces[..names].iter().map(|p| &p[0]).chain([name]) {
            self.order += 1;
            let tokens = [&[name.clone(), sign.clone()], end].concat();
            self.formulas.push(Statement { tokens, order: self.order, returned: false });
        }
        names + 1
    }
}

/// `x^2 + y^2 = z^2 && 0 <= z <= 1`: conditions joined to an equation stand beside it.
pub(super) fn beside_equation(piece: Vec<Token>) -> Vec<Vec<Token>> {
    let cuts = outside(&piece, |_, t| t.is('∧'));
    let choice = |t: &Token| matches!(t.sym(), Some('?' | '∨')) || t.is_word("if") || t.is_word("or");
    if cuts.is_empty() || piece.iter().any(choice) {
        return vec![piece];
    }
    let parts: Vec<Vec<Token>> = piece.split(|t| t.is('∧')).map(<[Token]>::to_vec).collect();
    let equation = |t: &[Token]| !outside(t, |_, t| t.is('=')).is_empty();
    let equations = parts.iter().filter(|p| equation(p)).count();
    let related = parts.iter().all(|p| !outside(p, |_, t| comparison(t).is_some()).is_empty());
    match equations == 1 && related && parts.len() == cuts.len() + 1 {
        true => parts,
        false => vec![piece],
    }
}

/// Refuses two commas in a row between components, `x,,y`: one was lost. Beside equations they part nothing.
pub(super) fn no_empty_part(line: &[Token]) -> Read<()> {
    let related = line.iter().any(|t| comparison(t).is_some());
    match line.windows(2).find(|w| !related && w[0].is(',') && w[1].is(',')) {
        Some(w) => fault(
            FaultClass::Incomplete,
            w[0].at.join(w[1].at),
            "nothing stands between these two commas",
            "write the component that belongs there, or delete one comma",
        ),
        None => Ok(()),
    }
}

/// Whether the "and" at a place joins inequalities of which others are joined by "or", `x > 0 and y > 0 or z > 0`: it binds
/// closer than that, and parts no statements.
pub(super) fn joins_conditions(line: &[Token], i: usize) -> bool {
    let ends = |t: &Token| {
        t.is(',')
            || t.is('.')
            || t.word().is_some_and(|w| w != "and" && PARTING.contains(&w.to_lowercase().as_str()))
    };
    let from = line[..i].iter().rposition(ends).map_or(0, |k| k + 1);
    let to = line[i..].iter().position(ends).map_or(line.len(), |k| i + k);
    let run = &line[from..to];
    let or = |t: &Token| t.is_word("or") || t.is('∨');
    let inequality =
        |part: &[Token]| part.iter().any(|t| is_less(t) || is_more(t)) && !part.iter().any(|t| t.is('='));
    run.iter().any(or) && run.split(|t| or(t) || t.is_word("and")).all(inequality)
}

/// Words that stand alone before an equals sign, `cx = cos(x)`, and elsewhere in the text as well.
pub(super) fn named(lines: &[Vec<Token>]) -> BTreeSet<String> {
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for w in lines.iter().flatten().filter_map(Token::word) {
        *uses.entry(w).or_default() += 1;
    }
    let axes = |w: &str| w.chars().all(|c| is_axis(c.encode_utf8(&mut [0; 4])));
    let mut out = BTreeSet::new();
    for line in lines {
        for (k, pair) in line.windows(2).enumerate() {
            let starts = k == 0 || line[k - 1].is(',') || PARTING.iter().any(|p| line[k - 1].is_word(p));
            let word = pair[0].word().filter(|w| w.chars().count() > 1 && !axes(w));
            let (Some(w), true) = (word, starts && pair[1].is('=')) else { continue };
            let mut body = line[k + 2..].iter().take_while(|t| !t.is(','));
            if uses[w] > 1 && !body.any(|t| t.is_word(w)) {
                out.insert(w.to_owned());
            }
        }
    }
    out
}

/// `x^2 + y^2 = R^2 (R = 2), 0 ≤ z ≤ H (H = 5)`: values in brackets before a comma stand as if between commas.
pub(super) fn given_between(line: &mut Vec<Token>) {
    let (mut depth, mut open) = (0, None);
    let mut found = Vec::new();
    for (k, t) in line.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{') => {
                open = (depth == 0 && t.is('(')).then_some(k);
                depth += 1;
            }
            Some(')' | ']' | '}') => {
                depth -= 1;
                found.extend(open.filter(|_| depth == 0).map(|open| (open, k)));
            }
            _ => {}
        }
    }
    let ends = |k: usize| line.get(k + 1).is_none_or(|t| t.is(',') || t.is(';'));
    let given = |open: usize, close: usize| {
        let [name, sign, value @ ..] = &line[open + 1..close] else { return false };
        let related = value.iter().any(|t| comparison(t).is_some() || t.is(','));
        let after = open > 0 && !ends_open(&line[..open]) && !line[open - 1].is(',');
        let function = open > 0 && line[open - 1].word().is_some_and(|w| function(w).is_some());
        let named = name.word().is_some_and(|w| !is_axis(w)) && sign.is('=');
        named && !value.is_empty() && !related && after && !function && line[open].gap > Gap::None
    };
    found.retain(|(open, close)| ends(*close) && given(*open, *close));
    for (open, close) in found.into_iter().rev() {
        line.remove(close);
        line[open].tok = Tok::Sym(',');
    }
}

/// The line with a full stop of its own where a sentence ends in a number, `v = y + 1. z = u v`.
pub(super) fn sentences(line: Vec<Token>) -> Vec<Token> {
    let signs = outside(&line, |_, t| comparison(t).is_some());
    let (Some(first), Some(last)) = (signs.first(), signs.last()) else { return line };
    let pointed = |t: &Token| {
        matches!(t.tok, Tok::Num(x, false) if x.fract() == 0.0
            && (t.at.to - t.at.from) as usize == format!("{x}").len() + 1)
    };
    let starts = |k: usize| {
        line[k].word().is_some() && line[k].gap > Gap::None && line.get(k + 1).is_some_and(|t| t.is('='))
    };
    let ends =
        outside(&line, |k, t| pointed(t) && k + 1 < line.len() && starts(k + 1) && *first < k && *last > k);
    let mut out = Vec::with_capacity(line.len());
    for (k, t) in line.into_iter().enumerate() {
        let at = t.at;
        out.push(t);
        if ends.binary_search(&k).is_ok() {
            out.push(Token { tok: Tok::Sym('.'), at, gap: Gap::None });
        }
    }
    out
}

/// The arguments of `f x y z = …`, a function defined without brackets.
pub(super) fn spaced_arguments(left: &[Token], body: &[Token]) -> Option<Vec<String>> {
    let (name, args) = left.split_first()?;
    let usual = name.word().is_some_and(|w| matches!(w, "f" | "g" | "h" | "F" | "G" | "H"));
    let axes = ["x", "y", "z"].iter().take(args.len());
    let fits = args.iter().zip(axes).all(|(t, a)| t.is_word(a) && t.gap > Gap::None);
    // `g x y = z` is an equation.
    let mut used = body.iter().filter(|t| t.word().is_some_and(is_axis)).peekable();
    let own = used.peek().is_some() && used.all(|t| args.iter().any(|a| a.word() == t.word()));
    let names = || args.iter().filter_map(|t| t.word().map(str::to_owned)).collect();
    (usual && fits && own && (2..=3).contains(&args.len())).then(names)
}
