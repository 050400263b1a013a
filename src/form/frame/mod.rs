//! Framing: what was pasted has no size and no ends; here it gets both, as a script would choose them.
//!
//! A [`Reading`] goes in with a size in mm; a [`Form`] comes out with the script that makes the same form and with
//! sentences that say what was chosen. Every number that was chosen is rounded before it is used, so that the
//! script gives the very same form.

mod chance;
mod clip;
mod height;
mod limited;
mod period;
mod place;
mod probe;
mod rim;
mod rooted;
mod swept;
#[cfg(test)]
mod tests;

use super::{Form, FormFault, Solid, Surface, clip as clip_surface, fit, intersection, tube, wall};
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Kind, Reading, Relation};
use clip::{spelled, told};
use height::Rescaled;
pub use period::{Answer, answer};

/// How a pasted formula should be shown.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameAsk {
    /// Longest side, mm.
    pub size: f64,
    /// Thickness of a surface, mm; chosen from the size when not given. A curve becomes a tube as thick.
    pub wall: Option<f64>,
    /// Whole cells of something periodic in each direction; chosen when not given.
    pub cells: Option<u32>,
    /// Values of free parameters; those not given are 1.
    pub values: Vec<(String, f64)>,
}

impl Default for FrameAsk {
    fn default() -> Self {
        Self { size: 60.0, wall: None, cells: None, values: Vec::new() }
    }
}

/// A pasted formula with size and ends.
#[derive(Clone, Debug)]
pub struct Framed {
    /// The form, in mm: a solid.
    pub form: Form,
    /// For a surface: the same without its wall.
    pub bare: Option<Form>,
    /// Lines of script that make the same form.
    pub script: String,
    /// What was chosen, in sentences.
    pub said: Vec<String>,
}

/// Why a formula could not be shown.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FrameFault {
    /// No place fulfils the equation or inequality.
    #[error("no point satisfies the formula")]
    NoPoint,
    /// The field reaches zero without crossing it.
    #[error("the formula is satisfied in single points or lines at most: there is no sheet to show")]
    Touches,
    /// Every place fulfils the inequality.
    #[error("every point satisfies the formula: there is no boundary to show")]
    AllSpace,
    /// The formula does not depend on place alone.
    #[error("the formula has names without a value")]
    NotOfSpace,
    /// The wall would be as thick as the piece is long.
    #[error("a wall of {wall} mm does not fit in a piece of {size} mm")]
    WallTooThick {
        /// Wall asked for, mm.
        wall: f64,
        /// Size asked for, mm.
        size: f64,
    },
    /// A number or step was refused.
    #[error(transparent)]
    Form(#[from] FormFault),
}

/// Longest sides that are framed, mm: from what a fine printer shows to what a solid is looked for in.
const SIZES: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;

/// Thickest part of the size that a wall may be.
const THICKEST: f64 = 0.5;
/// Wall as a part of the size, and least wall, mm, where none is asked for: a nylon or bronze print of this size
/// stands up to handling (common practice: 1 to 2 mm).
const WALL_PART: f64 = 1.0 / 30.0;
const LEAST_WALL: f64 = 1.2;

/// Gives a reading a size and ends.
///
/// # Errors
/// [`FrameFault`].
pub fn frame(reading: &Reading, ask: &FrameAsk) -> Result<Framed, FrameFault> {
    super::fault::positive("size", ask.size)?;
    if !SIZES.contains(&ask.size) {
        let why = format!("is to be {} to {} mm, got {}", SIZES.start(), SIZES.end(), ask.size);
        return Err(super::fault::unfit("size", why).into());
    }
    let thick = match (ask.wall, &reading.kind) {
        (Some(t), _) => super::fault::positive("wall", t)?,
        // A tube alone has less to hold it than a sheet.
        (None, Kind::Curve { .. }) => (2.0 * ask.size * WALL_PART).max(LEAST_WALL).min(ask.size * 0.25),
        (None, _) => (ask.size * WALL_PART).max(LEAST_WALL).min(ask.size * 0.25),
    };
    let thick = if ask.wall.is_none() { clip::round_near(thick) } else { thick };
    if thick > THICKEST * ask.size {
        return Err(FrameFault::WallTooThick { wall: thick, size: ask.size });
    }
    let (other, done) = rooted::without_root(reading).or_else(|| raised(reading)).unzip();
    let reading = other.as_ref().unwrap_or(reading);
    let flat = rescaled(reading, &Given::new(reading, ask, vec![]), ask)?;
    let reading = flat.as_ref().map_or(reading, |(made, _)| made);
    let done = done.into_iter().chain(flat.as_ref().map(|(_, said)| said.clone())).collect();
    let given = Given::new(reading, ask, done);
    match &reading.kind {
        Kind::Field { value, relation } => field(&given, (value, *relation), reading, ask, thick),
        Kind::Curve { components, param, range } => {
            let components = components.each_ref().map(|e| given.filled(e));
            swept::curve(&given, components, param, *range, (ask.size, thick))
        }
        Kind::Surface { components, params, ranges } => {
            let components = components.each_ref().map(|e| given.filled(e));
            swept::surface(&given, components, params, *ranges, (ask.size, thick))
        }
    }
}

/// The text of a reading, with its parameters given values.
pub(super) struct Given {
    text: String,
    /// Names that occur in it.
    own: Vec<String>,
    values: Vec<(String, f64)>,
    /// Names in the text whose values were asked for; the others are taken as 1.
    asked: Vec<String>,
    /// What was done to the text.
    done: Vec<String>,
}

impl Given {
    fn new(reading: &Reading, ask: &FrameAsk, done: Vec<String>) -> Self {
        let value = |n: &String| ask.values.iter().find(|(m, _)| m == n).map_or(1.0, |(_, v)| *v);
        let values = reading.free.iter().map(|n| (n.clone(), value(n))).collect();
        let asked = ask.values.iter().map(|(n, _)| n.clone()).collect();
        let own = reading.kind.names();
        Self { text: reading.normal.clone(), own, values, asked, done }
    }

    fn filled(&self, e: &Expr) -> Expr {
        let names: Vec<(&str, Expr)> =
            self.values.iter().map(|(n, v)| (n.as_str(), Expr::constant(*v))).collect();
        e.with(&names)
    }

    /// `field("…")` and the like, with what follows the text.
    fn called(&self, word: &str, more: &str) -> String {
        self.called_with(word, &self.text, &self.own, more)
    }

    /// The same of another text with its names.
    fn called_with(&self, word: &str, text: &str, used: &[String], more: &str) -> String {
        let names: Vec<String> =
            self.values.iter().filter(|(n, _)| used.contains(n)).map(|(n, _)| format!("{n}: {n}")).collect();
        let map = if names.is_empty() { String::new() } else { format!(", #{{{}}}", names.join(", ")) };
        let text = text.replace('\\', "\\\\").replace('"', "\\\"");
        format!("{word}(\"{text}\"{map}{more})")
    }

    /// The script: a line per parameter, then the form.
    fn script(&self, form: &str) -> String {
        let mut out = String::new();
        for (n, v) in &self.values {
            out.push_str(&format!("let {n} = param(\"{n}\", {});\n", spelled(*v)));
        }
        out + form
    }

    fn said(&self) -> Vec<String> {
        let taken = |(n, v): &(String, f64)| match self.asked.contains(n) {
            true => format!("{n} = {v}, as asked"),
            false => format!("`{n}` has no value in the text; taken as {v}"),
        };
        self.values.iter().map(taken).chain(self.done.clone()).collect()
    }
}

fn field(
    given: &Given,
    (value, relation): (&Expr, Relation),
    reading: &Reading,
    ask: &FrameAsk,
    thick: f64,
) -> Result<Framed, FrameFault> {
    let value = given.filled(value);
    let within = reading.within.as_ref().map(|e| given.filled(e));
    let solid = !matches!(relation, Relation::None | Relation::Equal);
    let mut subject =
        place::Subject::new(&value, solid, ask.cells, if solid { 0.0 } else { thick / ask.size })?;
    limited::take_up(&mut subject, &reading.limits, within.as_ref())?;
    let chosen = place::place(&subject)?;
    let mut said = given.said();
    said.extend(chosen.said);
    said.extend(reading.condition().map(|told| format!("cut where {told}")));
    let by = chosen.clip;
    let text = given.called("field", "");
    let cut = |form: String| match by {
        Some(c) => format!("({form} & {})", c.script()),
        None => form,
    };
    if solid {
        if ask.wall.is_some() {
            said.push(
                "an inequality is a solid: the wall asked for was left out (write = for a surface)"
                    .to_owned(),
            );
        }
        let all = endless(value);
        let part = match by {
            Some(c) => intersection(&all, &c.solid()?)?,
            None => all,
        };
        let script = format!("{}.fit({})", cut(format!("inside({text})")), spelled(ask.size));
        let script = given.script(&script);
        said.push(format!("{} mm long", spelled(ask.size)));
        return Ok(Framed { form: fit(&part, ask.size)?.into(), bare: None, script, said });
    }
    let all = Surface::Level(value);
    let mut clips = by.map(|c| c.solid()).transpose()?.into_iter().chain(within.map(endless));
    let clip = match (clips.next(), clips.next()) {
        (Some(a), Some(b)) => Some(intersection(&a, &b)?),
        (one, _) => one,
    };
    let (bare, size) = match clip {
        Some(clip) => {
            let cut = clip_surface(&all, &clip)?;
            let over = rim::overhang(&fit(&cut, ask.size)?, thick)?;
            (cut, hundredths(ask.size - over))
        }
        // A wall stands out by half its thickness on both sides.
        None => (all, ask.size - thick),
    };
    let part = fit(&bare, size)?;
    said.push(format!("{} mm long, wall {} mm", spelled(ask.size), spelled(thick)));
    let sheet = match reading.condition() {
        Some(told) => {
            let names = reading.within.as_ref().map(Expr::names).unwrap_or_default();
            format!("(level({text}, 0) & inside({}))", given.called_with("field", &told, &names, ""))
        }
        None => format!("level({text}, 0)"),
    };
    let sheet = cut(sheet);
    let script = format!("{sheet}.fit({}).wall({})", spelled(size), spelled(thick));
    Ok(Framed {
        form: wall(&part, thick)?.into(),
        bare: Some(part.into()),
        script: given.script(&script),
        said,
    })
}

/// The solid where a value is negative.
fn endless(value: Expr) -> Solid {
    Solid::Field { value, within: Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY)) }
}

/// An expression without an equals sign in two of the coordinates or one, as a height over them, with a sentence.
fn raised(reading: &Reading) -> Option<(Reading, String)> {
    let Kind::Field { value, relation: Relation::None } = &reading.kind else { return None };
    let names = value.names();
    let missing = place::NAMES.iter().rev().find(|n| !names.iter().any(|m| m == *n))?;
    if !place::NAMES.iter().any(|n| names.iter().any(|m| m == n)) {
        return None;
    }
    let made = reading.with_value(Expr::var(missing) - value.clone());
    let said = format!(
        "no equals sign and no {missing} in it: shown as the height {missing}; for where it is 0 add = 0"
    );
    Some((made, said))
}

/// A height that is too tall to be seen whole, or too flat, with other heights, and a sentence. What the text limits stays as
/// it is.
fn rescaled(
    reading: &Reading,
    given: &Given,
    ask: &FrameAsk,
) -> Result<Option<(Reading, String)>, FrameFault> {
    let Kind::Field { value, relation } = &reading.kind else { return Ok(None) };
    if !reading.limits.is_empty() || reading.within.is_some() {
        return Ok(None);
    }
    let solid = !matches!(relation, Relation::None | Relation::Equal);
    let subject = place::Subject::new(&given.filled(value), solid, ask.cells, 0.0)?;
    Ok(height::rescale(&subject).map(|(axis, by)| {
        let name = place::NAMES[axis];
        let (other, said) = match by {
            Rescaled::Divided(by) => {
                (Expr::var(name) * by, format!("{name} divided by {}, so that it is seen whole", told(by)))
            }
            Rescaled::Multiplied(by) => (
                Expr::var(name) / by,
                format!("{name} multiplied by {}, so that its rings are seen", told(by)),
            ),
        };
        (reading.with_value(value.with(&[(name, other)])), said)
    }))
}

/// The nearest whole hundredth.
fn hundredths(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

/// A sentence about periods.
fn period_text(axes: &[Answer; 3], count: f64) -> String {
    let mut groups: Vec<(f64, Vec<&str>)> = Vec::new();
    for (name, a) in place::NAMES.iter().zip(axes) {
        if let Answer::Period(p) = a {
            match groups.iter_mut().find(|(q, _)| (p - q).abs() <= 1e-9 * q) {
                Some((_, names)) => names.push(name),
                None => groups.push((*p, vec![name])),
            }
        }
    }
    if groups.is_empty() {
        return "does not depend on all coordinates: shown as a length of it".to_owned();
    }
    let list = |names: &[&str]| match names {
        [one] => (*one).to_owned(),
        [many @ .., last] => format!("{} and {last}", many.join(", ")),
        [] => String::new(),
    };
    let parts: Vec<String> =
        groups.iter().map(|(p, names)| format!("in {} with period {}", list(names), told(*p))).collect();
    let cells =
        if count == 1.0 { "one whole cell".to_owned() } else { format!("{count} whole cells each way") };
    format!("periodic {}: {cells}", parts.join(" and "))
}
