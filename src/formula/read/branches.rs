//! Choices between statements in code become choices between values: `if (a) return b; return c;` as `return a ? b : c;`.

use super::lexer::MOST_TOKENS;
use super::objects::matching;
use super::style::Style;
use super::token::*;

/// The most choices that are written as values.
const MOST: usize = 64;

/// Code with those choices written as values that give or return one thing; others stay.
pub(super) fn as_values(tokens: Vec<Token>, style: Style) -> Vec<Token> {
    let mut tokens = tokens;
    if !style.code {
        return tokens;
    }
    let mut k = tokens.len();
    // The last first, so that what stands inside or after another is written before it.
    for _ in 0..MOST {
        let Some(i) = (0..k).rev().find(|i| is_if(&tokens[*i])) else { break };
        k = i;
        let written = match starts(&tokens, i) {
            true => statement(&tokens, i, style).or_else(|| braced_values(&tokens, i)),
            false => braced_values(&tokens, i),
        };
        if let Some((to, new)) = written {
            tokens.splice(i..to, new);
        }
        if tokens.len() > MOST_TOKENS {
            break;
        }
    }
    tokens
}

fn is_if(t: &Token) -> bool {
    t.is_word("if") || t.is_word("elif") || t.is_word("elseif")
}

/// Whether a statement begins at a place.
fn starts(tokens: &[Token], i: usize) -> bool {
    i == 0
        || matches!(tokens[i - 1].sym(), Some('\n' | '{' | '}' | ';' | ':'))
        || tokens[i - 1].is_word("else")
}

/// What one branch does.
enum Branch {
    /// Returns a value.
    Returns(Vec<Token>),
    /// Gives names values, each the tokens before the sign, the sign and the value.
    Assigns(Vec<(Vec<Token>, char, Vec<Token>)>),
}

type Written = (usize, Vec<Token>);

fn sign(like: &Token, c: char) -> Token {
    Token { tok: Tok::Sym(c), at: like.at, gap: Gap::Blank }
}

/// `((test) ? (yes) : (no))`.
fn choice(test: &[Token], yes: &[Token], no: &[Token]) -> Vec<Token> {
    let s = |c: char| sign(&test[0], c);
    [
        &[s('('), s('(')],
        test,
        &[s(')'), s('?'), s('(')],
        yes,
        &[s(')'), s(':'), s('(')],
        no,
        &[s(')'), s(')')],
    ]
    .concat()
}

/// The statement that begins with `if` at a place, written as values; where it ends, and what stands in its place.
fn statement(t: &[Token], i: usize, style: Style) -> Option<Written> {
    let (test, after) = test(t, i, style)?;
    let (yes, after) = branch(t, i, after, style)?;
    let (no, after) = otherwise(t, i, after, style)?;
    let mut out = Vec::new();
    match (yes, no) {
        (Branch::Returns(yes), Some(Branch::Returns(no))) => {
            out.push(Token { tok: Tok::Word("return".into(), true), ..t[i].clone() });
            out.extend(choice(test, &yes, &no));
            out.push(sign(&t[i], end(t, i)));
            Some((after, out))
        }
        (Branch::Returns(yes), None) => returned_after(t, after, test, &yes),
        (Branch::Assigns(yes), None) => assigned(t, i, test, yes, Vec::new()).map(|out| (after, out)),
        (Branch::Assigns(yes), Some(Branch::Assigns(no))) => {
            assigned(t, i, test, yes, no).map(|out| (after, out))
        }
        _ => None,
    }
}

/// How statements end around a place.
fn end(t: &[Token], i: usize) -> char {
    if t[i..].iter().any(|t| t.is(';')) { ';' } else { '\n' }
}

/// The test behind `if`, and the place after it.
fn test(t: &[Token], i: usize, style: Style) -> Option<(&[Token], usize)> {
    let colon = style.python && !t.get(i + 1..)?.iter().take_while(|t| !t.is('\n')).any(|t| t.is('{'));
    if colon {
        let mut depth = 0;
        let k = (i + 1..t.len()).find(|k| {
            match t[*k].sym() {
                Some('(' | '[') => depth += 1,
                Some(')' | ']') => depth -= 1,
                _ => {}
            }
            depth == 0 && t[*k].is(':')
        })?;
        return (k > i + 1).then(|| (&t[i + 1..k], k + 1));
    }
    if t.get(i + 1)?.is('(') {
        let close = matching(t, i + 1)?;
        let next = t.get(close + 1)?;
        // A function of three, `if(test, a, b)`, is a value already.
        let value = super::brackets::outside(&t[i + 2..close], |_, t| t.is(',')).len() == 2;
        let joined = next.sym().is_some_and(|c| "<>≤≥=≠∧∨+-*/".contains(c));
        if !value && !joined && close > i + 2 {
            return Some((&t[i + 2..close], close + 1));
        }
    }
    let k = i + 1 + t[i + 1..].iter().position(|t| t.is('{') || t.is(';') || t.is('\n'))?;
    (t[k].is('{') && k > i + 1).then(|| (&t[i + 1..k], k))
}

fn past_lines(t: &[Token], mut k: usize) -> usize {
    while t.get(k).is_some_and(|t| t.is('\n')) {
        k += 1;
    }
    k
}

/// How far a token that begins a line is set in.
fn column(t: &[Token], i: usize) -> u32 {
    let before = t[..i].iter().rposition(|t| t.is('\n')).map_or(0, |k| t[k].at.to);
    t[i].at.from.saturating_sub(before)
}

/// The statements of the branch that begins at a place, and the place after it.
fn branch(t: &[Token], head: usize, from: usize, style: Style) -> Option<(Branch, usize)> {
    let k = past_lines(t, from);
    let (body, after) = if t.get(k)?.is('{') {
        let close = matching(t, k)?;
        (&t[k + 1..close], close + 1)
    } else if style.python {
        let line_end = |k: usize| k + t[k..].iter().position(|t| t.is('\n')).unwrap_or(t.len() - k);
        let mut to = line_end(k);
        let inner = column(t, first_of_line(t, head));
        while k > from && to + 1 < t.len() && column(t, past_lines(t, to).min(t.len() - 1)) > inner {
            to = line_end(past_lines(t, to));
        }
        (&t[k..to], to)
    } else {
        let to = k + t[k..].iter().position(|t| t.is(';'))?;
        (&t[k..to], to + 1)
    };
    Some((of(body)?, after))
}

/// The token that begins the line of another.
fn first_of_line(t: &[Token], i: usize) -> usize {
    t[..i].iter().rposition(|t| t.is('\n')).map_or(0, |k| k + 1)
}

/// What statements do, if that is to return or to give values.
fn of(body: &[Token]) -> Option<Branch> {
    let mut assigns = Vec::new();
    for s in body.split(|t| t.is(';') || t.is('\n')).filter(|s| !s.is_empty()) {
        if s[0].is_word("return") {
            return (assigns.is_empty() && s.len() > 1).then(|| Branch::Returns(s[1..].to_vec()));
        }
        let at =
            s.iter().position(|t| matches!(t.sym(), Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO)))?;
        let target = &s[..at];
        let part = matches!(target, [_, dot, part] if dot.is('.') && part.word().is_some());
        if target.first()?.word().is_none() || !(target.len() == 1 || part) || at + 1 >= s.len() {
            return None;
        }
        assigns.push((target.to_vec(), s[at].sym()?, s[at + 1..].to_vec()));
    }
    (!assigns.is_empty()).then_some(Branch::Assigns(assigns))
}

/// The branch behind `else`, where there is one, and the place after it.
fn otherwise(t: &[Token], head: usize, from: usize, style: Style) -> Option<(Option<Branch>, usize)> {
    let k = past_lines(t, from);
    match t.get(k) {
        Some(word) if word.is_word("else") => {
            let body = k + 1 + usize::from(t.get(k + 1).is_some_and(|t| t.is(':')));
            let (no, after) = branch(t, head, body, style)?;
            Some((Some(no), after))
        }
        Some(word) if is_if(word) && !word.is_word("if") => None,
        _ => Some((None, from)),
    }
}

/// `if (a) return b;` before statements that end with `return c;`: the choice is returned there.
fn returned_after(t: &[Token], after: usize, test: &[Token], yes: &[Token]) -> Option<Written> {
    let mut depth = 0;
    let to = (after..t.len()).find(|k| {
        match t[*k].sym() {
            Some('{' | '(' | '[') => depth += 1,
            Some('}' | ')' | ']') => depth -= 1,
            _ => {}
        }
        depth < 0
    });
    let to = to.unwrap_or(t.len());
    let rest = &t[after..to];
    let back = rest.iter().position(|t| t.is_word("return"))?;
    let stop = back
        + rest[back..]
            .iter()
            .position(|t| t.is(';'))
            .unwrap_or_else(|| rest[back..].iter().position(|t| t.is('\n')).unwrap_or(rest.len() - back));
    let steers = ["if", "for", "while", "else", "elif"];
    let before = &rest[..back];
    let named = |w: &[Token]| {
        let given = matches!(w[1].sym(), Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO | '.'));
        given && w[0].word().is_some() && test.iter().chain(yes).any(|t| t.word() == w[0].word())
    };
    let changed = before.windows(2).any(named);
    if before.iter().any(|t| steers.iter().any(|w| t.is_word(w))) || changed || stop < back + 2 {
        return None;
    }
    let mut out = before.to_vec();
    out.push(rest[back].clone());
    out.extend(choice(test, yes, &rest[back + 1..stop]));
    out.extend_from_slice(&rest[stop..]);
    Some((to, out))
}

type Assigned = (Vec<Token>, char, Vec<Token>);

/// Assignments of one or both branches as assignments of choices; a name that the test uses may only be given last.
fn assigned(
    t: &[Token],
    i: usize,
    test: &[Token],
    yes: Vec<Assigned>,
    no: Vec<Assigned>,
) -> Option<Vec<Token>> {
    let words = |target: &[Token]| target.iter().filter_map(Token::word).collect::<Vec<_>>().join(".");
    let mut targets: Vec<Vec<Token>> = Vec::new();
    for (target, ..) in yes.iter().chain(&no) {
        if !targets.iter().any(|t| words(t) == words(target)) {
            targets.push(target.clone());
        }
    }
    let twice = |all: &[Assigned]| {
        all.iter().enumerate().any(|(k, a)| all[..k].iter().any(|b| b.0[0].word() == a.0[0].word()))
    };
    let used = |target: &[Token]| test.iter().any(|t| t.word() == target[0].word());
    let early = targets.iter().rev().skip(1).any(|t| used(t));
    if twice(&yes) || twice(&no) || early {
        return None;
    }
    // A value may use what another branch gives a name only before that is given.
    let reads = |value: &[Token], target: &[Token]| value.iter().any(|t| t.word() == target[0].word());
    let crossed = |all: &[Assigned]| {
        all.iter().enumerate().any(|(k, (_, _, value))| all[..k].iter().any(|(n, ..)| reads(value, n)))
    };
    if targets.len() > 1 && !no.is_empty() && (crossed(&yes) || crossed(&no)) {
        return None;
    }
    let value = |all: &[Assigned], target: &[Token]| match all.iter().find(|a| words(&a.0) == words(target)) {
        None => target.to_vec(),
        Some((_, '=', value)) => value.clone(),
        Some((_, op, value)) => {
            let c = match *op {
                ADD_TO => '+',
                TAKE_FROM => '-',
                TIMES_TO => '*',
                _ => '/',
            };
            let s = |c: char| sign(&target[0], c);
            [target, &[s(c), s('(')], value, &[s(')')]].concat()
        }
    };
    let mut out = Vec::new();
    for target in &targets {
        out.extend(target.iter().cloned());
        out.push(sign(&t[i], '='));
        out.extend(choice(test, &value(&yes, target), &value(&no, target)));
        out.push(sign(&t[i], end(t, i)));
    }
    Some(out)
}

/// `if a { b } else { c }`, which is a value itself.
fn braced_values(t: &[Token], i: usize) -> Option<Written> {
    let open = i + 1 + t[i + 1..].iter().position(|t| t.is('{') || t.is(';') || t.is('\n') || t.is(':'))?;
    if !t[open].is('{') || open == i + 1 {
        return None;
    }
    let close = matching(t, open)?;
    let other = past_lines(t, close + 1);
    let last = past_lines(t, other + 1);
    if !t.get(other)?.is_word("else") {
        return None;
    }
    let plain = |s: &[Token]| {
        !s.is_empty() && !s.iter().any(|t| t.is(';') || t.is('=') || t.is_word("return") || t.is('{'))
    };
    let strip = |s: &[Token]| s.iter().filter(|t| !t.is('\n')).cloned().collect::<Vec<_>>();
    let yes = strip(&t[open + 1..close]);
    // What stands behind `else` may be a choice that was written already.
    let (no, after) = match t.get(last)? {
        brace if brace.is('{') => {
            let end = matching(t, last)?;
            (strip(&t[last + 1..end]), end + 1)
        }
        bracket if bracket.is('(') => {
            let end = matching(t, last)?;
            (t[last..=end].to_vec(), end + 1)
        }
        _ => return None,
    };
    (plain(&yes) && plain(&no)).then(|| (after, choice(&t[i + 1..open], &yes, &no)))
}

#[cfg(test)]
mod tests {
    use crate::formula::read;

    const AT: [f64; 3] = [0.3, -0.7, 1.1];

    fn value(text: &str) -> f64 {
        let r = read(text).unwrap_or_else(|f| panic!("{text}: {f}"));
        assert!(r.free.is_empty(), "{text}: {:?}", r.free);
        r.at(&AT, &[]).unwrap()[0]
    }

    #[test]
    fn choices_between_statements_are_values() {
        let [x, y, z] = AT;
        for (text, want) in [
            ("float f(vec3 p){ if (p.x < 0.0) return p.y - p.z; return p.x + p.z; }", x + z),
            ("float f(vec3 p){ if (p.x > 0.0) { return p.y; } else { return p.z; } }", y),
            ("float f(vec3 p){ if (p.x < 0.) return p.y; if (p.y < 0.) return p.z; return p.x; }", z),
            (
                "float f(vec3 p){ if (p.x < 0.) return p.y; else if (p.y < 0.) return p.z; else return p.x; }",
                z,
            ),
            ("float f(vec3 p){ float r = p.y; if (r < 0.0) r = -r; return r - p.z; }", -y - z),
            ("float f(vec3 p){ if (p.y < 0.0) p.y = -p.y; return p.x + p.y; }", x - y),
            ("float f(vec3 p){ float d; if (p.y > 0.0) d = p.x; else d = p.z; return d; }", z),
            ("float f(vec3 p){ float d = 1.0; if (p.x > 0.0) d += p.y; return d; }", 1.0 + y),
            ("def f(x,y,z):\n    if x < 0:\n        return y\n    return x*x - z", x * x - z),
            (
                "def f(x,y,z):\n    if x < 0:\n        return y\n    elif y < 0:\n        return z\n    else:\n        return x",
                z,
            ),
            (
                "def f(x,y,z):\n    if x > 0 and y > 0:\n        d = x\n    else:\n        d = y\n    return d - z",
                y - z,
            ),
            (
                "fn f(x: f64, y: f64, z: f64) -> f64 { let m = if x > 0.0 { 1.0 } else { -1.0 }; m*y - z }",
                y - z,
            ),
            ("float f(vec3 p){ if (p.x+p.y < 0.) p.xy = -p.yx; return p.x + 2.*p.y; }", -y - 2.0 * x),
        ] {
            assert!((value(text) - want).abs() < 1e-12, "{text}: {} for {want}", value(text));
        }
    }

    #[test]
    fn choices_that_do_more_are_refused() {
        for text in [
            "float f(vec3 p){ if (p.x > 0.0) { float t = p.x; p.x = p.y; p.y = t; } return p.x; }",
            "float f(vec3 p){ if (p.x > 0.0) return p.y; p.x = 2.0; return p.x; } float g(){ if (x) { } }",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
