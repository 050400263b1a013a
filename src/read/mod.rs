//! The bytes of a file give a mesh: STL, OBJ, PLY and 3MF.

mod obj;
mod ply;
mod stl;
mod three_mf;

use crate::base::Vec3;
use crate::shape::Mesh;

/// Why a file gives no mesh.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadFault {
    /// The name ends in nothing that is known.
    #[error("files are read whose names end in .stl, .obj, .ply or .3mf")]
    Unknown,
    /// The bytes are not what the ending of the name says.
    #[error("it cannot be read as {format}: {why}")]
    Broken {
        /// The format's name.
        format: &'static str,
        /// What was wrong.
        why: String,
    },
    /// Nothing is in it.
    #[error("it holds no triangles")]
    Empty,
    /// Too many triangles.
    #[error("it holds more than {MOST} triangles")]
    TooMany,
}

/// More triangles than this are refused.
pub const MOST: usize = 8_000_000;

/// Points by index, and polygons that turn counter-clockwise seen from outside.
type Polygons = (Vec<Vec3>, Vec<Vec<u32>>);
/// Reads the bytes of one format.
type Read = fn(&[u8]) -> Result<Polygons, String>;

/// The triangles of a file, corners at one place joined. Lengths are mm where the format says a unit (3MF), else as in
/// the file. The format is known by the ending of the name.
///
/// # Errors
/// [`ReadFault`].
pub fn mesh(name: &str, bytes: &[u8]) -> Result<Mesh, ReadFault> {
    let ending = name.rsplit_once('.').map_or(String::new(), |(_, e)| e.to_ascii_lowercase());
    let (format, read): (_, Read) = match ending.as_str() {
        "stl" => ("STL", stl::read),
        "obj" => ("OBJ", obj::read),
        "ply" => ("PLY", ply::read),
        "3mf" => ("3MF", three_mf::read),
        _ => return Err(ReadFault::Unknown),
    };
    let (points, polygons) = read(bytes).map_err(|why| ReadFault::Broken { format, why })?;
    if polygons.iter().map(|p| p.len().saturating_sub(2)).sum::<usize>() > MOST {
        return Err(ReadFault::TooMany);
    }
    if let Some(wrong) = polygons.iter().flatten().find(|i| **i as usize >= points.len()) {
        let why = format!("a face names point {wrong} of {}", points.len());
        return Err(ReadFault::Broken { format, why });
    }
    if points.iter().any(|p| !p.is_finite()) {
        return Err(ReadFault::Broken { format, why: "a coordinate is no number".to_owned() });
    }
    let fan = |p: &Vec<u32>| (2..p.len()).map(|k| [p[0], p[k - 1], p[k]]).collect::<Vec<_>>();
    let mut mesh = Mesh { points, triangles: polygons.iter().flat_map(fan).collect(), sides: vec![] };
    mesh.weld();
    if mesh.triangles.is_empty() { Err(ReadFault::Empty) } else { Ok(mesh) }
}
