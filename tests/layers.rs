//! The order of the modules, held by reading the source: who may name whom, and where some crates and calls may stand.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// Modules and their ranks. A module may name modules of lower rank only, so those of one rank never name each other.
const RANKS: &[(&str, u8)] = &[
    ("base", 0),
    ("formula", 1),
    ("shape", 1),
    ("craft", 1),
    ("form", 2),
    ("realise", 3),
    ("read", 3),
    ("check", 4),
    ("export", 4),
    ("show", 4),
    ("value", 5),
    ("words", 6),
    ("guide", 7),
    ("script", 8),
    ("job", 9),
    ("cli", 10),
    ("page", 10),
    ("wasm", 10),
];

/// Text that may stand only in the named modules (`lib` and `main` are the files of that name). A trailing `!`, `::` or `(`
/// is part of the text; it must begin at a word's start.
const HOMES: &[(&str, &[&str], &str)] = &[
    ("rhai", &["script"], "the engine has one home"),
    ("stl_io", &["read"], "files of others are read in one place"),
    ("tobj", &["read"], "files of others are read in one place"),
    ("ply_rs_bw", &["read"], "files of others are read in one place"),
    ("threemf2", &["read"], "files of others are read in one place"),
    ("clap", &["cli"], "terminal crates live in the front end"),
    ("rustyline", &["cli"], "terminal crates live in the front end"),
    ("indicatif", &["cli"], "terminal crates live in the front end"),
    ("anstream", &["cli"], "terminal crates live in the front end"),
    ("ctrlc", &["cli"], "terminal crates live in the front end"),
    ("viuer", &["cli"], "terminal crates live in the front end"),
    ("tempfile", &["cli"], "only the front end writes files"),
    ("println!", &["cli", "main"], "printing is for the front end"),
    ("print!", &["cli", "main"], "printing is for the front end"),
    ("eprintln!", &["cli", "main"], "printing is for the front end"),
    ("eprint!", &["cli", "main"], "printing is for the front end"),
    ("dbg!", &[], "left from a search for a fault"),
    ("todo!", &[], "not done"),
    ("unimplemented!", &[], "not done"),
    ("std::fs", &["cli", "page"], "files reach the core through a reader that the host hands in"),
    ("std::env", &["cli", "page", "main"], "the core does not look at its surroundings"),
    ("std::net", &["page"], "no network"),
    ("std::process", &["cli", "main"], "the core starts nothing"),
    (
        "Instant::now",
        &["cli", "job", "script"],
        "same script, same bytes: the clock only ends work that is too long",
    ),
    ("SystemTime", &["cli"], "same script, same bytes: no clock"),
    ("mul_add", &[], "a fused multiply-add gives other bytes on other processors"),
    ("cfg(feature", &["lib", "main"], "features are chosen in two places"),
    ("cfg_attr(feature", &["lib", "main"], "features are chosen in two places"),
];

/// A longest file, lines. One person can hold it; a table of declarations may be longer.
const LONGEST: usize = 600;
/// Modules that are tables.
const TABLES: &[&str] = &["words", "craft"];

struct Source {
    path: PathBuf,
    /// First folder below `src`, or the file's own name when it stands in `src`.
    module: String,
    /// Folders and file below `src` that are modules: how many `super` lead to the root.
    depth: usize,
    text: String,
    /// The text with comments, strings and characters blanked, line ends kept.
    code: String,
}

fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut open = vec![root.clone()];
    let mut found = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(source(&root, path));
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(found.len() > 10, "the source was not found");
    found
}

fn source(root: &Path, path: PathBuf) -> Source {
    let text = fs::read_to_string(&path).unwrap();
    let below = path.strip_prefix(root).unwrap().with_extension("");
    let mut parts: Vec<String> = below.iter().map(|p| p.to_string_lossy().into_owned()).collect();
    let module = parts[0].clone();
    if parts.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        parts.pop();
    }
    let code = blank(&text);
    Source { depth: parts.len(), path, module, text, code }
}

/// Blanks comments, strings and characters, so that only code is searched.
fn blank(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let end = skipped(&chars, at);
        if end > at {
            out.extend(chars[at..end].iter().map(|&c| if c == '\n' { '\n' } else { ' ' }));
            at = end;
        } else {
            out.push(chars[at]);
            at += 1;
        }
    }
    out
}

/// Where a comment, string or character that begins at `at` ends; `at` itself when none begins there.
fn skipped(chars: &[char], at: usize) -> usize {
    let next = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let before = if at == 0 { ' ' } else { chars[at - 1] };
    let begins_word = !(before.is_alphanumeric() || before == '_');
    match (chars[at], next(at + 1)) {
        ('/', '/') => (at..chars.len()).find(|&i| chars[i] == '\n').unwrap_or(chars.len()),
        ('/', '*') => {
            let mut depth = 1;
            let mut i = at + 2;
            while i < chars.len() && depth > 0 {
                let step = match (chars[i], next(i + 1)) {
                    ('/', '*') => (1, 2),
                    ('*', '/') => (-1, 2),
                    _ => (0, 1),
                };
                depth += step.0;
                i += step.1;
            }
            i
        }
        ('r', '"' | '#') if begins_word || before == 'b' => raw_string(chars, at),
        ('"', _) => {
            let mut i = at + 1;
            while i < chars.len() && chars[i] != '"' {
                i += if chars[i] == '\\' { 2 } else { 1 };
            }
            (i + 1).min(chars.len())
        }
        ('\'', '\\') => (at + 3..chars.len()).find(|&i| chars[i] == '\'').map_or(at, |i| i + 1),
        ('\'', _) if next(at + 2) == '\'' => at + 3,
        _ => at,
    }
}

fn raw_string(chars: &[char], at: usize) -> usize {
    let hashes = chars[at + 1..].iter().take_while(|&&c| c == '#').count();
    if chars.get(at + 1 + hashes) != Some(&'"') {
        return at; // a raw name such as r#type
    }
    let mut i = at + 2 + hashes;
    while i < chars.len() {
        if chars[i] == '"' && chars[i + 1..].iter().take_while(|&&c| c == '#').count() >= hashes {
            return i + 1 + hashes;
        }
        i += 1;
    }
    chars.len()
}

fn rank(module: &str) -> Option<u8> {
    RANKS.iter().find(|(name, _)| *name == module).map(|(_, rank)| *rank)
}

/// Byte places where `text` begins a word in `code`. When `text` ends in a letter it must end a word as well.
fn places<'a>(code: &'a str, text: &'a str) -> impl Iterator<Item = usize> + 'a {
    let letter = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(text).map(|(at, _)| at).filter(move |&at| {
        let begins = !code[..at].chars().next_back().is_some_and(letter);
        let ends = !text.ends_with(letter) || !code[at + text.len()..].chars().next().is_some_and(letter);
        begins && ends
    })
}

/// The first names of the paths that follow a `prefix::`, which may be a braced list: `{a::b, c}` gives a and c.
fn heads(after: &str) -> Vec<String> {
    let name =
        |s: &str| s.trim_start().chars().take_while(|&c| c.is_alphanumeric() || c == '_').collect::<String>();
    let Some(list) = after.trim_start().strip_prefix('{') else { return vec![name(after)] };
    let mut depth = 0;
    let mut found = vec![name(list)];
    for (at, c) in list.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => found.push(name(&list[at + 1..])),
            _ => {}
        }
    }
    found
}

/// Modules named by a file, each with the byte place where it is named.
fn named(source: &Source) -> Vec<(usize, String)> {
    let code = &source.code;
    let mut found = Vec::new();
    for prefix in ["crate::", "ogee::"] {
        for at in places(code, prefix) {
            found.extend(heads(&code[at + prefix.len()..]).into_iter().map(|name| (at, name)));
        }
    }
    for at in places(code, "super::") {
        if code[..at].ends_with("super::") {
            continue;
        }
        let rest = code[at..].trim_start_matches("super::");
        let supers = (code.len() - at - rest.len()) / "super::".len();
        if supers >= source.depth {
            found.extend(heads(rest).into_iter().map(|name| (at, name)));
        }
    }
    found
}

fn line(source: &Source, at: usize) -> String {
    let number = source.code[..at].matches('\n').count() + 1;
    format!("{}:{number}", source.path.display())
}

fn none(broken: String) {
    assert!(broken.is_empty(), "\n{broken}");
}

#[test]
fn every_module_has_a_rank() {
    let mut broken = String::new();
    for source in sources() {
        if !["lib", "main"].contains(&source.module.as_str()) && rank(&source.module).is_none() {
            writeln!(broken, "{}: `{}` is not in the table", source.path.display(), source.module).unwrap();
        }
    }
    none(broken);
}

#[test]
fn modules_name_only_lower_ranks() {
    let mut broken = String::new();
    for source in sources() {
        let Some(own) = rank(&source.module) else { continue };
        for (at, name) in named(&source) {
            if name != source.module && rank(&name).is_some_and(|other| other >= own) {
                writeln!(broken, "{}: `{}` must not name `{name}`", line(&source, at), source.module)
                    .unwrap();
            }
        }
    }
    none(broken);
}

#[test]
fn crates_and_calls_stay_home() {
    let mut broken = String::new();
    for source in sources() {
        for (text, homes, why) in HOMES {
            if homes.contains(&source.module.as_str()) {
                continue;
            }
            for at in places(&source.code, text) {
                writeln!(broken, "{}: `{text}` in `{}`: {why}", line(&source, at), source.module).unwrap();
            }
        }
        for at in places(&source.code, "Tolerance").filter(|_| source.module == "form") {
            writeln!(broken, "{}: a form is exact and knows no tolerance", line(&source, at)).unwrap();
        }
    }
    none(broken);
}

#[test]
fn files_open_with_their_purpose_and_stay_small() {
    let mut broken = String::new();
    for source in sources() {
        if !source.text.starts_with("//!") {
            writeln!(broken, "{}: does not open with `//!`", source.path.display()).unwrap();
        }
        let lines = source.text.lines().count();
        if lines > LONGEST && !TABLES.contains(&source.module.as_str()) {
            writeln!(broken, "{}: {lines} lines; wants a second file", source.path.display()).unwrap();
        }
    }
    none(broken);
}

/// The reading itself: a test that looked at nothing would pass for ever.
#[test]
fn reading_sees_what_it_should() {
    let text = "use crate::{base::{Vec3, Box3}, formula::Expr};\n// crate::cli\nlet s = \"crate::job\"; let q = '\"';\n\
                fn f() -> crate::shape::Mesh { println!(\"rhai\"); r#\"crate::page\"#; super::super::show::picture() }";
    let code = blank(text);
    let source = Source { path: "x".into(), module: "form".into(), depth: 2, text: text.into(), code };
    let names: Vec<String> = named(&source).into_iter().map(|(_, name)| name).collect();
    assert_eq!(names, ["base", "formula", "shape", "show"]);
    assert_eq!(places(&source.code, "println!").count(), 1);
    assert_eq!(places(&source.code, "print!").count(), 0);
    assert_eq!(places(&source.code, "rhai").count(), 0);
    assert_eq!(source.code.matches('\n').count(), text.matches('\n').count());
}
