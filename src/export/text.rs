//! Numbers and texts as file formats want them.

use super::Meta;

/// Appends a length in mm with at most six decimals, rounded to the nanometre; never an exponent, never "-0".
pub fn push_mm(out: &mut String, mm: f64) {
    let nm = (mm * 1e6).round() as i64;
    if nm < 0 {
        out.push('-');
    }
    let (whole, mut part) = (nm.unsigned_abs() / 1_000_000, nm.unsigned_abs() % 1_000_000);
    push_digits(out, whole, 1);
    if part > 0 {
        let mut width = 6;
        while part % 10 == 0 {
            part /= 10;
            width -= 1;
        }
        out.push('.');
        push_digits(out, part, width);
    }
}

/// Appends a whole number.
pub fn push_count(out: &mut String, count: u64) {
    push_digits(out, count, 1);
}

/// Appends a whole number with zeros in front up to `width` digits.
fn push_digits(out: &mut String, mut value: u64, width: usize) {
    let mut digits = [b'0'; 20];
    let mut start = 20;
    while value > 0 || 20 - start < width {
        start -= 1;
        digits[start] = b'0' + (value % 10) as u8;
        value /= 10;
    }
    out.extend(digits[start..].iter().map(|&digit| char::from(digit)));
}

/// The text on one line: every run of white space and control characters becomes a single space.
pub fn one_line(text: &str) -> String {
    let calm: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    calm.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text inside an XML element or attribute. Characters that XML 1.0 cannot hold become U+FFFD.
pub fn xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(c),
            '\0'..'\u{20}' | '\u{FFFE}' | '\u{FFFF}' => out.push('\u{FFFD}'),
            _ => out.push(c),
        }
    }
    out
}

/// What is told about a piece, as lines for a comment; empty texts left out.
pub fn comment_lines(meta: &Meta) -> Vec<String> {
    [("title", &meta.title), ("maker", &meta.maker), ("licence", &meta.licence), ("about", &meta.sentence)]
        .into_iter()
        .filter(|(_, text)| !text.trim().is_empty())
        .map(|(name, text)| format!("{name}: {}", one_line(text)))
        .collect()
}

/// The name and version of this program.
pub fn program() -> String {
    format!("Ogee {}", env!("CARGO_PKG_VERSION"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> String {
        let mut out = String::new();
        push_mm(&mut out, value);
        out
    }

    #[test]
    fn lengths_read_back_to_the_nanometre() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-1e-9, "0"),
            (1.5, "1.5"),
            (-0.000_001, "-0.000001"),
            (1e9, "1000000000"),
        ] {
            assert_eq!(mm(value), text);
        }
        for i in 0..2000 {
            let value = f64::from(i) * 0.731_234_567 - 700.0;
            assert!((mm(value).parse::<f64>().unwrap() - value).abs() <= 0.5e-6 + 1e-12);
        }
    }

    #[test]
    fn texts_cannot_break_out() {
        assert_eq!(xml("<a & \"b\">\u{1}"), "&lt;a &amp; &quot;b&quot;&gt;\u{FFFD}");
        assert_eq!(one_line("one\r\n two\u{0}three\u{1b}[0m"), "one two three [0m");
    }
}
