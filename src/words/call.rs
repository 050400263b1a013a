//! One call of a word: its arguments bound to its parameters, and what it may ask of the run.

use super::Word;
use super::declare::Param;
use crate::base::{Box3, Vec2, Vec3, Watch};
use crate::form::net::Net;
use crate::form::tiling::Tiling;
use crate::form::{Curve, Flat, FormFault, Group, Solid, Surface};
use crate::formula::Expr;
use crate::shape::Mesh;
use crate::value::{Asked, Fault, Fill, FlatPiece, Function, Part, Piece, Value, Want, got, nearest};

/// What a word may ask of the run it is part of.
pub trait Host {
    /// Calls a function of the script.
    ///
    /// # Errors
    /// Whatever goes wrong in it.
    fn call(&self, function: &Function, arguments: Vec<Value>) -> Result<Value, Fault>;
    /// The value of a parameter in this run; remembers that the script has it.
    ///
    /// # Errors
    /// The value set by the host does not fit.
    fn ask(&self, asked: Asked) -> Result<Value, Fault>;
    /// Remembers something to make.
    ///
    /// # Errors
    /// The name is taken.
    fn make(&self, piece: &Piece) -> Result<(), Fault>;
    /// Remembers flat work to make.
    ///
    /// # Errors
    /// The name is taken.
    fn make_flat(&self, piece: &FlatPiece) -> Result<(), Fault>;
    /// Measures of a solid, taken from a mesh at the run's tolerance.
    ///
    /// # Errors
    /// It cannot be realised, or not within the limits.
    fn measure(&self, solid: &Solid) -> Result<Measured, Fault>;

    /// The area of a surface, mm².
    ///
    /// # Errors
    /// When it cannot be realised.
    fn spread(&self, surface: &Surface) -> Result<f64, Fault>;
    /// A mesh of a solid at the run's tolerance, and that tolerance, mm. Where the run has none, it is a part of `longest`
    /// mm, or of the solid's longest extent.
    ///
    /// # Errors
    /// It cannot be realised, or not within the limits.
    fn mesh(&self, solid: &Solid, longest: Option<f64>) -> Result<(Mesh, f64), Fault>;
    /// The bytes of a file beside the script.
    ///
    /// # Errors
    /// It is not there, or may not be read.
    fn file(&self, name: &str) -> Result<Vec<u8>, Fault>;
    /// The outlines of a solid's section at a height, mm, at the run's tolerance, and that tolerance, mm; `extent` is a box that
    /// holds the solid.
    ///
    /// # Errors
    /// It cannot be realised, or nothing is there.
    fn section(&self, solid: &Solid, extent: Box3, height: f64) -> Result<(Vec<Vec<Vec2>>, f64), Fault>;
    /// A line said to whoever runs the script.
    fn say(&self, line: String);
    /// Who is told how far long work is, and says when it should stop.
    fn watch(&self) -> &dyn Watch;
    /// The fault of work that was told to stop.
    fn stopped(&self) -> Fault;
}

/// Measures of a realised solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// mm³.
    pub volume: f64,
    /// mm².
    pub area: f64,
    /// Longest extent along x, y, z, mm.
    pub size: Vec3,
    /// Handles of the boundary, over all its parts.
    pub genus: i64,
    /// Separate parts of the boundary.
    pub parts: i64,
}

/// A call of a word under way.
pub struct Call<'a> {
    word: &'static Word,
    slots: Vec<Value>,
    taken: usize,
    host: &'a dyn Host,
}

impl<'a> Call<'a> {
    /// Binds arguments to the parameters of a word: by order, then by name from a map in the last place.
    ///
    /// # Errors
    /// Too many, too few, or an unknown name.
    pub fn bind(word: &'static Word, mut arguments: Vec<Value>, host: &'a dyn Host) -> Result<Self, Fault> {
        let named = match arguments.last() {
            Some(Value::Map(map)) if Self::reads_as_options(word, arguments.len()) => {
                let map = map.clone();
                arguments.pop();
                map
            }
            _ => std::collections::BTreeMap::new(),
        };
        if arguments.len() > word.params.len() {
            return Err(count_fault(word, arguments.len()));
        }
        let given = arguments.len();
        let mut slots: Vec<Option<Value>> = arguments.into_iter().map(Some).collect();
        slots.resize(word.params.len(), None);
        for (name, value) in named {
            let Some(i) = word.params.iter().position(|p| p.name == name) else {
                return Err(unknown_option(word, &name).part(Part::Argument(given)));
            };
            if slots[i].is_some() {
                let what = format!("{}: `{name}` is given twice, in its place and by name", word.name);
                return Err(Fault::new(what).part(Part::Argument(given)));
            }
            slots[i] = Some(value);
        }
        let filled: Option<Vec<Value>> = slots
            .into_iter()
            .zip(word.params)
            .map(|(slot, p): (Option<Value>, &Param)| slot.or_else(|| p.default.map(|d| (d.value)())))
            .collect();
        let slots = filled.ok_or_else(|| count_fault(word, given))?;
        Ok(Self { word, slots, taken: 0, host })
    }

    /// The fault of a call with a number of arguments that the word does not take.
    pub fn miscounted(word: &Word, given: usize) -> Fault {
        count_fault(word, given)
    }

    fn reads_as_options(word: &Word, count: usize) -> bool {
        word.params.get(count - 1).is_none_or(|p| !p.takes_map)
    }

    /// The word called.
    pub fn word(&self) -> &'static Word {
        self.word
    }

    /// What the word may ask of the run.
    pub fn host(&self) -> &'a dyn Host {
        self.host
    }

    /// The next argument as the kind its parameter declares.
    ///
    /// # Errors
    /// It is of another kind, or out of range.
    pub fn take<T: Fill>(&mut self) -> Result<T::Rust, Fault> {
        let (param, value) = (&self.word.params[self.taken], &self.slots[self.taken]);
        let index = self.taken;
        self.taken += 1;
        T::fill(value).map_err(|want| misfit(self.word, param, value, &want).part(Part::Argument(index)))
    }
}

fn misfit(word: &Word, param: &Param, value: &Value, want: &Want) -> Fault {
    let unit = param.unit.map_or(String::new(), |u| format!(" [{u}]"));
    let got = got(value, want);
    match want {
        Want::Range(says) => Fault::new(format!("{}: `{}` {says}, got {got}", word.name, param.name)),
        Want::Kind | Want::Instead(_) => {
            let fault =
                Fault::new(format!("{}: `{}` is {}{unit}, got {got}", word.name, param.name, param.wants));
            match want {
                Want::Instead(hint) => fault.hint(hint.clone()),
                _ => fault.hint(format!("it is called as {}", word.signature())),
            }
        }
    }
}

/// The fault of a wrong number of arguments.
fn count_fault(word: &Word, given: usize) -> Fault {
    let (least, most) = (word.required(), word.params.len());
    let wants = match (least, most) {
        (a, b) if a == b => format!("{a} argument{}", if a == 1 { "" } else { "s" }),
        (a, b) => format!("{a} to {b} arguments"),
    };
    Fault::new(format!("{}: takes {wants}, got {given}", word.name))
        .hint(format!("it is called as {}", word.signature()))
}

fn unknown_option(word: &Word, name: &str) -> Fault {
    let known: Vec<&str> = word.params.iter().map(|p| p.name).collect();
    let fault = Fault::new(format!("{}: there is no option `{name}`", word.name));
    match nearest(name, known.iter().copied()) {
        Some(near) => fault.hint(format!("did you mean `{near}`?")),
        None => fault.hint(format!("options are {}", known.join(", "))),
    }
}

/// What a body may fail with.
pub(super) trait Complaint {
    /// As a fault of this word.
    fn fault(self, word: &Word) -> Fault;
}

impl Complaint for Fault {
    fn fault(self, _: &Word) -> Fault {
        self
    }
}

impl Complaint for FormFault {
    fn fault(self, word: &Word) -> Fault {
        Fault::new(format!("{}: {self}", word.name)).hint(format!("it is called as {}", word.signature()))
    }
}

/// What the body of a word may end in.
pub(super) trait Ended {
    /// The value or the fault.
    ///
    /// # Errors
    /// What the body failed with.
    fn ended(self, word: &Word) -> Result<Value, Fault>;
}

impl<T: Into<Value>, E: Complaint> Ended for Result<T, E> {
    fn ended(self, word: &Word) -> Result<Value, Fault> {
        self.map(Into::into).map_err(|e| e.fault(word))
    }
}

macro_rules! ends_in {
    ($($kind:ty),*) => {
        $(impl Ended for $kind {
            fn ended(self, _: &Word) -> Result<Value, Fault> {
                Ok(self.into())
            }
        })*
    };
}

ends_in!(
    Value,
    (),
    bool,
    i64,
    f64,
    String,
    Expr,
    Solid,
    Surface,
    Curve,
    Flat,
    Group,
    Tiling,
    Net,
    Vec<Value>,
    Vec3
);
