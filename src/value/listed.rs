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
                        w.replace('−', "-")
                            .parse()
                            .map_err(|_| Want::Range(format!("holds \"{w}\", which is no whole number")))
                    })
                    .collect()
            }
            _ => Err(Want::Kind),
        }
    }
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
        assert!(matches!(Points::fill(&list(&[1, 2, 3])), Err(Want::Range(_))));
    }
}
