//! Binary little-endian PLY, mm, with what is told about the piece in comments.
//! Source: G. Turk, "The PLY Polygon File Format" (1994).

use super::text::{comment_lines, one_line, program};
use super::{Meta, Part};

/// The parts joined; the triangles of a part stand together, in the order of the parts that comments tell.
pub fn bytes(parts: &[Part], meta: &Meta) -> Vec<u8> {
    let points: usize = parts.iter().map(|part| part.mesh.points.len()).sum();
    let triangles: usize = parts.iter().map(|part| part.mesh.triangles.len()).sum();
    let mut head =
        format!("ply\nformat binary_little_endian 1.0\ncomment made by {}\ncomment unit: mm\n", program());
    for line in comment_lines(meta) {
        head.push_str(&format!("comment {line}\n"));
    }
    for part in parts {
        head.push_str(&format!(
            "comment part: {} triangles {}\n",
            part.mesh.triangles.len(),
            one_line(part.name)
        ));
    }
    head.push_str(&format!(
        "element vertex {points}\nproperty float x\nproperty float y\nproperty float z\n"
    ));
    head.push_str(&format!("element face {triangles}\nproperty list uchar int vertex_indices\nend_header\n"));
    let mut out = Vec::with_capacity(head.len() + 12 * points + 13 * triangles);
    out.extend_from_slice(head.as_bytes());
    for place in parts.iter().flat_map(|part| &part.mesh.points) {
        place.array().into_iter().for_each(|c| out.extend_from_slice(&(c as f32).to_le_bytes()));
    }
    let mut first = 0;
    for part in parts {
        for triangle in &part.mesh.triangles {
            out.push(3);
            triangle.iter().for_each(|corner| out.extend_from_slice(&(first + corner).to_le_bytes()));
        }
        first += part.mesh.points.len() as u32;
    }
    out
}
