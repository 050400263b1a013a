//! Tests: every known trap of the engine is handled, in numbers, fields, closures, limits and modules.

use std::sync::Arc;
use std::time::Duration;

use super::*;
use crate::value::{Kind, Source, Value};

fn setting() -> Setting {
    Setting::default()
}

fn run(text: &str) -> Value {
    match Runner::new(setting()).run(&Arc::new(Source::new("test", text))) {
        Ok(ran) => ran.value,
        Err(fault) => panic!("{text}\n{}", fault.report()),
    }
}

fn fault_with(setting: Setting, text: &str) -> String {
    match Runner::new(setting).run(&Arc::new(Source::new("test", text))) {
        Ok(ran) => panic!("{text} gave {}", ran.value),
        Err(fault) => fault.report(),
    }
}

fn fault(text: &str) -> String {
    fault_with(setting(), text)
}

fn number(text: &str) -> f64 {
    run(text).number().unwrap_or_else(|| panic!("{text} gave no number"))
}

#[test]
fn numbers_are_written_as_a_maker_writes_them() {
    for (text, value) in [
        ("1/2", 0.5),
        ("let a = 3; a /= 2; a", 1.5),
        ("let a = 2; a ^= 3; a", 8.0),
        ("2^-1", 0.5),
        ("2^3^2", 512.0),
        ("2*3^2", 18.0),
        ("1 - 2^2", -3.0),
        ("(-2)^2", 4.0),
        ("-(2^2)", -4.0),
        ("2^0.5 * 2^0.5", 2.0000000000000004),
        ("7 % 3", 1.0),
        ("-7 % 3", 2.0),
        ("7 / 0 ", f64::INFINITY),
        ("[10, 20, 30][quotient(5, 2)]", 30.0),
        ("2*PI - TAU", 0.0),
        ("fn half(a) { a * PI } half(1) - PI", 0.0),
        ("let f = |a| a * TAU; f.call(0.5) - PI", 0.0),
        ("let a = 2; let f = |x| { let g = |y| y * TAU + a; g.call(x) }; f.call(1) - TAU", 2.0),
        ("let X = 3; X + 1", 4.0),
        ("let θ = 2; θ + π - PI", 2.0),
        ("sin(1) - (1).sin()", 0.0),
        ("let s = 0; for i in 0..5 { s += i } s", 10.0),
        ("3 < 3.5 && 2 == 2.0 && !(1 > 2) ", f64::NAN),
    ] {
        match run(text) {
            Value::Truth(b) => assert!(b, "{text}"),
            other => assert_eq!(other.number(), Some(value), "{text}"),
        }
    }
}

#[test]
fn minus_before_a_power_is_refused_wherever_it_stands() {
    for text in [
        "let x = 3; -x^2",
        "-2^2",
        "-2.5**2",
        "1 + -(3)^2",
        "let a = [1]; -a[0]^2",
        "sin(-X^2)",
        "-X.abs()^2",
        "let f = |x| -x^2; f.call(2)",
        "let x = 1; 3 * -x ^ 2",
        "[1, -X^2]",
        "`${-X^2}`",
        "fn f(x) { return -x^2; } f(1)",
    ] {
        let said = fault(text);
        assert!(said.contains("could be read in two ways") && said.contains("-(a^b)"), "{text}: {said}");
    }
    for text in [
        "let x = 3; 1 - x^2",
        "-(2^2)",
        "(-2)^2",
        "[1 - 2^2, -2]",
        "2^-2",
        "-X * Y^2",
        "-sin(X^2)",
        "-X + Y^2",
    ] {
        run(text);
    }
}

#[test]
fn fields_work_with_numbers_on_either_side() {
    for text in [
        "X + 1",
        "1 + X",
        "2.5 * Y",
        "X / 2",
        "1 / X",
        "X ^ 2",
        "2 ^ X",
        "X % 3",
        "-X",
        "+X",
        "X - Y",
        "X.sin()",
        "sin(2*X)",
        "let f = X; f += 1; f -= Y; f *= 2; f /= 3; f ^= 2; f",
        "let f = 0; for i in 0..3 { f += sin(i * X) } f",
        "[X, Y, Z].map(|v| cos(v)).reduce(|s, v| s + v, 0)",
        "fn wave(v) { sin(v) } wave(X) * wave(Y)",
        "let m = #{ f: X }; m.f + 1",
    ] {
        assert_eq!(run(text).kind(), Kind::Field, "{text}");
    }
    for text in
        ["X < 0", "X > Y", "0 >= X", "1 < X", "X^2 + Y^2 <= 9", "(X < 0) & (Y < 0) | ball(2) - ball(1)"]
    {
        assert_eq!(run(text).kind(), Kind::Solid, "{text}");
    }
}

#[test]
fn comparing_a_field_is_never_silently_wrong() {
    for text in [
        "if X > 1 { 1 } else { 2 }",
        "X == 1",
        "X != 1",
        "1 == X",
        "\"a\" == X",
        "X == X",
        "X && true",
        "true && X",
        "X || false",
        "!X",
        "X in [1, 2]",
        "[X, 1].contains(1)",
        "while X < 1 { }",
        "X == \"a\"",
        "ball(1) == ball(1)",
        "X < \"a\"",
        "1 < \"a\"",
        "switch X { 1 => 2, _ => 3 }",
        "field(|x, y, z| if x > 1 { 1 } else { 0 })",
        "[1, 2].index_of(X)",
        "field(|x, y, z| { if x == 0 { y } else { z } })",
        "X ?? 1 == 2",
    ] {
        let said = fault(text);
        assert!(
            !said.contains("rhai") && !said.contains("Dynamic") && !said.contains("Thing"),
            "{text}: {said}"
        );
    }
}

#[test]
fn functions_are_traced_and_the_trace_is_checked() {
    assert_eq!(run("field(|x, y, z| x*x + y - z)").kind(), Kind::Field);
    assert_eq!(number("value_at(field(|x, y, z| x^2 + 2*y - z), 3, 4, 5)"), 12.0);
    assert_eq!(
        number(
            "let k = 3; let f = field(|x, y, z| { let s = 0; for i in 0..k { s += x } s }); value_at(f, 2, 0, 0)"
        ),
        6.0
    );
    assert_eq!(run("curve(|t| [cos(t), sin(t), 0], 0, 2*PI)").kind(), Kind::Curve);
    let said = fault("field(|x, y, z| if type_of(x) == \"f64\" { 1.0 } else { x })");
    assert!(said.contains("cannot be followed"), "{said}");
    let said = fault("field(|x, y, z| [x, y])");
    assert!(said.contains("should give a number, it gave a list of 2"), "{said}");
    let said = fault("field(|x| x)");
    assert!(said.contains("does not take 3 arguments"), "{said}");
    fault("field(|x, y, z| field(|x| x))");
}

#[test]
fn faults_are_in_our_own_words_and_places() {
    for (text, says) in [
        ("bal(20)", "did you mean `ball`?"),
        ("ball(20, 3)", "ball: takes 1 argument, got 2"),
        ("ball(1, 2, 3, 4)", "ball: takes 1 argument, got 4"),
        ("ball(\"x\")", "ball: `radius` is a number [mm], got a text"),
        ("block(30, #{ y: 3, w: 1 })", "there is no option `w`"),
        ("ball(20).shft(1, 2, 3)", "did you mean `shift`?"),
        ("x + 1", "the coordinates are the fields `X`"),
        ("radius + 1", "`radius` has no value"),
        ("let radius = 2; raduis", "did you mean `radius`?"),
        ("[1, 2][5]", "there is no item 5 in a list of 2"),
        ("[1, 2][1/2]", "quotient"),
        ("ball(20", "`)` is missing"),
        ("let = 3", "a name is missing"),
        ("1 +", "ends too early"),
        ("throw \"no wax left\"", "no wax left"),
        ("ball + 1", "`ball` is a word"),
        ("\"a\" * 2", "`*` has no meaning between a text and a number"),
        ("ball(1) + ball(2)", "joined with `|`"),
        ("9223372036854775807 + 1", "too large for a whole number"),
        ("1 % 0", "`%` by zero"),
        ("let f = |x| x; f.call(1, 2)", "closure"),
        ("const A = 1; A = 2", "`const`"),
        ("make(\"a\", ball(1)); make(\"a\", ball(2))", "there is a piece \"a\" already"),
        ("level(X, 0)._wall(2)", "`_wall`"),
        ("eval(\"1\")", "`eval` is not part"),
        ("sleep(1)", "`sleep`"),
        ("timestamp()", "`timestamp`"),
        ("\"abc", "not closed"),
        ("import \"levls\" as l;", "did you mean \"levels\"?"),
        ("levels::gyroid(3)", "levels"),
    ] {
        let said = fault(text);
        assert!(said.contains(says), "{text}: {said}");
        assert!(said.starts_with("test:1:"), "{text}: {said}");
    }
}

#[test]
fn places_are_underlined_and_calls_are_told() {
    let said = fault("fn shell(r) {\n  ball(r) - ball(\"in\")\n}\nlet a = 1;\nshell(3)");
    assert!(said.starts_with("test:2:18: ball: `radius`"), "{said}");
    assert!(said.contains("  ball(r) - ball(\"in\")\n                   ^^^^"), "{said}");
    assert!(said.contains("called by `shell` at test:5:1"), "{said}");
    let said = fault("let a = [1].map(|i| ball(\"a\"));");
    assert!(said.contains("ball: `radius`"), "{said}");
}

#[test]
fn limits_hold() {
    let limits = Limits { operations: 100_000, ..Limits::default() };
    let small = || Setting { limits, ..Setting::default() };
    for (text, says) in [
        ("loop { }", "more steps"),
        ("fn f(n) { f(n + 1) } f(0)", "deeper"),
        ("let a = []; a.pad(1000000000, 0)", "larger"),
        ("let s = \"a\"; loop { s += s }", "larger"),
        ("let a = [1]; loop { a += a }", ""),
        ("try { loop { } } catch { 1 }", "more steps"),
    ] {
        let said = fault_with(small(), text);
        assert!(said.contains(says), "{text}: {said}");
    }
    let limits = Limits { steps: 1000, ..Limits::default() };
    let few = Setting { limits, ..Setting::default() };
    assert!(fault_with(few, "let f = X; for i in 0..2000 { f += Y } f").contains("1000 steps"));
    // Long chains of forms neither overflow the stack when they are dropped nor when they are looked at.
    run("let f = X; for i in 0..100000 { f += Y } f");
    let deep = format!("{}1{}", "(".repeat(5000), ")".repeat(5000));
    assert!(fault(&deep).contains("nested too deep"));
    let clock: Clock = {
        let ticks = std::sync::atomic::AtomicU64::new(0);
        Arc::new(move || Duration::from_secs(ticks.fetch_add(1, std::sync::atomic::Ordering::Relaxed)))
    };
    let timed = Setting { clock: Some(clock), ..Setting::default() };
    assert!(fault_with(timed, "try { loop { } } catch { 1 }").contains("longer than the 120 s"));
}

#[test]
fn modules_come_from_the_reader_and_nowhere_else() {
    let shelf = Shelf(
        [
            ("petals", "fn petal(n) { ball(n) }\nfn bad() { ball(\"x\") }"),
            ("loop_a", "import \"loop_b\" as b;"),
            ("loop_b", "import \"loop_a\" as a;"),
            ("broken", "let a = ;"),
            ("parts/leaf", "import \"petals\" as p; fn leaf() { p::petal(3) }"),
        ]
        .map(|(n, t)| (n.to_owned(), t.to_owned()))
        .into(),
    );
    let with = || Setting { reader: Some(Arc::new(shelf.clone())), ..Setting::default() };
    let runner = Runner::new(with());
    for text in ["import \"petals\" as p; p::petal(3)", "import \"parts/leaf\" as l; l::leaf()"] {
        let ran = runner.run(&Arc::new(Source::new("test", text)));
        assert_eq!(ran.map(|r| r.value.kind()).map_err(|f| f.report()), Ok(Kind::Solid), "{text}");
    }
    for path in ["../petals", "/etc/passwd", "a/../../b", "", ".", "petals/", "C:\\\\x", "~/x", "a//b"] {
        let said = fault_with(with(), &format!("import \"{path}\" as p;"));
        assert!(said.contains("folder"), "{path}: {said}");
    }
    for (text, says) in [
        ("import \"loop_a\" as a;", "in a circle"),
        ("import \"broken\" as b;", "broken:1:9"),
        ("import \"petals\" as p; p::bad()", "petals:2:17"),
        ("import \"nothing\" as n;", "there is no module"),
    ] {
        let said = fault_with(with(), text);
        assert!(said.contains(says), "{text}: {said}");
    }
}

#[test]
fn what_is_said_is_kept() {
    let ran = Runner::new(setting())
        .run(&Arc::new(Source::new("test", "print(1/4); print(ball(2)); debug(\"a\"); `${X}`")));
    let ran = ran.unwrap();
    assert_eq!(ran.log.said, ["0.25", "a solid", "\"a\""]);
    assert_eq!(ran.value.to_string(), "a field");
}

#[test]
fn a_session_keeps_names_functions_and_closures() {
    let mut session = Session::new(setting());
    let mut line = |text: &str| {
        let source = session.source(text);
        session.run(&source).map(|r| r.value.to_string()).map_err(|f| f.report())
    };
    let step = |v: Result<String, String>| v.unwrap();
    step(line("let k = 3"));
    step(line("fn twice(x) { 2 * x }"));
    step(line("let f = |x| twice(x) + k"));
    assert_eq!(step(line("f.call(4)")), "11");
    assert!(line("f.call(").is_err());
    assert!(line("let k = nothing").is_err());
    assert_eq!(step(line("k")), "3");
    step(line("fn twice(x) { 20 * x }"));
    assert_eq!(step(line("f.call(4)")), "83");
    step(line("import \"levels\" as levels;"));
    assert_eq!(step(line("levels::gyroid(10)")), "a field");
    step(line("twice(2)"));
    assert!(line("twice(ball(\"a\"))").unwrap_err().starts_with("line "));
    let script = session.script();
    assert_eq!(run(&script).to_string(), "40", "{script}");
}
