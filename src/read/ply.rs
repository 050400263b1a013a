//! PLY, binary and as text: vertices by x, y, z and faces by lists of their indices.

use std::io::Cursor;

use ply_rs_bw::parser::Parser;
use ply_rs_bw::ply::{DefaultElement, Property};

use super::Polygons;
use crate::base::Vec3;

/// Reads the faces of a file.
pub fn read(bytes: &[u8]) -> Result<Polygons, String> {
    let parser = Parser::<DefaultElement>::new();
    let head = parser.read_ply_header(&mut Cursor::new(bytes)).map_err(|e| e.to_string())?;
    // Each element takes a byte at least.
    if let Some((name, element)) = head.elements.iter().find(|(_, e)| e.count > bytes.len()) {
        return Err(format!("its head tells of {} `{name}`, more than it holds", element.count));
    }
    let ply = parser.read_ply(&mut Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let all = |name: &str| ply.payload.get(name).map_or(&[][..], |e| &e[..]);
    let points = all("vertex").iter().map(place).collect::<Option<_>>().ok_or("a vertex lacks x, y or z")?;
    let faces = all("face")
        .iter()
        .map(corners)
        .collect::<Option<_>>()
        .ok_or("a face lacks the list of its corners")?;
    Ok((points, faces))
}

fn place(vertex: &DefaultElement) -> Option<Vec3> {
    let of = |name: &str| number(vertex.get(name)?);
    Some(Vec3::new(of("x")?, of("y")?, of("z")?))
}

fn number(p: &Property) -> Option<f64> {
    Some(match *p {
        Property::Float(v) => f64::from(v),
        Property::Double(v) => v,
        Property::Char(v) => f64::from(v),
        Property::UChar(v) => f64::from(v),
        Property::Short(v) => f64::from(v),
        Property::UShort(v) => f64::from(v),
        Property::Int(v) => f64::from(v),
        Property::UInt(v) => f64::from(v),
        _ => return None,
    })
}

/// An index that no mesh has stands for one below zero.
fn corners(face: &DefaultElement) -> Option<Vec<u32>> {
    let list = face.get("vertex_indices").or_else(|| face.get("vertex_index"))?;
    let of = |v: i64| u32::try_from(v).unwrap_or(u32::MAX);
    Some(match list {
        Property::ListChar(l) => l.iter().map(|v| of((*v).into())).collect(),
        Property::ListUChar(l) => l.iter().map(|v| of((*v).into())).collect(),
        Property::ListShort(l) => l.iter().map(|v| of((*v).into())).collect(),
        Property::ListUShort(l) => l.iter().map(|v| of((*v).into())).collect(),
        Property::ListInt(l) => l.iter().map(|v| of((*v).into())).collect(),
        Property::ListUInt(l) => l.iter().map(|v| of((*v).into())).collect(),
        _ => return None,
    })
}
