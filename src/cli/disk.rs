//! Files in and out. A file is written beside its place under another name and then moved there, so that no half file
//! is ever found. A link stays a link, and what is no file (a device, a pipe) is written to, never replaced.

use std::fs;
use std::io::{self, Read, Write};
use std::path::Path;

/// No script or formula is longer; a larger file is something else.
const LONGEST_TEXT: u64 = 16 << 20;

/// Writes all of a file, or nothing. Folders on the way are made. A fault names the path.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let written = match fs::metadata(path) {
        Ok(there) if there.is_file() => fs::canonicalize(path).and_then(|path| replace(&path, bytes)),
        Ok(there) if !there.is_dir() => through(path, bytes),
        _ => replace(path, bytes),
    };
    written.map_err(|fault| {
        io::Error::new(fault.kind(), format!("{} cannot be written: {fault}", path.display()))
    })
}

/// Says before any work is done that a folder cannot hold files: it, or what it is to be made in, is no folder or may not be
/// written to.
pub fn can_hold(folder: &Path) -> io::Result<()> {
    let there = folder.ancestors().map(|f| if f.as_os_str().is_empty() { Path::new(".") } else { f });
    let Some(nearest) = there.into_iter().find(|f| f.exists()) else { return Ok(()) };
    let trial = match nearest.is_dir() {
        true => tempfile::tempfile_in(nearest).map(drop),
        false => Err(io::Error::other(format!("{} is a file, not a folder", nearest.display()))),
    };
    let told = |fault: io::Error| {
        io::Error::new(fault.kind(), format!("{} cannot be written: {fault}", folder.display()))
    };
    trial.map_err(told)
}

fn through(path: &Path, bytes: &[u8]) -> io::Result<()> {
    fs::OpenOptions::new().write(true).open(path)?.write_all(bytes)
}

fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    fs::create_dir_all(folder)?;
    let mut new = tempfile::Builder::new();
    new.prefix(".ogee-");
    // An ordinary file; without this it could be read by its maker only. The system takes away what the user's mask says.
    #[cfg(unix)]
    new.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut half = new.tempfile_in(folder)?;
    half.write_all(bytes)?;
    half.as_file().sync_all()?;
    half.persist(path)?;
    Ok(())
}

/// Standard input as text, up to the longest that makes sense.
pub fn standard_input() -> io::Result<String> {
    limited(io::stdin().lock())
}

/// A file as text.
pub fn text(path: &Path) -> io::Result<String> {
    limited(fs::File::open(path)?)
}

fn limited(source: impl Read) -> io::Result<String> {
    let mut bytes = Vec::new();
    source.take(LONGEST_TEXT + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LONGEST_TEXT {
        return Err(io::Error::other("longer than 16 MiB: no formula or script"));
    }
    String::from_utf8(bytes).map_err(|_| io::Error::other("no text: it is not written in UTF-8"))
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::{FileTypeExt, symlink};

    #[test]
    fn a_link_stays_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("file"), folder.path().join("link"));
        write(&file, b"one").unwrap();
        symlink(&file, &link).unwrap();
        write(&link, b"two").unwrap();
        assert_eq!(fs::read(&file).unwrap(), b"two");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    }

    #[test]
    fn what_can_hold_files() {
        let folder = tempfile::tempdir().unwrap();
        can_hold(folder.path()).unwrap();
        can_hold(&folder.path().join("new/newer")).unwrap();
        let file = folder.path().join("file");
        write(&file, b"one").unwrap();
        for bad in [file.clone(), file.join("under")] {
            assert!(can_hold(&bad).unwrap_err().to_string().contains("is a file, not a folder"));
        }
    }

    #[test]
    fn a_device_is_written_to_and_not_replaced() {
        let null = Path::new("/dev/null");
        // Only where the device is whole already: a damaged machine says nothing about this code.
        if fs::metadata(null).is_ok_and(|there| there.file_type().is_char_device()) {
            write(null, b"gone").unwrap();
            assert!(fs::metadata(null).unwrap().file_type().is_char_device());
        }
    }
}
