//! Honeycombs of uniform polyhedra, by the kaleidoscope: a point inside a chamber of four mirrors that close in space, on those
//! that have no ring, and all its images.
//!
//! Source: H. S. M. Coxeter, Regular and semi-regular polytopes I, Math. Z. 46 (1940) 380, section 11; the same chambers as
//! in Regular Polytopes (1973), section 5.8.

use super::{Net, NetFault, held, of_lines, together, web};
use crate::base::{Affine, Vec3};
use crate::form::fault::positive;
use crate::form::group::{CellAsk, Group, Reach, orbit_net};
use crate::form::tiling::tiling;
use crate::form::{Movable, scale};

/// Diagrams of mirrors that close in space: a row with the fours at its ends, a fork, a ring.
pub const DIAGRAMS: &[&str] = &["[4,3,4]", "[4,3^1,1]", "[3^[4]]", "[4,4]x[∞]", "[6,3]x[∞]"];

/// Most points of layers.
const MOST: f64 = 100_000.0;

/// Tilings of the plane by the rings on three mirrors.
const FLOORS: &[(&str, &[(&str, &str)])] = &[
    (
        "[4,4]",
        &[
            ("100", "4.4.4.4"),
            ("010", "4.4.4.4"),
            ("001", "4.4.4.4"),
            ("101", "4.4.4.4"),
            ("110", "4.8.8"),
            ("011", "4.8.8"),
            ("111", "4.8.8"),
            ("sss", "3.3.4.3.4"),
        ],
    ),
    (
        "[6,3]",
        &[
            ("100", "6.6.6"),
            ("001", "3.3.3.3.3.3"),
            ("010", "3.6.3.6"),
            ("110", "3.12.12"),
            ("011", "6.6.6"),
            ("101", "3.4.6.4"),
            ("111", "4.6.12"),
            ("sss", "3.3.3.3.6"),
        ],
    ),
];

/// The vertex symbol of the tiling under layers of prisms; `None` for a diagram of another kind.
fn floor(diagram: &str, rings: &str) -> Option<Result<&'static str, NetFault>> {
    let plain: String = diagram.replace('×', "x").replace("oo", "∞");
    let tiling = plain.trim().strip_suffix("x[∞]")?.trim();
    let (_, all) = FLOORS.iter().find(|f| f.0 == tiling)?;
    // Figures for the layers' two mirrors may be left out: with any ring among them they are the same.
    let (own, layers) = rings.split_at_checked(3).unwrap_or((rings, ""));
    let known = all.iter().find(|r| r.0 == own && matches!(layers, "" | "10" | "01" | "11"));
    Some(known.map(|r| r.1).ok_or_else(|| {
        NetFault::Unfit(format!(
            "rings of \"{diagram}\" are three figures, 1 for a ring and 0 for none, as \"110\", or \"sss\", and two for the layers, as \"10\"; got \"{rings}\""
        ))
    }))
}

/// Layers of a tiling's edges one above another, joined upright.
fn prisms(name: &str, vertex: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, NetFault> {
    let unfit = |f: crate::form::tiling::TilingFault| NetFault::Unfit(f.to_string());
    let floor = of_lines(&tiling(vertex, edge, reach + 3.0 * edge).map_err(unfit)?.edges());
    let layers = (reach / edge).floor() as i64;
    let count = floor.points().len();
    if count as f64 * (2.0 * reach / edge + 1.0) > MOST {
        return Err(NetFault::TooMany(MOST as usize));
    }
    let mut points = Vec::with_capacity(count * (2 * layers + 1) as usize);
    let mut edges = Vec::new();
    for (k, layer) in (-layers..=layers).enumerate() {
        let up = Vec3::new(0.0, 0.0, edge * layer as f64);
        points.extend(floor.points().iter().map(|p| *p + up));
        edges.extend(floor.edges().iter().map(|e| e.ends.map(|i| i + k * count)));
        edges.extend((0..if k > 0 { count } else { 0 }).map(|i| [i + (k - 1) * count, i + k * count]));
    }
    let near = |i: &usize| points[*i].norm() <= reach * (1.0 + 1e-9);
    edges.retain(|e| e.iter().all(near));
    let net = Net::of(name, points, edges, Vec::new());
    if hanging { Ok(net.tidied()) } else { held(&net) }
}

/// A plane: its points p have `normal`·p = `far`; the chamber lies where that is less.
struct Mirror {
    normal: Vec3,
    far: f64,
}

/// Mirrors, the group that they make, and the edge of its cell.
struct Chamber {
    mirrors: [Mirror; 4],
    group: &'static str,
    cell: f64,
}

/// Chambers in cubes of edge 1: 0 ≤ z ≤ y ≤ x ≤ 1/2 for the row, and two and four of them side by side.
fn chamber(diagram: &str) -> Option<Chamber> {
    let mirror = |x: f64, y: f64, z: f64, far: f64| {
        let long = (x * x + y * y + z * z).sqrt();
        Mirror { normal: Vec3::new(x, y, z) / long, far: far / long }
    };
    let (floor, steep, side) =
        (mirror(0.0, 0.0, -1.0, 0.0), mirror(0.0, -1.0, 1.0, 0.0), mirror(-1.0, 1.0, 0.0, 0.0));
    let (wall, slope, under) =
        (mirror(1.0, 0.0, 0.0, 0.5), mirror(1.0, 1.0, 0.0, 1.0), mirror(0.0, -1.0, -1.0, 0.0));
    let plain: String = diagram.chars().filter(|c| !c.is_whitespace() && !"{}^".contains(*c)).collect();
    let (mirrors, group, cell) = match plain.as_str() {
        "[4,3,4]" => ([wall, side, steep, floor], "Pm-3m", 1.0),
        "[4,31,1]" => ([floor, steep, side, slope], "Fm-3m", 2.0),
        "[3[4]]" => ([steep, side, under, slope], "F-43m", 2.0),
        _ => return None,
    };
    Some(Chamber { mirrors, group, cell })
}

/// The point on the mirrors without a ring and equally far from the others, and that distance.
fn seed(mirrors: &[Mirror; 4], ringed: [bool; 4]) -> Option<(Vec3, f64)> {
    // normal·p + s = far for a ring, normal·p = far for none: four equations for p and s, by elimination.
    let mut rows: [[f64; 5]; 4] = std::array::from_fn(|i| {
        let Mirror { normal: n, far } = &mirrors[i];
        [n.x, n.y, n.z, f64::from(u8::from(ringed[i])), *far]
    });
    for k in 0..4 {
        let pivot = (k..4).max_by(|a, b| rows[*a][k].abs().total_cmp(&rows[*b][k].abs()))?;
        rows.swap(k, pivot);
        if rows[k][k].abs() < 1e-12 {
            return None;
        }
        for i in (0..4).filter(|i| *i != k) {
            let by = rows[i][k] / rows[k][k];
            let row = rows[k];
            rows[i].iter_mut().zip(row).for_each(|(x, y)| *x -= by * y);
        }
    }
    let solved = |k: usize| rows[k][4] / rows[k][k];
    Some((Vec3::new(solved(0), solved(1), solved(2)), solved(3)))
}

/// The corners and edges of a honeycomb, with edges of `edge` mm, as far as `reach` mm from a corner of its chamber; `rings`
/// has a figure for each mirror, 1 with a ring. Unless `hanging`, as [`held`].
///
/// # Errors
/// [`NetFault`].
pub fn honeycomb(diagram: &str, rings: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, NetFault> {
    positive("edge", edge)?;
    positive("reach", reach)?;
    if let Some(vertex) = floor(diagram, rings) {
        return prisms(&format!("{diagram} {rings}"), vertex?, edge, reach, hanging);
    }
    let chamber = chamber(diagram).ok_or_else(|| {
        NetFault::Unfit(format!("\"{diagram}\" closes no honeycomb: there are {}", DIAGRAMS.join(", ")))
    })?;
    let ringed: Vec<bool> = rings.chars().filter_map(|c| "01".contains(c).then_some(c == '1')).collect();
    let ringed =
        <[bool; 4]>::try_from(ringed).ok().filter(|r| r.contains(&true) && rings.chars().count() == 4);
    let ringed = ringed.ok_or_else(|| {
        NetFault::Unfit(format!(
            "rings on 4 mirrors are 4 figures, 1 for a ring and 0 for none, at least one of them 1, got \"{rings}\""
        ))
    })?;
    let none = || NetFault::Unfit(format!("\"{diagram}\" with rings \"{rings}\" has no equal edges"));
    let (start, far) = seed(&chamber.mirrors, ringed).filter(|s| s.1 > 1e-9).ok_or_else(none)?;
    let mut points = vec![start];
    for (m, _) in chamber.mirrors.iter().zip(ringed).filter(|(_, r)| *r) {
        let by = Affine::reflect(m.normal * m.far, m.normal).ok_or_else(none)?;
        points.push(by.apply(start));
    }
    let size = edge / (2.0 * far);
    let star = scale(&web(points.clone(), (1..points.len()).map(|k| [0, k]).collect())?, Vec3::splat(size))?;
    let ask = CellAsk { a: Some(chamber.cell * size), ..CellAsk::default() };
    let told = |f: crate::form::group::GroupFault| NetFault::Unfit(f.to_string());
    let group = Group::named(chamber.group, &ask).map_err(told)?;
    // What coincides within a cell is one before the cell is repeated.
    let images = group.motions().iter().map(|m| star.moved(m)).collect::<Result<Vec<Net>, _>>()?;
    let steps = Group::named("P1", &ask).map_err(told)?;
    let far = reach + edge + 2.0 * chamber.cell * size;
    let whole = orbit_net(&steps, &together("cell", &images), Reach::Ball(far)).map_err(told)?;
    let near = |i: &usize| whole.points()[*i].norm() <= reach * (1.0 + 1e-9);
    let kept = whole.edges().iter().map(|e| e.ends).filter(|e| e.iter().all(near)).collect();
    let net = Net::of(&format!("{diagram} {rings}"), whole.points().to_vec(), kept, Vec::new());
    if hanging { Ok(net.tidied()) } else { held(&net) }
}

#[cfg(test)]
mod tests {
    use super::super::crystal::steps_from;
    use super::*;

    /// Coordination sequences: those of pcu, sod, fcu and reo are in section 6 of the project's check values or elementary;
    /// that of the zeolite LTA, whose frame is 1110, from Ch. Baerlocher, L. B. McCusker, Database of Zeolite Structures
    /// (from memory); other degrees are those of the vertex figures in Coxeter's list.
    #[test]
    fn honeycombs_have_their_neighbours() {
        for (diagram, rings, want) in [
            ("[4,3,4]", "1000", vec![6, 18, 38, 66]),
            ("[4,3,4]", "0001", vec![6, 18, 38, 66]),
            ("[4,3,4]", "0110", vec![4, 10, 20, 34, 52]),
            ("[4,3,4]", "1110", vec![4, 9, 17, 28, 42, 60]),
            ("[4,3,4]", "0100", vec![8]),
            ("[4,3,4]", "1100", vec![5]),
            ("[4,3,4]", "1010", vec![6]),
            ("[4,3,4]", "1001", vec![6, 18]),
            ("[4,3,4]", "1011", vec![5]),
            ("[4,3,4]", "1111", vec![4]),
            ("[4,3^1,1]", "0001", vec![12, 42, 92]),
            ("[3^[4]]", "1000", vec![12, 42]),
            ("[3^[4]]", "1100", vec![6, 18]),
            ("[3^{[4]}]", "1111", vec![4, 10, 20, 34]),
        ] {
            let net = honeycomb(diagram, rings, 1.0, want.len() as f64 + 2.5, true).unwrap();
            let long = |e: &super::super::Edge| (net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm();
            assert!(net.edges().iter().all(|e| (long(e) - 1.0).abs() < 1e-9), "{diagram} {rings}");
            assert_eq!(steps_from(&net, want.len()), want, "{diagram} {rings}");
        }
    }

    /// The sequence of a product is that of its factors folded, here with 1, 2, 2, … of a row (elementary); those of the tilings
    /// from The On-Line Encyclopedia of Integer Sequences, as in `crystal.rs`.
    #[test]
    fn prisms_have_their_neighbours() {
        for (diagram, rings, floor) in [
            ("[4,4]x[∞]", "100", [1, 4, 8, 12, 16]),
            ("[4,4]×[oo]", "11010", [1, 3, 5, 8, 11]),
            ("[4,4]x[∞]", "sss", [1, 5, 11, 16, 21]),
            ("[6,3]x[∞]", "10001", [1, 3, 6, 9, 12]),
            ("[6,3]x[∞]", "010", [1, 4, 8, 14, 18]),
            ("[6,3]x[∞]", "001", [1, 6, 12, 18, 24]),
            ("[6,3]x[∞]", "110", [1, 3, 4, 6, 8]),
            ("[6,3]x[∞]", "111", [1, 3, 5, 7, 9]),
            ("[6,3]x[∞]", "sss", [1, 5, 9, 15, 19]),
        ] {
            let net = honeycomb(diagram, rings, 1.0, 8.0, true).unwrap();
            let want: Vec<usize> = (1..5)
                .map(|n| (0..=n).map(|k| floor[k] * if n == k { 1 } else { 2 }).sum::<usize>())
                .collect();
            assert_eq!(steps_from(&net, 4), want, "{diagram} {rings}");
        }
        for rings in ["000", "1", "10002", "100000", "1x0"] {
            assert!(honeycomb("[6,3]x[∞]", rings, 5.0, 20.0, true).is_err(), "{rings}");
        }
    }

    #[test]
    fn what_closes_no_honeycomb_is_refused() {
        for (diagram, rings) in
            [("[5,3,4]", "1000"), ("[4,3,4]", "0000"), ("[4,3,4]", "100"), ("[4,3,4]", "1x00")]
        {
            assert!(honeycomb(diagram, rings, 5.0, 20.0, true).is_err(), "{diagram} {rings}");
        }
        assert!(honeycomb("[4,3,4]", "1111", 0.1, 100.0, true).is_err());
    }
}
