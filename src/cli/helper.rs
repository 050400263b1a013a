//! What the line editor asks while a line is typed: completion, hints, and whether more lines follow.

use std::borrow::Cow;

use rustyline::completion::{Completer, Pair};
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::validate::{ValidationContext, ValidationResult, Validator};
use rustyline::{Context, Helper, Result};

use super::repl::COMMANDS;
use crate::guide;

/// Answers from the table of words.
pub struct Words {
    /// Names that the session has given values to.
    pub names: Vec<String>,
    /// Whether hints may be grey.
    pub colour: bool,
}

impl Helper for Words {}

impl Completer for Words {
    type Candidate = Pair;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> Result<(usize, Vec<Pair>)> {
        if let Some(begun) = line.strip_prefix(':').filter(|begun| !begun.contains(' ')) {
            let found = COMMANDS.iter().filter(|(name, _)| name.starts_with(begun));
            let pair = |name: &str| Pair { display: format!(":{name}"), replacement: format!(":{name} ") };
            return Ok((0, found.map(|(name, _)| pair(name)).collect()));
        }
        let (start, found) = guide::complete(line, at);
        let bare = line.starts_with(":help");
        let begun = line.get(start..at).unwrap_or("");
        let own = self.names.iter().filter(|name| !begun.is_empty() && name.starts_with(begun));
        let mut pairs: Vec<Pair> =
            own.map(|name| Pair { display: name.clone(), replacement: name.clone() }).collect();
        pairs.extend(found.into_iter().map(|word| Pair {
            display: word.signature,
            replacement: if bare { word.name } else { word.text },
        }));
        Ok((start, pairs))
    }
}

impl Hinter for Words {
    type Hint = String;

    /// The parameters of the word whose brackets are open, shown after the end of the line.
    fn hint(&self, line: &str, at: usize, _: &Context<'_>) -> Option<String> {
        if at < line.len() || line.starts_with(':') {
            return None;
        }
        guide::call_at(line).map(|signature| format!("    {signature}"))
    }
}

impl Highlighter for Words {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        if self.colour { Cow::Owned(format!("\x1b[2m{hint}\x1b[0m")) } else { Cow::Borrowed(hint) }
    }
}

impl Validator for Words {
    fn validate(&self, context: &mut ValidationContext<'_>) -> Result<ValidationResult> {
        let input = context.input();
        Ok(if goes_on(input) { ValidationResult::Incomplete } else { ValidationResult::Valid(None) })
    }
}

/// True while brackets, a text, a function of pasted code or a list of components is open. An empty line ends the input
/// all the same, so that a pasted formula with a bracket too few is no trap.
pub fn goes_on(input: &str) -> bool {
    if input.starts_with(':') || input.ends_with('\n') {
        return false;
    }
    if input.starts_with("def ") && input.lines().next().is_some_and(|line| line.trim_end().ends_with(':')) {
        return true;
    }
    if awaits_component(input) {
        return true;
    }
    let mut open = 0_i64;
    let mut quote = None;
    let mut chars = input.chars().peekable();
    while let Some(c) = chars.next() {
        match (quote, c) {
            (Some(_), '\\') => {
                chars.next();
            }
            (Some(mark), c) if c == mark => quote = None,
            (Some(_), _) => {}
            (None, '"' | '`') => quote = Some(c),
            (None, '/') if chars.peek() == Some(&'/') => while chars.next_if(|c| *c != '\n').is_some() {},
            (None, '(' | '[' | '{') => open += 1,
            (None, ')' | ']' | '}') => open -= 1,
            _ => {}
        }
    }
    quote.is_some() || open > 0
}

/// Letters by which a curve or a surface is usually run through.
const RUNNING: [&str; 9] = ["t", "s", "u", "v", "θ", "φ", "ϕ", "theta", "phi"];

/// True after `x = cos t`, and after the line for y: z is still to come.
fn awaits_component(input: &str) -> bool {
    let lines: Vec<&str> = input.lines().collect();
    (1..3).contains(&lines.len()) && lines.iter().zip(["x", "y"]).all(|(line, axis)| is_component(line, axis))
}

/// Whether a line says what a coordinate is along a curve or over a surface: `x = 2 cos t`, `x(t) = ...`.
fn is_component(line: &str, axis: &str) -> bool {
    let Some((left, right)) = line.split_once('=') else { return false };
    let (left, right) = (left.trim().to_lowercase(), right.trim());
    let name = left.split_once('(').map_or(left.as_str(), |(name, _)| name.trim_end());
    let mut words = right.split(|c: char| !c.is_alphabetic());
    // What ends in a comma or semicolon may hold all three.
    let single = !right.contains(['=', ',', ';', '"']);
    name == axis && single && words.any(|w| RUNNING.contains(&w))
}

#[cfg(test)]
mod tests {
    use super::goes_on;

    #[test]
    fn open_brackets_and_texts_ask_for_more() {
        for open in [
            "ball(",
            "fn f(x) {",
            "\"a",
            "[1,",
            "f(\")\"",
            "make(\"\\\"\",",
            "def f(x, y, z):",
            "x = 2 cos t",
            "x(t) = cos 2t\nY = sin(3t)",
        ] {
            assert!(goes_on(open), "{open}");
        }
        for whole in [
            "",
            "ball(2)",
            "// (",
            "x^2 + y^2",
            "\"(\"",
            ")",
            "x = cos(t)\ny = sin(t)\nz = t",
            "x = cos t, y = sin t, z = t",
            "x = y^2",
            "y = t",
            "x = cos t\nball(3)",
            ":help (",
            "ball(\n",
            "def f(x):\n  return x\n",
            "\\frac{1}{2}",
        ] {
            assert!(!goes_on(whole), "{whole}");
        }
    }
}
