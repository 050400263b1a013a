//! What is told about words: reference records, help, completion, pages of the book. All of it is read from the table
//! of declarations, so that nothing told here can differ from what a script can call.

mod book;
mod complete;
mod help;

pub use book::{Page, pages};
pub use complete::{Completion, call_at, complete};
pub use help::{help, listing};

use serde::Serialize;

use crate::value::Value;
use crate::words::{self, Borrowed, Module, Param, Shelved, Word};

/// All that is told about one word.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// As a script writes it; a function of a module follows the module's name and `::`.
    pub name: String,
    /// The chapter of the reference.
    pub family: String,
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
    /// What it gives, as a kind, where one is declared.
    pub result: Option<&'static str>,
    /// Scripts that show it.
    pub examples: Vec<String>,
}

/// All that is told about a parameter.
#[derive(Clone, Debug, Serialize)]
pub struct Parameter {
    /// Its name.
    pub name: String,
    /// What it takes: "a number"; empty where that is said in `about`.
    pub wants: &'static str,
    /// The unit of its numbers.
    pub unit: Option<&'static str>,
    /// What it is when left out; it must be given when there is none.
    pub default: Option<String>,
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
    /// Words, family by family; then what the engine brings, then the modules that ship with the language.
    pub words: Vec<Entry>,
    /// Values with a name.
    pub constants: Vec<Named>,
}

/// The chapter of functions for lists, maps and texts.
const BORROWED: &str = "lists and texts";

/// The whole reference.
pub fn reference() -> Reference {
    let constants = words::constants().into_iter().map(|c| Named { name: c.name, about: c.doc });
    let shelved = words::modules().iter().flat_map(Module::functions).map(shelved);
    let borrowed = words::borrowed().iter().map(borrowed);
    Reference {
        words: words::all().map(entry).chain(borrowed).chain(shelved).collect(),
        constants: constants.collect(),
    }
}

/// What is told about the word of this name.
pub fn find(name: &str) -> Option<Entry> {
    words::find(name).map(entry).or_else(|| reference().words.into_iter().find(|entry| entry.name == name))
}

fn entry(word: &'static Word) -> Entry {
    let (_, more) = paragraphs(word.doc);
    Entry {
        name: word.name.into(),
        family: word.family.into(),
        signature: word.signature(),
        summary: word.summary(),
        more,
        source: word.source(),
        params: word.params.iter().map(parameter).collect(),
        result: Some(word.result.name()),
        examples: word.examples.iter().map(|example| (*example).into()).collect(),
    }
}

fn borrowed(word: &Borrowed) -> Entry {
    let (script, value) = word.example;
    Entry {
        name: word.name.into(),
        family: BORROWED.into(),
        signature: word.signature.into(),
        summary: word.doc.into(),
        more: String::new(),
        source: None,
        params: Vec::new(),
        result: None,
        examples: vec![format!("{script}  // {value}")],
    }
}

fn shelved(function: Shelved) -> Entry {
    let (summary, more) = paragraphs(&function.doc);
    Entry {
        name: format!("{}::{}", function.module, function.name),
        family: format!("module {}", function.module),
        signature: format!("{}::{}", function.module, function.signature),
        summary,
        more,
        source: Some(function.source).filter(|source| !source.is_empty()),
        params: function
            .params
            .into_iter()
            .map(|(name, about)| Parameter { name, wants: "", unit: None, default: None, about })
            .collect(),
        result: None,
        examples: Some(function.example).filter(|example| !example.is_empty()).into_iter().collect(),
    }
}

/// The first paragraph and the others, each paragraph as one line, without the source.
fn paragraphs(doc: &str) -> (String, String) {
    let told = doc.split("Source:").next().unwrap_or("");
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
        name: param.name.into(),
        wants: param.wants,
        unit: param.unit,
        default: param.default.map(|default| match (default.value)() {
            Value::Map(map) if map.is_empty() => "#{}".to_owned(),
            list @ Value::List(_) => list.to_string(),
            _ => default.text.to_owned(),
        }),
        about: joined(param.doc),
    }
}
