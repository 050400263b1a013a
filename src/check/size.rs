//! How large the shape is, against what was asked for, and in how many parts it falls.

use super::{Finding, Severity, Stated};
use crate::shape::Mesh;

/// The box, the stated size, and the number of parts.
pub fn findings(mesh: &Mesh, stated: &Stated) -> Vec<Finding> {
    let mut found = vec![size(mesh, stated)];
    let parts = mesh.measures().components;
    found.push(Finding {
        rule: "parts",
        measured: Some(parts as f64),
        sentence: match parts {
            1 => "it is in one part".into(),
            _ => format!("it is in {parts} parts that do not touch"),
        },
        looked: format!("all {} triangles", mesh.triangles.len()),
        mend: if parts == 1 { "" } else { "join them if they are to be one piece" },
        ..Finding::new(if parts == 1 { Severity::Pass } else { Severity::Note })
    });
    found
}

fn size(mesh: &Mesh, stated: &Stated) -> Finding {
    let sides = mesh.bounds().size();
    let longest = sides.largest();
    let tolerance = stated.tolerance.mm();
    let size = format!("{:.2} × {:.2} × {:.2} mm", sides.x, sides.y, sides.z);
    // Each end of the longest side may lie off by the tolerance.
    let (severity, sentence, mend) = match stated.size {
        None => (Severity::Note, format!("its box is {size}; no size was stated"), ""),
        Some(asked) if (longest - asked).abs() <= 2.0 * tolerance => {
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

    #[test]
    fn a_size_is_held_to_the_tolerance() {
        let points =
            [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(Vec3::from).to_vec();
        let mesh =
            Mesh { points, triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], sides: Vec::new() };
        let tolerance = Tolerance::new(0.01).unwrap();
        let severity = |asked| size(&mesh, &Stated { size: asked, tolerance }).severity;
        assert_eq!(severity(None), Severity::Note);
        assert_eq!(severity(Some(10.019)), Severity::Pass);
        assert_eq!(severity(Some(10.021)), Severity::Fail);
    }
}
