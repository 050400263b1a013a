//! How a command ends, and how its faults are told.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::ops::Range;
use std::process::ExitCode;

use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode};
use serde_json::{Value as Json, json};

use super::excerpt::{excerpt, is_plain, visible};
use crate::formula::ReadFault;
use crate::value::Fault;

/// A finding failed: what was made breaks a rule.
pub const FINDING_FAILS: u8 = 1;
/// The input cannot be used.
pub const INPUT_AT_FAULT: u8 = 2;

/// Why a command ends early.
#[derive(Debug)]
pub enum Stop {
    /// Something to tell.
    Fault(Box<Complaint>),
    /// Something to tell about a script.
    Script(Box<Fault>),
    /// Whoever read our output has gone: nothing to tell, and nobody to tell it to.
    NobodyReads,
}

impl Stop {
    /// What to tell, if there is anything.
    pub fn told(&self) -> Option<&dyn Diagnostic> {
        match self {
            Self::Fault(complaint) => Some(&**complaint),
            Self::Script(fault) => Some(&**fault),
            Self::NobodyReads => None,
        }
    }

    /// Tells on standard error what a script had said before its fault.
    pub fn said_before(&self) {
        if let Self::Script(fault) = self {
            fault.said().iter().for_each(|line| {
                // Standard error may be closed; then there is nobody to tell.
                let _ = writeln!(io::stderr(), "{}", visible(line));
            });
        }
    }

    /// As one JSON object, as every command tells its faults when asked for JSON.
    fn json(&self) -> Json {
        match self {
            Self::Fault(complaint) => error(&complaint.what, complaint.at.clone(), &complaint.hint),
            Self::Script(fault) => {
                error(fault.what(), fault.place().map_or(0..0, |place| place.span.clone()), fault.advice())
            }
            Self::NobodyReads => Json::Null,
        }
    }
}

fn error(what: &str, at: Range<usize>, hint: &str) -> Json {
    json!({ "error": { "what": what, "at": [at.start, at.end], "hint": hint } })
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        Self::Script(Box::new(fault))
    }
}

/// A fault as it is shown: what, where in which text, what to do.
#[derive(Debug)]
pub struct Complaint {
    what: String,
    hint: String,
    text: Option<NamedSource<String>>,
    at: Range<usize>,
}

impl Complaint {
    /// About something that has no text.
    pub fn new(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { what: what.into(), hint: hint.into(), text: None, at: 0..0 }
    }

    /// About the pasted text that could not be read.
    pub fn of_reading(text: &str, fault: ReadFault) -> Self {
        let source = NamedSource::new("pasted text", text.to_owned());
        let at = fault.at.start.min(text.len())..fault.at.end.min(text.len());
        Self { what: fault.what, hint: fault.hint, text: (!text.trim().is_empty()).then_some(source), at }
    }
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)
    }
}

impl std::error::Error for Complaint {}

impl Diagnostic for Complaint {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        (!self.hint.is_empty()).then(|| Box::new(&self.hint) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.text.as_ref().map(|text| text as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        self.text.as_ref()?;
        Some(Box::new(std::iter::once(LabeledSpan::underline(self.at.clone()))))
    }
}

impl From<Complaint> for Stop {
    fn from(complaint: Complaint) -> Self {
        Self::Fault(Box::new(complaint))
    }
}

impl From<io::Error> for Stop {
    fn from(fault: io::Error) -> Self {
        match fault.kind() {
            io::ErrorKind::BrokenPipe => Self::NobodyReads,
            _ => Complaint::new(fault.to_string(), "").into(),
        }
    }
}

/// A fault about a text that is too long, or holds too strange characters, to be shown whole.
fn shortened(fault: &dyn Diagnostic) -> Option<Complaint> {
    let label = fault.labels()?.next()?;
    let contents = fault.source_code()?.read_span(label.inner(), 1, 1).ok()?;
    let text = std::str::from_utf8(contents.data()).ok()?;
    if is_plain(text) {
        return None;
    }
    let from = label.offset().saturating_sub(contents.span().offset());
    let (shown, at) = excerpt(text, from..from + label.len());
    let name = contents.name().unwrap_or("text").to_owned();
    let hint = fault.help().map_or(String::new(), |hint| hint.to_string());
    let text = Some(NamedSource::new(name, shown));
    Some(Complaint { what: visible(&fault.to_string()), hint: visible(&hint), text, at })
}

/// Tells a fault on standard error: drawn and coloured on a terminal, plain elsewhere.
pub fn tell(fault: &dyn Diagnostic) {
    let short = shortened(fault);
    let fault = short.as_ref().map_or(fault, |short| short as &dyn Diagnostic);
    let fancy = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let theme = if fancy { GraphicalTheme::unicode() } else { GraphicalTheme::none() };
    let mut text = String::new();
    let drawn = GraphicalReportHandler::new_themed(theme).with_links(false).render_report(&mut text, fault);
    if drawn.is_err() {
        text = format!("{fault}\n");
    }
    // Standard error may be closed; then there is nobody to tell.
    let _ = io::stderr().write_all(text.trim_start_matches('\n').as_bytes());
}

/// The exit status of an outcome, told where it needs telling; as JSON on standard output where that was asked for.
pub fn status(outcome: Result<u8, Stop>, json: bool) -> ExitCode {
    match outcome {
        Ok(status) => status.into(),
        Err(stop) => {
            let Some(told) = stop.told() else { return ExitCode::SUCCESS };
            stop.said_before();
            if json {
                let _ = writeln!(io::stdout(), "{}", stop.json());
            }
            tell(told);
            INPUT_AT_FAULT.into()
        }
    }
}
