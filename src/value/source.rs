//! A text with a name, and the way from a line and a column to a byte.

use std::ops::Range;

/// A script, a module or a line typed at the REPL.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Shown to people: a file's name, or what stands in its place.
    pub name: String,
    /// The text.
    pub text: String,
}

impl Source {
    /// A text with a name.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), text: text.into() }
    }

    /// The byte at a line and a column, both from 1, columns in characters; the end of the text when past it.
    pub fn offset(&self, line: usize, column: usize) -> usize {
        let start = self.text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum::<usize>();
        let start = start.min(self.text.len());
        let rest = &self.text[start..];
        let within = rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(i, _)| i);
        start + within
    }

    /// Line and column of a byte, both from 1, the column in characters.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        let start = before.rfind('\n').map_or(0, |i| i + 1);
        (before.matches('\n').count() + 1, before[start..].chars().count() + 1)
    }

    /// The bytes of the word, number, text or sign that begins at `start`.
    pub fn token(&self, start: usize) -> Range<usize> {
        let rest = self.text.get(start..).unwrap_or("");
        let mut chars = rest.chars();
        let letter = |c: char| c.is_alphanumeric() || c == '_';
        let length = match chars.next() {
            None => 0,
            Some(c) if letter(c) => rest.find(|c: char| !letter(c) && c != '.').map_or(rest.len(), |i| {
                if c.is_ascii_digit() { i } else { rest.find(|c| !letter(c)).unwrap_or(i) }
            }),
            Some(q @ ('"' | '`')) => closing(rest, q),
            Some(c) => {
                let signs = "<>=!&|*+-/^.:";
                match rest.find(|d| !signs.contains(d)) {
                    Some(end) if end > 0 => end,
                    _ => c.len_utf8(),
                }
            }
        };
        start..start + length
    }

    /// The bytes of each argument of the call whose name stands at `start`; for a call written after a dot, the
    /// first is what stands before the dot.
    pub fn arguments(&self, start: usize) -> Vec<Range<usize>> {
        let name = self.token(start);
        let mut found = Vec::new();
        let before = self.text[..start].trim_end();
        if before.ends_with('.') {
            found.push(receiver(&self.text[..before.len() - 1]));
        }
        let after = &self.text[name.end..];
        let Some(open) = after.find('(').filter(|i| after[..*i].trim().is_empty()) else { return found };
        let mut from = name.end + open + 1;
        let mut depth = 0_i32;
        let mut at = from;
        while let Some(c) = self.text[at..].chars().next() {
            let mut step = c.len_utf8();
            match c {
                '"' | '`' => step = closing(&self.text[at..], c),
                '(' | '[' | '{' => depth += 1,
                ')' | ']' | '}' if depth == 0 => break,
                ')' | ']' | '}' => depth -= 1,
                ',' if depth == 0 => {
                    found.push(trimmed(&self.text, from..at));
                    from = at + 1;
                }
                _ => {}
            }
            at += step;
        }
        found.push(trimmed(&self.text, from..at));
        found
    }
}

/// Length of the quoted text at the head of `rest`, quotes included; to the end when it is not closed.
fn closing(rest: &str, quote: char) -> usize {
    let mut skip = false;
    for (i, c) in rest.char_indices().skip(1) {
        match c {
            _ if skip => skip = false,
            '\\' => skip = true,
            c if c == quote => return i + 1,
            _ => {}
        }
    }
    rest.len()
}

/// The range without the blanks at its ends.
fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let part = &text[range.clone()];
    let lead = part.len() - part.trim_start().len();
    let kept = part.trim().len();
    range.start + lead..range.start + lead + kept
}

/// The word or bracket that ends `text`: what a dot after it is asked of.
fn receiver(text: &str) -> Range<usize> {
    let end = text.trim_end().len();
    let mut depth = 0_i32;
    let mut start = end;
    for (i, c) in text[..end].char_indices().rev() {
        match c {
            ')' | ']' => depth += 1,
            '(' | '[' if depth == 0 => break,
            '(' | '[' => depth -= 1,
            c if depth == 0 && !(c.is_alphanumeric() || c == '_' || c == '.') => break,
            _ => {}
        }
        start = i;
    }
    start..end
}

#[cfg(test)]
mod tests {
    use super::*;

    fn s(text: &str) -> Source {
        Source::new("t", text)
    }

    #[test]
    fn a_place_goes_to_a_byte_and_back() {
        let source = s("a\nθ = bad(1)\n");
        let at = source.offset(2, 5);
        assert_eq!(&source.text[source.token(at)], "bad");
        assert_eq!(source.line_column(at), (2, 5));
        assert_eq!(source.offset(9, 9), source.text.len());
    }

    #[test]
    fn tokens_end_where_they_should() {
        for (text, token) in [("12.5+x", "12.5"), ("\"a\\\"b\" + 1", "\"a\\\"b\""), ("<= 3", "<="), ("", "")]
        {
            assert_eq!(&text[s(text).token(0)], token);
        }
    }

    #[test]
    fn arguments_are_told_apart() {
        let text = "x.y(1).ball( [1, 2], \"a,b\" )";
        let source = s(text);
        let found: Vec<_> = source.arguments(7).into_iter().map(|r| &text[r]).collect();
        assert_eq!(found, ["x.y(1)", "[1, 2]", "\"a,b\""]);
    }
}
