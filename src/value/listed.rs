//! Parameters that take lists: points, curves, letters, codes.

use std::collections::BTreeMap;

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
                // "P(-2, 3, 7)": the family before its numbers.
                let named =
                    text.trim().split_once('(').filter(|(head, _)| ["P", "p", "C"].contains(&head.trim()));
                let text = named.map_or(&**text, |(_, rest)| rest);
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

/// Conway's numbers of a 2-bridge link: a list, a text with blanks or commas between, a text of figures as tables print
/// them (`2112`), or its fraction (`13/5`).
#[derive(Debug)]
pub enum Twists {}
impl Fill for Twists {
    type Rust = Vec<i64>;
    const WANTS: &'static str = "a list of whole numbers, or a text of them";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        let Value::Text(text) = value else { return Letters::fill(value) };
        let bare = text.trim().trim_start_matches("C(").trim_matches(['[', ']', '(', ')']);
        if let Some((p, q)) = bare.split_once('/') {
            let number = |s: &str| s.trim().replace('−', "-").parse::<i64>().ok();
            let fraction = number(p).zip(number(q)).and_then(|(p, q)| continued(p, q));
            return fraction.ok_or_else(|| {
                Want::Range(format!(
                    "holds \"{text}\": a fraction of a 2-bridge link is p/q with p > q > 0 and no common factor, as \"13/5\""
                ))
            });
        }
        let figure = |c: char| c.to_digit(10).map(i64::from);
        match bare.chars().map(figure).collect::<Option<Vec<i64>>>() {
            Some(figures) if !figures.is_empty() => Ok(figures),
            _ => Letters::fill(value),
        }
    }
}

/// The numbers of the continued fraction p/q = a + 1/(b + 1/(c + …)), the last first; `None` when p/q is none of a 2-bridge
/// link.
fn continued(p: i64, q: i64) -> Option<Vec<i64>> {
    let (mut p, mut q) = if q > 0 && p > q { (p, q) } else { return None };
    let mut all = Vec::new();
    while q > 0 {
        all.push(p / q);
        (p, q) = (q, p % q);
    }
    all.reverse();
    (p == 1).then_some(all)
}

/// The letters of a braid word: whole numbers, or a text of them, of letters (`aBaB`, capitals are inverse), or of
/// generators (`s1 s2^-1`, `σ₁σ₂⁻¹`); with powers, also of a part in brackets (`(1 2)^7`).
#[derive(Debug)]
pub enum BraidWord {}
impl Fill for BraidWord {
    type Rust = Vec<i64>;
    const WANTS: &'static str = Letters::WANTS;
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        let Value::Text(text) = value else { return Letters::fill(value) };
        match super::braid_word::read(text) {
            Some(word) => Ok(word),
            None => Letters::fill(value),
        }
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

/// A Gauss code with the signs of its crossings, as far as they are told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gauss {
    /// For each strand its crossings, below 0 where it passes below.
    pub strands: Vec<Vec<i64>>,
    /// True for a right-handed crossing, by its number.
    pub signs: BTreeMap<u64, bool>,
}

/// A Gauss code: whole numbers, or a text such as `O1+ U2+ O3+ U1+ O2+ U3+`, its strands ended by `;`.
#[derive(Debug)]
pub enum GaussCode {}
impl Fill for GaussCode {
    type Rust = Gauss;
    const WANTS: &'static str = "a list of whole numbers, a list of such lists, or a text";
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        match value {
            Value::Text(text) if text.contains(['O', 'U', 'o', 'u']) => gauss(text),
            other => Code::fill(other).map(|strands| Gauss { strands, signs: BTreeMap::new() }),
        }
    }
}

/// Visits "O1+", "U2-", "O3" of each strand.
fn gauss(text: &str) -> Result<Gauss, Want> {
    let mut found = Gauss::default();
    for strand in text.to_uppercase().replace('−', "-").split([';', '|']).filter(|s| !s.trim().is_empty()) {
        let mut visits = Vec::new();
        // A visit starts at its letter: blanks and commas may be left out.
        let spaced = strand.replace('O', " O").replace('U', " U");
        let marks = |c: char| c.is_whitespace() || ",()[]".contains(c);
        for word in spaced.split(marks).filter(|w| !w.is_empty()) {
            let wrong =
                || Want::Range(format!("holds \"{word}\"; a visit is written as \"O1+\", \"U2-\" or \"O3\""));
            let sign = if word.starts_with('O') { 1 } else { -1 };
            let rest = word.strip_prefix(['O', 'U']).ok_or_else(wrong)?;
            let number = rest.trim_end_matches(['+', '-']);
            let k: u32 = number.parse().ok().filter(|k| *k > 0).ok_or_else(wrong)?;
            match &rest[number.len()..] {
                "" => {}
                hand @ ("+" | "-") => {
                    let right = hand == "+";
                    if found.signs.insert(u64::from(k), right).is_some_and(|before| before != right) {
                        return Err(Want::Range(format!("gives crossing {k} both signs")));
                    }
                }
                _ => return Err(wrong()),
            }
            visits.push(sign * i64::from(k));
        }
        found.strands.push(visits);
    }
    Ok(found)
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
        for (word, letters) in [
            ("1^3", vec![1, 1, 1]),
            ("a b^-1", vec![1, -2]),
            ("(1 -2)^2", vec![1, -2, 1, -2]),
            ("(s1 s2)^{-1}", vec![-2, -1]),
            ("(aB)²", vec![1, -2, 1, -2]),
            ("[1, -2]", vec![1, -2]),
            ("1 0", vec![1, 0]),
        ] {
            assert_eq!(BraidWord::fill(&Value::text(word)), Ok(letters), "{word}");
        }
        assert_eq!(Letters::fill(&Value::text("P(-2,3,7)")), Ok(vec![-2, 3, 7]));
        // 13/5 = 2 + 1/(1 + 1/(1 + 1/2)).
        for twists in ["2 1 1 2", "2112", "C(2, 1, 1, 2)", "[2 1 1 2]", "13/5", " 13 / 5 "] {
            assert_eq!(Twists::fill(&Value::text(twists)), Ok(vec![2, 1, 1, 2]), "{twists}");
        }
        assert_eq!(Twists::fill(&list(&[12])), Ok(vec![12]));
        for twists in ["6/4", "3/5", "5/0", "5/x", "2a"] {
            assert!(matches!(Twists::fill(&Value::text(twists)), Err(Want::Range(_))), "{twists}");
        }
        let signed = GaussCode::fill(&Value::text("O1-U2-O3-U1-O2-U3-")).unwrap();
        assert_eq!(signed.strands, [[1, -2, 3, -1, 2, -3]]);
        assert_eq!(signed.signs, BTreeMap::from([(1, false), (2, false), (3, false)]));
        let two = GaussCode::fill(&Value::text("O1 U2; U1, O2")).unwrap();
        assert_eq!((two.strands, two.signs.len()), (vec![vec![1, -2], vec![-1, 2]], 0));
        for code in ["O1 X2", "O1+ U1-", "O0", "O1 2"] {
            assert!(matches!(GaussCode::fill(&Value::text(code)), Err(Want::Range(_))), "{code}");
        }
        for word in ["1 x", "a 1", "s1 s2^", "s0", "s1^2000", "", "é", "((1^999)^999)^999"] {
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
