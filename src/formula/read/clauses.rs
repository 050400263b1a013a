//! Statements: what in a text is a formula, a definition, a component, a range, a label.

use super::around;
use super::asides;
use super::brackets::{self, closes_last, outside, unbracket};
use super::faults::{Read, Span};
use super::flow::gives_value;
use super::functions;
use super::lines::{ends_open, ignorable, is_range, joined, lines, trim};
use super::main_formula::is_list;
use super::names::{Cut, Known};
use super::parse::comparison;
use super::prose::{given_before, given_in_front, is_spoken, label, prose};
use super::ranges::set_off;
use super::reading::Remark;
use super::seams;
use super::stated::{self, beside_equation, given_between, named, sentences, spaced_arguments};
use super::style::Style;
use super::token::*;
use super::vocabulary::PARTING;

/// `name = ...` or `name(args) = ...`
#[derive(Clone, Debug)]
pub struct Equation {
    /// The name on the left.
    pub name: String,
    /// Where it stands.
    pub at: Span,
    /// Its arguments.
    pub args: Vec<String>,
    /// The right side.
    pub body: Vec<Token>,
    /// Both sides.
    pub whole: Vec<Token>,
    /// Its place among all statements.
    pub order: usize,
}

/// A statement without a name on its left.
#[derive(Clone, Debug)]
pub struct Statement {
    /// Its tokens.
    pub tokens: Vec<Token>,
    /// Its place among all statements.
    pub order: usize,
    /// It is what a function returns.
    pub returned: bool,
}

/// A name between two ends.
#[derive(Clone, Debug)]
pub struct Range {
    /// The name.
    pub name: String,
    /// Where it stands.
    pub at: Span,
    /// The lower end.
    pub low: Vec<Token>,
    /// The upper end.
    pub high: Vec<Token>,
    /// The whole clause.
    pub whole: Vec<Token>,
}

/// All statements of a text.
#[derive(Debug, Default)]
pub struct Statements {
    /// Equations with a name on the left.
    pub equations: Vec<Equation>,
    /// Others.
    pub formulas: Vec<Statement>,
    /// Ranges.
    pub ranges: Vec<Range>,
    /// Conditions on several coordinates beside an equation.
    pub conditions: Vec<Statement>,
    /// Choices made.
    pub remarks: Vec<Remark>,
    pub(super) order: usize,
}

/// Parts a text into statements.
///
/// # Errors
/// Unbalanced brackets, and prose without a formula.
pub fn statements(tokens: Vec<Token>, style: Style) -> Read<Statements> {
    let tokens = match style.code {
        true => tokens,
        false => brackets::cased(brackets::chosen(tokens)?),
    };
    let depth = brackets::depths(&tokens)?;
    let mut out = Statements::default();
    let mut lines = lines(tokens, &depth);
    lines.iter().for_each(|(l, _)| out.range_grid(l));
    lines.retain(|(l, _)| l.is_empty() || !ignorable(l));
    let mut lines = joined(lines);
    let known = alone(&lines);
    if let Some(f) = prose(&lines, &known) {
        return Err(f);
    }
    let related = |l: &Vec<Token>| l.iter().any(|t| comparison(t).is_some());
    if !style.code && lines.iter().any(related) {
        for line in lines.iter().filter(|l| around::is_title(l, &known)) {
            out.remark(span(line), "this line was left out: it is words alone");
        }
        lines.retain(|l| !around::is_title(l, &known));
    }
    for pair in lines.windows(2).filter(|w| is_range(&w[1])) {
        // Where nothing compares before, the line might be a further term.
        if outside(&pair[0], |_, t| comparison(t).is_some()).is_empty() {
            out.remark(span(&pair[1]), "the line that begins with a sign read as a range");
        }
    }
    if !style.code {
        asides::kept_where(&mut lines);
        lines = asides::in_pieces(lines);
        lines
            .iter()
            .try_for_each(|l| stated::no_empty_part(l).and_then(|()| around::no_motion(l, &known)))?;
    }
    for (k, line) in lines.iter().enumerate() {
        out.line(line.clone(), k == 0, &known, style);
    }
    Ok(out)
}

/// Letters that stand alone.
pub fn alone(lines: &[Vec<Token>]) -> Known {
    let mut known = Known { named: named(lines), ..Known::default() };
    for t in lines.iter().flatten() {
        if let Some(w) = t.word().filter(|w| w.chars().count() == 1) {
            known.alone.insert(w.to_owned());
        }
    }
    known
}

impl Statements {
    pub(super) fn remark(&mut self, at: Span, what: impl Into<String>) {
        self.remarks.push(Remark { what: what.into(), at: at.range() });
    }

    fn line(&mut self, mut line: Vec<Token>, first: bool, known: &Known, style: Style) {
        if ignorable(&line) {
            return;
        }
        if !style.code {
            self.note_ends(&line);
        }
        trim(&mut line);
        if !style.code {
            self.given_behind_bar(&mut line);
            asides::level_of(&mut line);
            around::united(&mut line);
            line = around::excluded(line);
            given_in_front(&mut line);
            given_between(&mut line);
        }
        self.number_before(&mut line);
        label(&mut line);
        if !style.code {
            given_before(&mut line);
            if gives_value(&line) {
                line.remove(0);
            }
        }
        self.range_over(&mut line);
        self.range_between(&mut line);
        if !style.code {
            self.range_from(&mut line);
        }
        self.words_before(&mut line, known);
        if !style.code {
            self.said_of(&mut line, known);
        }
        self.words_after(&mut line, known);
        if !style.code {
            self.aside_after(&mut line, known);
        }
        self.caption_after(&mut line, known);
        self.number_after(&mut line);
        trim(&mut line);
        if line.is_empty() {
            return;
        }
        if first && line[0].is('=') {
            self.remark(
                line[0].at,
                "the = in front read as that of a sheet's cell: nothing stands before it",
            );
            line.remove(0);
        }
        if first && line.first().is_some_and(|t| t.is('*')) && line.get(1).is_some_and(|t| t.gap > Gap::None)
        {
            self.remark(line[0].at, "the * in front read as the mark of a list");
            line.remove(0);
        }
        let returned = line.first().is_some_and(|t| t.is_word("return"));
        if returned {
            line.remove(0);
            if !line.is_empty() {
                self.order += 1;
                self.formulas.push(Statement { tokens: line, order: self.order, returned });
            }
            return;
        }
        if let Some(open) = braced(&line).filter(|i| line[*i].is('(') && line[*i].gap == Gap::None) {
            self.remark(span(&line[open..]), "the condition in brackets read as where the shape is cut");
        }
        if !style.code {
            line = set_off(sentences(around::without_speech(line, known)));
        }
        for mut clause in clauses(&line) {
            if !style.code && clause.iter().any(|t| comparison(t).is_some()) {
                self.words_before(&mut clause, known);
            }
            self.clause(clause, known, style);
        }
    }

    /// The pieces between commas, and what they are.
    fn clause(&mut self, clause: Vec<Token>, known: &Known, style: Style) {
        let commas = outside(&clause, |_, t| t.is(','));
        let mut pieces: Vec<Vec<Token>> = Vec::new();
        let mut from = 0;
        for c in commas.into_iter().chain([clause.len()]) {
            for mut piece in seams::parted(&clause[from..c], style).into_iter().flat_map(beside_equation) {
                trim(&mut piece);
                unbracket(&mut piece);
                if !style.code {
                    self.stated(&mut piece);
                }
                if !piece.is_empty() {
                    pieces.push(piece);
                }
            }
            from = c + 1;
        }
        let mut k = 0;
        while k < pieces.len() {
            let used = self.together(&pieces[k..]);
            if used > 0 {
                k += used;
                continue;
            }
            let piece = std::mem::take(&mut pieces[k]);
            if !style.code && self.order > 0 && is_spoken(&piece, known) {
                self.remark(span(&piece), "the words after the formula were left out");
                k += 1;
                continue;
            }
            if !style.code && (self.further_value(&piece) || self.sort_of_number(&piece, known)) {
                k += 1;
                continue;
            }
            if k == 0 || !self.range_listed(&piece) {
                self.piece(piece, known, style);
            }
            k += 1;
        }
    }

    /// Several pieces that only make sense together: `u, v ∈ [0, 1]`, `0 ≤ u, v ≤ 1`, `a, b = 1, 2`.
    fn together(&mut self, pieces: &[Vec<Token>]) -> usize {
        let limited = self.sized(pieces).max(self.each_limited(pieces));
        if limited > 0 {
            return limited;
        }
        let names = pieces.iter().take_while(|p| matches!(p.as_slice(), [t] if t.word().is_some())).count();
        if names > 0 && names < pieces.len() {
            let last = &pieces[names];
            if let (Some(w), Some(t)) = (last[0].word(), last.get(1)) {
                if t.is('∈') || t.is_word("in") || t.is_word("from") {
                    let rest = last[1..].to_vec();
                    for p in pieces[..names].iter().chain([&vec![last[0].clone()]]) {
                        let mut whole = p.clone();
                        whole.extend(rest.clone());
                        self.range_in(&whole);
                    }
                    return names + 1;
                }
                let total = names + 1;
                let point = names == 2
                    && pieces.len() == 5
                    && pieces[..2].iter().all(|p| p[0].word().is_some_and(is_axis));
                if t.is('=') && pieces.len() > 2 * names && names >= 1 && (!is_axis(w) || point) {
                    let mut targets: Vec<&Token> = pieces[..names].iter().map(|p| &p[0]).collect();
                    targets.push(&last[0]);
                    let mut bodies = vec![last[2..].to_vec()];
                    bodies.extend(pieces[total..total + names].iter().cloned());
                    for (t, body) in targets.into_iter().zip(bodies) {
                        let mut whole =
                            vec![t.clone(), Token { tok: Tok::Sym('='), at: t.at, gap: Gap::None }];
                        whole.extend(body.clone());
                        self.equation(t.word().unwrap_or_default().to_owned(), t.at, vec![], body, whole);
                    }
                    return total + names;
                }
            }
        }
        let chain = |p: &[Token]| outside(p, |_, t| comparison(t).is_some());
        let middle =
            pieces.iter().skip(1).take_while(|p| matches!(p.as_slice(), [t] if t.word().is_some())).count();
        if pieces.len() >= 2 + middle {
            let (a, b) = (&pieces[0], &pieces[1 + middle]);
            if let ([i], [j]) = (chain(a).as_slice(), chain(b).as_slice()) {
                let lower = a.len() == i + 2
                    && is_less(&a[*i])
                    && a[i + 1].word().is_some()
                    && !constant_like(&a[i + 1]);
                let upper = *j == 1 && is_less(&b[1]) && b[0].word().is_some() && !constant_like(&b[0]);
                if lower && upper && !a[..*i].is_empty() {
                    let between = pieces[1..=middle].iter().map(|p| &p[0]);
                    for name in [&a[i + 1]].into_iter().chain(between).chain([&b[0]]) {
                        self.ranges.push(Range {
                            name: name.word().unwrap_or_default().to_owned(),
                            at: name.at,
                            low: a[..*i].to_vec(),
                            high: b[2..].to_vec(),
                            whole: [&a[..=*i], std::slice::from_ref(name), &b[1..]].concat(),
                        });
                    }
                    return 2 + middle;
                }
            }
        }
        0
    }

    fn equation(&mut self, name: String, at: Span, args: Vec<String>, body: Vec<Token>, whole: Vec<Token>) {
        self.order += 1;
        self.equations.push(Equation { name, at, args, body, whole, order: self.order });
    }

    fn piece(&mut self, mut piece: Vec<Token>, known: &Known, style: Style) {
        if let Some(sign) = meant_by_colon(&piece) {
            piece[1].tok = Tok::Sym(sign);
        }
        if ignorable(&piece) || self.range_in(&piece) || self.range_words(&piece) {
            return;
        }
        if !style.code && self.several(&piece) {
            return;
        }
        if let Some((name, at, args, body)) = head(&piece, known, style) {
            if !args.is_empty() && piece[1].word().is_some() {
                self.remark(
                    span(&piece[..=args.len()]),
                    format!("read as a function: {name}({})", args.join(", ")),
                );
            }
            if self.range_dots(&name, at, &body, &piece)
                || !style.code && args.is_empty() && self.range_between_ends(&name, at, &body, &piece)
            {
                return;
            }
            return self.equation(name, at, args, body, piece);
        }
        if self.compound(&piece) {
            return;
        }
        let relations = outside(&piece, |_, t| comparison(t).is_some());
        if let [i, j] = relations.as_slice() {
            let middle = &piece[i + 1..*j];
            let up = is_less(&piece[*i]) && is_less(&piece[*j]);
            let down = is_more(&piece[*i]) && is_more(&piece[*j]);
            if let ([one], true) = (middle, up || down)
                && let Some(w) = one.word().filter(|_| !constant_like(one))
            {
                let (a, b) = (piece[..*i].to_vec(), piece[j + 1..].to_vec());
                let (low, high) = if up { (a, b) } else { (b, a) };
                if !low.is_empty() && !high.is_empty() {
                    let (name, at) = (w.to_owned(), one.at);
                    self.ranges.push(Range { name, at, low, high, whole: piece });
                    return;
                }
            }
        }
        self.order += 1;
        self.formulas.push(Statement { tokens: piece, order: self.order, returned: false });
    }

    /// `a = b = 1` and `(a, b) = (1, 2)`: values of several names.
    fn several(&mut self, piece: &[Token]) -> bool {
        let signs = outside(piece, |_, t| comparison(t).is_some());
        let Some(last) = signs.last().copied().filter(|_| signs.iter().all(|i| piece[*i].is('='))) else {
            return false;
        };
        let name = |t: &Token| t.word().is_some_and(|w| !is_axis(w) && functions::function(w).is_none());
        let plain = |t: &[Token]| !t.is_empty() && !t.iter().any(|t| t.word().is_some_and(is_axis));
        let (left, right) = (&piece[..last], &piece[last + 1..]);
        let listed = is_list(left) && is_list(right) && left.iter().skip(1).step_by(2).all(name);
        let inside = |t: &[Token]| -> Vec<Vec<Token>> {
            t[1..t.len() - 1].split(|t| t.is(',')).map(<[Token]>::to_vec).collect()
        };
        let (names, values) = match signs.len() {
            1 if listed && left.len() % 2 == 1 => (inside(left), inside(right)),
            2.. if left.iter().step_by(2).all(name) && left.len() == 2 * signs.len() - 1 => {
                let names: Vec<Vec<Token>> = left.iter().step_by(2).map(|t| vec![t.clone()]).collect();
                let values = vec![right.to_vec(); names.len()];
                (names, values)
            }
            _ => return false,
        };
        let single = names.iter().all(|n| matches!(n.as_slice(), [t] if name(t)));
        if names.len() != values.len() || !single || !values.iter().all(|v| plain(v)) {
            return false;
        }
        for (n, body) in names.into_iter().zip(values) {
            let (word, at) = (n[0].word().unwrap_or_default().to_owned(), n[0].at);
            let whole = [&n[..], &[piece[last].clone()], &body].concat();
            self.equation(word, at, vec![], body, whole);
        }
        true
    }

    /// `d += ...` and its like become `d = d + (...)`.
    fn compound(&mut self, piece: &[Token]) -> bool {
        let [name, op, ..] = piece else { return false };
        let sign = match op.sym() {
            Some(ADD_TO) => '+',
            Some(TAKE_FROM) => '-',
            Some(TIMES_TO) => '*',
            Some(OVER_TO) => '/',
            _ => return false,
        };
        let Some(w) = name.word().map(str::to_owned) else { return false };
        let s = |c: char| Token { tok: Tok::Sym(c), at: op.at, gap: Gap::None };
        let mut body = vec![name.clone(), s(sign), s('(')];
        body.extend(piece[2..].iter().cloned());
        body.push(s(')'));
        self.equation(w, name.at, vec![], body, piece.to_vec());
        true
    }
}

/// What the colon behind a name means: `x: cos t` and `R: 1.5` give a value, `x: [-1, 1]` a range.
pub(super) fn meant_by_colon(piece: &[Token]) -> Option<char> {
    let [name, colon, value @ ..] = piece else { return None };
    let word = name.word().filter(|_| colon.is(':') && !value.is_empty())?;
    let list = value[0].is('[') && closes_last(value);
    if list && outside(&value[1..value.len() - 1], |_, t| t.is(',')).len() == 1 {
        return Some('∈');
    }
    let number = matches!(value, [n] if matches!(n.tok, Tok::Num(..)));
    (is_axis(word) || number && word.chars().count() == 1).then_some('=')
}

/// Whether the name is one of x, y, z.
pub fn is_axis(w: &str) -> bool {
    matches!(w, "x" | "y" | "z" | "X" | "Y" | "Z")
}

pub(super) fn constant_like(t: &Token) -> bool {
    t.word().is_some_and(|w| matches!(w, "pi" | "e" | "tau"))
}

pub(super) fn is_less(t: &Token) -> bool {
    t.is('<') || t.is('≤')
}

pub(super) fn is_more(t: &Token) -> bool {
    t.is('>') || t.is('≥')
}

/// Parts a line at words such as "where".
fn clauses(line: &[Token]) -> Vec<Vec<Token>> {
    if let Some(open) = aside(line) {
        let mut out = clauses(&line[..open]);
        out.extend(clauses(&line[open + 1..line.len() - 1]));
        return out;
    }
    if let Some(open) = braced(line) {
        let mut out = clauses(&line[..open]);
        out.push(line[open + 1..line.len() - 1].to_vec());
        return out;
    }
    let mut out = Vec::new();
    let mut from = 0;
    // `between 1 and 2`, and `a if x > 0 and y > 0 else b`.
    let between = |i: usize| {
        let has = |tokens: &[Token], word: &str| tokens.iter().any(|t| t.is_word(word));
        let since = line[..i].iter().rposition(|t| t.is_word("and")).map_or(0, |k| k + 1);
        let chosen = || has(&line[..i], "if") && has(&line[i..], "else");
        let joins = || stated::joins_conditions(line, i);
        line[i].is_word("and") && (has(&line[since..i], "between") || chosen() || joins())
    };
    let cuts = outside(line, |i, t| {
        t.word().is_some_and(|w| PARTING.contains(&w.to_lowercase().as_str()))
            && !between(i)
            && !line.get(i + 1).is_some_and(|n| n.is('=') || n.gap == Gap::None && (n.is('(') || n.is('[')))
    });
    let sentence = outside(line, |i, t| t.is('.') && line.get(i + 1).is_some_and(|n| n.gap > Gap::None));
    let mut all: Vec<usize> = cuts.into_iter().chain(sentence).collect();
    all.sort_unstable();
    for c in all.into_iter().chain([line.len()]) {
        let mut part = line[from..c].to_vec();
        trim(&mut part);
        unbracket(&mut part);
        brackets::unbrace(&mut part);
        if !part.is_empty() {
            out.push(part);
        }
        from = c + 1;
    }
    out
}

/// The bracket that opens an aside at the line's end, such as `(t = 0.5)`.
fn aside(line: &[Token]) -> Option<usize> {
    let opening = match line.last()?.sym()? {
        ')' => '(',
        ']' => '[',
        _ => return None,
    };
    let open = (0..line.len()).rev().find(|i| line[*i].is(opening) && closes_last(&line[*i..]))?;
    let inside = &line[open + 1..line.len() - 1];
    let relation = outside(inside, |_, t| comparison(t).is_some() || t.is('∈') || t.is_word("from"));
    let apart = line[open].gap > Gap::None
        && open > 0
        && !ends_open(&line[..open])
        && !line[open - 1].is('|')
        && line[open - 1].word().is_none_or(|w| w != "not" && functions::function(w).is_none());
    (apart && !relation.is_empty()).then_some(open)
}

/// The brace that opens conditions at the line's end, after a formula with its own comparison: `x = y {0 < z < 2}`.
fn braced(line: &[Token]) -> Option<usize> {
    if !(line.last()?.is('}') || line.last()?.is(')')) {
        return None;
    }
    let open =
        (1..line.len()).rev().find(|i| (line[*i].is('{') || line[*i].is('(')) && closes_last(&line[*i..]))?;
    let called = line[open].is('(') && line[open - 1].word().is_some_and(|w| !is_axis(w));
    let compares = |t: &[Token]| !outside(t, |_, t| comparison(t).is_some() && !t.is('=')).is_empty();
    let inside = &line[open + 1..line.len() - 1];
    let conditions = inside.split(|t| t.is(',')).all(compares) && !inside.iter().any(|t| t.is(':'));
    let before = &line[..open];
    let raised = line[open - 1].sym().is_some_and(|c| matches!(c, '_' | FRAC | ROOT));
    let related = !outside(before, |_, t| comparison(t).is_some()).is_empty();
    (conditions && related && !raised && !called && !line[open - 1].is('|') && !ends_open(before))
        .then_some(open)
}

/// `name = body` or `name(args) = body`.
type Head = (String, Span, Vec<String>, Vec<Token>);

fn head(piece: &[Token], known: &Known, style: Style) -> Option<Head> {
    let first = outside(piece, |_, t| comparison(t).is_some()).first().copied()?;
    if !(piece[first].is('=') || piece[first].is('≔')) || first == 0 {
        return None;
    }
    let left = &piece[..first];
    let body = piece[first + 1..].to_vec();
    let Tok::Word(name, whole) = &left[0].tok else { return None };
    let at = left[0].at;
    if body.is_empty() {
        return None;
    }
    if left.len() == 1 {
        let product = !whole && matches!(Known::default().cut(name, false), Cut::Several(..)) && !style.code;
        // `abxyz = 1, a = 2, b = 3`: the letters before the coordinates have values of their own.
        let alone = Known { defined: known.alone.clone(), ..Known::default() };
        let coordinates = name.ends_with(['x', 'y', 'z']) && name.len() > 2;
        let product = product
            || !whole && !style.code && coordinates && matches!(alone.cut(name, false), Cut::Several(..));
        let numbered =
            name.len() == 2 && name.ends_with(['0', '1']) && body.iter().all(|t| t.word().is_none());
        // A function without its brackets may be the name of a number: `power = 8`, `PI = 3.14159`.
        let reused = known.named.contains(name);
        return ((!product || numbered || reused) && (style.code || !functions::is_bare(name)))
            .then(|| (name.clone(), at, vec![], body));
    }
    if let Some(args) = spaced_arguments(left, &body) {
        return Some((name.clone(), at, args, body));
    }
    let bracket = left[1].is('(') || left[1].is('[') && style.square;
    if !bracket || !closes_last(&left[1..]) {
        return None;
    }
    let mut args = Vec::new();
    for t in &left[2..left.len() - 1] {
        match &t.tok {
            Tok::Word(w, _) => args.push(w.trim_end_matches('_').to_owned()),
            Tok::Sym(',' | ';') => {}
            _ => return None,
        }
    }
    let foreign = args.iter().all(|a| is_axis(a))
        && body.iter().any(|t| t.word().is_some_and(|w| is_axis(w) && !args.iter().any(|a| a == w)));
    let inner = |t: &Token| t.word().is_some_and(|w| args.iter().any(|a| a == w));
    let axes_inside = body.iter().filter(|t| t.word().is_some_and(is_axis)).all(inner);
    let own = style.code && !functions::is_bare(name) && body.iter().any(inner) && axes_inside;
    let fine = !(args.is_empty() || foreign && !is_axis(name) && name.len() > 1)
        && (own || functions::function(name).is_none())
        && left[2..].len() == 2 * args.len();
    fine.then(|| (name.clone(), at, args, body))
}
