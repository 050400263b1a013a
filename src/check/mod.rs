//! A shape gives findings: each with the rule, what was measured, the limit, the place, and what would mend it.
//!
//! A rule that has not been looked at is told as `unknown`; no finding claims that something is safe.

mod cutting;
mod laws;
mod size;

use serde::Serialize;

use crate::base::{Tolerance, Vec3};
use crate::shape::Mesh;

/// How a rule came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The rule is kept.
    Pass,
    /// Nothing is broken; worth knowing.
    Note,
    /// Not looked at, or not to be decided.
    Unknown,
    /// The rule is broken.
    Fail,
}

/// What a rule found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// The rule's name.
    pub rule: &'static str,
    /// How it came out.
    pub severity: Severity,
    /// What was measured, in `unit`.
    pub measured: Option<f64>,
    /// What it may be at most or must be, in `unit`.
    pub limit: Option<f64>,
    /// The unit of both: `mm`, `mm²`, `mm³`, `%`, or nothing for a count.
    pub unit: &'static str,
    /// Where, mm.
    pub place: Option<[f64; 3]>,
    /// All of it in a sentence.
    pub sentence: String,
    /// How finely it was looked.
    pub looked: String,
    /// What would mend it; empty where nothing needs mending.
    pub mend: &'static str,
}

/// What the shape was to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Longest side, mm, if one was asked for.
    pub size: Option<f64>,
    /// How far the mesh may lie from the exact shape.
    pub tolerance: Tolerance,
}

/// Everything that is known to look at, in a fixed order.
pub fn findings(mesh: &Mesh, stated: &Stated) -> Vec<Finding> {
    let mut found = laws::findings(mesh);
    found.extend(size::findings(mesh, stated));
    found.push(Finding {
        rule: "thinnest place",
        sentence: "the thinnest place was not looked for".into(),
        looked: "not at all".into(),
        mend: "measure it before ordering: no wall or wire may be thinner than the process allows",
        ..Finding::new(Severity::Unknown)
    });
    found
}

/// Everything that is known to look at in flat work made ready for a machine, in a fixed order.
pub fn flat_findings(work: &crate::form::flat::Prepared) -> Vec<Finding> {
    cutting::findings(work)
}

/// The gravest of the findings; `Pass` when there is none.
pub fn gravest(findings: &[Finding]) -> Severity {
    findings.iter().map(|finding| finding.severity).max().unwrap_or(Severity::Pass)
}

impl Finding {
    /// Nothing measured yet.
    fn new(severity: Severity) -> Self {
        Self {
            rule: "",
            severity,
            measured: None,
            limit: None,
            unit: "",
            place: None,
            sentence: String::new(),
            looked: String::new(),
            mend: "",
        }
    }
}

/// A place as findings tell it, mm.
fn told(place: Vec3) -> String {
    let [x, y, z] = place.array().map(|c| format!("{c:.3}"));
    format!("({x}, {y}, {z})")
}
