//! `ogee words`, `ogee scripts` and `ogee copy`: what there is, and a copy of it.

use std::io::{self, Write};
use std::path::PathBuf;

use serde_json::json;

use super::args::{Copy, Scripts, Words};
use super::disk;
use super::outcome::{Complaint, Stop};
use crate::guide;
use crate::job::{Head, scripts};
use crate::value::nearest;

/// The reference, or one word of it.
pub fn words(words: &Words) -> Result<u8, Stop> {
    let mut out = io::stdout().lock();
    match (&words.name, words.json) {
        (None, false) => out.write_all(guide::listing().as_bytes())?,
        (None, true) => {
            writeln!(out, "{}", serde_json::to_string(&guide::reference()).map_err(io::Error::from)?)?
        }
        (Some(name), json) => {
            let help = guide::help(name).map_err(Stop::from)?;
            match guide::find(name) {
                Some(entry) if json => {
                    writeln!(out, "{}", serde_json::to_string(&entry).map_err(io::Error::from)?)?
                }
                _ => out.write_all(help.as_bytes())?,
            }
        }
    }
    Ok(0)
}

/// The worked scripts.
pub fn list(list: &Scripts) -> Result<u8, Stop> {
    let mut out = io::stdout().lock();
    let heads = scripts().iter().map(|(name, text)| (*name, Head::read(text)));
    if list.json {
        let all: Vec<_> = heads.map(|(name, head)| json!({ "name": name, "head": head })).collect();
        writeln!(out, "{}", serde_json::to_string(&all).map_err(io::Error::from)?)?;
        return Ok(0);
    }
    let widest = scripts().iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    for (name, head) in heads {
        writeln!(out, "{name:<widest$}  {}", head.title)?;
    }
    writeln!(out, "\nlook at one: ogee see NAME.ogee after ogee copy NAME")?;
    Ok(0)
}

/// A worked script, as a file to edit. A file that is already there is left as it is.
pub fn copy(copy: &Copy) -> Result<u8, Stop> {
    let name = copy.name.trim_end_matches(".ogee");
    let Some((name, text)) = scripts().iter().find(|(known, _)| *known == name) else {
        let hint = match nearest(name, scripts().iter().map(|(known, _)| *known)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`ogee scripts` lists them".into(),
        };
        return Err(Complaint::new(format!("there is no script `{name}`"), hint).into());
    };
    let path = copy.output.clone().unwrap_or_else(|| PathBuf::from(format!("{name}.ogee")));
    if path.exists() {
        let what = format!("{} is there already", path.display());
        return Err(Complaint::new(what, "give another file with -o, or move that one").into());
    }
    disk::write(&path, text.as_bytes())?;
    writeln!(io::stdout().lock(), "wrote {}; look at it: ogee see {0}", path.display())?;
    Ok(0)
}
