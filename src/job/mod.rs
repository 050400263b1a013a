//! One run: text in; value, pieces, findings, pictures and files out. What front ends paint.

mod flat;
mod looking;
mod making;
mod outcome;
mod scripts;
mod session;
mod understand;

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

pub use looking::Fine;
pub use making::{Files, Made, material_named};
pub use outcome::Outcome;
pub use scripts::scripts;
pub use session::Session;
pub use understand::{Remark, Understood, Values, understand};

pub use crate::script::{Clock, Head, Limits, Reader, Shelf};

use crate::base::Tolerance;
use crate::script::{Meant, Runner, Setting};
use crate::value::{Fault, Source, Value};

/// The language, set up for a host: the way in for programs that embed it.
///
/// Nothing is read, written, printed or timed unless the host hands in the means.
///
/// ```
/// use ogee::Ogee;
///
/// let outcome = Ogee::new()
///     .set("radius", "12")
///     .run(r#"
///         let radius = param("radius", 20, [5, 40], "mm");
///         make("bead", ball(radius) - rod(2, 3 * radius));
///     "#)?;
/// assert_eq!(outcome.pieces[0].name, "bead");
/// assert_eq!(outcome.params[0].value.number(), Some(12.0));
/// # Ok::<(), ogee::value::Fault>(())
/// ```
///
/// What is wrong with a script is told with its place, in words for its maker:
///
/// ```
/// let fault = ogee::Ogee::new().run("ball(20).shft(1, 2, 3)").unwrap_err();
/// assert_eq!(fault.what(), "there is no word `shft`");
/// assert!(fault.advice().starts_with("did you mean `shift`?"));
/// assert_eq!(fault.place().map(|p| p.line_column()), Some((1, 10)));
/// ```
#[derive(Clone, Default)]
pub struct Ogee {
    name: Option<String>,
    setting: Setting,
    wishes: Wishes,
}

/// What a host wants of bare formulas and of meshes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Wishes {
    /// Longest side of a bare formula's form, mm.
    pub size: Option<f64>,
    /// Thickness of its wall, mm.
    pub wall: Option<f64>,
    /// Values of its free names.
    pub values: BTreeMap<String, f64>,
}

/// Said where a size or a wall is asked of a script.
const SCRIPTS_SIZE: &str = "the size and the wall asked for were left out: they are for bare formulas, a script sets its own (change a parameter)";

impl Ogee {
    /// The language with its usual limits; it reads no files and knows no time.
    pub fn new() -> Self {
        Self::default()
    }

    /// What the text is called in faults, such as the name of its file.
    #[must_use]
    pub fn with_name(mut self, name: impl Into<String>) -> Self {
        self.name = Some(name.into());
        self
    }

    /// What a run may use.
    #[must_use]
    pub fn with_limits(mut self, limits: Limits) -> Self {
        self.setting.limits = limits;
        self
    }

    /// A clock, for the limit on time: time since any fixed moment; [`Duration::MAX`] ends the run.
    #[must_use]
    pub fn with_clock(mut self, clock: impl Fn() -> Duration + Send + Sync + 'static) -> Self {
        self.setting.clock = Some(Arc::new(clock));
        self
    }

    /// Where modules beside the script come from.
    #[must_use]
    pub fn with_reader(mut self, reader: impl Reader + 'static) -> Self {
        self.setting.reader = Some(Arc::new(reader));
        self
    }

    /// How far a mesh may lie from the exact form; by default chosen from the size of the form.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: Tolerance) -> Self {
        self.setting.tolerance = Some(tolerance);
        self
    }

    /// Longest side that a bare formula is brought to, mm.
    #[must_use]
    pub fn with_size(mut self, mm: f64) -> Self {
        self.wishes.size = Some(mm);
        self
    }

    /// Thickness of the wall that a bare equation is given, mm.
    #[must_use]
    pub fn with_wall(mut self, mm: f64) -> Self {
        self.wishes.wall = Some(mm);
        self
    }

    /// Sets a parameter of the script: a number, `true`, `false`, or else a text.
    #[must_use]
    pub fn set(mut self, name: &str, value: &str) -> Self {
        let value = setting_value(value);
        if let Some(x) = value.number() {
            self.wishes.values.insert(name.to_owned(), x);
        }
        self.setting.set.insert(name.to_owned(), value);
        self
    }

    /// Runs a script, or a bare formula.
    ///
    /// # Errors
    /// Whatever is wrong with the text, at its place.
    pub fn run(&self, text: &str) -> Result<Outcome, Fault> {
        let source = Arc::new(Source::new(self.name.as_deref().unwrap_or("script"), text));
        let runner = Runner::new(self.setting.clone());
        let outcome = match runner.meant(&source, &|_| false)? {
            Meant::Script => {
                let mut outcome = Outcome::of_script(&source, runner.run(&source)?);
                if self.wishes.size.or(self.wishes.wall).is_some() {
                    outcome.said.push(SCRIPTS_SIZE.to_owned());
                }
                outcome
            }
            Meant::Formula { reading, also } => {
                self.numbers_only()?;
                let mut outcome = Outcome::of_formula(*reading, &self.wishes)?;
                outcome.said.extend(also);
                outcome
            }
        };
        let unknown = self.setting.set.keys().find(|name| !outcome.params.iter().any(|p| p.name == **name));
        match unknown {
            Some(name) => Err(unknown_param(name, &outcome)),
            None => Ok(outcome),
        }
    }

    /// Refuses what a formula's name was set to and is no number.
    fn numbers_only(&self) -> Result<(), Fault> {
        match self.setting.set.iter().find(|(_, value)| value.number().is_none()) {
            Some((name, value)) => {
                Err(Fault::new(format!("`{name}` of a formula must be a number, and {value} is none"))
                    .hint(format!("write it out, such as {name}=0.5")))
            }
            None => Ok(()),
        }
    }

    /// A session that goes on line by line.
    pub fn session(&self) -> Session {
        Session::new(self.setting.clone(), self.wishes.clone())
    }
}

/// The value that a host's text stands for.
pub(crate) fn setting_value(text: &str) -> Value {
    match text {
        "true" => Value::Truth(true),
        "false" => Value::Truth(false),
        _ => match (text.parse::<i64>(), text.parse::<f64>()) {
            (Ok(i), _) => Value::Whole(i),
            (_, Ok(x)) if x.is_finite() => Value::Number(x),
            _ => Value::text(text),
        },
    }
}

fn unknown_param(name: &str, outcome: &Outcome) -> Fault {
    let known: Vec<&str> = outcome.params.iter().map(|p| p.name.as_str()).collect();
    let fault = Fault::new(format!("the script has no parameter `{name}`"));
    match (crate::value::nearest(name, known.iter().copied()), known.as_slice()) {
        (Some(near), _) => fault.hint(format!("did you mean `{near}`?")),
        (None, []) => fault.hint("it has no parameters: `param(\"name\", default)` makes one"),
        (None, names) => fault.hint(format!("its parameters are {}", names.join(", "))),
    }
}
