//! Binary STL: an 80-byte header, a count, and 50 bytes for each triangle, little-endian.
//!
//! The format has no unit and no names; the header says what it can. It must not begin with "solid", by which readers
//! tell the text form of the format.
//! Source: P. Bourke, "STL format" (notes on data formats).

use super::text::one_line;
use super::{Meta, Part};
use crate::base::Vec3;

const HEADER: usize = 80;

/// The parts, one after the other. Triangles that lose a side when their corners are rounded to 32 bits are left out:
/// their neighbours then meet at the same bits, so the skin stays closed.
pub fn bytes(parts: &[Part], meta: &Meta) -> Vec<u8> {
    let most: usize = parts.iter().map(|part| part.mesh.triangles.len()).sum();
    let mut out = Vec::with_capacity(HEADER + 4 + 50 * most);
    out.extend_from_slice(&header(meta));
    out.extend_from_slice(&[0; 4]);
    let mut count: u32 = 0;
    for part in parts {
        let rounded: Vec<[f32; 3]> = part.mesh.points.iter().map(|p| p.array().map(|c| c as f32)).collect();
        for triangle in &part.mesh.triangles {
            let [a, b, c] = triangle.map(|corner| rounded[corner as usize]);
            if a == b || b == c || c == a {
                continue;
            }
            for value in normal([a, b, c]).into_iter().chain([a, b, c].into_iter().flatten()) {
                // Adding zero turns -0 into 0: readers join corners by their bits.
                out.extend_from_slice(&(value + 0.0).to_le_bytes());
            }
            out.extend_from_slice(&[0; 2]);
            count += 1;
        }
    }
    out[HEADER..HEADER + 4].copy_from_slice(&count.to_le_bytes());
    out
}

/// Program, unit, title, maker and licence, as far as 80 bytes go; other letters than ASCII become `?`.
fn header(meta: &Meta) -> [u8; HEADER] {
    let mut text = "Ogee, unit mm".to_owned();
    for more in [&meta.licence, &meta.title, &meta.maker] {
        let more = one_line(more);
        if !more.is_empty() {
            text.push_str("; ");
            text.push_str(&more);
        }
    }
    let mut header = [b' '; HEADER];
    for (place, c) in header.iter_mut().zip(text.chars()) {
        *place = if c.is_ascii() { c as u8 } else { b'?' };
    }
    header
}

/// Square to the triangle and of length 1; zero when the three corners lie on a line.
fn normal(corners: [[f32; 3]; 3]) -> [f32; 3] {
    let [a, b, c] = corners.map(|p| Vec3::new(p[0].into(), p[1].into(), p[2].into()));
    (b - a).cross(c - a).unit().unwrap_or(Vec3::ZERO).array().map(|c| c as f32)
}
