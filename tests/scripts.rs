//! Every worked script runs, makes solids that obey the laws of a mesh, measures and looks as it did.
//!
//! `ACCEPT=1 cargo test --test scripts` takes facts and pictures as they are now; look at both before committing.
//! `SCRIPT=name` looks at one script only, `LARGE=folder` also writes pictures of 800 pixels into a folder.

use std::fmt::Write as _;
use std::path::Path as FilePath;

use ogee::base::{Tolerance, Unwatched};
use ogee::check::Severity;
use ogee::form::flat::{Fill, Path, Rule, combine};
use ogee::job::{Made, scripts};
use ogee::realise;
use ogee::shape::Mesh;
use ogee::show::{Look, Picture};
use ogee::value::FlatPiece;
use ogee::{Ogee, Outcome};

/// Parts of the longest extent that a mesh may lie from the form; coarse, as for a small picture.
const PARTS: f64 = 500.0;

/// How far a channel of a pixel may be from the picture kept, and how many pixels may be further.
const CHANNEL: u8 = 24;
const PIXELS: usize = 160 * 160 / 100;

/// Parameters that make a script quick to try, within its own ranges: the work of a wall grows with the square of its
/// size over its thickness, that of a row with the number in it. The outside check of the pieces reads the same file.
fn quick(name: &str) -> Vec<(String, String)> {
    let all: serde_json::Value = serde_json::from_str(include_str!("quick.json")).unwrap();
    let values = all[name].as_object().into_iter().flatten();
    values.map(|(param, value)| (param.clone(), value.as_str().unwrap().to_owned())).collect()
}

fn run(name: &str, text: &str) -> Outcome {
    let ogee = Ogee::new().with_name(format!("{name}.ogee"));
    match quick(name).iter().fold(ogee, |ogee, (param, value)| ogee.set(param, value)).run(text) {
        Ok(outcome) => outcome,
        Err(fault) => panic!("{}", fault.report()),
    }
}

/// What is kept of a piece in `tests/scripts.txt`.
#[derive(Debug)]
struct Facts {
    size: [f64; 3],
    volume: f64,
    genus: i64,
    parts: usize,
}

impl Facts {
    fn of(mesh: &Mesh) -> Self {
        let m = mesh.measures();
        Self { size: m.bounds.size().array(), volume: m.volume, genus: m.genus, parts: m.components }
    }

    fn line(&self, script: &str, piece: &str) -> String {
        let Self { size: [x, y, z], volume, genus, parts } = self;
        format!(
            "{script} | {piece} | {x:.2} {y:.2} {z:.2} mm | {:.3} cm3 | genus {genus} | parts {parts}\n",
            volume / 1000.0
        )
    }

    fn read(line: &str) -> Self {
        let numbers: Vec<f64> = line
            .splitn(3, '|')
            .last()
            .unwrap()
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        let [x, y, z, volume, genus, parts] = numbers[..] else { panic!("facts: {line}") };
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Self { size: [x, y, z], volume: volume * 1000.0, genus: genus as i64, parts: parts as usize }
    }

    /// Sizes within two tolerances and volumes within a hundredth, so that a better mesher may still pass.
    fn agrees(&self, kept: &Self) -> bool {
        let longest = kept.size.iter().fold(0.0, |a: f64, b| a.max(*b));
        let near = |(a, b): (&f64, &f64)| (a - b).abs() <= 2.0 * longest / PARTS + 0.01;
        self.size.iter().zip(&kept.size).all(near)
            && (self.volume - kept.volume).abs() <= 0.01 * kept.volume
            && (self.genus, self.parts) == (kept.genus, kept.parts)
    }
}

/// Whether two lines of flat work tell the same: regions to the number, lengths and areas within a thousandth, because the
/// shadow of a solid is that of its mesh.
fn flats_agree(now: &str, kept: &str) -> bool {
    let parts = |line: &str| -> Option<(Vec<f64>, String)> {
        let (told, regions) = line.trim().rsplit_once('|')?;
        let words = told.splitn(3, '|').last()?.split_whitespace();
        Some((words.filter_map(|word| word.parse().ok()).collect(), regions.to_owned()))
    };
    let (Some((a, n)), Some((b, m))) = (parts(now), parts(kept)) else { return false };
    let near = |(a, b): (&f64, &f64)| (a - b).abs() <= 1e-3 * b.abs() + 0.01;
    n == m && a.len() == b.len() && a.iter().zip(&b).all(near)
}

/// What is kept of flat work.
fn flat_line(script: &str, piece: &FlatPiece) -> String {
    let size = piece.flat.bounds().size();
    format!(
        "{script} | {} | {:.2} {:.2} mm | {:.2} cm2 | {:.1} mm of path | regions {}\n",
        piece.name,
        size.x,
        size.y,
        piece.flat.area() / 100.0,
        piece.flat.length(),
        piece.flat.regions()
    )
}

/// No two loops of a region cross, and no line that is to be cut another: what a cutter would cut twice or through.
fn flat_laws(name: &str, piece: &FlatPiece, wrong: &mut String) {
    let sheets = piece.cut.iter().flat_map(|cut| &cut.sheets);
    if let Some(place) = sheets.flat_map(|sheet| &sheet.crossed).next() {
        let _ = writeln!(wrong, "{name}: {}: cut lines cross at {place:?}", piece.name);
    }
    for layer in piece.flat.layers() {
        let again = combine(&layer.loops, &[], Rule::Union, Fill::Positive);
        let (was, now): (f64, f64) =
            (layer.loops.iter().map(Path::area).sum(), again.iter().map(Path::area).sum());
        let (length, joined): (f64, f64) =
            (layer.loops.iter().map(Path::length).sum(), again.iter().map(Path::length).sum());
        if (was - now).abs() > 1e-6 * was.abs() || (length - joined).abs() > 1e-6 * length {
            let _ = writeln!(wrong, "{name}: {}: loops of {} cross", piece.name, layer.name);
        }
    }
}

/// All pieces, made and checked.
fn made(name: &str, outcome: &Outcome, wrong: &mut String) -> Vec<Made> {
    let mut made = Vec::new();
    for piece in &outcome.pieces {
        let extent = match realise::extent(&piece.form) {
            Ok(extent) => extent.size().largest(),
            Err(fault) => {
                let _ = writeln!(wrong, "{name}: {}: {fault}", piece.name);
                continue;
            }
        };
        match outcome.made(piece, Tolerance::new(extent / PARTS), &Unwatched) {
            Ok(one) => made.push(one),
            Err(fault) => {
                let _ = writeln!(wrong, "{name}: {}", fault.what());
            }
        }
    }
    made
}

/// What a script must say of itself, so that a stranger can make the piece.
fn head(name: &str, outcome: &Outcome, wrong: &mut String) {
    let head = &outcome.head;
    let told = [&head.title, &head.about, &head.maker, &head.licence, &head.source];
    if told.iter().any(|text| text.is_empty()) || !head.about.contains("mm") {
        let _ = writeln!(wrong, "{name}: the head lacks title, size in mm, maker, licence or source");
    }
    if outcome.params.is_empty() || outcome.params.iter().any(|p| p.range.is_none()) {
        let _ = writeln!(wrong, "{name}: no parameters, or one without a range");
    }
    let processes = outcome.pieces.iter().map(|p| &p.process).chain(outcome.flats.iter().map(|p| &p.process));
    if processes.clone().count() == 0 || processes.clone().any(String::is_empty) {
        let _ = writeln!(wrong, "{name}: no pieces, or one without a process");
    }
}

#[test]
fn worked_scripts_run_measure_and_look_as_they_did() {
    let only = std::env::var("SCRIPT").ok();
    let accept = std::env::var_os("ACCEPT").is_some();
    let path = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("tests/scripts.txt");
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let mut facts: Vec<String> = text.lines().map(|l| format!("{l}\n")).collect();
    let mut wrong = String::new();
    for (name, _) in scripts().iter().filter(|(n, _)| only.as_deref().is_none_or(|o| o == *n)) {
        // From the folder, so that a script can be changed and tried without building anew.
        let file = FilePath::new(env!("CARGO_MANIFEST_DIR")).join(format!("scripts/{name}.ogee"));
        let outcome = run(name, &std::fs::read_to_string(file).unwrap());
        head(name, &outcome, &mut wrong);
        let made = made(name, &outcome, &mut wrong);
        let start = format!("{name} | ");
        let kept: Vec<String> = facts.iter().filter(|f| f.starts_with(&start)).cloned().collect();
        let mut lines = Vec::new();
        for (i, one) in made.iter().enumerate() {
            for finding in one.findings.iter().filter(|f| f.severity == Severity::Fail) {
                let _ = writeln!(wrong, "{name}: {}: {}: {}", one.name, finding.rule, finding.sentence);
            }
            let now = Facts::of(&one.mesh);
            if now.volume <= 0.0 {
                let _ = writeln!(wrong, "{name}: {}: no volume", one.name);
            }
            let line = now.line(name, &one.name);
            if !accept && !kept.get(i).is_some_and(|l| now.agrees(&Facts::read(l))) {
                let was = kept.get(i).map_or("nothing", |l| l.trim());
                let _ = writeln!(wrong, "{name}: facts differ\n  kept {was}\n  now  {}", line.trim());
            }
            lines.push(line);
        }
        for flat in &outcome.flats {
            flat_laws(name, flat, &mut wrong);
            let line = flat_line(name, flat);
            if !accept && !kept.get(lines.len()).is_some_and(|l| flats_agree(&line, l)) {
                let _ = writeln!(wrong, "{name}: facts differ\n  now  {}", line.trim());
            }
            lines.push(line);
        }
        if !accept && kept.len() != lines.len() {
            let _ = writeln!(wrong, "{name}: {} pieces, facts are kept of {}", lines.len(), kept.len());
        }
        facts.retain(|f| !f.starts_with(&start));
        facts.extend(lines);
        if let Ok(folder) = std::env::var("LARGE") {
            let large = outcome.picture(&made, &Look::square(800), None);
            std::fs::write(FilePath::new(&folder).join(format!("{name}.png")), large.png(&[])).unwrap();
        }
        if let Err(why) = kept_picture(name, &outcome.picture(&made, &Look::thumbnail(160), None)) {
            let _ = writeln!(wrong, "{name}: {why}");
        }
    }
    if accept {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, facts.concat()).unwrap();
    }
    assert!(
        wrong.is_empty(),
        "{wrong}when every change is meant: ACCEPT=1 cargo test --test scripts (SCRIPT=name for one)"
    );
}

/// Compares a picture with the one kept in `tests/pictures`, or keeps it.
fn kept_picture(name: &str, picture: &Picture) -> Result<(), String> {
    let path = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures").join(format!("{name}.png"));
    let new = path.with_extension("new.png");
    if std::env::var_os("ACCEPT").is_some() {
        let _ = std::fs::remove_file(&new);
        std::fs::create_dir_all(path.parent().unwrap()).map_err(|e| e.to_string())?;
        return std::fs::write(&path, picture.png(&[])).map_err(|e| e.to_string());
    }
    let bytes = std::fs::read(&path).map_err(|_| "no picture is kept; ACCEPT=1 keeps it".to_owned())?;
    let old = decode(&bytes);
    let rgb: Vec<u8> = picture.rgba.chunks(4).flat_map(|p| p[..3].to_vec()).collect();
    let far = |(a, b): (&[u8], &[u8])| a.iter().zip(b).any(|(x, y)| x.abs_diff(*y) > CHANNEL);
    let off = old.chunks(3).zip(rgb.chunks(3)).filter(|p| far(*p)).count();
    if old.len() == rgb.len() && off <= PIXELS {
        return Ok(());
    }
    std::fs::write(&new, picture.png(&[])).map_err(|e| e.to_string())?;
    Err(format!("{off} pixels differ; look at {}", new.display()))
}

fn decode(bytes: &[u8]) -> Vec<u8> {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    pixels.truncate(info.buffer_size());
    pixels
}

#[test]
fn every_script_in_the_folder_ships() {
    let folder = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("scripts");
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    found.sort();
    let mut listed: Vec<&str> = scripts().iter().map(|(n, _)| *n).collect();
    listed.sort_unstable();
    assert_eq!(found, listed);
}
