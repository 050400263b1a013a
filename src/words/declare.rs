//! The macro that declares words, and the records it makes.

use super::Call;
use crate::value::{Fault, Kind, Value};

/// A parameter of a word.
#[derive(Clone, Copy, Debug)]
pub struct Param {
    /// Its name, as messages and named options have it.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// What it takes, with article: "a number".
    pub wants: &'static str,
    /// The unit of its numbers.
    pub unit: Option<&'static str>,
    /// What it is when left out; a parameter without must be given.
    pub default: Option<Default>,
    /// True when it takes a map of its own.
    pub takes_map: bool,
}

/// What a parameter is when left out.
#[derive(Clone, Copy, Debug)]
pub struct Default {
    /// As the declaration has it.
    pub text: &'static str,
    /// The value.
    pub value: fn() -> Value,
}

/// Everything there is to know of a script function.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// As a script writes it.
    pub name: &'static str,
    /// The chapter of the reference.
    pub family: &'static str,
    /// What it does; the first paragraph is one sentence. May end in a line `Source: …`.
    pub doc: &'static str,
    /// Its parameters, in order; those with a default stand last.
    pub params: &'static [Param],
    /// What it gives.
    pub result: Kind,
    /// Scripts whose last value is of the declared kind.
    pub examples: &'static [&'static str],
    /// Scripts that end in a fault, and a part of what it says.
    pub fails: &'static [(&'static str, &'static str)],
    /// What it does.
    pub run: fn(&mut Call<'_>) -> Result<Value, Fault>,
}

impl Word {
    /// How it is called: `ball(radius)`, `block(x, [y], [z])`.
    pub fn signature(&self) -> String {
        let params = self.params.iter().map(|p| match p.default {
            Some(_) => format!("[{}]", p.name),
            None => p.name.to_owned(),
        });
        format!("{}({})", self.name, params.collect::<Vec<_>>().join(", "))
    }

    /// The first sentence of what it does.
    pub fn summary(&self) -> String {
        let first = self.doc.trim().split("\n\n").next().unwrap_or("");
        first.lines().map(str::trim).collect::<Vec<_>>().join(" ")
    }

    /// The reference that its mathematics comes from.
    pub fn source(&self) -> Option<String> {
        let (_, tail) = self.doc.split_once("Source:")?;
        let lines = tail.lines().map(str::trim).take_while(|l| !l.is_empty());
        Some(lines.collect::<Vec<_>>().join(" ").trim().to_owned())
    }

    /// How many arguments must be given.
    pub fn required(&self) -> usize {
        self.params.iter().filter(|p| p.default.is_none()).count()
    }
}

/// Declares the words of a family: one block each. See DEVELOPERS.md for how a block reads.
macro_rules! words {
    ($family:literal: $(
        $(#[doc = $doc:literal])+
        $name:ident $(with $host:ident)? (
            $($(#[doc = $about:literal])+ $param:ident : $fill:ty $(= $default:expr)?),* $(,)?
        ) -> $result:ident $body:block
        $(example { $example:literal })+
        $(fails { $wrong:literal => $says:literal })*
    )*) => {
        /// The words of this family.
        pub(super) const WORDS: &[$crate::words::Word] = &[$(
            $crate::words::Word {
                name: stringify!($name),
                family: $family,
                doc: concat!($($doc, "\n"),+),
                params: &[$($crate::words::Param {
                    name: stringify!($param),
                    doc: concat!($($about, "\n"),+),
                    wants: <$fill as $crate::value::Fill>::WANTS,
                    unit: <$fill as $crate::value::Fill>::UNIT,
                    default: words!(@default $($default)?),
                    takes_map: <$fill as $crate::value::Fill>::TAKES_MAP,
                }),*],
                result: $crate::value::Kind::$result,
                examples: &[$($example),+],
                fails: &[$(($wrong, $says)),*],
                run: |call| {
                    $(let $host = call.host();)?
                    $(let $param = call.take::<$fill>()?;)*
                    $crate::words::call::Ended::ended($body, call.word())
                },
            }
        ),*];
    };
    (@default) => { None };
    (@default $default:expr) => {
        Some($crate::words::Default {
            text: stringify!($default),
            value: || $crate::value::Value::from($default),
        })
    };
}
