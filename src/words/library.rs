//! The modules that ship with the language, written in the language itself, and what their comments tell.

/// A module: its name and text.
#[derive(Clone, Copy, Debug)]
pub struct Module {
    /// What `import` calls it.
    pub name: &'static str,
    /// The text.
    pub text: &'static str,
}

/// A function of a module, as its comment tells it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shelved {
    /// Its module.
    pub module: &'static str,
    /// Its name.
    pub name: String,
    /// How it is called: `gyroid(period)`.
    pub signature: String,
    /// What it does, in a sentence or more.
    pub doc: String,
    /// Its parameters, each with what it means.
    pub params: Vec<(String, String)>,
    /// The reference that its mathematics comes from.
    pub source: String,
    /// A script that shows it.
    pub example: String,
}

/// All modules, in alphabetical order.
pub fn modules() -> &'static [Module] {
    &[
        Module { name: "arrays", text: include_str!("../../stdlib/arrays.ogee") },
        Module { name: "curves", text: include_str!("../../stdlib/curves.ogee") },
        Module { name: "knots", text: include_str!("../../stdlib/knots.ogee") },
        Module { name: "levels", text: include_str!("../../stdlib/levels.ogee") },
        Module { name: "minimal", text: include_str!("../../stdlib/minimal.ogee") },
        Module { name: "ornament", text: include_str!("../../stdlib/ornament.ogee") },
        Module { name: "spheres", text: include_str!("../../stdlib/spheres.ogee") },
    ]
}

/// Files that ship with the language, by name: something to try `read` on.
pub fn files() -> &'static [(&'static str, &'static [u8])] {
    &[("pebble.ply", include_bytes!("../../stdlib/pebble.ply"))]
}

impl Module {
    /// What the module is for: its `//!` lines.
    pub fn about(&self) -> String {
        let lines = self.text.lines().map_while(|l| l.strip_prefix("//!"));
        lines.map(str::trim).collect::<Vec<_>>().join(" ")
    }

    /// Its functions that have a comment, in order.
    pub fn functions(&self) -> Vec<Shelved> {
        let mut found = Vec::new();
        let mut comment: Vec<&str> = Vec::new();
        for line in self.text.lines() {
            if let Some(told) = line.strip_prefix("///") {
                comment.push(told.strip_prefix(' ').unwrap_or(told));
                continue;
            }
            if let Some((head, _)) = line.strip_prefix("fn ").and_then(|rest| rest.split_once('{'))
                && !comment.is_empty()
            {
                found.push(shelved(self.name, head.trim(), &comment));
            }
            comment.clear();
        }
        found
    }
}

fn shelved(module: &'static str, head: &str, comment: &[&str]) -> Shelved {
    let (name, rest) = head.split_once('(').unwrap_or((head, ")"));
    let names: Vec<&str> =
        rest.trim_end_matches(')').split(',').map(str::trim).filter(|n| !n.is_empty()).collect();
    let mut made = Shelved {
        module,
        name: name.to_owned(),
        signature: head.to_owned(),
        doc: String::new(),
        params: Vec::new(),
        source: String::new(),
        example: String::new(),
    };
    let mut fenced = false;
    let mut in_source = false;
    for line in comment {
        if line.starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            made.example += line;
            made.example.push('\n');
            continue;
        }
        let named = line.split_once(": ").filter(|(n, _)| names.contains(n));
        if let Some((param, about)) = named {
            made.params.push((param.to_owned(), about.to_owned()));
            in_source = false;
        } else if let Some(source) = line.strip_prefix("Source: ") {
            source.clone_into(&mut made.source);
            in_source = true;
        } else if line.is_empty() {
            in_source = false;
        } else if in_source {
            made.source = format!("{} {line}", made.source);
        } else if let Some((_, about)) = made.params.last_mut() {
            *about = format!("{about} {line}");
        } else {
            made.doc += if made.doc.is_empty() { "" } else { " " };
            made.doc += line;
        }
    }
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_function_tells_everything() {
        for module in modules() {
            assert!(!module.about().is_empty(), "{}", module.name);
            let defined = module.text.lines().filter(|l| l.starts_with("fn ")).count();
            assert_eq!(module.functions().len(), defined, "{}: a function without comment", module.name);
            for f in module.functions() {
                let names =
                    f.signature.split(['(', ',', ')']).map(str::trim).skip(1).filter(|n| !n.is_empty());
                assert!(f.doc.ends_with('.') && !f.example.is_empty(), "{}", f.name);
                assert_eq!(
                    f.params.iter().map(|(n, _)| n.as_str()).collect::<Vec<_>>(),
                    names.collect::<Vec<_>>()
                );
            }
        }
    }
}
