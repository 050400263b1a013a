//! Pages of the book's reference, as Markdown: one for each family of words, and a list of them all.

use super::help::what;
use super::{Entry, Reference, reference};

/// A page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Its file name, with the ending.
    pub name: String,
    /// Its heading.
    pub title: String,
    /// Its text.
    pub text: String,
}

/// All pages of the reference; the list of words comes first.
pub fn pages() -> Vec<Page> {
    let reference = reference();
    let mut families: Vec<&str> = reference.words.iter().map(|word| word.family.as_str()).collect();
    families.dedup();
    let mut pages = vec![index(&reference, &families)];
    pages.extend(families.into_iter().map(|family| chapter(&reference, family)));
    pages
}

fn file_name(family: &str) -> String {
    let plain =
        family.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect::<String>();
    format!("{plain}.md")
}

/// Where the builder of the book puts the mark of a heading.
fn anchor(heading: &str) -> String {
    heading.to_lowercase().chars().filter(|c| c.is_alphanumeric() || "_-".contains(*c)).collect()
}

fn index(reference: &Reference, families: &[&str]) -> Page {
    let mut text = String::from("# Reference\n\nEvery word of the language, by family.\n");
    for family in families {
        text += &format!("\n## [{family}]({})\n\n", file_name(family));
        for word in reference.words.iter().filter(|word| word.family == *family) {
            let place = format!("{}#{}", file_name(family), anchor(&word.name));
            text += &format!("- [`{}`]({place}): {}\n", word.signature, word.summary);
        }
    }
    text += "\n## constants\n\n";
    for constant in &reference.constants {
        text += &format!("- `{}`: {}\n", constant.name, constant.about);
    }
    Page { name: "index.md".into(), title: "Reference".into(), text }
}

fn chapter(reference: &Reference, family: &str) -> Page {
    let mut text = format!("# {family}\n");
    for word in reference.words.iter().filter(|word| word.family == family) {
        text += &section(word);
    }
    Page { name: file_name(family), title: family.into(), text }
}

fn section(word: &Entry) -> String {
    let result = word.result.map(|kind| format!(" gives {kind}")).unwrap_or_default();
    let mut text = format!("\n## {}\n\n`{}`{result}.\n\n{}\n", word.name, word.signature, word.summary);
    if !word.more.is_empty() {
        text += &format!("\n{}\n", word.more);
    }
    if !word.params.is_empty() {
        text += "\n| parameter | takes | |\n| --- | --- | --- |\n";
        for param in &word.params {
            let about = param.about.replace('|', "\\|");
            text += &format!("| `{}` | {} | {about} |\n", param.name, what(param).replace('|', "\\|"));
        }
    }
    for example in &word.examples {
        text += &format!("\n```ogee\n{}\n```\n", example.trim());
    }
    if let Some(source) = &word.source {
        text += &format!("\nSource: {source}\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_stands_on_a_page() {
        let pages = pages();
        for word in reference().words {
            assert!(
                pages.iter().any(|page| page.text.contains(&format!("\n## {}\n", word.name))),
                "{}",
                word.name
            );
        }
        let mut names: Vec<&str> = pages.iter().map(|page| page.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), pages.len(), "a family whose words do not stand together");
    }
}
