//! Meshes and flats in mm and what is told about them give the bytes of a file. Nothing here touches a disk.
//!
//! Every writer is ours, and the tests read each format back with libraries of other people. The same meshes and the
//! same telling give the same bytes: no clock, and no time stamp inside an archive.

mod flat;
mod glb;
mod obj;
mod ply;
mod stl;
mod text;
mod three_mf;

pub use flat::{FlatFormat, flat_file};

use crate::shape::Mesh;

/// A mesh and what it is called inside the file.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    /// A name for people; any text.
    pub name: &'a str,
    /// Places in mm.
    pub mesh: &'a Mesh,
}

/// What a file tells a stranger about itself. Empty texts are left out.
#[derive(Clone, Debug, Default)]
pub struct Meta {
    /// What the piece is called.
    pub title: String,
    /// Who made it.
    pub maker: String,
    /// An SPDX licence identifier, or the terms in words.
    pub licence: String,
    /// What the piece is, in a sentence.
    pub sentence: String,
    /// The script that made it, put inside where the format allows (3MF, GLB).
    pub script: String,
    /// A small picture as PNG bytes, put inside where the format allows (3MF).
    pub thumbnail: Option<Vec<u8>>,
}

/// A file format for meshes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Format {
    /// 3MF: unit, names, licence, picture and script inside. The one to send.
    ThreeMf,
    /// Binary STL: triangles alone; the unit (mm) stands in its header, which few programs read.
    Stl,
    /// Binary PLY, mm.
    Ply,
    /// OBJ, mm, one group for each part.
    Obj,
    /// Binary glTF: metres, y up, as that specification asks.
    Glb,
}

impl Format {
    /// Every format, the most useful first.
    pub const ALL: [Self; 5] = [Self::ThreeMf, Self::Stl, Self::Ply, Self::Obj, Self::Glb];

    /// What a file of this format ends in, without the dot; also how a user names the format.
    pub fn extension(self) -> &'static str {
        match self {
            Self::ThreeMf => "3mf",
            Self::Stl => "stl",
            Self::Ply => "ply",
            Self::Obj => "obj",
            Self::Glb => "glb",
        }
    }

    /// The format of that name, in small or capital letters, with or without a dot.
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim_start_matches('.').to_ascii_lowercase();
        Self::ALL.into_iter().find(|format| format.extension() == name)
    }
}

/// Why no file can be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ExportFault {
    /// No part has a triangle.
    #[error("nothing to write: there is no triangle")]
    Empty,
    /// No layer has a path.
    #[error("nothing to write: the flat is empty")]
    EmptyFlat,
    /// A place is not a number, or further than 10⁹ mm away.
    #[error("`{0}` has a point at no finite place")]
    NotFinite(String),
    /// A triangle names a point that does not exist.
    #[error("`{0}` has a triangle without a corner")]
    NoCorner(String),
    /// More points or triangles than the format can count.
    #[error("too large: the format counts to {0}")]
    TooLarge(u32),
    /// The work is wider than the format can hold.
    #[error("too large for `{0}`: that holds {1} at most")]
    TooWide(&'static str, &'static str),
    /// The archive could not be put together.
    #[error("the archive could not be written: {0}")]
    Archive(String),
}

/// The furthest a coordinate may be, mm: decimals of a nanometre still fit a 64-bit integer.
const FURTHEST: f64 = 1e9;

/// The bytes of a file of `format` that holds the parts.
pub fn file(format: Format, parts: &[Part], meta: &Meta) -> Result<Vec<u8>, ExportFault> {
    refuse_bad(parts)?;
    match format {
        Format::ThreeMf => three_mf::bytes(parts, meta),
        Format::Stl => Ok(stl::bytes(parts, meta)),
        Format::Ply => Ok(ply::bytes(parts, meta)),
        Format::Obj => Ok(obj::bytes(parts, meta)),
        Format::Glb => glb::bytes(parts, meta),
    }
}

/// Refuses what no format can hold, so that the writers need not look again.
fn refuse_bad(parts: &[Part]) -> Result<(), ExportFault> {
    let (mut points, mut triangles) = (0, 0);
    for Part { name, mesh } in parts {
        points += mesh.points.len();
        triangles += mesh.triangles.len();
        if !mesh.points.iter().all(|p| p.array().iter().all(|c| c.abs() <= FURTHEST)) {
            return Err(ExportFault::NotFinite((*name).into()));
        }
        if !mesh.triangles.iter().flatten().all(|&corner| (corner as usize) < mesh.points.len()) {
            return Err(ExportFault::NoCorner((*name).into()));
        }
    }
    let most = i32::MAX as usize;
    match () {
        () if triangles == 0 => Err(ExportFault::Empty),
        () if points > most || triangles > most => Err(ExportFault::TooLarge(i32::MAX as u32)),
        () => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;

    #[test]
    fn formats_are_found_by_name() {
        for format in Format::ALL {
            assert_eq!(Format::named(format.extension()), Some(format));
        }
        assert_eq!(Format::named(".STL"), Some(Format::Stl));
        assert_eq!(Format::named("doc"), None);
    }

    #[test]
    fn bad_meshes_are_refused() {
        let mesh = Mesh { points: vec![Vec3::ZERO; 3], triangles: vec![[0, 1, 2]], sides: Vec::new() };
        let write = |mesh: &Mesh| file(Format::Stl, &[Part { name: "leaf", mesh }], &Meta::default());
        assert!(write(&mesh).is_ok());
        let mut far = mesh.clone();
        far.points[1].y = f64::NAN;
        assert_eq!(write(&far), Err(ExportFault::NotFinite("leaf".into())));
        let mut loose = mesh.clone();
        loose.triangles[0][2] = 3;
        assert_eq!(write(&loose), Err(ExportFault::NoCorner("leaf".into())));
        assert_eq!(write(&Mesh::default()), Err(ExportFault::Empty));
        assert_eq!(file(Format::ThreeMf, &[], &Meta::default()), Err(ExportFault::Empty));
    }
}
