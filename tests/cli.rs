//! The program as a user meets it: transcripts of every command, files on disk, closed pipes.
//!
//! `TRYCMD=overwrite cargo test --test cli` accepts new transcripts.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn ogee() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ogee"));
    command.env("NO_COLOR", "1").env_remove("HOME").env_remove("XDG_STATE_HOME");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    ogee().current_dir(folder).args(arguments).stdin(Stdio::null()).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn transcripts() {
    trycmd::TestCases::new().env("NO_COLOR", "1").case("tests/cli/*.md").case("tests/cli/*.toml");
}

#[test]
fn make_writes_every_file_and_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let script = "//! Two beads\n//! maker: The tide workshop\n//! licence: CC-BY-4.0\n\
                  make(\"bead\", ball(5)); make(\"bar\", block(4, 4, 20));\n";
    fs::write(folder.path().join("beads.ogee"), script).unwrap();
    let made =
        run(folder.path(), &["make", "beads.ogee", "-o", "out/beads", "--format", "3mf,stl,ply,obj,glb"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let mut names: Vec<String> = fs::read_dir(folder.path().join("out/beads"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let mut wanted: Vec<String> = ["bead", "bar"]
        .iter()
        .flat_map(|piece| ["3mf", "stl", "ply", "obj", "glb"].map(|ending| format!("{piece}.{ending}")))
        .chain(["picture.png", "report.md", "report.json", "script.ogee"].map(String::from))
        .collect();
    wanted.sort();
    assert_eq!(names, wanted);
    let read = |name: &str| fs::read(folder.path().join("out/beads").join(name)).unwrap();
    assert_eq!(text(&read("script.ogee")), script);
    let report: serde_json::Value = serde_json::from_slice(&read("report.json")).unwrap();
    let volume = report["pieces"][1]["volume"].as_f64().unwrap();
    assert!((volume - 320.0).abs() < 0.01 * 320.0, "{volume}");
    assert_eq!(report["head"]["licence"], "CC-BY-4.0");
    let first: Vec<_> = wanted.iter().map(|name| read(name)).collect();
    run(folder.path(), &["make", "beads.ogee", "-o", "out/beads", "--format", "3mf,stl,ply,obj,glb"]);
    let again: Vec<_> = wanted.iter().map(|name| read(name)).collect();
    assert!(first == again, "same script, same bytes");
}

#[test]
fn see_writes_a_picture_of_the_size_told() {
    let folder = tempfile::tempdir().unwrap();
    let seen = run(folder.path(), &["see", "x^2 + y^2 + z^2 < 1", "-o", "ball.png", "--size", "20"]);
    assert_eq!(seen.status.code(), Some(0), "{}", text(&seen.stderr));
    assert!(text(&seen.stdout).contains("20.0 × 20.0 × 20.0 mm"), "{}", text(&seen.stdout));
    let picture = png::Decoder::new(BufReader::new(fs::File::open(folder.path().join("ball.png")).unwrap()));
    let reader = picture.read_info().unwrap();
    assert_eq!((reader.info().width, reader.info().height), (1000, 1000));
}

#[test]
fn a_folder_that_cannot_be_written_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("out"), "a file, not a folder").unwrap();
    let made = run(folder.path(), &["make", "ball(5)", "-o", "out"]);
    assert_eq!(made.status.code(), Some(2));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    assert_eq!(fs::read_to_string(folder.path().join("out")).unwrap(), "a file, not a folder");
}

#[test]
fn copy_gives_a_script_that_runs_and_keeps_what_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let list = run(folder.path(), &["scripts", "--json"]);
    let list: serde_json::Value = serde_json::from_slice(&list.stdout).unwrap();
    let name = list[0]["name"].as_str().unwrap();
    assert_eq!(run(folder.path(), &["copy", name]).status.code(), Some(0));
    let file = folder.path().join(format!("{name}.ogee"));
    fs::write(&file, "ball(3)").unwrap();
    assert_eq!(run(folder.path(), &["copy", name]).status.code(), Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "ball(3)");
}

#[test]
fn a_closed_pipe_is_no_fault() {
    for arguments in [&["words"][..], &["words", "--json"], &["read", "x + y", "--json"], &["--help"]] {
        let mut child = ogee().args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // The reader leaves at once, perhaps before anything was written.
        drop(child.stdout.take());
        let out = child.wait_with_output().unwrap();
        assert!(!text(&out.stderr).contains("panic"), "{arguments:?}: {}", text(&out.stderr));
    }
}

#[test]
fn a_session_goes_on_after_a_fault_and_saves_what_ran() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = ogee()
        .current_dir(folder.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let lines =
        "let r = 4\nbal(r)\nlet bead = ball(\n  r\n)\nbead - rod(1, 10)\n:save kept\n:quit\nball(1)\n";
    child.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(text(&out.stderr).contains("bal"), "{}", text(&out.stderr));
    assert!(
        out.stdout.lines().map_while(Result::ok).any(|line| line.contains("8.0 × 8.0 × ")),
        "{}",
        text(&out.stdout)
    );
    let kept = run(folder.path(), &["see", "kept.ogee", "--json"]);
    let told: serde_json::Value =
        serde_json::from_slice(&kept.stdout).unwrap_or_else(|_| panic!("{}", text(&kept.stderr)));
    let volume = told["shapes"][0]["volume"].as_f64().unwrap();
    // A ball of radius 4 less a rod of radius 1 through its middle: 4π/3 (16 - 1)^(3/2).
    let exact = 4.0 * std::f64::consts::PI / 3.0 * 15_f64.powf(1.5);
    assert!((volume - exact).abs() < 0.01 * exact, "{volume} for {exact}");
}
