//! Modules and other files from a folder of the machine, for hosts that have one.

use std::path::{Path, PathBuf};

use crate::job::Reader;

/// A reader of files in a folder and the folders below it; links that lead out are refused.
#[derive(Clone, Debug)]
pub struct Folder(PathBuf);

/// Largest module and largest other file that is read, bytes.
const LARGEST: u64 = 2_000_000;
const LARGEST_FILE: u64 = 1_000_000_000;

impl Folder {
    /// The modules of a folder.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self(folder.into())
    }

    /// The bytes of a file, at most so many.
    fn fetch(&self, name: &str, largest: u64) -> Result<Option<Vec<u8>>, String> {
        let plain = |part: &str| !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', ':']);
        if !name.split('/').all(plain) || Path::new(name).is_absolute() {
            return Err("it leads out of the script's folder".to_owned());
        }
        let path = self.0.join(name);
        if std::fs::symlink_metadata(&path).is_err() {
            return Ok(None);
        }
        let (home, real) = match (self.0.canonicalize(), path.canonicalize()) {
            (Ok(home), Ok(real)) => (home, real),
            _ => return Err("it is a link that leads nowhere".to_owned()),
        };
        if !real.starts_with(&home) {
            return Err("it is a link that leads out of the script's folder".to_owned());
        }
        match std::fs::metadata(&real) {
            Ok(file) if !file.is_file() => return Err("it is no file".to_owned()),
            Ok(file) if file.len() > largest => return Err(format!("it is larger than {largest} bytes")),
            _ => {}
        }
        std::fs::read(&real).map(Some).map_err(|_| "it cannot be read".to_owned())
    }
}

impl Reader for Folder {
    fn read(&self, name: &str) -> Result<Option<String>, String> {
        let Some(bytes) = self.fetch(&format!("{name}.ogee"), LARGEST)? else { return Ok(None) };
        String::from_utf8(bytes).map(Some).map_err(|_| "it is not text in UTF-8".to_owned())
    }

    fn bytes(&self, name: &str) -> Result<Option<Vec<u8>>, String> {
        self.fetch(name, LARGEST_FILE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_outside_the_folder_is_read() {
        let outer = tempfile::tempdir().unwrap();
        let home = outer.path().join("home");
        std::fs::create_dir_all(home.join("parts")).unwrap();
        std::fs::write(outer.path().join("secret.ogee"), "1").unwrap();
        std::fs::write(home.join("petal.ogee"), "2").unwrap();
        std::fs::write(home.join("parts/leaf.ogee"), "3").unwrap();
        let folder = Folder::new(&home);
        assert_eq!(folder.read("petal"), Ok(Some("2".to_owned())));
        assert_eq!(folder.read("parts/leaf"), Ok(Some("3".to_owned())));
        assert_eq!(folder.read("none"), Ok(None));
        for path in ["../secret", "parts/../../secret", "/etc/passwd", "./petal", "", "parts"] {
            assert!(!matches!(folder.read(path), Ok(Some(_))), "{path}");
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(outer.path().join("secret.ogee"), home.join("link.ogee")).unwrap();
            std::os::unix::fs::symlink(outer.path(), home.join("up")).unwrap();
            std::os::unix::fs::symlink(home.join("petal.ogee"), home.join("same.ogee")).unwrap();
            assert!(folder.read("link").unwrap_err().contains("out of the script's folder"));
            assert!(folder.read("up/secret").unwrap_err().contains("out of the script's folder"));
            assert_eq!(folder.read("same"), Ok(Some("2".to_owned())));
        }
    }
}
