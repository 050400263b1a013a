//! Loops over a few whole numbers, `for k in range(1, 4)`, become the statements that they stand for.

use std::collections::BTreeMap;

use super::faults::Span;
use super::lexer::MOST_TOKENS;
use super::objects::matching;
use super::style::Style;
use super::token::*;

/// The most rounds of a loop that is written out.
const MOST_ROUNDS: usize = 64;

/// A loop: the name that counts, its values, where its body stands and where the text goes on.
struct Loop {
    name: String,
    values: Vec<f64>,
    body: (usize, usize),
    end: usize,
}

/// Code with its loops written out, and what is to be said of each; a loop that does more than repeat statements over
/// constants stays.
pub(super) fn unrolled(tokens: Vec<Token>, style: Style) -> (Vec<Token>, Vec<(Span, String)>) {
    let (mut tokens, mut said) = (tokens, BTreeMap::new());
    if !style.code {
        return (without_head(tokens), Vec::new());
    }
    let mut k = tokens.len();
    // The last loop first, so that one inside another is written out before it.
    while let Some(i) = (0..k).rev().find(|i| tokens[*i].is_word("for") && starts(&tokens, *i)) {
        k = i;
        let Some(found) = counted(&tokens, i).or_else(|| ranged(&tokens, i)) else { continue };
        let Some(rounds) = rounds(&tokens, &found) else { continue };
        let what = format!("the loop over {} was written out", found.name);
        said.insert(tokens[i].at.from, (tokens[i].at, what));
        tokens.splice(i..found.end, rounds);
        if tokens.len() > MOST_TOKENS {
            break;
        }
    }
    (tokens, said.into_values().collect())
}

/// `for t in [0, 2π]:` before components as a line with the range.
fn without_head(mut tokens: Vec<Token>) -> Vec<Token> {
    let headed = matches!(tokens.as_slice(), [word, name, sign, open, ..]
        if word.is_word("for") && name.word().is_some() && (sign.is_word("in") || sign.is('∈')) && open.is('['));
    let close = if headed { matching(&tokens, 3) } else { None };
    if let Some(close) = close.filter(|k| tokens.get(k + 1).is_some_and(|t| t.is(':')))
        && tokens[4..close].iter().filter(|t| t.is(',')).count() == 1
    {
        tokens[close + 1].tok = Tok::Sym('\n');
        tokens.remove(0);
    }
    tokens
}

/// Whether a statement begins at a place.
fn starts(tokens: &[Token], i: usize) -> bool {
    i == 0 || matches!(tokens[i - 1].sym(), Some('\n' | '{' | '}' | ';' | ':'))
}

/// The body once for each value, which stands in place of the name.
fn rounds(tokens: &[Token], found: &Loop) -> Option<Vec<Token>> {
    let body = &tokens[found.body.0..found.body.1];
    let steers = ["if", "for", "while", "break", "continue", "return", "else"];
    let own = |w: &[Token]| {
        w[0].is_word(&found.name) && matches!(w[1].sym(), Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO))
    };
    if body.iter().any(|t| steers.iter().any(|w| t.is_word(w))) || body.windows(2).any(own) {
        return None;
    }
    let mut out = Vec::new();
    for value in &found.values {
        for (k, t) in body.iter().enumerate() {
            let member = k > 0 && body[k - 1].is('.');
            if t.is_word(&found.name) && !member {
                let number = Token { tok: Tok::Num(value.abs(), true), ..t.clone() };
                let sign = |c: char| Token { tok: Tok::Sym(c), ..t.clone() };
                match *value < 0.0 {
                    true => out.extend([sign('('), sign('-'), number, sign(')')]),
                    false => out.push(number),
                }
            } else {
                out.push(t.clone());
            }
        }
        let at = tokens[found.body.0].at;
        out.push(Token { tok: Tok::Sym('\n'), at, gap: Gap::None });
        if out.len() > MOST_TOKENS {
            return None;
        }
    }
    // The line after a body that was set in keeps its own indent.
    if out.len() > 1 && tokens.get(found.end).is_some_and(|t| t.is('\n')) {
        out.pop();
    }
    Some(out)
}

/// `for (int i = 1; i <= 3; i++) { … }`, or with one statement.
fn counted(tokens: &[Token], i: usize) -> Option<Loop> {
    let open = i + 1;
    let close = matching(tokens, open).filter(|_| tokens[open].is('('))?;
    let mut parts = tokens[open + 1..close].split(|t| t.is(';'));
    let (first, test, step) = (parts.next()?, parts.next()?, parts.next()?);
    // A type may stand before the name.
    let equals = first.iter().position(|t| t.is('=')).filter(|k| (1..=2).contains(k))?;
    let name = first[equals - 1].word()?.to_owned();
    let start = whole(&first[equals + 1..])?;
    let [tested, sign, end @ ..] = test else { return None };
    let end = whole(end).filter(|_| tested.is_word(&name))?;
    let by = by_one(step, &name)?;
    let goes_on = |v: f64| match sign.sym() {
        Some('<') => v < end,
        Some('≤') => v <= end,
        Some('>') => v > end,
        Some('≥') => v >= end,
        _ => false,
    };
    let values = counting(start, by, goes_on)?;
    let mut from = close + 1;
    while tokens.get(from)?.is('\n') {
        from += 1;
    }
    if tokens[from].is('{') {
        let to = matching(tokens, from)?;
        return Some(Loop { name, values, body: (from + 1, to), end: to + 1 });
    }
    let to = from + tokens[from..].iter().position(|t| t.is(';'))? + 1;
    Some(Loop { name, values, body: (from, to), end: to })
}

/// `i++`, `++i`, `i += 2` and their like: what is added in each round.
fn by_one(step: &[Token], name: &str) -> Option<f64> {
    match step {
        [n, a, b] | [a, b, n] if n.is_word(name) && a.is('+') && b.is('+') => Some(1.0),
        [n, a, b] | [a, b, n] if n.is_word(name) && a.is('-') && b.is('-') => Some(-1.0),
        [n, op, by @ ..] if n.is_word(name) && op.is(ADD_TO) => whole(by),
        [n, op, by @ ..] if n.is_word(name) && op.is(TAKE_FROM) => whole(by).map(|x| -x),
        _ => None,
    }
}

/// `for k in range(1, 4): …`, its body on the line or on lines set in further.
fn ranged(tokens: &[Token], i: usize) -> Option<Loop> {
    let [_, name, word, range, open, ..] = &tokens[i..] else { return None };
    if !(word.is_word("in") && range.is_word("range") && open.is('(')) {
        return None;
    }
    let name = name.word()?.to_owned();
    let close = matching(tokens, i + 4)?;
    let ends: Option<Vec<f64>> = tokens[i + 5..close].split(|t| t.is(',')).map(whole).collect();
    let (from, to, by) = match ends?.as_slice() {
        [to] => (0.0, *to, 1.0),
        [from, to] => (*from, *to, 1.0),
        [from, to, by] => (*from, *to, *by),
        _ => return None,
    };
    let values = counting(from, by, |v| if by > 0.0 { v < to } else { v > to })?;
    let body = close + 2;
    let colon = tokens.get(close + 1).is_some_and(|t| t.is(':'));
    let line_end = |k: usize| k + tokens[k..].iter().position(|t| t.is('\n')).unwrap_or(tokens.len() - k);
    if !colon || body >= tokens.len() {
        return None;
    }
    if !tokens[body].is('\n') {
        let end = line_end(body);
        return Some(Loop { name, values, body: (body, end), end });
    }
    let inner = column(tokens, i);
    let mut end = body;
    while end + 1 < tokens.len() && (tokens[end + 1].is('\n') || column(tokens, end + 1) > inner) {
        end = line_end(end + 1);
    }
    (end > body + 1).then_some(Loop { name, values, body: (body, end), end })
}

/// How far a token that begins a line is set in.
fn column(tokens: &[Token], i: usize) -> u32 {
    let before = tokens[..i].iter().rposition(|t| t.is('\n')).map_or(0, |k| tokens[k].at.to);
    tokens[i].at.from.saturating_sub(before)
}

/// The values that a loop counts through, if they are few and end.
fn counting(start: f64, by: f64, goes_on: impl Fn(f64) -> bool) -> Option<Vec<f64>> {
    let mut out = Vec::new();
    let mut v = start;
    while goes_on(v) {
        out.push(v);
        v += by;
        if out.len() > MOST_ROUNDS || by == 0.0 {
            return None;
        }
    }
    (!out.is_empty()).then_some(out)
}

/// A whole number with its sign.
fn whole(tokens: &[Token]) -> Option<f64> {
    let x = |t: &Token| match t.tok {
        Tok::Num(x, true) => Some(x),
        _ => None,
    };
    match tokens {
        [n] => x(n),
        [minus, n] if minus.is('-') => x(n).map(|x| -x),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::formula::read;

    fn value(text: &str, place: [f64; 3]) -> f64 {
        let r = read(text).unwrap_or_else(|f| panic!("{text}: {f}"));
        assert!(r.remarks.iter().any(|m| m.what.contains("written out")), "{text}: {:?}", r.remarks);
        r.at(&place, &[]).unwrap()[0]
    }

    #[test]
    fn loops_over_constants_are_written_out() {
        let [x, y, z] = [0.3f64, -0.7, 1.1];
        let waves = (1..4).map(|k| (f64::from(k) * x).sin() / f64::from(k)).sum::<f64>() - z;
        let folded = [x, y, z].map(|v| (0..3).fold(v, |v, _| v.abs() - 0.5));
        let grid: f64 =
            (1..3).map(|k| (1..3).map(|j| f64::from(k) * x * f64::from(j) * y).sum::<f64>()).sum();
        let cases = [
            (
                "float f(vec3 p){ float d=0.; for(int i=1;i<=3;i++){ d += sin(float(i)*p.x)/float(i); } return d-p.z; }",
                waves,
            ),
            (
                "def f(x,y,z):\n    s = 0\n    for k in range(1,4):\n        s += np.sin(k*x)/k\n    return s - z",
                waves,
            ),
            (
                "def f(x,y,z):\n    s = 0\n    for k in range(3, 0, -1): s += np.sin(k*x)/k\n    return s - z",
                waves,
            ),
            (
                "float map(vec3 p){ for(int i=0;i<3;i++) p = abs(p) - 0.5; return length(p); }",
                folded.iter().map(|v| v * v).sum::<f64>().sqrt(),
            ),
            (
                "def f(x,y,z):\n    s = 0\n    for k in range(1,3):\n        for j in range(1,3):\n            s += k*x*j*y\n    return s",
                grid,
            ),
        ];
        for (text, want) in cases {
            let got = value(text, [x, y, z]);
            assert!((got - want).abs() < 1e-12, "{text}: {got} for {want}");
        }
    }

    #[test]
    fn loops_that_do_more_are_refused() {
        for text in [
            "float map(vec3 p){ for(int i=0;i<3;i++){ if (p.x<0.) p.x = -p.x; } return length(p); }",
            "def f(x,y,z):\n    s = 0\n    for k in range(1,400):\n        s += k*x\n    return s - z",
            "float map(vec3 p){ float d=0.; for(int i=0;i<3;i--){ d += p.x; } return d; }",
        ] {
            assert!(read(text).unwrap_err().what.starts_with("for: loops"), "{text}");
        }
    }
}
