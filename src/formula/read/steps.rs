//! Steps of code in all their writings become plain assignments: `r **= 2`, `a++`, `a = b = 2`, `x, y = y, x`.

use super::brackets::outside;
use super::faults::{FaultClass, Read, fault};
use super::lines::ends_open;
use super::objects::matching;
use super::style::Style;
use super::token::*;

/// Code with its steps written as `name = value`.
///
/// # Errors
/// A step that works on bits, or one inside a value.
pub(super) fn plain(tokens: Vec<Token>, style: Style) -> Read<Vec<Token>> {
    if !style.code {
        return Ok(if style.tex { tokens } else { renewed(tokens) });
    }
    let mut out = Vec::with_capacity(tokens.len());
    let parts = if tokens.iter().any(|t| t.is(';')) { ';' } else { '\n' };
    let (mut depth, mut i) = (0_i32, 0);
    while i < tokens.len() {
        if depth == 0 && begins(&tokens, i) {
            let to = end(&tokens, i);
            let statement = &tokens[i..to];
            let single = match stepped(statement) {
                None => augmented(statement, style)?,
                found => found,
            };
            let alone = i == 0 || !(tokens[i - 1].is(')') || tokens[i - 1].is(':'));
            let several = || chained(statement, parts).or_else(|| listed(statement, parts));
            if let Some(new) = single.or_else(|| alone.then(several).flatten()) {
                out.extend(new);
                i = to;
                continue;
            }
            if style.c_like {
                inner_step(statement)?;
            }
        }
        given_out(&tokens[i..])?;
        match tokens[i].sym() {
            Some('(' | '[') => depth += 1,
            Some(')' | ']') => depth -= 1,
            _ => {}
        }
        out.push(tokens[i].clone());
        i += 1;
    }
    Ok(out)
}

/// Whether a statement may begin at a place: behind the end of another, a brace, or the head of a loop or choice.
fn begins(tokens: &[Token], i: usize) -> bool {
    let named = tokens[i].word().is_some() || tokens[i].is('+') || tokens[i].is('-') || tokens[i].is('[');
    named && (i == 0 || matches!(tokens[i - 1].sym(), Some('\n' | ';' | '{' | '}' | ':' | ')')))
}

/// Where the statement that begins at a place ends.
pub(super) fn end(tokens: &[Token], from: usize) -> usize {
    let mut depth = 0;
    for (k, t) in tokens.iter().enumerate().skip(from) {
        match t.sym() {
            Some('(' | '[') => depth += 1,
            Some(')' | ']') => depth -= 1,
            Some(';' | '{' | '}') if depth <= 0 => return k,
            Some('\n') if depth <= 0 && !ends_open(&tokens[from..k]) => return k,
            _ => {}
        }
        if depth < 0 {
            return k;
        }
    }
    tokens.len()
}

fn sign(like: &Token, c: char) -> Token {
    Token { tok: Tok::Sym(c), at: like.at, gap: Gap::Blank }
}

/// How many tokens the name or the part of a vector takes that a statement begins with.
fn target(s: &[Token]) -> Option<usize> {
    match s {
        [name, dot, part, ..] if dot.is('.') => (name.word().is_some() && part.word().is_some()).then_some(3),
        [name, ..] => name.word().map(|_| 1),
        [] => None,
    }
}

/// Two signs glued together, `++` or `--`.
fn doubled(a: &Token, b: &Token) -> Option<char> {
    let c = a.sym().filter(|c| matches!(c, '+' | '-'))?;
    (b.is(c) && b.gap == Gap::None).then_some(c)
}

/// `a++`, `--p.x` as `a = a + 1`, `p.x = p.x - 1`.
fn stepped(s: &[Token]) -> Option<Vec<Token>> {
    let (name, c) = match s {
        [a, b, name @ ..] if doubled(a, b).is_some() => (name, doubled(a, b)?),
        [name @ .., a, b] => (name, doubled(a, b)?),
        _ => return None,
    };
    if target(name)? != name.len() {
        return None;
    }
    let one = Token { tok: Tok::Num(1.0, true), ..sign(&s[0], ' ') };
    let first = Token { gap: s[0].gap, ..name[0].clone() };
    Some([&[first], &name[1..], &[sign(&s[0], '=')], name, &[sign(&s[0], c), one]].concat())
}

/// `r **= 2`, `a //= b`, `a %= b` as `r = r ** (2)` and so on.
fn augmented(s: &[Token], style: Style) -> Read<Option<Vec<Token>>> {
    let Some(k) = target(s) else { return Ok(None) };
    let [op, equals, value @ ..] = &s[k..] else { return Ok(None) };
    if equals.gap > Gap::None || value.is_empty() {
        return Ok(None);
    }
    let power = op.is('^') && (op.at.to - op.at.from > 1 || !(style.c_like || style.python));
    let worked_out = power || op.is(FLOOR_OVER) || op.is('%');
    let on_bits = matches!(op.sym(), Some('^' | '∧' | '|' | '@')) && is_giving(equals)
        || op.is('<') && equals.is('≤')
        || op.is('>') && equals.is('≥');
    if on_bits && !worked_out {
        return fault(
            FaultClass::Unsupported,
            op.at.join(equals.at),
            format!("{} is given a value here by a step that is not worked out", span_shown(&s[..k])),
            "write its new value out, as in a = a * 2",
        );
    }
    if !(worked_out && is_giving(equals)) {
        return Ok(None);
    }
    let s_ = |c: char| sign(op, c);
    Ok(Some([&s[..k], &[s_('=')], &s[..k], &[op.clone(), s_('(')], value, &[s_(')')]].concat()))
}

fn span_shown(target: &[Token]) -> String {
    target.iter().map(Token::shown).collect()
}

/// Whether a sign is a single `=`, which gives a value, and not `==`, which compares.
fn is_giving(t: &Token) -> bool {
    t.is('=') && t.at.to - t.at.from != 2
}

/// `a = b = e` as `b = e` and `a = b`.
fn chained(s: &[Token], parts: char) -> Option<Vec<Token>> {
    let signs = outside(s, |_, t| is_giving(t));
    let [.., last] = signs.as_slice() else { return None };
    if signs.len() < 2 || last + 1 >= s.len() {
        return None;
    }
    let mut targets = Vec::new();
    let mut from = 0;
    for k in &signs {
        let side = &s[from..*k];
        // A type may stand before the first.
        let types =
            if from == 0 { side.iter().take_while(|t| t.word().is_some()).count().max(1) - 1 } else { 0 };
        if target(side.get(types..)?)? + types != side.len() {
            return None;
        }
        targets.push(side);
        from = k + 1;
    }
    let gap = s[0].gap;
    let mut value = &s[last + 1..];
    let mut out: Vec<Token> = Vec::new();
    for side in targets.iter().rev() {
        if !out.is_empty() {
            out.push(sign(&s[0], parts));
        }
        out.push(Token { gap, ..side[0].clone() });
        out.extend_from_slice(&side[1..]);
        out.push(sign(&s[0], '='));
        out.extend_from_slice(value);
        value = side;
    }
    Some(out)
}

/// `x, y = y, x` as assignments one after another, each from the values before all of them.
fn listed(s: &[Token], parts: char) -> Option<Vec<Token>> {
    // Words that declare stand in front.
    let s = match s {
        [word, name, ..] if word.word().is_some() && (name.word().is_some() || name.is('[')) => &s[1..],
        _ => s,
    };
    let [equals] = outside(s, |_, t| is_giving(t))[..] else { return None };
    let names = list(&s[..equals]);
    let values = list(&s[equals + 1..]);
    let named = |n: &[Token]| target(n).is_some_and(|k| k == n.len());
    if names.len() < 2 || names.len() != values.len() || !names.iter().all(|n| named(n)) {
        return None;
    }
    let uses = |value: &[Token], name: &[Token]| value.iter().any(|t| t.word() == name[0].word());
    let crossed = (1..values.len()).any(|k| names[..k].iter().any(|n| uses(values[k], n)));
    let mut out: Vec<Token> = Vec::new();
    let mut give = |name: &[Token], value: &[Token]| {
        if !out.is_empty() {
            out.push(sign(&s[0], parts));
        }
        out.push(Token { gap: s[0].gap, ..name[0].clone() });
        out.extend_from_slice(&name[1..]);
        out.push(sign(&s[0], '='));
        out.extend_from_slice(value);
    };
    // No text can name what ends in this mark.
    let meanwhile = |name: &[Token], k: usize| {
        let word = format!("{}′{k}", name[0].word().unwrap_or_default());
        [Token { tok: Tok::Word(word, true), ..name[0].clone() }]
    };
    for (k, (name, value)) in names.iter().zip(&values).enumerate() {
        if crossed { give(&meanwhile(name, k), value) } else { give(name, value) }
    }
    for (k, name) in names.iter().enumerate().filter(|_| crossed) {
        give(name, &meanwhile(name, k));
    }
    Some(out)
}

/// `x, y, z = 2*x, 2*y, 2*z` and `a, b = b, a` before a formula: new values, each on a line of its own.
fn renewed(tokens: Vec<Token>) -> Vec<Token> {
    let mut out = Vec::with_capacity(tokens.len());
    let mut from = 0;
    while from < tokens.len() {
        let to = tokens[from..].iter().position(|t| t.is('\n')).map_or(tokens.len(), |k| from + k + 1);
        let line = &tokens[from..to - usize::from(tokens[to - 1].is('\n'))];
        let after = tokens[to..].iter().any(|t| !t.is('\n'));
        match Some(line).filter(|l| after && renews(l)).and_then(|l| listed(l, '\n')) {
            Some(new) => {
                out.extend(new);
                out.extend_from_slice(&tokens[to - 1..to]);
            }
            None => out.extend_from_slice(&tokens[from..to]),
        }
        from = to;
    }
    out
}

/// Whether a line gives several names values that come from them.
fn renews(line: &[Token]) -> bool {
    let [equals] = outside(line, |_, t| is_giving(t))[..] else { return false };
    let names: Vec<&str> = line[..equals].iter().filter_map(Token::word).collect();
    let uses = |t: &Token| t.word().is_some_and(|w| names.contains(&w));
    names.len() > 1 && line[equals..].iter().any(uses)
}

/// The parts of a list, with or without brackets around.
fn list(tokens: &[Token]) -> Vec<&[Token]> {
    let bracket = tokens.first().is_some_and(|t| t.is('(') || t.is('['));
    let inside = match matching(tokens, 0).filter(|k| bracket && k + 1 == tokens.len()) {
        Some(k) => &tokens[1..k],
        None => tokens,
    };
    let mut out = Vec::new();
    let mut from = 0;
    for k in outside(inside, |_, t| t.is(',')).into_iter().chain([inside.len()]) {
        out.push(&inside[from..k]);
        from = k + 1;
    }
    out.retain(|p| !p.is_empty());
    out
}

/// Refuses `np.abs(x, out=x)`, a value that goes into an argument.
fn given_out(rest: &[Token]) -> Read<()> {
    match rest {
        [comma, out, equals, name, ..] if comma.is(',') && out.is_word("out") && equals.is('=') => fault(
            FaultClass::Unsupported,
            out.at.join(name.at),
            format!("{} is given a value here by a call, which is not carried out", name.shown()),
            "give it the value: x = np.abs(x)",
        ),
        _ => Ok(()),
    }
}

/// Refuses `y = ++x` and `y = x++`, where a step hides in a value.
fn inner_step(s: &[Token]) -> Read<()> {
    let signs = outside(s, |_, t| is_giving(t));
    let Some(from) = signs.first() else { return Ok(()) };
    let found = (from + 1..s.len().saturating_sub(1)).find(|k| doubled(&s[*k], &s[k + 1]).is_some());
    match found {
        Some(k) => fault(
            FaultClass::Unsupported,
            s[k].at.join(s[k + 1].at),
            format!("{0}{0} inside a value is not worked out", s[k].shown()),
            "write the step on a line of its own, before or after",
        ),
        None => Ok(()),
    }
}
