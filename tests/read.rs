//! Files become solids: every format, whole and damaged, and what a script makes of them.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::io::Write;
use std::sync::Arc;

use ogee::base::{Tolerance, Unwatched, Vec3};
use ogee::export::{Format, Meta, Part, file};
use ogee::job::Reader;
use ogee::read::{self, ReadFault};
use ogee::shape::Mesh;
use ogee::{Ogee, form, realise};

/// A ball of radius 10 mm as a mesh within a tolerance.
fn ball(tolerance: f64) -> Mesh {
    realise::solid(&form::ball(10.0).unwrap(), Tolerance::new(tolerance).unwrap(), &Unwatched).unwrap().mesh
}

fn bytes(format: Format, mesh: &Mesh) -> Vec<u8> {
    file(format, &[Part { name: "thing", mesh }], &Meta::default()).unwrap()
}

/// Files in memory.
#[derive(Clone, Default)]
struct Files(Arc<BTreeMap<String, Vec<u8>>>);

impl Files {
    fn of<const N: usize>(files: [(&str, Vec<u8>); N]) -> Self {
        Self(Arc::new(files.into_iter().map(|(n, b)| (n.to_owned(), b)).collect()))
    }
}

impl Reader for Files {
    fn read(&self, _: &str) -> Result<Option<String>, String> {
        Ok(None)
    }

    fn bytes(&self, name: &str) -> Result<Option<Vec<u8>>, String> {
        Ok(self.0.get(name).cloned())
    }
}

/// The number that a script ends in.
fn number(files: &Files, script: &str) -> f64 {
    let run = Ogee::new().with_reader(files.clone()).with_tolerance(Tolerance::new(0.05).unwrap());
    let outcome = run.run(script).unwrap_or_else(|fault| panic!("{script}: {fault:?}"));
    outcome.value.number().unwrap()
}

fn fault(files: &Files, script: &str) -> String {
    format!("{:?}", Ogee::new().with_reader(files.clone()).run(script).unwrap_err())
}

#[test]
fn what_was_written_is_read_back() {
    let mesh = ball(0.05);
    for (name, format) in
        [("a.stl", Format::Stl), ("a.obj", Format::Obj), ("a.ply", Format::Ply), ("a.3mf", Format::ThreeMf)]
    {
        let read = read::mesh(name, &bytes(format, &mesh)).unwrap();
        assert_eq!(read.triangles.len(), mesh.triangles.len(), "{name}");
        assert_eq!(read.laws(), vec![], "{name}");
        let (a, b) = (read.measures(), mesh.measures());
        assert!((a.volume - b.volume).abs() < 1e-3, "{name}: {} {}", a.volume, b.volume);
        // Our files of this format put the part where the specification wants it: all places positive.
        let shift =
            if format == Format::ThreeMf { a.bounds.centre() - b.bounds.centre() } else { Vec3::ZERO };
        assert!((a.centroid - b.centroid - shift).norm() < 1e-4, "{name}: {:?}", a.centroid);
    }
}

/// A tetrahedron as text, by the grammar of each format.
#[test]
fn text_forms_are_read() {
    let corners = ["0 0 0", "30 0 0", "0 20 0", "0 0 10"];
    let faces = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];
    let mut stl = "solid tip of a tetrahedron\n".to_owned();
    for f in faces {
        stl += "facet normal 0 0 0\nouter loop\n";
        f.iter().for_each(|i| stl += &format!("vertex {}\n", corners[*i]));
        stl += "endloop\nendfacet\n";
    }
    stl += "endsolid\n";
    let list = |first: usize, before: &str| -> String {
        faces
            .iter()
            .map(|f| format!("{before}{} {} {}\n", f[0] + first, f[1] + first, f[2] + first))
            .collect()
    };
    let points = |before: &str| corners.map(|c| format!("{before}{c}\n")).concat();
    let obj = [points("v "), "g all\n".to_owned(), list(1, "f ")].concat();
    let head = "ply\nformat ascii 1.0\nelement vertex 4\nproperty double x\nproperty double y\nproperty double z\n\
                element face 4\nproperty list uchar uint vertex_index\nend_header\n";
    let ply = [head.to_owned(), points(""), list(0, "3 ")].concat();
    for (name, text) in [("t.stl", stl), ("t.OBJ", obj), ("t.ply", ply)] {
        let mesh = read::mesh(name, text.as_bytes()).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(mesh.laws(), vec![], "{name}");
        assert!((mesh.volume() - 1000.0).abs() < 1e-9, "{name}: {}", mesh.volume());
    }
}

/// Units, transforms and assemblies by the rules of the 3MF Core Specification 1.3 (3.3, 3.4, 4.2, 5).
#[test]
fn assemblies_stand_where_they_are_put() {
    let model = r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="centimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<resources>
<object id="1" type="model"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="3" y="0" z="0"/><vertex x="0" y="2" z="0"/><vertex x="0" y="0" z="1"/></vertices>
<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/></triangles></mesh></object>
<object id="2" type="model"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 10 0 0"/><component objectid="1" transform="-1 0 0 0 1 0 0 0 1 -10 0 0"/></components></object>
</resources><build><item objectid="2" transform="0 1 0 -1 0 0 0 0 2 0 0 5"/></build></model>"#;
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let plain = zip::write::SimpleFileOptions::default();
    for (name, text) in [
        (
            "[Content_Types].xml",
            r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>"#,
        ),
        (
            "_rels/.rels",
            r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#,
        ),
        ("3D/3dmodel.model", model),
    ] {
        zip.start_file(name, plain).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    let mesh = read::mesh("two.3mf", &zip.finish().unwrap().into_inner()).unwrap();
    assert_eq!(mesh.laws(), vec![], "a mirrored part is turned");
    let found = mesh.measures();
    // Two tetrahedra of 30 x 20 x 10 mm, twice as high: volume 2 · 30·20·20/6.
    assert!((found.volume - 4000.0).abs() < 1e-6, "{}", found.volume);
    assert_eq!(found.components, 2);
    // x from 100 to 130 and -130 to -100, then a quarter turn about z (row vectors: x goes to y, y to -x).
    let wanted = [[-20.0, -130.0, 50.0], [0.0, 130.0, 70.0]];
    for (a, b) in [found.bounds.min, found.bounds.max].into_iter().zip(wanted) {
        assert!((a - Vec3::from(b)).norm() < 1e-9, "{:?}", found.bounds);
    }
}

#[test]
fn what_is_no_mesh_is_told() {
    assert_eq!(read::mesh("a.doc", b"x").unwrap_err(), ReadFault::Unknown);
    for (name, bytes) in [
        ("a.stl", &b"solid nothing\nendsolid"[..]),
        ("a.obj", b"v 0 0 0\nv 1 0 0\n"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 0\nproperty float x\nend_header\n"),
    ] {
        assert_eq!(read::mesh(name, bytes).unwrap_err(), ReadFault::Empty, "{name}");
    }
    let nowhere = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n";
    assert!(matches!(read::mesh("a.obj", nowhere), Err(ReadFault::Broken { .. })));
    let nan = b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n";
    assert!(matches!(read::mesh("a.obj", nan), Err(ReadFault::Broken { .. })));
    assert!(matches!(read::mesh("a.stl", &[0; 90]), Err(ReadFault::Empty)));
    let boast = [[0; 80].to_vec(), vec![255; 4], vec![0; 50]].concat();
    assert!(matches!(read::mesh("a.stl", &boast), Err(ReadFault::Broken { .. })));
    let many =
        b"ply\nformat binary_little_endian 1.0\nelement vertex 4000000000\nproperty float x\nend_header\n";
    assert!(matches!(read::mesh("a.ply", many), Err(ReadFault::Broken { .. })));
}

/// Files cut short and with bytes changed give a mesh or a fault, never a crash.
#[test]
fn no_file_breaks_the_reader() {
    let mesh = ball(2.0);
    let mut seed = 7u64;
    let mut next = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let (mut read_well, mut refused) = (0, 0);
    for (name, format) in
        [("a.stl", Format::Stl), ("a.obj", Format::Obj), ("a.ply", Format::Ply), ("a.3mf", Format::ThreeMf)]
    {
        let whole = bytes(format, &mesh);
        for k in 0..600 {
            let mut some = whole.clone();
            if k % 2 == 0 {
                some.truncate(next(whole.len()));
            }
            for _ in 0..k % 5 {
                // The head is where the counts stand.
                let place = next(if k % 3 == 0 { 400.min(some.len()) } else { some.len() }.max(1));
                if let Some(byte) = some.get_mut(place) {
                    *byte = next(256) as u8;
                }
            }
            match read::mesh(name, &some) {
                Ok(_) => read_well += 1,
                Err(_) => refused += 1,
            }
        }
    }
    assert!(read_well > 100 && refused > 100, "{read_well} {refused}");
}

/// A ball read from a file is cut, joined and hollowed as the ball itself would be.
#[test]
fn a_file_is_a_solid_like_others() {
    let files = Files::of([("ball.stl", bytes(Format::Stl, &ball(0.01)))]);
    let whole = 4.0 / 3.0 * PI * 1000.0;
    let within = |script: &str, wanted: f64, part: f64| {
        let got = number(&files, script);
        assert!((got / wanted - 1.0).abs() < part, "{script}: {got}, wanted {wanted}");
    };
    within("volume(read(\"ball.stl\"))", whole, 0.005);
    within("volume(read(\"ball.stl\", 2))", whole * 8.0, 0.005);
    within("volume(read(\"ball.stl\") & halfspace())", whole / 2.0, 0.005);
    // A cylinder through the centre leaves a ring of the volume of a ball as high (napkin ring).
    within("volume(read(\"ball.stl\") - rod(6, 40))", 4.0 / 3.0 * PI * 512.0, 0.005);
    within("volume(read(\"ball.stl\") | block(40, 4, 4))", whole + 2.0 * overhang(), 0.01);
    // Steiner: a ball grown by 2 mm is a ball of 12.
    within("volume(grow(read(\"ball.stl\"), 2))", whole * 1.2_f64.powi(3), 0.005);
    within("volume(hollow(read(\"ball.stl\"), 1))", whole * (1.0 - 0.9_f64.powi(3)), 0.01);
    assert_eq!(number(&files, "genus(read(\"ball.stl\") - rod(6, 40))"), 1.0);
}

/// What a bar of 4 x 4 mm reaching to x = 20 stands out of a ball of radius 10: an integral over its section.
fn overhang() -> f64 {
    let n = 400;
    let at = |i: i32| -2.0 + 4.0 * (f64::from(i) + 0.5) / f64::from(n);
    let cell = 16.0 / f64::from(n * n);
    (0..n * n).map(|k| (20.0 - (100.0 - at(k % n).powi(2) - at(k / n).powi(2)).sqrt()) * cell).sum()
}

/// The edges of a block come back sharp, cut or not.
#[test]
fn edges_of_a_file_stay_sharp() {
    let block = form::block(Vec3::new(20.0, 16.0, 12.0)).unwrap();
    let made = realise::solid(&block, Tolerance::new(0.1).unwrap(), &Unwatched).unwrap();
    let read = form::scan(read::mesh("b.stl", &bytes(Format::Stl, &made.mesh)).unwrap());
    let again = realise::solid(&read, Tolerance::new(0.05).unwrap(), &Unwatched).unwrap().mesh;
    assert_eq!(again.laws(), vec![]);
    assert!((again.volume() - 3840.0).abs() < 0.5, "{}", again.volume());
    let far = again
        .points
        .iter()
        .map(|p| (p.x.abs() - 10.0).abs().min((p.y.abs() - 8.0).abs()).min((p.z.abs() - 6.0).abs()))
        .fold(0.0, f64::max);
    assert!(far < 0.05, "{far}");
    assert!(again.triangles.len() < 400, "flat sides need few triangles: {}", again.triangles.len());
}

/// A damaged ball is refused with places, and healed to nearly the ball.
#[test]
fn damage_is_told_and_healed() {
    let whole = ball(0.02);
    let mut torn = whole.clone();
    let middle = |m: &Mesh, t: usize| m.corners(t).iter().fold(Vec3::ZERO, |s, p| s + *p) / 3.0;
    let drop: Vec<bool> = (0..torn.triangles.len())
        .map(|t| {
            let m = middle(&torn, t);
            (m - Vec3::new(10.0, 0.0, 0.0)).norm() < 2.5 || (m - Vec3::new(0.0, -10.0, 0.0)).norm() < 1.5
        })
        .collect();
    torn.keep(|t, _| !drop[t]);
    for t in (0..torn.triangles.len()).step_by(37) {
        torn.triangles[t].swap(0, 1);
    }
    let files = Files::of([("torn.ply", bytes(Format::Ply, &torn))]);
    let refused = fault(&files, "read(\"torn.ply\")");
    for part in ["edges of holes", "edges to a triangle turned over", "near (", "heal: true"] {
        assert!(refused.contains(part), "{part} in {refused}");
    }
    // The holes are spanned from rim to rim; a cap of a ball cut at 2.5 mm holds π h² (r - h/3), h = 2.5²/20.
    let cap = |rim: f64| {
        let h = rim * rim / 20.0;
        PI * h * h * (10.0 - h / 3.0)
    };
    let wanted = whole.volume() - cap(2.5) - cap(1.5);
    let got = number(&files, "volume(read(\"torn.ply\", #{heal: true}))");
    assert!((got / wanted - 1.0).abs() < 0.004, "{got}, wanted {wanted}");
    let outcome = Ogee::new()
        .with_reader(files)
        .with_tolerance(Tolerance::new(0.1).unwrap())
        .run("make(\"mended\", read(\"torn.ply\", #{heal: true}) & halfspace())")
        .unwrap();
    let made = realise::solid(&outcome.pieces[0].form, Tolerance::new(0.1).unwrap(), &Unwatched).unwrap();
    assert_eq!(made.mesh.laws(), vec![]);
    assert!(outcome.said.iter().any(|s| s.contains("healed \"torn.ply\"")), "{:?}", outcome.said);
}
