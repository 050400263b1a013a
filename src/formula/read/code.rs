//! Lines of code become lines of formula: declarations, function headers, closures and blocks are taken off.

use std::collections::BTreeMap;

use super::assign::components;
use super::defaults;
use super::faults::{Read, Span};
use super::inline::{functions, inlined};
use super::parse;
use super::style::Style;
use super::token::*;

/// Code without its wrapping.
#[derive(Debug, Default)]
pub struct Unwrapped {
    /// What is left.
    pub tokens: Vec<Token>,
    /// The arguments of the function that the text is.
    pub args: Option<Vec<String>>,
    /// Names declared as points, with how many components they have.
    pub points: BTreeMap<String, usize>,
    /// What is to be said about functions that the shape does not use.
    pub unused: Vec<(Span, String)>,
}

const TYPES: &[&str] = &[
    "float",
    "double",
    "int",
    "real",
    "half",
    "let",
    "var",
    "const",
    "val",
    "mut",
    "auto",
    "uniform",
    "static",
    "inline",
    "public",
    "private",
    "final",
    "local",
    "constexpr",
    "export",
    "async",
    "f32",
    "f64",
    "number",
    "Float64",
    "Number",
    "fixed",
    "pub",
    "define",
    "highp",
    "mediump",
    "lowp",
    "in",
    "inout",
    "unsigned",
    "long",
    "Float",
    "Double",
    "Real",
    "bool",
    "global",
    "mat2",
    "mat3",
];

const POINTS: &[&str] = &[
    "vec2", "vec3", "vec4", "float2", "float3", "float4", "Vec3", "Vec2", "Vector3", "dvec3", "glm",
    "point3", "Vector3f", "vec2f", "vec3f", "vec4f", "Vec2f", "Vec3f", "Vec3d", "Vec4", "half2", "half3",
    "half4", "Vector2", "Vector3d", "Vector2f", "Point3", "dvec2", "float3x1", "Vec3A",
];

/// Whether a word declares a name.
pub(super) fn is_type(w: &str) -> bool {
    TYPES.contains(&w) || POINTS.contains(&w)
}

/// Takes the wrapping off.
///
/// # Errors
/// Several functions of which none is the shape before the others.
pub fn unwrap(tokens: Vec<Token>, style: Style) -> Read<Unwrapped> {
    let mut out = Unwrapped::default();
    let tokens = if style.code { without_kinds(tokens) } else { tokens };
    let tokens = types(tokens, style, &mut out.points);
    let tokens = if style.code { components(tokens) } else { tokens };
    let tokens = if style.code { defaults::written_out(tokens) } else { tokens };
    let tokens = if style.code { expressions(tokens) } else { tokens };
    let found = if style.code { functions(&tokens, style) } else { vec![] };
    let tokens = match inlined(&tokens, found, &out.points)? {
        Some(written) => {
            (out.args, out.unused) = (written.args, written.unused);
            written.tokens
        }
        None => tokens,
    };
    let tokens = if style.code { blocks(tokens) } else { tokens };
    headers(tokens, style, &mut out);
    if style.code {
        restated(&mut out);
    }
    Ok(out)
}

/// Parameters of a curve or surface that are given new values, `t = 2*pi*t` or `t *= 2`: from then on they have other names.
fn restated(out: &mut Unwrapped) {
    let args = out.args.clone().unwrap_or_default();
    let is_place = |a: &String| matches!(&*a.to_lowercase(), "x" | "y" | "z") || out.points.contains_key(a);
    if args.len() > 2 || args.iter().any(is_place) {
        return;
    }
    let ends = |t: &Token| matches!(t.sym(), Some('\n' | ';'));
    for arg in args {
        let (mut name, mut count, mut i) = (arg.clone(), 0, 0);
        while i + 1 < out.tokens.len() {
            let start = i == 0 || ends(&out.tokens[i - 1]);
            let given = start && out.tokens[i].is_word(&name) && in_full(&mut out.tokens, i);
            if !given {
                i += 1;
                continue;
            }
            count += 1;
            // No text can name what ends in these marks. The value still has the old name.
            let now = format!("{arg}″{count}");
            let end = out.tokens[i..].iter().position(ends).map_or(out.tokens.len(), |k| i + k);
            let later = (end..out.tokens.len()).filter(|k| out.tokens[*k].is_word(&name));
            let renamed: Vec<usize> = later.chain([i]).collect();
            renamed.into_iter().for_each(|k| out.tokens[k].tok = Tok::Word(now.clone(), true));
            (name, i) = (now, end);
        }
    }
}

/// Whether the name at a place is given a value; `t *= e` becomes `t = t*(e)`.
fn in_full(tokens: &mut Vec<Token>, i: usize) -> bool {
    let sign = match tokens[i + 1].sym() {
        Some('=') => return true,
        Some(ADD_TO) => '+',
        Some(TAKE_FROM) => '-',
        Some(TIMES_TO) => '*',
        Some(OVER_TO) => '/',
        _ => return false,
    };
    let at = tokens[i + 1].at;
    let token = |tok: Tok| Token { tok, at, gap: Gap::None };
    let end =
        tokens[i..].iter().position(|t| matches!(t.sym(), Some('\n' | ';'))).map_or(tokens.len(), |k| i + k);
    tokens.insert(end, token(Tok::Sym(')')));
    let name = tokens[i].tok.clone();
    let [equal, sign, open] = ['=', sign, '('].map(|c| token(Tok::Sym(c)));
    tokens.splice(i + 1..i + 2, [equal, token(name), sign, open]);
    true
}

/// `vec3<f32>` as `vec3`: of what kind its numbers are says nothing.
fn without_kinds(mut tokens: Vec<Token>) -> Vec<Token> {
    let kind = |t: &Token| t.word().is_some_and(|w| TYPES.contains(&w) || matches!(w, "i32" | "u32" | "f16"));
    let vector = |t: &Token| t.word().is_some_and(|w| TYPES.contains(&w) || POINTS.contains(&w));
    let mut kept = 0;
    let mut i = 0;
    while i < tokens.len() {
        let named = kept >= 1 && vector(&tokens[kept - 1]);
        let drop = matches!(&tokens[i..], [a, b, c, ..] if named && a.is('<') && kind(b) && c.is('>'));
        if drop {
            i += 3;
            continue;
        }
        tokens.swap(kept, i);
        kept += 1;
        i += 1;
    }
    tokens.truncate(kept);
    tokens
}

/// `f(x, y, z) => e` becomes `f(x, y, z) = e`.
fn expressions(mut tokens: Vec<Token>) -> Vec<Token> {
    for i in 0..tokens.len() {
        let start = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | '}'));
        let named =
            start && tokens[i].word().is_some_and(|w| !matches!(w, "function" | "fn" | "def" | "func"));
        let Some((_, end)) = named.then(|| list(&tokens, i + 1)).flatten() else { continue };
        let value = tokens.get(end + 1).is_some_and(|t| !t.is('{') && !t.is('\n'));
        if value && tokens[end].is('→') {
            tokens[end].tok = Tok::Sym('=');
        }
    }
    tokens
}

/// Removes declared types.
fn types(tokens: Vec<Token>, style: Style, points: &mut BTreeMap<String, usize>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut depth = 0;
    let mut i = 0;
    let is_word = |k: usize| tokens.get(k).is_some_and(|t| matches!(t.tok, Tok::Word(..)));
    let typed = |k: usize| {
        tokens
            .get(k)
            .and_then(Token::word)
            .is_some_and(|w| (TYPES.contains(&w) && w != "in") || POINTS.contains(&w))
    };
    while i < tokens.len() {
        let bare = if style.code { bare_declaration(&tokens, i, &out) } else { 0 };
        if bare > 0 {
            i += bare;
            continue;
        }
        if let Some((value, to)) = style.code.then(|| constructed(&tokens, i, &out)).flatten() {
            out.extend(value);
            i = to;
            continue;
        }
        let t = &tokens[i];
        match t.sym() {
            Some('(') => depth += 1,
            Some(')') => depth -= 1,
            _ => {}
        }
        let word = t.word().unwrap_or_default();
        let start = out.last().is_none_or(|p| {
            p.is('\n') || p.is(';') || p.is('(') || p.is(',') || p.is('{') || p.is('}') || p.is('→')
        }) || i > 0 && typed(i - 1);
        let taken = tokens.get(i + 1).is_some_and(|n| n.is('[') || n.is('{'));
        if style.code && start && taken && matches!(word, "const" | "let" | "var" | "auto") {
            i += 1;
            continue;
        }
        if start && is_word(i) && is_word(i + 1) && t.gap.max(tokens[i + 1].gap) > Gap::None {
            if POINTS.contains(&word) {
                if depth > 0 {
                    declare(points, &tokens[i + 1], word);
                }
                i += 1;
                continue;
            }
            let given = depth == 0 && tokens.get(i + 2).is_some_and(|n| n.is('='));
            let unknown_type =
                style.code && given && !parse::is_keyword(word) && !matches!(word, "return" | "function");
            if TYPES.contains(&word) && (word != "in" || depth > 0) || unknown_type {
                i += 1;
                continue;
            }
        }
        let annotated = style.code && (t.is(':') || t.is('→')) && typed(i + 1) && !out.is_empty();
        if annotated {
            let ends = tokens.get(i + 2).is_none_or(|n| {
                n.is(',') || n.is(')') || n.is('=') || n.is(':') || n.is('{') || n.is('|') || n.is('\n')
            });
            if ends {
                // `var q: vec3 = …` is no argument.
                let argument = t.is(':') && !tokens.get(i + 2).is_some_and(|n| n.is('='));
                let kind = tokens[i + 1].word().filter(|w| argument && POINTS.contains(w));
                if let (Some(kind), Some(name)) = (kind, out.last()) {
                    declare(points, name, kind);
                }
                i += 2;
                continue;
            }
        }
        out.push(t.clone());
        i += 1;
    }
    out
}

/// `vec3 q(abs(p));` and `vec3 q{abs(p)};`, where a statement begins at a place, as `q = vec3(abs(p))`; and the place after
/// the bracket.
fn constructed(tokens: &[Token], i: usize, before: &[Token]) -> Option<(Vec<Token>, usize)> {
    let start = before.last().is_none_or(|p| matches!(p.sym(), Some('\n' | ';' | '{' | '}')));
    let [kind, name, open, first, ..] = tokens.get(i..)? else { return None };
    let typed = |t: &Token| t.word().is_some_and(|w| TYPES.contains(&w) || POINTS.contains(&w));
    let close = super::objects::matching(tokens, i + 2)?;
    // Types inside are those of arguments: a function without its body.
    let listed = name.word().is_some() && (open.is('(') || open.is('{')) && close > i + 3;
    let argument = typed(first) && tokens.get(i + 4).is_some_and(|t| t.word().is_some());
    if !start || !typed(kind) || !listed || argument || !tokens.get(close + 1)?.is(';') {
        return None;
    }
    let sign = |c: char, like: &Token| Token { tok: Tok::Sym(c), at: like.at, gap: Gap::None };
    let vector = kind.word().filter(|w| super::functions::function(w).is_some());
    let mut out = vec![Token { gap: kind.gap, ..name.clone() }, sign('=', open)];
    out.extend(vector.map(|_| kind.clone()));
    out.push(sign('(', open));
    out.extend_from_slice(&tokens[i + 3..close]);
    out.push(sign(')', &tokens[close]));
    Some((out, close + 1))
}

/// How many tokens `uniform float time;` takes, a declaration without a value, where a statement begins at a place.
fn bare_declaration(tokens: &[Token], i: usize, before: &[Token]) -> usize {
    let start = before.last().is_none_or(|p| matches!(p.sym(), Some('\n' | ';' | '{' | '}')));
    let kind = |t: &Token| matches!(&t.tok, Tok::Word(w, _) if TYPES.contains(&w.as_str()) || POINTS.contains(&w.as_str()));
    let kinds = tokens[i..].iter().take_while(|t| kind(t)).count();
    let names = &tokens[i + kinds..];
    let end = names.iter().position(|t| t.is(';')).unwrap_or(0);
    let listed = names[..end].iter().enumerate().all(|(k, t)| match k % 2 {
        0 => t.word().is_some(),
        _ => t.is(','),
    });
    if start && kinds > 0 && end % 2 == 1 && listed { kinds + end + 1 } else { 0 }
}

/// Notes a name of a vector type; a name that several functions use has the most components of them.
fn declare(points: &mut BTreeMap<String, usize>, name: &Token, kind: &str) {
    let size = kind.chars().find_map(|c| c.to_digit(10)).map_or(3, |d| d as usize);
    let known = points.entry(name.word().unwrap_or_default().to_owned()).or_default();
    *known = size.max(*known);
}

/// Braces around statements become ends of lines.
fn blocks(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut stack: Vec<usize> = Vec::new();
    for i in 0..tokens.len() {
        if tokens[i].is('{') {
            stack.push(i);
        } else if tokens[i].is('}') {
            let Some(open) = stack.pop() else { continue };
            let inside = &tokens[open + 1..i];
            let block = inside.iter().any(|t| t.is(';') || t.is_word("return") || t.is('\n'))
                || open > 0 && (tokens[open - 1].is('→') || tokens[open - 1].is(')'));
            if block {
                tokens[open].tok = Tok::Sym('\n');
                tokens[i].tok = Tok::Sym('\n');
            }
        }
    }
    tokens
}

/// A header found at some place: its name, its arguments, and where the body begins.
pub(super) struct Header {
    pub name: Option<String>,
    pub args: Vec<String>,
    pub end: usize,
}

fn headers(tokens: Vec<Token>, style: Style, out: &mut Unwrapped) {
    let mut i = 0;
    while i < tokens.len() {
        let start = out
            .tokens
            .last()
            .is_none_or(|t| t.is('\n') || t.is(';') || t.is('=') || t.is('≔') || t.is('(') || t.is(':'));
        let header = if start { header(&tokens, i, style) } else { None };
        let Some(h) = header else {
            out.tokens.push(tokens[i].clone());
            i += 1;
            continue;
        };
        let at = tokens[i].at;
        let mut body = h.end;
        while tokens.get(body).is_some_and(|t| t.is('\n')) {
            body += 1;
        }
        let returns = tokens.get(body).is_some_and(|t| t.is_word("return"));
        if let Some(name) = h.name {
            if returns {
                define(&mut out.tokens, &name, &h.args, at);
                i = body + 1;
                // What is returned without brackets is a list all the same.
                let end = super::steps::end(&tokens, i);
                if !super::brackets::outside(&tokens[i..end], |_, t| t.is(',')).is_empty() {
                    let sign = |c: char| Token { tok: Tok::Sym(c), at, gap: Gap::None };
                    out.tokens.push(sign('('));
                    out.tokens.extend_from_slice(&tokens[i..end]);
                    out.tokens.push(sign(')'));
                    i = end;
                }
                continue;
            }
            out.args = Some(h.args);
            out.tokens.push(Token { tok: Tok::Sym('\n'), at, gap: Gap::None });
            i = body;
            continue;
        }
        let assigned = out.tokens.len() >= 2
            && (out.tokens[out.tokens.len() - 1].is('=') || out.tokens[out.tokens.len() - 1].is('≔'))
            && matches!(out.tokens[out.tokens.len() - 2].tok, Tok::Word(..));
        if assigned {
            out.tokens.pop();
            let name = out.tokens.pop().and_then(|t| t.word().map(str::to_owned)).unwrap_or_default();
            define(&mut out.tokens, &name, &h.args, at);
        } else {
            out.args = Some(h.args);
        }
        i = if returns { body + 1 } else { body };
    }
}

fn define(tokens: &mut Vec<Token>, name: &str, args: &[String], at: Span) {
    let push = |tokens: &mut Vec<Token>, tok: Tok| tokens.push(Token { tok, at, gap: Gap::None });
    if tokens.last().is_some_and(|t| !t.is('\n')) {
        push(tokens, Tok::Sym('\n'));
    }
    push(tokens, Tok::Word(name.to_owned(), true));
    push(tokens, Tok::Sym('('));
    for (k, a) in args.iter().enumerate() {
        if k > 0 {
            push(tokens, Tok::Sym(','));
        }
        push(tokens, Tok::Word(a.clone(), true));
    }
    push(tokens, Tok::Sym(')'));
    push(tokens, Tok::Sym('='));
}

pub(super) fn header(t: &[Token], i: usize, style: Style) -> Option<Header> {
    let word = t[i].word().unwrap_or_default();
    match word {
        "def" | "function" | "fn" | "func" | "fun" if t.len() > i + 1 => {
            let mut k = i + 1;
            while k < t.len() && !t[k].is('(') && !t[k].is('\n') {
                k += 1;
            }
            let name = t.get(k.checked_sub(1)?)?.word().filter(|w| *w != word).unwrap_or("f").to_owned();
            let (args, mut end) = list(t, k)?;
            if t.get(end).is_some_and(|t| t.is(':') || t.is('=') || t.is('→')) {
                end += 1;
            }
            let anonymous = k == i + 1;
            return Some(Header { name: (!anonymous).then_some(name), args, end });
        }
        "lambda" => {
            let mut args = Vec::new();
            let mut k = i + 1;
            while k < t.len() && !t[k].is(':') {
                if let Some(w) = t[k].word() {
                    args.push(w.to_owned());
                } else if !t[k].is(',') {
                    return None;
                }
                k += 1;
            }
            // A factor λ is followed by no colon.
            return (k < t.len()).then_some(Header { name: None, args, end: k + 1 });
        }
        _ => {}
    }
    match t[i].sym() {
        Some('@') => {
            let (args, end) = list(t, i + 1)?;
            Some(Header { name: None, args, end })
        }
        Some('(') => {
            let (args, end) = list(t, i)?;
            t.get(end).filter(|t| t.is('→'))?;
            Some(Header { name: None, args, end: end + 1 })
        }
        Some('|') if style.code || i == 0 => {
            // `|x, y| x*y`; bars with names between that no commas part are a size: `|sin x| cos y`.
            let close = i + 1 + t[i + 1..].iter().position(|t| t.is('|'))?;
            let args: Vec<String> = t[i + 1..close]
                .split(|t| t.is(','))
                .map(|one| match one {
                    [name] => name.word().map(str::to_owned),
                    _ => None,
                })
                .collect::<Option<_>>()?;
            let next = t.get(close + 1);
            let value =
                || next.is_some_and(|n| n.word().is_some() || matches!(n.tok, Tok::Num(..)) || n.is('('));
            let operator = |n: &Token| n.sym().is_some_and(|c| "+-*/^%=<>≤≥·×".contains(c));
            let alone = || style.code && next.is_some_and(|n| !operator(n) && n.gap > Gap::None);
            let header = if args.len() >= 2 { style.code || value() } else { alone() };
            header.then_some(Header { name: None, args, end: close + 1 })
        }
        // `x, y, z -> x*y - z`
        None if (i == 0 || t[i - 1].is('\n')) && t.get(i + 1).is_some_and(|t| t.is(',')) => {
            let arrow = i + t[i..].iter().position(|t| t.is('→'))?;
            let name = |(k, t): (usize, &Token)| if k % 2 == 0 { t.word().is_some() } else { t.is(',') };
            let args = t[i..arrow].iter().filter_map(|t| t.word().map(str::to_owned)).collect();
            let listed = (arrow - i) % 2 == 1 && t[i..arrow].iter().enumerate().all(name);
            listed.then_some(Header { name: None, args, end: arrow + 1 })
        }
        // What does not use the name is no function of it: `x → y`.
        None if t.get(i + 1).is_some_and(|t| t.is('→'))
            && !word.is_empty()
            && t[i + 2..].iter().any(|t| t.word().is_some_and(|w| w.contains(word))) =>
        {
            Some(Header { name: None, args: vec![word.to_owned()], end: i + 2 })
        }
        None if style.code && !word.is_empty() && t.get(i + 1).is_some_and(|t| t.is('(')) => {
            let (args, end) = list(t, i + 1)?;
            let block = t.get(end).is_some_and(|t| t.is('\n'))
                && t.get(end).is_some_and(|n| n.at.to - n.at.from == 1);
            let known = super::functions::function(word).is_some();
            (block && !known && t[end..].iter().any(|t| t.is_word("return"))).then(|| Header {
                name: Some(word.to_owned()),
                args,
                end,
            })
        }
        _ => None,
    }
}

/// The names between brackets from a place on, and the place after them.
pub(super) fn list(t: &[Token], open: usize) -> Option<(Vec<String>, usize)> {
    if !t.get(open)?.is('(') {
        return None;
    }
    let mut args = Vec::new();
    let mut k = open + 1;
    while !t.get(k)?.is(')') {
        match &t[k].tok {
            Tok::Word(w, _) => args.push(w.trim_end_matches('_').to_owned()),
            // A point taken apart, `([x, y, z]) => …`, is its coordinates.
            Tok::Sym(',' | '\n' | '[' | ']') => {}
            _ => return None,
        }
        k += 1;
    }
    (!args.is_empty()).then_some((args, k + 1))
}
