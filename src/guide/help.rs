//! Help as plain text for a terminal.

use super::{Entry, Parameter, find, reference};
use crate::value::{Fault, nearest};

/// Columns that help text keeps to.
const WIDTH: usize = 78;

/// All that is known about a word or constant.
///
/// # Errors
/// A fault that offers the nearest name when there is no such word.
pub fn help(name: &str) -> Result<String, Fault> {
    if let Some(entry) = find(name) {
        return Ok(about(&entry));
    }
    let reference = reference();
    if let Some(constant) = reference.constants.iter().find(|constant| constant.name == name) {
        return Ok(format!("{}\n  {}\n", constant.name, constant.about));
    }
    let known =
        reference.words.iter().map(|w| w.name.as_str()).chain(reference.constants.iter().map(|c| c.name));
    let hint = match nearest(name, known) {
        Some(near) => format!("the nearest is `{near}`"),
        None => "`words` lists them all".into(),
    };
    Err(Fault::new(format!("there is no word `{name}`")).hint(hint))
}

/// Every word in a line, family by family, then the constants.
pub fn listing() -> String {
    let reference = reference();
    let widest =
        reference.words.iter().map(|w| w.signature.chars().count()).filter(|n| *n <= 34).max().unwrap_or(0);
    let mut out = String::new();
    let mut family = "";
    for word in &reference.words {
        if word.family != family {
            family = &word.family;
            out += &format!("{}{family}\n", if out.is_empty() { "" } else { "\n" });
        }
        out += &row(&word.signature, &word.summary, widest);
    }
    out += "\nconstants\n";
    for constant in &reference.constants {
        out += &row(constant.name, constant.about, widest);
    }
    out
}

/// A name and what is said of it, side by side where they fit, below one another where not.
fn row(name: &str, about: &str, widest: usize) -> String {
    let indent = " ".repeat(widest + 4);
    let text = wrapped(about, WIDTH.saturating_sub(indent.len()).max(30)).join(&format!("\n{indent}"));
    if name.chars().count() <= widest {
        let gap = " ".repeat(widest - name.chars().count() + 2);
        format!("  {name}{gap}{text}\n")
    } else {
        format!("  {name}\n{indent}{text}\n")
    }
}

fn about(entry: &Entry) -> String {
    let result = entry.result.map(|kind| format!("  gives {kind}")).unwrap_or_default();
    // Only a long row of parameters is broken, under the first of them.
    let signature = match entry.signature.chars().count() > WIDTH {
        true => wrapped(&entry.signature, WIDTH - 4).join("\n    "),
        false => entry.signature.clone(),
    };
    let mut out = format!("{signature}{result}\n");
    for paragraph in std::iter::once(entry.summary.as_str()).chain(entry.more.split("\n\n")) {
        if !paragraph.is_empty() {
            out += &indented(paragraph);
        }
    }
    if !entry.params.is_empty() {
        out.push('\n');
    }
    for param in &entry.params {
        out += format!("  {}  {}", param.name, what(param)).trim_end();
        out.push('\n');
        out += &wrapped(&param.about, WIDTH - 6)
            .iter()
            .map(|line| format!("      {line}\n"))
            .collect::<String>();
    }
    for example in &entry.examples {
        out += "\n  example\n";
        out += &example.trim().lines().map(|line| format!("      {line}\n")).collect::<String>();
    }
    if let Some(source) = &entry.source {
        out += "\n";
        out += &indented(&format!("Source: {source}"));
    }
    out
}

/// What a parameter takes, with its unit and default.
pub(super) fn what(param: &Parameter) -> String {
    let mut out = param.wants.to_owned();
    if let Some(unit) = param.unit {
        out += &format!(" [{unit}]");
    }
    if let Some(default) = &param.default {
        out += &format!(", {default} when left out");
    }
    out
}

fn indented(text: &str) -> String {
    wrapped(text, WIDTH - 2).iter().map(|line| format!("  {line}\n")).collect()
}

/// Breaks running text into lines of at most `width` characters, where words allow.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > width {
            lines.push(String::new());
            used = 0;
        }
        if let Some(line) = lines.last_mut() {
            if used > 0 {
                line.push(' ');
                used += 1;
            }
            line.push_str(word);
            used += length;
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width() {
        let lines = wrapped("a bb ccc dddd eeeee ffffff", 8);
        assert_eq!(lines, ["a bb ccc", "dddd", "eeeee", "ffffff"]);
        assert_eq!(wrapped("", 8), [""]);
    }

    #[test]
    fn every_word_has_help_and_a_wrong_one_offers_the_nearest() {
        for word in reference().words {
            let text = help(&word.name).unwrap();
            let head = text.lines().next().unwrap_or_default();
            assert!(head.contains(&word.name), "{text}");
            assert!(text.lines().all(|line| line.chars().count() <= 110), "{text}");
        }
        let fault = help("bal").unwrap_err();
        assert!(fault.advice().contains("`ball`"), "{}", fault.advice());
    }
}
