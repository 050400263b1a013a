//! Statements: what in a text is a formula, a definition, a component, a range, a label.

use super::brackets;
use super::faults::{FaultClass, Read, Span, fault};
use super::functions;
use super::names::{self, Cut, Known, Piece};
use super::parse::comparison;
use super::reading::Remark;
use super::style::Style;
use super::token::*;

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
    /// Choices made.
    pub remarks: Vec<Remark>,
    order: usize,
}

/// Words that part statements.
const PARTING: &[&str] = &[
    "where",
    "with",
    "given",
    "when",
    "let",
    "then",
    "taking",
    "having",
    "here",
    "using",
    "set",
    "assuming",
    "over",
    "for",
    "and",
    "such",
    "that",
    "so",
    "provided",
    "whenever",
    "where,",
    "subject",
    "und",
    "avec",
    "mit",
    "wobei",
    "où",
    "parameter",
    "parameters",
];

/// Words around formulas that say nothing about them.
const FILLER: &[&str] = &[
    "the",
    "a",
    "an",
    "surface",
    "curve",
    "equation",
    "equations",
    "formula",
    "is",
    "are",
    "given",
    "by",
    "of",
    "defined",
    "as",
    "implicit",
    "consider",
    "we",
    "have",
    "in",
    "on",
    "plot",
    "try",
    "solve",
    "parametric",
    "implicitly",
    "following",
    "has",
    "this",
    "its",
    "satisfies",
    "called",
    "level",
    "set",
    "solid",
    "region",
    "function",
    "be",
    "to",
    "from",
    "obtained",
    "can",
    "written",
    "also",
    "it",
    "form",
    "cartesian",
    "polar",
    "coordinates",
    "spherical",
    "cylindrical",
    "use",
    "draw",
    "looks",
    "like",
    "nice",
    "my",
    "your",
    "minimal",
    "approximation",
    "approximated",
    "approx",
    "now",
    "which",
    "or",
    "real",
    "all",
    "points",
    "space",
    "satisfying",
    "constants",
    "constant",
    "inside",
    "shape",
    "eq",
    "eqn",
    "fig",
    "figure",
    "display",
    "show",
    "render",
    "via",
    "i",
    "get",
    "got",
    "at",
    "describes",
    "describe",
    "model",
    "object",
];

/// Parts a text into statements.
///
/// # Errors
/// Unbalanced brackets, and prose without a formula.
pub fn statements(tokens: Vec<Token>, style: Style) -> Read<Statements> {
    let depth = brackets::depths(&tokens)?;
    let mut out = Statements::default();
    let mut lines = lines(tokens, &depth, style);
    lines.retain(|(l, _)| l.is_empty() || !ignorable(l));
    let lines = joined(lines);
    let known = alone(&lines);
    if let Some(f) = prose(&lines, &known) {
        return Err(f);
    }
    for (k, line) in lines.iter().enumerate() {
        out.line(line.clone(), k == 0, &known, style);
    }
    Ok(out)
}

/// Letters that stand alone.
pub fn alone(lines: &[Vec<Token>]) -> Known {
    let mut known = Known::default();
    for t in lines.iter().flatten() {
        if let Some(w) = t.word().filter(|w| w.chars().count() == 1) {
            known.alone.insert(w.to_owned());
        }
    }
    known
}

/// Whether a word belongs to mathematics.
fn is_math(t: &Token, known: &Known) -> bool {
    match &t.tok {
        Tok::Word(w, whole) => {
            w.chars().count() == 1 && w.is_ascii()
                || functions::function(w).is_some()
                || names::greek_letter(w).is_some()
                || names::constant(w).is_some()
                || (*whole && (w.contains('_') || names::greek_letter(w).is_some()))
                || w.contains('_')
                || matches!(known.cut(w, false), Cut::Several(..))
                || matches!(known.cut(w, false), Cut::Whole(Piece::Func(_)))
        }
        _ => true,
    }
}

fn prose(lines: &[Vec<Token>], known: &Known) -> Option<super::faults::ReadFault> {
    let all: Vec<&Token> = lines.iter().flatten().collect();
    let words: Vec<&&Token> =
        all.iter().filter(|t| matches!(t.tok, Tok::Word(..)) && !is_math(t, known)).collect();
    let signs = all
        .iter()
        .filter(|t| {
            matches!(t.tok, Tok::Num(..))
                || matches!(
                    t.sym(),
                    Some(
                        '+' | '*'
                            | '·'
                            | '×'
                            | '/'
                            | '^'
                            | '='
                            | '<'
                            | '>'
                            | '≤'
                            | '≥'
                            | '√'
                            | '≔'
                            | FRAC
                            | ROOT
                            | '('
                            | '|'
                            | '∈'
                    )
                )
        })
        .count();
    let functions = all.iter().filter(|t| t.word().is_some_and(functions::is_bare)).count();
    let first = words.first()?;
    let lonely = signs == 0 && functions == 0 && (words.len() >= 2 || all.len() == 1);
    if lonely || words.len() > 2 * (signs + functions) + 2 {
        let at = all.first().map_or(first.at, |a| all.last().map_or(a.at, |b| a.at.join(b.at)));
        let what = match all.len() {
            1 => format!("{} is a word, not a formula", first.shown()),
            _ => "this reads as words, not as a formula".to_owned(),
        };
        let f =
            fault::<()>(FaultClass::Prose, at, what, "paste the formula alone, such as x^2 + y^2 + z^2 = 1");
        return f.err();
    }
    None
}

/// Lines: the text between line ends and semicolons outside brackets; ends of lines inside brackets go.
fn lines(tokens: Vec<Token>, depth: &[u32], style: Style) -> Vec<(Vec<Token>, bool)> {
    let count = tokens.iter().filter(|t| t.is('\n')).count() + 1;
    let spread = count >= 5 && tokens.len() < count * 5 / 2 && !tokens.iter().any(|t| t.is('='))
        || one_by_one(&tokens, count);
    let mut lines = Vec::new();
    let mut line: Vec<Token> = Vec::new();
    let mut pending = false;
    for (i, mut t) in tokens.into_iter().enumerate() {
        let stop = t.is('.') && t.gap == Gap::None && !line.is_empty();
        if t.is('\n') {
            if depth[i] == 0 && !spread {
                lines.push((std::mem::take(&mut line), false));
            }
            pending = true;
        } else if t.is(';') && depth[i] == 0 && !style.square {
            lines.push((std::mem::take(&mut line), true));
        } else {
            if pending {
                let lost =
                    spread && matches!(t.tok, Tok::Num(..)) && line.last().is_some_and(|p| raised_before(p));
                if lost {
                    let at = t.at;
                    line.push(Token { tok: Tok::Sym('^'), at, gap: Gap::None });
                }
                t.gap = t.gap.max(Gap::Blank);
            }
            pending = false;
            let _ = stop;
            line.push(t);
        }
    }
    lines.push((line, true));
    lines
}

fn raised_before(t: &Token) -> bool {
    match &t.tok {
        Tok::Word(w, _) => functions::function(w).is_none(),
        _ => t.is(')'),
    }
}

/// Whether the text stands one token a line.
fn one_by_one(tokens: &[Token], lines: usize) -> bool {
    let others = tokens.len() + 1 - lines;
    lines >= 5 && others * 2 < lines * 3
}

/// Joins lines that go on: the next begins with an operator, or the last ends with one.
fn joined(lines: Vec<(Vec<Token>, bool)>) -> Vec<Vec<Token>> {
    let full: Vec<&(Vec<Token>, bool)> = lines.iter().filter(|(l, _)| !l.is_empty()).collect();
    let bare = |l: &[Token]| !l.iter().any(|t| comparison(t).is_some());
    let components = full.len() == 3
        && full.iter().all(|(l, _)| bare(l) && !ends_open(l))
        && !full.iter().any(|(l, _)| l[0].is('+'));
    let mut out: Vec<Vec<Token>> = Vec::new();
    let mut hard = true;
    for (line, end) in lines {
        if line.is_empty() {
            hard |= end;
            continue;
        }
        let goes_on = !hard && !components && out.last().is_some_and(|l| ends_open(l) || begins_open(&line));
        match out.last_mut() {
            Some(last) if goes_on => last.extend(line),
            _ => out.push(line),
        }
        hard = end;
    }
    out
}

fn begins_open(line: &[Token]) -> bool {
    matches!(
        line[0].sym(),
        Some(
            '+' | '-'
                | '*'
                | '·'
                | '×'
                | '/'
                | '='
                | '<'
                | '>'
                | '≤'
                | '≥'
                | '^'
                | '%'
                | '∧'
                | '∨'
                | ')'
                | '?'
                | ':'
        )
    )
}

fn ends_open(line: &[Token]) -> bool {
    line.last().is_some_and(|t| {
        matches!(
            t.sym(),
            Some(
                '+' | '-'
                    | '*'
                    | '·'
                    | '×'
                    | '/'
                    | '='
                    | '<'
                    | '>'
                    | '≤'
                    | '≥'
                    | '^'
                    | '∧'
                    | '∨'
                    | '→'
                    | '≔'
            )
        )
    })
}

/// Positions of a test outside brackets.
fn outside(tokens: &[Token], test: impl Fn(usize, &Token) -> bool) -> Vec<usize> {
    let mut depth = 0;
    let mut out = Vec::new();
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => depth += 1,
            Some(')' | ']' | '}' | END_CASES) => depth -= 1,
            _ if depth == 0 && test(i, t) => out.push(i),
            _ => {}
        }
    }
    out
}

impl Statements {
    fn remark(&mut self, at: Span, what: impl Into<String>) {
        self.remarks.push(Remark { what: what.into(), at: at.range() });
    }

    fn line(&mut self, mut line: Vec<Token>, first: bool, known: &Known, style: Style) {
        if ignorable(&line) {
            return;
        }
        trim(&mut line);
        self.number_before(&mut line);
        label(&mut line);
        self.words_before(&mut line, known);
        self.words_after(&mut line, known);
        self.number_after(&mut line);
        trim(&mut line);
        if line.is_empty() {
            return;
        }
        if first && line[0].is('=') {
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
        for clause in clauses(&line) {
            self.clause(clause, known, style);
        }
    }

    /// `(1)`, `1.`, `a)` in front of a formula.
    fn number_before(&mut self, line: &mut Vec<Token>) {
        let number = |t: &Token| matches!(t.tok, Tok::Num(x, _) if x.fract() == 0.0 && x < 1000.0);
        let n = match line.as_slice() {
            [a, b, c, d, ..] if a.is('(') && number(b) && c.is(')') && d.gap > Gap::None => 3,
            [a, b, c, ..] if number(a) && b.is(')') && c.gap > Gap::None => 2,
            [a, b, ..]
                if matches!(a.tok, Tok::Num(x, false) if x.fract() == 0.0)
                    && dotted(a)
                    && b.gap > Gap::None =>
            {
                1
            }
            _ => return,
        };
        if line[n..].iter().any(|t| t.is('=') || t.is('<') || t.is('>')) {
            line.drain(..n);
        }
    }

    /// `(5)` after a formula.
    fn number_after(&mut self, line: &mut Vec<Token>) {
        let Some(open) = line.iter().rposition(|t| t.is('(') || t.is('[')) else { return };
        let tail = &line[open..];
        let short = tail.len() >= 3 && tail.len() <= 5 && tail.last().is_some_and(|t| t.is(')') || t.is(']'));
        let number = tail[1..]
            .first()
            .is_some_and(|t| matches!(t.tok, Tok::Num(x, _) if x < 1000.0) || t.is_word("Eq"));
        let rest = tail.iter().all(|t| !matches!(t.sym(), Some('+' | '*' | '^' | '/' | ',')));
        let relation = line[..open].iter().any(|t| comparison(t).is_some());
        let gap = line[open].gap;
        if !(short && number && rest && relation && gap > Gap::None) || open == 0 || ends_open(&line[..open])
        {
            return;
        }
        let at = span(tail);
        if gap < Gap::Wide {
            self.remark(at, "the number in brackets at the end read as the equation's number");
        }
        line.truncate(open);
        while line.last().is_some_and(|t| t.is('…') || t.is('.') || t.is(',')) {
            line.pop();
        }
    }

    /// Words in front of a formula.
    fn words_before(&mut self, line: &mut Vec<Token>, known: &Known) {
        let mut n = 0;
        let mut strange = 0;
        for (i, t) in line.iter().enumerate() {
            let Tok::Word(w, _) = &t.tok else {
                if (t.is(',')
                    || t.is(':')
                    || t.is('"')
                    || t.is('.')
                    || t.is('-') && strange > 0 && line.get(i + 1).is_some_and(|n| !is_math(n, known)))
                    && n == i
                {
                    n = i + 1;
                    continue;
                }
                break;
            };
            let lower = w.to_ascii_lowercase();
            let next_word =
                line.get(i + 1).is_some_and(|n| matches!(n.tok, Tok::Word(..)) && n.gap > Gap::None);
            let called = line.get(i + 1).is_some_and(|n| n.gap == Gap::None && (n.is('(') || n.is('[')));
            let assigned = line.get(i + 1).is_some_and(|n| n.is('=') || n.is('≔') || n.is('∈') || n.is('^'));
            let article =
                line.get(i + 1).is_some_and(|n| n.word().is_some_and(|w| w.len() > 1) && !is_math(n, known));
            let filler = FILLER.contains(&lower.as_str())
                && (w.len() > 1 || next_word && article)
                && !assigned
                && !called;
            let unknown = !is_math(t, known)
                && w.len() > 2
                && !called
                && !assigned
                && !PARTING.contains(&lower.as_str())
                && (next_word || strange > 0);
            if !(filler || unknown) {
                break;
            }
            strange += 1;
            n = i + 1;
        }
        if strange > 0 && n < line.len() {
            let at = span(&line[..n]);
            self.remark(at, "the words before the formula were left out");
            line.drain(..n);
            while line.first().is_some_and(|t| t.is(',') || t.is(':')) {
                line.remove(0);
            }
        } else if strange > 0 && strange >= 2 {
            line.clear();
        }
    }

    /// Words after a formula.
    fn words_after(&mut self, line: &mut Vec<Token>, known: &Known) {
        let mut n = line.len();
        let mut filler = 0;
        while n > 0 {
            let t = &line[n - 1];
            let word = match &t.tok {
                Tok::Word(w, _) => w.to_ascii_lowercase(),
                _ if filler > 0 && (t.is(',') || t.is('.')) => {
                    n -= 1;
                    continue;
                }
                _ if t.is('!') || t.is('.') || t.is('?') => {
                    n -= 1;
                    continue;
                }
                _ => break,
            };
            let follows = n >= 2 && t.gap > Gap::None && !ends_open(&line[..n - 1]);
            let strange = !is_math(t, known) && word.len() > 3 && follows;
            if !(FILLER.contains(&word.as_str()) && follows && word.len() > 1
                || strange && (filler > 0 || n < line.len()))
            {
                break;
            }
            filler += 1;
            n -= 1;
        }
        if filler > 0 {
            let at = span(&line[n..]);
            self.remark(at, "the words after the formula were left out");
            line.truncate(n);
        }
    }

    /// The pieces between commas, and what they are.
    fn clause(&mut self, clause: Vec<Token>, known: &Known, style: Style) {
        let commas = outside(&clause, |_, t| t.is(','));
        let mut pieces: Vec<Vec<Token>> = Vec::new();
        let mut from = 0;
        for c in commas.into_iter().chain([clause.len()]) {
            let mut piece = clause[from..c].to_vec();
            trim(&mut piece);
            unbracket(&mut piece);
            if !piece.is_empty() {
                pieces.push(piece);
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
            self.piece(std::mem::take(&mut pieces[k]), known, style);
            k += 1;
        }
    }

    /// Several pieces that only make sense together: `u, v ∈ [0, 1]`, `0 ≤ u, v ≤ 1`, `a, b = 1, 2`.
    fn together(&mut self, pieces: &[Vec<Token>]) -> usize {
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
                if t.is('=') && pieces.len() >= 2 * names + 1 && names >= 1 && !is_axis(w) {
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
        if pieces.len() >= 2 {
            let (a, b) = (&pieces[0], &pieces[1]);
            if let ([i], [j]) = (chain(a).as_slice(), chain(b).as_slice()) {
                let lower = a.len() == i + 2
                    && is_less(&a[*i])
                    && a[i + 1].word().is_some()
                    && !constant_like(&a[i + 1]);
                let upper = *j == 1 && is_less(&b[1]) && b[0].word().is_some() && !constant_like(&b[0]);
                if lower && upper && !a[..*i].is_empty() {
                    for name in [&a[i + 1], &b[0]] {
                        self.ranges.push(Range {
                            name: name.word().unwrap_or_default().to_owned(),
                            at: name.at,
                            low: a[..*i].to_vec(),
                            high: b[2..].to_vec(),
                            whole: [a.as_slice(), b.as_slice()].concat(),
                        });
                    }
                    return 2;
                }
            }
        }
        0
    }

    fn equation(&mut self, name: String, at: Span, args: Vec<String>, body: Vec<Token>, whole: Vec<Token>) {
        self.order += 1;
        self.equations.push(Equation { name, at, args, body, whole, order: self.order });
    }

    fn piece(&mut self, piece: Vec<Token>, _known: &Known, style: Style) {
        if ignorable(&piece) || self.range_in(&piece) || self.range_words(&piece) {
            return;
        }
        if let Some((name, at, args, body)) = head(&piece, style) {
            if self.range_dots(&name, at, &body, &piece) {
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
            if let ([one], true) = (middle, up || down) {
                if let Some(w) = one.word().filter(|_| !constant_like(one)) {
                    let (a, b) = (piece[..*i].to_vec(), piece[j + 1..].to_vec());
                    let (low, high) = if up { (a, b) } else { (b, a) };
                    if !low.is_empty() && !high.is_empty() {
                        let (name, at) = (w.to_owned(), one.at);
                        self.ranges.push(Range { name, at, low, high, whole: piece });
                        return;
                    }
                }
            }
        }
        self.order += 1;
        self.formulas.push(Statement { tokens: piece, order: self.order, returned: false });
    }

    /// `t ∈ [0, 1]`, `t in 0..1`, `(u, v) ∈ [0, 1] × [0, 2]`
    fn range_in(&mut self, piece: &[Token]) -> bool {
        let Some(i) = outside(piece, |i, t| {
            i > 0 && (t.is('∈') || t.is_word("in") || t.is_word("from") || t.is_word("between"))
        })
        .first()
        .copied() else {
            return false;
        };
        let names: Vec<Token> = piece[..i].iter().filter(|t| t.word().is_some()).cloned().collect();
        if names.is_empty()
            || piece[..i].iter().any(|t| t.word().is_none() && !matches!(t.sym(), Some('(' | ')' | ',')))
        {
            return false;
        }
        let boxes = intervals(&piece[i + 1..]);
        if boxes.is_empty() {
            return piece[i].is('∈');
        }
        for (k, n) in names.iter().enumerate() {
            let (low, high) = boxes[k.min(boxes.len() - 1)].clone();
            self.ranges.push(Range {
                name: n.word().unwrap_or_default().to_owned(),
                at: n.at,
                low,
                high,
                whole: piece.to_vec(),
            });
        }
        true
    }

    /// `t 0 to 1`
    fn range_words(&mut self, piece: &[Token]) -> bool {
        let Some(to) = outside(piece, |_, t| t.is_word("to")).first().copied() else { return false };
        let start = match piece.get(1) {
            Some(t) if t.is('=') || t.is(':') => 2,
            _ => return false,
        };
        if piece[0].word().is_none() || to <= start {
            return false;
        }
        self.ranges.push(Range {
            name: piece[0].word().unwrap_or_default().to_owned(),
            at: piece[0].at,
            low: piece[start..to].to_vec(),
            high: piece[to + 1..].to_vec(),
            whole: piece.to_vec(),
        });
        true
    }

    /// `u = 0..2pi`, `t = 0:0.1:10`, `t = linspace(0, 1, 50)`
    fn range_dots(&mut self, name: &str, at: Span, body: &[Token], whole: &[Token]) -> bool {
        let mut range = |low: &[Token], high: &[Token]| {
            let (low, high) = (low.to_vec(), high.to_vec());
            self.ranges.push(Range { name: name.to_owned(), at, low, high, whole: whole.to_vec() });
        };
        let dots = outside(body, |_, t| t.is('…'));
        if let Some(i) = dots.first() {
            range(&body[..*i], &body[i + 1..]);
            return true;
        }
        if body.first().and_then(Token::word).is_some_and(|w| matches!(w, "linspace" | "arange"))
            && body.len() > 3
        {
            let inner = &body[2..body.len() - 1];
            let commas = outside(inner, |_, t| t.is(','));
            if let Some(i) = commas.first() {
                let j = commas.get(1).copied().unwrap_or(inner.len());
                range(&inner[..*i], &inner[i + 1..j]);
                return true;
            }
        }
        let inner = if body.first().is_some_and(|t| t.is('[')) && body.last().is_some_and(|t| t.is(']')) {
            &body[1..body.len() - 1]
        } else {
            body
        };
        let colons = outside(inner, |_, t| t.is(':'));
        if !inner.iter().any(|t| t.is('?')) {
            if let (Some(i), Some(j)) = (colons.first(), colons.last()) {
                range(&inner[..*i], &inner[j + 1..]);
                return true;
            }
        }
        false
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

fn dotted(t: &Token) -> bool {
    matches!(t.tok, Tok::Num(x, _) if (t.at.to - t.at.from) as usize > format!("{x}").len())
}

/// Whether the name is one of x, y, z.
pub fn is_axis(w: &str) -> bool {
    matches!(w, "x" | "y" | "z" | "X" | "Y" | "Z")
}

fn constant_like(t: &Token) -> bool {
    t.word().is_some_and(|w| matches!(w, "pi" | "e" | "tau"))
}

fn is_less(t: &Token) -> bool {
    t.is('<') || t.is('≤')
}

fn is_more(t: &Token) -> bool {
    t.is('>') || t.is('≥')
}

/// Lines that prepare and draw, and say nothing about the shape.
fn ignorable(line: &[Token]) -> bool {
    if let [a, b, c] = line
        && a.is('(')
        && matches!(b.tok, Tok::Num(_, true))
        && c.is(')')
    {
        return true;
    }
    let Some(w) = line.first().and_then(Token::word) else {
        return line.first().is_some_and(|t| t.is('['))
            && line.iter().any(|t| t.is_word("meshgrid") || t.is_word("ndgrid"));
    };
    let drawing = [
        "import",
        "from",
        "include",
        "using",
        "syms",
        "clear",
        "clc",
        "figure",
        "plt",
        "ax",
        "fig",
        "isosurface",
        "surf",
        "plot",
        "plot3",
        "hold",
        "axis",
        "xlabel",
        "ylabel",
        "zlabel",
        "title",
        "print",
        "use",
        "package",
        "require",
        "show",
        "close",
        "precision",
        "camlight",
        "lighting",
        "patch",
        "colormap",
    ];
    let gap = line.get(1).is_some_and(|t| t.gap > Gap::None || t.is('.') || t.is('(') || t.is('{'));
    (drawing.contains(&w)
        && (gap || line.len() == 1)
        && !line.get(1).is_some_and(|t| t.is('='))
        && !(w == "from" && line.len() < 3))
        || line
            .iter()
            .any(|t| t.is_word("meshgrid") || t.is_word("ndgrid") || t.is_word("mgrid") || t.is_word("ogrid"))
        || line.len() >= 3
            && line.iter().any(|t| t.is_word("linspace") || t.is_word("arange"))
            && is_axis(w)
            && line[1].is('=')
        || line.len() > 4
            && line[1].is(',')
            && line.last().is_some_and(|t| t.is_word("p") || t.is_word("pos"))
            && line[line.len() - 2].is('=')
}

fn trim(line: &mut Vec<Token>) {
    while line.last().is_some_and(|t| matches!(t.sym(), Some(',' | '.' | ';' | '&' | '"'))) {
        line.pop();
    }
    while line.first().is_some_and(|t| matches!(t.sym(), Some(',' | ';' | '"' | '.'))) {
        line.remove(0);
    }
}

/// Takes off brackets around a whole equation: `(a = 2)`.
fn unbracket(piece: &mut Vec<Token>) {
    for _ in 0..3 {
        let wrapped = piece.len() > 2
            && matches!(
                (piece[0].sym(), piece[piece.len() - 1].sym()),
                (Some('('), Some(')')) | (Some('['), Some(']')) | (Some('{'), Some('}'))
            )
            && closes_last(piece);
        let inside = if wrapped { &piece[1..piece.len() - 1] } else { return };
        let relation = !outside(inside, |_, t| comparison(t).is_some() || t.is('∈')).is_empty();
        let commas = !outside(inside, |_, t| t.is(',')).is_empty();
        if !relation || commas {
            return;
        }
        piece.pop();
        piece.remove(0);
        trim(piece);
    }
}

fn closes_last(piece: &[Token]) -> bool {
    let mut depth = 0;
    for (i, t) in piece.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => depth += 1,
            Some(')' | ']' | '}' | END_CASES) => {
                depth -= 1;
                if depth == 0 {
                    return i + 1 == piece.len();
                }
            }
            _ => {}
        }
    }
    false
}

/// A label before a colon goes; `x:` before a component becomes `x =`.
fn label(line: &mut Vec<Token>) {
    let Some(i) = outside(line, |_, t| t.is(':')).first().copied() else { return };
    if i == 0 || i + 1 >= line.len() || line.iter().any(|t| t.is('?') || t.is('→')) {
        return;
    }
    if i == 1 && line[0].word().is_some_and(is_axis) {
        line[1].tok = Tok::Sym('=');
        return;
    }
    let wordy = line[..i].iter().all(|t| {
        matches!(t.tok, Tok::Word(..) | Tok::Num(..))
            || matches!(t.sym(), Some('(' | ')' | '-' | '\'' | '.' | ',' | '&'))
    });
    let ranged = line.get(1).is_some_and(|t| t.is('=')) || line[..i].iter().any(|t| t.is('='));
    if wordy && !ranged {
        line.drain(..=i);
    }
}

/// Parts a line at words such as "where".
fn clauses(line: &[Token]) -> Vec<Vec<Token>> {
    if let Some(open) = aside(line) {
        let mut out = clauses(&line[..open]);
        out.extend(clauses(&line[open + 1..line.len() - 1]));
        return out;
    }
    let mut out = Vec::new();
    let mut from = 0;
    let cuts = outside(line, |i, t| {
        t.word().is_some_and(|w| PARTING.contains(&w.to_lowercase().as_str()))
            && !line.get(i + 1).is_some_and(|n| n.is('=') || n.gap == Gap::None && (n.is('(') || n.is('[')))
    });
    let sentence = outside(line, |i, t| t.is('.') && line.get(i + 1).is_some_and(|n| n.gap > Gap::None));
    let mut all: Vec<usize> = cuts.into_iter().chain(sentence).collect();
    all.sort_unstable();
    for c in all.into_iter().chain([line.len()]) {
        let mut part = line[from..c].to_vec();
        trim(&mut part);
        unbracket(&mut part);
        if !part.is_empty() {
            out.push(part);
        }
        from = c + 1;
    }
    out
}

/// The bracket that opens an aside at the line's end, such as `(t = 0.5)`.
fn aside(line: &[Token]) -> Option<usize> {
    if !line.last()?.is(')') {
        return None;
    }
    let open = (0..line.len()).rev().find(|i| line[*i].is('(') && closes_last(&line[*i..]))?;
    let inside = &line[open + 1..line.len() - 1];
    let relation = outside(inside, |_, t| comparison(t).is_some() || t.is('∈'));
    let apart = line[open].gap > Gap::None
        && open > 0
        && !ends_open(&line[..open])
        && line[open - 1].word().is_none_or(|w| functions::function(w).is_none());
    (apart && !relation.is_empty()).then_some(open)
}

/// `name = body` or `name(args) = body`.
type Head = (String, Span, Vec<String>, Vec<Token>);

fn head(piece: &[Token], style: Style) -> Option<Head> {
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
        return (!product && functions::function(name).is_none()).then(|| (name.clone(), at, vec![], body));
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
    let fine = !(foreign && !is_axis(name) && name.len() > 1)
        && !args.is_empty()
        && functions::function(name).is_none()
        && left[2..].len() == 2 * args.len();
    fine.then(|| (name.clone(), at, args, body))
}

/// The ends of intervals: `[a, b]`, `[a, b] × [c, d]`, `a..b`, `a to b`.
fn intervals(tokens: &[Token]) -> Vec<(Vec<Token>, Vec<Token>)> {
    let mut out = Vec::new();
    if let Some(i) = outside(tokens, |_, t| t.is('…') || t.is_word("to") || t.is_word("and")).first() {
        return vec![(tokens[..*i].to_vec(), tokens[i + 1..].to_vec())];
    }
    let mut depth = 0;
    let mut start = 0;
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{') => {
                if depth == 0 {
                    start = i + 1;
                }
                depth += 1;
            }
            Some(')' | ']' | '}') => {
                depth -= 1;
                if depth == 0 {
                    let inside = &tokens[start..i];
                    if let Some(c) = outside(inside, |_, t| t.is(',') || t.is(';')).first() {
                        out.push((inside[..*c].to_vec(), inside[c + 1..].to_vec()));
                    }
                }
            }
            _ => {}
        }
    }
    let squared = tokens.len() > 2
        && tokens[tokens.len() - 2].is('^')
        && matches!(tokens[tokens.len() - 1].tok, Tok::Num(2.0, _));
    if squared && out.len() == 1 {
        out.push(out[0].clone());
    }
    out
}
