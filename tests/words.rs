//! Loops over the table of words, the modules that ship with the language, and the faults a script can end in.
//!
//! `ACCEPT=1 cargo test --test words` writes the facts and the messages as they are now; read the difference before
//! committing. `FAMILY=name` looks at the facts of one family only.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use ogee::base::{Tolerance, Unwatched};
use ogee::form::Solid;
use ogee::formula::Expr;
use ogee::value::{Kind, Value};
use ogee::{Ogee, form, realise, words};

/// Parts of the longest extent that a mesh may lie from the form while facts are taken.
const PARTS: f64 = 500.0;

/// How far a measure may be from the fact kept, as a part of it: twice what the tolerance above can change.
const ALIKE: f64 = 5e-3;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(name)
}

fn accept() -> bool {
    std::env::var_os("ACCEPT").is_some()
}

fn value(what: &str, text: &str) -> Value {
    match Ogee::new().with_name(what).run(text) {
        Ok(outcome) => outcome.value,
        Err(fault) => panic!("{what}:\n{}", fault.report()),
    }
}

#[test]
fn words_are_well_formed() {
    let mut names = BTreeSet::new();
    for word in words::all() {
        assert!(names.insert(word.name), "{} is declared twice", word.name);
        assert!(
            word.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'),
            "{}",
            word.name
        );
        let summary = word.summary();
        assert!(
            summary.ends_with('.') || summary.ends_with(':'),
            "{}: the first sentence does not end",
            word.name
        );
        assert!(!word.examples.is_empty(), "{} has no example", word.name);
        let mut optional = false;
        let mut params = BTreeSet::new();
        for param in word.params {
            assert!(!param.doc.trim().is_empty(), "{}: `{}` has no doc", word.name, param.name);
            assert!(params.insert(param.name), "{}: `{}` twice", word.name, param.name);
            assert!(
                !optional || param.default.is_some(),
                "{}: `{}` must be given but stands late",
                word.name,
                param.name
            );
            optional = param.default.is_some();
        }
    }
    for constant in words::constants() {
        assert!(names.insert(constant.name), "{} is a word too", constant.name);
    }
    for borrowed in words::borrowed() {
        assert!(names.insert(borrowed.name), "{} hides a function of the engine", borrowed.name);
    }
}

#[test]
fn examples_give_what_is_declared() {
    for word in words::all() {
        for example in word.examples {
            let kind = value(word.name, example).kind();
            let fits = match word.result {
                Kind::Any => kind != Kind::Nothing,
                Kind::Same => kind > Kind::Map,
                declared => kind == declared,
            };
            assert!(fits, "{}: {example} gave {}", word.name, kind.with_article());
            assert!(example.contains(word.name), "{}: {example} does not show it", word.name);
        }
    }
    for borrowed in words::borrowed() {
        let (script, gives) = borrowed.example;
        assert_eq!(value(borrowed.name, script).to_string(), gives, "{script}");
        assert!(script.contains(borrowed.name));
    }
    for module in words::modules() {
        for function in module.functions() {
            let kind = value(&function.name, &function.example).kind();
            assert!(kind > Kind::Map, "{}: {}", function.name, kind.with_article());
            assert!(function.example.contains(&function.name), "{}", function.name);
        }
    }
}

#[test]
fn faults_say_what_is_promised() {
    for word in words::all() {
        for (script, says) in word.fails {
            match Ogee::new().run(script) {
                Ok(outcome) => panic!("{script} gave {}", outcome.value),
                Err(fault) => assert!(fault.report().contains(says), "{script}: {}", fault.report()),
            }
        }
    }
}

#[test]
fn every_word_works_as_a_method_and_with_options_by_name() {
    let same = [
        ("shift(ball(5), 1, 2, 3)", "ball(5).shift(1, 2, 3)"),
        ("block(3, 4, 5)", "block(#{ z: 5, x: 3, y: 4 })"),
        ("turn(rod(2, 9), 30, \"x\")", "rod(2, 9).turn(#{ axis: \"x\", angle: 30 })"),
    ];
    for (a, b) in same {
        assert_eq!(facts(&value(a, a)), facts(&value(b, b)), "{a} and {b}");
    }
    for word in words::all().filter(|w| !w.params.is_empty()) {
        let script = format!("{}(#{{ no_such_option: 1 }})", word.name);
        if word.params[0].takes_map {
            continue;
        }
        let fault = Ogee::new().run(&script).unwrap_err();
        assert!(fault.what().contains("there is no option `no_such_option`"), "{script}: {}", fault.report());
    }
}

/// What can be said of a value in numbers, a line each.
fn facts(value: &Value) -> String {
    let mut out = format!("kind {}\n", value.kind().name());
    match value {
        Value::Solid(solid) => out += &solid_facts(solid),
        Value::Piece(piece) => out += &format!("name {}\n{}", piece.name, solid_facts(&piece.form)),
        Value::Field(field) => {
            let at = [("x", 0.7), ("y", -1.3), ("z", 2.1)].map(|(n, v)| (n, Expr::constant(v)));
            let _ = writeln!(out, "at(0.7,-1.3,2.1) {}", number(field.with(&at).as_const().unwrap()));
        }
        Value::FlatPiece(piece) => out += &format!("name {}\n{}", piece.name, flat_facts(&piece.flat)),
        Value::Flat(flat) => out += &flat_facts(flat),
        Value::Curve(curve) => {
            let _ = writeln!(out, "length {}", number(curve.length()));
        }
        Value::Surface(surface) => match form::bounds(surface) {
            Ok(extent) => out += &format!("extent {}\n", row(extent.size().array())),
            Err(_) => out += "endless\n",
        },
        other => out += &format!("value {other}\n"),
    }
    out
}

fn flat_facts(flat: &form::Flat) -> String {
    let size = flat.bounds().size();
    let layers: Vec<String> = flat
        .layers()
        .iter()
        .map(|l| format!("{} {} {} loops {} lines", l.name, l.meaning.name(), l.loops.len(), l.lines.len()))
        .collect();
    format!(
        "size {} {}\narea {}\nlength {}\nregions {}\n{}\n",
        number(size.x),
        number(size.y),
        number(flat.area()),
        number(flat.length()),
        flat.regions(),
        layers.join("\n")
    )
}

fn solid_facts(solid: &Solid) -> String {
    let extent = realise::extent(solid).unwrap();
    let tolerance = Tolerance::new(extent.size().largest() / PARTS).unwrap();
    let m = realise::solid(solid, tolerance, &Unwatched).unwrap().mesh.measures();
    format!(
        "size {}\nvolume {}\narea {}\ngenus {}\nparts {}\n",
        row(m.bounds.size().array()),
        number(m.volume),
        number(m.area),
        m.genus,
        m.components
    )
}

fn number(x: f64) -> String {
    format!("{x:.4}")
}

fn row(v: [f64; 3]) -> String {
    v.map(number).join(" ")
}

#[test]
fn meshes_of_examples_obey_the_laws() {
    let mut wrong = String::new();
    for word in words::all() {
        for example in word.examples {
            if let Value::Solid(solid) = value(word.name, example) {
                let longest = realise::extent(&solid).unwrap().size().largest();
                let tolerance = Tolerance::new(longest / PARTS).unwrap();
                let broken = realise::solid(&solid, tolerance, &Unwatched).unwrap().mesh.laws();
                if let Some(first) = broken.first() {
                    let _ = writeln!(wrong, "{example}: {} broken, first {first:?}", broken.len());
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// True when the words agree and the numbers nearly do.
fn alike(kept: &str, now: &str) -> bool {
    let (kept, now): (Vec<&str>, Vec<&str>) =
        (kept.split_whitespace().collect(), now.split_whitespace().collect());
    kept.len() == now.len()
        && kept.iter().zip(&now).all(|(a, b)| match (a.parse::<f64>(), b.parse::<f64>()) {
            (Ok(x), Ok(y)) => (x - y).abs() <= ALIKE * x.abs().max(y.abs()),
            _ => a == b,
        })
}

#[test]
fn facts_are_as_they_were() {
    let mut wrong = String::new();
    let only = std::env::var("FAMILY").ok();
    for word in words::all().filter(|w| only.as_deref().is_none_or(|o| o == w.family)) {
        let mut now = String::new();
        for example in word.examples {
            let _ = writeln!(now, "# {example}\n{}", facts(&value(word.name, example)));
        }
        let path = folder("facts").join(format!("{}.txt", word.name));
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        if alike(&kept, &now) {
            continue;
        }
        if accept() {
            std::fs::write(&path, &now).unwrap();
        } else {
            let _ = writeln!(wrong, "{}: kept\n{kept}\nnow\n{now}", word.name);
        }
    }
    let known: BTreeSet<String> = words::all().map(|w| format!("{}.txt", w.name)).collect();
    for file in std::fs::read_dir(folder("facts")).unwrap() {
        let name = file.unwrap().file_name().to_string_lossy().into_owned();
        assert!(known.contains(&name), "tests/facts/{name} belongs to no word");
    }
    assert!(wrong.is_empty(), "{wrong}\nACCEPT=1 cargo test --test words keeps what is now");
}

/// Facts that have a closed form, so that a wrong fact cannot be accepted.
#[test]
fn measures_agree_with_closed_forms() {
    use std::f64::consts::PI;
    for (script, wanted) in [
        ("volume(ball(20))", 4.0 / 3.0 * PI * 8000.0),
        ("area(ball(20))", 4.0 * PI * 400.0),
        ("volume(block(10, 20, 30))", 6000.0),
        ("area(block(10, 20, 30))", 2200.0),
        ("volume(ring(20, 4))", 2.0 * PI * PI * 20.0 * 16.0),
        ("volume(rod(5, 40))", PI * 25.0 * 40.0),
        ("volume(cone(20, 0, 30))", PI * 400.0 * 30.0 / 3.0),
        ("volume(ball(10) & halfspace())", 2.0 / 3.0 * PI * 1000.0),
        // Steinmetz: two rods of one radius that cross at right angles share 16 r³/3.
        ("volume(rod(5, 40) & rod(5, 40).turn(90, \"x\"))", 16.0 * 125.0 / 3.0),
        // Steiner's formula: V + A r + M r² + 4 π r³/3, with M = π (a + b + c) for a block.
        (
            "volume(grow(block(20, 16, 12), 3))",
            3840.0 + 1504.0 * 3.0 + PI * 48.0 * 9.0 + 4.0 / 3.0 * PI * 27.0,
        ),
        ("volume(shrink(block(20, 16, 12), 3))", 14.0 * 10.0 * 6.0),
        ("volume(hollow(ball(20), 2))", 4.0 / 3.0 * PI * (8000.0 - 5832.0)),
        ("genus(hollow(ball(20), 2) - rod(3, 60))", 1.0),
        (
            "volume(soften(block(20, 16, 12), 3))",
            840.0 + 568.0 * 3.0 + PI * 30.0 * 9.0 + 4.0 / 3.0 * PI * 27.0,
        ),
        ("volume(ball(5).scale([1, 2, 3]))", 4.0 / 3.0 * PI * 125.0 * 6.0),
        ("volume(block(4, 4, 20).twist(3))", 320.0),
        ("volume(ball(3).repeat(4, 10))", 4.0 * 36.0 * PI),
        ("volume(ball(3).shift(20, 0, 0).repeat_around(5))", 5.0 * 36.0 * PI),
        ("volume(union([ball(3), ball(3).shift(20, 0, 0), ball(3).shift(0, 20, 0)]))", 3.0 * 36.0 * PI),
        ("genus(ring(20, 4))", 1.0),
        ("genus(ball(5) | ball(5).shift(20, 0, 0))", 0.0),
        ("parts(ball(5) | ball(5).shift(20, 0, 0))", 2.0),
        ("area(disc(20))", PI * 400.0),
        ("area(rectangle(40, 20, 4))", 800.0 - (4.0 - PI) * 16.0),
        ("area(rectangle(20, 10).outset(3))", 200.0 + 60.0 * 3.0 + PI * 9.0),
        // A level cut through a torus is the ring between R ± √(r² - z²).
        ("area(section(ring(20, 6), 2))", 80.0 * PI * 32.0_f64.sqrt()),
        ("area(shadow(ball(12)))", 144.0 * PI),
        ("area(unfold(polytope(\"[4,3]\", \"100\", 40), #{ tab: 0 }))", 9600.0),
        ("area(fillet(rectangle(30, 20), 3))", 600.0 - (4.0 - PI) * 9.0),
        ("length(disc(20))", 40.0 * PI),
        ("area(trace([[0, 0], [20, 0]]).band(2, \"flat\"))", 40.0),
        ("area(region(curve(|t| [30*cos(t), 10*sin(t), 0], 0, 2*PI)))", 300.0 * PI),
        ("volume((disc(20) - disc(8)).raise(5))", 5.0 * PI * (400.0 - 64.0)),
        // A truncated icosahedron of edge 1 holds 55.2877308.
        ("volume(hull(polytope(\"[5,3]\", \"011\", 8)))", 55.287_730_8 * 512.0),
        ("volume(regular(8, 20, 3).raise(5))", 5.0 * 2.414_213_562 * 400.0 / (1.207_106_781 * 1.207_106_781)),
        ("size(block(2, 1, 1).fit(60))[0]", 60.0),
        ("length(curve(|t| [3*cos(t), 3*sin(t), 4*t], 0, 2*PI))", 10.0 * PI),
        ("volume(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI).tube(4))", 2.0 * PI * PI * 20.0 * 16.0),
        // P. Guldin (1641), Centrobaryca: a section whose middle lies on the curve sweeps its area times the length.
        ("volume(sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(3, 10, 1), 0.5))", 1200.0 * PI),
        (
            "volume(sweep(curve(|t| [20*cos(t), 20*sin(t), 3*t], 0, 6), block(4, 6, 2)))",
            144.0 * 409f64.sqrt(),
        ),
        // Half a ball at each end.
        (
            "volume(curve(|t| [20*cos(t), 20*sin(t), t], 0, 6).tube(|s| 1 + 3*s))",
            PI * 42.0 * 401f64.sqrt() + PI * 130.0 / 3.0,
        ),
        // A cone, and a bar with half a disc at each end.
        (
            "volume(pipe(curve(|t| [t, 0, 0], 0, 30), [disc(8), disc(4)], #{ smooth: false }))",
            PI * 10.0 * (64.0 + 32.0 + 16.0),
        ),
        (
            "volume(sweep(polyline([[0, 0, 0], [40, 0, 0]]), rectangle(12, 8), #{ caps: \"round\" }))",
            40.0 * 96.0 + PI * 36.0 * 8.0,
        ),
        // Mitres take from the inside of a corner what they add outside.
        (
            "volume(sweep(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0], [0, 30, 0]], true), block(3, 6, 1)))",
            2520.0,
        ),
        (
            "length(rounded(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0], [0, 30, 0]], true), 6))",
            92.0 + 12.0 * PI,
        ),
        ("volume(loft([disc(20), disc(8)], [0, 30], false))", PI * 10.0 * (400.0 + 160.0 + 64.0)),
        // A disc with a round rim; P. Guldin again.
        (
            "volume(film(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), 3).wall(6))",
            2400.0 * PI + 2.0 * PI * (20.0 + 4.0 / PI) * 4.5 * PI,
        ),
        ("length(polyline([[0, 0, 0], [3, 4, 0], [3, 4, 5]], true))", 10.0 + 50f64.sqrt()),
        ("curvature(curve(|t| [6*cos(t), 2*sin(t), 0], 0, 2*PI))", 1.5),
        ("torsion(curve(|t| [3*cos(t), 3*sin(t), 4*t], 0, 9), 2)", 0.16),
        ("ropelength(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI))", 2.0 * PI),
        ("determinant(planar_code([[1, 5, 2, 4], [3, 1, 4, 6], [5, 3, 6, 2]]))", 3.0),
    ] {
        let found = value(script, script).number().unwrap();
        // The mesh lies within the longest extent / 1500 of the form; by that, a ball of 3 mm in a row of 46 mm could
        // be 3 % off in volume, and is nearer to 0.3 %.
        assert!(
            (found - wanted).abs() <= 4e-3 * wanted.abs().max(1e-9),
            "{script}: {found}, wanted {wanted}"
        );
    }
}

#[test]
fn faults_are_told_as_they_were() {
    let mut wrong = String::new();
    let mut count = 0;
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder("faults")).unwrap().map(|f| f.unwrap().path()).collect();
    files.sort();
    for path in files.iter().filter(|p| p.extension().is_some_and(|e| e == "ogee")) {
        count += 1;
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let text = std::fs::read_to_string(path).unwrap();
        let now = match Ogee::new().with_name(&name).run(&text) {
            Ok(outcome) => format!("no fault: {}\n", outcome.value),
            Err(fault) => fault.report(),
        };
        for engine in ["rhai", "Rhai", "Dynamic", "Thing", "i64", "f64", "ImmutableString", "anon$"] {
            assert!(!now.contains(engine), "{name} speaks of the engine: {now}");
        }
        let told = path.with_extension("txt");
        let kept = std::fs::read_to_string(&told).unwrap_or_default();
        if kept == now {
            continue;
        }
        if accept() {
            std::fs::write(&told, &now).unwrap();
        } else {
            let _ = writeln!(wrong, "{name}: kept\n{kept}\nnow\n{now}");
        }
    }
    assert!(count >= 20, "only {count} faults are tested");
    assert!(wrong.is_empty(), "{wrong}\nACCEPT=1 cargo test --test words keeps what is now");
}

#[test]
fn a_text_is_a_script_or_a_formula_by_the_rule() {
    for (text, formula) in [
        ("ball(20)", false),
        ("X^2 + Y^2 < 9", false),
        ("let x = 3; x", false),
        ("1 + 1", false),
        ("sin(X)", false),
        ("x^2 + y^2 + z^2 = 1", true),
        ("x^2 + y^2 + z^2 - 1", true),
        ("cos(x) + cos(y) + cos(z)", true),
        ("sin x cos y + sin y cos z + sin z cos x = 0", true),
        ("z = x^2 - y^2", true),
        ("x^2 + y^2 + z^2 < 9", true),
    ] {
        match Ogee::new().run(text) {
            Ok(outcome) => assert_eq!(outcome.reading.is_some(), formula, "{text}"),
            Err(fault) => panic!("{text}: {}", fault.report()),
        }
    }
    let said = |text: &str| Ogee::new().run(text).unwrap().said.join("\n");
    assert!(said("w = x^2 - y^2 + z").contains("let name ="));
    assert!(!said("z = x^2 - y^2").contains("let name ="));
    let scripted = Ogee::new().run("x^2 + y^2 + z^2 = 1").unwrap().script;
    assert_eq!(value("the framing line", &scripted).kind(), Kind::Solid, "{scripted}");
}
