//! A session: line by line, as at the REPL.

use super::{Outcome, Wishes, setting_value};
use crate::script::{self, Meant, Setting};
use crate::value::{Asked, Fault};

/// A script that grows line by line.
pub struct Session {
    inner: script::Session,
    wishes: Wishes,
    /// The parameters asked for so far.
    asked: Vec<Asked>,
}

impl Session {
    pub(super) fn new(setting: Setting, wishes: Wishes) -> Self {
        Self { inner: script::Session::new(setting), wishes, asked: Vec::new() }
    }

    /// Runs a line of script, or takes a bare formula. After a fault everything is as it was before.
    ///
    /// # Errors
    /// Whatever is wrong with the line, at its place.
    pub fn line(&mut self, text: &str) -> Result<Outcome, Fault> {
        let source = self.inner.source(text);
        match self.inner.meant(&source)? {
            Meant::Script => {
                let mut outcome = Outcome::of_script(&source, self.inner.run(&source)?);
                // The line may use what lines before it made.
                outcome.script = self.script();
                self.remember(&outcome.params);
                Ok(outcome)
            }
            Meant::Formula { reading, also } => {
                let mut outcome = Outcome::of_formula(*reading, &self.wishes)?;
                outcome.said.extend(also);
                // The session keeps the line of script that the formula stands for.
                let line = self.inner.source(&outcome.script);
                self.inner.run(&line)?;
                self.remember(&outcome.params);
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

    fn remember(&mut self, params: &[Asked]) {
        self.asked.retain(|known| !params.iter().any(|new| new.name == known.name));
        self.asked.extend_from_slice(params);
    }

    /// Sets a parameter for the lines to come: a number, `true`, `false`, or else a text.
    ///
    /// # Errors
    /// A parameter of this name that was asked for does not allow the value.
    pub fn set(&mut self, name: &str, value: &str) -> Result<(), Fault> {
        let value = setting_value(value);
        if let Some(asked) = self.asked.iter().find(|asked| asked.name == name) {
            asked.allows(&value)?;
        }
        if let Some(x) = value.number() {
            self.wishes.values.insert(name.to_owned(), x);
        }
        self.inner.set(name, value);
        Ok(())
    }
}
