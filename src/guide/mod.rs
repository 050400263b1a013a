//! What is told about words: reference records, help, completion, pages of the book. All of it is read from the table
//! of declarations, so that nothing told here can differ from what a script can call.

mod book;
mod complete;
mod help;

pub use book::{Page, pages};
pub use complete::{Completion, call_at, complete};
pub use help::{help, listing};

use serde::Serialize;

use crate::words::{self, Param, Word};

/// All that is told about one word.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// As a script writes it.
    pub name: &'static str,
    /// The chapter of the reference.
    pub family: &'static str,
    /// How it is called; what may be left out stands in brackets.
    pub signature: String,
    /// One sentence.
    pub summary: String,
    /// All sentences after the first, without the source; may be empty.
    pub more: String,
    /// Where its mathematics comes from.
    pub source: Option<String>,
    /// Its parameters in order.
    pub params: Vec<Parameter>,
    /// What it gives, as a kind.
    pub result: &'static str,
    /// Scripts that show it.
    pub examples: &'static [&'static str],
}

/// All that is told about a parameter.
#[derive(Clone, Debug, Serialize)]
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// What it takes: "a number".
    pub wants: &'static str,
    /// The unit of its numbers.
    pub unit: Option<&'static str>,
    /// What it is when left out; it must be given when there is none.
    pub default: Option<&'static str>,
    /// What it means.
    pub about: String,
}

/// A value with a name.
#[derive(Clone, Debug, Serialize)]
pub struct Named {
    /// As a script writes it.
    pub name: &'static str,
    /// One sentence.
    pub about: &'static str,
}

/// The whole reference.
#[derive(Clone, Debug, Serialize)]
pub struct Reference {
    /// Words, family by family.
    pub words: Vec<Entry>,
    /// Values with a name.
    pub constants: Vec<Named>,
}

/// The whole reference.
pub fn reference() -> Reference {
    let constants = words::constants().into_iter().map(|c| Named { name: c.name, about: c.doc });
    Reference { words: words::all().map(entry).collect(), constants: constants.collect() }
}

/// What is told about the word of this name.
pub fn find(name: &str) -> Option<Entry> {
    words::find(name).map(entry)
}

fn entry(word: &'static Word) -> Entry {
    let (_, more) = paragraphs(word);
    Entry {
        name: word.name,
        family: word.family,
        signature: word.signature(),
        summary: word.summary(),
        more,
        source: word.source(),
        params: word.params.iter().map(parameter).collect(),
        result: word.result.name(),
        examples: word.examples,
    }
}

/// The first paragraph and the others, each paragraph as one line, without the source.
fn paragraphs(word: &Word) -> (String, String) {
    let told = word.doc.split("Source:").next().unwrap_or("");
    let mut paragraphs = told.trim().split("\n\n").map(joined).filter(|p| !p.is_empty());
    let first = paragraphs.next().unwrap_or_default();
    (first, paragraphs.collect::<Vec<_>>().join("\n\n"))
}

/// Lines of a comment as running text.
fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn parameter(param: &'static Param) -> Parameter {
    Parameter {
        name: param.name,
        wants: param.wants,
        unit: param.unit,
        default: param.default.map(|default| default.text),
        about: joined(param.doc),
    }
}
