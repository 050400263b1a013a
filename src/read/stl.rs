//! STL, binary and as text.

use std::io::Cursor;

use super::Polygons;
use crate::base::Vec3;

/// Header, count, and bytes of a triangle of the binary form.
const HEAD: usize = 80;
const EACH: usize = 50;

/// Reads a file; a binary one that is cut short is refused.
pub fn read(bytes: &[u8]) -> Result<Polygons, String> {
    let count = bytes.get(HEAD..HEAD + 4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]) as usize);
    let text = bytes.trim_ascii_start().starts_with(b"solid") && bytes.is_ascii();
    if !text {
        let count = count.ok_or("it ends within its head")?;
        let held = (bytes.len() - HEAD - 4) / EACH;
        if count > held {
            return Err(format!("its head tells of {count} triangles and it holds {held}"));
        }
    }
    let stl = stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let points = stl.vertices.iter().map(|v| Vec3::from([0, 1, 2].map(|k| f64::from(v[k])))).collect();
    Ok((points, stl.faces.iter().map(|f| f.vertices.iter().map(|i| *i as u32).collect()).collect()))
}
