//! Every worked script runs, makes solids that obey the laws of a mesh, and looks as it did.
//!
//! `ACCEPT=1 cargo test --test scripts` takes the pictures as they are now; look at them before committing.
//! `SCRIPT=name` looks at one script only, `LARGE=folder` also writes pictures of 800 pixels into a folder.

use std::fmt::Write as _;
use std::path::Path;

use ogee::base::{Tolerance, Unwatched};
use ogee::job::scripts;
use ogee::realise;
use ogee::shape::Mesh;
use ogee::show::{self, Look, Material, Picture};
use ogee::{Ogee, Outcome};

/// Parts of the longest extent that a mesh may lie from the form; coarse, as for a small picture.
const PARTS: f64 = 700.0;

/// How far a channel of a pixel may be from the picture kept, and how many pixels may be further.
const CHANNEL: u8 = 24;
const PIXELS: usize = 160 * 160 / 100;

fn run(name: &str, text: &str) -> Outcome {
    match Ogee::new().with_name(format!("{name}.ogee")).run(text) {
        Ok(outcome) => outcome,
        Err(fault) => panic!("{}", fault.report()),
    }
}

fn meshes(name: &str, outcome: &Outcome) -> Vec<Mesh> {
    outcome
        .pieces
        .iter()
        .map(|piece| {
            let extent =
                realise::extent(&piece.form).unwrap_or_else(|e| panic!("{name}: {}: {e}", piece.name));
            let tolerance = Tolerance::new(extent.size().largest() / PARTS).unwrap();
            let started = std::time::Instant::now();
            let made = realise::solid(&piece.form, tolerance, &Unwatched)
                .unwrap_or_else(|e| panic!("{name}: {}: {e}", piece.name));
            let m = made.mesh.measures();
            eprintln!(
                "{name}: {} {:?} mm, {:.0} mm³, {} triangles, {} parts, genus {}, {:.2} s",
                piece.name,
                m.bounds.size().array().map(|x| (x * 10.0).round() / 10.0),
                m.volume,
                made.mesh.triangles.len(),
                m.components,
                m.genus,
                started.elapsed().as_secs_f64()
            );
            made.mesh
        })
        .collect()
}

fn material(process: &str) -> Material {
    let named = |word: &str| process.contains(word);
    if named("bronze") {
        Material::Bronze
    } else if named("porcelain") {
        Material::Porcelain
    } else if named("glass") {
        Material::Glass
    } else if named("nylon") {
        Material::Nylon
    } else if named("wax") {
        Material::Wax
    } else {
        Material::Plaster
    }
}

fn picture(outcome: &Outcome, meshes: &[Mesh], look: Look) -> Picture {
    let process = outcome.pieces.first().map_or("", |p| p.process.as_str());
    let look = look.of(material(process));
    let all: Vec<&Mesh> = meshes.iter().collect();
    show::group(&show::row(&all, &look), &look)
}

#[test]
fn worked_scripts_run_and_look_as_they_did() {
    let only = std::env::var("SCRIPT").ok();
    let mut wrong = String::new();
    for (name, _) in scripts().iter().filter(|(n, _)| only.as_deref().is_none_or(|o| o == *n)) {
        // From the folder, so that a script can be changed and tried without building anew.
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scripts/{name}.ogee"));
        let outcome = run(name, &std::fs::read_to_string(file).unwrap());
        assert!(!outcome.head.title.is_empty() && !outcome.head.about.is_empty(), "{name}: no head");
        assert!(
            !outcome.head.licence.is_empty() && !outcome.head.maker.is_empty(),
            "{name}: no licence or maker"
        );
        assert!(!outcome.head.source.is_empty(), "{name}: no source");
        assert!(outcome.head.about.contains("mm"), "{name}: the head states no size");
        assert!(!outcome.params.is_empty() && !outcome.pieces.is_empty(), "{name}: no parameters or pieces");
        let made = meshes(name, &outcome);
        for mesh in &made {
            let broken = mesh.laws();
            if !broken.is_empty() {
                let _ = writeln!(wrong, "{name}: {} broken laws, first {:?}", broken.len(), broken[0]);
            }
        }
        if let Ok(folder) = std::env::var("LARGE") {
            let large = picture(&outcome, &made, Look::square(800));
            std::fs::write(Path::new(&folder).join(format!("{name}.png")), large.png(&[])).unwrap();
        }
        if let Err(why) = kept(name, &picture(&outcome, &made, Look::thumbnail(160))) {
            let _ = writeln!(wrong, "{name}: {why}");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Compares a picture with the one kept in `tests/pictures`, or keeps it.
fn kept(name: &str, picture: &Picture) -> Result<(), String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures").join(format!("{name}.png"));
    let new = path.with_extension("new.png");
    if std::env::var_os("ACCEPT").is_some() {
        let _ = std::fs::remove_file(&new);
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
    Err(format!("{off} pixels differ; look at {}, and ACCEPT=1 keeps it", new.display()))
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
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scripts");
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    found.sort();
    let mut listed: Vec<&str> = scripts().iter().map(|(n, _)| *n).collect();
    listed.sort_unstable();
    assert_eq!(found, listed);
}
