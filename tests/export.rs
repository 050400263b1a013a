//! Every file format is read back by a library of someone else: counts, bounds, volume, unit, names.
//!
//! The files are left in the target folder's `tmp/export` for the readers in other languages (`tests/outside`).

use std::collections::HashMap;
use std::f64::consts::PI;
use std::fs;
use std::io::Cursor;
use std::path::PathBuf;

use ogee::base::Vec3;
use ogee::export::{Format, Meta, Part, file};
use ogee::shape::Mesh;

const TITLE: &str = "Tide <ring> & \"block\"";
const LICENCE: &str = "CC-BY-4.0";
const SCRIPT: &str = "//! Tide ring\nmake(\"ring\", ring(20, 6) & ball(30));  // a < b && c\n";

/// A torus about the z axis: both radii in mm, `n` steps each way.
fn torus(radius: f64, tube: f64, n: u32) -> Mesh {
    let angle = |i: u32| 2.0 * PI * f64::from(i) / f64::from(n);
    let points = (0..n * n).map(|i| {
        let (u, v) = (angle(i / n), angle(i % n));
        let out = radius + tube * v.cos();
        Vec3::new(out * u.cos(), out * u.sin(), tube * v.sin())
    });
    let at = |u: u32, v: u32| (u % n) * n + v % n;
    let triangles = (0..n * n).flat_map(|i| {
        let (u, v) = (i / n, i % n);
        [[at(u, v), at(u + 1, v), at(u + 1, v + 1)], [at(u, v), at(u + 1, v + 1), at(u, v + 1)]]
    });
    Mesh { points: points.collect(), triangles: triangles.collect(), sides: Vec::new() }
}

/// A box between two corners.
fn block(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let corner = |i: usize| {
        let pick = |axis: usize| if i >> axis & 1 == 0 { low[axis] } else { high[axis] };
        Vec3::new(pick(0), pick(1), pick(2))
    };
    let faces: [[u32; 4]; 6] =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = faces.into_iter().flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    Mesh { points: (0..8).map(corner).collect(), triangles, sides: Vec::new() }
}

/// Enclosed volume by the divergence theorem, in the cube of the unit that the places are in.
fn volume(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> f64 {
    let place = |corner: u32| Vec3::from(points[corner as usize]);
    triangles.iter().map(|&[a, b, c]| place(a).dot(place(b).cross(place(c))) / 6.0).sum()
}

fn bounds(points: &[[f64; 3]]) -> ([f64; 3], [f64; 3]) {
    points.iter().fold(([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]), |(low, high), p| {
        ([0, 1, 2].map(|i| low[i].min(p[i])), [0, 1, 2].map(|i| high[i].max(p[i])))
    })
}

fn close(a: f64, b: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance, "{a} and {b} differ by more than {tolerance}");
}

struct Written {
    torus: Mesh,
    block: Mesh,
    bytes: Vec<u8>,
}

/// Both parts in one file of that format; a copy stays on disk for other readers.
fn written(format: Format) -> Written {
    let (torus, block) = (torus(20.0, 6.0, 96), block([30.0, -5.0, -6.0], [40.0, 5.0, 9.0]));
    let meta = Meta {
        title: TITLE.into(),
        maker: "The tide workshop".into(),
        licence: LICENCE.into(),
        sentence: "A ring and a block, to be read by strangers.".into(),
        script: SCRIPT.into(),
        thumbnail: Some(picture()),
    };
    let parts = [Part { name: "ring & tide", mesh: &torus }, Part { name: "block", mesh: &block }];
    let bytes = file(format, &parts, &meta).unwrap();
    assert_eq!(bytes, file(format, &parts, &meta).unwrap(), "same meshes, same bytes");
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("export");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(format!("both.{}", format.extension())), &bytes).unwrap();
    Written { torus, block, bytes }
}

/// A PNG of four grey pixels.
fn picture() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 2, 2);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header().unwrap().write_image_data(&[0, 80, 160, 240]).unwrap();
    bytes
}

/// What both parts together must give, with the places off by no more than `step` mm.
fn holds_both(points: &[[f64; 3]], triangles: &[[u32; 3]], w: &Written, step: f64) {
    assert_eq!(triangles.len(), w.torus.triangles.len() + w.block.triangles.len());
    let (low, high) = bounds(points);
    for (got, want) in
        low.into_iter().zip([-26.0, -26.0, -6.0]).chain(high.into_iter().zip([40.0, 26.0, 9.0]))
    {
        close(got, want, step);
    }
    let places: Vec<[f64; 3]> = w.torus.points.iter().map(|p| p.array()).collect();
    let ring = volume(&places, &w.torus.triangles);
    // Pappus: 2 π² R r². The mesh is inscribed and loses about (2π/96)²/6 for each of the three directions.
    close(ring, 2.0 * PI * PI * 20.0 * 36.0, 0.003 * 2.0 * PI * PI * 20.0 * 36.0);
    // A place off by `step` moves each wall by as much: area times step.
    close(volume(points, triangles), ring + 1500.0, step * 6000.0);
}

#[test]
fn stl_reads_back() {
    let w = written(Format::Stl);
    assert!(w.bytes.starts_with(b"Ogee, unit mm; CC-BY-4.0; Tide"));
    assert_eq!(w.bytes.len(), 84 + 50 * (w.torus.triangles.len() + 12));
    let read = stl_io::read_stl(&mut Cursor::new(&w.bytes)).unwrap();
    read.validate().expect("closed and without doubled edges");
    assert_eq!(read.vertices.len(), w.torus.points.len() + 8);
    let points: Vec<[f64; 3]> = read.vertices.iter().map(|v| [0, 1, 2].map(|i| f64::from(v.0[i]))).collect();
    let triangles: Vec<[u32; 3]> = read.faces.iter().map(|f| f.vertices.map(|v| v as u32)).collect();
    holds_both(&points, &triangles, &w, 4e-6);
}

#[test]
fn stl_leaves_out_what_rounding_flattens() {
    let mut mesh = block([100.0, 100.0, 100.0], [110.0, 110.0, 110.0]);
    // A point a billionth of a mm beside a corner, joined in by splitting the two triangles at that edge.
    let [a, b, _] = mesh.triangles[0];
    let c = mesh.points[a as usize] + (mesh.points[b as usize] - mesh.points[a as usize]) * 1e-10;
    mesh.points.push(c);
    let new = mesh.points.len() as u32 - 1;
    for triangle in mesh.triangles.clone() {
        let Some(turn) = (0..3).find(|&i| {
            let edge = [triangle[i], triangle[(i + 1) % 3]];
            edge == [a, b] || edge == [b, a]
        }) else {
            continue;
        };
        let [p, q, r] = [triangle[turn], triangle[(turn + 1) % 3], triangle[(turn + 2) % 3]];
        mesh.triangles.retain(|t| *t != triangle);
        mesh.triangles.extend([[p, new, r], [new, q, r]]);
    }
    assert_eq!(mesh.triangles.len(), 14);
    let bytes = file(Format::Stl, &[Part { name: "block", mesh: &mesh }], &Meta::default()).unwrap();
    let read = stl_io::read_stl(&mut Cursor::new(&bytes)).unwrap();
    read.validate().expect("still closed");
    assert_eq!((read.faces.len(), read.vertices.len()), (12, 8));
}

#[test]
fn three_mf_reads_back() {
    use threemf2::package::{ThreemfPackage, query};
    let w = written(Format::ThreeMf);
    let package =
        ThreemfPackage::from_reader_with_memory_optimized_deserializer(Cursor::new(&w.bytes), true).unwrap();
    let told: HashMap<&str, &str> =
        package.root.metadata.iter().map(|m| (m.name.as_ref(), m.value.as_deref().unwrap_or(""))).collect();
    assert_eq!(told["Title"], TITLE);
    assert_eq!(told["LicenseTerms"], LICENCE);
    assert_eq!(told["Designer"], "The tide workshop");
    assert_eq!(package.root.unit, Some(threemf2::model::builder::Unit::Millimeter));
    let meshes: Vec<_> = query::get_mesh_objects(&package).collect();
    assert_eq!(meshes.len(), 2);
    let (mut points, mut triangles): (Vec<[f64; 3]>, Vec<[u32; 3]>) = (Vec::new(), Vec::new());
    for object in &meshes {
        let first = points.len() as u32;
        points.extend(object.view.vertices());
        triangles.extend(object.view.triangles().map(|t| t.map(|v| first + v)));
    }
    assert_eq!(points.len(), w.torus.points.len() + 8);
    holds_both(&points, &triangles, &w, 1e-6);
    assert_eq!(package.thumbnails.len(), 1);
    let script =
        package.unknown_parts.iter().find(|(path, _)| path.to_string().contains("script.ogee")).unwrap();
    assert_eq!(script.1, SCRIPT.as_bytes());
}

#[test]
fn ply_reads_back() {
    use ply_rs_bw::parser::Parser;
    use ply_rs_bw::ply::{DefaultElement, Property};
    let w = written(Format::Ply);
    let read = Parser::<DefaultElement>::new().read_ply(&mut Cursor::new(&w.bytes)).unwrap();
    let comments: Vec<String> = read.header.comments.iter().map(|c| c.to_string()).collect();
    assert!(comments.iter().any(|c| c == "unit: mm"), "{comments:?}");
    assert!(comments.iter().any(|c| c == "licence: CC-BY-4.0"), "{comments:?}");
    let points: Vec<[f64; 3]> = read.payload["vertex"]
        .iter()
        .map(|v| {
            ["x", "y", "z"].map(|name| match v[name] {
                Property::Float(c) => f64::from(c),
                ref other => panic!("{other:?}"),
            })
        })
        .collect();
    let triangles: Vec<[u32; 3]> = read.payload["face"]
        .iter()
        .map(|f| match &f["vertex_indices"] {
            Property::ListInt(list) => [0, 1, 2].map(|i| list[i] as u32),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(points.len(), w.torus.points.len() + 8);
    holds_both(&points, &triangles, &w, 4e-6);
}

#[test]
fn obj_reads_back() {
    let w = written(Format::Obj);
    let (models, _) = tobj::load_obj_buf(&mut Cursor::new(&w.bytes), &tobj::LoadOptions::default(), |_| {
        Err(tobj::LoadError::OpenFileFailed)
    })
    .unwrap();
    let names: Vec<&str> = models.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["ring_&_tide", "block"]);
    let (mut points, mut triangles): (Vec<[f64; 3]>, Vec<[u32; 3]>) = (Vec::new(), Vec::new());
    for model in &models {
        let first = points.len() as u32;
        points.extend(model.mesh.positions.chunks(3).map(|p| [0, 1, 2].map(|i| f64::from(p[i]))));
        triangles.extend(model.mesh.indices.chunks(3).map(|t| [0, 1, 2].map(|i| first + t[i])));
    }
    holds_both(&points, &triangles, &w, 4e-6);
    assert!(String::from_utf8(w.bytes).unwrap().contains("# unit: mm\n"));
}

#[test]
fn glb_reads_back_in_metres_with_y_up() {
    let w = written(Format::Glb);
    let (document, buffers, _) = gltf::import_slice(&w.bytes).unwrap();
    assert_eq!(document.as_json().asset.copyright.as_deref(), Some("The tide workshop, CC-BY-4.0"));
    let extras = document.as_json().asset.extras.as_ref().unwrap().get();
    let extras: serde_json::Value = serde_json::from_str(extras).unwrap();
    assert_eq!((extras["title"].as_str(), extras["script"].as_str()), (Some(TITLE), Some(SCRIPT)));
    let (mut points, mut triangles): (Vec<[f64; 3]>, Vec<[u32; 3]>) = (Vec::new(), Vec::new());
    for primitive in document.meshes().flat_map(|m| m.primitives()) {
        let reader = primitive.reader(|buffer| Some(&buffers[buffer.index()]));
        let first = points.len() as u32;
        // Back to mm with z up.
        points.extend(
            reader
                .read_positions()
                .unwrap()
                .map(|[x, y, z]| [x, -z, y].map(|metres| f64::from(metres) * 1000.0)),
        );
        let corners: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
        triangles.extend(corners.chunks(3).map(|t| [0, 1, 2].map(|i| first + t[i])));
    }
    holds_both(&points, &triangles, &w, 8e-6);
    let names: Vec<_> = document.nodes().filter_map(|n| n.name().map(str::to_owned)).collect();
    assert_eq!(names, ["ring & tide", "block"]);
}

/// A plate with a hole, to be cut, and a curve, to be scored, in every format of flat work; read back in
/// `tests/outside/check_flats.py`.
#[test]
fn flat_work_is_left_for_other_readers() {
    use ogee::base::Vec2;
    use ogee::export::{FlatFormat, flat_file};
    use ogee::form::flat::{self, Flat, Meaning, Path, Segment};
    let corners = [[-200.0, -150.0], [200.0, -150.0], [200.0, 150.0], [-200.0, 150.0]].map(Vec2::from);
    let plate = flat::difference(&flat::polygon(&corners, 20.0).unwrap(), &flat::disc(60.0).unwrap());
    let [a, b, c, d] = [[-150.0, -120.0], [-50.0, 60.0], [50.0, -160.0], [150.0, -100.0]].map(Vec2::from);
    let fold = Path { pieces: vec![Segment::Cubic(a, b, c, d)], closed: false };
    let folds = Flat::of_lines(vec![fold]).on_layer("folds", Meaning::Score);
    let both = flat::union(&plate, &folds);
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("export");
    let meta = Meta {
        title: TITLE.into(),
        maker: "The Seed Room".into(),
        licence: "CC-BY-4.0".into(),
        ..Meta::default()
    };
    for format in FlatFormat::ALL {
        let bytes = flat_file(format, &both, &meta).unwrap();
        assert_eq!(bytes, flat_file(format, &both, &meta).unwrap());
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join(format!("plate.{}", format.extension())), &bytes).unwrap();
    }
    let far = flat::disc(1e6).unwrap();
    assert!(flat_file(FlatFormat::Pdf, &far, &Meta::default()).is_err());
    assert!(flat_file(FlatFormat::HpGl, &far, &Meta::default()).is_err());
}
