//! Frames, realises and pictures every formula of `tests/data/framed.jsonl` and lays the pictures on one sheet.
//!
//! `cargo run --release --example contact_sheet [-- OUT.png [NAME...]]`: with names, only the formulas whose name
//! holds one of them, larger.

use std::error::Error;
use std::time::Instant;

use ogee::base::{Tolerance, Unwatched};
use ogee::form::{Form, FrameAsk, frame};
use ogee::formula::read;
use ogee::realise;
use ogee::show::{Look, Picture, picture, sheet};

/// Where the sheet of the book lies.
const SHEET: &str = "book/src/pictures/framed.png";
/// Pictures in a row, and their side in pixels.
const COLUMNS: usize = 8;
const SIDE: u32 = 176;

fn one(formula: &str, side: u32) -> Result<(Picture, String), Box<dyn Error>> {
    let reading = read(formula)?;
    let begin = Instant::now();
    let framed = frame(&reading, &FrameAsk::default())?;
    let framing = begin.elapsed();
    let Form::Solid(solid) = &framed.form else { return Err("no solid".into()) };
    let tolerance = Tolerance::new(0.1).ok_or("tolerance")?;
    let begin = Instant::now();
    let made = realise::solid(solid, tolerance, &Unwatched)?;
    let told = format!(
        "{} | {} | framed {framing:.1?} made {:.1?}, {} triangles",
        framed.script.replace('\n', " "),
        framed.said.join("; "),
        begin.elapsed(),
        made.mesh.triangles.len()
    );
    Ok((picture(&made.mesh, &Look { scale_bar: false, ..Look::square(side) }), told))
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut args = std::env::args().skip(1);
    let out = args.next().unwrap_or_else(|| SHEET.to_owned());
    let wanted: Vec<String> = args.collect();
    let (columns, side) = if wanted.is_empty() { (COLUMNS, SIDE) } else { (4, 300) };
    let mut cells = Vec::new();
    for line in include_str!("../tests/data/framed.jsonl").lines() {
        let entry: serde_json::Value = serde_json::from_str(line)?;
        let text = |key: &str| entry[key].as_str().unwrap_or_default().to_owned();
        let name = text("name");
        if !wanted.is_empty() && !wanted.iter().any(|w| name.contains(w)) {
            continue;
        }
        match one(&text("formula"), side) {
            Ok((picture, told)) => {
                println!("{name}: {told}");
                cells.push((picture, name));
            }
            Err(fault) => {
                println!("{name}: FAULT {fault}");
                cells.push((Picture::plain(side, side, [220, 220, 220]), format!("{name}: {fault}")));
            }
        }
    }
    std::fs::write(out, sheet(&cells, columns).png(&[("Title", "Pasted formulas, framed")]))?;
    Ok(())
}
