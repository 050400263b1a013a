//! The book tells the truth: its reference is what the program knows, and every script in it runs.
//!
//! `OGEE_WRITE=1 cargo test --test book` writes the reference pages anew.

use std::fs;
use std::path::{Path, PathBuf};

use ogee::{Ogee, guide};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All Markdown files of a folder and its folders, in order.
fn pages(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(pages(&path));
        } else if path.extension().is_some_and(|ending| ending == "md") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// A fenced block: the line it opens on, what stands after the fence, its text.
struct Block {
    line: usize,
    label: String,
    text: String,
}

fn blocks(text: &str) -> Vec<Block> {
    let mut found: Vec<Block> = Vec::new();
    let mut open = false;
    for (number, line) in text.lines().enumerate() {
        match line.trim_start().strip_prefix("```") {
            Some(_) if open => open = false,
            Some(label) => {
                open = true;
                found.push(Block { line: number + 1, label: label.trim().into(), text: String::new() });
            }
            None if open => {
                let block = found.last_mut().unwrap();
                block.text.push_str(line);
                block.text.push('\n');
            }
            None => {}
        }
    }
    found
}

#[test]
fn the_reference_is_what_the_program_knows() {
    let folder = root().join("book/src/reference");
    let made = guide::pages();
    if std::env::var_os("OGEE_WRITE").is_some() {
        fs::create_dir_all(&folder).unwrap();
        for path in pages(&folder) {
            fs::remove_file(path).unwrap();
        }
        for page in &made {
            fs::write(folder.join(&page.name), &page.text).unwrap();
        }
    }
    let anew = "make the pages anew: OGEE_WRITE=1 cargo test --test book";
    for page in &made {
        let there = fs::read_to_string(folder.join(&page.name)).unwrap_or_default();
        assert!(there == page.text, "book/src/reference/{} is not what the program knows; {anew}", page.name);
    }
    assert_eq!(pages(&folder).len(), made.len(), "a page of words that no longer exist; {anew}");
}

#[test]
fn every_page_is_in_the_summary() {
    let source = root().join("book/src");
    let summary = fs::read_to_string(source.join("SUMMARY.md")).unwrap();
    for path in pages(&source) {
        let name = path.strip_prefix(&source).unwrap().to_string_lossy().replace('\\', "/");
        assert!(
            name == "SUMMARY.md" || summary.contains(&format!("({name})")),
            "{name} is not in SUMMARY.md"
        );
    }
}

/// The script that stands in a block by the name of its file: `{{#include path}}`, relative to the page.
fn included(page: &Path, text: &str) -> Option<String> {
    let path = text.trim().strip_prefix("{{#include ")?.strip_suffix("}}")?;
    Some(fs::read_to_string(page.parent().unwrap().join(path.trim())).unwrap())
}

#[test]
fn every_script_told_of_runs() {
    let mut files = pages(&root().join("book/src"));
    files.extend([root().join("README.md"), root().join("DEVELOPERS.md")]);
    let (mut ran, mut broken) = (0, String::new());
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        for block in blocks(&text) {
            let fails = match block.label.as_str() {
                "ogee" => false,
                "ogee fails" => true,
                _ => continue,
            };
            ran += 1;
            let place = format!("{}:{}", path.strip_prefix(root()).unwrap().display(), block.line);
            let script = included(&path, &block.text);
            match Ogee::new().run(script.as_deref().unwrap_or(&block.text)) {
                Err(fault) if !fails => broken += &format!("{place}: {}\n", fault.report()),
                Ok(_) if fails => broken += &format!("{place}: was to end in a fault\n"),
                _ => {}
            }
        }
    }
    assert!(broken.is_empty(), "\n{broken}");
    assert!(ran > 20, "only {ran} scripts found");
}
