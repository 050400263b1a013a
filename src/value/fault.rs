//! The one fault at the border: what, where in the script, and what to do about it.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use super::Source;

/// A stretch of a source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The text.
    pub source: Arc<Source>,
    /// Bytes of the text to underline.
    pub span: Range<usize>,
}

impl Place {
    /// Line and column of the first character, both from 1, the column in characters.
    pub fn line_column(&self) -> (usize, usize) {
        self.source.line_column(self.span.start)
    }

    /// The text underlined.
    pub fn text(&self) -> &str {
        self.source.text.get(self.span.clone()).unwrap_or("")
    }
}

/// Which part of a call a fault is about, as long as its place in the text is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// The argument with this index, from 0.
    Argument(usize),
    /// These bytes of the text given as the argument with this index.
    Within(usize, Range<usize>),
}

/// What went wrong, where, and what to do about it. Never in the engine's own words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault(Box<Detail>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Detail {
    what: String,
    hint: String,
    at: Option<Place>,
    calls: Vec<(String, Place)>,
    part: Option<Part>,
    limit: bool,
    said: Vec<String>,
}

impl Fault {
    /// A fault in one sentence; no place yet, no hint.
    pub fn new(what: impl Into<String>) -> Self {
        Self(Box::new(Detail {
            what: what.into(),
            hint: String::new(),
            at: None,
            calls: Vec::new(),
            part: None,
            limit: false,
            said: Vec::new(),
        }))
    }

    /// With what to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.0.hint = hint.into();
        self
    }

    /// About one part of a call.
    #[must_use]
    pub fn part(mut self, part: Part) -> Self {
        self.0.part = Some(part);
        self
    }

    /// At a place, unless it has one.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.0.at.get_or_insert(place);
        self
    }

    /// Reached through a call of `name` at `place`.
    #[must_use]
    pub fn through(mut self, name: impl Into<String>, place: Place) -> Self {
        self.0.calls.push((name.into(), place));
        self
    }

    /// A limit was reached: a script cannot catch it.
    #[must_use]
    pub fn as_limit(mut self) -> Self {
        self.0.limit = true;
        self
    }

    /// With the lines that the script had said before.
    #[must_use]
    pub fn after(mut self, said: Vec<String>) -> Self {
        self.0.said = said;
        self
    }

    /// The lines that the script had said before.
    pub fn said(&self) -> &[String] {
        &self.0.said
    }

    /// One sentence, without place.
    pub fn what(&self) -> &str {
        &self.0.what
    }

    /// What to do about it; may be empty.
    pub fn advice(&self) -> &str {
        &self.0.hint
    }

    /// Where it is.
    pub fn place(&self) -> Option<&Place> {
        self.0.at.as_ref()
    }

    /// The calls it was reached through, innermost first.
    pub fn calls(&self) -> &[(String, Place)] {
        &self.0.calls
    }

    /// The part of a call that it is about.
    pub fn about(&self) -> Option<&Part> {
        self.0.part.as_ref()
    }

    /// True when a limit was reached.
    pub fn is_limit(&self) -> bool {
        self.0.limit
    }

    /// All of it as plain text: place, sentence, the line with the place underlined, hint, calls.
    pub fn report(&self) -> String {
        let mut out = String::new();
        if let Some(place) = self.place() {
            let (line, column) = place.line_column();
            out += &format!("{}:{line}:{column}: ", place.source.name);
        }
        out += self.what();
        out.push('\n');
        if let Some(place) = self.place() {
            let (line, column) = place.line_column();
            let text = place.source.text.lines().nth(line - 1).unwrap_or("");
            let left = text.chars().count().saturating_sub(column - 1).max(1);
            let width = place.text().lines().next().map_or(1, |t| t.chars().count()).clamp(1, left);
            out += &format!("  {text}\n  {}{}\n", " ".repeat(column - 1), "^".repeat(width));
        }
        if !self.advice().is_empty() {
            out += &format!("  hint: {}\n", self.advice());
        }
        for (name, place) in self.calls() {
            let (line, column) = place.line_column();
            out += &format!("  called by {name} at {}:{line}:{column}\n", place.source.name);
        }
        out
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.what())
    }
}

impl std::error::Error for Fault {}

impl miette::Diagnostic for Fault {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let calls = self.calls().iter().map(|(name, place)| {
            let (line, column) = place.line_column();
            format!("called by {name} at {}:{line}:{column}", place.source.name)
        });
        let lines: Vec<String> =
            Some(self.advice().to_owned()).into_iter().filter(|h| !h.is_empty()).chain(calls).collect();
        (!lines.is_empty()).then(|| Box::new(lines.join("\n")) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn miette::SourceCode> {
        self.place().map(|place| &*place.source as &dyn miette::SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = miette::LabeledSpan> + '_>> {
        let place = self.place()?;
        let label = miette::LabeledSpan::underline(place.span.clone());
        Some(Box::new(std::iter::once(label)))
    }
}

impl miette::SourceCode for Source {
    fn read_span<'a>(
        &'a self,
        span: &miette::SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn miette::SpanContents<'a> + 'a>, miette::MietteError> {
        let inner = self.text.read_span(span, before, after)?;
        Ok(Box::new(miette::MietteSpanContents::new_named(
            self.name.clone(),
            inner.data(),
            *inner.span(),
            inner.line(),
            inner.column(),
            inner.line_count(),
        )))
    }
}
