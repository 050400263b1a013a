//! Parameters that take lists: points, curves, letters, codes.

use super::{Fill, Point, Value, Want, Whole};
use crate::base::Vec3;
use crate::form::Curve;

/// Points: a list of lists of three numbers.
#[derive(Debug)]
pub enum Points {}
impl Fill for Points {
    type Rust = Vec<Vec3>;
    const WANTS: &'static str = "a list of points, each a list of three numbers";
    const UNIT: Option<&'static str> = Some("mm");
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        let Value::List(items) = value else { return Err(Want::Kind) };
        let point = |(i, item): (usize, &Value)| {
            Point::fill(item).map_err(|want| {
                let why = match want {
                    Want::Range(says) => says,
                    _ => "must be a list of three numbers".to_owned(),
                };
                Want::Range(format!("holds points: item {i} {why}"))
            })
        };
        items.iter().enumerate().map(point).collect()
    }
}

/// Curves: a list of them, or one.
#[derive(Debug)]
pub enum Curves {}
impl Fill for Curves {
    type Rust = Vec<Curve>;
    const WANTS: &'static str = "a list of curves";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        let one = |v: &Value| match v {
            Value::Curve(c) => Ok(c.clone()),
            _ => Err(Want::Kind),
        };
        match value {
            Value::List(items) => items.iter().map(one).collect(),
            other => one(other).map(|c| vec![c]),
        }
    }
}

/// Whole numbers: a list of them, or a text with blanks or commas between.
#[derive(Debug)]
pub enum Letters {}
impl Fill for Letters {
    type Rust = Vec<i64>;
    const WANTS: &'static str = "a list of whole numbers, or a text of them";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        match value {
            Value::List(items) => items.iter().map(Whole::fill).collect(),
            Value::Text(text) => {
                let marks = |c: char| c.is_whitespace() || ",;[](){}".contains(c);
                let words = text.split(marks).filter(|w| !w.is_empty());
                words
                    .map(|w| {
                        w.replace('−', "-").parse().map_err(|_| {
                            Want::Range(format!(
                                "holds \"{w}\", which is no whole number; it is written as in \"1 -2 1 -2\""
                            ))
                        })
                    })
                    .collect()
            }
            _ => Err(Want::Kind),
        }
    }
}

/// The letters of a braid word: whole numbers, or a text of them, of letters (`aBaB`, capitals are inverse), or of
/// generators (`s1 s2^-1`, `σ₁σ₂⁻¹`).
#[derive(Debug)]
pub enum BraidWord {}
impl Fill for BraidWord {
    type Rust = Vec<i64>;
    const WANTS: &'static str = Letters::WANTS;
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        let Value::Text(text) = value else { return Letters::fill(value) };
        match generators(text).or_else(|| alphabet(text)) {
            Some(word) => Ok(word),
            None => Letters::fill(value),
        }
    }
}

/// A word in letters of the alphabet alone.
fn alphabet(text: &str) -> Option<Vec<i64>> {
    let letters = text.chars().filter(|c| !(c.is_whitespace() || ",;*·".contains(*c)));
    let word: Option<Vec<i64>> = letters
        .map(|c| match c {
            'a'..='z' => Some(i64::from(c as u32 - 'a' as u32) + 1),
            'A'..='Z' => Some(-i64::from(c as u32 - 'A' as u32) - 1),
            _ => None,
        })
        .collect();
    word.filter(|w| !w.is_empty())
}

/// A word in generators with their powers.
fn generators(text: &str) -> Option<Vec<i64>> {
    /// Highest power that is written out.
    const MOST: i64 = 1000;
    let plain: String = lowered(&text.replace("sigma", "σ")).chars().filter_map(plain).collect();
    let mut word = Vec::new();
    let mut parts = plain.split(['s', 'σ']);
    if !parts.next()?.is_empty() {
        return None;
    }
    for part in parts {
        let (number, power) = part.split_once('^').unwrap_or((part, "1"));
        let (number, power) = (number.parse::<u32>().ok()?, power.parse::<i64>().ok()?);
        if number == 0 || !(1..=MOST).contains(&power.abs()) {
            return None;
        }
        word.extend(std::iter::repeat_n(i64::from(number) * power.signum(), power.unsigned_abs() as usize));
    }
    (!word.is_empty()).then_some(word)
}

/// What is raised, on the line after a `^`.
fn lowered(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut raised = false;
    for c in text.chars() {
        let low = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻".chars().position(|d| d == c).and_then(|k| "0123456789-".chars().nth(k));
        if low.is_some() && !raised {
            out.push('^');
        }
        raised = low.is_some();
        out.push(low.unwrap_or(c));
    }
    out
}

/// A character of a word in generators without what only dresses it.
fn plain(c: char) -> Option<char> {
    let at = |all: &str| all.chars().position(|d| d == c).and_then(|k| char::from_digit(k as u32, 10));
    match c {
        _ if c.is_whitespace() || "_{}\\,*·()".contains(c) => None,
        '−' => Some('-'),
        _ => at("₀₁₂₃₄₅₆₇₈₉").or(Some(c)),
    }
}

/// Crossings of a planar-diagram code: lists of four whole numbers, or a text of them.
#[derive(Debug)]
pub enum Crossings {}
impl Fill for Crossings {
    type Rust = Vec<[i64; 4]>;
    const WANTS: &'static str = "a list of lists of four whole numbers, or a text of them";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        match value {
            Value::List(items) => items.iter().enumerate().map(four).collect(),
            Value::Text(text) => fours(text),
            _ => Err(Want::Kind),
        }
    }
}

fn four((i, item): (usize, &Value)) -> Result<[i64; 4], Want> {
    let wrong = || Want::Range(format!("holds lists of four whole numbers, item {i} is none"));
    let Value::List(four) = item else { return Err(wrong()) };
    let four: Result<Vec<i64>, Want> = four.iter().map(Whole::fill).collect();
    four.ok().and_then(|f| <[i64; 4]>::try_from(f).ok()).ok_or_else(wrong)
}

/// Numbers of a text, such as `PD[X[1, 5, 2, 4], …]`, four by four.
fn fours(text: &str) -> Result<Vec<[i64; 4]>, Want> {
    let words = text.split(|c: char| !c.is_ascii_digit()).filter(|w| !w.is_empty());
    let all: Result<Vec<i64>, _> = words.map(str::parse).collect();
    let all = all.map_err(|_| Want::Range("holds a number that is too large".to_owned()))?;
    let (fours, rest) = all.as_chunks::<4>();
    if !rest.is_empty() || fours.is_empty() {
        return Err(Want::Range(format!(
            "holds four whole numbers for each crossing, got {} in all",
            all.len()
        )));
    }
    Ok(fours.to_vec())
}

/// Lists of whole numbers, one for each strand; one list stands for one strand.
#[derive(Debug)]
pub enum Code {}
impl Fill for Code {
    type Rust = Vec<Vec<i64>>;
    const WANTS: &'static str = "a list of whole numbers, or a list of such lists";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        match value {
            Value::List(items) if matches!(items.first(), Some(Value::List(_))) => {
                items.iter().map(Letters::fill).collect()
            }
            other => Letters::fill(other).map(|one| vec![one]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_read_in_the_ways_people_write_them() {
        let list = |items: &[i64]| Value::List(items.iter().map(|i| Value::Whole(*i)).collect());
        assert_eq!(Letters::fill(&Value::text("1 −2, 3")), Ok(vec![1, -2, 3]));
        assert_eq!(Code::fill(&list(&[4, 6, 2])), Ok(vec![vec![4, 6, 2]]));
        assert_eq!(Code::fill(&Value::List(vec![list(&[1]), list(&[2, 3])])), Ok(vec![vec![1], vec![2, 3]]));
        assert!(matches!(Letters::fill(&Value::text("1 b")), Err(Want::Range(_))));
        for word in [
            "1 -2 1 -2",
            "aBaB",
            "a B, a B",
            "s1 s2^-1 s1 s2^-1",
            "σ₁σ₂⁻¹σ₁σ₂⁻¹",
            "\\sigma_1 \\sigma_{2}^{-1} s1 s2^{-1}",
        ] {
            assert_eq!(BraidWord::fill(&Value::text(word)), Ok(vec![1, -2, 1, -2]), "{word}");
        }
        assert_eq!(BraidWord::fill(&Value::text("s1^3 s2")), Ok(vec![1, 1, 1, 2]));
        for word in ["1 x", "a 1", "s1 s2^", "s0", "s1^2000", "", "é"] {
            assert!(!matches!(BraidWord::fill(&Value::text(word)), Ok(w) if !w.is_empty()), "{word}");
        }
        let crossings = [[1, 5, 2, 4], [3, 1, 4, 6]];
        let listed = Value::List(crossings.iter().map(|c| list(c)).collect());
        assert_eq!(Crossings::fill(&listed), Ok(crossings.to_vec()));
        assert_eq!(Crossings::fill(&Value::text("PD[X[1, 5, 2, 4], X[3,1,4,6]]")), Ok(crossings.to_vec()));
        assert!(matches!(Crossings::fill(&Value::text("X[1, 5, 2]")), Err(Want::Range(_))));
        assert!(matches!(Points::fill(&list(&[1, 2, 3])), Err(Want::Range(_))));
    }
}
