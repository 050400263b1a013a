//! Braid words as people write them: numbers, letters of the alphabet or generators, with powers and brackets.

/// Highest power, and most letters, that are written out.
const MOST: usize = 1000;
/// Deepest brackets.
const DEEP: usize = 20;

/// The letters of a word such as `1 -2`, `aB`, `s1 s2^-1`, `σ₁σ₂⁻¹`, `1^3` or `(1 2)^7`, in one of these styles; `None` for
/// anything else, for more than 1000 letters, and for no letter.
pub(super) fn read(text: &str) -> Option<Vec<i64>> {
    let text: Vec<char> = level(&text.replace("sigma", "σ")).chars().collect();
    let mut reader = Reader { text, at: 0, style: None };
    let word = reader.word(0)?;
    (reader.at == reader.text.len() && !word.is_empty()).then_some(word)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Style {
    Numbers,
    Letters,
    Generators,
}

struct Reader {
    text: Vec<char>,
    at: usize,
    style: Option<Style>,
}

impl Reader {
    /// Letters up to the end or a closing bracket.
    fn word(&mut self, depth: usize) -> Option<Vec<i64>> {
        let mut word = Vec::new();
        loop {
            self.pass(|c| c.is_whitespace() || ",;*·\\".contains(c));
            if self.peek().is_none_or(closes) {
                return Some(word);
            }
            let one = self.atom(depth)?;
            let power = self.power()?;
            let times = power.unsigned_abs() as usize;
            if times > MOST || word.len() + one.len() * times > MOST {
                return None;
            }
            let part: Vec<i64> = match power < 0 {
                true => one.iter().rev().map(|k| -k).collect(),
                false => one,
            };
            word.extend(part.repeat(times));
        }
    }

    fn atom(&mut self, depth: usize) -> Option<Vec<i64>> {
        let first = self.peek()?;
        if opens(first) {
            self.at += 1;
            let inner = (depth < DEEP).then(|| self.word(depth + 1))??;
            return self.take(closes).map(|_| inner);
        }
        if (first == 's' || first == 'σ') && self.generator_follows() {
            self.at += 1;
            let number = self.wrapped(false)?;
            return self.of(Style::Generators, number).filter(|_| number != 0);
        }
        if first == '-' || first.is_ascii_digit() {
            // "1-2" is no word: "1 -2" is.
            let apart = self.at == 0 || !self.text[self.at - 1].is_ascii_digit();
            let number = self.number().filter(|_| apart)?;
            return self.of(Style::Numbers, number);
        }
        let letter = first.is_ascii_alphabetic().then_some(first)?;
        self.at += 1;
        let number = i64::from(letter.to_ascii_lowercase() as u32 - 'a' as u32) + 1;
        self.of(Style::Letters, if letter.is_ascii_uppercase() { -number } else { number })
    }

    /// One letter, when all of the word are in one style.
    fn of(&mut self, style: Style, letter: i64) -> Option<Vec<i64>> {
        (*self.style.get_or_insert(style) == style).then(|| vec![letter])
    }

    /// Whether a number stands behind the letter, set low or not.
    fn generator_follows(&self) -> bool {
        let rest = self.text[self.at + 1..].iter().find(|c| !(c.is_whitespace() || "_{(".contains(**c)));
        rest.is_some_and(char::is_ascii_digit)
    }

    /// What stands behind `^`, not 0; 1 without one.
    fn power(&mut self) -> Option<i64> {
        let from = self.at;
        self.pass(char::is_whitespace);
        if self.take(|c| c == '^').is_none() {
            self.at = from;
            return Some(1);
        }
        self.wrapped(true).filter(|p| *p != 0)
    }

    /// A number, in brackets or not.
    fn wrapped(&mut self, sign: bool) -> Option<i64> {
        self.pass(|c| c.is_whitespace() || c == '_');
        let open = self.take(opens).is_some();
        self.pass(char::is_whitespace);
        let number = self.number().filter(|n| sign || *n >= 0)?;
        self.pass(|c| open && c.is_whitespace());
        (!open || self.take(closes).is_some()).then_some(number)
    }

    fn number(&mut self) -> Option<i64> {
        let from = self.at;
        self.take(|c| c == '-');
        self.pass(|c| c.is_ascii_digit());
        self.text[from..self.at].iter().collect::<String>().parse().ok()
    }

    fn peek(&self) -> Option<char> {
        self.text.get(self.at).copied()
    }

    fn take(&mut self, one: impl Fn(char) -> bool) -> Option<char> {
        let found = self.peek().filter(|c| one(*c))?;
        self.at += 1;
        Some(found)
    }

    fn pass(&mut self, over: impl Fn(char) -> bool) {
        while self.take(&over).is_some() {}
    }
}

fn opens(c: char) -> bool {
    "([{".contains(c)
}

fn closes(c: char) -> bool {
    ")]}".contains(c)
}

/// The text with low figures on the line, and high ones too, after a `^`.
fn level(text: &str) -> String {
    let figure =
        |all: &str, c: char| all.chars().position(|d| d == c).and_then(|k| "0123456789-".chars().nth(k));
    let mut out = String::with_capacity(text.len());
    let mut raised = false;
    for c in text.chars() {
        let high = figure("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", c);
        if high.is_some() && !raised {
            out.push('^');
        }
        raised = high.is_some();
        let low = if c == '−' { Some('-') } else { figure("₀₁₂₃₄₅₆₇₈₉", c) };
        out.push(high.or(low).unwrap_or(c));
    }
    out
}
