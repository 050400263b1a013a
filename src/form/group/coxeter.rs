//! Reflection groups by their linear Coxeter diagrams, as H. S. M. Coxeter writes them: "[5,3]", "[4,3,3]".
//!
//! Source: H. S. M. Coxeter, Regular Polytopes (1973), chapter 11.

use super::{Group, GroupFault, point};
use crate::base::{Affine, Vec3};

/// Mirrors of a finite reflection group: unit vectors square to them, pointing out of the chamber.
#[derive(Clone, Debug, PartialEq)]
pub struct Mirrors {
    /// The label of each pair of neighbours: their mirrors meet at 180° over it.
    pub labels: Vec<u32>,
    /// Dimension and unit normals; entry i has components 0 to i only.
    pub normals: Vec<Vec<f64>>,
}

/// Reads a diagram and stands its mirrors up; `None` for labels that make no finite group.
///
/// # Errors
/// [`GroupFault::Diagram`].
pub fn mirrors(diagram: &str) -> Result<Mirrors, GroupFault> {
    let wrong = |what: &str| GroupFault::Diagram(format!("\"{diagram}\" {what}"));
    let inside = diagram.trim().strip_prefix('[').and_then(|t| t.strip_suffix(']'));
    let inside = inside.ok_or_else(|| wrong("is no diagram: write it as [5,3]"))?;
    let labels: Option<Vec<u32>> = inside.split(',').map(|t| t.trim().parse().ok()).collect();
    let labels =
        labels.filter(|l| l.iter().all(|n| (2..=360).contains(n)) && (1..=3).contains(&l.len())).ok_or_else(
            || wrong("is no diagram of two to four mirrors: write it as [5,3], with labels from 2 to 360"),
        )?;
    let normals = stand(&labels).ok_or_else(|| wrong("has mirrors that close no finite group"))?;
    Ok(Mirrors { labels, normals })
}

/// Unit normals with the products -cos(π/label) of neighbours and 0 of others, one dimension more for each.
fn stand(labels: &[u32]) -> Option<Vec<Vec<f64>>> {
    let n = labels.len() + 1;
    let product = |i: usize, j: usize| match i.abs_diff(j) {
        1 => {
            let label = labels[i.min(j)];
            // Without rounding where it matters for closure: right angles.
            if label == 2 { 0.0 } else { -libm::cos(std::f64::consts::PI / f64::from(label)) }
        }
        _ => 0.0,
    };
    let mut normals: Vec<Vec<f64>> = Vec::new();
    for i in 0..n {
        let mut v = vec![0.0; n];
        for j in 0..i {
            let known: f64 = (0..j).map(|k| v[k] * normals[j][k]).sum();
            v[j] = (product(i, j) - known) / normals[j][j];
        }
        let rest = 1.0 - v.iter().map(|k| k * k).sum::<f64>();
        if rest <= 1e-9 {
            return None;
        }
        v[i] = rest.sqrt();
        normals.push(v);
    }
    Some(normals)
}

/// The group of a diagram of two or three mirrors as motions of space.
pub(super) fn group(diagram: &str) -> Result<Group, GroupFault> {
    let found = mirrors(diagram)?;
    if found.normals.len() > 3 {
        return Err(GroupFault::Diagram(format!(
            "\"{diagram}\" acts on four dimensions: `polytope` makes its solids, a group of space has at most [p,q]"
        )));
    }
    let at = |v: &Vec<f64>, i: usize| v.get(i).copied().unwrap_or(0.0);
    let generators: Vec<Affine> = found
        .normals
        .iter()
        .filter_map(|v| Affine::reflect(Vec3::ZERO, Vec3::new(at(v, 0), at(v, 1), at(v, 2))))
        .collect();
    Ok(Group::finite(diagram, point::closure(&generators, 2000)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Orders. Source: Coxeter, Regular Polytopes, table IV.
    #[test]
    fn diagrams_have_their_orders() {
        for (diagram, order) in
            [("[3,3]", 24), ("[4,3]", 48), ("[5,3]", 120), ("[7]", 14), ("[6,2]", 24), ("[2,2]", 8)]
        {
            assert_eq!(group(diagram).unwrap().order(), order, "{diagram}");
        }
        for bad in ["[6,3]", "[7,3]", "[3,3,3]", "[]", "[x]", "[1,3]", "5,3", "[3,3,3,3]"] {
            assert!(group(bad).is_err(), "{bad}");
        }
        assert!(mirrors("[3,3,5]").is_ok() && mirrors("[3,3,6]").is_err() && mirrors("[4,3,4]").is_err());
    }
}
