//! The laws of a mesh that bounds a solid, each as a finding.

use super::{Finding, Severity, told};
use crate::shape::{Broken, Law, Mesh};

/// Law, rule, what it says when kept, what is wrong when broken, what would mend it.
type Row = (Law, &'static str, &'static str, &'static str, &'static str);

const ROWS: &[Row] = &[
    (Law::Sound, "sound", "every triangle has three corners", "triangles without three corners", MADE_WRONG),
    (
        Law::Closed,
        "closed",
        "the skin is closed",
        "open edges",
        "give the surface a wall, or clip it by a solid",
    ),
    (
        Law::EdgeManifold,
        "edges",
        "no edge has more than two triangles",
        "edges where more than two triangles meet",
        TOUCHING,
    ),
    (
        Law::Oriented,
        "orientation",
        "all triangles face outward",
        "edges where the facing turns over",
        MADE_WRONG,
    ),
    (Law::VertexManifold, "points", "no two parts touch in a point", "points where parts touch", TOUCHING),
    (Law::Area, "area", "no triangle is flat", "flat triangles", "ask for a coarser tolerance"),
    (
        Law::NoCrossing,
        "crossing",
        "the skin does not pass through itself",
        "places where the skin passes through itself",
        "ask for a finer tolerance",
    ),
    (Law::Volume, "volume", "every part holds a volume", "parts turned inside out", MADE_WRONG),
];

const TOUCHING: &str = "move the parts apart or let them overlap, so that they do not just touch";
const MADE_WRONG: &str = "the mesh was made wrongly: please report the script";

/// One finding for each law.
pub fn findings(mesh: &Mesh) -> Vec<Finding> {
    let broken = mesh.laws();
    let sound = !broken.iter().any(|one| one.law == Law::Sound);
    let joined = sound && !broken.iter().any(|one| one.law <= Law::Oriented);
    ROWS.iter()
        .map(|row| match row.0 {
            // The laws build on each other: what a mesh is not sound enough for is not looked at.
            Law::Sound => finding(row, &broken, mesh),
            Law::VertexManifold | Law::Volume if !joined => unknown(row),
            _ if !sound => unknown(row),
            _ => finding(row, &broken, mesh),
        })
        .collect()
}

fn finding(&(law, rule, kept, wrong, mend): &Row, broken: &[Broken], mesh: &Mesh) -> Finding {
    let mut of_law = broken.iter().filter(|one| one.law == law);
    let first = of_law.next();
    let count = first.map_or(0, |_| 1 + of_law.count());
    let looked = format!("all {} triangles", mesh.triangles.len());
    let base = Finding {
        rule,
        measured: Some(count as f64),
        limit: Some(0.0),
        looked,
        ..Finding::new(Severity::Pass)
    };
    match first {
        None => Finding { sentence: kept.into(), ..base },
        Some(one) => Finding {
            severity: Severity::Fail,
            sentence: format!("{wrong}: {count}, the first near {} mm", told(one.at)),
            place: Some(one.at.array()),
            mend,
            ..base
        },
    }
}

fn unknown(&(_, rule, kept, ..): &Row) -> Finding {
    Finding {
        rule,
        sentence: format!("whether {kept} was not looked at: the mesh is not whole enough"),
        looked: "not at all".into(),
        ..Finding::new(Severity::Unknown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;

    fn tetrahedron() -> Mesh {
        let points =
            [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(Vec3::from).to_vec();
        Mesh { points, triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], sides: Vec::new() }
    }

    fn of(mesh: &Mesh, rule: &str) -> Finding {
        findings(mesh).into_iter().find(|finding| finding.rule == rule).unwrap()
    }

    #[test]
    fn a_solid_keeps_every_law() {
        let found = findings(&tetrahedron());
        assert_eq!(found.len(), ROWS.len());
        assert!(found.iter().all(|finding| finding.severity == Severity::Pass), "{found:?}");
    }

    #[test]
    fn each_law_has_a_shape_that_just_breaks_it() {
        let mut open = tetrahedron();
        open.triangles.pop();
        let finding = of(&open, "closed");
        assert_eq!((finding.severity, finding.measured), (Severity::Fail, Some(3.0)));
        assert!(finding.place.is_some());
        assert_eq!(of(&open, "volume").severity, Severity::Unknown);

        let mut inside_out = tetrahedron();
        inside_out.triangles.iter_mut().for_each(|t| t.swap(0, 1));
        assert_eq!(of(&inside_out, "volume").severity, Severity::Fail);

        let mut turned = tetrahedron();
        turned.triangles[3].swap(0, 1);
        assert_eq!(of(&turned, "orientation").severity, Severity::Fail);

        let mut loose = tetrahedron();
        loose.triangles[0][0] = 9;
        assert_eq!(of(&loose, "sound").severity, Severity::Fail);
        assert_eq!(of(&loose, "closed").severity, Severity::Unknown);
    }

    #[test]
    fn parts_that_touch_in_a_point_are_found() {
        let mut touching = tetrahedron();
        let new: Vec<Vec3> = touching.points[1..].iter().map(|p| -*p).collect();
        touching.points.extend(new);
        // A copy through the origin; mirrored, so its triangles turn the other way round.
        touching.triangles.extend([[0, 4, 5], [0, 6, 4], [0, 5, 6], [4, 6, 5]]);
        assert_eq!(of(&touching, "points").severity, Severity::Fail);
    }
}
