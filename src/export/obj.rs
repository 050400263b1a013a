//! OBJ as text, mm, one object and group for each part.
//! Source: "Object Files (.obj)", Advanced Visualizer manual, appendix B1.

use super::text::{comment_lines, one_line, program, push_count, push_mm};
use super::{Meta, Part};

/// The parts, each with its own points; faces count points from 1 through the whole file.
pub fn bytes(parts: &[Part], meta: &Meta) -> Vec<u8> {
    let mut out = format!("# made by {}\n# unit: mm\n", program());
    for line in comment_lines(meta) {
        out.push_str(&format!("# {line}\n"));
    }
    let mut first = 1;
    for part in parts {
        // Readers end a name at a space.
        let name = one_line(part.name).replace(' ', "_");
        out.push_str(&format!("o {name}\ng {name}\n"));
        for place in &part.mesh.points {
            out.push('v');
            for c in place.array() {
                out.push(' ');
                push_mm(&mut out, c);
            }
            out.push('\n');
        }
        for triangle in &part.mesh.triangles {
            out.push('f');
            for &corner in triangle {
                out.push(' ');
                push_count(&mut out, first + u64::from(corner));
            }
            out.push('\n');
        }
        first += part.mesh.points.len() as u64;
    }
    out.into_bytes()
}
