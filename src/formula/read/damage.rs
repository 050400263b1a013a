//! Damaged page copies: the formula twice over, one token a line.

use super::glyphs::Glyph;

/// Leaves one copy where a page copy holds the rendered text and its TeX one after the other.
pub fn undouble(glyphs: Vec<Glyph>) -> Vec<Glyph> {
    let glyphs = before_display_style(glyphs);
    repeated(glyphs)
}

/// The text with its backslashes mended, where they were doubled (`\frac{x}{2}`), lost (`frac{x}{2}`), or set before
/// plain signs to keep them plain (`x\_0`, `\[x + y\]^2`); `None` where there is nothing to mend.
pub fn backslashes(glyphs: &[Glyph]) -> Option<Vec<Glyph>> {
    let at = |k: usize| glyphs.get(k).map_or('\0', |g| g.c);
    let run = |k: usize| (k..).take_while(|k| at(*k) == '\\').count();
    let starts: Vec<usize> =
        (0..glyphs.len()).filter(|k| at(*k) == '\\' && (*k == 0 || at(k - 1) != '\\')).collect();
    let word = |k: usize| (k..).take_while(|k| at(*k).is_ascii_alphabetic()).count();
    let commands: Vec<usize> = starts.iter().map(|k| k + run(*k)).filter(|k| word(*k) > 0).collect();
    let doubled = !commands.is_empty()
        && starts.iter().all(|k| run(*k) % 2 == 0)
        && commands.iter().any(|k| word(*k) > 1);
    if doubled {
        let mut odd = false;
        let kept = |g: &&Glyph| {
            odd = g.c == '\\' && !odd;
            !odd
        };
        return Some(glyphs.iter().filter(kept).copied().collect());
    }
    let lost = |k: usize| {
        let begins = k == 0 || !(at(k - 1).is_ascii_alphanumeric() || at(k - 1) == '\\');
        let name: String = (k..k + 6).map(at).collect();
        begins && ["frac{", "sqrt{", "dfrac{", "tfrac{"].iter().any(|n| name.starts_with(n))
    };
    let brackets = commands.is_empty() && bracketed_inside(glyphs, &starts);
    let kept_plain = |k: usize| {
        let next = at(k + 1);
        let single = at(k) == '\\' && at(k + 1) != '\\' && (k == 0 || at(k - 1) != '\\');
        let sign = matches!(next, '_' | '*') || commands.is_empty() && matches!(next, '-' | '+' | '=');
        single && (sign || brackets && matches!(next, '[' | ']'))
    };
    let mut out = Vec::with_capacity(glyphs.len() + 8);
    for (k, g) in glyphs.iter().enumerate().filter(|(k, _)| !kept_plain(*k)) {
        if lost(k) {
            out.push(Glyph { c: '\\', ..*g });
        }
        out.push(*g);
    }
    (out.len() != glyphs.len()).then_some(out)
}

/// Groups longer than this are not looked into for brackets of their own.
const LONGEST_GROUP: usize = 1000;

/// The text without the groups that a word processor leaves, `〖sin〗^2`, `〖x+y〗^2`, and with raising where its sign was
/// taken for that of "and": `x∧2`.
pub fn from_word_processor(mut glyphs: Vec<Glyph>) -> Vec<Glyph> {
    let mut open = Vec::new();
    for k in 0..glyphs.len() {
        match glyphs[k].c {
            '〖' => open.push(k),
            '〗' => {
                let Some(from) = open.pop() else { continue };
                let inside = &glyphs[from + 1..k];
                let word = inside.iter().all(|g| g.c.is_alphabetic());
                let ends = |c: Option<&Glyph>, sign: char| c.is_some_and(|g| g.c == sign);
                let bracketed = ends(inside.first(), '(')
                    && ends(inside.last(), ')')
                    && inside.len() < LONGEST_GROUP
                    && inside.iter().filter(|g| g.c == '(').count() == 1;
                let (a, b) = if word || bracketed { (' ', ' ') } else { ('(', ')') };
                (glyphs[from].c, glyphs[k].c) = (a, b);
            }
            '∧' if raises(&glyphs, k) => glyphs[k].c = '^',
            _ => {}
        }
    }
    glyphs
}

/// Whether `∧` stands close between a letter or bracket and a number that nothing is compared with.
fn raises(glyphs: &[Glyph], k: usize) -> bool {
    let at = |k: usize| glyphs.get(k).map_or('\0', |g| g.c);
    let base = k > 0 && (at(k - 1).is_alphabetic() || at(k - 1) == ')');
    let digits = (k + 1..).take_while(|k| at(*k).is_ascii_digit()).count();
    let after = glyphs[(k + 1 + digits).min(glyphs.len())..].iter().map(|g| g.c).find(|c| *c != ' ');
    base && digits > 0 && !after.is_some_and(|c| matches!(c, '<' | '>' | '≤' | '≥'))
}

/// Whether `\[` stands inside a formula, behind one of its signs, and does not set a formula on a line of its own.
fn bracketed_inside(glyphs: &[Glyph], starts: &[usize]) -> bool {
    let sign = |c: char| matches!(c, '=' | '+' | '-' | '*' | '/' | '^' | '(' | '<' | '>');
    starts.iter().filter(|k| glyphs.get(**k + 1).is_some_and(|g| g.c == '[')).any(|k| {
        let before = glyphs[..*k].iter().rev().map(|g| g.c).find(|c| *c != ' ');
        before.is_some_and(sign)
    })
}

/// The text without single quotes around all of it.
pub fn unquoted(mut glyphs: Vec<Glyph>) -> Vec<Glyph> {
    let quote = |g: &Glyph| g.c == '\'';
    let seen = |g: &Glyph| !g.c.is_whitespace();
    let (first, last) = (glyphs.iter().position(seen), glyphs.iter().rposition(seen));
    if let (Some(a), Some(b)) = (first, last)
        && a < b
        && quote(&glyphs[a])
        && quote(&glyphs[b])
        && glyphs.iter().filter(|g| quote(g)).count() == 2
    {
        glyphs[a].c = ' ';
        glyphs[b].c = ' ';
    }
    glyphs
}

/// Drops the text in front of `{\displaystyle ...}` that says the same.
fn before_display_style(mut glyphs: Vec<Glyph>) -> Vec<Glyph> {
    let mark: Vec<char> = "{\\displaystyle".chars().collect();
    let mut from = 0;
    let mut rounds = 0;
    while let Some(open) = find(&glyphs, &mark, from) {
        rounds += 1;
        if rounds > 50 {
            break;
        }
        let close = closing(&glyphs, open).unwrap_or(glyphs.len());
        let inner = letters(&glyphs[(open + mark.len()).min(close)..close]);
        let before = &glyphs[from..open];
        let squeezed = letters(before);
        let mut keep = from;
        if !squeezed.is_empty() && !inner.is_empty() {
            let matching =
                squeezed.iter().rev().zip(inner.iter().rev()).take_while(|(a, b)| a.0 == b.0).count();
            if matching == inner.len() && matching <= squeezed.len() {
                keep = from + squeezed[squeezed.len() - matching].1;
                while let Some(open) = opening_before(&glyphs[from..keep]) {
                    keep = from + open;
                }
            } else if similar(&squeezed, &inner) || matching * 2 > inner.len() {
                keep = from;
            } else {
                keep = open;
            }
        } else if squeezed.is_empty() {
            keep = open;
        }
        let cut = keep.min(open);
        glyphs.drain(cut..open);
        from = cut + (close - open).min(glyphs.len() - cut);
        from = from.max(cut + 1).min(glyphs.len());
    }
    glyphs
}

/// Where the sign stands that opens what follows a part, a blank or an end of line between them at most.
fn opening_before(glyphs: &[Glyph]) -> Option<usize> {
    let last = glyphs.iter().rposition(|g| !g.c.is_whitespace())?;
    matches!(glyphs[last].c, '(' | '[' | '√' | '|' | '-').then_some(last)
}

fn find(glyphs: &[Glyph], mark: &[char], from: usize) -> Option<usize> {
    (from..glyphs.len().saturating_sub(mark.len()))
        .find(|i| mark.iter().enumerate().all(|(k, c)| glyphs[i + k].c == *c))
}

fn closing(glyphs: &[Glyph], open: usize) -> Option<usize> {
    let mut depth = 0;
    for (i, g) in glyphs.iter().enumerate().skip(open) {
        match g.c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return Some(i);
                }
            }
            _ => {}
        }
    }
    None
}

/// Letters and digits of a part, TeX commands by the name they show, each with its index.
fn letters(glyphs: &[Glyph]) -> Vec<(char, usize)> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < glyphs.len() {
        if glyphs[i].c == '\\' {
            let n = glyphs[i + 1..].iter().take_while(|g| g.c.is_ascii_alphabetic()).count();
            let name: String = glyphs[i + 1..i + 1 + n].iter().map(|g| g.c).collect();
            if let Some(c) = super::names::greek_letter(&name) {
                out.push((c, i));
            } else if super::functions::function(&name).is_some() && name != "sqrt" && name != "frac" {
                out.extend(name.chars().map(|c| (c, i)));
            }
            i += n.max(1) + 1;
            if matches!(name.as_str(), "begin" | "end") && glyphs.get(i).is_some_and(|g| g.c == '{') {
                // What the table is called is not shown.
                i = closing(glyphs, i).unwrap_or(i);
            }
            continue;
        }
        let c = plain_digit(glyphs[i].c);
        if c.is_alphanumeric() {
            out.push((c, i));
        }
        i += 1;
    }
    out
}

fn plain_digit(c: char) -> char {
    match c {
        '²' => '2',
        '³' => '3',
        '¹' => '1',
        '⁰' => '0',
        '⁴'..='⁹' => char::from_u32(c as u32 - '⁴' as u32 + '4' as u32).unwrap_or(c),
        c => c,
    }
}

/// Whether two parts hold nearly the same letters.
fn similar(a: &[(char, usize)], b: &[(char, usize)]) -> bool {
    let mut x: Vec<char> = a.iter().map(|p| p.0).collect();
    let mut y: Vec<char> = b.iter().map(|p| p.0).collect();
    x.sort_unstable();
    y.sort_unstable();
    x == y
}

/// Leaves one of two or three copies of a formula that follow each other.
fn repeated(glyphs: Vec<Glyph>) -> Vec<Glyph> {
    if glyphs.len() > 4000 {
        return glyphs;
    }
    let skeleton = skeleton(&glyphs);
    for copies in [3, 2] {
        let n = skeleton.len() / copies;
        if n < 4 || !skeleton.len().is_multiple_of(copies) {
            continue;
        }
        let same = (n..skeleton.len()).all(|k| skeleton[k].0 == skeleton[k % n].0);
        if !same {
            continue;
        }
        let part = |k: usize| {
            let from = if k == 0 { 0 } else { skeleton[k * n].1 };
            let to = if k + 1 == copies { glyphs.len() } else { skeleton[(k + 1) * n].1 };
            &glyphs[from..to]
        };
        let marked = |k: usize| part(k).iter().any(|g| matches!(g.c, '\\' | '^') || plain_digit(g.c) != g.c);
        let relation = relates(&skeleton[..n]);
        let differ = (0..copies).any(|k| marked(k) != marked(0));
        if !(differ || relation) {
            continue;
        }
        let best = (0..copies).find(|k| marked(*k)).unwrap_or(0);
        return part(best).to_vec();
    }
    glyphs
}

/// Whether a sign of relation stands outside all brackets: one within belongs to a choice, `if(x < 0, …)`.
fn relates(skeleton: &[(char, usize)]) -> bool {
    let mut depth = 0;
    skeleton.iter().any(|(c, _)| {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth -= 1,
            _ => {}
        }
        depth <= 0 && matches!(c, '=' | '<' | '>' | '≤' | '≥')
    })
}

/// The signs of a text that a copy keeps: no blanks, braces, carets; commands by the name they show.
fn skeleton(glyphs: &[Glyph]) -> Vec<(char, usize)> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < glyphs.len() {
        let c = glyphs[i].c;
        if c == '\\' {
            let n = glyphs[i + 1..].iter().take_while(|g| g.c.is_ascii_alphabetic()).count();
            let name: String = glyphs[i + 1..i + 1 + n].iter().map(|g| g.c).collect();
            if let Some(c) = super::names::greek_letter(&name) {
                out.push((c, i));
            } else {
                match name.as_str() {
                    "cdot" | "left" | "right" | "frac" | "tfrac" | "dfrac" | "displaystyle" | "quad"
                    | "mathrm" | "operatorname" => {}
                    "sqrt" => out.push(('√', i)),
                    "le" | "leq" => out.push(('≤', i)),
                    "ge" | "geq" => out.push(('≥', i)),
                    name => out.extend(name.chars().map(|c| (c, i))),
                }
            }
            i += n.max(1) + 1;
            continue;
        }
        let c = plain_digit(c);
        if !c.is_whitespace()
            && !matches!(c, '{' | '}' | '^' | '_' | '$' | '·' | '*')
            && !('\u{e000}'..'\u{f8ff}').contains(&c)
        {
            out.push((c, i));
        }
        i += 1;
    }
    out
}
