//! How large the shape is, against what was asked for, and in how many parts it falls.

use super::{Finding, Severity, Stated};
use crate::shape::Mesh;

/// The box, the stated size, the number of parts, and the hollows that nothing leads into.
pub fn findings(mesh: &Mesh, stated: &Stated) -> Vec<Finding> {
    let volumes: Vec<f64> = mesh.split().iter().map(Mesh::volume).collect();
    let parts = volumes.iter().filter(|v| !(**v < 0.0)).count();
    let mut found = vec![size(mesh, stated), in_parts(mesh, parts)];
    found.extend(hollows(mesh, volumes.len() - parts, volumes.iter().copied().fold(0.0, f64::min)));
    found
}

fn in_parts(mesh: &Mesh, parts: usize) -> Finding {
    Finding {
        rule: "parts",
        measured: Some(parts as f64),
        sentence: match parts {
            1 => "it is in one part".into(),
            _ => format!("it is in {parts} parts that do not touch"),
        },
        looked: format!("all {} triangles", mesh.triangles.len()),
        mend: if parts == 1 { "" } else { "join them if they are to be one piece" },
        ..Finding::new(if parts == 1 { Severity::Pass } else { Severity::Note })
    }
}

/// Skins that face inward bound hollows; `largest` is the volume of the largest, negative, mm³.
fn hollows(mesh: &Mesh, count: usize, largest: f64) -> Option<Finding> {
    let sentence = match count {
        0 => return None,
        1 => format!("it holds a closed hollow of {:.3} mm³", -largest),
        _ => format!("it holds {count} closed hollows, the largest of {:.3} mm³", -largest),
    };
    Some(Finding {
        rule: "hollows",
        measured: Some(count as f64),
        sentence,
        looked: format!("all {} triangles", mesh.triangles.len()),
        mend: "fill them, or open them so that what is caught inside can leave",
        ..Finding::new(Severity::Note)
    })
}

/// A size is kept within this part of it: how far a wall leans out at its rim is known about so well.
const NEAR: f64 = 0.01;

fn size(mesh: &Mesh, stated: &Stated) -> Finding {
    let sides = mesh.bounds().size();
    let longest = sides.largest();
    let tolerance = stated.tolerance.mm();
    let size = format!("{:.2} × {:.2} × {:.2} mm", sides.x, sides.y, sides.z);
    // Each end of the longest side may lie off by the tolerance.
    let (severity, sentence, mend) = match stated.size {
        None => (Severity::Note, format!("its box is {size}; no size was stated"), ""),
        Some(asked) if (longest - asked).abs() <= (2.0 * tolerance).max(NEAR * asked) => {
            (Severity::Pass, format!("its box is {size}; asked for {asked} mm along the longest side"), "")
        }
        Some(asked) => (
            Severity::Fail,
            format!("its box is {size}, but {asked} mm was asked for along the longest side"),
            "fit it to the size after the last step that changes it",
        ),
    };
    Finding {
        rule: "size",
        measured: Some(longest),
        limit: stated.size,
        unit: "mm",
        sentence,
        looked: format!("to {tolerance} mm"),
        mend,
        ..Finding::new(severity)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::{Tolerance, Vec3};

    /// A block with a block of nothing in it is one part with a hollow; two blocks are two parts.
    #[test]
    fn hollows_are_no_parts() {
        let block = |side: f64, at: f64, inward: bool| {
            let points = (0..4).map(|k| {
                Vec3::new(at, at, at)
                    + [
                        Vec3::ZERO,
                        Vec3::new(side, 0.0, 0.0),
                        Vec3::new(0.0, side, 0.0),
                        Vec3::new(0.0, 0.0, side),
                    ][k]
            });
            let turn = |[a, b, c]: [u32; 3]| if inward { [a, c, b] } else { [a, b, c] };
            Mesh {
                points: points.collect(),
                triangles: [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]].map(turn).to_vec(),
                sides: vec![],
            }
        };
        let both = |a: Mesh, b: Mesh| {
            let shift = a.points.len() as u32;
            Mesh {
                points: [a.points, b.points].concat(),
                triangles: a
                    .triangles
                    .into_iter()
                    .chain(b.triangles.into_iter().map(|t| t.map(|i| i + shift)))
                    .collect(),
                sides: vec![],
            }
        };
        let stated = Stated { size: None, tolerance: Tolerance::new(0.01).unwrap() };
        let told =
            |mesh: Mesh| findings(&mesh, &stated)[1..].iter().map(|f| f.sentence.clone()).collect::<Vec<_>>();
        assert_eq!(
            told(both(block(12.0, 0.0, false), block(3.0, 1.0, true))),
            ["it is in one part", "it holds a closed hollow of 4.500 mm³"]
        );
        assert_eq!(
            told(both(block(12.0, 0.0, false), block(3.0, 20.0, false))),
            ["it is in 2 parts that do not touch"]
        );
    }

    #[test]
    fn a_size_is_held_within_a_hundredth() {
        let points =
            [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(Vec3::from).to_vec();
        let mesh =
            Mesh { points, triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], sides: Vec::new() };
        let tolerance = Tolerance::new(0.01).unwrap();
        let severity = |asked| size(&mesh, &Stated { size: asked, tolerance }).severity;
        assert_eq!(severity(None), Severity::Note);
        assert_eq!(severity(Some(10.09)), Severity::Pass);
        assert_eq!(severity(Some(10.11)), Severity::Fail);
        let tolerance = Tolerance::new(0.1).unwrap();
        let severity = |asked| size(&mesh, &Stated { size: Some(asked), tolerance }).severity;
        assert_eq!([10.19, 10.21].map(severity), [Severity::Pass, Severity::Fail]);
    }
}
