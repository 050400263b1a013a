//! Which of several functions of code is the shape.

use std::collections::BTreeMap;

use super::faults::{FaultClass, Read, fault};
use super::inline::Function;

/// Names that the function of a whole scene usually has.
const SCENES: &[&str] = &[
    "map", "scene", "world", "sdscene", "scenesdf", "sdfscene", "getdist", "de", "sdf", "shape", "f", "main",
];

/// Parts of names of functions that draw, light or measure a shape which another function is.
const DRAWING: &[&str] = &[
    "normal",
    "march",
    "trace",
    "render",
    "light",
    "shad",
    "color",
    "colour",
    "grad",
    "occlusion",
    "camera",
];

/// The place of the function that is the shape: one that no other calls, else one named as a scene usually is; functions
/// that draw do not count. Among several those go first that take a point.
///
/// # Errors
/// Several are left.
pub(super) fn main(functions: &[Function], points: &BTreeMap<String, usize>) -> Read<usize> {
    let draws = |f: &Function| {
        let name = f.name.to_lowercase();
        DRAWING.iter().any(|d| name.contains(d)) && functions.iter().any(|g| g.called_in(&f.body))
    };
    let called =
        |f: &Function| functions.iter().any(|g| g.name != f.name && !draws(g) && f.called_in(&g.body));
    let scene = |f: &Function| SCENES.contains(&f.name.to_lowercase().as_str());
    let point = |f: &Function| match f.args.as_slice() {
        [one] => points.contains_key(one) || super::places::USUAL.contains(&one.as_str()),
        all => ["x", "y", "z"].iter().all(|n| all.iter().any(|a| a.eq_ignore_ascii_case(n))),
    };
    let all: Vec<usize> = (0..functions.len()).filter(|k| !draws(&functions[*k])).collect();
    let rank = |k: &usize| {
        let f = &functions[*k];
        (scene(f) && point(f), point(f), scene(f))
    };
    let free: Vec<usize> = all.iter().copied().filter(|k| !called(&functions[*k])).collect();
    let best = free.iter().map(rank).max();
    let left: Vec<usize> = free.into_iter().filter(|k| Some(rank(k)) == best).collect();
    match left.as_slice() {
        [] => Ok(functions.len() - 1),
        [one] => Ok(*one),
        // A name given twice has its last meaning.
        [first, .., last] if left.iter().all(|k| functions[*k].name == functions[*first].name) => Ok(*last),
        [_, second, ..] => fault(
            FaultClass::Unsupported,
            functions[*second].at,
            "there are several functions here, and none of them calls the others",
            "paste one at a time, or add one that joins them and call it map: min(a(p), b(p))",
        ),
    }
}
