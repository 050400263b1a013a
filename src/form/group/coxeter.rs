//! Reflection groups by their linear Coxeter diagrams, as H. S. M. Coxeter writes them: "[5,3]", "[4,3,3]"; and by the
//! matrix of their angles.
//!
//! Source: H. S. M. Coxeter, Regular Polytopes (1973), chapter 11.

use std::f64::consts::PI;

use super::mirrored::Mirrored;
use super::{CellAsk, Group, GroupFault, point};
use crate::base::{Affine, Vec3};

/// Mirrors of a finite reflection group: unit vectors square to them, pointing out of the chamber.
#[derive(Clone, Debug, PartialEq)]
pub struct Mirrors {
    /// The label of each pair of neighbours, as a fraction: their mirrors meet at 180° over it.
    pub labels: Vec<(u32, u32)>,
    /// Dimension and unit normals; entry i has components 0 to i only.
    pub normals: Vec<Vec<f64>>,
}

/// Reads a diagram, a row, a fork or a ring of three, and stands its mirrors up. Labels of a row or a ring may be
/// fractions, as in [5/2,5] or [(5/2,3,3)]: the mirrors then bound no chamber, but may still close.
///
/// # Errors
/// [`GroupFault::Diagram`].
pub fn mirrors(diagram: &str) -> Result<Mirrors, GroupFault> {
    let diagram = &*as_row(diagram);
    let wrong = |what: &str| GroupFault::Diagram(format!("\"{diagram}\" {what}"));
    // A fork is no row: its labels are those of its arms.
    if diagram.contains('^') {
        let all = labels(diagram).ok_or_else(|| wrong("is no diagram: write forks as [3,3^1,1]"))?;
        let product = |i: usize, j: usize| if all[i][j] == 2 { 0.0 } else { -libm::cos(angle(all[i][j])) };
        let normals =
            stood(all.len(), product).ok_or_else(|| wrong("has mirrors that close no finite group"))?;
        return Ok(Mirrors { labels: vec![(3, 1); all.len() - 1], normals });
    }
    let inside = diagram.trim().strip_prefix('[').and_then(|t| t.strip_suffix(']'));
    let inside = inside.ok_or_else(|| wrong("is no diagram: write it as [5,3]"))?;
    let ring = inside.trim().strip_prefix('(').and_then(|t| t.strip_suffix(')'));
    let labels: Option<Vec<(u32, u32)>> = ring.unwrap_or(inside).split(',').map(fraction).collect();
    let fits = |l: &Vec<(u32, u32)>| if ring.is_some() { l.len() == 3 } else { (1..=3).contains(&l.len()) };
    let labels = labels.filter(fits).ok_or_else(|| {
        wrong(
            "is no diagram of two to four mirrors: write a row as [5,3], a ring of three as [(5/2,3,3)], with labels \
             from 2 to 360 or fractions",
        )
    })?;
    let normals =
        stand(&labels, ring.is_some()).ok_or_else(|| wrong("has mirrors that close no finite group"))?;
    Ok(Mirrors { labels, normals })
}

/// A label, as a fraction above 1 in lowest terms.
fn fraction(text: &str) -> Option<(u32, u32)> {
    let (p, q) = text.split_once('/').unwrap_or((text, "1"));
    let (p, q): (u32, u32) = (p.trim().parse().ok()?, q.trim().parse().ok()?);
    let common = |d: u32| p.is_multiple_of(d) && q.is_multiple_of(d);
    ((2..=360).contains(&p) && q > 0 && q < p && !(2..=q).any(common)).then_some((p, q))
}

/// A product of diagrams as one row, whose labels of 2 stand between mirrors at right angles: "[5]x[7]" as "[5,2,7]", "[5,3]x[]"
/// as "[5,3,2]". Anything else as it is.
fn as_row(diagram: &str) -> std::borrow::Cow<'_, str> {
    let factor = |t: &str| {
        let inside = t.trim().strip_prefix('[')?.strip_suffix(']')?.trim().to_owned();
        (!inside.contains(['[', ']', '^'])).then_some(inside)
    };
    let factors: Option<Vec<String>> = diagram.split(['x', '×']).map(factor).collect();
    match factors {
        Some(all) if all.len() > 1 => {
            // An empty factor is one mirror: it leaves no label beside the 2.
            let row = all.join(",2,");
            format!("[{}]", row.split(',').filter(|t| !t.is_empty()).collect::<Vec<_>>().join(",")).into()
        }
        _ => diagram.into(),
    }
}

/// Unit normals with the products -cos(π/label) of neighbours and 0 of others; in a ring the last is a neighbour of the
/// first.
fn stand(labels: &[(u32, u32)], ring: bool) -> Option<Vec<Vec<f64>>> {
    let count = if ring { labels.len() } else { labels.len() + 1 };
    stood(count, |i, j| {
        let (low, high) = (i.min(j), i.max(j));
        let label = match high - low {
            1 => low,
            _ if ring && (low, high) == (0, count - 1) => high,
            _ => return 0.0,
        };
        let (p, q) = labels[label];
        // Without rounding where it matters for closure: right angles.
        if p == 2 { 0.0 } else { -libm::cos(PI * f64::from(q) / f64::from(p)) }
    })
}

/// Unit normals with given products, one dimension more for each; `None` when there are none.
fn stood(n: usize, product: impl Fn(usize, usize) -> f64) -> Option<Vec<Vec<f64>>> {
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

/// How many connected mirrors make a finite group, by their labels.
fn finite_order(labels: &[Vec<u32>], nodes: &[usize]) -> Option<usize> {
    let joined: Vec<u32> = nodes
        .iter()
        .flat_map(|i| nodes.iter().filter(move |j| *j > i).map(move |j| labels[*i][*j]))
        .filter(|l| *l != 2)
        .collect();
    let degree = |i: &usize| nodes.iter().filter(|j| *j != i && labels[*i][**j] != 2).count();
    let most = nodes.iter().map(degree).max().unwrap_or(0);
    let mut sorted = joined.clone();
    sorted.sort_unstable();
    // The label between the two inner mirrors of a row of four.
    let inner = || {
        let inside: Vec<usize> = nodes.iter().copied().filter(|i| degree(i) == 2).collect();
        labels[inside[0]][inside[1]]
    };
    match (nodes.len(), sorted.as_slice()) {
        (1, []) => Some(2),
        (2, [m]) if *m >= 3 => Some(2 * *m as usize),
        (3, [3, 3]) => Some(24),
        (3, [3, 4]) => Some(48),
        (3, [3, 5]) => Some(120),
        (4, [3, 3, 3]) if most == 3 => Some(192),
        (4, [3, 3, 3]) => Some(120),
        (4, [3, 3, 4]) if most == 2 => Some(if inner() == 4 { 1152 } else { 384 }),
        (4, [3, 3, 5]) if most == 2 && inner() == 3 => Some(14_400),
        _ => None,
    }
}

/// Mirrors that are joined by labels above 2, piece by piece.
fn pieces(labels: &[Vec<u32>]) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..labels.len()).collect();
    let mut found = Vec::new();
    while let Some(first) = left.first().copied() {
        let mut piece = vec![first];
        let mut k = 0;
        while k < piece.len() {
            let more: Vec<usize> =
                left.iter().copied().filter(|j| !piece.contains(j) && labels[piece[k]][*j] != 2).collect();
            piece.extend(more);
            k += 1;
        }
        left.retain(|i| !piece.contains(i));
        piece.sort_unstable();
        found.push(piece);
    }
    found
}

/// The symbol of the group with steps that mirrors without a common point make, if it is one of the flat plane or space.
fn flat_symbol(labels: &[Vec<u32>], pieces: &[Vec<usize>]) -> Option<&'static str> {
    let of = |piece: &[usize]| {
        let mut found: Vec<u32> = Vec::new();
        for (k, i) in piece.iter().enumerate() {
            found.extend(piece[k + 1..].iter().map(|j| labels[*i][*j]).filter(|l| *l != 2));
        }
        found.sort_unstable();
        found
    };
    let degree = |i: &usize| (0..labels.len()).filter(|j| j != i && labels[*i][*j] != 2).count();
    let most = (0..labels.len()).map(|i| degree(&i)).max().unwrap_or(0);
    let ends: Vec<usize> = (0..labels.len()).filter(|i| degree(i) == 1).collect();
    match pieces {
        [one] => match (one.len(), of(one).as_slice(), most) {
            (2, [ENDLESS], _) => Some("p1m1"),
            (3, [4, 4], _) => Some("p4mm"),
            (3, [3, 6], _) => Some("p6mm"),
            (3, [3, 3, 3], _) => Some("p3m1"),
            // A row with the fours at its ends; a fork with one four; a ring.
            (4, [3, 4, 4], 2) if ends.iter().all(|i| labels[*i].contains(&4)) => Some("Pm-3m"),
            (4, [3, 3, 4], 3) => Some("Fm-3m"),
            (4, [3, 3, 3, 3], 2) => Some("F-43m"),
            _ => None,
        },
        [a, b] => match (of(a).as_slice(), of(b).as_slice()) {
            ([ENDLESS], [ENDLESS]) => Some("wallpaper p2mm"),
            ([ENDLESS], []) | ([], [ENDLESS]) => Some("frieze p2mm"),
            _ => None,
        },
        _ => None,
    }
}

/// Stands for mirrors that do not meet: a label without end.
const ENDLESS: u32 = 0;

/// A matrix of labels: 1 on the diagonal, those given where two mirrors are joined, 2 elsewhere.
fn joined(n: usize, pairs: &[(usize, usize, u32)]) -> Vec<Vec<u32>> {
    let mut all: Vec<Vec<u32>> =
        (0..n).map(|i| (0..n).map(|j| if i == j { 1 } else { 2 }).collect()).collect();
    for (i, j, label) in pairs {
        (all[*i][*j], all[*j][*i]) = (*label, *label);
    }
    all
}

/// The labels of a diagram: a row "[7,3]", "[∞]", a fork "[3,3^1,1]" or "[3^1,1,1]", a ring "[3^[4]]".
fn labels(diagram: &str) -> Option<Vec<Vec<u32>>> {
    let plain: String =
        as_row(diagram).chars().filter(|c| !c.is_whitespace() && !"{}".contains(*c)).collect();
    let inside = plain.strip_prefix('[')?.strip_suffix(']')?;
    let read = |t: &str| match t {
        "∞" | "oo" => Some(ENDLESS),
        number => number.parse().ok().filter(|n| (2..=360).contains(n)),
    };
    if let Some(rest) = inside.strip_prefix("3^[") {
        let n: usize = rest.strip_suffix(']')?.parse().ok().filter(|n| (3..=4).contains(n))?;
        let pairs: Vec<_> = (0..n).map(|i| (i, (i + 1) % n, 3)).collect();
        return Some(joined(n, &pairs));
    }
    if inside == "3^1,1,1" {
        return Some(joined(4, &[(0, 1, 3), (0, 2, 3), (0, 3, 3)]));
    }
    if let Some(handle) = inside.strip_suffix(",3^1,1") {
        return Some(joined(4, &[(0, 1, read(handle)?), (1, 2, 3), (1, 3, 3)]));
    }
    let row: Vec<u32> = inside.split(',').map(read).collect::<Option<_>>()?;
    let pairs: Vec<_> = row.iter().enumerate().map(|(i, label)| (i, i + 1, *label)).collect();
    Some(joined(row.len() + 1, &pairs))
}

/// The corners of a polygon of mirrors by its orbifold symbol: "*732", "*∞32", "*2223".
pub(super) fn corners(symbol: &str) -> Option<Vec<u32>> {
    let rest = symbol.strip_prefix('*')?.replace("oo", "∞");
    let parts: Vec<String> = if rest.contains([',', ' ', '.']) {
        rest.split([',', ' ', '.']).filter(|t| !t.is_empty()).map(str::to_owned).collect()
    } else {
        rest.chars().map(String::from).collect()
    };
    let read = |t: &String| {
        if t == "∞" { Some(ENDLESS) } else { t.parse().ok().filter(|n| (2..=360).contains(n)) }
    };
    let found = parts.iter().map(read).collect::<Option<Vec<u32>>>()?;
    (3..=MOST_CORNERS).contains(&found.len()).then_some(found)
}

/// The group of a polygon of mirrors with corners of 180° over the numbers, 0 on the rim.
pub(super) fn of_corners(name: &str, corners: &[u32], cell: &CellAsk) -> Result<Group, GroupFault> {
    match corners {
        [p, q, r] => of_labels(name, &joined(3, &[(0, 1, *p), (1, 2, *q), (2, 0, *r)]), cell),
        _ => {
            let angles: Vec<f64> = corners.iter().map(|n| angle(*n)).collect();
            Ok(Group::mirrored(name, Mirrored::polygon(&angles, cell)?))
        }
    }
}

/// Most corners of a polygon of mirrors.
const MOST_CORNERS: usize = 24;

/// Between two mirrors, radians; 0 when they do not meet.
fn angle(label: u32) -> f64 {
    if label == ENDLESS { 0.0 } else { PI / f64::from(label) }
}

/// The group of a diagram.
pub(super) fn group(diagram: &str, cell: &CellAsk) -> Result<Group, GroupFault> {
    let labels = labels(diagram).ok_or_else(|| {
        GroupFault::Diagram(format!(
            "\"{diagram}\" is no diagram: write it as [5,3], with labels from 2 to 360, or ∞; forks as [3,3^1,1], rings as [3^[4]]"
        ))
    })?;
    of_labels(diagram, &labels, cell)
}

/// The group that mirrors make, by the matrix of their angles: mirrors i and j meet at 180° over entry (i, j), and not at
/// all where it is 0. Up to three mirrors through a point make a point group; of others, those of the plane, of space, of
/// the hyperbolic plane (three) and of four dimensions (four) are known.
///
/// # Errors
/// [`GroupFault::Diagram`] for a matrix that is none, or whose group is of no such kind.
pub fn of_matrix(labels: &[Vec<u32>], cell: &CellAsk) -> Result<Group, GroupFault> {
    let n = labels.len();
    let wrong = |what: &str| Err(GroupFault::Diagram(what.to_owned()));
    if !(1..=4).contains(&n) || labels.iter().any(|r| r.len() != n) {
        return wrong("a Coxeter matrix is square, with a row for each of one to four mirrors");
    }
    for (i, row) in labels.iter().enumerate() {
        for (j, label) in row.iter().enumerate() {
            if *label != labels[j][i] {
                return wrong("a Coxeter matrix is the same on both sides of its diagonal");
            }
            if (i == j) != (*label == 1) || *label > 360 {
                return wrong("a Coxeter matrix has 1 on its diagonal, elsewhere 2 to 360, or 0 for ∞");
            }
        }
    }
    let rows: Vec<String> =
        labels.iter().map(|r| r.iter().map(u32::to_string).collect::<Vec<_>>().join(" ")).collect();
    of_labels(&format!("[{}]", rows.join("; ")), labels, cell)
}

/// The group of checked labels.
pub(super) fn of_labels(name: &str, labels: &[Vec<u32>], cell: &CellAsk) -> Result<Group, GroupFault> {
    let pieces = pieces(labels);
    let orders: Option<Vec<usize>> = pieces.iter().map(|p| finite_order(labels, p)).collect();
    if let Some(orders) = orders {
        let order: usize = orders.iter().product();
        let product = |i: usize, j: usize| {
            // Without rounding where it matters for closure: right angles.
            match labels[i][j] {
                2 => 0.0,
                label => -libm::cos(PI / f64::from(label)),
            }
        };
        let normals = stood(labels.len(), product).ok_or_else(|| {
            GroupFault::Diagram(format!("\"{name}\" has mirrors that close no finite group"))
        })?;
        if normals.len() > 3 {
            let normals = normals.iter().map(|v| std::array::from_fn(|k| v[k])).collect();
            return Ok(Group::mirrored(name, Mirrored::sphere(normals, order, cell)?));
        }
        return Ok(finite(name, &normals));
    }
    if let Some(symbol) = flat_symbol(labels, &pieces) {
        return Group::named(symbol, cell);
    }
    if labels.len() == 3 {
        let [a, b, c] = [labels[0][1], labels[1][2], labels[0][2]].map(angle);
        return Ok(Group::mirrored(name, Mirrored::disc([a, b, c], cell)?));
    }
    // Four sides in turn of which opposite ones do not meet.
    if labels.len() == 4 && labels[0][2] == ENDLESS && labels[1][3] == ENDLESS {
        let angles: Vec<f64> = (0..4).map(|i| angle(labels[i][(i + 1) % 4])).collect();
        return Ok(Group::mirrored(name, Mirrored::polygon(&angles, cell)?));
    }
    Err(GroupFault::Diagram(format!(
        "\"{name}\" has mirrors that close no group of the sphere, the plane, the hyperbolic plane, space or four dimensions"
    )))
}

/// A finite group of space by its mirrors.
fn finite(name: &str, normals: &[Vec<f64>]) -> Group {
    let at = |v: &Vec<f64>, i: usize| v.get(i).copied().unwrap_or(0.0);
    let generators: Vec<Affine> = normals
        .iter()
        .filter_map(|v| Affine::reflect(Vec3::ZERO, Vec3::new(at(v, 0), at(v, 1), at(v, 2))))
        .collect();
    Group::finite(name, point::closure(&generators, 2000))
}

#[cfg(test)]
mod tests {
    use super::super::Kind;
    use super::*;

    /// Orders. Source: Coxeter, Regular Polytopes, table IV.
    #[test]
    fn diagrams_have_their_orders() {
        for (diagram, order) in
            [("[3,3]", 24), ("[4,3]", 48), ("[5,3]", 120), ("[7]", 14), ("[6,2]", 24), ("[2,2]", 8)]
        {
            assert_eq!(group(diagram, &CellAsk::default()).unwrap().order(), order, "{diagram}");
        }
        // Forks and rings: D4 is finite; the others are the reflection groups of honeycombs (table IV).
        for (diagram, kind, order) in [
            ("[3,3^1,1]", Kind::Hypersphere, 192),
            ("[3^{1,1,1}]", Kind::Hypersphere, 192),
            ("[4,3^1,1]", Kind::Space, 192),
            ("[3^[4]]", Kind::Space, 96),
            ("[3^[3]]", Kind::Wallpaper, 6),
        ] {
            let made = group(diagram, &CellAsk::default()).unwrap();
            assert_eq!((made.kind(), made.order()), (kind, order), "{diagram}");
        }
        for bad in ["[]", "[x]", "[1,3]", "5,3", "[3,3,3,3]", "[5,3,5]", "[4,4,4]"] {
            assert!(group(bad, &CellAsk::default()).is_err(), "{bad}");
        }
        assert!(mirrors("[3,3,5]").is_ok() && mirrors("[3,3,6]").is_err() && mirrors("[4,3,4]").is_err());
    }

    /// Kinds and orders of groups by their matrices. Source: Coxeter, Regular Polytopes, table IV (finite and affine).
    #[test]
    fn matrices_name_their_groups() {
        let of = |labels: &[&[u32]]| {
            of_matrix(&labels.iter().map(|r| r.to_vec()).collect::<Vec<_>>(), &CellAsk::default())
        };
        let square = |a, b, c, d, e, f| {
            of(&[&[1, a, b, c], &[a, 1, d, e], &[b, d, 1, f], &[c, e, f, 1]]).map(|g| (g.kind(), g.order()))
        };
        let triangle =
            |p, q, r| of(&[&[1, p, r], &[p, 1, q], &[r, q, 1]]).map(|g| (g.kind(), g.name().to_owned()));
        for (made, order) in [
            (square(3, 2, 2, 3, 2, 3), 120),
            (square(4, 2, 2, 3, 2, 3), 384),
            (square(3, 3, 3, 2, 2, 2), 192),
            (square(3, 2, 2, 4, 2, 3), 1152),
            (square(5, 2, 2, 3, 2, 3), 14_400),
            (square(5, 2, 2, 2, 2, 7), 140),
            (square(2, 2, 2, 2, 2, 2), 16),
        ] {
            assert_eq!(made.unwrap(), (Kind::Hypersphere, order));
        }
        for (p, q, r, symbol) in [(6, 3, 2, "p6mm"), (4, 2, 4, "p4mm"), (3, 3, 3, "p3m1"), (0, 2, 2, "p2mm")]
        {
            assert_eq!(triangle(p, q, r).unwrap().1, symbol);
        }
        assert_eq!(square(4, 2, 2, 3, 2, 4).unwrap(), (Kind::Space, 48));
        assert_eq!(square(3, 3, 3, 2, 2, 2).unwrap().1, 192);
        assert_eq!(square(3, 3, 4, 2, 2, 2).unwrap(), (Kind::Space, 192));
        assert_eq!(square(3, 2, 3, 3, 2, 3).unwrap(), (Kind::Space, 96));
        assert_eq!(triangle(7, 3, 2).unwrap().0, Kind::Disc);
        assert_eq!(triangle(0, 0, 0).unwrap().0, Kind::Disc);
        assert_eq!(square(2, 0, 3, 2, 0, 2).unwrap().0, Kind::Disc);
        assert!(of(&[&[1, 3], &[4, 1]]).is_err() && of(&[&[2]]).is_err() && of(&[&[1, 3]]).is_err());
        assert!(square(5, 2, 2, 3, 2, 5).is_err() && of(&[]).is_err());
    }
}
