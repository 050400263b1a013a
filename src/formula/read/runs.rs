//! Loops that run over the parameter of a curve, `for t in np.linspace(0, 6, 100):`, become the curve and its range.

use super::brackets::{between_commas, outside};
use super::clauses::is_axis;
use super::code::is_type;
use super::faults::Span;
use super::objects::matching;
use super::token::*;

/// A loop over a parameter.
struct Run {
    name: Token,
    low: Vec<Token>,
    high: Vec<Token>,
    /// Where its body stands.
    body: (usize, usize),
    /// Where the text goes on.
    end: usize,
}

/// Code with such loops taken off their bodies, each with its range on a line behind it, and what is to be said of each.
/// A loop stays that adds up, chooses or does anything but give coordinates values.
pub(super) fn unrolled(mut tokens: Vec<Token>) -> (Vec<Token>, Vec<(Span, String)>) {
    let mut said = Vec::new();
    let mut k = tokens.len();
    while let Some(i) = (0..k).rev().find(|i| tokens[*i].is_word("for") && starts(&tokens, *i)) {
        k = i;
        let Some(run) = ranged(&tokens, i).or_else(|| counted(&tokens, i)) else { continue };
        let Some(body) = components(&tokens[run.body.0..run.body.1]) else { continue };
        said.push((tokens[i].at, format!("the loop read as the range of {}", run.name.shown())));
        let sign = |c: char| Token { tok: Tok::Sym(c), at: run.name.at, gap: Gap::None };
        let range = [
            &[sign('\n'), run.name.clone(), sign('∈'), sign('[')],
            &run.low[..],
            &[sign(',')],
            &run.high[..],
            &[sign(']'), sign('\n')],
        ];
        let written = [body, range.concat()].concat();
        let before = without_empty_lists(&tokens[..i]);
        k = before.len();
        tokens = [before, written, tokens[run.end..].to_vec()].concat();
    }
    (tokens, said)
}

fn starts(tokens: &[Token], i: usize) -> bool {
    i == 0 || matches!(tokens[i - 1].sym(), Some('\n' | '{' | '}' | ';'))
}

/// The code without `points = []` and `xs, ys = [], []`, lists that a loop fills.
fn without_empty_lists(tokens: &[Token]) -> Vec<Token> {
    let mut out = Vec::new();
    for line in tokens.split_inclusive(|t| matches!(t.sym(), Some('\n' | ';'))) {
        let sign = line.iter().position(|t| t.is('='));
        let empty = |t: &Token| matches!(t.sym(), Some('[' | ']' | ',' | ';' | '\n'));
        let filled =
            sign.is_none_or(|k| !line[k + 1..].iter().all(empty) || !line[k + 1..].iter().any(|t| t.is('[')));
        if filled {
            out.extend_from_slice(line);
        }
    }
    out
}

/// `for t in linspace(0, 6, 100): …`
fn ranged(tokens: &[Token], i: usize) -> Option<Run> {
    let [_, name, word, range, ..] = tokens.get(i..)? else { return None };
    let spaced = |k: usize| tokens[k].is_word("linspace") || tokens[k].is_word("arange");
    // The values may have a name of their own.
    let given = |k: &usize| tokens[*k].word() == range.word() && tokens[k + 1].is('=') && spaced(k + 2);
    let from = if spaced(i + 3) { i + 3 } else { (0..i.saturating_sub(2)).rev().find(given)? + 2 };
    let open = tokens.get(from + 1).filter(|t| t.is('(') && word.is_word("in"))?;
    let close = matching(tokens, from + 1).filter(|_| name.word().is_some() && open.gap == Gap::None)?;
    let ends: Vec<&[Token]> = parts(&tokens[from + 2..close]);
    let close = if from == i + 3 { close } else { i + 3 };
    let (low, high) = match ends.as_slice() {
        [low, high] | [low, high, _] => (low.to_vec(), high.to_vec()),
        _ => return None,
    };
    let body = close + 2;
    if !tokens.get(close + 1)?.is(':') || body >= tokens.len() {
        return None;
    }
    let line_end = |k: usize| k + tokens[k..].iter().position(|t| t.is('\n')).unwrap_or(tokens.len() - k);
    let inner = column(tokens, i);
    let mut end = line_end(body);
    while end + 1 < tokens.len() && (tokens[end + 1].is('\n') || column(tokens, end + 1) > inner) {
        end = line_end(end + 1);
    }
    Some(Run { name: name.clone(), low, high, body: (body, end), end })
}

/// How far a token that begins a line is set in.
fn column(tokens: &[Token], i: usize) -> u32 {
    let before = tokens[..i].iter().rposition(|t| t.is('\n')).map_or(0, |k| tokens[k].at.to);
    tokens[i].at.from.saturating_sub(before)
}

/// `for (let t = 0; t < 6; t += 0.01) { … }`
fn counted(tokens: &[Token], i: usize) -> Option<Run> {
    let open = i + 1;
    let close = matching(tokens, open).filter(|_| tokens[open].is('('))?;
    let mut heads = tokens[open + 1..close].split(|t| t.is(';'));
    let (first, test, step) = (heads.next()?, heads.next()?, heads.next()?);
    let equals = first.iter().position(|t| t.is('=')).filter(|k| (1..=2).contains(k))?;
    let name = first[equals - 1].clone();
    let word = name.word()?;
    let below = test.get(1).is_some_and(|t| t.is('<') || t.is('≤')) && test[0].is_word(word);
    let whole = |t: &Token| matches!(t.tok, Tok::Num(_, true));
    let grows = matches!(step, [n, op, by @ ..] if n.is_word(word) && op.is(ADD_TO) && !by.iter().all(whole));
    let start = close + 1 + tokens[close + 1..].iter().position(|t| !t.is('\n'))?;
    if !(below && grows && tokens[start].is('{')) {
        return None;
    }
    let to = matching(tokens, start)?;
    let (low, high) = (first[equals + 1..].to_vec(), test[2..].to_vec());
    Some(Run { name, low, high, body: (start + 1, to), end: to + 1 })
}

/// The statements of a loop, if they only give names values and among them two coordinates or a list of components; a
/// coordinate that is added to a list, `xs.append(e)`, is given that value.
fn components(body: &[Token]) -> Option<Vec<Token>> {
    let steers = ["if", "while", "break", "continue", "return", "else"];
    if body.iter().any(|t| steers.iter().any(|w| t.is_word(w))) {
        return None;
    }
    let mut out: Vec<Token> = Vec::new();
    let (mut axes, mut lists) = (0, 0);
    for s in statements(body) {
        let sign = |c: char| Token { tok: Tok::Sym(c), at: s[0].at, gap: Gap::None };
        let equals = outside(s, |_, t| t.is('=') || t.is('∈')).first().copied();
        match (equals, added(s)) {
            (Some(k), _) if k > 0 => {
                let name = s[k - 1].word()?;
                let range = s[k].is('∈');
                // A value that comes from the one before adds up over the rounds.
                if k > 2 || !range && s[k + 1..].iter().any(|t| t.is_word(name)) {
                    return None;
                }
                axes += usize::from(is_axis(name) && !range);
                out.extend_from_slice(s);
            }
            (_, Some((name, value))) => {
                let coordinate = name.word().and_then(|w| w.chars().next()).filter(|c| "xyzXYZ".contains(*c));
                let point = value.first().is_some_and(|t| t.word().is_some_and(is_type));
                let value = if point { &value[1..] } else { value };
                let named = |t: &Token| t.sym().is_some() || t.word().is_some_and(is_axis);
                if value.iter().all(named) {
                    continue;
                }
                match (coordinate, is_bracketed(value)) {
                    (Some(c), false) => {
                        axes += 1;
                        let axis = Tok::Word(c.to_lowercase().to_string(), true);
                        out.extend([Token { tok: axis, ..name.clone() }, sign('=')]);
                        out.extend_from_slice(value);
                    }
                    (_, true) => {
                        lists += 1;
                        out.extend_from_slice(value);
                    }
                    _ => return None,
                }
            }
            _ if is_bracketed(s) => {
                lists += 1;
                out.extend_from_slice(s);
            }
            _ => return None,
        }
        out.push(sign('\n'));
    }
    (axes >= 2 && lists == 0 || lists == 1 && axes == 0).then_some(out)
}

/// Whether tokens are one bracket with three parts.
fn is_bracketed(value: &[Token]) -> bool {
    let opens = value.first().is_some_and(|t| t.is('(') || t.is('['));
    opens && matching(value, 0) == Some(value.len() - 1) && parts(&value[1..value.len() - 1]).len() == 3
}

/// What `points.append(e)` or `points.push(e)` adds to which name.
fn added(s: &[Token]) -> Option<(&Token, &[Token])> {
    let [name, dot, call, open, ..] = s else { return None };
    let adds = ["append", "push", "push_back"].iter().any(|w| call.is_word(w));
    let close = matching(s, 3).filter(|k| open.is('(') && *k + 1 == s.len())?;
    (dot.is('.') && adds).then(|| (name, &s[4..close]))
}

fn statements(body: &[Token]) -> Vec<&[Token]> {
    let mut out = Vec::new();
    let mut from = 0;
    for k in outside(body, |_, t| matches!(t.sym(), Some('\n' | ';'))).into_iter().chain([body.len()]) {
        out.push(&body[from..k]);
        from = k + 1;
    }
    out.retain(|s| !s.is_empty());
    out
}

fn parts(tokens: &[Token]) -> Vec<&[Token]> {
    let mut out = between_commas(tokens);
    out.retain(|p| !p.is_empty());
    out
}
