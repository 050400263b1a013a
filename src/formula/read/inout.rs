//! Functions of code that change what they are given, `void fold(inout vec3 p) { p = abs(p); }`: their statements are written
//! where they are called.

use super::brackets::outside;
use super::code::is_type;
use super::faults::{FaultClass, Read, fault};
use super::lexer::MOST_TOKENS;
use super::objects::matching;
use super::style::Style;
use super::token::*;
use super::vectors::index;

/// A function with arguments that it changes.
struct Changer {
    name: String,
    /// Names of its arguments; true for those that it changes.
    args: Vec<(String, bool)>,
    /// Its statements, without what it returns; `None` where they do more than give values.
    body: Option<Vec<Vec<Token>>>,
    from: usize,
    to: usize,
}

/// Code with the calls of such functions written out.
///
/// # Errors
/// Such a function does more than give values, or is called within a value.
pub(super) fn written_out(mut tokens: Vec<Token>, style: Style) -> Read<Vec<Token>> {
    if !style.code {
        return Ok(tokens);
    }
    let mut calls = 0;
    while let Some(word) = tokens.iter().position(|t| t.is_word("inout")) {
        let at = tokens[word].at;
        let Some(found) = changer(&tokens, word) else {
            return fault(
                FaultClass::Unsupported,
                at,
                "this argument is changed where it was given, by what is no whole function",
                "paste the whole function, with its brackets and braces",
            );
        };
        tokens.drain(found.from..found.to);
        tokens = called(tokens, &found, &mut calls)?;
    }
    Ok(tokens)
}

/// The function among whose arguments a word stands.
fn changer(t: &[Token], word: usize) -> Option<Changer> {
    let open = t[..word].iter().rposition(|t| t.is('('))?;
    let close = matching(t, open)?;
    let name = t[open.checked_sub(1)?].word()?.to_owned();
    let from = open.checked_sub(2).filter(|k| t[*k].word().is_some())?;
    let brace = close + 1 + t[close + 1..].iter().position(|t| !t.is('\n'))?;
    let end = t[brace].is('{').then(|| matching(t, brace)).flatten()?;
    let args = t[open + 1..close].split(|t| t.is(',')).map(|a| {
        let changes = a.iter().any(|t| t.is_word("inout") || t.is_word("out"));
        a.last().and_then(Token::word).map(|n| (n.to_owned(), changes))
    });
    let args: Option<Vec<(String, bool)>> = args.collect();
    let mut body = Some(Vec::new());
    for s in t[brace + 1..end].split(|t| t.is(';')) {
        let s: Vec<Token> = s.iter().filter(|t| !t.is('\n')).cloned().collect();
        match s.first() {
            None => {}
            Some(first) if first.is_word("return") => break,
            Some(_) if !gives_value(&s) => body = None,
            Some(_) => body.iter_mut().for_each(|all: &mut Vec<_>| all.push(s.clone())),
        }
    }
    Some(Changer { name, args: args?, body, from, to: end + 1 })
}

/// Whether a statement only gives a name or a part of a vector a value.
fn gives_value(s: &[Token]) -> bool {
    let sign = outside(s, |_, t| matches!(t.sym(), Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO)));
    let steers = ["if", "else", "for", "while", "return"];
    let target = sign.first().is_some_and(|k| s[..*k].iter().all(|t| t.word().is_some() || t.is('.')));
    let plain = !s.iter().any(|t| t.is('{') || t.is('}') || t.is('?') || steers.iter().any(|w| t.is_word(w)));
    target && plain
}

/// The text with statements in place of calls.
fn called(tokens: Vec<Token>, f: &Changer, calls: &mut usize) -> Read<Vec<Token>> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let t = &tokens[i];
        let call = t.is_word(&f.name) && tokens.get(i + 1).is_some_and(|n| n.is('('));
        if !call {
            out.push(t.clone());
            i += 1;
            continue;
        }
        if f.body.is_none() {
            return fault(
                FaultClass::Unsupported,
                t.at,
                format!(
                    "{} changes its argument in more ways than giving it values, which is not carried out",
                    f.name
                ),
                "write it as a function that returns the new value: p = fold(p)",
            );
        }
        let starts = out.last().is_none_or(|p| matches!(p.sym(), Some(';' | '{' | '}' | '\n')));
        let close =
            matching(&tokens, i + 1).filter(|k| starts && tokens.get(k + 1).is_some_and(|t| t.is(';')));
        *calls += 1;
        let written = close.and_then(|k| written(&tokens[i + 2..k], f, *calls));
        let (Some(close), Some(written)) = (close, written) else {
            return fault(
                FaultClass::Unsupported,
                t.at,
                format!(
                    "{} changes its argument, which is carried out in a statement of its own only",
                    f.name
                ),
                format!("write {}(...) on a line of its own, with a name for what it changes", f.name),
            );
        };
        out.extend(written);
        i = close + 2;
        if out.len() > MOST_TOKENS {
            return fault(
                FaultClass::TooLong,
                t.at,
                "this code is too long with its functions written out",
                "paste one function at a time",
            );
        }
    }
    Ok(out)
}

/// The statements of a function for the arguments of one call.
fn written(given: &[Token], f: &Changer, call: usize) -> Option<Vec<Token>> {
    let mut parts = Vec::new();
    let mut from = 0;
    for k in outside(given, |_, t| t.is(',')).into_iter().chain([given.len()]) {
        parts.push(&given[from..k]);
        from = k + 1;
    }
    if parts.len() != f.args.len() {
        return None;
    }
    let at = span(given);
    let sign = |c: char| Token { tok: Tok::Sym(c), at, gap: Gap::None };
    // No text can name what ends in these marks.
    let own = |name: &str| Token { tok: Tok::Word(format!("{name}″{call}"), true), at, gap: Gap::Blank };
    let mut out = Vec::new();
    let mut names: Vec<(&str, Vec<Token>)> = Vec::new();
    for ((name, changes), value) in f.args.iter().zip(parts) {
        if *changes {
            let target = matches!(value, [n] if n.word().is_some())
                || matches!(value, [n, dot, part] if n.word().is_some() && dot.is('.') && part.word().is_some());
            names.push((name, target.then(|| value.to_vec())?));
        } else {
            out.extend([own(name), sign('=')]);
            out.extend_from_slice(value);
            out.push(sign(';'));
            names.push((name, vec![own(name)]));
        }
    }
    for s in f.body.iter().flatten() {
        let types = s.iter().take_while(|t| t.word().is_some_and(is_type)).count();
        let statement = &s[types..];
        if types > 0 {
            let local = statement.first().and_then(Token::word)?;
            names.push((local, vec![own(local)]));
        }
        out.extend(replaced(statement, &names)?);
        out.push(sign(';'));
    }
    Some(out)
}

/// A statement with names replaced; parts of parts become parts: `v.x` as `p.y` where v is `p.yz`.
fn replaced(statement: &[Token], names: &[(&str, Vec<Token>)]) -> Option<Vec<Token>> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < statement.len() {
        let t = &statement[i];
        let member = i > 0 && statement[i - 1].is('.');
        let new = names.iter().rev().find(|(n, _)| !member && t.is_word(n)).map(|(_, new)| new);
        let part = statement.get(i + 1).filter(|d| d.is('.')).and_then(|_| statement.get(i + 2));
        match (new.map(Vec::as_slice), part.and_then(Token::word)) {
            (Some([name, dot, letters]), Some(part)) => {
                let letters: Vec<char> = letters.word()?.chars().collect();
                let chosen: Option<String> =
                    part.chars().map(|c| index(c).and_then(|k| letters.get(k).copied())).collect();
                out.extend([name.clone(), dot.clone()]);
                out.push(Token { tok: Tok::Word(chosen?, true), ..t.clone() });
                i += 3;
            }
            (Some(new), _) => {
                out.extend_from_slice(new);
                i += 1;
            }
            (None, _) => {
                out.push(t.clone());
                i += 1;
            }
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use crate::formula::read;
    use crate::formula::read::tests::{AT, all_are};

    #[test]
    fn functions_that_change_their_arguments_are_written_out() {
        let [x, y, z] = AT;
        let (c, s) = (0.5f64.cos(), 0.5f64.sin());
        let turned = [c * x + s * z, y, c * z - s * x];
        all_are(&[
            (
                "void fold(inout vec3 v){ v = abs(v); }\nfloat map(vec3 p){ fold(p); return p.x + p.y - p.z; }",
                x.abs() + y.abs() - z.abs(),
            ),
            (
                "void swing(inout vec2 p, float a) { p = cos(a)*p + sin(a)*vec2(p.y, -p.x); }\nfloat map(vec3 p){ swing(p.xz, 0.5); return p.x + 2.*p.y - p.z; }",
                turned[0] + 2.0 * turned[1] - turned[2],
            ),
            (
                "float tiled(inout float p, float size) { float h = size*0.5; p = mod(p + h, size) - h; return 0.; }\nfloat map(vec3 p){ tiled(p.x, 0.8); return length(p) - 0.3; }",
                ((x + 0.4).rem_euclid(0.8) - 0.4).hypot(y).hypot(z) - 0.3,
            ),
            (
                "void flip(inout vec2 v){ v.x = -v.x; }\nvoid both(inout vec3 q){ flip(q.yz); q.x += 1.0; }\nfloat map(vec3 p){ both(p); return p.x + 2.*p.y + 3.*p.z; }",
                x + 1.0 - 2.0 * y + 3.0 * z,
            ),
        ]);
    }

    #[test]
    fn changes_that_are_more_than_values_are_refused() {
        for text in [
            "void f(inout vec3 v){ if (v.x < 0.) v.x = 1.; }\nfloat map(vec3 p){ f(p); return p.x; }",
            "float g(inout float v){ v = 1.; return v; }\nfloat map(vec3 p){ float d = g(p.x); return d + p.x; }",
        ] {
            assert!(read(text).unwrap_err().what.contains("changes its argument"), "{text}");
        }
        let unused =
            "void f(inout vec3 v){ if (v.x < 0.) v.x = 1.; }\nfloat map(vec3 p){ return p.x + p.y; }";
        all_are(&[(unused, AT[0] + AT[1])]);
    }
}
