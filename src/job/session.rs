//! A session: line by line, as at the REPL.

use super::{Outcome, Wishes, setting_value};
use crate::script::{self, Meant, Setting};
use crate::value::Fault;

/// A script that grows line by line.
pub struct Session {
    inner: script::Session,
    wishes: Wishes,
}

impl Session {
    pub(super) fn new(setting: Setting, wishes: Wishes) -> Self {
        Self { inner: script::Session::new(setting), wishes }
    }

    /// Runs a line of script, or takes a bare formula. After a fault everything is as it was before.
    ///
    /// # Errors
    /// Whatever is wrong with the line, at its place.
    pub fn line(&mut self, text: &str) -> Result<Outcome, Fault> {
        let source = self.inner.source(text);
        match self.inner.meant(&source)? {
            Meant::Script => Ok(Outcome::of_script(&source, self.inner.run(&source)?)),
            Meant::Formula { reading, also } => {
                let mut outcome = Outcome::of_formula(&source, *reading, self.wishes)?;
                outcome.said.extend(also);
                Ok(outcome)
            }
        }
    }

    /// The session as a script that runs.
    pub fn script(&self) -> String {
        self.inner.script()
    }

    /// Names that have a value, newest first.
    pub fn names(&self) -> Vec<String> {
        self.inner.names()
    }

    /// Sets a parameter for the lines to come: a number, `true`, `false`, or else a text.
    pub fn set(&mut self, name: &str, value: &str) {
        self.inner.set(name, setting_value(value));
    }
}
