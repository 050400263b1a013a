//! Completion and hints while a line is typed.

use super::reference;

/// A name that the text before the cursor may become.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// The whole name.
    pub name: String,
    /// What to show beside it.
    pub signature: String,
    /// What to put in: the name, with an opening bracket when it is a word.
    pub text: String,
}

/// Letters of a name; a function of a module is named with its module.
fn in_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_' || c == ':'
}

/// Names that begin as the text before the cursor (a byte place) ends, and where that beginning starts.
pub fn complete(line: &str, cursor: usize) -> (usize, Vec<Completion>) {
    let before = line.get(..cursor).unwrap_or(line);
    let start = before
        .char_indices()
        .rev()
        .take_while(|(_, c)| in_name(*c))
        .last()
        .map_or(before.len(), |(at, _)| at);
    let begun = &before[start..];
    if begun.is_empty() || begun.starts_with(|c: char| c.is_numeric()) {
        return (start, Vec::new());
    }
    let reference = reference();
    let words = reference.words.into_iter().map(|word| Completion {
        text: format!("{}(", word.name),
        name: word.name,
        signature: word.signature,
    });
    let constants = reference.constants.into_iter().map(|c| Completion {
        name: c.name.into(),
        signature: c.name.into(),
        text: c.name.into(),
    });
    let mut found: Vec<Completion> = words.chain(constants).filter(|c| c.name.starts_with(begun)).collect();
    found.sort_by(|a, b| a.name.cmp(&b.name));
    (start, found)
}

/// The signature of the word whose brackets are open at the end of the text.
pub fn call_at(before: &str) -> Option<String> {
    let mut closed = 0;
    for (at, c) in before.char_indices().rev() {
        match c {
            ')' => closed += 1,
            '(' if closed > 0 => closed -= 1,
            '(' => {
                let name: String = before[..at].chars().rev().take_while(|c| in_name(*c)).collect();
                let name: String = name.chars().rev().collect();
                return super::find(&name).map(|entry| entry.signature);
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_beginning_is_completed() {
        let (start, found) = complete("let a = bal", 11);
        assert_eq!(start, 8);
        assert_eq!(found[0].text, "ball(");
        assert!(complete("2", 1).1.is_empty());
        assert!(complete("", 0).1.is_empty());
        assert!(complete("ä", 1).1.is_empty(), "a place inside a letter is no place");
    }

    #[test]
    fn the_open_call_is_found() {
        assert!(call_at("make(\"a\", ball(").unwrap().starts_with("ball("));
        assert!(call_at("make(ball(2), ").unwrap().starts_with("make("));
        assert_eq!(call_at("ball(2)"), None);
        assert_eq!(call_at("(2 + "), None);
    }
}
