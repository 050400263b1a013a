//! Frames every formula of `tests/data/framed.jsonl`, pictures it as the program does, and lays the pictures
//! on one sheet.
//!
//! `cargo run --release --example contact_sheet [-- OUT.png [NAME...]]`: with names, only those formulas, larger; with
//! `-` for OUT.png nothing is drawn, only what was chosen is told; `rough` as the first name draws quick pictures.

use std::error::Error;
use std::time::Instant;

use ogee::base::{Tolerance, Unwatched};
use ogee::form::{Form, FrameAsk, Framed, frame};
use ogee::formula::read;
use ogee::realise;
use ogee::show::{Look, Picture, picture, sheet};

/// Where the sheet of the book lies.
const SHEET: &str = "book/src/pictures/framed.png";
/// Pictures in a row, and their side in pixels.
const COLUMNS: usize = 8;
const SIDE: u32 = 144;

/// Tolerance in mm, that of the program for pieces of 60 mm; and for quick pictures.
const TOLERANCE: f64 = 0.12;
const ROUGH: f64 = 0.6;

fn chosen(formula: &str) -> Result<(Framed, String), Box<dyn Error>> {
    let reading = read(formula)?;
    let begin = Instant::now();
    let framed = frame(&reading, &FrameAsk::default())?;
    let script = framed.script.replace('\n', " ");
    let told = format!("{script} | {} | framed in {:.1?}", framed.said.join("; "), begin.elapsed());
    Ok((framed, told))
}

fn drawn(framed: &Framed, side: u32, rough: bool) -> Result<Picture, Box<dyn Error>> {
    let tolerance = Tolerance::new(if rough { ROUGH } else { TOLERANCE }).ok_or("tolerance")?;
    let Form::Solid(solid) = &framed.form else { return Err("no solid".into()) };
    let mesh = realise::seen(solid, &|_| Some(tolerance), &Unwatched)?.shape.mesh;
    println!("    {} triangles", mesh.triangles.len());
    let look = if rough { Look::preview(side) } else { Look::square(side) };
    Ok(picture(&mesh, &Look { scale_bar: false, ..look }))
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut args = std::env::args().skip(1);
    let out = args.next().unwrap_or_else(|| SHEET.to_owned());
    let mut wanted: Vec<String> = args.collect();
    let rough = wanted.first().is_some_and(|w| w == "rough");
    wanted.retain(|w| w != "rough");
    let (columns, side) = if wanted.is_empty() { (COLUMNS, SIDE) } else { (4, 300) };
    let mut cells = Vec::new();
    for line in include_str!("../tests/data/framed.jsonl").lines() {
        let entry: serde_json::Value = serde_json::from_str(line)?;
        let text = |key: &str| entry[key].as_str().unwrap_or_default().to_owned();
        let name = text("name");
        if !wanted.is_empty() && !wanted.contains(&name) {
            continue;
        }
        let begin = Instant::now();
        let cell = chosen(&text("formula")).and_then(|(framed, told)| {
            println!("{name}: {told}");
            if out == "-" { Ok(None) } else { drawn(&framed, side, rough).map(Some) }
        });
        match cell {
            Ok(None) => {}
            Ok(Some(picture)) => {
                println!("    drawn in {:.1?}", begin.elapsed());
                cells.push((picture, name));
            }
            Err(fault) => {
                println!("{name}: FAULT {fault}");
                cells.push((Picture::plain(side, side, [220, 220, 220]), format!("{name}: {fault}")));
            }
        }
    }
    if out == "-" {
        return Ok(());
    }
    std::fs::write(out, sheet(&cells, columns).small_png(&[("Title", "Pasted formulas, framed")]))?;
    Ok(())
}
