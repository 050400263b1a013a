//! Words, labels and numbers around formulas.

use super::brackets::outside;
use super::clauses::{Statements, is_axis};
use super::faults::{FaultClass, ReadFault, fault};
use super::functions;
use super::lines::ends_open;
use super::main_formula::is_list;
use super::names::{self, Cut, Known, Piece};
use super::parse::comparison;
use super::token::*;
use super::vocabulary::{CAPTIONS, FILLER, PARTING};

impl Statements {
    /// `(1)`, `1.`, `a)` in front of a formula.
    pub(super) fn number_before(&mut self, line: &mut Vec<Token>) {
        let number = |t: &Token| matches!(t.tok, Tok::Num(x, _) if x.fract() == 0.0 && x < 1000.0);
        let close = line.iter().position(|t| t.is(')')).filter(|k| *k <= 5).unwrap_or(0);
        let inside = line.get(1..close).unwrap_or_default();
        // `(a)` numbers a formula that has no a of its own.
        let lettered = matches!(inside, [t] if t.word().is_some_and(|w| w.len() == 1 && ("a"..="h").contains(&w))
            && line[close + 1..].iter().all(|o| o.word() != t.word()));
        let label = line.first().is_some_and(|t| t.is('(')) && (is_label(inside) || lettered);
        let cited = matches!(line.as_slice(), [open, n, shut, next, ..]
            if open.is('[') && number(n) && shut.is(']') && next.gap > Gap::None);
        let named = named_number(line);
        let n = match line.as_slice() {
            _ if named > 0 => named,
            _ if cited => 3,
            _ if label && line.get(close + 1).is_some_and(|d| d.gap > Gap::None) => close + 1,
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
        let operator = line[n]
            .sym()
            .is_some_and(|c| "*/^·×%=<>≤≥".contains(c) || "+-".contains(c) && line[n].gap < Gap::Wide);
        if !operator && line[n..].iter().any(|t| t.is('=') || t.is('<') || t.is('>')) {
            if n >= 3 && (!number(&line[1]) || line[n].gap < Gap::Wide) {
                self.remark(
                    span(&line[..n]),
                    "the number in brackets in front read as the equation's number",
                );
            }
            line.drain(..n);
        }
    }

    /// `(5)` after a formula.
    pub(super) fn number_after(&mut self, line: &mut Vec<Token>) {
        let Some(open) = line.iter().rposition(|t| t.is('(') || t.is('[')) else { return };
        let tail = &line[open..];
        let short = tail.len() >= 3 && tail.len() <= 5 && tail.last().is_some_and(|t| t.is(')') || t.is(']'));
        let number = tail.get(1..tail.len() - 1).is_some_and(is_label);
        let relation = line[..open].iter().any(|t| comparison(t).is_some());
        // Glued to the last letter it is a mark of citation, unless others are indices.
        let index = |t: &[Token]| t[0].is('[') && matches!(t[1].tok, Tok::Num(_, true)) && t[2].is(']');
        let cited = tail.len() == 3 && index(tail) && !line[..open].windows(3).any(index);
        let mark = cited
            && open > 1
            && (line[open - 1].word().is_some_and(is_axis)
                || line[open - 1].is(')')
                || line[open - 1].is('.'));
        let gap = if mark { line[open].gap.max(Gap::Blank) } else { line[open].gap };
        let glued = gap == Gap::None && open > 1 && matches!(line[open - 1].tok, Tok::Num(..));
        let counted = tail.len() == 3 && matches!(tail[1].tok, Tok::Num(..));
        if glued && counted && tail[0].is('(') && (line[open - 2].is('=') || line[open - 2].is('^')) {
            let (a, b) = (line[open - 1].shown(), tail[1].shown());
            let what =
                format!("{a}({b}) read as {a} times {b}; an equation's number stands apart, after a blank");
            self.remark(span(&line[open - 1..]), what);
        }
        // Where nothing compares, only a wide blank tells a number from a factor.
        let apart = gap > if relation { Gap::None } else { Gap::Thin };
        if !(short && number && apart) || open == 0 || ends_open(&line[..open]) {
            return;
        }
        let at = span(tail);
        if gap < Gap::Wide || !relation {
            self.remark(at, "the number in brackets at the end read as the equation's number");
        }
        line.truncate(open);
        while line.last().is_some_and(|t| t.is('…') || t.is('.') || t.is(',')) {
            line.pop();
        }
    }

    /// `= 0 (Schwarz P)`: a caption in brackets after a formula that ends in a number.
    pub(super) fn caption_after(&mut self, line: &mut Vec<Token>, known: &Known) {
        let Some(open) = line.iter().rposition(|t| t.is('(') || t.is('[')) else { return };
        let tail = &line[open..];
        let number = matches!(line[..open].last(), Some(Token { tok: Tok::Num(..), .. }));
        let related = line[..open].iter().any(|t| comparison(t).is_some());
        let closed = tail.len() > 2 && tail.last().is_some_and(|t| t.is(')') || t.is(']'));
        let words = tail.get(1..tail.len() - 1).unwrap_or_default();
        let speech = |t: &Token| !is_math(t, known) && t.word().is_some_and(|w| w.len() > 2);
        let adjective = |w: &str| ["ic", "al", "oid", "ous", "ular", "ing"].iter().any(|e| w.ends_with(e));
        let caption = |t: &Token| {
            t.word()
                .is_some_and(|w| CAPTIONS.contains(&w.to_lowercase().as_str()) || w.len() > 5 && adjective(w))
        };
        let spoken = words.iter().all(|t| t.word().is_none() || speech(t))
            && (words.len() > 1 || tail[0].is('[') || words.iter().any(caption));
        let wordy = words.iter().all(|t| t.word().is_some() || t.is('-') || t.is('\''))
            && words.iter().any(|t| !is_math(t, known) && t.word().is_some_and(|w| w.len() > 2));
        if !((number || spoken) && related && closed && wordy && tail[0].gap > Gap::None) {
            return;
        }
        self.remark(span(tail), "the words in brackets after the formula were left out");
        line.truncate(open);
    }

    /// Words in front of a formula.
    pub(super) fn words_before(&mut self, line: &mut Vec<Token>, known: &Known) {
        if let [first, _, be, next, ..] = line.as_slice()
            && matches!(first.word(), Some("Let" | "let"))
            && be.is_word("be")
            && next.word().is_some()
        {
            // `Let S be the surface …`
            line.drain(..3);
        }
        let mut n = aside_before(line, known);
        let mut strange = usize::from(n > 0);
        for (i, t) in line.iter().enumerate() {
            if i < n {
                continue;
            }
            if let [open, number, close, next, ..] = &line[i..]
                && strange > 0
                && n == i
                && matches!((open.sym(), close.sym()), (Some('('), Some(')')) | (Some('['), Some(']')))
                && matches!(number.tok, Tok::Num(..))
                && next.word().is_some()
                && (!is_math(next, known) || FILLER.contains(&next.shown().to_lowercase().as_str()))
            {
                // `from (3) we get …`
                n = i + 3;
                continue;
            }
            let Tok::Word(w, _) = &t.tok else {
                let dash = t.is('-')
                    && strange > 0
                    && t.gap > Gap::None
                    && line.get(i + 1).is_some_and(|n| n.gap > Gap::None);
                if (t.is(',')
                    || dash
                    || t.is('!') && strange > 0
                    || t.is(':')
                    || t.is('"')
                    || t.is('.')
                    || (t.is('-') || t.is('/'))
                        && strange > 0
                        && line.get(i + 1).is_some_and(|n| !is_math(n, known)))
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
                && !called
                && lower != "not";
            let slash =
                line.get(i + 1).is_some_and(|n| n.is('/')) && w.chars().count() > 3 && strange_word(t, known);
            let hyphen = (w.starts_with(char::is_uppercase) || slash)
                && matches!(line.get(i + 1..i + 3), Some([a, b])
                    if (a.is('-') || a.is('/')) && a.gap == Gap::None && b.gap == Gap::None && b.word().is_some() && !is_math(b, known));
            let operand =
                line.get(i + 1).is_some_and(|n| n.gap > Gap::None && (n.sym().is_none() || n.is('(')));
            // `Bifolia (x^2 + y^2)^2 = z`: no factor stands apart from its bracket and begins with a capital.
            let titled = w.starts_with(char::is_uppercase)
                && w.chars().count() > 3
                && !is_math(t, known)
                && line.get(i + 1).is_some_and(|n| n.gap > Gap::None && n.is('('));
            let caption = titled || CAPTIONS.contains(&lower.as_str()) && operand && !known.named.contains(w);
            let unknown = !is_math(t, known)
                && !super::parse::is_keyword(&lower)
                && lower != "return"
                && w.len() > 2
                && !called
                && !assigned
                && !PARTING.contains(&lower.as_str())
                && (next_word || strange > 0 || hyphen);
            // `Hey, can someone plot …`
            let greeting = w.len() > 1
                && !is_math(t, known)
                && line.get(i + 1).is_some_and(|n| n.is(','))
                && line.get(i + 2).is_some_and(|n| n.word().is_some() && !is_math(n, known));
            if !(filler || unknown || greeting || caption) {
                break;
            }
            strange += 1;
            n = i + 1;
        }
        if strange > 0 && n < line.len() {
            n = before_name(&line[..n], known);
            if n == 0 {
                return;
            }
            let at = span(&line[..n]);
            self.remark(at, "the words before the formula were left out");
            line.drain(..n);
            while line.first().is_some_and(|t| t.is(',') || t.is(':')) {
                line.remove(0);
            }
        } else if strange >= 2 {
            line.clear();
        }
    }

    /// `… is a hyperbolic paraboloid` behind an equation.
    pub(super) fn said_of(&mut self, line: &mut Vec<Token>, known: &Known) {
        let verbs = ["is", "are", "describes", "gives", "has", "represents", "defines", "yields", "was"];
        let verb = |t: &Token| verbs.iter().any(|w| t.is_word(w));
        let related = |t: &[Token]| t.iter().any(|t| comparison(t).is_some());
        let Some(k) = line.iter().position(verb).filter(|k| related(&line[..*k])) else { return };
        let article = line.get(k + 1).is_some_and(|t| ["a", "an", "the"].iter().any(|w| t.is_word(w)));
        if article && is_spoken(&line[k..], known) {
            self.remark(span(&line[k..]), "the words after the formula were left out");
            line.truncate(k);
        }
    }

    /// Words after a formula.
    pub(super) fn words_after(&mut self, line: &mut Vec<Token>, known: &Known) {
        if let Some(k) = in_dimensions(line) {
            self.remark(span(&line[k..]), "the words after the formula were left out");
            line.truncate(k);
        }
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
}

/// Where `in 3D` stands at the end of a line.
fn in_dimensions(line: &[Token]) -> Option<usize> {
    let k = line.iter().rposition(|t| t.is_word("in")).filter(|k| *k > 0 && !ends_open(&line[..*k]))?;
    let said: String = line[k + 1..].iter().map(Token::shown).collect();
    matches!(said.to_lowercase().as_str(), "2d" | "3d" | "2-d" | "3-d").then_some(k)
}

/// How many tokens a numbered heading in front takes: `Eq. 4.7`, `Example 3.`, `Fig. 2:`.
fn named_number(line: &[Token]) -> usize {
    let headings = [
        "eq", "eqn", "equation", "formula", "example", "fig", "figure", "exercise", "problem", "surface",
        "section",
    ];
    let Some(w) = line.first().and_then(Token::word) else { return 0 };
    let mut k = 1;
    while line.get(k).is_some_and(|t| t.is('.')) {
        k += 1;
    }
    let number =
        line.get(k).is_some_and(|t| matches!(t.tok, Tok::Num(x, _) if x < 1000.0) && t.gap > Gap::None);
    let heading = headings.contains(&w.to_lowercase().as_str()) && number;
    let mut to = k + 1;
    while line.get(to).is_some_and(|t| matches!(t.sym(), Some(':' | '.' | ','))) {
        to += 1;
    }
    let apart = line.get(to).is_some_and(|t| t.gap > Gap::None);
    if heading && apart {
        return to;
    }
    // `Equation (5.3) is …`
    match &line[1..] {
        [open, number, close, verb, next, ..]
            if headings.contains(&w.to_lowercase().as_str())
                && open.is('(')
                && matches!(number.tok, Tok::Num(..))
                && close.is(')')
                && ["is", "reads", "says", "gives"].iter().any(|v| verb.is_word(v))
                && next.gap > Gap::None =>
        {
            5
        }
        _ => 0,
    }
}

/// Whether what stands in brackets numbers an equation: `1`, `2.1`, `3a`, `Eq. 4`, `*`.
fn is_label(inside: &[Token]) -> bool {
    let digits = |t: &Token| matches!(t.tok, Tok::Num(x, whole) if x < 1000.0 && (whole || x >= 1.0));
    let letter = |t: &Token| {
        t.gap == Gap::None && t.word().is_some_and(|w| w.len() == 1 && w.is_ascii() && !is_axis(w))
    };
    match inside {
        [star] if star.is('*') => true,
        [eq, rest @ ..] if ["Eq", "eq", "Eqn", "eqn"].iter().any(|w| eq.is_word(w)) => {
            rest.iter().all(|t| digits(t) || t.is('.'))
        }
        [first, rest @ ..] => digits(first) && rest.iter().all(|t| digits(t) || t.is('.') || letter(t)),
        [] => false,
    }
}

/// How many of the words before a formula are words. The last is a name of the formula where it is nearly a function
/// (`sen`), or stands alone in small letters and is no word that captions have (`amp sin x`).
fn before_name(words: &[Token], known: &Known) -> usize {
    let Some(w) = words.last().and_then(Token::word) else { return words.len() };
    let lower = w.to_ascii_lowercase();
    let usual = FILLER.contains(&lower.as_str()) || CAPTIONS.contains(&lower.as_str());
    if usual || words.last().is_some_and(|t| is_math(t, known)) {
        return words.len();
    }
    let alone = words.len() == 1 && w.starts_with(char::is_lowercase);
    words.len() - usize::from(alone || functions::misspelt(w).is_some())
}

/// Whether tokens are words of speech alone, `the unit sphere`: they begin as such do, one is no name, and none is a
/// letter, which a component would hold.
pub(super) fn is_spoken(tokens: &[Token], known: &Known) -> bool {
    let words: Vec<String> = tokens
        .iter()
        .filter(|t| matches!(t.tok, Tok::Word(..)))
        .filter_map(|t| t.word().map(str::to_ascii_lowercase))
        .collect();
    let begins =
        words.first().is_some_and(|w| FILLER.contains(&w.as_str()) || CAPTIONS.contains(&w.as_str()));
    let numbers = tokens.iter().filter(|t| matches!(t.tok, Tok::Num(..))).count();
    tokens.len() > 1
        && words.len() + numbers == tokens.len()
        && (numbers == 0 || words.len() > 2)
        && begins
        && words.iter().all(|w| w.len() > 1 || w == "a")
        && tokens.iter().any(|t| !is_math(t, known) && t.word().is_some_and(|w| w.len() > 2))
}

/// Whether a word of some length belongs to speech.
fn strange_word(t: &Token, known: &Known) -> bool {
    t.word().is_some_and(|w| w.chars().count() > 3) && !is_math(t, known)
}

/// How many tokens an aside in brackets in front of a formula takes, `(words of speech) x = …`.
fn aside_before(line: &[Token], known: &Known) -> usize {
    let Some(close) = line.iter().position(|t| t.is(')')).filter(|k| *k > 2 && line[0].is('(')) else {
        return 0;
    };
    let inside = &line[1..close];
    let plain = |t: &Token| t.word().is_some() || t.is('-') || t.is('\'');
    let speech = inside.iter().filter(|t| strange_word(t, known)).count();
    let apart =
        line.get(close + 1).is_some_and(|t| t.gap > Gap::None && t.sym().is_none_or(|c| "|(√".contains(c)));
    if inside.iter().all(plain) && speech > 1 && apart { close + 1 } else { 0 }
}

/// Whether a word belongs to mathematics.
pub(super) fn is_math(t: &Token, known: &Known) -> bool {
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

pub(super) fn prose(lines: &[Vec<Token>], known: &Known) -> Option<ReadFault> {
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

fn dotted(t: &Token) -> bool {
    matches!(t.tok, Tok::Num(x, _) if (t.at.to - t.at.from) as usize > format!("{x}").len())
}

fn wordy(tokens: &[Token]) -> bool {
    // `[3]` cites, `[0, 1]` is a range.
    let cites = |k: usize| tokens[k].is('[') && tokens.get(k + 2).is_some_and(|t| t.is(']'));
    tokens.iter().enumerate().all(|(k, t)| {
        matches!(t.tok, Tok::Word(..) | Tok::Num(..))
            || matches!(t.sym(), Some('(' | ')' | '-' | '\'' | '.' | ',' | '&'))
            || cites(k)
            || k >= 2 && cites(k - 2)
    })
}

/// Whether what stands before a colon at the end of a line is words: `here's the code:`.
fn spoken(tokens: &[Token]) -> bool {
    wordy(tokens) && tokens.iter().any(|t| !is_math(t, &Known::default()))
}

/// A label before a colon goes; `x:` before a component becomes `x =`.
pub(super) fn label(line: &mut Vec<Token>) {
    if super::clauses::meant_by_colon(line).is_some() {
        return;
    }
    let Some(i) = outside(line, |_, t| t.is(':')).first().copied() else { return };
    if i == 1 && outside(line, |_, t| t.is('…') || t.is_word("to")).first().is_some_and(|k| *k > 2) {
        return;
    }
    if i > 0 && i + 1 == line.len() && spoken(&line[..i]) {
        return line.clear();
    }
    if i > 0 && i + 1 == line.len() {
        line.pop();
    }
    if i == 0 || i + 1 >= line.len() || line.iter().any(|t| t.is('?') || t.is('→')) {
        return;
    }
    let closed = super::objects::matching(line, 2).filter(|_| line[2].is('['));
    if i == 1 && closed.and_then(|k| line.get(k + 1)).is_some_and(|t| t.is(',')) {
        // `u: [0, 1], v: [0, 2π]`
        return;
    }
    if i == 1 && line[0].word().is_some_and(is_axis) {
        line[1].tok = Tok::Sym('=');
        return;
    }
    let interval = line[2..].iter().filter(|t| t.is(',')).count() == 1 && line[2].is('[');
    if i == 1 && interval && line.last().is_some_and(|t| t.is(']')) {
        // `t: [0, 4π]`
        line[1].tok = Tok::Sym('∈');
        return;
    }
    let wordy = wordy(&line[..i]);
    let ranged = line.get(1).is_some_and(|t| t.is('=')) || line[..i].iter().any(|t| t.is('='));
    if wordy && !ranged {
        line.drain(..=i);
    }
}

/// `(for a = 2) x^2 + a y = z`: a value in brackets in front stands as if before a comma.
pub(super) fn given_in_front(line: &mut Vec<Token>) {
    let [open, word, name, sign, ..] = line.as_slice() else { return };
    let words = ["for", "with", "where", "given", "let"];
    let given =
        open.is('(') && words.iter().any(|w| word.is_word(w)) && sign.is('=') && name.word().is_some();
    let close = line.iter().position(|t| t.is(')')).filter(|k| given && *k + 1 < line.len());
    if let Some(close) = close {
        line[close].tok = Tok::Sym(',');
        line.drain(..2);
    }
}

/// Values or ranges before a colon, `with a = 2: x^2 + a y^2 = z`, stand as if before a comma.
pub(super) fn given_before(line: &mut [Token]) {
    let [i] = outside(line, |_, t| t.is(':'))[..] else { return };
    if i == 0 || line.iter().any(|t| t.is('?') || t.is('→')) {
        return;
    }
    let after = &line[i + 1..];
    // `x = cos(t), y = sin(t), t: [0, 1]`: the colon belongs to the last name alone.
    let ranged = |from: usize| super::clauses::meant_by_colon(&line[from..]) == Some('∈');
    if i > 1 && line[i - 2].is(',') && ranged(i - 1) {
        return;
    }
    let given = !outside(&line[..i], |_, t| t.is('=') || t.is('∈') || t.is_word("in")).is_empty();
    let shape = is_list(after) || !outside(after, |_, t| comparison(t).is_some()).is_empty();
    if given && shape {
        line[i].tok = Tok::Sym(',');
    }
}
