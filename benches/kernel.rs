//! Time of a finished mesh, stage by stage, for the cases in `benches/peers/cases.json`; `benches/peers/run` sets them
//! beside what others take for the same.
//!
//! `cargo bench --bench kernel -- [--case NAME] [--cells N | --tolerance MM] [--json] [--save FOLDER]`: N cells (64
//! unless told) along the box of the case with no triangles saved, or a mesh within a tolerance. With `--nets` in their place
//! two nets in tubes, each within a thousandth of its width as pieces are made: a 120-cell, and the net srs in a ball; with `--curves`
//! the tube of a tight trefoil and Costa's surface with a wall.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)]

use std::path::Path;
use std::sync::Mutex;
use std::time::Instant;

use ogee::Ogee;
use ogee::base::{Box3, Tolerance, Vec3, Watch};
use ogee::export::{self, Format, Meta, Part};
use ogee::form::net::{self, Net, Radius, Rods};
use ogee::form::{self, Solid};
use ogee::formula::{self, Kind};
use ogee::realise::{self, Realised};
use ogee::value::Value;
use serde_json::{Value as Json, json};

/// When each stage began.
#[derive(Default)]
struct Stages(Mutex<Vec<(String, Instant)>>);

impl Watch for Stages {
    fn stop(&self) -> bool {
        false
    }

    fn progress(&self, what: &str, _part: f64) {
        let mut all = self.0.lock().unwrap();
        if all.last().is_none_or(|last| last.0 != what) {
            all.push((what.to_owned(), Instant::now()));
        }
    }
}

/// How fine a mesh is wanted.
#[derive(Clone, Copy)]
enum Fine {
    Cells(f64),
    Tolerance(f64),
}

fn numbers(v: &Json) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect()
}

/// The solid of a case, closed by its box, and the side of the box.
fn solid(case: &Json) -> (Solid, f64) {
    let ends = numbers(&case["box"]);
    let side = ends[1] - ends[0];
    let cube = form::block(Vec3::splat(side)).unwrap();
    if let Some(parts) = case.get("solids") {
        let size = numbers(&parts["block"]);
        let block = form::block(Vec3::new(size[0], size[1], size[2])).unwrap();
        let ball = form::ball(parts["ball"].as_f64().unwrap()).unwrap();
        let torus = numbers(&parts["torus"]);
        let ring = form::ring(torus[0], torus[1]).unwrap();
        return (form::union(&form::difference(&block, &ball).unwrap(), &ring).unwrap(), side);
    }
    let Kind::Field { value, .. } = formula::read(case["formula"].as_str().unwrap()).unwrap().kind else {
        panic!("every case is a field");
    };
    let inside = Solid::Field { value, within: Box3::cube(f64::INFINITY) };
    let clip = case.get("ball").map_or(cube, |r| form::ball(r.as_f64().unwrap()).unwrap());
    (form::intersection(&inside, &clip).unwrap(), side)
}

/// Nets in tubes with their widths, mm.
fn nets() -> Vec<(&'static str, Solid, f64)> {
    let tubes = |net: &Net, radius: f64| {
        net::struts(net, &Rods { radius: Radius::Same(radius), joint: 0.0, least: None, fillet: 0.0 })
            .unwrap()
    };
    let cells = net::polytope("[5,3,3]", "1000", 50.0).unwrap();
    let srs = net::crystal("srs", 6.0, 78.0, false).unwrap();
    vec![("120-cell", tubes(&cells, 2.0), 100.0), ("srs in a ball", tubes(&srs, 0.9), 150.0)]
}

/// The tube of a tight trefoil, and Costa's surface 80 mm across with a wall of 1.5 mm; with their widths, mm.
fn curves() -> Vec<(&'static str, Solid, f64)> {
    let scripts = [
        ("trefoil", "tighten(knot(\"3_1\"), 4).tube(4)", 31.5),
        ("Costa", "import \"minimal\" as minimal;\n(minimal::costa(12) & ball(40)).wall(1.5)", 80.0),
    ];
    let made = |script: &str| match Ogee::new().run(script).unwrap().value {
        Value::Solid(solid) => solid,
        _ => panic!("{script} is a solid"),
    };
    scripts.map(|(name, script, side)| (name, made(script), side)).into()
}

fn made(solid: &Solid, side: f64, fine: Fine, watch: &dyn Watch) -> Realised {
    match fine {
        Fine::Cells(n) => realise::solid_in_cells(solid, side / n, watch).unwrap(),
        Fine::Tolerance(t) => realise::solid(solid, Tolerance::new(t).unwrap(), watch).unwrap(),
    }
}

fn main() {
    let told: Vec<String> = std::env::args().collect();
    let after = |name: &str| told.iter().position(|a| a == name).and_then(|k| told.get(k + 1));
    let number = |name: &str| after(name).map(|n| n.parse::<f64>().unwrap());
    let fine = number("--tolerance").map_or(Fine::Cells(number("--cells").unwrap_or(64.0)), Fine::Tolerance);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let cases = std::fs::read_to_string(root.join("benches/peers/cases.json")).unwrap();
    let cases: Vec<Json> = serde_json::from_str(&cases).unwrap();
    // The threads stand ready before the clock runs, as those of the others do.
    rayon::broadcast(|_| ());
    let of_net = |(name, solid, side)| (name, solid, side, Fine::Tolerance(side / 1000.0));
    let asked = |name: &str| told.iter().any(|a| a == name);
    let work: Vec<(&str, Solid, f64, Fine)> = match (asked("--nets"), asked("--curves")) {
        (true, _) => nets().into_iter().map(of_net).collect(),
        (_, true) => curves().into_iter().map(of_net).collect(),
        _ => cases
            .iter()
            .map(|case| {
                let (solid, side) = solid(case);
                (case["name"].as_str().unwrap(), solid, side, fine)
            })
            .collect(),
    };
    for (name, solid, side, fine) in work {
        if after("--case").is_some_and(|wanted| wanted != name) {
            continue;
        }
        let stages = Stages::default();
        let began = Instant::now();
        let made = made(&solid, side, fine, &stages);
        let ended = Instant::now();
        let begun = stages.0.into_inner().unwrap();
        let mut spent = serde_json::Map::new();
        let starts = [("preparing".to_owned(), began)].into_iter().chain(begun);
        let starts: Vec<(String, Instant)> = starts.collect();
        for (k, (what, at)) in starts.iter().enumerate() {
            let until = starts.get(k + 1).map_or(ended, |next| next.1);
            let before = spent.get(what).and_then(Json::as_f64).unwrap_or(0.0);
            spent.insert(what.clone(), json!(before + (until - *at).as_secs_f64()));
        }
        let mesh = made.mesh;
        let seconds = (ended - began).as_secs_f64();
        if told.iter().any(|a| a == "--json") {
            let cells = if let Fine::Cells(n) = fine { json!(n) } else { Json::Null };
            let line = json!({
                "case": name, "cells": cells, "seconds": seconds, "vertices": mesh.points.len(),
                "triangles": mesh.triangles.len(), "stages": spent,
            });
            println!("{line}");
        } else {
            let stages: Vec<String> =
                spent.iter().map(|(what, s)| format!("{what} {:.3}", s.as_f64().unwrap())).collect();
            println!(
                "{name:13} {seconds:8.3} s {:8} triangles   {}",
                mesh.triangles.len(),
                stages.join(", ")
            );
        }
        if let Some(folder) = after("--save") {
            let part = Part { name, mesh: &mesh };
            let bytes = export::file(Format::Ply, &[part], &Meta::default()).unwrap();
            std::fs::write(Path::new(folder).join(format!("{name}.ply")), bytes).unwrap();
        }
    }
}
